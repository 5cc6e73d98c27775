//! The records of a campaign file and of the files it includes, one per section.

use super::review::{DecisionSpec, LimitSpec, MassSpec, RankingSpec, SpareSpec};
use super::vocabulary::*;
use crate::base::law::Law;

/// Where something was written: an index into [`Sources`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At(pub u32);

/// One place in the files.
#[derive(Clone, Debug, Default)]
pub struct Place {
    /// Index into [`Sources::files`].
    pub file: u16,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// Key path, for example `element.habitat.volume` or `list.ingress[3].takes`.
    pub path: String,
    /// The value as written (shortened), empty for whole tables.
    pub value: String,
}

/// Every place that a record of the scenario can point to.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    /// File names as shown to the user, the campaign file first.
    pub files: Vec<String>,
    /// Places, indexed by [`At`]. Entry 0 is the campaign file itself.
    pub places: Vec<Place>,
}

/// A value with its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot<T> {
    /// The value.
    pub it: T,
    /// Where it was written.
    pub at: At,
}

/// A number in SI (or a law of numbers), with its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Num {
    /// Fixed or distributed value, SI.
    pub law: Law,
    /// Overrides how it is drawn; `None`: as its key says (varies or unknown).
    pub per: Option<Per>,
    /// Where it was written.
    pub at: At,
}

/// Where an entry comes from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Provenance {
    /// Free text, as written.
    pub source: Option<String>,
    /// Standing.
    pub basis: Option<Basis>,
}

/// A named entry of a section.
#[derive(Clone, Debug)]
pub struct Named<T> {
    /// Its name.
    pub name: String,
    /// Where its table begins.
    pub at: At,
    /// Source and basis, if given.
    pub provenance: Provenance,
    /// The entry.
    pub it: T,
}

/// Everything that was written.
#[derive(Clone, Debug)]
pub struct Scenario {
    /// Places and file names.
    pub sources: Sources,
    /// Fingerprint (FNV-1a 64) over the bytes of all files in reading order.
    pub fingerprint: u64,
    /// `[study]`
    pub study: StudySpec,
    /// `[body]`
    pub body: BodySpec,
    /// `[campaign]`
    pub campaign: CampaignSpec,
    /// `[crew]`
    pub crew: CrewSpec,
    /// `[suit.NAME]`
    pub suits: Vec<Named<SuitSpec>>,
    /// `[element.NAME]` as written, before any architecture changes it.
    pub elements: Vec<Named<ElementSpec>>,
    /// `[activity.NAME]` in file order.
    pub activities: Vec<Named<ActivitySpec>>,
    /// `[failure.NAME]` in file order (order matters: first acts).
    pub failures: Vec<Named<FailureSpec>>,
    /// `[environment]`
    pub environment: EnvironmentSpec,
    /// `[store.NAME]`
    pub stores: Vec<Named<StoreSpec>>,
    /// `[spare.NAME]`: how many are there at the start, and what one weighs.
    pub spares: Vec<Named<SpareSpec>>,
    /// `[limit.NAME]`
    pub limits: Vec<Named<LimitSpec>>,
    /// `[mass]`, optional: without it there is no equivalent system mass.
    pub mass: Option<MassSpec>,
    /// `[ranking.NAME]`
    pub rankings: Vec<Named<RankingSpec>>,
    /// `[decision]`, optional.
    pub decision: Option<DecisionSpec>,
    /// `[law.NAME]`: durations (s) that rows of any access file may name in `takes`; a law of the
    /// access file itself comes first.
    pub laws: Vec<Named<Num>>,
    /// Access files, named by file stem; then the copies of ports that change numbers of theirs.
    pub access: Vec<Named<AccessSpec>>,
    /// `[architecture.NAME]` in file order.
    pub architectures: Vec<Named<ArchitectureSpec>>,
    /// Every `source` and `basis` met, with the key path of its entry, in reading order.
    pub assumptions: Vec<(At, Provenance)>,
}

/// `[study]`
#[derive(Clone, Debug)]
pub struct StudySpec {
    /// `seed` (required)
    pub seed: u64,
    /// `campaigns`: default number, at least 1; with loops `outer` times `inner`.
    pub campaigns: u64,
    /// `inner`: campaigns played with each parameter set; `None` without an outer loop: every
    /// campaign has a parameter set of its own.
    pub inner: Option<u64>,
    /// Where the section stands.
    pub at: At,
}

