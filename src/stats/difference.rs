//! Differences between two arms that played the same campaigns.

use super::estimate::{Mean, add_note};
use super::interval::{OUTSIDE, around, none_seen_upper, paired_flags, student};
use super::moments::CoMoments;
use super::quotient::{self, Quotient};
use super::share::linearised_variance;
use super::tally::{Pair, Ratio, Single};

/// Other arm less reference. An empty part is not estimable: `note` says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// mean of the paired difference, or difference of two ratios of sums
    pub difference: Option<f64>,
    /// lower 95 % limit
    pub low: Option<f64>,
    /// upper 95 % limit
    pub high: Option<f64>,
    /// share of campaigns in which the other arm is lower than the reference
    pub probability_lower: Option<f64>,
    /// share of campaigns in which both are equal
    pub probability_equal: Option<f64>,
    /// (Var A + Var B) / Var(difference): by how many times the campaigns of unpaired play would
    /// have to be more for the same precision
    pub variance_reduction: Option<f64>,
    /// ratio of the two means
    pub ratio: Quotient,
    /// campaigns where both arms have a value
    pub n_used: u64,
    /// how the interval was had
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

/// Difference of a plain column; `flag` says that its values are 0 and 1 only.
pub fn of_column(
    pair: &Pair,
    [reference, other]: [&Single; 2],
    flag: bool,
    weighted: bool,
) -> Difference {
    let misses = pair.both - pair.difference.n;
    let mean = match misses {
        0 if flag && !weighted => flags(pair),
        0 => amounts(pair),
        _ => Mean::unknown(&format!(
            "{misses} campaigns with a value below every number have no \
            difference"
        )),
    };
    let variances = || Some(reference.moments.variance()? + other.moments.variance()?);
    let reduction = match misses {
        0 => variance_reduction(variances(), pair.difference.variance()),
        _ => Err("a value below every number has no variance"),
    };
    let ratio = quotient::of_column(pair, [reference, other], weighted);
    assemble(mean, reduction, ratio, pair, weighted)
}

/// Difference of a ratio column from the co-moments of its pair (see [`super::Tally`]).
pub fn of_ratio(
    co: &CoMoments<4>,
    pair: &Pair,
    [reference, other]: [&Ratio; 2],
    weighted: bool,
) -> Difference {
    let (mean, variance) = ratios(co, pair);
    let variances = || Some(linearised_variance(reference)? + linearised_variance(other)?);
    let reduction = variance_reduction(variances(), variance);
    assemble(mean, reduction, quotient::of_ratio(co), pair, weighted)
}

/// Mean difference by Student's t.
fn amounts(pair: &Pair) -> Mean {
    let moments = &pair.difference;
    let Some(limits) = student(moments, OUTSIDE) else {
        return match moments.n {
            0 => Mean::unknown("no campaign has both values"),
            _ => Mean::point(moments.mean, "one campaign: no interval"),
        };
    };
    if moments.m2 > 0.0 {
        return Mean::of(moments.mean, limits, "paired Student t");
    }
    match pair.equal == pair.both {
        true => Mean::of(0.0, (0.0, 0.0), NONE_SEEN).with(&equal_in_all(pair)),
        false => constant(moments.mean, limits),
    }
}

/// How an interval was had where no campaign differs.
pub(super) const NONE_SEEN: &str = "no difference seen";
/// The same of flags, of which a limit can be told.
pub(super) const NONE_SEEN_BOUND: &str = "no difference seen, 95 %";

/// The one form of "equal in every campaign" (rule 37).
pub(super) fn equal_in_all(pair: &Pair) -> String {
    format!("equal in all {} campaigns", pair.both)
}

fn constant(difference: f64, limits: (f64, f64)) -> Mean {
    Mean::of(difference, limits, "constant").with("the same difference in every campaign")
}

