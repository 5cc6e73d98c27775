//! What is said of one column of one arm: mean, interval, spread, quantiles, and how they were had.

use super::histogram::Histogram;
use super::interval::{OUTSIDE, none_seen_upper, student};
use super::plan::Kind;
use super::quantile::{Quantile, quantile};
use super::share::{self, FEW};
use super::tally::{Ratio, Single};

/// The quantiles of every table.
pub const QUANTILES: [f64; 4] = [0.05, 0.5, 0.95, 0.99];

/// A mean with its 95 % interval; an empty part is not estimable, and `note` says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Mean {
    /// the mean, or the ratio of sums
    pub mean: Option<f64>,
    /// lower limit
    pub low: Option<f64>,
    /// upper limit
    pub high: Option<f64>,
    /// how the interval was had
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

impl Mean {
    /// A mean with both limits.
    pub fn of(mean: f64, (low, high): (f64, f64), method: &'static str) -> Mean {
        Mean { mean: Some(mean), low: Some(low), high: Some(high), method, note: String::new() }
    }

    /// A mean whose interval is not estimable.
    pub fn point(mean: f64, note: &str) -> Mean {
        Mean { mean: Some(mean), ..Mean::unknown(note) }
    }

    /// Not estimable.
    pub fn unknown(note: &str) -> Mean {
        Mean { mean: None, low: None, high: None, method: "not estimable", note: note.into() }
    }

    /// A counted zero of something that has no greatest size: how often it happens is bounded,
    /// its mean is not.
    pub fn never(n: u64) -> Mean {
        let share = none_seen_upper(n as f64, OUTSIDE);
        let note = format!("0 in all {n} campaigns; at most {share:.2e} of campaigns have any");
        Mean { low: Some(0.0), method: "upper95 one-sided", ..Mean::point(0.0, &note) }
    }

    /// The same with another note added.
    pub fn with(mut self, note: &str) -> Mean {
        add_note(&mut self.note, note);
        self
    }
}

/// Adds a sentence to a note.
pub(super) fn add_note(note: &mut String, more: &str) {
    if !more.is_empty() && !note.contains(more) {
        if !note.is_empty() {
            note.push_str("; ");
        }
        note.push_str(more);
    }
}

/// The estimates of one column of one arm. An empty part is not estimable: `note` says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// mean, or ratio of sums
    pub mean: Option<f64>,
    /// lower 95 % limit of the mean
    pub low: Option<f64>,
    /// upper 95 % limit of the mean
    pub high: Option<f64>,
    /// standard deviation between campaigns
    pub sd: Option<f64>,
    /// p05, p50, p95, p99; none for extras
    pub quantiles: Vec<Quantile>,
    /// least value
    pub min: Option<f64>,
    /// greatest value
    pub max: Option<f64>,
    /// campaigns with a value (for a ratio: with a denominator above zero)
    pub n_used: u64,
    /// how the interval of the mean was had
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

/// Mean of independent values by Student's t.
pub fn mean_of(single: &Single, weighted: bool) -> Mean {
    let moments = &single.moments;
    let Some(limits) = student(moments, OUTSIDE) else {
        return match moments.n {
            0 => Mean::unknown("no campaign has a value"),
            _ => Mean::point(moments.mean, "one value: no interval"),
        };
    };
    if single.nonzero == 0 {
        return Mean::never(moments.n);
    }
    if moments.m2 == 0.0 && !weighted {
        return Mean::of(moments.mean, limits, "constant").with("the same in every campaign");
    }
    let mean = Mean::of(moments.mean, limits, "Student t");
    if single.nonzero < FEW && single.nonzero < moments.n {
        let few = single.nonzero;
        return mean.with(&format!("rough: not 0 in {few} of {} campaigns only", moments.n));
    }
    mean
}

/// Estimate of a plain column.
pub fn of_column(single: &Single, histogram: &Histogram, kind: Kind, weighted: bool) -> Estimate {
    let (below, above) = histogram.misses();
    let mut mean = match kind {
        Kind::Flag if !weighted => share::flag(single.nonzero, single.moments.n),
        _ => mean_of(single, weighted),
    };
    if below + above > 0 {
        let note = format!("{} values below every number have no mean", below + above);
        mean = Mean::unknown(&note);
    }
    let mut estimate = assemble(mean, single, weighted);
    estimate.n_used = histogram.total();
    add_quantiles(&mut estimate, single, histogram, weighted);
    if below + above > 0 {
        estimate.sd = None;
        estimate.min = estimate.min.filter(|_| below == 0);
        estimate.max = estimate.max.filter(|_| above == 0);
    }
    estimate
}

