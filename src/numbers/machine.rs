//! Machines: pumps and stages.

use crate::model::{P, PumpPlay, StagePlay};

/// A pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pump {
    /// Volume flow, m3/s.
    pub speed: f64,
    /// Share of what it moves that is kept.
    pub recovery: f64,
    /// Evacuated reservoir, m3.
    pub reservoir: f64,
}

impl Pump {
    pub(super) fn of(x: &PumpPlay, v: &[f64]) -> Pump {
        let of = |p: P| p.of(v);
        Pump { speed: of(x.speed), recovery: of(x.recovery), reservoir: of(x.reservoir) }
    }
}

/// A stage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// Share of the dust of each bin that it takes off a suit.
    pub removes: [f64; 4],
    /// Share of that which it holds.
    pub captures: [f64; 4],
}

impl Stage {
    pub(super) fn of(x: &StagePlay, v: &[f64]) -> Stage {
        let of = |p: P| p.of(v);
        Stage { removes: x.removes.map(of), captures: x.captures.map(of) }
    }
}
