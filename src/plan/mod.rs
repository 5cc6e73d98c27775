//! Places, openings and step rows with every name resolved: the symbolic half of the model, shared
//! by the dry walk of `check` and by play.
//!
//! A [`Layout`] is one architecture without numbers that are drawn: who stands next to what. A
//! [`Places`] is a state of it: who is where, pressures, openings. [`step`] has a file per verb: why
//! a row cannot be done, and what it changes; nothing else changes the state (rule 1).

mod belongs;
mod berths;
mod broken;
mod build;
mod condition;
mod places;
mod reach;
mod resolve;
mod resolve_condition;
mod resolve_on;
mod rows;
mod sites;
mod spread;
pub mod step;
mod suit_choice;
pub mod walk;

pub use belongs::{in_element, is_at};
pub use broken::Broken;
pub use build::build;
pub use condition::{Asked, CONDITIONS, Condition};
pub use places::{
    ACROSS, OpeningState, Person, Places, Stuck, SuitState, Where, each_of, ends, habitable,
};
pub(crate) use resolve::volume as volume_named;
pub use rows::{Aim, Direction, Entry, GasEnd, List, ListKind, On, Row, WhoSel};
pub use sites::Sites;
pub use spread::Spread;
pub use suit_choice::wanted;

use crate::base::ids::{Table, id};
use crate::scenario::{At, ElementKind, OpeningKind, OpeningRest, StageKind};

id! {
    /// Index of a volume; the first is outside.
    VolumeId
}
id! {
    /// Index of an opening instance.
    OpeningId
}
id! {
    /// Index of a suit.
    SuitId
}
id! {
    /// Index of a berth: one suit interface with its gap and hatches.
    BerthId
}
/// Index of a person.
pub type PersonId = u8;
/// A set of persons, bit i = person i.
pub type Crew = u16;

/// Outside.
pub const OUTSIDE: VolumeId = VolumeId::new(0);
/// No such thing.
pub const NONE: u16 = u16::MAX;
/// Any kind of suit.
pub const ANY: u16 = u16::MAX - 1;
/// Largest number of persons.
pub const MAX_CREW: usize = 12;

/// Something that cannot be, found while resolving or walking; [`crate::check`] makes findings of it.
#[derive(Clone, Debug)]
pub struct Complaint {
    /// Rule id.
    pub rule: &'static str,
    /// Where.
    pub at: At,
    /// What was found.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

/// One volume (an instance).
#[derive(Clone, Debug)]
pub struct Volume {
    /// Path: `element/cabin` or `element/port/name` (with `#k` for instances after the first).
    pub path: String,
    /// Short name as rows write it.
    pub name: String,
    /// Element it belongs to; [`NONE`] for outside.
    pub element: u16,
    /// Port it belongs to; [`NONE`] for a cabin or outside.
    pub port: u16,
    /// Pressure at rest, Pa.
    pub rest: f64,
    /// O2 mole fraction of its gas.
    pub oxygen: f64,
    /// Persons it holds at once.
    pub holds: u16,
    /// Where the numbers are: index of the volume's record in the access file; [`NONE`] for cabins.
    pub spec: u16,
    /// Openings that border it.
    pub openings: Vec<OpeningId>,
    /// Berths whose suits hang in it.
    pub berths: Vec<BerthId>,
}

/// What lies on one side of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// A volume.
    Volume(VolumeId),
    /// The suit mated at a berth.
    Suit(BerthId),
}

/// One opening (an instance).
#[derive(Clone, Debug)]
pub struct Opening {
    /// Path as for volumes.
    pub path: String,
    /// Short name.
    pub name: String,
    /// Kind.
    pub kind: OpeningKind,
    /// Inner and outer side.
    pub sides: [Side; 2],
    /// State at rest.
    pub rest: OpeningRest,
    /// Element.
    pub element: u16,
    /// Port or [`NONE`].
    pub port: u16,
    /// Its record: index into the access file's or the element's openings.
    pub spec: u16,
    /// Counted per docking transfer.
    pub docking: bool,
    /// What it is the same thing as, at its port or element; empty: not said.
    pub make: String,
    /// Where it was written.
    pub at: At,
}