/// `[body]`
#[derive(Clone, Debug)]
pub struct BodySpec {
    /// `name`: "Moon" or "Mars" (text; only the check of the dust limit looks at it).
    pub name: Spot<String>,
    /// `gravity`, m/s2
    pub gravity: Num,
    /// `ambient`, Pa
    pub ambient: Num,
    /// `dust_limit`, kg/m3: 24-hour average, particles below 10 um.
    pub dust_limit: Num,
    /// `dust_peak_limit`, kg/m3, optional.
    pub dust_peak_limit: Option<Num>,
    /// `dust_density`, kg/m3
    pub dust_density: Num,
    /// `dust_shape`: dynamic shape factor.
    pub dust_shape: Num,
    /// `dust_bins`: mass shares of the four size bins (< 2.5, 2.5-10, 10-50, > 50 um), sum 1.
    pub dust_bins: [Num; 4],
    /// `dust_airborne`: share of arriving fine dust (two fine bins) that goes to the air.
    pub dust_airborne: Num,
    /// `abrasion`: factor on dust damage and dust wear (1 for lunar dust).
    pub abrasion: Num,
    /// `bioburden_limit`: living cells (cfu) that a campaign may let out, optional.
    pub bioburden_limit: Option<Num>,
}

/// `[campaign]`
#[derive(Clone, Debug)]
pub struct CampaignSpec {
    /// `length`, s
    pub length: Num,
    /// `day`, s: length of the local day that `hour` of an activity counts in (default 24 h).
    pub day: Num,
    /// `duty_day`, s
    pub duty_day: Num,
    /// `rest_least`, s (default 10 h): rest needed before a slot.
    pub rest_least: Num,
    /// `eva_week_most`, s, optional: hours outside per person in any seven days.
    pub eva_week_most: Option<Num>,
    /// `reserve`, s: life support kept when deciding to turn back.
    pub reserve: Num,
    /// `wait_at_most`, s (default 60 min) for a port in use.
    pub wait_at_most: Num,
    /// `shut_in_at_most`, s (default 24 h): how long people stay in a filled chamber whose opening
    /// towards a cabin does not move before they try another way (rule 19).
    pub shut_in_at_most: Num,
    /// `walk_margin` (default 0.25): a walk of kilometres fits what is left if it would, so much longer,
    /// too (rule 22).
    pub walk_margin: Num,
    /// `pressure_rate`, Pa/s: limit on repressurisation.
    pub pressure_rate: Num,
    /// `prebreathe_ratio`: target tissue N2 / suit pressure.
    pub prebreathe_ratio: Num,
    /// `prebreathe_least`, s: protocol minimum (default 0).
    pub prebreathe_least: Num,
    /// `prebreathe_break`: time owed per time of interruption of a prebreathe (default 2).
    pub prebreathe_break: Num,
    /// `mask_oxygen`: O2 fraction breathed from a mask (default 1).
    pub mask_oxygen: Num,
    /// `inspection_every`, s, optional: hidden failures with "at next inspection" are found then.
    pub inspection_every: Option<Num>,
    /// `inspection_hours`, crew-seconds per inspection (default 0).
    pub inspection_hours: Num,
    /// `inspection_takes`, s of crew time per opening with a seal at each inspection (default 0).
    pub inspection_takes: Num,
    /// `bioburden`, 1/m3 (cfu per cubic metre of cabin air), optional.
    pub bioburden: Option<Num>,
    /// `bioburden_passes`: share of the cells that passes the filters of pumps and valves (default 1).
    pub bioburden_passes: Num,
}

/// `[crew]`
#[derive(Clone, Debug)]
pub struct CrewSpec {
    /// `names` in file order: the roster.
    pub names: Vec<Spot<String>>,
    /// `rest`, W
    pub rest: Num,
    /// `work`, W, default for activities.
    pub work: Num,
    /// `walk`, W
    pub walk: Num,
    /// `ride`, W: on a rover outside; left out: as `rest`.
    pub ride: Option<Num>,
    /// `with_casualty`, W
    pub with_casualty: Num,
    /// `walk_speed`, m/s
    pub walk_speed: Num,
    /// `helped_speed`, m/s: with a casualty who walks with help.
    pub helped_speed: Num,
    /// `stretcher_speed`, m/s: partner alone with a casualty who must be carried.
    pub stretcher_speed: Num,
    /// `home`: element of those whose activities start from several or none.
    pub home: Option<Spot<String>>,
    /// `lift`, s: getting a casualty onto a stretcher (default 0).
    pub lift: Num,
    /// `displaces`, m3 per suited person.
    pub displaces: Num,
    /// `illness`, 1/s per person, optional.
    pub illness: Option<Num>,
    /// `illness_lasts`, s
    pub illness_lasts: Option<Num>,
}

