//! Keys of a sweep file. They are a registry of their own: no campaign file has them.

use crate::base::units::Dimension::Pure;
use crate::scenario::key::{Key, Kind, Range, Section, key, varies};

/// Every section of a sweep file in the order of the documentation.
pub const SWEEP_SECTIONS: &[&Section] = &[&SWEEP_ROOT, &SWEEP, &FACTOR, &SPAN];

/// Every key of a sweep file with its section.
pub fn sweep_keys() -> impl Iterator<Item = (&'static Section, &'static Key)> {
    SWEEP_SECTIONS.iter().flat_map(|&section| section.keys.iter().map(move |key| (section, key)))
}

pub const SWEEP_ROOT: Section = Section {
    name: "",
    doc: "a sweep file",
    sourced: false,
    keys: &[
        key("sweep", Kind::Table("sweep"), "base campaign, design and measures"),
        key("factor", Kind::Entries("factor.NAME"), "factors"),
    ],
};

pub const SWEEP: Section = Section {
    name: "sweep",
    doc: "the base campaign, the design and the measures of interest",
    sourced: true,
    keys: &[
        key("base", Kind::Text, "the base campaign: its file, from the folder of the sweep file"),
        key(
            "include",
            Kind::Texts,
            "further files that the points need, as the base would include them",
        )
        .optional(),
        key("design", Kind::Word("design"), "how the points lie"),
        key("seed", Kind::Seed, "seed of the design and of all random numbers"),
        key(
            "campaigns",
            Kind::Count(2),
            "campaigns played at every point, unless --campaigns is given",
        ),
        key("luck", Kind::Word("kind of random numbers"), "random numbers of the points")
            .or("common"),
        key("measures", Kind::Texts, "measures of interest"),
        key("architectures", Kind::Texts, "architectures that are played; left out: all")
            .optional(),
        key("points", Kind::Count(2), "points of a latin hypercube or a sobol sequence").optional(),
        key("trajectories", Kind::Count(2), "trajectories of elementary effects").optional(),
        key("levels", Kind::Count(2), "levels of elementary effects, an even number; 4 is usual")
            .optional(),
        key("rows", Kind::Count(2), "rows of Saltelli's design, a power of 2").optional(),
        key("second_order", Kind::Flag, "with second order: 2k + 2 points a row").or("false"),
    ],
};

pub const FACTOR: Section = Section {
    name: "factor.NAME",
    doc: "one factor: exactly one of range, law, own, values, choice",
    sourced: true,
    keys: &[
        key("key", Kind::Texts, "key path into the base campaign, or several that take the same value; \
             `access.FILE.` leads into an access file").optional(),
        key("range", Kind::Table("range"), "from `low` to `high`, evenly or (scale = \"log\") in the logarithm").optional(),
        key("law", Kind::Form("a law"), "a law: positions are its quantiles").optional(),
        key("own", Kind::Flag, "the law that the base campaign has behind the key").or("false"),
        key("values", Kind::Form("a list of values"), "values as a campaign file would have them").optional(),
        key("choice", Kind::Form("a table of named tables: key path = value"),
            "named alternatives that set several keys together; { copy = \"key path\" } copies a part of the base").optional(),
        key("levels", Kind::Count(2), "levels of a range or law in a grid (3 unless said) or one at a time (2 unless said)").optional(),
        key("whole", Kind::Flag, "only whole numbers of the range").or("false"),
    ],
};

pub const SPAN: Section = Section {
    name: "range",
    doc: "a range",
    sourced: false,
    keys: &[
        varies("low", Pure, Range::NonNegative, "lower end, a quantity as the key takes it"),
        varies("high", Pure, Range::NonNegative, "upper end, in the same unit"),
        key("scale", Kind::Form("\"log\""), "\"log\": evenly in the logarithm").optional(),
    ],
};
