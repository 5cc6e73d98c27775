//! Failure modes and hazards, and which part each can strike.

use super::{P, Vary};
use crate::plan::{OpeningId, SuitId};
use crate::scenario::{During, Effect, Noticed, Trigger};

/// How the hazard of a mode grows.
#[derive(Clone, Copy, Debug)]
pub enum Hazard {
    /// Probability per demand.
    Demand(P),
    /// Rate per s (or per m driven).
    Rate(P),
    /// Weibull: characteristic life in cycles (demands) or s, and shape.
    Weibull {
        /// Characteristic life.
        life: P,
        /// Shape.
        shape: P,
    },
}

/// One failure mode or hazard.
#[derive(Clone, Debug)]
pub struct Mode {
    /// Name.
    pub name: String,
    /// Luck.
    pub hash: u64,
    /// Its cause of lost hours.
    pub cause: u16,
    /// When it is asked for.
    pub trigger: Trigger,
    /// How its hazard grows.
    pub hazard: Hazard,
    /// From this age on its hazard is so many times as great.
    pub worn: Option<(P, P)>,
    /// What it does.
    pub effect: Effect,
    /// Factor of `slower` and `leak`.
    pub factor: P,
    /// Does the volume still hold its pressure check?
    pub holds: bool,
    /// Factor on the hazard while the seal is dusty.
    pub dusty: P,
    /// Strikes only at dirty closings or on a dusty seal.
    pub only_dusty: bool,
    /// Can strike again while struck; the factor multiplies.
    pub adds_up: bool,
    /// Counts the hours that a suit hangs outdoors.
    pub outdoors: bool,
    /// Common-cause group, its beta.
    pub group: Option<(u16, P)>,
    /// When noticed.
    pub noticed: Noticed,
    /// Restriction to part of a sortie.
    pub during: Option<During>,
    /// Shares of the severities of an incapacitation, in the order of the vocabulary.
    pub severity: [f64; 3],
    /// Treatment limit, s.
    pub treatment: Option<Vary>,
    /// Time off duty, s; infinite for good.
    pub off_duty: Vary,
    /// Repair.
    pub repair: Option<Repair>,
    /// It strikes persons, not parts.
    pub crew: bool,
    /// It strikes suits.
    pub suit: bool,
}

/// How a mode is mended.
#[derive(Clone, Debug)]
pub struct Repair {
    /// Elapsed, s.
    pub takes: Vary,
    /// Persons who work on it.
    pub crew: u32,
    /// Spare used when an attempt ends.
    pub spare: Option<u16>,
    /// Chance per attempt.
    pub success: P,
    /// Chance of an attempt for which there is no spare; none is made without it.
    pub without_spare: Option<P>,
    /// Needs pressure on the worker's side.
    pub inside: bool,
    /// Needs a team that goes out for it.
    pub outside: bool,
    /// Time between planned replacements, s.
    pub replace_every: Option<P>,
    /// Age 0 and all modes of the part renewed.
    pub as_new: bool,
}

/// A part that modes can strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// An opening (hatch, door, valve, interface) or its seal.
    Opening(OpeningId),
    /// A pump.
    Pump(u16),
    /// A stage, panel or umbilical.
    Stage(u16),
    /// A suit.
    Suit(SuitId),
    /// An element (a rover, or any that can be lost).
    Element(u16),
}

/// One mode on one part.
#[derive(Clone, Copy, Debug)]
pub struct PartMode {
    /// Part.
    pub part: Part,
    /// Mode.
    pub mode: u16,
    /// Luck: hash of `part path/mode`.
    pub hash: u64,
    /// How its hazard grows: as the mode's, unless parts do not share what is not known.
    pub hazard: Hazard,
    /// Common-cause group of the architecture; `u16::MAX` if none.
    pub group: u16,
}

/// One common-cause group in one architecture.
#[derive(Clone, Debug)]
pub struct Group {
    /// Name.
    pub name: String,
    /// Luck.
    pub hash: u64,
    /// Mode that gives its probability or rate.
    pub mode: u16,
    /// Members: indices of part modes.
    pub members: Vec<u16>,
}

/// Number of triggers.
pub const TRIGGERS: usize = Trigger::Hour as usize + 1;

/// Part modes of one part by trigger.
#[derive(Clone, Copy, Debug, Default)]
pub struct Demands {
    /// First and one past the last index into [`super::Arm::part_modes`].
    pub of: [(u16, u16); TRIGGERS],
}

impl Demands {
    /// Does any mode of the part listen to a trigger?
    #[inline]
    pub fn listens(&self, trigger: Trigger) -> bool {
        let (first, end) = self.of[trigger as usize];
        first < end
    }

    /// First and one past the last of all triggers: they stand one after the other.
    pub fn all(&self) -> (u16, u16) {
        (self.of[0].0, self.of[TRIGGERS - 1].1)
    }
}
