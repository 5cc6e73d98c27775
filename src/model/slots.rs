//! Slots, rosters and traverses, laid out before play (rule 11).

use super::{P, Vary};
use crate::plan::Crew;
use crate::scenario::{By, Scenario};

/// `[activity.NAME]`, SI.
#[derive(Clone, Debug)]
pub struct Activity {
    /// Name.
    pub name: String,
    /// Luck.
    pub hash: u64,
    /// Persons of a team.
    pub team: u32,
    /// Work wanted, s.
    pub hours: Vary,
    /// Hours the dust law is given for, s.
    pub nominal_hours: f64,
    /// One way, m.
    pub distance: Vary,
    /// On foot or riding outside.
    pub by: By,
    /// Dust per suit in the nominal hours, kg.
    pub dust: Vary,
    /// Metabolic rate at work, W.
    pub work: Vary,
    /// Kind of suit that its teams wear; [`crate::plan::NONE`]: those placed at the port.
    pub suit: u16,
    /// Planned crew-seconds outside of one sortie and person (rule 12).
    pub planned: f64,
    /// Nominal travel out and back, s.
    pub travel: f64,
    /// Number of draws of a slot's record.
    pub draws: u32,
    /// Traverse data, if it starts from a rover that drives.
    pub rover: Option<RoverPlan>,
}

/// What a traverse activity plans.
#[derive(Clone, Debug)]
pub struct RoverPlan {
    /// Distance driven out, m.
    pub drive: P,
    /// Distance driven on each further day, m.
    pub each_day: Vary,
    /// A rover that broke down is left after this, s.
    pub repair_within: P,
}

/// One slot.
#[derive(Clone, Copy, Debug)]
pub struct Slot {
    /// Activity.
    pub activity: u16,
    /// Number in the activity, from 1: the occasion of its luck.
    pub number: u32,
    /// Time, s.
    pub time: f64,
    /// Roster.
    pub roster: Crew,
    /// Traverse it belongs to; `u16::MAX` if none.
    pub traverse: u16,
}

impl Slot {
    /// Number of a person on the roster: their role, whatever becomes of the others.
    pub fn role(&self, person: usize) -> u8 {
        (self.roster & ((1 << person) - 1)).count_ones() as u8
    }
}

/// One traverse.
#[derive(Clone, Copy, Debug)]
pub struct Traverse {
    /// Activity.
    pub activity: u16,
    /// Departure, s.
    pub depart: f64,
    /// When it turns home, s.
    pub end: f64,
    /// From one drive to the next, s.
    pub local_day: f64,
    /// Who goes.
    pub roster: Crew,
    /// Number in the activity, from 1.
    pub number: u32,
}

/// The local day and the earliest hour that an activity names, s.
pub(super) fn working(s: &Scenario) -> Option<[f64; 2]> {
    let hours = s.activities.iter().filter_map(|a| a.it.hour.as_ref().map(|h| h.law.mean()));
    let first = hours.fold(f64::INFINITY, f64::min);
    first.is_finite().then(|| [s.campaign.day.law.mean(), first])
}
