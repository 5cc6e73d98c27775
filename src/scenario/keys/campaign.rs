//! Keys of the sections that describe the campaign, its people and its suits.

use crate::scenario::key::{Kind, Range, Section, certain, key, share, unknown, varies};
use crate::units::Dimension::*;
use Range::{Fraction, NonNegative, Positive};

pub const STUDY: Section = Section {
    name: "study",
    doc: "how much is simulated, and with which luck",
    sourced: false,
    keys: &[
        key("seed", Kind::Seed, "seed of all random numbers"),
        key("campaigns", Kind::Count(1), "number of campaigns unless a flag says otherwise")
            .optional(),
        key("outer", Kind::Count(2), "parameter sets of the outer loop; with `inner`").optional(),
        key("inner", Kind::Count(2), "campaigns played with each parameter set").optional(),
    ],
};

pub const BODY: Section = Section {
    name: "body",
    doc: "the body the campaign is on",
    sourced: true,
    keys: &[
        key("name", Kind::Text, "Moon or Mars; only the check of the dust limit looks at it"),
        certain("gravity", Acceleration, Positive, "gravity"),
        certain("ambient", Pressure, NonNegative, "ambient pressure"),
        certain("dust_limit", Density, Positive, "24-hour average limit, below 10 um"),
        certain("dust_peak_limit", Density, Positive, "peak limit, below 10 um").optional(),
        unknown("dust_density", Density, Positive, "density of a grain"),
        unknown("dust_shape", Pure, Positive, "dynamic shape factor of a grain"),
        key(
            "dust_bins",
            Kind::Form("a list of four shares"),
            "mass shares below 2.5, 2.5 to 10, 10 to 50, above 50 um; they add up to 1",
        ),
        share("dust_airborne", "share of arriving fine dust that goes to the air"),
        unknown("abrasion", Pure, NonNegative, "factor on dust damage and wear; 1 for lunar dust"),
        certain("bioburden_limit", Pure, NonNegative, "living cells a campaign may let out")
            .optional(),
    ],
};

pub const CAMPAIGN: Section = Section {
    name: "campaign",
    doc: "length and rules of the campaign",
    sourced: true,
    keys: &[
        certain("length", Time, Positive, "planned length"),
        certain("day", Time, Positive, "local day that `hour` of an activity counts in").or("24 h"),
        certain("duty_day", Time, Positive, "duty limit of a day with a sortie"),
        certain("rest_least", Time, NonNegative, "rest needed before a slot").or("10 h"),
        certain(
            "eva_week_most",
            Time,
            Positive,
            "most hours outside per person in seven days (the present one and six before), so that \
             rest days follow: 24 h are three sorties of 8 h; left out: no ceiling",
        )
        .optional(),
        certain("reserve", Time, NonNegative, "life support kept when turning back"),
        certain("wait_at_most", Time, NonNegative, "wait for a port in use").or("60 min"),
        certain(
            "shut_in_at_most",
            Time,
            NonNegative,
            "stay in a filled chamber whose opening inward does not move, then another way",
        )
        .or("24 h"),
        certain(
            "walk_margin",
            Pure,
            NonNegative,
            "a walk of more than 2 km is in time only with so much of it to spare",
        )
        .or("0.25"),
        certain("pressure_rate", PressureRate, Positive, "limit on repressurisation"),
        certain("prebreathe_ratio", Pure, Positive, "target tissue N2 / suit pressure"),
        certain("prebreathe_least", Time, NonNegative, "protocol minimum").or("0 min"),
        certain("prebreathe_break", Pure, NonNegative, "owed per time of interruption").or("2"),
        share("mask_oxygen", "O2 fraction breathed from a mask").or("1"),
        certain("inspection_every", Time, Positive, "time between inspections").optional(),
        varies("inspection_hours", Time, NonNegative, "crew time of an inspection").or("0 h"),
        varies(
            "inspection_takes",
            Time,
            NonNegative,
            "beside them for each opening with a seal, unless the opening says",
        )
        .or("0 h"),
        unknown("bioburden", PerVolume, NonNegative, "living cells in cabin air").optional(),
        share("bioburden_passes", "living cells that pass the filters of pumps and valves").or("1"),
    ],
};

