//! Lists with their numbers: what each row takes, where its draws stand, mean times.

use super::{P, Vary};
use crate::plan::{Entry, MAX_CREW, VolumeId};
use crate::scenario::By;

/// Most uniforms a leg may draw.
pub const LEG_DRAWS: usize = 256;

/// What an incapacitated person does to a row.
#[derive(Clone, Debug)]
pub enum IncapacitatedPlay {
    /// Skipped for them.
    Skip,
    /// Replaces the time; chance of success.
    Takes(Vary, Option<P>),
    /// Adds to the time; chance.
    Adds(Vary, Option<P>),
    /// Multiplies the time; chance.
    Times(f64, Option<P>),
}

/// Numbers of one row.
#[derive(Clone, Debug)]
pub struct RowPlay {
    /// What it takes, s; `None` where physics gives it.
    pub takes: Option<Vary>,
    /// First uniform of `takes` in the leg; one for the team or one per person.
    pub draw: u16,
    /// First uniform of a leak check's two chances per person (miss, alarm).
    pub check: u16,
    /// Chance that it clears a stuck state.
    pub frees: Option<P>,
    /// Chance that a leak check misses.
    pub misses: Option<P>,
    /// Chance that it alarms falsely.
    pub false_alarm: Option<P>,
    /// Mean time for a team of n, s (travel excluded).
    pub means: Box<[f64; MAX_CREW + 1]>,
    /// What an incapacitated person does to it.
    pub incapacitated: Option<Box<IncapacitatedPlay>>,
}

/// Numbers of one list.
#[derive(Clone, Debug)]
pub struct ListPlay {
    /// Luck of its rows.
    pub hash: u64,
    /// Rows.
    pub rows: Vec<RowPlay>,
    /// Uniforms of a leg.
    pub draws: usize,
    /// Mean time of all rows on the clock for a team of n, s (travel excluded).
    pub mean_total: [f64; MAX_CREW + 1],
    /// Mean time until safe, s (travel excluded).
    pub mean_safe: [f64; MAX_CREW + 1],
    /// For each row of a list that starts from inside: where an abort enters which list.
    pub abort: Vec<Option<Entry>>,
    /// Mean time of its `wait` rows until safe, s: at rest.
    pub mean_waits: f64,
    /// Rows that are on the clock (a way back has others after them).
    pub on_clock: usize,
    /// Somebody leaves a volume or berth before they are safe, and with it an umbilical.
    pub leaves: bool,
    /// Volume behind the first outer opening, that must be empty before the first row when the list
    /// starts outside; [`VolumeId::NONE`] if none.
    pub ready: VolumeId,
    /// Persons that fit through it at once (rule 14).
    pub holds: u32,
    /// For an egress list: ingress row from which the port is brought back for the next batch;
    /// `u16::MAX` if none is.
    pub refill: u16,
    /// For an ingress list: mean time of the egress rows that make the port ready again, s.
    pub again: f64,
    /// Element it travels to, `u16::MAX` if none.
    pub travels_to: u16,
    /// How it travels there.
    pub travels_by: By,
    /// Rescuers walk out first to where people lie.
    pub fetches: bool,
    /// O2 and N2 mass that its `repress` rows need at the start, kg: index into nothing, computed.
    pub fills: [f64; 2],
}
