//! The incomplete beta function and the quantiles that follow from it: beta, Student t, binomial.
//!
//! Own code, because the continued fraction of `statrs` 0.19 stops after 140 terms (too few when
//! both parameters are large) and its prefactor subtracts log-gammas of about 1e8. Here the
//! prefactor is the saddle-point form, accurate to about 1e-13 for any parameters.

use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::gamma::ln_gamma;
use std::f64::consts::PI;

/// Half of ln(2 pi).
const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_8;

/// Which tail of a distribution a probability is counted in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tail {
    /// probability of at most x
    Lower,
    /// probability of more than x
    Upper,
}

/// ln z! less Stirling's formula for it: `ln Gamma(z+1) - ((z+1/2) ln z - z + ln(2 pi)/2)`.
fn stirling_error(z: f64) -> f64 {
    if z < 16.0 {
        return ln_gamma(z + 1.0) - ((z + 0.5) * z.ln() - z + HALF_LN_TWO_PI);
    }
    let s = 1.0 / (z * z);
    let tail = 1.0 / 1260.0 - s * (1.0 / 1680.0 - s / 1188.0);
    (1.0 / 12.0 - s * (1.0 / 360.0 - s * tail)) / z
}

/// Deviance term `x ln(x/m) + m - x` without cancellation when x is close to m.
/// Method of C. Loader, Fast and accurate computation of binomial probabilities, 2000 (from
/// memory).
fn deviance(x: f64, m: f64) -> f64 {
    let gap = x - m;
    if gap.abs() >= 0.1 * (x + m) {
        return x * (x / m).ln() + m - x;
    }
    let v = gap / (x + m);
    let mut sum = gap * v;
    let mut term = 2.0 * x * v;
    let square = v * v;
    for j in 1..1000 {
        term *= square;
        let next = sum + term / f64::from(2 * j + 1);
        if next == sum {
            break;
        }
        sum = next;
    }
    sum
}

/// `x^a y^b / B(a, b)` with y = 1 - x: the derivative of I_x(a, b) by the log-odds of x.
fn slope(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let log = stirling_error(n)
        - stirling_error(a)
        - stirling_error(b)
        - deviance(a, n * x)
        - deviance(b, n * y);
    log.exp() * (a / n * b / (2.0 * PI)).sqrt()
}

/// I_x(a, b) / slope for x below the mean, as a continued fraction whose terms are sums of positive
/// numbers (the usual one subtracts nearly equal numbers when x is close to 1). `margin` is
/// a - (a+b) x, not below 0. Needs about sqrt(max(a, b)) terms.
/// Source: A. DiDonato, A. Morris, ACM TOMS 18, 1992, algorithm 708, bfrac (from memory).
fn fraction(a: f64, b: f64, x: f64, y: f64, margin: f64) -> f64 {
    let c = 1.0 + margin;
    let c1 = 1.0 + 1.0 / a;
    let (mut p, mut s) = (1.0, a + 1.0);
    // numerators and denominators of the last two convergents, scaled by the last denominator
    let (mut top, mut bottom) = (0.0, c1 / c);
    let mut last = c1 / c;
    for n in 1..2_000_000 {
        let n = f64::from(n);
        let t = n / a;
        let w = n * (b - n) * x;
        let e = a / s;
        let alpha = p * (p + b / a) * e * e * w * x;
        let e = (t + 1.0) / (c1 + t + t);
        let beta = n + w / s + e * (c + n * (1.0 + y));
        p = t + 1.0;
        s += 2.0;
        let next_top = alpha * top + beta * last;
        let next_bottom = alpha * bottom + beta;
        let next = next_top / next_bottom;
        top = last / next_bottom;
        bottom = 1.0 / next_bottom;
        let done = (next - last).abs() <= 2e-16 * next;
        last = next;
        if done {
            break;
        }
    }
    last
}

