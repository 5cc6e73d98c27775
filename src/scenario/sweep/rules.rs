//! Rules of sweep files.

use crate::scenario::rules::rules;

rules! {
    /// Every rule of a sweep file, beside those of the reader.
    SWEEP_RULES, Reader, {
    SWEEP_DESIGN = "sweep-design" Error:
        "a design has the keys it needs, in sizes it can have, and no others";
        "grid and one at a time: `levels` at the factors; latin hypercube, sobol sequence: `points`; elementary effects: `trajectories` and an even number of `levels`; saltelli: `rows`, a power of 2"
    SWEEP_KEY = "sweep-key" Error:
        "a key path leads to one place of the base campaign, and one factor sets it";
        "write the path as findings show it, for example element.habitat.volume or list.ingress[0].takes"
    SWEEP_UNIT = "sweep-unit" Error:
        "the ends of a range and the numbers of a law are written in one unit, in which the values are spread";
        "write every number of the factor with the same unit"
    SWEEP_RANGE = "sweep-range" Error:
        "a range leads from `low` up to `high`; in the logarithm both are above 0";
        "write the smaller number behind `low`"
    SWEEP_OWN = "sweep-own" Error:
        "`own` takes the law that the base campaign has behind the key";
        "name a key with a law of values, or write `range` or `law`"
    SWEEP_LAW = "sweep-law" Error:
        "a law of a factor is a law of values";
        "write { low, high }, { low, mode, high }, { mean, sd }, { median, error_factor }, { failures, demands } or { events, exposure }"
    SWEEP_ARCHITECTURES = "sweep-architectures" Error:
        "every point compares the same architectures, which the base campaign or a choice has";
        "name architectures that are there at every point"
    SWEEP_LARGE = "sweep-large" Error:
        "a sweep holds at most 1 000 000 points and 50 factors";
        "take fewer levels, rows or factors, or split the sweep"
    }
}
