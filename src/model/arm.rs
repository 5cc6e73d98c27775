//! One architecture with its numbers.

use super::{Count, Demands, Doors, Group, Hardware, ListPlay, Mode, P, PartMode, Vary};
use crate::base::ids::Table;
use crate::plan::{BerthId, Layout, OpeningId, SuitId, VolumeId};
use crate::scenario::{Action, Vocabulary};

/// One architecture.
#[derive(Clone, Debug)]
pub struct Arm {
    /// Name.
    pub name: String,
    /// Title.
    pub title: String,
    /// Places.
    pub layout: Layout,
    /// Lists, parallel to [`Layout::lists`].
    pub lists: Vec<ListPlay>,
    /// Elements, parallel to [`Layout::elements`].
    pub elements: Vec<ElementPlay>,
    /// Volumes, parallel to [`Layout::volumes`].
    pub volumes: Table<VolumeId, VolumePlay>,
    /// Openings, parallel to [`Layout::openings`].
    pub openings: Table<OpeningId, OpeningPlay>,
    /// Pumps.
    pub pumps: Vec<PumpPlay>,
    /// Stages.
    pub stages: Vec<StagePlay>,
    /// Failure modes and hazards in file order, with what this architecture changes on them.
    pub modes: Vec<Mode>,
    /// Modes on parts.
    pub part_modes: Vec<PartMode>,
    /// Part modes of each opening.
    pub on_opening: Table<OpeningId, Demands>,
    /// Of each pump.
    pub on_pump: Vec<Demands>,
    /// Of each stage.
    pub on_stage: Vec<Demands>,
    /// Of each suit.
    pub on_suit: Table<SuitId, Demands>,
    /// Of each element.
    pub on_element: Vec<Demands>,
    /// Which volumes doors lead between.
    pub doors: Doors,
    /// Hash of the path of each suit: what its draws are addressed by.
    pub suit_hashes: Table<SuitId, u64>,
    /// Common-cause groups.
    pub groups: Vec<Group>,
    /// Modes of crew and suits that are asked per hour outside or per sortie (indices of modes).
    pub outside: Vec<u16>,
    /// Overhead per person and sortie of each activity, s.
    pub overheads: Vec<Vary>,
    /// Ports of each activity, in the order they are used; host element of each.
    pub activity_ports: Vec<Vec<u16>>,
    /// Element each activity starts from.
    pub activity_from: Vec<u16>,
    /// Per store: the largest fill of O2 and N2 among the ways back that draw on it, kg (rule 26).
    pub held_back: Vec<[f64; 2]>,
    /// Mean O2 and N2 that a sortie by each port loses by its rows, kg (rule 26).
    pub own_loss: Vec<[f64; 2]>,
    /// Hardware that weighs something.
    pub hardware: Hardware,
    /// Parts counted.
    pub complexity: Vec<Count>,
    /// Names of haven outcomes: planned, each way back, late, missed.
    pub outcomes: Vec<String>,
    /// Rows of `breakdown.csv`: quantity, cause, unit.
    pub breakdown: Vec<(String, String, String)>,
    /// First index in the breakdown of each block, see [`Blocks`].
    pub blocks: Blocks,
}

/// Number of actions.
pub const ACTIONS: usize = Action::WORDS.len();

/// The quantity of the breakdown that is told per sortie done, not per campaign.
pub const DOOR_TO_DOOR: &str = "door_to_door_min";
/// Quantity of the rows of `breakdown.csv` on what takes up volume.
pub const SYSTEM_VOLUME: &str = "system_volume_m3";