/// Both tails of the regularised incomplete beta function: (I_x(a, b), 1 - I_x(a, b)).
///
/// `y` is 1 - x, given apart because it may be known to more digits than 1 - x has.
/// Limits: a, b > 0 and 0 <= x <= 1; checked against `statrs` and exact sums to 1e-12.
pub fn beta_tails(a: f64, b: f64, x: f64, y: f64) -> (f64, f64) {
    debug_assert!(a > 0.0 && b > 0.0 && (0.0..=1.0).contains(&x));
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if y <= 0.0 {
        return (1.0, 0.0);
    }
    let front = slope(a, b, x, y);
    // a - (a+b) x, from the smaller of x and y
    let margin = if x < y { a - (a + b) * x } else { (a + b) * y - b };
    if margin >= 0.0 {
        let lower = front * fraction(a, b, x, y, margin);
        (lower, 1.0 - lower)
    } else {
        let upper = front * fraction(b, a, y, x, -margin);
        (1.0 - upper, upper)
    }
}

/// The x with probability `p` in the given tail of a beta(a, b) distribution, as the pair
/// (x, 1 - x), each to about 1e-12 relative. Newton's method on ln(tail) over the log-odds of x
/// (where a tail of the beta distribution is log-concave) inside a shrinking bracket.
pub fn beta_quantile(a: f64, b: f64, p: f64, tail: Tail) -> (f64, f64) {
    debug_assert!(p > 0.0 && p < 1.0);
    let odds = |t: f64| {
        let e = (-t.abs()).exp();
        let (small, large) = (e / (1.0 + e), 1.0 / (1.0 + e));
        if t < 0.0 { (small, large) } else { (large, small) }
    };
    let (mut least, mut most) = (-740.0, 740.0);
    let mut t = (a / b).ln();
    for _ in 0..400 {
        let (x, y) = odds(t);
        let (lower, upper) = beta_tails(a, b, x, y);
        let (here, sign) = match tail {
            Tail::Lower => (lower, 1.0),
            Tail::Upper => (upper, -1.0),
        };
        let miss = sign * (here.max(0.0).ln() - p.ln());
        if miss > 0.0 {
            most = t;
        } else {
            least = t;
        }
        let mut next = t - miss * here / slope(a, b, x, y);
        if !(next > least && next < most) {
            next = 0.5 * (least + most);
        }
        let step = next - t;
        t = next;
        if step.abs() <= 4e-16 * t.abs().max(1.0) {
            break;
        }
    }
    odds(t)
}

/// Student's t with `freedom` degrees of freedom: the value exceeded in size with probability
/// `outside` (0.05 for a two-sided 95 % interval).
pub fn student_t(freedom: f64, outside: f64) -> f64 {
    let (x, y) = beta_quantile(0.5 * freedom, 0.5, outside, Tail::Lower);
    (freedom * y / x).sqrt()
}

/// Standard normal: the value exceeded in size with probability `outside`.
pub fn normal_z(outside: f64) -> f64 {
    Normal::standard().inverse_cdf(1.0 - 0.5 * outside)
}

/// P(X <= k) for X binomial(n, q), 0 < q < 1.
pub fn binomial_at_most(n: u64, q: f64, k: u64) -> f64 {
    if k >= n {
        return 1.0;
    }
    beta_tails((k + 1) as f64, (n - k) as f64, q, 1.0 - q).1
}