/// One berth.
#[derive(Clone, Copy, Debug)]
pub struct Berth {
    /// Port.
    pub port: u16,
    /// Suit interface.
    pub interface: OpeningId,
    /// Gap between wall and suit.
    pub gap: VolumeId,
    /// Hatch in the wall.
    pub port_hatch: OpeningId,
    /// Hatch in the suit's back.
    pub suit_hatch: OpeningId,
    /// Volume one enters the suit from.
    pub cabin: VolumeId,
    /// Volume the suit hangs in (0: outside).
    pub outer: VolumeId,
    /// Its place among the berths of its port.
    pub rank: u16,
}

/// One pump.
#[derive(Clone, Debug)]
pub struct Pump {
    /// Path.
    pub path: String,
    /// Volume it empties.
    pub on: VolumeId,
    /// Port.
    pub port: u16,
    /// Its record in the access file.
    pub spec: u16,
    /// Stop pressure, Pa.
    pub stop: f64,
}

/// One stage, panel or umbilical.
#[derive(Clone, Debug)]
pub struct Stage {
    /// Path.
    pub path: String,
    /// Short name.
    pub name: String,
    /// Kind.
    pub kind: StageKind,
    /// Persons it serves at once.
    pub serves: u32,
    /// Volume it works in (0: outside).
    pub within: VolumeId,
    /// Port.
    pub port: u16,
    /// Its record in the access file.
    pub spec: u16,
}

/// One element that is played.
#[derive(Clone, Debug)]
pub struct Element {
    /// Name.
    pub name: String,
    /// Its record in the architecture.
    pub spec: u16,
    /// Kind.
    pub kind: ElementKind,
    /// Cabin.
    pub cabin: VolumeId,
    /// Element it is joined to or docks with; [`NONE`] if none.
    pub joined: u16,
    /// People it can shelter.
    pub haven_people: u16,
    /// Stands vacuum inside.
    pub tolerates_vacuum: bool,
    /// It is the ascent vehicle.
    pub ascent: bool,
    /// Able persons who stay inside when a team goes out.
    pub inside_least: u16,
    /// Gas store index; [`NONE`] if none.
    pub store: u16,
}

/// One port: an access system on an element.
#[derive(Clone, Debug)]
pub struct Port {
    /// Name.
    pub name: String,
    /// Path `element/port`.
    pub path: String,
    /// Element.
    pub element: u16,
    /// Index of its access file in the scenario.
    pub access: u16,
    /// Its volumes.
    pub volumes: Vec<VolumeId>,
    /// Its openings.
    pub openings: Vec<OpeningId>,
    /// Its berths.
    pub berths: Vec<BerthId>,
    /// `list.egress`, index into [`Layout::lists`]; [`NONE`] if it has none.
    pub egress: u16,
    /// `list.ingress`
    pub ingress: u16,
    /// `list.service-in`
    pub service_in: u16,
    /// `list.service-out`
    pub service_out: u16,
    /// `list.restore`
    pub restore: u16,
    /// `list.dock`
    pub dock: u16,
    /// `list.undock`
    pub undock: u16,
    /// Its ways back that the architecture names (list indices).
    pub ways: Vec<u16>,
    /// Kinds of suit that people put on who leave by it.
    pub kinds: Vec<u16>,
    /// Volumes of elements that its lists empty.
    pub empties: Vec<VolumeId>,
    /// Volume in which `service-out` puts people into suits that are indoors; [`VolumeId::NONE`] if
    /// none.
    pub out_from: VolumeId,
    /// Where it was written.
    pub at: At,
}

/// One suit.
#[derive(Clone, Debug)]
pub struct Suit {
    /// Path: `suit/KIND/place#k`.
    pub path: String,
    /// Kind: index into the scenario's suits.
    pub kind: u16,
    /// Where it is kept.
    pub home: Kept,
    /// Working pressure, Pa.
    pub working: f64,
    /// Its place in the order of names.
    pub rank: u16,
}

