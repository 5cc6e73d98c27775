//! What the scenario means: immutable dense tables by index. Compiling takes what was accepted
//! ([`Checked`](crate::check::Checked)) and cannot fail.
//!
//! Numbers that are *unknown* (rates, volumes, efficiencies) are parameters ([`P`]): one value per
//! campaign, looked up in a slice. Numbers that *vary* (durations, grams) are [`Vary`]: drawn per
//! occasion from one uniform (rule 32).

mod arm;
mod arm_compile;
mod causes;
mod compile;
mod complexity;
mod doors;
mod hazard;
mod lists;
mod mass;
mod params;
mod purpose;
mod review;
pub mod row_time;
mod slots;
mod strikes;
mod times;

pub use arm::*;
use arm_compile::arm_compile;
pub use causes::*;
pub use compile::compile;
pub use complexity::{Count, ITEMS};
pub use doors::Doors;
pub use hazard::*;
pub use lists::*;
pub use mass::*;
pub use params::*;
pub use purpose::Purpose;
pub use review::*;
pub use slots::*;

use crate::plan::Crew;
use crate::scenario::EnvironmentEffect;

/// Everything a campaign is played from.
#[derive(Clone, Debug)]
pub struct Model {
    /// Fingerprint of the files.
    pub fingerprint: u64,
    /// Seed.
    pub seed: u64,
    /// Default number of campaigns.
    pub campaigns: u64,
    /// Campaigns played with each parameter set; `None`: every campaign has a set of its own.
    pub inner: Option<u64>,
    /// Planned length, s.
    pub horizon: f64,
    /// Local day and its earliest planned hour, s, where an activity names an hour.
    pub working: Option<[f64; 2]>,
    /// Parameters.
    pub params: Params,
    /// Rules of the campaign.
    pub rules: Rules,
    /// Body.
    pub body: Body,
    /// Crew.
    pub crew: CrewPlay,
    /// Suits by kind.
    pub suits: Vec<SuitKind>,
    /// Activities.
    pub activities: Vec<Activity>,
    /// Slots in order of time (ties in order of activity).
    pub slots: Vec<Slot>,
    /// Traverses in order of departure.
    pub traverses: Vec<Traverse>,
    /// Environment events.
    pub events: Vec<Event>,
    /// Stores.
    pub stores: Vec<Store>,
    /// Spares: kind and number at the start.
    pub spares: Vec<(String, u32)>,
    /// Factors of the equivalent system mass, if the file gives them.
    pub mass: Option<MassFactors>,
    /// What a review board asks for.
    pub review: Review,
    /// Names of causes, index = cause.
    pub causes: Vec<String>,
    /// Architectures in file order.
    pub arms: Vec<Arm>,
    /// Planned sorties and crew-hours (rule 12), the same in every campaign and architecture.
    pub planned: (u32, f64),
}

/// `[campaign]`, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `CampaignSpec`
pub struct Rules {
    pub duty_day: P,
    pub rest_least: P,
    pub eva_week_most: Option<P>,
    pub reserve: P,
    pub wait_at_most: P,
    pub shut_in_at_most: P,
    pub walk_margin: P,
    pub pressure_rate: P,
    pub prebreathe_ratio: P,
    pub prebreathe_break: P,
    pub mask_oxygen: P,
    pub inspection_every: Option<P>,
    pub inspection_hours: Vary,
    pub bioburden: Option<P>,
    pub bioburden_passes: P,
}

/// `[body]`, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `BodySpec`
pub struct Body {
    pub gravity: P,
    pub dust_limit: f64,
    pub dust_peak_limit: Option<f64>,
    pub dust_density: P,
    pub dust_shape: P,
    pub dust_bins: [P; 4],
    pub dust_airborne: P,
    pub abrasion: P,
    pub bioburden_limit: Option<f64>,
}

/// `[crew]`, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `CrewSpec`
pub struct CrewPlay {
    pub names: Vec<String>,
    pub hashes: Vec<u64>,
    pub rest: Vary,
    /// Mean of `work`: what margins and the reserve are reckoned at.
    pub work: f64,
    pub walk: Vary,
    pub ride: Vary,
    pub with_casualty: Vary,
    pub walk_speed: Vary,
    pub helped_speed: Vary,
    pub stretcher_speed: Vary,
    pub lift: Vary,
    pub displaces: P,
    pub illness: Option<P>,
    pub illness_lasts: Vary,
}

/// `[suit.NAME]`, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `SuitSpec`
pub struct SuitKind {
    pub name: String,
    pub pressure: f64,
    pub port_limit: Option<P>,
    pub width: P,
    pub gas_volume: P,
    pub primary: P,
    pub primary_at: P,
    pub secondary: P,
    pub shares_secondary: bool,
    pub battery: Option<P>,
    pub oxygen: Option<P>,
    pub water: Option<P>,
    pub carbon_dioxide: Option<P>,
    pub equipment: P,
    pub leak: P,
    pub purge_flow: P,
    pub purity: P,
    pub respiratory_quotient: P,
    pub recharge_elapsed: Vary,
    pub maintenance_every: Option<u32>,
    pub maintenance_takes: Vary,
    pub maintenance_sheds: P,
    pub doff_sheds: P,
    pub parked_dust: P,
}

/// One environment event.
#[derive(Clone, Debug)]
pub struct Event {
    /// Name.
    pub name: String,
    /// Luck.
    pub hash: u64,
    /// Cause index.
    pub cause: u16,
    /// Announcements per s while none is in force; 0 for what comes by the calendar.
    pub rate: P,
    /// First onset and time between onsets, s, of what comes by the calendar.
    pub calendar: Option<(f64, f64)>,
    /// From announcement to onset, s.
    pub warning: Vary,
    /// From onset to end, s.
    pub lasts: Vary,
    /// What it does.
    pub effect: EnvironmentEffect,
    /// People are to be in a shelter while it lasts.
    pub shelter: bool,
    /// First beginning, length and spacing of the seasons it comes in, s.
    pub season: Option<[f64; 3]>,
    /// A rover on a traverse turns home when it is announced.
    pub rovers_return: bool,
}

/// One gas store.
#[derive(Clone, Debug)]
pub struct Store {
    /// Name.
    pub name: String,
    /// O2 at the start, kg.
    pub oxygen: P,
    /// N2 at the start, kg.
    pub nitrogen: P,
    /// Store that fills it when an element that it feeds docks.
    pub filled_from: Option<u16>,
    /// Cooling water at the start, kg; `None`: never short.
    pub water: Option<P>,
    /// Resupply flights.
    pub resupply: Vec<Resupply>,
}

/// One resupply flight.
#[derive(Clone, Debug)]
pub struct Resupply {
    /// Planned time, s.
    pub at: Vary,
    /// Chance to come then.
    pub on_time: P,
    /// Delay otherwise, s.
    pub slip: Vary,
    /// O2, kg.
    pub oxygen: P,
    /// N2, kg.
    pub nitrogen: P,
    /// Cooling water, kg.
    pub water: P,
    /// Spares: index and number.
    pub spares: Vec<(u16, u32)>,
    /// Luck.
    pub hash: u64,
}

impl Model {
    /// The parameter set that a campaign is played with: with an outer loop campaign
    /// j x inner + i has set j (rule 32), otherwise its own. Luck goes by the full number.
    pub fn set_of(&self, campaign: u64) -> u64 {
        campaign / self.inner.unwrap_or(1)
    }
}

/// Persons of a set as roster bits.
pub fn crew_of(indices: &[usize]) -> Crew {
    indices.iter().fold(0, |c, i| c | 1 << i)
}