/// `[suit.NAME]`
#[derive(Clone, Debug)]
pub struct SuitSpec {
    /// `mass`, kg, optional: for the equivalent system mass.
    pub mass: Option<Num>,
    /// `envelope`, m3, optional: outfitting volume that it takes up.
    pub envelope: Option<Num>,
    /// `pressure`, Pa: working pressure.
    pub pressure: Num,
    /// `port_limit`, Pa: largest cabin-to-outside difference it takes at a port; absent: not a rear-entry suit.
    pub port_limit: Option<Num>,
    /// `width`, m over the back plate.
    pub width: Num,
    /// `gas_volume`, m3 free gas in the suit.
    pub gas_volume: Num,
    /// `primary`, s at `primary_at`.
    pub primary: Num,
    /// `primary_at`, W
    pub primary_at: Num,
    /// `secondary`, s
    pub secondary: Num,
    /// `shares_secondary`: partners in such suits can share secondary minutes while they are together
    /// (default false).
    pub shares_secondary: Spot<bool>,
    /// `battery`, s (optional; another limit)
    pub battery: Option<Num>,
    /// `oxygen`, kg in the primary tank (optional; another limit): metabolism and leak
    pub oxygen: Option<Num>,
    /// `water`, kg for cooling (optional; another limit)
    pub water: Option<Num>,
    /// `carbon_dioxide`, kg that the canister takes up (optional; another limit)
    pub carbon_dioxide: Option<Num>,
    /// `equipment`, W: heat of the electronics, cooled beside the wearer's (default 0)
    pub equipment: Num,
    /// `leak`, kg/s of O2
    pub leak: Num,
    /// `purge_flow`, kg/s of O2 while purging
    pub purge_flow: Num,
    /// `purity`: O2 fraction breathed in prebreathe after purge.
    pub purity: Num,
    /// `respiratory_quotient`
    pub respiratory_quotient: Num,
    /// `recharge_elapsed`, s (default 0): from coming home until it may be donned by plan.
    pub recharge_elapsed: Num,
    /// `maintenance_every`: sorties between indoor maintenance, optional.
    pub maintenance_every: Option<Spot<u32>>,
    /// `maintenance_takes`, s crew time of one person.
    pub maintenance_takes: Option<Num>,
    /// `maintenance_sheds`: share of the dust on the suit shed where it is maintained (default 0).
    pub maintenance_sheds: Num,
    /// `doff_sheds`: share of the dust on the suit shed where it is doffed.
    pub doff_sheds: Num,
    /// `parked_dust`, kg/s that settles on a suit that hangs outdoors without a cover (default 0).
    pub parked_dust: Num,
}

/// `[element.NAME]`
#[derive(Clone, Debug)]
pub struct ElementSpec {
    /// `kind`
    pub kind: Spot<ElementKind>,
    /// `volume`, m3 gas volume of the cabin.
    pub volume: Num,
    /// `pressure`, Pa set point.
    pub pressure: Num,
    /// `band`, Pa half width of the control band.
    pub band: Num,
    /// `oxygen`: O2 mole fraction, the rest nitrogen.
    pub oxygen: Num,
    /// `oxygen_most`, optional: largest O2 fraction that what is in it is qualified for.
    pub oxygen_most: Option<Num>,
    /// `temperature`, K
    pub temperature: Num,
    /// `prebreathe_least`, s, optional: protocol minimum here (default: the campaign's).
    pub prebreathe_least: Option<Num>,
    /// `haven_people`: how many can stay in an emergency (0: no haven).
    pub haven_people: Spot<u32>,
    /// `haven_days`, s
    pub haven_days: Num,
    /// `shelter`: its cabin shelters from events that ask for it (default true).
    pub shelter: Spot<bool>,
    /// `tolerates_vacuum`
    pub tolerates_vacuum: Spot<bool>,
    /// `tolerates_dust`
    pub tolerates_dust: Spot<bool>,
    /// `filter_flow`, m3/s
    pub filter_flow: Num,
    /// `filter_efficiency`
    pub filter_efficiency: Num,
    /// `filter_life`, optional: how the filter loads and is changed.
    pub filter_life: Option<FilterLifeSpec>,
    /// `height`, m: volume over floor area.
    pub height: Num,
    /// `deposition`: multiplier on settling area.
    pub deposition: Num,
    /// `resuspension`, 1/s
    pub resuspension: Num,
    /// `cleaning_every`, s, optional: floor cleaning.
    pub cleaning_every: Option<Num>,
    /// `cleaning_removes`: fraction (default 0.7).
    pub cleaning_removes: Num,
    /// `cleaning_takes`, s of one person.
    pub cleaning_takes: Num,
    /// `inside_least`: able persons who stay when a team goes out (default 1; 0 for a rover).
    pub inside_least: Spot<u32>,
    /// `leak`, kg/s at rest pressure through the shell (default 0).
    pub leak: Num,
    /// `store`: which gas store holds it at pressure.
    pub store: Option<Spot<String>>,
    /// `joined`: element it is joined to shirt-sleeve (for a rover: where it docks).
    pub joined: Option<Spot<String>>,
    /// `distance`, m from the first habitat (default 0); a rover is where it was driven.
    pub distance: Num,
    /// `speed`, m/s (rovers)
    pub speed: Option<Num>,
    /// `range`, m (rovers)
    pub range: Option<Num>,
    /// `picks_up`: it drives without a crew to people whose rover broke down (rovers).
    pub picks_up: Spot<bool>,
    /// `ascent`: it is the ascent vehicle.
    pub ascent: Spot<bool>,
    /// `played`: false for an element that is only checked (default true).
    pub played: Spot<bool>,
    /// `suit_dust`, kg, optional: on a suit that comes into an element that is only checked.
    pub suit_dust: Option<Num>,
    /// `opening.NAME`: openings of the element itself (docking hatches, side hatches, relief valves);
    /// names in `between` are `cabin`, `outside` or `ELEMENT.cabin`.
    pub openings: Vec<Named<OpeningSpec>>,
}