pub const CREW: Section = Section {
    name: "crew",
    doc: "who is there, and what people need and do",
    sourced: true,
    keys: &[
        key("names", Kind::Texts, "the roster in order"),
        varies("rest", Power, Positive, "metabolic rate at rest"),
        varies("work", Power, Positive, "metabolic rate at work, unless the activity says"),
        varies("walk", Power, Positive, "metabolic rate walking"),
        varies("ride", Power, Positive, "metabolic rate on a rover; left out: at rest").optional(),
        varies("with_casualty", Power, Positive, "metabolic rate moving a casualty"),
        varies("walk_speed", Speed, Positive, "walking"),
        varies("helped_speed", Speed, Positive, "with a casualty who walks with help"),
        varies("stretcher_speed", Speed, Positive, "partner alone with a stretcher"),
        key(
            "home",
            Kind::Text,
            "element where those live whose activities start from several or none; left out: the \
             only habitat",
        )
        .optional(),
        varies("lift", Time, NonNegative, "getting a casualty onto a stretcher").or("0 min"),
        unknown("displaces", Volume, NonNegative, "gas volume displaced by a suited person"),
        unknown("illness", PerTime, NonNegative, "illness indoors, per person").optional(),
        varies("illness_lasts", Time, NonNegative, "work lost per illness").optional(),
    ],
};

pub const SUIT: Section = Section {
    name: "suit.NAME",
    doc: "a kind of suit",
    sourced: true,
    keys: &[
        unknown("mass", Mass, NonNegative, "for the equivalent system mass").optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume that it takes up").optional(),
        certain("pressure", Pressure, Positive, "working pressure"),
        certain(
            "port_limit",
            Pressure,
            Positive,
            "largest cabin-to-outside difference at a port; left out: not a rear-entry suit",
        )
        .optional(),
        certain("width", Length, Positive, "width over the back plate"),
        unknown("gas_volume", Volume, Positive, "free gas in the suit"),
        unknown("primary", Time, Positive, "primary life support at `primary_at`"),
        certain("primary_at", Power, Positive, "metabolic rate at which `primary` is given"),
        unknown("secondary", Time, NonNegative, "secondary oxygen"),
        key("shares_secondary", Kind::Flag, "partners together can share secondary minutes")
            .or("false"),
        unknown("battery", Time, Positive, "battery; one more limit").optional(),
        unknown("oxygen", Mass, Positive, "O2 of the primary; one more limit").optional(),
        unknown("water", Mass, Positive, "cooling water; one more limit").optional(),
        unknown("carbon_dioxide", Mass, Positive, "CO2 that the canister takes; one more limit")
            .optional(),
        unknown("equipment", Power, NonNegative, "heat of the electronics, cooled too").or("0 W"),
        unknown("leak", MassFlow, NonNegative, "leak of O2 at working pressure"),
        unknown("purge_flow", MassFlow, NonNegative, "O2 used while purging"),
        unknown("purity", Pure, Fraction, "O2 fraction breathed after purge"),
        unknown("respiratory_quotient", Pure, Positive, "CO2 breathed out per O2 used"),
        varies(
            "recharge_elapsed",
            Time,
            NonNegative,
            "from coming home until it may be donned for a planned sortie (battery, CO2 bed)",
        )
        .or("0 h"),
        key("maintenance_every", Kind::Count(1), "sorties between indoor maintenance").optional(),
        varies("maintenance_takes", Time, NonNegative, "crew time of maintenance").optional(),
        share("maintenance_sheds", "share of its dust shed in maintenance").or("0"),
        share("doff_sheds", "share of its dust shed in doffing"),
        unknown("parked_dust", MassFlow, NonNegative, "settles on it while it hangs outdoors")
            .or("0 g/d"),
    ],
};

