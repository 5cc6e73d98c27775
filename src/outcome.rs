//! Plain record of one campaign of one architecture.

use crate::measure::Facts;
use crate::model::Arm;

/// What one campaign of one architecture contributed.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// Facts that the measures are read from.
    pub facts: Facts,
    /// Rows of `breakdown.csv`, parallel to [`Arm::breakdown`].
    pub breakdown: Vec<f64>,
    /// Demands by outcome, parallel to [`Arm::outcomes`].
    pub havens: Vec<f64>,
    /// Weight (1 in plain play).
    pub weight: f64,
    /// What struck and what was tried (rule 34).
    pub record: Record,
}

/// A small fixed record of a campaign: common-cause groups and modes that crossed their thresholds,
/// ways back tried.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Record {
    /// Bit i: mode i struck (modes past the last bit share it).
    pub modes: u128,
    /// Bit i: way i of the architecture's order was tried.
    pub ways: u64,
    /// Bit of each environment event that was announced ([`hazard_bit`]), of illness
    /// ([`ILLNESS_BIT`]), of a team that looked for a way back ([`STRANDED_BIT`]).
    pub hazards: u64,
    /// Bit i: common-cause group i crossed.
    pub groups: u64,
}

/// Somebody fell ill.
pub const ILLNESS_BIT: u64 = 1 << 63;
/// A team could not go on as planned.
pub const STRANDED_BIT: u64 = 1 << 62;

/// Bit of an environment event; events past the last bit share it.
pub fn hazard_bit(event: usize) -> u64 {
    1 << event.min(61)
}

/// Bit of a mode; modes past the last bit share it.
pub fn mode_bit(mode: u16) -> u128 {
    1 << mode.min(127)
}

impl Outcome {
    /// An outcome with room for everything `arm` counts.
    pub fn of(arm: &Arm) -> Outcome {
        Outcome {
            facts: Facts::default(),
            breakdown: vec![0.0; arm.breakdown.len()],
            havens: vec![0.0; arm.outcomes.len()],
            weight: 1.0,
            record: Record::default(),
        }
    }

    /// Back to nothing.
    pub fn clear(&mut self) {
        self.facts = Facts::default();
        self.breakdown.fill(0.0);
        self.havens.fill(0.0);
        self.weight = 1.0;
        self.record = Record::default();
    }
}
