//! Columns of `value.csv`.

use super::*;

/// `value.csv`
pub const VALUE: &[Column] = &[
    text("decision", "what the choice is based on: a ranking with weights, or a limit"),
    text("known", "what would be known before choosing: everything, a group, or one parameter"),
    text("item", "everything, name of the group, or file and key path of the parameter"),
    whole("parameters", "number of unknown numbers in it"),
    text("chosen", "architecture chosen now: the best by the mean over parameter sets"),
    text("instead", "architecture that is most often chosen where knowing changes the choice"),
    UNIT,
    number("value", "value of knowing it before choosing: mean gain over parameter sets"),
    number("low95", "lower limit of the 95 % interval of the value"),
    number("high95", "upper limit of the 95 % interval of the value"),
    number(
        "simulation_noise",
        "noise floor: for parameters that say nothing, the value found stays below it with 95 % \
        probability",
    ),
    pure("share_of_perfect", "value divided by that of knowing everything"),
    pure("changes", "share of parameter sets in which another architecture would be chosen"),
    whole("rank", "rank by value among groups, or among parameters, from 1"),
    text("verdict", "could change the choice, cannot change it, or not told apart from noise"),
    N_USED,
    METHOD,
    NOTE,
];