/// One opening.
#[derive(Clone, Debug)]
pub struct OpeningSpec {
    /// `mass`, kg, optional: for the equivalent system mass.
    pub mass: Option<Num>,
    /// `envelope`, m3, optional: outfitting volume that it takes up.
    pub envelope: Option<Num>,
    /// `seal_length`, m of all its seals together, optional: for the count of complexity.
    pub seal_length: Option<Num>,
    /// `kind`
    pub kind: Spot<OpeningKind>,
    /// `between`: two volume names.
    pub between: [Spot<String>; 2],
    /// `rest`
    pub rest: Spot<OpeningRest>,
    /// `count` equal instances (default 1).
    pub count: Spot<u32>,
    /// `clear`, m clear width, optional.
    pub clear: Option<Num>,
    /// `leak`, kg/s of its seals when clean (default 0).
    pub leak: Num,
    /// `leak_at`, Pa difference at which `leak` is given (default: element's rest pressure).
    pub leak_at: Option<Num>,
    /// `diameter`, m (valves)
    pub diameter: Option<Num>,
    /// `discharge`: discharge coefficient of a valve (default 0.8).
    pub discharge: Num,
    /// `air_share`: share of either side's airborne stock that crosses at each use (default 0.1).
    pub air_share: Num,
    /// `floor_share`: share of the outer side's surface stock tracked in per inward pass (default 0).
    pub floor_share: Num,
    /// `dust_share`: share of the suit's own dust a suit interface passes when it opens inward (default 0).
    pub dust_share: Num,
    /// `seal_dust`, kg/m2 added to the seal at each closing or mating by a team that has been outside
    /// (default 0).
    pub seal_dust: Num,
    /// `leak_allowed`, kg/s at `leak_at`: more than this does not pass a pressure check, optional.
    pub leak_allowed: Option<Num>,
    /// `gap`, optional: the largest gap that dust can hold open.
    pub gap: Option<GapSpec>,
    /// `cover`, optional: what shelters a suit parked here (suit interfaces).
    pub cover: Option<CoverSpec>,
    /// `docking`: counted per docking transfer (default false).
    pub docking: Spot<bool>,
    /// `make`, optional: a common cause by kind joins what is of one make (default: what says none).
    pub make: Option<Spot<String>>,
    /// `inspection_takes`, s of crew time at each inspection; default for what has a seal: the
    /// campaign's.
    pub inspection_takes: Option<Num>,
}

/// `gap = { .. }`: a thin slit between the faces of a seal.
#[derive(Clone, Debug)]
pub struct GapSpec {
    /// `length`, m of lifted seal, across the flow.
    pub length: Num,
    /// `height`, m
    pub height: Num,
    /// `path`, m along the flow.
    pub path: Num,
}

/// `cover = { .. }`: shelter of a suit that hangs outdoors.
#[derive(Clone, Debug)]
pub struct CoverSpec {
    /// `dust`: share of the settling dust that still reaches the suit (default 1).
    pub dust: Num,
    /// `sun`: factor on its failures by calendar hour outdoors (default 1).
    pub sun: Num,
    /// Where it stands.
    pub at: At,
}

/// `filter_life = { .. }`: a filter loads with the dust it holds and is changed when full.
#[derive(Clone, Debug)]
pub struct FilterLifeSpec {
    /// `capacity`, kg of dust at which it is changed.
    pub capacity: Num,
    /// `flow_left`: share of the flow that a full one still passes (default 1); linear in the load.
    pub flow_left: Num,
    /// `efficiency_left`: share of its efficiency that a full one still has (default 1); linear.
    pub efficiency_left: Num,
    /// `change`, s of crew time (default 0).
    pub change: Num,
    /// `spare`: kind used up per change, optional.
    pub spare: Option<Spot<String>>,
}

/// One access file: how one gets through a wall.
#[derive(Clone, Debug)]
pub struct AccessSpec {
    /// `volume.NAME`
    pub volumes: Vec<Named<VolumeSpec>>,
    /// `opening.NAME`
    pub openings: Vec<Named<OpeningSpec>>,
    /// `pump.NAME`
    pub pumps: Vec<Named<PumpSpec>>,
    /// `stage.NAME`
    pub stages: Vec<Named<StageSpec>>,
    /// `law.NAME` of this file (durations, SI); rows name them in `takes`.
    pub laws: Vec<Named<Num>>,
    /// `list.egress`
    pub egress: Option<ListSpec>,
    /// `list.ingress`
    pub ingress: Option<ListSpec>,
    /// `list.service-in`: replaces ingress when a suit's indoor maintenance is due.
    pub service_in: Option<ListSpec>,
    /// `list.service-out`: replaces egress for suits that were brought indoors.
    pub service_out: Option<ListSpec>,
    /// `list.service-needs`: conditions for both.
    pub service_needs: Vec<Spot<String>>,
    /// `list.restore`: puts the port at rest, played by crew inside.
    pub restore: Option<ListSpec>,
    /// `list.dock`: from the element into the one it docks with, when it has come back.
    pub dock: Option<ListSpec>,
    /// `list.undock`: from the one it docks with into the element, and free of it.
    pub undock: Option<ListSpec>,
    /// `list.way_back.NAME`
    pub ways_back: Vec<Named<WayBackSpec>>,
}

