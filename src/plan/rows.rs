//! Step rows with every name resolved.

use super::condition::{Asked, Condition};
use super::{Crew, OpeningId, VolumeId};
use crate::scenario::{Action, At, By, Each, IfFails, Incapacitated, Num, Who};

/// What a list is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListKind {
    /// Going out.
    Egress,
    /// Coming in as planned.
    Ingress,
    /// Coming in with the suits for indoor maintenance.
    ServiceIn,
    /// Going out with suits that were indoors.
    ServiceOut,
    /// Putting the port at rest.
    Restore,
    /// From an element that has come back into the one it docks with.
    Dock,
    /// Into an element, and free of the one it was docked with.
    Undock,
    /// A way back.
    WayBack,
}

/// Where a list is entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// List.
    pub list: u16,
    /// Row; the number of its rows where nothing of it is left to do.
    pub row: u16,
}

/// Which way `pass` rows go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// From the inner side to the outer side.
    Outward,
    /// From the outer side to the inner side.
    Inward,
}

/// What a row acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// Nothing in particular (`prepare`, `wait`, ...).
    Nothing,
    /// The suits of those who do the row.
    Suit,
    /// One to three volumes, vented or filled together.
    Volumes([VolumeId; 3], u8),
    /// One of `count` equal volumes, that of the person's berth.
    BerthVolume(VolumeId, u8),
    /// An opening; with several instances that of the person's berth.
    Opening(OpeningId, u8),
    /// A stage, panel or umbilical.
    Stage(u16),
    /// An element (`travel`).
    Element(u16),
}

/// Who does a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhoSel {
    /// One of the words.
    Word(Who),
    /// `inside of X`
    InsideOf(VolumeId),
    /// `team`, narrowed to some by the `who` of a `use` row.
    Narrowed(Who),
}

/// A pressure to reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// Each volume's own pressure at rest (`repress` without `to`).
    Rest,
    /// Ambient.
    Ambient,
    /// The suit's working pressure.
    Working,
    /// Pa.
    Pascal(f64),
}

/// Where gas goes or comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GasEnd {
    /// The element's store (a volume that the store holds at pressure counts as the store, rule 25).
    Store,
    /// Lost.
    Outside,
}

/// What play does not look at of a row: its words, its place in the file, its numbers as they were
/// written (play has them as laws of the model).
#[derive(Clone, Debug)]
pub struct Written {
    /// Where it was written.
    pub at: At,
    /// How it is named in stories and messages: `open outer`.
    pub label: String,
    /// How long it takes, s.
    pub takes: Option<Num>,
    /// Chance that it clears a stuck state.
    pub frees: Option<Num>,
    /// Chance that a leak check misses.
    pub misses: Option<Num>,
    /// Chance that a leak check alarms falsely.
    pub false_alarm: Option<Num>,
    /// What an incapacitated person does to it.
    pub incapacitated: Option<Incapacitated>,
}

/// One row, as small as it can be: it is read whenever it is played.
#[derive(Clone, Debug)]
pub struct Row {
    /// As it was written.
    pub written: Box<Written>,
    /// What it does.
    pub action: Action,
    /// What it acts on.
    pub on: On,
    /// Once, in turn or at once.
    pub each: Each,
    /// Who does it.
    pub who: WhoSel,
    /// Direction of `pass`.
    pub direction: Direction,
    /// It stands in an egress list (default abort, prebreathe counts).
    pub egress: bool,
    /// Pressure to reach.
    pub to: Aim,
    /// Where gas goes or comes from.
    pub gas: GasEnd,
    /// What happens when it fails.
    pub if_fails: IfFails,
    /// It can clear a stuck state.
    pub frees: bool,
    /// Skip unless all hold.
    pub when: Box<[Asked]>,
    /// Wait until.
    pub until: Option<Asked>,
    /// Means of travel.
    pub by: By,
    /// Whose empty suit is handled.
    pub suit: Option<Who>,
    /// Port of its list.
    pub port: u16,
    /// Kind of suit that it names (`don`, `suit up`); [`super::NONE`] if none.
    pub kind: u16,
    /// It is done at the berths of its port, so that its persons need one each.
    pub berths: bool,
}

// What only words, checks and laws need stands in `written`.
const _: () = assert!(size_of::<Row>() <= 96);

/// One list of a port.
#[derive(Clone, Debug)]
pub struct List {
    /// Name: `egress`, `ingress`, ... or the way back's own.
    pub name: String,
    /// Path `element/port/name`: the luck of its rows hangs on it.
    pub path: String,
    /// What it is for.
    pub kind: ListKind,
    /// Port.
    pub port: u16,
    /// Where it was written.
    pub at: At,
    /// Where it can start (ways back): [`super::OUTSIDE`], a volume, or `None` for a berth.
    pub from: Option<VolumeId>,
    /// Conditions of a way back.
    pub needs: Vec<Asked>,
    /// The same as they were written.
    pub written: Vec<String>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Index of the first of the rows that are off the clock (`after_rows`); `rows.len()` if none.
    pub after: usize,
}

impl ListKind {
    /// Does it start from inside, so that one that fails is given up by another list?
    pub fn goes_out(self) -> bool {
        matches!(self, ListKind::Egress | ListKind::ServiceOut | ListKind::Undock)
    }

    /// Does it lead people in from outside?
    pub fn comes_in(self) -> bool {
        matches!(self, ListKind::Ingress | ListKind::ServiceIn | ListKind::WayBack)
    }
}

impl List {
    /// Is a condition among its needs, not negated?
    pub fn asks(&self, condition: Condition) -> bool {
        self.needs.contains(&Asked { not: false, condition })
    }
}

impl WhoSel {
    /// Picks from a team: `members` in `order`, the hurt among them, those inside, a helper and
    /// rescuers. Persons are bits.
    #[inline]
    pub fn pick(self, g: &super::Spread) -> Crew {
        match self {
            WhoSel::Word(w) => pick(w, g),
            WhoSel::InsideOf(_) => g.inside_of,
            WhoSel::Narrowed(w) => pick(w, g) & g.team,
        }
    }

    /// Does it look at who is inside?
    #[inline]
    pub fn asks_inside(self) -> bool {
        match self {
            WhoSel::Word(w) | WhoSel::Narrowed(w) => {
                matches!(w, Who::Inside | Who::All | Who::Helper)
            }
            WhoSel::InsideOf(_) => true,
        }
    }
}

#[inline]
fn pick(who: Who, g: &super::Spread) -> Crew {
    match who {
        Who::Team => g.team,
        Who::Inside => g.inside,
        Who::All => g.team | g.inside,
        Who::Casualty => g.team & g.hurt,
        Who::Partner => g.team & !g.hurt,
        Who::Helper => lowest(g.inside),
        Who::First => g.first(),
        Who::Last => g.last(),
        Who::Rescuers => g.rescuers,
    }
}

fn lowest(crew: Crew) -> Crew {
    crew & crew.wrapping_neg()
}
