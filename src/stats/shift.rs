//! Did a mean move between two runs? Chances of a gap at least as large if nothing moved, and how
//! many such chances may be looked at together.

use super::beta::{beta_tails, binomial_at_most};
use super::moments::{CoMoments, Moments};
use statrs::distribution::{DiscreteCDF, Hypergeometric};

/// Chance, two-sided, of a Student's t at least as large in size.
///
/// Formula: P(|T| >= |t|) = I_x(f/2, 1/2), x = f/(f + t^2).
/// Limits: freedom above 0.
fn student_p(t: f64, freedom: f64) -> f64 {
    let squared = t * t;
    let x = freedom / (freedom + squared);
    let y = squared / (freedom + squared);
    if x.is_nan() || y.is_nan() {
        return if squared.is_infinite() { 0.0 } else { 1.0 };
    }
    beta_tails(0.5 * freedom, 0.5, x, y).0.clamp(0.0, 1.0)
}

/// Chance of such a mean difference if its expectation is 0: paired Student t. A difference that is
/// the same in every pair and not 0 has chance 0. `None` below two pairs.
pub fn paired(difference: &Moments) -> Option<f64> {
    let error = difference.standard_error()?;
    Some(of_error(difference.mean, error, (difference.n - 1) as f64))
}

fn of_error(gap: f64, error: f64, freedom: f64) -> f64 {
    match (gap == 0.0, error > 0.0) {
        (true, _) => 1.0,
        (false, true) => student_p(gap / error, freedom),
        (false, false) => 0.0,
    }
}

/// Chance of so uneven a split of the pairs of flags that differ, if either way is as likely:
/// two-sided, exact (the smaller tail of a binomial, doubled).
///
/// Source: Q. McNemar, Psychometrika 12, 1947 (from memory).
pub fn paired_flags(up: u64, down: u64) -> f64 {
    match up + down {
        0 => 1.0,
        n => (2.0 * binomial_at_most(n, 0.5, up.min(down))).min(1.0),
    }
}

/// Gap of two ratios of sums over the same campaigns, with its standard error: moments of (x' - x,
/// y' - y, x, y), numerators x and denominators y, primes after. Linearised as
/// [`super::difference`] does it. `None` where a denominator is 0 or below two campaigns.
pub fn paired_ratios(co: &CoMoments<4>) -> Option<(f64, f64, f64)> {
    let [u, w, x, y] = co.mean;
    let (after_x, after_y) = (x + u, y + w);
    if co.n < 2 || !(y > 0.0 && after_y > 0.0) {
        return None;
    }
    let (r, after) = (x / y, after_x / after_y);
    let (per, after_per) = (1.0 / y, 1.0 / after_y);
    let factors = [after_per, -after * after_per, after_per - per, r * per - after * after_per];
    let error = (co.variance_of(factors)? / co.n as f64).max(0.0).sqrt();
    let gap = after - r;
    Some((gap, error, of_error(gap, error, (co.n - 1) as f64)))
}

/// Mean of independent values with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// mean
    pub mean: f64,
    /// standard error
    pub error: f64,
    /// values behind it
    pub n: u64,
}

/// Gap of two independent means with its standard error and the chance of one at least as large:
/// Welch's t with Satterthwaite's degrees of freedom.
///
/// Source: B. Welch, Biometrika 34, 1947 (from memory). `None` below two values on a side.
pub fn independent(before: Spread, after: Spread) -> Option<(f64, f64, f64)> {
    if before.n < 2 || after.n < 2 {
        return None;
    }
    let parts = [before, after].map(|s| s.error * s.error);
    let sum = parts[0] + parts[1];
    let own = |s: Spread, v: f64| v * v / (s.n - 1) as f64;
    let freedom = sum * sum / (own(before, parts[0]) + own(after, parts[1]));
    let (gap, error) = (after.mean - before.mean, sum.sqrt());
    Some((gap, error, of_error(gap, error, if freedom.is_finite() { freedom } else { 1.0 })))
}

/// Chance of so uneven a pair of independent counts, `seen` of `n` each, if both have one share:
/// two-sided, exact given their sum (the smaller tail of a hypergeometric law, doubled).
///
/// Source: R. Fisher, Journal of the Royal Statistical Society 98, 1935 (from memory).
pub fn independent_flags(before: (u64, u64), after: (u64, u64)) -> f64 {
    let (seen, all) = (before.0 + after.0, before.1 + after.1);
    // Counting what is rarer keeps the sums short.
    if seen > all - seen {
        let other = |(seen, n): (u64, u64)| (n - seen, n);
        return independent_flags(other(before), other(after));
    }
    let Ok(law) = Hypergeometric::new(all, seen, after.1) else { return 1.0 };
    let below = law.cdf(after.0);
    let above = match after.0.checked_sub(1) {
        Some(less) => law.sf(less),
        None => 1.0,
    };
    (2.0 * below.min(above)).min(1.0)
}