/// One volume of an access system.
#[derive(Clone, Debug)]
pub struct VolumeSpec {
    /// `mass`, kg, optional: for the equivalent system mass.
    pub mass: Option<Num>,
    /// `envelope`, m3, optional: outfitting volume that it takes up (default: `free`).
    pub envelope: Option<Num>,
    /// `free`, m3 gas volume.
    pub free: Num,
    /// `rest`: `cabin`, `outside` or a pressure in Pa.
    pub rest: Spot<Target>,
    /// `holds` persons (default: any number).
    pub holds: Option<Spot<u32>>,
    /// `count` equal instances (default 1).
    pub count: Spot<u32>,
    /// `gear`, m3 displaced by stowed things (default 0).
    pub gear: Num,
    /// `fed`: held at set pressure by the store (default true).
    pub fed: Spot<bool>,
    /// `mask`: who is out of a suit here breathes no dust (default false).
    pub mask: Spot<bool>,
    /// `filter_flow`, m3/s (default 0).
    pub filter_flow: Num,
    /// `filter_efficiency` (default 0.9997).
    pub filter_efficiency: Num,
    /// `filter_life`, optional: how the filter loads and is changed.
    pub filter_life: Option<FilterLifeSpec>,
    /// `height`, m (default 2.0).
    pub height: Num,
    /// `cleaning_every`, s, optional: floor cleaning, done while the volume is habitable.
    pub cleaning_every: Option<Num>,
    /// `cleaning_removes`: fraction (default 0.7).
    pub cleaning_removes: Num,
    /// `cleaning_takes`, s of one person (default 0).
    pub cleaning_takes: Num,
}

/// A pressure named in a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// `cabin`: the host element's set pressure.
    Cabin,
    /// `outside`: ambient (a vent stops at ambient + 1 kPa).
    Outside,
    /// `working`: the suit's working pressure.
    Working,
    /// A pressure in Pa.
    Pascal(f64),
}

/// One pump.
#[derive(Clone, Debug)]
pub struct PumpSpec {
    /// `mass`, kg, optional: for the equivalent system mass.
    pub mass: Option<Num>,
    /// `envelope`, m3, optional: outfitting volume that it takes up.
    pub envelope: Option<Num>,
    /// `on`: volume it empties.
    pub on: Spot<String>,
    /// `speed`, m3/s
    pub speed: Num,
    /// `stop`, Pa: does not pump below.
    pub stop: Num,
    /// `recovery`: share of the gas above the stop that is recovered.
    pub recovery: Num,
    /// `to`: volume (or `store`) the recovered gas goes to.
    pub to: Spot<String>,
    /// `power`, W, optional.
    pub power: Option<Num>,
    /// `reservoir`, m3 (default 0): an evacuated tank that the volume equalises with before the pump
    /// runs; the pump empties it into the store while the crew is out.
    pub reservoir: Num,
}

/// One dust stage, recharge panel or umbilical.
#[derive(Clone, Debug)]
pub struct StageSpec {
    /// `mass`, kg, optional: for the equivalent system mass.
    pub mass: Option<Num>,
    /// `envelope`, m3, optional: outfitting volume that it takes up.
    pub envelope: Option<Num>,
    /// `kind` (default cleaning)
    pub kind: Spot<StageKind>,
    /// `in`: volume or `outside`.
    pub within: Spot<String>,
    /// `removes`: fraction per size bin (cleaning stages), a list of four or one for all.
    pub removes: [Num; 4],
    /// `captures`: fraction of what is removed that the stage holds, per size bin (default 1); the rest
    /// arrives in the volume the stage is in. Outside all that is removed is gone.
    pub captures: [Num; 4],
    /// `gas`, kg per use and person (default 0), lost from the store.
    pub gas: Num,
    /// `upkeep`, s of crew time per use (default 0).
    pub upkeep: Num,
    /// `serves`: persons at once (umbilicals); `None`: everybody.
    pub serves: Option<Spot<u32>>,
}

/// One list of rows.
#[derive(Clone, Debug)]
pub struct ListSpec {
    /// Where it stands.
    pub at: At,
    /// Its rows.
    pub rows: Vec<RowSpec>,
}