/// Difference of two shares of the same campaigns: exact, given how many campaigns differ, at every
/// number of them (rule 37).
fn flags(pair: &Pair) -> Mean {
    let (n, higher) = (pair.both as f64, pair.both - pair.lower - pair.equal);
    let differ = pair.lower + higher;
    if pair.both == 0 {
        return Mean::unknown("no campaign has both values");
    }
    let difference = (higher as f64 - pair.lower as f64) / n;
    if differ == 0 {
        let bound = none_seen_upper(n, OUTSIDE);
        return Mean::of(0.0, (-bound, bound), NONE_SEEN_BOUND).with(&equal_in_all(pair));
    }
    let limits = paired_flags(higher, differ, n, OUTSIDE);
    let note = format!("limits conditional on the {differ} campaigns that differ");
    Mean::of(difference, limits, "paired Clopper-Pearson").with(&note)
}

/// Difference of two ratios of sums and the linearised variance of it.
///
/// With numerators x, denominators y, means X and Y, ratios r, the residual of a campaign is
/// (x - r y)/Y of the other less that of the reference. Written in the differences u = x' - x and
/// w = y' - y it is u/Y' + x (1/Y' - 1/Y) - w r'/Y' - y (r'/Y' - r/Y): exactly 0 for equal arms.
fn ratios(co: &CoMoments<4>, pair: &Pair) -> (Mean, Option<f64>) {
    if co.n == 0 {
        return (Mean::unknown("no campaign has both values"), None);
    }
    let Some((difference, factors)) = linear(co) else {
        return (Mean::unknown("a denominator is 0 in every campaign"), None);
    };
    let Some(variance) = co.variance_of(factors).map(|v| v / co.n as f64) else {
        return (Mean::point(difference, "one campaign: no interval"), None);
    };
    let limits = around(difference, variance.sqrt(), co.n, OUTSIDE);
    let mean = match limits {
        Some(_) if variance == 0.0 && difference == 0.0 && pair.equal == pair.both => {
            Mean::of(0.0, (0.0, 0.0), NONE_SEEN).with(&equal_in_all(pair))
        }
        Some(limits) if variance == 0.0 => constant(difference, limits),
        Some(limits) => Mean::of(difference, limits, "paired linearised ratio"),
        None => Mean::point(difference, "one campaign: no interval"),
    };
    (mean, Some(variance))
}

/// Difference of two ratios of sums, and the factors of (u, w, x, y) in the residual of a campaign (see
/// [`ratios`]); `None` where a denominator is 0 in every campaign.
fn linear(co: &CoMoments<4>) -> Option<(f64, [f64; 4])> {
    let [u, w, x, y] = co.mean;
    let (other_x, other_y) = (x + u, y + w);
    if !(y > 0.0 && other_y > 0.0) {
        return None;
    }
    let (r, other_r) = (x / y, other_x / other_y);
    let (per, other_per) = (1.0 / y, 1.0 / other_y);
    let factors = [other_per, -other_r * other_per, other_per - per, r * per - other_r * other_per];
    Some((other_r - r, factors))
}

/// Variance of the difference of two ratios of sums; `None` where it is not estimable.
pub(super) fn variance_of_ratios(co: &CoMoments<4>) -> Option<f64> {
    let (_, factors) = linear(co)?;
    Some(co.variance_of(factors)? / co.n as f64)
}

/// (Var A + Var B) / Var(difference), or why there is none.
fn variance_reduction(apart: Option<f64>, paired: Option<f64>) -> Result<f64, &'static str> {
    match (apart, paired) {
        (Some(_), Some(0.0)) => Err("the difference never varies: no variance reduction"),
        (Some(apart), Some(paired)) => Ok(apart / paired),
        _ => Err("too few campaigns for a variance reduction"),
    }
}

fn assemble(
    mean: Mean,
    reduction: Result<f64, &'static str>,
    ratio: Quotient,
    pair: &Pair,
    weighted: bool,
) -> Difference {
    let share = |count: u64| (pair.both > 0 && !weighted).then(|| count as f64 / pair.both as f64);
    let mut note = mean.note;
    if let Err(why) = reduction {
        add_note(&mut note, why);
    }
    if weighted {
        add_note(&mut note, "no shares of weighted campaigns");
    }
    Difference {
        difference: mean.mean,
        low: mean.low,
        high: mean.high,
        probability_lower: share(pair.lower),
        probability_equal: share(pair.equal),
        variance_reduction: reduction.ok(),
        ratio,
        n_used: pair.both,
        method: mean.method,
        note,
    }
}
