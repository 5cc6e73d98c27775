//! Intervals of shares and of ratios of sums, with the campaign as cluster.
//!
//! What one campaign counts is not independent (a bad day strikes several times), so the number
//! of things counted says nothing about precision: only campaigns are independent.

use super::beta::{normal_z, student_t};
use super::estimate::Mean;
use super::interval::{OUTSIDE, around, clopper_pearson, none_seen_upper};
use super::tally::Ratio;

/// Below this many campaigns that say "yes" (or "no") a symmetric interval is not trusted.
/// Common practice for rare outcomes; the exact number is a choice.
pub const FEW: u64 = 30;

/// Share of `n` campaigns in which a flag was set `seen` times.
///
/// Method: Clopper-Pearson; nothing seen: 0 to 1 - 0.05^(1/n); nothing missing: the mirror image.
pub fn flag(seen: u64, n: u64) -> Mean {
    if n == 0 {
        return Mean::unknown("no campaign has a value");
    }
    let bound = none_seen_upper(n as f64, OUTSIDE);
    let (limits, method) = match seen {
        0 => ((0.0, bound), "upper95 one-sided"),
        _ if seen == n => ((1.0 - bound, 1.0), "lower95 one-sided"),
        _ => (clopper_pearson(seen as f64, n as f64, OUTSIDE), "Clopper-Pearson"),
    };
    Mean::of(seen as f64 / n as f64, limits, method)
}

/// Variance of the ratio of two means by linearisation, with `n` independent campaigns:
/// Var(x - r y) / (n mean(y)^2). Source: W. Cochran, Sampling Techniques, section 6.3 (from
/// memory). Limits: the denominator must vary little in the mean (its relative error well below 1).
pub fn linearised_variance(ratio: &Ratio) -> Option<f64> {
    let [_, denominator] = ratio.co.mean;
    let r = ratio.totals.0 / ratio.totals.1;
    let variance = ratio.co.variance_of([1.0, -r])?;
    Some(variance / (ratio.co.n as f64 * denominator * denominator))
}

/// Ratio of sums; `share` says that the numerator counts some of what the denominator counts.
///
/// Method: linearised with the campaign as cluster and Student's t. Shares of which fewer than
/// 30 campaigns saw one (or missed one): Clopper-Pearson with the effective number that has the
/// same variance, because a symmetric interval fails there.
/// Source of the latter: E. Korn, B. Graubard, Survey Methodology 24, 1998 (from memory).
pub fn ratio(ratio: &Ratio, share: bool, weighted: bool) -> Mean {
    if ratio.co.n == 0 {
        return Mean::unknown("no campaign has a value");
    }
    if ratio.totals.1 <= 0.0 {
        return Mean::unknown("the denominator is 0 in every campaign");
    }
    let r = ratio.totals.0 / ratio.totals.1;
    if ratio.some == 0 {
        return none_seen(ratio, share && !weighted);
    }
    if share && ratio.short == 0 && !weighted {
        let (bound, note) = cluster_bound(ratio);
        return Mean::of(r, (1.0 - bound, 1.0), "lower95 one-sided").with(&note);
    }
    let Some(variance) = linearised_variance(ratio) else {
        return Mean::point(r, "one campaign: no interval");
    };
    if variance == 0.0 {
        return Mean::of(r, (r, r), "constant").with("the same ratio in every campaign");
    }
    if share && !weighted && ratio.some.min(ratio.short) < FEW {
        return effective(ratio, r, variance);
    }
    match around(r, variance.sqrt(), ratio.co.n, OUTSIDE) {
        Some(limits) if share => inside(r, limits),
        Some(limits) => Mean::of(r, limits, "linearised ratio"),
        None => Mean::point(r, "one campaign: no interval"),
    }
}

/// A counted zero. Without knowing how large a numerator can be there is no upper limit.
fn none_seen(ratio: &Ratio, share: bool) -> Mean {
    if share {
        let (bound, note) = cluster_bound(ratio);
        return Mean::of(0.0, (0.0, bound), "upper95 one-sided").with(&note);
    }
    Mean::never(ratio.co.n)
}

/// Greatest share that still leaves 5 % to see nothing in n campaigns: at most a share
/// 1 - 0.05^(1/n) of campaigns has any, and such a campaign counts no more than the greatest
/// denominator seen.
fn cluster_bound(ratio: &Ratio) -> (f64, String) {
    let campaigns = none_seen_upper(ratio.co.n as f64, OUTSIDE);
    let bound = campaigns * ratio.largest / ratio.co.mean[1];
    let note = format!("limit from {} campaigns with at most {} each", ratio.co.n, ratio.largest);
    (bound.min(1.0), note)
}