/// `list.way_back.NAME`
#[derive(Clone, Debug)]
pub struct WayBackSpec {
    /// `from`: `outside`, `berth` or a volume.
    pub from: Spot<String>,
    /// `needs`: conditions.
    pub needs: Vec<Spot<String>>,
    /// `rows`
    pub rows: Vec<RowSpec>,
    /// `after_rows` (off the clock)
    pub after_rows: Vec<RowSpec>,
}

/// One row: a step, or part of another list.
#[derive(Clone, Debug)]
pub struct RowSpec {
    /// Where it stands.
    pub at: At,
    /// What it is.
    pub it: RowBody,
}

/// Body of a row.
#[derive(Clone, Debug)]
pub enum RowBody {
    /// `{ use = LIST, after = ROW, until = ROW, who = ... }`
    Use(UseSpec),
    /// A step.
    Step(Box<StepSpec>),
}

/// `{ use = LIST, .. }`
#[derive(Clone, Debug)]
pub struct UseSpec {
    /// `use`
    pub list: Spot<String>,
    /// `after`: this row is left out.
    pub after: Option<Spot<String>>,
    /// `until`: this row is played.
    pub until: Option<Spot<String>>,
    /// `who`
    pub who: Option<WhoSpec>,
}

/// Who does a row.
#[derive(Clone, Debug, PartialEq)]
pub enum WhoSpec {
    /// One of the words.
    Word(Spot<Who>),
    /// `inside of X`
    InsideOf(Spot<String>),
}

/// A step row (rules B).
#[derive(Clone, Debug)]
pub struct StepSpec {
    /// `name`, optional.
    pub name: Option<Spot<String>>,
    /// `action`
    pub action: Spot<Action>,
    /// `on`: one name or several (joined volumes).
    pub on: Vec<Spot<String>>,
    /// `each` (default team)
    pub each: Spot<Each>,
    /// `who` (default team)
    pub who: Option<WhoSpec>,
    /// `takes`: a law in s, or the name of a law of the file.
    pub takes: Option<TakesSpec>,
    /// `to`: a pressure.
    pub to: Option<Spot<Target>>,
    /// `gas`: where gas goes or comes from (a volume, `store` or `outside`).
    pub gas: Option<Spot<String>>,
    /// `if_fails`
    pub if_fails: Option<Spot<IfFails>>,
    /// `frees`: chance that this try clears a stuck state.
    pub frees: Option<Num>,
    /// `misses` (leak check)
    pub misses: Option<Num>,
    /// `false_alarm` (leak check)
    pub false_alarm: Option<Num>,
    /// `when`: skip this row unless.
    pub when: Vec<Spot<String>>,
    /// `until` (on wait): a condition.
    pub until: Option<Spot<String>>,
    /// `by` (on travel)
    pub by: Option<Spot<By>>,
    /// `incapacitated`
    pub incapacitated: Option<Spot<Incapacitated>>,
    /// `suit`: whose empty suit is handled.
    pub suit: Option<Spot<Who>>,
}

/// Time a row takes.
#[derive(Clone, Debug, PartialEq)]
pub enum TakesSpec {
    /// A law in s.
    Law(Num),
    /// Name of a law of the same file.
    Name(Spot<String>),
}

/// What happens when a row fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IfFails {
    /// Enter the ingress list where the rest dry-walks to rest (default in egress).
    Abort,
    /// Leave the list and try ways back (default elsewhere).
    NextWayBack,
    /// Try again up to this often, then as the default.
    Retry(u32),
    /// Go on regardless.
    GoOn,
}

/// What an incapacitated person does to a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Incapacitated {
    /// The row is skipped for them.
    Skip,
    /// `{ takes, probability }` replaces the time.
    Takes(Num, Option<Num>),
    /// `{ adds, probability }` adds to the time.
    Adds(Num, Option<Num>),
    /// `{ times, probability }` multiplies the time.
    Times(f64, Option<Num>),
}

/// `[activity.NAME]`
#[derive(Clone, Debug)]
pub struct ActivitySpec {
    /// `from`: element it starts from.
    pub from: Spot<String>,
    /// `ports`: the first intact one is used.
    pub ports: Vec<Spot<String>>,
    /// `team`: persons.
    pub team: Spot<u32>,
    /// `crew`: names who take part (default: all, in file order).
    pub crew: Vec<Spot<String>>,
    /// `per_week`: slot k at (k - 1/2)/rate; one of `per_week`, `at`, `traverse`.
    pub per_week: Option<Spot<f64>>,
    /// `at`: slot times, s.
    pub at_times: Vec<Spot<f64>>,
    /// `traverse`
    pub traverse: Option<TraverseSpec>,
    /// `hour`, s: slots begin at this time of their local day; optional.
    pub hour: Option<Num>,
    /// `hours`, s of work wanted per sortie.
    pub hours: Num,
    /// `nominal_hours`, s for which the dust law is given (default: mean of `hours`).
    pub nominal_hours: Num,
    /// `overhead`, s per person and sortie (default 0): briefing, tools, servicing.
    pub overhead: Num,
    /// `distance`, m one way (default 0).
    pub distance: Num,
    /// `by`: foot (default) or rover outside.
    pub by: Spot<By>,
    /// `dust`, kg per suit and nominal hours.
    pub dust: Num,
    /// `work`, W (default: the crew's).
    pub work: Option<Num>,
    /// `suit`: kind that its teams wear (default: those placed at the port).
    pub suit: Option<Spot<String>>,
}