pub const STORE: Section = Section {
    name: "store.NAME",
    doc: "a gas and water store",
    sourced: true,
    keys: &[
        certain("oxygen", Mass, NonNegative, "O2 beyond cabin breathing"),
        certain("nitrogen", Mass, NonNegative, "N2"),
        certain("water", Mass, NonNegative, "cooling water; left out: never short").optional(),
        key("filled_from", Kind::Text, "store that tops it up when an element it feeds docks")
            .optional(),
        key("resupply", Kind::Tables("store.NAME.resupply"), "planned flights").optional(),
    ],
};

pub const RESUPPLY: Section = Section {
    name: "store.NAME.resupply",
    doc: "one resupply flight",
    sourced: true,
    keys: &[
        certain("at", Time, NonNegative, "planned time from campaign start"),
        share("on_time", "chance that it comes on time").or("1"),
        varies("slip", Time, NonNegative, "delay when it does not").or("0 d"),
        certain("oxygen", Mass, NonNegative, "O2 brought").or("0 kg"),
        certain("nitrogen", Mass, NonNegative, "N2 brought").or("0 kg"),
        certain("water", Mass, NonNegative, "cooling water brought").or("0 kg"),
        key("spares", Kind::Form("a table of counts by kind of spare"), "spares brought")
            .optional(),
    ],
};

pub const SPARE: Section = Section {
    name: "spare.NAME",
    doc: "a kind of spare; `NAME = 3` is short for a table with `count = 3`",
    sourced: true,
    keys: &[
        key("count", Kind::Count(0), "how many are there at the start"),
        unknown("mass", Mass, NonNegative, "of one, for the equivalent system mass").optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume of one").optional(),
    ],
};

pub const ARCHITECTURE: Section = Section {
    name: "architecture.NAME",
    doc: "one complete choice, compared with the others on the same campaign",
    sourced: true,
    keys: &[
        key("title", Kind::Text, "one line for tables and figures; left out: its name").optional(),
        key(
            "element",
            Kind::Form("a table by element of keys that replace those of `element.NAME`"),
            "what this choice changes on elements",
        )
        .optional(),
        key(
            "failure",
            Kind::Form("a table by mode of keys that replace those of `failure.NAME`"),
            "what this choice changes on failure modes",
        )
        .optional(),
        key(
            "activity",
            Kind::Form("a table by activity with `overhead`, which replaces that of the activity"),
            "what this choice changes on activities; hours, roster and slots are the same in all",
        )
        .optional(),
        key("port", Kind::Entries("architecture.NAME.port.NAME"), "ports; left out: none")
            .optional(),
        key("suits", Kind::Tables("architecture.NAME.suits"), "where suits are kept").optional(),
        key("ways_back", Kind::Texts, "names, or `port.name`, in the order tried").optional(),
    ],
};

/// What a port may write beside `access`: `volume.lock.free = "5 m3"`.
const CHANGES: &str = "a table by part of keys that replace those of the access file";

pub const PORT: Section = Section {
    name: "architecture.NAME.port.NAME",
    doc: "an access system installed on an element",
    sourced: true,
    keys: &[
        key("element", Kind::Text, "element it is on"),
        key("access", Kind::Text, "access file, by its name without `.toml`"),
        key("volume", Kind::Form(CHANGES), "what this port changes on volumes").optional(),
        key("opening", Kind::Form(CHANGES), "what this port changes on openings").optional(),
        key("pump", Kind::Form(CHANGES), "what this port changes on pumps").optional(),
        key("stage", Kind::Form(CHANGES), "what this port changes on stages").optional(),
        key("law", Kind::Form("a table by law"), "laws of the access file that this port changes")
            .optional(),
    ],
};

pub const SUIT_PLACE: Section = Section {
    name: "architecture.NAME.suits",
    doc: "where suits of a kind are kept",
    sourced: true,
    keys: &[
        key("suit", Kind::Text, "kind of suit"),
        key("count", Kind::Count(1), "how many"),
        key("at", Kind::Text, "PORT (its berths), PORT.VOLUME or ELEMENT.cabin"),
    ],
};
