//! Keys of access files.

use crate::base::units::Dimension::*;
use crate::scenario::key::{Kind, Range, Section, certain, key, share, unknown, varies};
use Range::{NonNegative, Positive};

pub const ACCESS: Section = Section {
    name: "access file",
    doc: "how one gets through a wall, named by its file",
    sourced: true,
    keys: &[
        key("volume", Kind::Entries("volume.NAME"), "volumes besides cabin and outside").optional(),
        key("opening", Kind::Entries("opening.NAME"), "openings").optional(),
        key("pump", Kind::Entries("pump.NAME"), "pumps").optional(),
        key("stage", Kind::Entries("stage.NAME"), "dust stages, panels, umbilicals").optional(),
        key("law", Kind::Form("a table of named durations"), "durations that rows name").optional(),
        key("list", Kind::Table("list"), "what people do, row by row"),
    ],
};

pub const VOLUME: Section = Section {
    name: "volume.NAME",
    doc: "a space with its own pressure",
    sourced: true,
    keys: &[
        unknown("free", Volume, Positive, "gas volume").plausible("0.01 m3", "200 m3"),
        unknown("mass", Mass, NonNegative, "for the equivalent system mass")
            .plausible("0.1 kg", "20000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume; left out: as `free`")
            .plausible("1e-4 m3", "200 m3")
            .optional(),
        key("rest", Kind::Form("`cabin`, `outside` or a pressure"), "pressure at rest"),
        key("holds", Kind::Count(0), "persons; left out: any number").optional(),
        key("count", Kind::Count(1), "equal instances").or("1"),
        unknown("gear", Volume, NonNegative, "displaced by stowed things")
            .plausible("0.001 m3", "50 m3")
            .or("0 m3"),
        key("fed", Kind::Flag, "held at set pressure by the store").or("true"),
        key("mask", Kind::Flag, "people out of their suits breathe through a mask here")
            .or("false"),
        unknown("filter_flow", VolumeFlow, NonNegative, "air through a filter")
            .plausible("1 m3/h", "2000 m3/h")
            .or("0 m3/h"),
        share("filter_efficiency", "share of airborne dust it holds")
            .plausible("0.5", "1")
            .or("0.9997"),
        key("filter_life", Kind::Table("filter_life"), "how the filter loads").optional(),
        unknown("height", Length, Positive, "volume over floor area")
            .plausible("0.5 m", "5 m")
            .or("2 m"),
        certain("cleaning_every", Time, Positive, "time between floor cleanings")
            .plausible("1 h", "60 d")
            .optional(),
        share("cleaning_removes", "share of surface dust a cleaning removes")
            .plausible("0.1", "1")
            .or("0.7"),
        varies("cleaning_takes", Time, NonNegative, "crew time of a cleaning")
            .plausible("1 min", "24 h")
            .or("0 h"),
    ],
};

pub const PUMP: Section = Section {
    name: "pump.NAME",
    doc: "a pump that empties a volume",
    sourced: true,
    keys: &[
        key("on", Kind::Text, "volume it empties"),
        unknown("speed", VolumeFlow, Positive, "volume moved per time")
            .plausible("0.5 m3/h", "1000 m3/h"),
        unknown("stop", Pressure, Positive, "pressure below which it does not pump")
            .plausible("0.01 kPa", "40 kPa"),
        share("recovery", "share of the gas above the stop that is recovered"),
        key("to", Kind::Text, "volume or `store` the gas goes to"),
        unknown("power", Power, NonNegative, "electrical power")
            .plausible("10 W", "20 kW")
            .optional(),
        unknown("mass", Mass, NonNegative, "for the equivalent system mass")
            .plausible("0.1 kg", "20000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume that it takes up")
            .plausible("1e-4 m3", "200 m3")
            .optional(),
        unknown("reservoir", Volume, NonNegative, "evacuated tank that is filled first")
            .plausible("0.05 m3", "100 m3")
            .or("0 m3"),
    ],
};

pub const STAGE: Section = Section {
    name: "stage.NAME",
    doc: "a dust stage, recharge panel or umbilical",
    sourced: true,
    keys: &[
        key("kind", Kind::Word("kind of stage"), "what it is").or("cleaning"),
        unknown("mass", Mass, NonNegative, "for the equivalent system mass")
            .plausible("0.1 kg", "20000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume that it takes up")
            .plausible("1e-4 m3", "200 m3")
            .optional(),
        key("in", Kind::Text, "volume or `outside`"),
        key(
            "removes",
            Kind::Form("a share, or a list of four"),
            "share removed, by size bin \
            (unknown)",
        )
        .or("0"),
        key(
            "captures",
            Kind::Form("a share, or a list of four"),
            "share of that which it holds, \
            by size bin",
        )
        .or("1"),
        varies("gas", Mass, NonNegative, "gas lost from the store per use and person")
            .plausible("1e-4 kg", "5 kg")
            .or("0 kg"),
        varies("upkeep", Time, NonNegative, "crew time per use")
            .plausible("0.5 min", "4 h")
            .or("0 min"),
        key("serves", Kind::Count(1), "persons at once (umbilicals); left out: everybody")
            .optional(),
    ],
};