/// The smallest k with P(X <= k) >= p for X binomial(n, q). Starts at the normal approximation
/// with its skewness term, so that only a few sums are needed even for n = 1e9.
pub fn binomial_quantile(n: u64, q: f64, p: f64) -> u64 {
    let sd = (n as f64 * q * (1.0 - q)).sqrt();
    let z = Normal::standard().inverse_cdf(p);
    let guess = n as f64 * q + z * sd + (z * z - 1.0) * (1.0 - 2.0 * q) / 6.0 - 0.5;
    let mut k = guess.round().clamp(0.0, n as f64) as u64;
    while binomial_at_most(n, q, k) < p {
        k += 1;
    }
    while k > 0 && binomial_at_most(n, q, k - 1) >= p {
        k -= 1;
    }
    k
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, expected: f64, relative: f64) {
        let gap = (found - expected).abs();
        assert!(gap <= relative * expected.abs(), "{found} is not {expected}");
    }

    /// For whole parameters the tail is a finite binomial sum with elementary terms.
    #[test]
    fn tails_are_binomial_sums() {
        for (n, q) in [(10_i32, 0.3_f64), (20, 0.05), (40, 0.5), (60, 0.9)] {
            let mut term = (1.0 - q).powi(n);
            let mut sum = 0.0;
            for k in 0..n {
                sum += term;
                close(binomial_at_most(n as u64, q, k as u64), sum, 1e-12);
                term *= f64::from(n - k) / f64::from(k + 1) * q / (1.0 - q);
            }
        }
    }

    /// Beta(1, b) and beta(a, 1) have elementary quantiles, here up to parameters of 1e9.
    #[test]
    fn quantiles_of_one_parameter_are_elementary() {
        for b in [1.0, 3.0, 1e3, 1e7, 1e9] {
            for p in [1e-12_f64, 0.025, 0.5, 0.975] {
                let exact = -((-p).ln_1p() / b).exp_m1();
                close(beta_quantile(1.0, b, p, Tail::Lower).0, exact, 1e-11);
                close(beta_quantile(b, 1.0, p, Tail::Upper).1, exact, 1e-11);
            }
        }
    }

    /// A quantile put back into the distribution gives the probability: b up to 1e9.
    #[test]
    fn quantile_and_tail_are_inverse() {
        for (a, b) in [(0.5, 0.5), (2.0, 1e7), (50.5, 999_950.5), (5e6, 5e6), (3.0, 1e9)] {
            for p in [1e-6, 0.025, 0.4, 0.95] {
                let (x, y) = beta_quantile(a, b, p, Tail::Lower);
                close(beta_tails(a, b, x, y).0, p, 1e-9);
                let (x, y) = beta_quantile(a, b, p, Tail::Upper);
                close(beta_tails(a, b, x, y).1, p, 1e-9);
            }
        }
    }

    /// An independent implementation (statrs) agrees where its fraction converges.
    #[test]
    fn agrees_with_another_implementation() {
        for (a, b) in [(0.5, 9.5), (3.0, 98.0), (10.5, 90.5), (4.0, 4.0)] {
            for x in [0.01, 0.1, 0.4, 0.8] {
                let other = statrs::function::beta::beta_reg(a, b, x);
                close(beta_tails(a, b, x, 1.0 - x).0, other, 1e-11);
            }
        }
    }

    /// Source: standard tables of Student's t (recomputed values of the method notes).
    #[test]
    fn student_matches_tables() {
        for (freedom, t) in [
            (4.0, 2.776445105),
            (9.0, 2.262157163),
            (19.0, 2.093024054),
            (29.0, 2.045229642),
            (99.0, 1.984216952),
        ] {
            close(student_t(freedom, 0.05), t, 1e-9);
        }
        // one degree of freedom is Cauchy: tan(0.475 pi)
        close(student_t(1.0, 0.05), (0.475 * PI).tan(), 1e-11);
        close(student_t(1e8, 0.05), 1.959963984540054, 1e-7);
        close(normal_z(0.05), 1.959963984540054, 1e-12);
    }

    #[test]
    fn binomial_quantile_is_the_smallest() {
        for n in [1_u64, 5, 100, 12_345] {
            for q in [0.001, 0.05, 0.5, 0.99] {
                for p in [0.025, 0.5, 0.975] {
                    let k = binomial_quantile(n, q, p);
                    assert!(binomial_at_most(n, q, k) >= p);
                    assert!(k == 0 || binomial_at_most(n, q, k - 1) < p);
                }
            }
        }
    }
}