/// Which of these chances stand out when all are looked at: with no gap anywhere, even one stands
/// out in at most `level` of such looks, however the chances depend on each other.
///
/// Source: S. Holm, Scandinavian Journal of Statistics 6, 1979 (from memory).
pub fn stand_out(chances: &[f64], level: f64) -> Vec<bool> {
    let mut order: Vec<usize> = (0..chances.len()).collect();
    order.sort_by(|a, b| chances[*a].total_cmp(&chances[*b]));
    let mut out = vec![false; chances.len()];
    for (rank, at) in order.into_iter().enumerate() {
        if chances[at] > level / (chances.len() - rank) as f64 {
            break;
        }
        out[at] = true;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the printed table of Student's t, two-sided 5 % points (from memory).
    #[test]
    fn chances_of_student_match_the_printed_table() {
        for (t, freedom) in [(12.7062, 1.0), (2.57058, 5.0), (2.04227, 30.0), (1.95996, 1e9)] {
            assert!((student_p(t, freedom) - 0.05).abs() < 1e-5, "{t} {freedom}");
        }
        assert_eq!(student_p(0.0, 3.0), 1.0);
        assert_eq!(student_p(f64::INFINITY, 3.0), 0.0);
    }

    /// By hand: 1 of 6 up, 2 (1 + 6)/64; the tea test, 4 of 4 and 0 of 4: 2/70.
    #[test]
    fn counts_match_hand_arithmetic() {
        assert!((paired_flags(1, 5) - 14.0 / 64.0).abs() < 1e-12);
        assert_eq!(paired_flags(0, 0), 1.0);
        assert!((independent_flags((4, 4), (0, 4)) - 2.0 / 70.0).abs() < 1e-12);
        assert_eq!(independent_flags((0, 50), (0, 70)), 1.0);
        assert_eq!(independent_flags((3, 50), (3, 50)), 1.0);
    }

    #[test]
    fn a_constant_gap_is_no_chance_and_no_gap_is_none() {
        let same: Moments = [0.25; 9].into_iter().collect();
        let none: Moments = [0.0; 9].into_iter().collect();
        assert_eq!((paired(&same), paired(&none)), (Some(0.0), Some(1.0)));
        assert_eq!(paired(&Moments::one(1.0)), None);
    }

    /// Where nothing moved, chances below 0.05 come up in 5 % of looks: 4000 looks at 20 pairs, and
    /// at two independent runs of 20, of a skewed law. Limits: 4 standard errors, false-alarm rate
    /// 1e-4 for each of the two (the skewed law leaves the independent one a little below).
    #[test]
    fn chances_are_uniform_where_nothing_moved() {
        let mut state = 0x2545_f491_4f6c_dd1d_u64;
        let mut uniform = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let mut law = || -(1.0 - uniform()).ln();
        let (mut by_pairs, mut apart) = (0, 0);
        for _ in 0..4000 {
            let before: Vec<f64> = (0..20).map(|_| law()).collect();
            let after: Vec<f64> = (0..20).map(|_| law()).collect();
            let gaps: Moments = before.iter().zip(&after).map(|(a, b)| b - a).collect();
            by_pairs += usize::from(paired(&gaps).unwrap() < 0.05);
            let spread = |values: &[f64]| {
                let m: Moments = values.iter().copied().collect();
                Spread { mean: m.mean, error: m.standard_error().unwrap(), n: m.n }
            };
            let (.., p) = independent(spread(&before), spread(&after)).unwrap();
            apart += usize::from(p < 0.05);
        }
        // 200 +- 4 sqrt(4000 0.05 0.95)
        for seen in [by_pairs, apart] {
            assert!((145..=255).contains(&seen), "{by_pairs} {apart}");
        }
    }

    /// By hand, level 0.05 over four: 0.0125, 0.0167, 0.025, 0.05.
    #[test]
    fn chances_looked_at_together() {
        assert_eq!(stand_out(&[0.02, 0.01, 0.6, 0.017], 0.05), [false, true, false, false]);
        assert_eq!(stand_out(&[0.02, 0.01, 0.6, 0.016], 0.05), [true, true, false, true]);
        assert!(stand_out(&[], 0.05).is_empty());
    }
}
