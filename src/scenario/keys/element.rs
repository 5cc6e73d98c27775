//! Keys of elements and openings.

use crate::base::units::Dimension::*;
use crate::scenario::key::{Kind, Range, Section, certain, key, share, unknown, varies};
use Range::{Fraction, NonNegative, Positive};

pub const ELEMENT: Section = Section {
    name: "element.NAME",
    doc: "a pressurised element",
    sourced: true,
    keys: &[
        key("kind", Kind::Word("kind of element"), "what it is"),
        unknown("volume", Volume, Positive, "gas volume of the cabin").plausible("1 m3", "2000 m3"),
        certain("pressure", Pressure, Positive, "set point").plausible("25 kPa", "110 kPa"),
        certain("band", Pressure, NonNegative, "half width of the control band")
            .plausible("10 Pa", "10 kPa"),
        certain("oxygen", Pure, Fraction, "O2 mole fraction, the rest is N2")
            .plausible("0.18", "1"),
        certain(
            "oxygen_most",
            Pure,
            Fraction,
            "largest O2 fraction that what is in it is qualified for; left out: 0.30",
        )
        .plausible("0.2", "1")
        .optional(),
        certain("temperature", Temperature, Positive, "cabin temperature")
            .plausible("285 K", "305 K"),
        certain(
            "prebreathe_least",
            Time,
            NonNegative,
            "protocol minimum of a prebreathe at this pressure; left out: that of the campaign",
        )
        .plausible("1 min", "8 h")
        .optional(),
        key(
            "haven_people",
            Kind::Count(0),
            "people it can shelter in an emergency; 0: no safe \
            haven",
        ),
        certain("haven_days", Time, NonNegative, "how long they can stay")
            .plausible("1 h", "1000 d"),
        key("shelter", Kind::Flag, "its cabin is a shelter from events that ask for one")
            .or("true"),
        key("tolerates_vacuum", Kind::Flag, "may the cabin be vented?"),
        key("tolerates_dust", Kind::Flag, "may dust come in?"),
        unknown("filter_flow", VolumeFlow, NonNegative, "air through the filter")
            .plausible("1 m3/h", "5000 m3/h"),
        share("filter_efficiency", "share of airborne dust the filter holds").plausible("0.5", "1"),
        key("filter_life", Kind::Table("filter_life"), "how the filter loads").optional(),
        unknown("height", Length, Positive, "volume over floor area").plausible("1 m", "5 m"),
        unknown("deposition", Pure, Positive, "multiplier on settling area").plausible("0.1", "20"),
        unknown("resuspension", PerTime, NonNegative, "surface dust going back to the air")
            .plausible("1e-8 /h", "1 /h"),
        certain("cleaning_every", Time, Positive, "time between floor cleanings")
            .plausible("1 h", "60 d")
            .optional(),
        share("cleaning_removes", "share of surface dust a cleaning removes")
            .plausible("0.1", "1")
            .or("0.7"),
        varies("cleaning_takes", Time, NonNegative, "crew time of a cleaning")
            .plausible("1 min", "24 h")
            .or("0 h"),
        key("inside_least", Kind::Count(0), "least number of able persons who stay inside").or("1"),
        unknown("leak", MassFlow, NonNegative, "shell leak at rest pressure")
            .plausible("1e-6 kg/d", "50 kg/d")
            .or("0 kg/d"),
        key("store", Kind::Text, "gas store that feeds it").optional(),
        key("joined", Kind::Text, "element it is joined to, or docks at").optional(),
        certain("distance", Length, NonNegative, "from the first habitat")
            .plausible("1 m", "500 km")
            .or("0 m"),
        certain("speed", Speed, Positive, "driving speed")
            .plausible("0.1 m/s", "15 m/s")
            .optional(),
        certain("range", Length, Positive, "driving range").plausible("1 km", "2000 km").optional(),
        key("picks_up", Kind::Flag, "drives without a crew to people whose rover cannot drive")
            .or("false"),
        key("ascent", Kind::Flag, "is it the ascent vehicle?").or("false"),
        key("played", Kind::Flag, "false: only checked, never played").or("true"),
        certain(
            "suit_dust",
            Mass,
            NonNegative,
            "dust on a suit that comes in; only where `played = false`; left out: that of a sortie",
        )
        .plausible("1e-3 g", "2 kg")
        .optional(),
        key("opening", Kind::Entries("opening.NAME"), "openings of the element itself").optional(),
    ],
};

