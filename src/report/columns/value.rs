//! Columns of `value.csv`.

use super::*;

/// `value.csv`
pub const VALUE: &[Column] = &[
    text("decision", "what the choice goes by: a ranking with weights, or a limit"),
    text("known", "what one would know before choosing: everything, a group, or one parameter"),
    text("item", "everything, name of the group, or file and key path of the parameter"),
    whole("parameters", "how many numbers that are not known it holds"),
    text("chosen", "architecture that is chosen now: the best by the mean over parameter sets"),
    text("instead", "architecture that is most often chosen where knowing changes the choice"),
    UNIT,
    number("value", "what it is worth to know it before choosing: gain by the mean over sets"),
    number("low95", "lower limit of the 95 % interval of the value"),
    number("high95", "upper limit of the 95 % interval of the value"),
    number(
        "simulation_noise",
        "noise floor: what is found where parameters tell nothing stays below it with 95 % chance",
    ),
    pure("share_of_perfect", "value over that of knowing everything"),
    pure("changes", "share of parameter sets in which another architecture would be chosen"),
    whole("rank", "place by value among groups, or among parameters, from 1"),
    text("verdict", "could change the choice, cannot change it, or not told apart from noise"),
    N_USED,
    METHOD,
    NOTE,
];