pub const LIST: Section = Section {
    name: "list",
    doc: "lists of rows",
    sourced: true,
    keys: &[
        key("egress", Kind::Tables("row"), "going out").optional(),
        key("ingress", Kind::Tables("row"), "coming in").optional(),
        key(
            "service-in",
            Kind::Tables("row"),
            "played instead of ingress when a suit is due for \
            maintenance",
        )
        .optional(),
        key(
            "service-out",
            Kind::Tables("row"),
            "played instead of egress when the suits are \
            indoors",
        )
        .optional(),
        key("service-needs", Kind::Texts, "conditions of `service-in`; `not` negates one")
            .optional(),
        key("restore", Kind::Tables("row"), "puts the port back at rest, played by crew inside")
            .optional(),
        key("dock", Kind::Tables("row"), "from the element into the one it docks with").optional(),
        key("undock", Kind::Tables("row"), "into the element, and away from the other").optional(),
        key("way_back", Kind::Entries("list.way_back.NAME"), "when ingress does not work")
            .optional(),
    ],
};

pub const WAY_BACK: Section = Section {
    name: "list.way_back.NAME",
    doc: "played in the order of the architecture when the planned ingress does not work",
    sourced: true,
    keys: &[
        key("from", Kind::Text, "where it can start: `outside`, `berth` or a volume"),
        key("needs", Kind::Texts, "conditions; `not` before one negates it").optional(),
        key("rows", Kind::Tables("row"), "to safety"),
        key("after_rows", Kind::Tables("row"), "puts the port back at rest, off the clock")
            .optional(),
    ],
};

pub const STEP: Section = Section {
    name: "row",
    doc: "one step",
    sourced: true,
    keys: &[
        key("name", Kind::Text, "name by which other rows refer to it").optional(),
        key("action", Kind::Word("action"), "what is done"),
        key("on", Kind::Texts, "what it acts on; several: joined volumes"),
        key("each", Kind::Word("way of sharing a row"), "once for the team, or per person")
            .or("team"),
        key("who", Kind::Form("a word, or `inside of X`"), "who does it; left out: the team")
            .optional(),
        key("takes", Kind::Form("a time, or the name of a law"), "how long it takes (varies)")
            .optional(),
        key("to", Kind::Form("`cabin`, `working`, `outside` or a pressure"), "pressure at the end")
            .optional(),
        key("gas", Kind::Text, "where the gas goes to or comes from").optional(),
        key(
            "if_fails",
            Kind::Form("`abort`, `next way back`, `retry N` or `go on`"),
            "what happens when it fails",
        )
        .optional(),
        share("frees", "probability that this try clears a stuck state").optional(),
        share("misses", "probability that a leak check overlooks a leak").optional(),
        share("false_alarm", "probability that a leak check gives a false alarm").optional(),
        key("when", Kind::Texts, "conditions; the row is skipped unless they hold").optional(),
        key("until", Kind::Text, "condition that ends a `wait`").optional(),
        key("by", Kind::Word("means of travel"), "how a `travel` row moves").optional(),
        key(
            "incapacitated",
            Kind::Form("\"skip\", or a table with takes, adds or times, and probability"),
            "what a casualty does to it",
        )
        .optional(),
        key("suit", Kind::Word("person word"), "whose empty suit is handled").optional(),
    ],
};

pub const USE: Section = Section {
    name: "row with `use`",
    doc: "part of another list",
    sourced: true,
    keys: &[
        key("use", Kind::Text, "list to play"),
        key("after", Kind::Text, "row after which it begins").optional(),
        key("until", Kind::Text, "last row that is played").optional(),
        key("who", Kind::Form("a word, or `inside of X`"), "who plays it").optional(),
    ],
};

pub const INCAPACITATED: Section = Section {
    name: "incapacitated",
    doc: "what a casualty does to a row: one of takes, adds, times",
    sourced: true,
    keys: &[
        varies("takes", Time, NonNegative, "replaces the time").plausible("1 s", "24 h").optional(),
        varies("adds", Time, NonNegative, "is added to the time")
            .plausible("1 s", "24 h")
            .optional(),
        certain("times", Pure, Positive, "multiplies the time").plausible("0.1", "20").optional(),
        share("probability", "probability that it works").optional(),
    ],
};