/// Where a suit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// Stowed in a volume (0: lying outside).
    Volume(VolumeId),
    /// Hanging at a berth.
    Berth(BerthId),
    /// Worn by a person.
    Worn(PersonId),
}

/// One architecture with every name resolved.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Name of the architecture.
    pub name: String,
    /// Ambient pressure, Pa.
    pub ambient: f64,
    /// Persons.
    pub crew: usize,
    /// Element that each person lives in.
    pub homes: Vec<u16>,
    /// Elements that are played.
    pub elements: Vec<Element>,
    /// Volumes, 0 = outside.
    pub volumes: Table<VolumeId, Volume>,
    /// Openings.
    pub openings: Table<OpeningId, Opening>,
    /// Berths.
    pub berths: Table<BerthId, Berth>,
    /// Pumps.
    pub pumps: Vec<Pump>,
    /// Stages.
    pub stages: Vec<Stage>,
    /// Ports.
    pub ports: Vec<Port>,
    /// Suits.
    pub suits: Table<SuitId, Suit>,
    /// Lists of all ports.
    pub lists: Vec<List>,
    /// Ways back in the order they are tried (list indices).
    pub ways_back: Vec<u16>,
}

impl Layout {
    /// What a pressure hatch is for: one that people go through, or one of a berth (in the wall, or the
    /// back of the suit); empty for other openings.
    pub fn hatch_word(&self, o: &Opening) -> &'static str {
        let is = |id: OpeningId| self.openings[id].path == o.path;
        match o.kind {
            OpeningKind::PressureHatch
                if self.berths.iter().any(|b| is(b.port_hatch) || is(b.suit_hatch)) =>
            {
                "berth hatch"
            }
            OpeningKind::PressureHatch => "crew hatch",
            _ => "",
        }
    }

    /// The berth of which an opening is the interface.
    pub fn berth_of(&self, interface: OpeningId) -> Option<&Berth> {
        self.berths.iter().find(|b| b.interface == interface)
    }

    /// Pump that empties `volume`, if it has one.
    pub fn pump_of(&self, volume: VolumeId) -> Option<usize> {
        self.pumps.iter().position(|p| p.on == volume)
    }
    /// The pressure a row brings a volume to: the one place that says it, for play, the dry walk and
    /// planned times alike.
    pub fn level(&self, row: &Row, volume: VolumeId) -> f64 {
        match row.to {
            Aim::Rest | Aim::Working => self.volumes[volume].rest,
            Aim::Ambient => self.ambient + ACROSS,
            Aim::Pascal(p) => p,
        }
    }
    /// Is row `i` a `depress` of what the next row vents? Then a lost pump is no reason to stay in.
    pub fn vented_next(&self, list: &List, i: usize) -> bool {
        let next = list.rows.get(i + 1).map(|r| (r.action, r.on));
        use crate::scenario::Action;
        match (list.rows.get(i).map(|r| (r.action, r.on)), next) {
            (Some((Action::Depress, On::Volumes([v, ..], _))), Some((Action::Vent, on))) => {
                matches!(on, On::Volumes(of, n) if of[..n as usize].contains(&v))
            }
            _ => false,
        }
    }
    /// The volume on the other side of `opening`, seen from `volume`; a suit counts as no volume.
    pub fn across(&self, opening: OpeningId, volume: VolumeId) -> Option<VolumeId> {
        let [a, b] = self.openings[opening].sides;
        let other = if a == Side::Volume(volume) { b } else { a };
        match other {
            Side::Volume(v) => Some(v),
            Side::Suit(_) => None,
        }
    }
    /// `host` in an access file: the cabin of the element that an element docks with.
    pub fn host(&self, element: u16) -> Option<VolumeId> {
        let joined = self.elements[element as usize].joined;
        self.elements.get(joined as usize).map(|e| e.cabin)
    }
    /// Element index by name.
    pub fn element(&self, name: &str) -> Option<u16> {
        self.elements.iter().position(|e| e.name == name).map(|i| i as u16)
    }
    /// Port index by name.
    pub fn port(&self, name: &str) -> Option<u16> {
        self.ports.iter().position(|p| p.name == name).map(|i| i as u16)
    }
}
