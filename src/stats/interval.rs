//! Intervals for shares and counts, and for the mean of independent values.
//!
//! `outside` is the probability left outside on both sides together (0.05 for 95 %).
//! Every function returns (low, high).

use super::beta::{Tail, beta_quantile, normal_z, student_t};
use super::moments::Moments;
use statrs::distribution::{ContinuousCDF, Gamma};

/// What is left outside the two-sided intervals of every table: 0.05, that is 95 %.
pub const OUTSIDE: f64 = 0.05;

/// Clopper-Pearson interval of a share, `seen` of `n`: beta quantiles, coverage never below the
/// nominal one. Both may be fractions (effective counts of clustered data).
///
/// Formula: low = B(outside/2; seen, n-seen+1), high = B(1-outside/2; seen+1, n-seen).
/// Source: C. Clopper, E. Pearson, Biometrika 26, 1934 (from memory).
/// Limits: n > 0, 0 <= seen <= n; nothing seen gives low = 0, all seen gives high = 1.
pub fn clopper_pearson(seen: f64, n: f64, outside: f64) -> (f64, f64) {
    debug_assert!(n > 0.0 && seen >= 0.0 && seen <= n);
    let half = 0.5 * outside;
    let low = match seen > 0.0 {
        true => beta_quantile(seen, n - seen + 1.0, half, Tail::Lower).0,
        false => 0.0,
    };
    let high = match seen < n {
        true => beta_quantile(seen + 1.0, n - seen, half, Tail::Upper).0,
        false => 1.0,
    };
    (low, high)
}

/// Wilson's score interval of a share; for display, coverage is nominal on average only.
/// Source: E. Wilson, JASA 22, 1927 (from memory).
pub fn wilson(seen: u64, n: u64, outside: f64) -> (f64, f64) {
    let (z, n) = (normal_z(outside), n as f64);
    let share = seen as f64 / n;
    let scale = 1.0 + z * z / n;
    let centre = (share + 0.5 * z * z / n) / scale;
    let half = z * (share * (1.0 - share) / n + 0.25 * z * z / (n * n)).sqrt() / scale;
    // at 0 and n the exact limits are 0 and 1; rounding would leave -7e-18
    let low = if seen == 0 { 0.0 } else { centre - half };
    let high = if share == 1.0 { 1.0 } else { centre + half };
    (low, high)
}

/// Jeffreys interval of a share: quantiles of beta(seen + 1/2, n - seen + 1/2), with the limit at
/// 0 when nothing and at 1 when everything was seen.
/// Source: L. Brown, T. Cai, A. DasGupta, Statistical Science 16, 2001 (from memory).
pub fn jeffreys(seen: u64, n: u64, outside: f64) -> (f64, f64) {
    let (a, b) = (seen as f64 + 0.5, (n - seen) as f64 + 0.5);
    let half = 0.5 * outside;
    let low = match seen {
        0 => 0.0,
        _ => beta_quantile(a, b, half, Tail::Lower).0,
    };
    let high = match seen == n {
        true => 1.0,
        false => beta_quantile(a, b, half, Tail::Upper).0,
    };
    (low, high)
}

/// Interval of the difference of two shares of the same `n` campaigns, of which `differ` differ, in
/// `higher` of them upward: with Clopper-Pearson limits l, u of higher/differ it is
/// (2 l - 1) differ/n to (2 u - 1) differ/n. Exact given `differ`; how many campaigns differ is
/// taken as it was seen.
///
/// Source: the conditional test of Q. McNemar, Psychometrika 12, 1947, turned into limits (from
/// memory). Limits: 0 < differ <= n, higher <= differ.
pub fn paired_flags(higher: u64, differ: u64, n: f64, outside: f64) -> (f64, f64) {
    let (low, high) = clopper_pearson(higher as f64, differ as f64, outside);
    let scale = differ as f64 / n;
    ((2.0 * low - 1.0) * scale, (2.0 * high - 1.0) * scale)
}

/// Greatest share that still leaves a chance of `outside` to see nothing in n: 1 - outside^(1/n).
pub fn none_seen_upper(n: f64, outside: f64) -> f64 {
    -(outside.ln() / n).exp_m1()
}

/// Garwood's exact interval of a Poisson mean from one count.
///
/// Formula: chi-squared quantiles, low = X(outside/2; 2 seen)/2, high = X(1-outside/2; 2 seen+2)/2.
/// Source: F. Garwood, Biometrika 28, 1936 (from memory).
pub fn garwood(seen: u64, outside: f64) -> (f64, f64) {
    // a chi-squared variable of 2k degrees of freedom is twice a gamma variable of shape k
    let quantile = |shape: u64, p: f64| {
        let law = Gamma::new(shape as f64, 1.0).expect("shape and rate are above zero");
        law.inverse_cdf(p)
    };
    let low = match seen {
        0 => 0.0,
        _ => quantile(seen, 0.5 * outside),
    };
    (low, quantile(seen + 1, 1.0 - 0.5 * outside))
}