/// Estimate of a ratio column: `quotients` are those of the campaigns.
pub fn of_ratio(
    ratio: &Ratio,
    quotients: &Single,
    histogram: &Histogram,
    share: bool,
    weighted: bool,
) -> Estimate {
    let mut estimate = assemble(share::ratio(ratio, share, weighted), quotients, weighted);
    add_quantiles(&mut estimate, quotients, histogram, weighted);
    estimate
}

/// Estimate of an extra: no quantiles.
pub fn of_extra(single: &Single, weighted: bool) -> Estimate {
    assemble(mean_of(single, weighted), single, weighted)
}

/// Estimate of the share that an extra has in a value: the ratio of sums alone.
pub fn of_extra_ratio(ratio: &Ratio, share: bool, weighted: bool) -> Estimate {
    let mut estimate = assemble(share::ratio(ratio, share, weighted), &Single::EMPTY, weighted);
    estimate.n_used = ratio.used;
    estimate
}

fn assemble(mean: Mean, single: &Single, weighted: bool) -> Estimate {
    let any = single.moments.n > 0;
    Estimate {
        mean: mean.mean,
        low: mean.low,
        high: mean.high,
        // the moments are those of weight times value, which is not the spread of the values
        sd: single.moments.sd().filter(|_| !weighted),
        quantiles: Vec::new(),
        min: any.then_some(single.range.0),
        max: any.then_some(single.range.1),
        n_used: single.moments.n,
        method: mean.method,
        note: mean.note,
    }
}

fn add_quantiles(estimate: &mut Estimate, single: &Single, histogram: &Histogram, weighted: bool) {
    for q in QUANTILES {
        let found = match weighted {
            true => Quantile::unknown(q, "no quantiles and no sd of weighted campaigns"),
            false => quantile(histogram, single.range, q),
        };
        add_note(&mut estimate.note, &found.note);
        estimate.quantiles.push(found);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::histogram::Bins;
    use crate::stats::moments::Moments;

    fn of(values: &[f64], kind: Kind) -> Estimate {
        let mut histogram = Histogram::new(Bins::Binary);
        let mut single = Single::EMPTY;
        for &x in values {
            histogram.add(x);
            if x.is_finite() {
                let nonzero = u64::from(x != 0.0);
                let moments = Moments::one(x);
                let more = Single { moments, total: x, nonzero, range: (x, x), largest: x.abs() };
                single.merge(&more);
            }
        }
        of_column(&single, &histogram, kind, false)
    }

    #[test]
    fn nothing_and_one_value() {
        let none = of(&[], Kind::Amount);
        assert_eq!((none.mean, none.sd, none.min, none.n_used), (None, None, None, 0));
        assert_eq!(none.method, "not estimable");
        assert!(none.note.contains("no campaign has a value"));
        let one = of(&[2.5], Kind::Amount);
        assert_eq!((one.mean, one.low, one.sd, one.min), (Some(2.5), None, None, Some(2.5)));
        assert!(one.note.contains("one value"));
    }

    #[test]
    fn a_counted_zero_has_no_upper_limit() {
        let zero = of(&[0.0; 300], Kind::Count);
        assert_eq!((zero.mean, zero.low, zero.high), (Some(0.0), Some(0.0), None));
        assert_eq!(zero.method, "upper95 one-sided");
        assert!(zero.note.contains("at most 9.94e-3 of campaigns"), "{}", zero.note);
    }

    #[test]
    fn a_constant_and_a_rare_amount_say_so() {
        let constant = of(&[90.0; 100], Kind::Count);
        assert_eq!((constant.low, constant.high), (Some(90.0), Some(90.0)));
        assert_eq!(constant.method, "constant");
        let mut rare = [0.0; 100];
        rare[7] = 3.0;
        assert!(of(&rare, Kind::Amount).note.contains("not 0 in 1 of 100 campaigns only"));
    }

    #[test]
    fn misses_empty_the_mean_but_not_the_upper_quantiles() {
        let mut values: Vec<f64> = (0..100).map(f64::from).collect();
        values[0] = f64::NEG_INFINITY;
        let worst = of(&values, Kind::Worst);
        assert_eq!((worst.mean, worst.sd, worst.min), (None, None, None));
        assert_eq!((worst.max, worst.n_used), (Some(99.0), 100));
        assert!(worst.note.contains("1 values below every number have no mean"));
        assert!(worst.quantiles[1].value.is_some());
    }
}