pub const OPENING: Section = Section {
    name: "opening.NAME",
    doc: "an opening between two volumes, of an access system or of an element",
    sourced: true,
    keys: &[
        key("kind", Kind::Word("kind of opening"), "what it is"),
        key("between", Kind::Form("a list of two names"), "the volumes it joins"),
        key("rest", Kind::Word("state at rest"), "state in which it is left"),
        key("count", Kind::Count(1), "equal instances").or("1"),
        certain("clear", Length, Positive, "clear width").plausible("0.3 m", "3 m").optional(),
        unknown("mass", Mass, NonNegative, "for the equivalent system mass")
            .plausible("0.1 kg", "50000 kg")
            .optional(),
        unknown("envelope", Volume, NonNegative, "outfitting volume that it takes up")
            .plausible("1e-4 m3", "2000 m3")
            .optional(),
        certain("seal_length", Length, Positive, "of all its seals together")
            .plausible("0.1 m", "30 m")
            .optional(),
        unknown("leak", MassFlow, NonNegative, "leak of its clean seals")
            .plausible("1e-6 kg/d", "50 kg/d")
            .or("0 kg/d"),
        certain("leak_at", Pressure, Positive, "difference at which `leak` is given")
            .plausible("1 kPa", "110 kPa")
            .optional(),
        certain("diameter", Length, Positive, "bore of a valve")
            .plausible("2 mm", "0.5 m")
            .optional(),
        unknown("discharge", Pure, Fraction, "discharge coefficient of a valve")
            .plausible("0.3", "1")
            .or("0.8"),
        share("air_share", "airborne stock of either side that crosses per use").or("0.1"),
        share("floor_share", "outer surface stock tracked in per inward pass").or("0"),
        share("dust_share", "dust on the suit let in by a suit interface").or("0"),
        unknown("seal_dust", AreaDensity, NonNegative, "dust per dirty closing")
            .plausible("1e-4 g/m2", "100 g/m2")
            .or("0 g/m2"),
        unknown(
            "leak_allowed",
            MassFlow,
            Positive,
            "leak at `leak_at` above which it fails a \
            pressure check",
        )
        .plausible("1e-6 kg/d", "100 kg/d")
        .optional(),
        key("gap", Kind::Table("opening.NAME.gap"), "largest gap that dust can hold open")
            .optional(),
        key("cover", Kind::Table("opening.NAME.cover"), "shelter of a suit parked outdoors")
            .optional(),
        varies(
            "inspection_takes",
            Time,
            NonNegative,
            "crew time at each inspection; left out: that of the campaign for an opening with a \
            seal, else none",
        )
        .plausible("10 s", "4 h")
        .optional(),
        key(
            "make",
            Kind::Text,
            "a common cause by kind joins parts of one make; left out: parts that give none",
        )
        .optional(),
        key("docking", Kind::Flag, "counted per docking transfer").or("false"),
    ],
};

pub const GAP: Section = Section {
    name: "opening.NAME.gap",
    doc: "a slit between the faces of a seal; no leak is larger than what it passes",
    sourced: true,
    keys: &[
        unknown("length", Length, Positive, "length of lifted seal, across the flow")
            .plausible("1 mm", "10 m"),
        unknown("height", Length, Positive, "height of the slit").plausible("0.1 um", "5 mm"),
        unknown("path", Length, Positive, "length along the flow").plausible("0.1 mm", "0.2 m"),
    ],
};

pub const COVER: Section = Section {
    name: "opening.NAME.cover",
    doc: "what shelters a suit that hangs outdoors at a suit interface",
    sourced: true,
    keys: &[
        share("dust", "share of the settling dust that still reaches the suit").or("1"),
        unknown("sun", Pure, NonNegative, "factor on failures per hour outdoors")
            .plausible("0.01", "100")
            .or("1"),
    ],
};

pub const FILTER_LIFE: Section = Section {
    name: "filter_life",
    doc: "a filter loads with the dust it holds, and is changed when it is full",
    sourced: true,
    keys: &[
        unknown("capacity", Mass, Positive, "dust load at which it is changed")
            .plausible("0.1 g", "10 kg"),
        share("flow_left", "share of the flow that a full filter passes").or("1"),
        share("efficiency_left", "share of its efficiency that a full filter keeps").or("1"),
        varies("change", Time, NonNegative, "crew time of a change")
            .plausible("1 min", "8 h")
            .or("0 h"),
        key("spare", Kind::Text, "kind of spare used up per change").optional(),
    ],
};
