//! Columns of the tables of a sweep.

use super::*;

/// `sweep.csv`, behind one column for each factor
pub const SWEEP: &[Column] = &[
    whole("point", "number of the point in the design, from 0"),
    ARCHITECTURE,
    MEASURE,
    UNIT,
    text("luck", "common: all points use the same random numbers; own: each point has its own"),
    CAMPAIGNS,
    MEAN,
    LOW,
    HIGH,
    number("standard_error", "simulation noise: standard error of the mean"),
    number("sd", "standard deviation between campaigns"),
    number("p50", "median of campaigns"),
    number("p95", "95 % quantile of campaigns"),
    N_USED,
    METHOD,
    NOTE,
];

/// `sensitivity.csv`
pub const SENSITIVITY: &[Column] = &[
    text(
        "analysis",
        "Sobol' indices, elementary effects, regression, rank regression, partial rank correlation, \
         or one at a time",
    ),
    text("factor", "name of the factor in the sweep file; empty: all factors together"),
    ARCHITECTURE,
    text(
        "reference",
        "if given: the index is of the paired difference, architecture less this one",
    ),
    MEASURE,
    text("scale", "plain, or log10 of a probability"),
    text(
        "index",
        "first order, total; mu star, mu, sigma; coefficient, correlation; swing, low end, high end; R2",
    ),
    UNIT,
    number("value", "the index; effects are per whole range of the factor"),
    number("low95", "lower limit of its 95 % interval"),
    number("high95", "upper limit of its 95 % interval"),
    number(
        "simulation_noise",
        "noise floor: for a factor without effect, simulation noise alone stays below it in size \
        with 95 % probability",
    ),
    whole("rank", "rank among the factors by size of the index, from 1"),
    whole("n_used", "points, rows or trajectories of the design that went into the index"),
    METHOD,
    NOTE,
];

/// `crossings.csv`
pub const CROSSINGS: &[Column] = &[
    ARCHITECTURE,
    REFERENCE,
    MEASURE,
    text("factor", "the factor along which both are compared"),
    text("held", "levels of the other factors on this line; empty: no other factor"),
    text("unit", "unit of the factor; empty for pure numbers"),
    number("crossing", "value of the factor at which both are equal; empty: see the note"),
    number("low95", "lower limit of its 95 % interval; empty: beyond the range"),
    number("high95", "upper limit of its 95 % interval; empty: beyond the range"),
    text("below", "which of the two has the lower mean below the crossing, or on the whole line"),
    text("above", "which of the two has the lower mean above the crossing, or on the whole line"),
    whole("n_used", "points of the design on the line"),
    METHOD,
    NOTE,
];
