//! One at a time: what a factor does between the low and the high end of its range, all others at
//! their base.

use super::{Index, Luck, two_sided};

/// From one output to another, each with its squared standard error. Where both share their luck
/// the interval of independent luck is a bound.
pub fn swing(from: (f64, f64), to: (f64, f64), luck: Luck) -> Index {
    let (value, variance) = (to.0 - from.0, from.1 + to.1);
    if !value.is_finite() || !variance.is_finite() {
        return Index::unknown(0, "a run has no value");
    }
    let half = two_sided() * variance.sqrt();
    let method = match luck {
        Luck::Own => "normal, independent random numbers",
        Luck::Common => "normal, as if random numbers were independent",
    };
    let index = Index {
        value: Some(value),
        low: Some(value - half),
        high: Some(value + half),
        floor: Some(half),
        n: 2,
        method,
        note: String::new(),
    };
    index.judged(luck)
}