fn effective(ratio: &Ratio, r: f64, variance: f64) -> Mean {
    // few campaigns know their own variance badly: the factor takes Student's t into account
    let freedom = (ratio.co.n - 1) as f64;
    let factor = normal_z(OUTSIDE) / student_t(freedom, OUTSIDE);
    let n = (r * (1.0 - r) / variance * factor * factor).min(ratio.totals.1);
    Mean::of(r, clopper_pearson(r * n, n, OUTSIDE), "cluster Clopper-Pearson")
}

/// A share lies between 0 and 1; a limit beyond is cut, and that is said.
fn inside(r: f64, (low, high): (f64, f64)) -> Mean {
    let cut = (low.max(0.0), high.min(1.0));
    let mean = Mean::of(r, cut, "linearised ratio");
    if cut == (low, high) { mean } else { mean.with("a limit is cut at 0 or 1") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::moments::CoSums;

    fn of(rows: &[(f64, f64)]) -> Ratio {
        let mut sums = CoSums::<2>::EMPTY;
        let mut all = Ratio::EMPTY;
        for &(x, y) in rows {
            sums.add([x, y]);
            all.totals.0 += x;
            all.totals.1 += y;
            all.used += u64::from(y > 0.0);
            all.some += u64::from(y > 0.0 && x != 0.0);
            all.short += u64::from(y > 0.0 && x != y);
            all.largest = all.largest.max(y);
        }
        all.co = sums.close();
        all
    }

    #[test]
    fn nothing_seen_and_nothing_missing_are_one_sided() {
        let none = flag(0, 300);
        assert_eq!((none.mean, none.low, none.method), (Some(0.0), Some(0.0), "upper95 one-sided"));
        assert!((none.high.unwrap() - 0.00993608194).abs() < 1e-10);
        let all = flag(300, 300);
        assert_eq!((all.high, all.method), (Some(1.0), "lower95 one-sided"));
        assert!((all.low.unwrap() - (1.0 - 0.00993608194)).abs() < 1e-10);
        assert_eq!(flag(0, 0).mean, None);
        assert_eq!(flag(4, 20).method, "Clopper-Pearson");
    }

    /// By hand: rows (1,2) (2,2) (0,2) (3,4): r = 0.6, residuals -0.2, 0.8, -1.2, 0.6.
    #[test]
    fn ratio_by_hand() {
        let found = ratio(&of(&[(1.0, 2.0), (2.0, 2.0), (0.0, 2.0), (3.0, 4.0)]), false, false);
        assert_eq!(found.mean, Some(0.6));
        let squares = 0.04 + 0.64 + 1.44 + 0.36;
        let error = (squares / 3.0 / 4.0_f64).sqrt() / 2.5;
        let half = found.high.unwrap() - 0.6;
        assert!((half - student_t(3.0, 0.05) * error).abs() < 1e-12);
    }

    #[test]
    fn zero_denominators_are_not_estimable() {
        let found = ratio(&of(&[(0.0, 0.0); 5]), true, false);
        assert_eq!((found.mean, found.low), (None, None));
        assert_eq!(found.note, "the denominator is 0 in every campaign");
    }

    #[test]
    fn a_share_never_seen_is_bounded_by_campaigns_and_not_by_what_they_count() {
        let found = ratio(&of(&[(0.0, 100.0); 1000]), true, false);
        assert_eq!((found.mean, found.method), (Some(0.0), "upper95 one-sided"));
        assert!((found.high.unwrap() - 0.00299124955).abs() < 1e-10);
        let open = ratio(&of(&[(0.0, 100.0); 1000]), false, false);
        assert_eq!((open.mean, open.low, open.high), (Some(0.0), Some(0.0), None));
        assert!(!open.note.is_empty());
    }

    /// One bad campaign of 1000 loses all of its 100: precision is that of 1 in 1000, not of
    /// 100 in 100 000.
    #[test]
    fn clusters_count_once() {
        let mut rows = vec![(0.0, 100.0); 999];
        rows.push((100.0, 100.0));
        let found = ratio(&of(&rows), true, false);
        let (low, high) = clopper_pearson(1.0, 1000.0, 0.05);
        assert_eq!(found.method, "cluster Clopper-Pearson");
        assert!((found.low.unwrap() / low - 1.0).abs() < 0.02);
        assert!((found.high.unwrap() / high - 1.0).abs() < 0.02);
    }
}
