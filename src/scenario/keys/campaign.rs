//! Keys of the sections that describe the campaign, its people and its suits.

use crate::base::units::Dimension::*;
use crate::scenario::key::{Kind, Range, Section, certain, key, share, unknown, varies};
use Range::{Fraction, NonNegative, Positive};

pub const STUDY: Section = Section {
    name: "study",
    doc: "number of campaigns, and the random numbers",
    sourced: false,
    keys: &[
        key("seed", Kind::Seed, "seed of all random numbers"),
        key("campaigns", Kind::Count(1), "number of campaigns, unless --campaigns is given")
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
        key("name", Kind::Text, "Moon or Mars; used only by the check of the dust limit"),
        certain("gravity", Acceleration, Positive, "gravity").plausible("1 m/s2", "10 m/s2"),
        certain("ambient", Pressure, NonNegative, "ambient pressure")
            .plausible("1e-12 Pa", "2 kPa"),
        certain("dust_limit", Density, Positive, "24-hour average limit, below 10 um")
            .plausible("0.01 mg/m3", "10 mg/m3"),
        certain("dust_peak_limit", Density, Positive, "peak limit, below 10 um")
            .plausible("0.05 mg/m3", "50 mg/m3")
            .optional(),
        unknown("dust_density", Density, Positive, "density of a grain")
            .plausible("1000 kg/m3", "5000 kg/m3"),
        unknown("dust_shape", Pure, Positive, "dynamic shape factor of a grain")
            .plausible("1", "3"),
        key(
            "dust_bins",
            Kind::Form("a list of four shares"),
            "mass shares below 2.5, 2.5 to 10, 10 to 50, above 50 um; they add up to 1",
        ),
        share("dust_airborne", "share of arriving fine dust that becomes airborne"),
        unknown("abrasion", Pure, NonNegative, "factor on dust damage and wear; 1 for lunar dust")
            .plausible("0.01", "10"),
        certain("bioburden_limit", Pure, NonNegative, "most living cells that a campaign may vent")
            .plausible("1", "1e9")
            .optional(),
    ],
};

pub const CAMPAIGN: Section = Section {
    name: "campaign",
    doc: "length and rules of the campaign",
    sourced: true,
    keys: &[
        certain("length", Time, Positive, "planned length").plausible("1 h", "3000 d"),
        certain(
            "day",
            Time,
            Positive,
            "length of the local day that `hour` of an activity \
            refers to",
        )
        .plausible("12 h", "1000 h")
        .or("24 h"),
        certain("duty_day", Time, Positive, "longest duty on a day with a sortie")
            .plausible("2 h", "24 h"),
        certain("rest_least", Time, NonNegative, "least rest before a sortie")
            .plausible("4 h", "24 h")
            .or("10 h"),
        certain(
            "eva_week_most",
            Time,
            Positive,
            "most EVA hours per person in seven days (the present day and the six before), which \
            leads to rest days: 24 h are three sorties of 8 h; left out: no ceiling",
        )
        .plausible("4 h", "60 h")
        .optional(),
        certain("reserve", Time, NonNegative, "life support kept in reserve when turning back")
            .plausible("5 min", "3 h"),
        certain("wait_at_most", Time, NonNegative, "longest wait for a port in use")
            .plausible("1 min", "8 h")
            .or("60 min"),
        certain(
            "shut_in_at_most",
            Time,
            NonNegative,
            "longest stay in a filled chamber whose inward opening does not move; then \
            contingency ingress begins",
        )
        .plausible("30 min", "30 d")
        .or("24 h"),
        certain(
            "walk_margin",
            Pure,
            NonNegative,
            "a walk of more than 2 km counts as in time only with this share of it to spare",
        )
        .plausible("0.05", "2")
        .or("0.25"),
        certain("pressure_rate", PressureRate, Positive, "limit on repressurisation")
            .plausible("1 kPa/min", "200 kPa/min"),
        certain("prebreathe_ratio", Pure, Positive, "target tissue N2 / suit pressure")
            .plausible("1", "2.5"),
        certain("prebreathe_least", Time, NonNegative, "protocol minimum")
            .plausible("1 min", "8 h")
            .or("0 min"),
        certain("prebreathe_break", Pure, NonNegative, "prebreathe added per time of interruption")
            .plausible("0.5", "5")
            .or("2"),
        share("mask_oxygen", "O2 fraction breathed from a mask").plausible("0.2", "1").or("1"),
        certain("inspection_every", Time, Positive, "time between inspections")
            .plausible("1 h", "400 d")
            .optional(),
        varies("inspection_hours", Time, NonNegative, "crew time of an inspection")
            .plausible("1 min", "100 h")
            .or("0 h"),
        varies(
            "inspection_takes",
            Time,
            NonNegative,
            "and in addition for each opening with a seal, unless the opening says otherwise",
        )
        .plausible("10 s", "4 h")
        .or("0 h"),
        unknown("bioburden", PerVolume, NonNegative, "living cells per volume of cabin air")
            .plausible("1 /m3", "1e7 /m3")
            .optional(),
        share(
            "bioburden_passes",
            "share of living cells that passes the filters of pumps and \
            valves",
        )
        .or("1"),
    ],
};