/// `traverse = { .. }`: the rover goes out for some days.
#[derive(Clone, Debug)]
pub struct TraverseSpec {
    /// `first`, s: first departure.
    pub first: Num,
    /// `every`, s between departures.
    pub every: Num,
    /// `count`: how many traverses.
    pub count: Spot<u32>,
    /// `days`: number of days with sorties.
    pub days: Spot<u32>,
    /// `per_day`: sorties a day; slot at departure + day + (k - 1/2)/per_day.
    pub per_day: Spot<u32>,
    /// `drive`, m out (and back).
    pub drive: Num,
    /// `each_day`, m driven on every further day, as far from home as before (default 0).
    pub each_day: Num,
    /// `repair_within`, s: a rover that broke down is left after this (default 24 h).
    pub repair_within: Num,
    /// Where it stands.
    pub at: At,
}

/// `[failure.NAME]`: one failure mode or hazard.
#[derive(Clone, Debug)]
pub struct FailureSpec {
    /// `on`: a kind (`pressure hatch`, of these `crew hatch` and `berth hatch`, `dust door`,
    /// `suit interface`, `valve`, `seal`, `pump`, `stage`, `panel`, `umbilical`, `suit`, `rover`, `crew`,
    /// `element`) or a named part (`port.part` or `element.part`); or several of them.
    pub on: Vec<Spot<String>>,
    /// `when`
    pub when: Spot<Trigger>,
    /// `law`: probability per demand, rate per s (or per m driven), or Weibull life (cycles, demands or s).
    pub law: Num,
    /// Life and shape of a Weibull law, each of which may be a law; `law` then holds their means.
    pub ages: Option<[Num; 2]>,
    /// `worn`: from an age on the hazard is greater.
    pub worn: Option<WornSpec>,
    /// `shared`: do all parts have one drawn value of `law` (default true).
    pub shared: Spot<bool>,
    /// `effect`
    pub effect: Spot<Effect>,
    /// `factor` for `slower` and `leak` (default 2).
    pub factor: Num,
    /// `holds`: for `leak`: does the volume still hold its pressure check (default true).
    pub holds: Spot<bool>,
    /// `dusty`: factor on the hazard while the part's seal carries dust (default 1); what it adds is
    /// scaled by the body's `abrasion`.
    pub dusty: Num,
    /// `only_dusty`: it strikes only at a dirty closing, or while the seal carries dust; its hazard is
    /// scaled by the body's `abrasion` (default false).
    pub only_dusty: Spot<bool>,
    /// `adds_up`: it can strike again before it is mended, and `factor` multiplies (default false).
    pub adds_up: Spot<bool>,
    /// `outdoors`: per calendar hour a suit hangs outdoors, not per hour of campaign (default false).
    pub outdoors: Spot<bool>,
    /// `common`: `{ group, beta }`
    pub common: Option<(Spot<String>, Num)>,
    /// `noticed` (default at once)
    pub noticed: Spot<Noticed>,
    /// `during`, optional.
    pub during: Option<Spot<During>>,
    /// `severity` (crew incapacitated): shares of the severities in the order of the vocabulary, sum 1;
    /// a word has all.
    pub severity: Option<Spot<[f64; 3]>>,
    /// `treatment`, s from incapacitation to doffing (crew incapacitated), optional.
    pub treatment: Option<Num>,
    /// `off_duty`, s (default 14 d); `"for good"` is read as an infinite fixed law.
    pub off_duty: Num,
    /// `repair`, optional: none means it stays so.
    pub repair: Option<RepairSpec>,
}

impl FailureSpec {
    /// Is this kind or part among those that it strikes?
    pub fn is_on(&self, what: &str) -> bool {
        self.on.iter().any(|on| on.it == what)
    }
}

/// `worn = { .. }`: a part that wears, beside a probability or rate.
#[derive(Clone, Debug)]
pub struct WornSpec {
    /// `from`: age at which it begins, in what `when` counts: demands, s or m.
    pub from: Num,
    /// `factor` on the hazard from there on.
    pub factor: Num,
    /// Where it stands.
    pub at: At,
}

/// `repair = { .. }`
#[derive(Clone, Debug)]
pub struct RepairSpec {
    /// `takes`, s elapsed.
    pub takes: Num,
    /// `crew`: how many work on it.
    pub crew: Spot<u32>,
    /// `spare`: kind used up when an attempt ends, optional.
    pub spare: Option<Spot<String>>,
    /// `success`: chance per attempt (default 1).
    pub success: Num,
    /// `without_spare`: chance of an attempt for which there is no spare, optional.
    pub without_spare: Option<Num>,
    /// `from` (default inside)
    pub from: Spot<RepairFrom>,
    /// `renews` (default as new)
    pub renews: Spot<Renews>,
    /// `replace_every`, s: planned replacement, failed or not; each takes what an attempt takes.
    pub replace_every: Option<Num>,
    /// Where it stands.
    pub at: At,
}

