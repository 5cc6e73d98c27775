//! Plain record of one campaign of one architecture.

use crate::measure::Facts;
use crate::model::Arm;
use crate::plan::MAX_CREW;

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
    /// Who was missed or late.
    pub lost: Lost,
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
    /// Bit of each common-cause group that crossed ([`group_bit`]).
    pub groups: u64,
    /// Modes that acted on somebody: asked when they struck, found, or acting by themselves. A part that
    /// struck and that nobody used or asked is not among them.
    pub met: u128,
}

/// Demands that ended as missed or late: at most one per person, who is gone then.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lost {
    /// Bit p: person p was missed or late.
    pub who: u16,
    /// Of these: late.
    pub late: u16,
    /// Slot of the sortie the demand belongs to, by person.
    pub slot: [u32; MAX_CREW],
    /// Ways back that had been tried, by person.
    pub ways: [u64; MAX_CREW],
    /// The first person missed or late, and the first late.
    first: [u8; 2],
}

impl Lost {
    /// A demand ends as missed or late.
    pub fn add(&mut self, person: usize, slot: u32, late: bool, ways: u64) {
        if self.who == 0 {
            self.first[0] = person as u8;
        }
        if late && self.late == 0 {
            self.first[1] = person as u8;
        }
        self.who |= 1 << person;
        self.late |= u16::from(late) << person;
        (self.slot[person], self.ways[person]) = (slot, ways);
    }

    /// The first demand that was missed or late (or late, where `late` asks for that).
    pub fn first(&self, late: bool) -> Option<usize> {
        let any = if late { self.late } else { self.who };
        (any != 0).then(|| usize::from(self.first[usize::from(late)]))
    }

    /// Was this demand of another play of the same campaign missed or late here too (or late)?
    pub fn again(&self, person: usize, of: &Lost, late: bool) -> bool {
        let lost = if late { self.late } else { self.who };
        lost >> person & 1 != 0 && self.slot[person] == of.slot[person]
    }
}

/// Somebody fell ill.
pub const ILLNESS_BIT: u64 = 1 << 63;
/// A team could not go on as planned.
pub const STRANDED_BIT: u64 = 1 << 62;

/// Bit of an environment event; events past the last bit share it.
pub fn hazard_bit(event: usize) -> u64 {
    1 << event.min(61)
}

/// Bit of a common-cause group; groups past the last bit share it.
pub fn group_bit(group: usize) -> u64 {
    1 << group.min(63)
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
            lost: Lost::default(),
        }
    }

    /// Becomes a copy of the outcome of the same architecture; nothing is allocated.
    pub fn take_from(&mut self, other: &Outcome) {
        self.facts.clone_from(&other.facts);
        self.breakdown.copy_from_slice(&other.breakdown);
        self.havens.copy_from_slice(&other.havens);
        self.weight = other.weight;
        (self.record, self.lost) = (other.record, other.lost);
    }

    /// Back to nothing.
    pub fn clear(&mut self) {
        self.facts = Facts::default();
        self.breakdown.fill(0.0);
        self.havens.fill(0.0);
        self.weight = 1.0;
        self.record = Record::default();
        self.lost = Lost::default();
    }
}
