//! Quantiles of a histogram with intervals by order statistics.
//!
//! The q-quantile of n values is the value of rank ceil(n q). Its interval lies between the values
//! of ranks l and u with P(l <= X <= u - 1) >= 95 % for X binomial(n, q); both are widened to the
//! edges of their cells and clamped to the least and greatest value. No assumption about the
//! distribution is made. Source: H. David, Order Statistics, section 7.1 (from memory).

use super::beta::binomial_quantile;
use super::histogram::{Cell, Histogram};
use super::interval::OUTSIDE;

/// A quantile with its 95 % interval; an empty part is not estimable, and `note` says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantile {
    /// which quantile, between 0 and 1
    pub q: f64,
    /// middle of the cell that holds it
    pub value: Option<f64>,
    /// lower limit
    pub low: Option<f64>,
    /// upper limit
    pub high: Option<f64>,
    /// why a part is empty; else an empty text
    pub note: String,
}

impl Quantile {
    /// Not estimable.
    pub fn unknown(q: f64, note: &str) -> Quantile {
        Quantile { q, value: None, low: None, high: None, note: note.into() }
    }
}

/// Ranks (l, u) of the order statistics that enclose the q-quantile of n values with 95 %;
/// `None` on a side where n is too small for any.
pub fn ranks(n: u64, q: f64) -> (Option<u64>, Option<u64>) {
    if n == 0 {
        return (None, None);
    }
    let low = binomial_quantile(n, q, 0.5 * OUTSIDE);
    let high = binomial_quantile(n, q, 1.0 - 0.5 * OUTSIDE) + 1;
    (Some(low).filter(|&l| l >= 1), Some(high).filter(|&u| u <= n))
}

/// Rank of the q-quantile itself; a product like 0.95 x 20 must not round up to the next rank.
pub(super) fn rank(n: u64, q: f64) -> u64 {
    ((n as f64 * q * (1.0 - 1e-12)).ceil() as u64).clamp(1, n)
}

/// The q-quantile (0 < q < 1) of a histogram whose finite values lie in `range`.
pub fn quantile(histogram: &Histogram, range: (f64, f64), q: f64) -> Quantile {
    let (low, high) = ranks(histogram.total(), q);
    let n = histogram.total();
    if n == 0 {
        return Quantile::unknown(q, "no value");
    }
    // a closure per edge: which end of the cell of that rank counts
    let edge = |rank: u64, pick: fn(f64, f64) -> f64| match histogram.cell_of_rank(rank) {
        Some(Cell::Numbers { low, high }) => Some(pick(low.max(range.0), high.min(range.1))),
        _ => None,
    };
    let value = edge(rank(n, q), |low, high| low + 0.5 * (high - low));
    let found = Quantile {
        q,
        value,
        low: low.and_then(|r| edge(r, |low, _| low)),
        high: high.and_then(|r| edge(r, |_, high| high)),
        note: String::new(),
    };
    let note = note(&found, n, (low, high));
    Quantile { note, ..found }
}

/// Why parts are empty.
fn note(found: &Quantile, n: u64, (low, high): (Option<u64>, Option<u64>)) -> String {
    let name = percent(found.q);
    let mut parts = Vec::new();
    if found.value.is_none() {
        parts.push(format!("{name} falls on a value below every number"));
    }
    if low.is_none() || high.is_none() {
        parts.push(format!("{n} values are too few for an interval of {name}"));
    }
    if (found.low.is_none() && low.is_some()) || (found.high.is_none() && high.is_some()) {
        parts.push(format!("a limit of {name} falls on a value below every number"));
    }
    parts.join("; ")
}