/// Student interval of a mean; `None` below two values.
pub fn student(values: &Moments, outside: f64) -> Option<(f64, f64)> {
    around(values.mean, values.standard_error()?, values.n, outside)
}

/// Student interval about `centre` with a given standard error from n independent values.
pub fn around(centre: f64, error: f64, n: u64, outside: f64) -> Option<(f64, f64)> {
    let half = student_t(n.checked_sub(1).filter(|&f| f > 0)? as f64, outside) * error;
    Some((centre - half, centre + half))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::beta::binomial_at_most;

    fn close(found: f64, expected: f64, relative: f64) {
        let gap = (found - expected).abs();
        assert!(gap <= relative * expected.abs().max(1e-300), "{found} is not {expected}");
    }

    fn both(found: (f64, f64), expected: (f64, f64), relative: f64) {
        close(found.0, expected.0, relative);
        close(found.1, expected.1, relative);
    }

    type Pair = (f64, f64);

    /// seen, n, outside, Clopper-Pearson, Wilson, Jeffreys. Recomputed values of standard forms.
    const SHARES: &[(u64, u64, f64, Pair, Pair, Pair)] = &[
        (0, 10, 0.05, (0.0, 0.308497108), (0.0, 0.2775328), (0.0, 0.217196268)),
        (0, 30, 0.05, (0.0, 0.115703308), (0.0, 0.113513393), (0.0, 0.0796781738)),
        (0, 100, 0.05, (0.0, 0.0362166926), (0.0, 0.0369934982), (0.0, 0.02474527)),
        (0, 300, 0.05, (0.0, 0.0122209747), (0.0, 0.0126429712), (0.0, 0.00833126512)),
        (0, 1000, 0.05, (0.0, 0.0036820839), (0.0, 0.00382675849), (0.0, 0.00250816434)),
        (0, 1_000_000, 0.05, (0.0, 3.68887265e-6), (0.0, 3.84144406e-6), (0.0, 2.51193931e-6)),
        (
            1,
            10,
            0.05,
            (0.00252857854, 0.445016117),
            (0.0178762131, 0.404150027),
            (0.0110116738, 0.381314771),
        ),
        (
            3,
            100,
            0.05,
            (0.00622997154, 0.085176053),
            (0.010254524, 0.0845193643),
            (0.00852028311, 0.0778875694),
        ),
        (
            10,
            100,
            0.05,
            (0.0490046892, 0.176222598),
            (0.0552291371, 0.174365662),
            (0.0525846753, 0.17012393),
        ),
        (
            5,
            10,
            0.05,
            (0.187086028, 0.812913972),
            (0.236593091, 0.763406909),
            (0.22352867, 0.77647133),
        ),
        (
            4,
            20,
            0.10,
            (0.0713538843, 0.401028117),
            (0.0931180166, 0.378376686),
            (0.0873350328, 0.372739285),
        ),
        (
            2,
            1_000_000,
            0.05,
            (2.42209e-7, 7.224669e-6),
            (5.4847231e-7, 7.29295639e-6),
            (4.15606e-7, 6.416235e-6),
        ),
        (
            50,
            1_000_000,
            0.05,
            (3.711118e-5, 6.591824e-5),
            (3.79294244e-5, 6.59116355e-5),
            (3.75419598e-5, 6.53493364e-5),
        ),
    ];

    #[test]
    fn shares_match_recomputed_values() {
        for &(seen, n, outside, exact, score, bayes) in SHARES {
            // one row of the table is written with six digits only
            let relative = if seen == 2 { 2.5e-6 } else { 1e-6 };
            both(clopper_pearson(seen as f64, n as f64, outside), exact, relative);
            both(wilson(seen, n, outside), score, relative);
            both(jeffreys(seen, n, outside), bayes, relative);
        }
    }

    /// Source: NIST/SEMATECH e-Handbook 7.2.4.1, printed 0.071354 and 0.401029 (the second is
    /// rounded up by 1e-6, hence the tolerance).
    #[test]
    fn clopper_pearson_matches_a_printed_example() {
        let (low, high) = clopper_pearson(4.0, 20.0, 0.10);
        assert!((low - 0.071354).abs() < 2e-6 && (high - 0.401029).abs() < 2e-6);
    }

    #[test]
    fn all_seen_mirrors_none_seen() {
        let (low, high) = clopper_pearson(30.0, 30.0, 0.05);
        close(1.0 - low, 0.115703308, 1e-8);
        assert_eq!(high, 1.0);
        assert_eq!(wilson(30, 30, 0.05).1, 1.0);
        assert_eq!(jeffreys(30, 30, 0.05).1, 1.0);
    }

    /// Closed form for one seen of n by the defining equation, n up to 1e7.
    #[test]
    fn clopper_pearson_solves_its_equations() {
        for n in [100_u64, 10_000, 10_000_000] {
            for seen in [1_u64, 7, 90] {
                let (low, high) = clopper_pearson(seen as f64, n as f64, 0.05);
                close(binomial_at_most(n, high, seen), 0.025, 1e-9);
                let upper = 1.0 - binomial_at_most(n, low, seen - 1);
                assert!((upper - 0.025).abs() < 1e-10, "{upper}");
            }
        }
    }

    /// Source: recomputed; the rule of three is Hanley, Lippman-Hand 1983 (from memory).
    #[test]
    fn nothing_seen_matches_recomputed_values() {
        for (n, upper) in [
            (10.0, 0.258865551),
            (30.0, 0.0950338529),
            (59.0, 0.0495076099),
            (100.0, 0.0295130496),
            (300.0, 0.00993608194),
            (1000.0, 0.00299124955),
            (1e6, 2.99572779e-6),
        ] {
            close(none_seen_upper(n, 0.05), upper, 1e-8);
        }
    }

    /// Source: the standard published table of exact Poisson limits, recomputed.
    #[test]
    fn garwood_matches_the_standard_table() {
        for (seen, low, high, one_sided) in [
            (0, 0.0, 3.688879, 2.995732),
            (1, 0.025318, 5.571643, 4.743865),
            (2, 0.242209, 7.224688, 6.295794),
            (3, 0.618672, 8.767273, 7.753657),
            (5, 1.623486, 11.668332, 10.513035),
            (10, 4.795389, 18.390356, 16.962219),
        ] {
            let found = garwood(seen, 0.05);
            assert!((found.0 - low).abs() < 1e-6 && (found.1 - high).abs() < 1e-6, "{found:?}");
            assert!((garwood(seen, 0.10).1 - one_sided).abs() < 1e-6);
        }
    }

    /// For large counts the cube of a normal variable is close: E. Wilson, M. Hilferty, PNAS 17,
    /// 1931 (from memory).
    #[test]
    fn garwood_of_large_counts() {
        for seen in [10_000_u64, 1_000_000, 100_000_000] {
            let cube = |k: f64, z: f64| k * (1.0 - 1.0 / (9.0 * k) + z / (3.0 * k.sqrt())).powi(3);
            let (low, high) = garwood(seen, 0.05);
            close(low, cube(seen as f64, -1.959963984540054), 1e-6);
            close(high, cube(seen as f64 + 1.0, 1.959963984540054), 1e-6);
        }
    }

    /// Exact coverage of the nominal 95 % by summing over all outcomes; recomputed values, 1e-5.
    #[test]
    fn coverage_by_enumeration() {
        type Method = fn(u64, u64) -> (f64, f64);
        let methods: [Method; 3] = [
            |x, n| clopper_pearson(x as f64, n as f64, 0.05),
            |x, n| wilson(x, n, 0.05),
            |x, n| jeffreys(x, n, 0.05),
        ];
        for (n, share, expected) in [
            (50_u64, 0.05_f64, [0.988214_f64, 0.962224, 0.885279]),
            (1000, 0.005, [0.979877, 0.961881, 0.928444]),
            (1000, 1e-4, [0.995325, 0.904833, 0.904833]),
        ] {
            for (method, expected) in methods.iter().zip(expected) {
                let mut covered = 0.0;
                let mut term = (1.0 - share).powi(n as i32);
                for x in 0..=n.min(60) {
                    let (low, high) = method(x, n);
                    if low <= share && share <= high {
                        covered += term;
                    }
                    term *= (n - x) as f64 / (x + 1) as f64 * share / (1.0 - share);
                }
                assert!((covered - expected).abs() < 1e-5, "{n} {share}: {covered}");
            }
        }
    }

    #[test]
    fn student_needs_two_values() {
        assert_eq!(student(&Moments::one(3.0), 0.05), None);
        let five: Moments = [1.0, 2.0, 3.0, 4.0, 5.0].into_iter().collect();
        let (low, high) = student(&five, 0.05).unwrap();
        // 3 +- 2.776445105 sqrt(2.5/5)
        close(high - 3.0, 1.963243161, 1e-8);
        close(3.0 - low, 1.963243161, 1e-8);
    }
}
