//! How dust moves in one volume at one pressure: the constants worked out before play.

use crate::physics::dust::{self, Air, DIAMETERS, FINE, Grain};
use crate::physics::mixed::{Mixed, Rates, Step, Stock};

/// What the law of one volume at one pressure is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoomConditions {
    /// Gas volume, m3, above zero.
    pub volume: f64,
    /// Volume over floor area, m, above zero.
    pub height: f64,
    /// Multiplier on the settling area (1 for a plain room).
    pub deposition: f64,
    /// Filtered flow, m3/s.
    pub filter_flow: f64,
    /// Filter efficiency, bypass included.
    pub filter_efficiency: f64,
    /// Return from the floor, 1/s, the same for both fine bins.
    pub resuspension: f64,
    /// Gravity, m/s2.
    pub gravity: f64,
    /// Density and shape of the dust.
    pub grain: Grain,
    /// Temperature and pressure of the air.
    pub air: Air,
}

/// How the dust of one volume moves at one pressure. Worked out before play, once per parameter set.
#[derive(Clone, Copy, Debug)]
pub struct RoomLaw {
    per_volume: f64,
    bins: [Mixed; FINE],
}

impl RoomLaw {
    /// Prepares the law. Each fine bin settles as its diameter of [`DIAMETERS`].
    pub fn new(c: &RoomConditions) -> Self {
        let filter = dust::filter_rate(c.filter_efficiency, c.filter_flow, c.volume);
        let bin = |i: usize| {
            let speed = dust::settling_speed(c.grain, DIAMETERS[i], c.gravity, c.air);
            let deposit = dust::deposition_rate(speed, c.height, c.deposition);
            Mixed::new(Rates {
                filter,
                deposit,
                resuspend: c.resuspension,
                clean: 0.0,
            })
        };
        Self::from_bins(c.volume, [bin(0), bin(1)])
    }

    /// Law with given rates, in a volume of `volume` m3. Continuous cleaning has no book here, so
    /// that its rate must be zero.
    pub fn from_bins(volume: f64, bins: [Mixed; FINE]) -> Self {
        assert!(
            bins.iter().all(|b| b.rates().clean == 0.0),
            "continuous cleaning is not booked"
        );
        Self {
            per_volume: 1.0 / volume,
            bins,
        }
    }

    /// The two fine bins.
    pub fn bins(&self) -> &[Mixed; FINE] {
        &self.bins
    }

    /// 1/V, 1/m3.
    #[inline]
    pub fn per_volume(&self) -> f64 {
        self.per_volume
    }

    /// Both fine bins after `dt` s.
    #[inline]
    pub(super) fn after(&self, start: [Stock; FINE], dt: f64) -> [Step; FINE] {
        [
            self.bins[0].after(start[0], dt),
            self.bins[1].after(start[1], dt),
        ]
    }
}

/// All laws of one parameter set, with where each volume begins.
#[derive(Clone, Debug, Default)]
pub struct RoomTable {
    /// Laws by index; a volume has one for each pressure it is brought to.
    pub laws: Vec<RoomLaw>,
    /// Per volume: its law at the start, `None` for vacuum.
    pub start: Vec<Option<u16>>,
    /// Limit on the concentration, kg/m3, above zero: time above it is counted where somebody is.
    pub limit: f64,
}