pub const CREW: Section = Section {
    name: "crew",
    doc: "the crew, and what people need and do",
    sourced: true,
    keys: &[
        key("names", Kind::Texts, "the roster in order"),
        varies("rest", Power, Positive, "metabolic rate at rest").plausible("50 W", "250 W"),
        varies("work", Power, Positive, "metabolic rate at work, unless the activity gives one")
            .plausible("100 W", "800 W"),
        varies("walk", Power, Positive, "metabolic rate walking").plausible("100 W", "900 W"),
        varies("ride", Power, Positive, "metabolic rate on a rover; left out: at rest")
            .plausible("50 W", "500 W")
            .optional(),
        varies("with_casualty", Power, Positive, "metabolic rate moving a casualty")
            .plausible("100 W", "1200 W"),
        varies("walk_speed", Speed, Positive, "walking").plausible("0.1 m/s", "3 m/s"),
        varies("helped_speed", Speed, Positive, "speed with a casualty who walks with help")
            .plausible("0.05 m/s", "2 m/s"),
        varies("stretcher_speed", Speed, Positive, "speed of one partner with a stretcher")
            .plausible("0.05 m/s", "2 m/s"),
        key(
            "home",
            Kind::Text,
            "element where those people live whose activities start from several elements or \
            none; left out: the only habitat",
        )
        .optional(),
        varies("lift", Time, NonNegative, "time to get a casualty onto a stretcher")
            .plausible("10 s", "2 h")
            .or("0 min"),
        unknown("displaces", Volume, NonNegative, "gas volume displaced by a suited person")
            .plausible("0.05 m3", "1 m3"),
        unknown("illness", PerTime, NonNegative, "illness indoors, per person")
            .plausible("1e-3 /a", "50 /a")
            .optional(),
        varies("illness_lasts", Time, NonNegative, "time off work per illness")
            .plausible("1 h", "60 d")
            .optional(),
    ],
};

