//! Columns of the tables of a sweep.

use super::*;

/// `sweep.csv`, behind one column for each factor
pub const SWEEP: &[Column] = &[
    whole("point", "number of the point in the design, from 0"),
    ARCHITECTURE,
    MEASURE,
    UNIT,
    text("luck", "common: all points on the same luck; own: each point on its own"),
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
