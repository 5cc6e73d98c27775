//! Keys of what a review board reads: limits, equivalent system mass, rankings.

use crate::base::units::Dimension::*;
use crate::scenario::key::{Kind, Range, Section, key, share, unknown};
use Range::NonNegative;

pub const LIMIT: Section = Section {
    name: "limit.NAME",
    doc: "limit on a measure; `run --gate` ends with exit code 3 unless every limit is met",
    sourced: true,
    keys: &[
        key("measure", Kind::Text, "name of the measure, see `vestibule list measures`"),
        key("statistic", Kind::Word("statistic"), "statistic that is compared").or("mean"),
        key("below", Kind::Form("a number with the unit of the measure"), "it stays below")
            .optional(),
        key("above", Kind::Form("a number with the unit of the measure"), "it stays above")
            .optional(),
        key("architectures", Kind::Texts, "for these; left out: for all").optional(),
    ],
};

pub const MASS: Section = Section {
    name: "mass",
    doc: "factors that turn volume, power, gas and crew time into mass",
    sourced: true,
    keys: &[
        unknown(
            "volume",
            Density,
            NonNegative,
            "per outfitting volume of access systems and suits",
        )
        .plausible("1 kg/m3", "500 kg/m3"),
        unknown("power", MassPerPower, NonNegative, "per electrical power that pumps add")
            .plausible("1 kg/kW", "5000 kg/kW"),
        share(
            "duty_share",
            "share of the peak power of pumps that counts; 1: no other load can be shed meanwhile",
        ),
        unknown("crew_time", MassFlow, NonNegative, "per hour of crew overhead and maintenance")
            .plausible("1e-3 kg/h", "100 kg/h"),
        unknown("tank_oxygen", Pure, NonNegative, "tank mass per mass of oxygen")
            .plausible("0.05", "5"),
        unknown("tank_nitrogen", Pure, NonNegative, "tank mass per mass of nitrogen")
            .plausible("0.05", "5"),
        unknown("tank_water", Pure, NonNegative, "tank mass per mass of water")
            .plausible("0.01", "2"),
    ],
};

pub const RANKING: Section = Section {
    name: "ranking.NAME",
    doc: "measures by which architectures are compared as a whole",
    sourced: true,
    keys: &[
        key("measures", Kind::Texts, "names of measures of which less, or more, is better"),
        key(
            "weights",
            Kind::Form("a table: what one unit of each measure counts"),
            "weights; only with them a total is made, and its stability is shown",
        )
        .optional(),
    ],
};

pub const DECISION: Section = Section {
    name: "decision",
    doc: "the choice between architectures; with `outer` and `inner` of [study], value.csv says \
        what each unknown is worth knowing before it, and what could change it",
    sourced: true,
    keys: &[
        key("ranking", Kind::Text, "a ranking with weights: the least total is chosen").optional(),
        key(
            "limit",
            Kind::Text,
            "a limit on a mean: the architecture most likely to meet it is \
            chosen",
        )
        .optional(),
        key(
            "architectures",
            Kind::Texts,
            "to choose from; left out: all, or those that the limit holds for",
        )
        .optional(),
        key(
            "unit",
            Kind::Text,
            "what one unit of the weighted total is called; with a limit there is none to name",
        )
        .optional(),
        key(
            "groups",
            Kind::Form("a table: names of groups, each with a list of key paths"),
            "parameters that would become known together, for example by one test programme: key \
            paths or their beginnings, as in assumptions.csv, without `architecture.NAME.`",
        )
        .optional(),
    ],
};