/// Where the blocks of the breakdown start.
#[derive(Clone, Copy, Debug, Default)]
pub struct Blocks {
    /// Lost hours by cause.
    pub lost: usize,
    /// Gas lost by port and cause (ports in order, then "elsewhere").
    pub gas: usize,
    /// O2 lost by port and cause.
    pub oxygen: usize,
    /// N2 lost by port and cause.
    pub nitrogen: usize,
    /// Upkeep by cause.
    pub upkeep: usize,
    /// Dust into cabins by path.
    pub dust: usize,
    /// Dust picked up, then where it is at the end.
    pub dust_book: usize,
    /// Hours out of a shelter by event.
    pub unsheltered: usize,
    /// Parts of the equivalent system mass; `None` where the file gives no factors.
    pub mass: Option<usize>,
    /// What takes up volume; `None` where the file gives no factors.
    pub volume: Option<usize>,
    /// Door-to-door minutes: row of each action, in the order of the vocabulary; `None` where no
    /// list of the architecture has such a row.
    pub door: [Option<u16>; ACTIONS],
}

/// Numbers of an element.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `ElementSpec`
pub struct ElementPlay {
    pub temperature: P,
    pub prebreathe_least: P,
    pub haven_days: P,
    pub shelter: bool,
    pub leak: P,
    pub distance: P,
    pub speed: Option<P>,
    pub range: Option<P>,
    pub picks_up: bool,
    pub cleaning_every: Option<P>,
    pub cleaning_removes: P,
    pub cleaning_takes: Vary,
    pub tolerates_dust: bool,
}

/// Numbers of a volume.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `VolumeSpec` or `ElementSpec`
pub struct VolumePlay {
    pub gas: P,
    pub gear: P,
    pub fed: bool,
    pub mask: bool,
    pub height: P,
    pub deposition: P,
    pub resuspension: P,
    pub filter_flow: P,
    pub filter_efficiency: P,
    pub filter_life: Option<FilterLife>,
    /// Floor cleaning of a volume of an access system: every, share removed, crew time.
    pub cleaning: Option<(P, P, Vary)>,
    pub temperature: P,
    /// It is an element's cabin.
    pub cabin: bool,
    /// It is the gap of a berth, where no dust is kept.
    pub gap: bool,
    /// Index among the volumes that keep dust; `u16::MAX` if none.
    pub room: u16,
    /// Pump, `u16::MAX` if none.
    pub pump: u16,
    /// Valve to outside, [`OpeningId::NONE`] if none.
    pub valve: OpeningId,
    /// Gas store; `u16::MAX` if none.
    pub store: u16,
}

/// How a filter loads.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `FilterLifeSpec`
pub struct FilterLife {
    pub capacity: P,
    pub flow_left: P,
    pub efficiency_left: P,
    pub change: Vary,
    /// Index of the spare.
    pub spare: Option<u16>,
    /// Luck of the changes.
    pub hash: u64,
}

/// A slit that dust can hold open.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)] // named as the keys of `GapSpec`
pub struct Gap {
    pub length: P,
    pub height: P,
    pub path: P,
}

/// Numbers of an opening.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `OpeningSpec`
pub struct OpeningPlay {
    pub clear: Option<P>,
    pub leak: P,
    pub leak_at: P,
    pub diameter: Option<P>,
    pub discharge: P,
    pub air_share: P,
    pub floor_share: P,
    pub dust_share: P,
    pub seal_dust: P,
    pub leak_allowed: Option<P>,
    pub gap: Option<Gap>,
    /// What reaches a suit parked here: share of the dust, factor of calendar failures.
    pub cover_dust: P,
    pub cover_sun: P,
    /// Berth whose suit hatch it is; `u16::MAX` if none.
    pub suit_hatch_of: BerthId,
    /// It holds pressure.
    pub seals: bool,
    /// Crew time at each inspection, s.
    pub inspection: Vary,
    /// Luck of what is drawn for it.
    pub hash: u64,
}

/// Numbers of a pump.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `PumpSpec`
pub struct PumpPlay {
    pub speed: P,
    pub stop: f64,
    pub recovery: P,
    pub reservoir: P,
}

/// Numbers of a stage.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `StageSpec`
pub struct StagePlay {
    pub removes: [P; 4],
    pub captures: [P; 4],
    pub gas: Vary,
    pub upkeep: Vary,
}