/// Name of a quantile as in the heads of tables: p05, p50, p99.9.
fn percent(q: f64) -> String {
    let hundredths = (q * 1e4).round() / 1e2;
    if hundredths < 10.0 { format!("p0{hundredths}") } else { format!("p{hundredths}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::beta::binomial_at_most;
    use crate::stats::histogram::Bins;
    use proptest::prelude::*;

    /// Source: recomputed from the binomial distribution; tolerance of the coverage 1e-6.
    #[test]
    fn ranks_match_recomputed_values() {
        for (n, q, low, high, coverage) in [
            (100, 0.5, 40, 61, 0.964800),
            (1000, 0.5, 469, 532, 0.953709),
            (1000, 0.95, 936, 964, 0.958095),
            (10_000, 0.99, 9880, 9920, 0.955755),
            (10_000, 0.999, 9983, 9997, 0.975458),
        ] {
            assert_eq!(ranks(n, q), (Some(low), Some(high)));
            let found = binomial_at_most(n, q, high - 1) - binomial_at_most(n, q, low - 1);
            assert!((found - coverage).abs() < 1e-6, "{n} {q}: {found}");
        }
        // five values cannot enclose the median with 95 %: the widest choice has 1 - 2/32
        assert_eq!(ranks(5, 0.5), (None, None));
        assert_eq!(ranks(6, 0.5), (Some(1), Some(6)));
        assert_eq!(ranks(0, 0.5), (None, None));
    }

    fn of(values: &[f64]) -> (Histogram, (f64, f64)) {
        let mut histogram = Histogram::new(Bins::Binary);
        values.iter().for_each(|&v| histogram.add(v));
        let finite = || values.iter().copied().filter(|v| v.is_finite());
        let range = (finite().fold(f64::INFINITY, f64::min), finite().fold(f64::MIN, f64::max));
        (histogram, range)
    }

    #[test]
    fn a_quantile_on_a_miss_is_empty_with_a_note() {
        let mut values = vec![f64::NEG_INFINITY; 10];
        values.extend((0..90).map(|i| 20.0 + f64::from(i)));
        let (histogram, range) = of(&values);
        let p05 = quantile(&histogram, range, 0.05);
        assert_eq!((p05.value, p05.low), (None, None));
        assert!(p05.note.contains("p05 falls on a value below every number"), "{}", p05.note);
        let p11 = quantile(&histogram, range, 0.11);
        // 20 stands at the lower edge of a cell that is 1/16 wide
        assert_eq!((p11.value, p11.low), (Some(20.03125), None));
        assert!(
            p11.note.contains("a limit of p11 falls on a value below every number"),
            "{}",
            p11.note
        );
        let p50 = quantile(&histogram, range, 0.5);
        assert!(p50.value.is_some() && p50.low.is_some() && p50.note.is_empty());
    }

    #[test]
    fn the_only_value_is_its_own_quantile_without_an_interval() {
        let (histogram, range) = of(&[0.3]);
        let median = quantile(&histogram, range, 0.5);
        assert_eq!((median.value, median.low, median.high), (Some(0.3), None, None));
        assert_eq!(median.note, "1 values are too few for an interval of p50");
        let (histogram, range) = of(&[]);
        assert_eq!(quantile(&histogram, range, 0.5).note, "no value");
    }

    #[test]
    fn whole_ranks_do_not_round_up() {
        for (n, q, expected) in [(20, 0.95, 19), (100, 0.07, 7), (1000, 0.001, 1), (7, 0.5, 4)] {
            assert_eq!(rank(n, q), expected);
        }
    }

    proptest! {
        /// The estimate lies within half a cell (0.2 %) of the exact value of its rank, and the
        /// interval contains the exact values of its ranks.
        #[test]
        fn error_is_bounded(
            mut values in prop::collection::vec(
                prop_oneof![-1e3..1e3, 1e-6..1e-3, Just(0.0)],
                1..300,
            ),
            q in 0.01..0.99_f64,
        ) {
            let (histogram, range) = of(&values);
            values.sort_by(f64::total_cmp);
            let n = values.len() as u64;
            let at = |rank: u64| values[rank as usize - 1];
            let found = quantile(&histogram, range, q);
            let exact = at(rank(n, q));
            prop_assert!((found.value.unwrap() - exact).abs() <= exact.abs() / 256.0);
            prop_assert!(range.0 <= found.value.unwrap() && found.value.unwrap() <= range.1);
            let (low, high) = ranks(n, q);
            prop_assert_eq!(low.is_some(), found.low.is_some());
            for (rank, limit) in low.into_iter().zip(found.low) {
                prop_assert!(limit <= at(rank) && limit >= at(rank) - at(rank).abs() / 256.0);
            }
            for (rank, limit) in high.into_iter().zip(found.high) {
                prop_assert!(limit >= at(rank) && limit <= at(rank) + at(rank).abs() / 256.0);
            }
        }
    }
}