/// `[environment]`
#[derive(Clone, Debug, Default)]
pub struct EnvironmentSpec {
    /// `environment.NAME`: events.
    pub events: Vec<Named<EventSpec>>,
}

/// `[environment.NAME]`: something that comes at a rate and lasts.
#[derive(Clone, Debug)]
pub struct EventSpec {
    /// `rate`, 1/s (of announcements, while none is in force); this or `every`.
    pub rate: Option<Num>,
    /// `every`, s between onsets.
    pub every: Option<Num>,
    /// `first` onset, s (default 0).
    pub first: Num,
    /// `warning`, s between announcement and onset (default 0).
    pub warning: Num,
    /// `lasts`, s from onset.
    pub lasts: Num,
    /// `effect`
    pub effect: Spot<EnvironmentEffect>,
    /// `shelter`: people are to be in a shelter from its onset until it is over (default false).
    pub shelter: Spot<bool>,
    /// `season`: when it can be announced; `None`: always.
    pub season: Option<SeasonSpec>,
    /// `rovers_return`: a rover on a traverse turns home at the announcement (default false).
    pub rovers_return: Spot<bool>,
}

/// `season = { .. }` of an event that comes at a rate.
#[derive(Clone, Debug)]
pub struct SeasonSpec {
    /// `first`, s: its first beginning.
    pub first: Num,
    /// `lasts`, s
    pub lasts: Num,
    /// `every`, s between beginnings.
    pub every: Num,
    /// Where it stands.
    pub at: At,
}

/// `[store.NAME]`
#[derive(Clone, Debug)]
pub struct StoreSpec {
    /// `oxygen`, kg beyond cabin breathing.
    pub oxygen: Num,
    /// `nitrogen`, kg
    pub nitrogen: Num,
    /// `water`, kg, optional (not limiting when absent).
    pub water: Option<Num>,
    /// `filled_from`: store that fills it up to what it held at the start, whenever an element that
    /// it feeds docks; optional.
    pub filled_from: Option<Spot<String>>,
    /// `resupply = [ .. ]`
    pub resupply: Vec<ResupplySpec>,
}

/// One resupply flight.
#[derive(Clone, Debug)]
pub struct ResupplySpec {
    /// `at`, s planned.
    pub day: Num,
    /// `on_time`: chance.
    pub on_time: Num,
    /// `slip`, s when not on time.
    pub slip: Num,
    /// `oxygen`, kg
    pub oxygen: Num,
    /// `nitrogen`, kg
    pub nitrogen: Num,
    /// `water`, kg
    pub water: Num,
    /// `spares`: kind and count.
    pub spares: Vec<(Spot<String>, u32)>,
    /// Where it stands.
    pub at: At,
}

/// `[architecture.NAME]`
#[derive(Clone, Debug)]
pub struct ArchitectureSpec {
    /// `title`
    pub title: String,
    /// Elements with this architecture's `element.NAME` keys laid over them, in the order of the file.
    pub elements: Vec<Named<ElementSpec>>,
    /// `port.NAME = { element, access }`
    pub ports: Vec<Named<PortSpec>>,
    /// Failure modes with this architecture's `failure.NAME` keys laid over them, in the order of the
    /// file.
    pub failures: Vec<Named<FailureSpec>>,
    /// Activities with this architecture's `activity.NAME.overhead` laid over them, in the order of the
    /// file; nothing else of them differs.
    pub activities: Vec<Named<ActivitySpec>>,
    /// `suits = [ { suit, count, at } ]`
    pub suits: Vec<SuitPlaceSpec>,
    /// `ways_back`: names, or `port.name`, in the order they are tried.
    pub ways_back: Vec<Spot<String>>,
}

/// One port.
#[derive(Clone, Debug)]
pub struct PortSpec {
    /// `element`
    pub element: Spot<String>,
    /// `access`: name of an access file.
    pub access: Spot<String>,
    /// With numbers of its own: name of its copy among the access systems of the scenario.
    pub changed: Option<String>,
}

impl PortSpec {
    /// Name of its access system among those of the scenario.
    pub fn system(&self) -> &str {
        self.changed.as_deref().unwrap_or(&self.access.it)
    }
}

/// Where suits are kept.
#[derive(Clone, Debug)]
pub struct SuitPlaceSpec {
    /// `suit`: kind.
    pub suit: Spot<String>,
    /// `count`
    pub count: Spot<u32>,
    /// `at`: `PORT` (its berths), `PORT.VOLUME` or `ELEMENT.cabin`.
    pub place: Spot<String>,
}