pub const SUIT: Section = Section {
    name: "suit.NAME",
    doc: "a kind of suit",
    sourced: true,
    keys: &[
        unknown("mass", Mass, NonNegative, "for the equivalent system mass")
            .plausible("0.01 kg", "20000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume that it takes up")
            .plausible("1e-5 m3", "200 m3")
            .optional(),
        certain("pressure", Pressure, Positive, "working pressure").plausible("15 kPa", "105 kPa"),
        certain(
            "port_limit",
            Pressure,
            Positive,
            "largest cabin-to-outside difference at a port; left out: not a rear-entry suit",
        )
        .plausible("15 kPa", "110 kPa")
        .optional(),
        certain("width", Length, Positive, "width over the back plate").plausible("0.4 m", "1.2 m"),
        unknown("gas_volume", Volume, Positive, "free gas in the suit").plausible("10 L", "300 L"),
        unknown("primary", Time, Positive, "primary life support at `primary_at`")
            .plausible("30 min", "16 h"),
        certain("primary_at", Power, Positive, "metabolic rate at which `primary` is given")
            .plausible("100 W", "900 W"),
        unknown("secondary", Time, NonNegative, "secondary oxygen").plausible("1 min", "4 h"),
        key("shares_secondary", Kind::Flag, "partners together can share secondary minutes")
            .or("false"),
        unknown("battery", Time, Positive, "battery life; a further limit")
            .plausible("30 min", "24 h")
            .optional(),
        unknown("oxygen", Mass, Positive, "O2 of the primary; a further limit")
            .plausible("0.01 kg", "50000 kg")
            .optional(),
        unknown("water", Mass, Positive, "cooling water; a further limit")
            .plausible("0.1 kg", "50000 kg")
            .optional(),
        unknown("carbon_dioxide", Mass, Positive, "CO2 that the canister absorbs; a further limit")
            .plausible("0.05 kg", "5 kg")
            .optional(),
        unknown("equipment", Power, NonNegative, "heat of the electronics, which is cooled too")
            .plausible("5 W", "1000 W")
            .or("0 W"),
        unknown("leak", MassFlow, NonNegative, "leak of O2 at working pressure")
            .plausible("1e-6 kg/h", "0.5 kg/h"),
        unknown("purge_flow", MassFlow, NonNegative, "O2 used while purging")
            .plausible("0.01 kg/h", "50 kg/h"),
        unknown("purity", Pure, Fraction, "O2 fraction breathed after purge").plausible("0.5", "1"),
        unknown("respiratory_quotient", Pure, Positive, "CO2 breathed out per O2 used")
            .plausible("0.7", "1.2"),
        varies(
            "recharge_elapsed",
            Time,
            NonNegative,
            "time from coming home until the suit may be donned for a planned sortie (battery, \
            CO2 bed)",
        )
        .plausible("1 min", "48 h")
        .or("0 h"),
        key("maintenance_every", Kind::Count(1), "sorties between indoor maintenance").optional(),
        varies("maintenance_takes", Time, NonNegative, "crew time of maintenance")
            .plausible("5 min", "100 h")
            .optional(),
        share("maintenance_sheds", "share of the suit's dust shed in maintenance").or("0"),
        share("doff_sheds", "share of the suit's dust shed in doffing"),
        unknown(
            "parked_dust",
            MassFlow,
            NonNegative,
            "dust that settles on a suit while it \
            hangs outdoors",
        )
        .plausible("1e-6 g/d", "100 g/d")
        .or("0 g/d"),
    ],
};

pub const STORE: Section = Section {
    name: "store.NAME",
    doc: "a gas and water store",
    sourced: true,
    keys: &[
        certain("oxygen", Mass, NonNegative, "O2 beyond cabin breathing")
            .plausible("0.01 kg", "50000 kg"),
        certain("nitrogen", Mass, NonNegative, "N2").plausible("0.01 kg", "50000 kg"),
        certain("water", Mass, NonNegative, "cooling water; left out: unlimited")
            .plausible("0.1 kg", "50000 kg")
            .optional(),
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
        certain("at", Time, NonNegative, "planned time from campaign start")
            .plausible("1 h", "3000 d"),
        share("on_time", "probability that it arrives on time").or("1"),
        varies("slip", Time, NonNegative, "delay when it does not arrive on time")
            .plausible("1 h", "400 d")
            .or("0 d"),
        certain("oxygen", Mass, NonNegative, "O2 brought")
            .plausible("0.01 kg", "50000 kg")
            .or("0 kg"),
        certain("nitrogen", Mass, NonNegative, "N2 brought")
            .plausible("0.01 kg", "50000 kg")
            .or("0 kg"),
        certain("water", Mass, NonNegative, "cooling water brought")
            .plausible("0.1 kg", "50000 kg")
            .or("0 kg"),
        key("spares", Kind::Form("a table of counts by kind of spare"), "spares brought")
            .optional(),
    ],
};

pub const SPARE: Section = Section {
    name: "spare.NAME",
    doc: "a kind of spare; `NAME = 3` is short for a table with `count = 3`",
    sourced: true,
    keys: &[
        key("count", Kind::Count(0), "number available at the start"),
        unknown("mass", Mass, NonNegative, "mass of one, for the equivalent system mass")
            .plausible("0.01 kg", "20000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume of one")
            .plausible("1e-5 m3", "200 m3")
            .optional(),
    ],
};

pub const ARCHITECTURE: Section = Section {
    name: "architecture.NAME",
    doc: "one complete choice, compared with the others on the same campaign",
    sourced: true,
    keys: &[
        key(
            "title",
            Kind::Text,
            "one line for tables and figures; left out: the architecture's \
            name",
        )
        .optional(),
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
            "what this choice changes on activities; hours, roster and slots are the same in all \
            architectures",
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
