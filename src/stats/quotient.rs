//! The ratio of the means of two arms that played the same campaigns: how much of one for another.
//!
//! Of plain columns by Fieller's theorem, of ratios of sums by the logarithm and linearisation
//! ("log-delta"); both take into account that the two are played on the same luck.

use super::beta::student_t;
use super::interval::OUTSIDE;
use super::moments::CoMoments;
use super::tally::{Pair, Single};

/// Below this many campaigns with a value other than 0 limits are called rough.
const FEW: u64 = 30;

/// A ratio of means with its limits. Empty parts have their reason in `note`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quotient {
    /// mean of the other arm over that of the reference
    pub value: Option<f64>,
    /// lower 95 % limit
    pub low: Option<f64>,
    /// upper 95 % limit
    pub high: Option<f64>,
    /// how the limits were had; empty if there are none
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

impl Quotient {
    /// No ratio, and why.
    pub fn unknown(why: &str) -> Quotient {
        Quotient { note: format!("no ratio: {why}"), ..Quotient::default() }
    }

    fn of(value: f64, (low, high): (f64, f64), method: &'static str) -> Quotient {
        let (value, low, high) = (Some(value), Some(low), Some(high));
        Quotient { value, low, high, method, note: String::new() }
    }

    fn point(value: f64, why: &str) -> Quotient {
        let note = format!("no limits of the ratio: {why}");
        Quotient { value: Some(value), note, ..Quotient::default() }
    }
}

const MAY_BE_0: &str = "the reference may be 0";

/// Ratio of the means of a plain column.
pub(super) fn of_column(pair: &Pair, [reference, other]: [&Single; 2], weighted: bool) -> Quotient {
    let n = pair.difference.n;
    if weighted {
        return Quotient::unknown("weighted campaigns");
    }
    if n == 0 || reference.moments.n != n || other.moments.n != n || pair.both != n {
        return Quotient::unknown("not every campaign has both values");
    }
    if reference.range.0 < 0.0 || other.range.0 < 0.0 {
        return Quotient::unknown("values below 0 were seen");
    }
    if reference.moments.mean == 0.0 {
        return Quotient::unknown(MAY_BE_0);
    }
    let (d, b) = (pair.difference.mean, reference.moments.mean);
    let variances =
        (pair.difference.variance(), reference.moments.variance(), other.moments.variance());
    let (Some(vd), Some(vb), Some(va)) = variances else {
        return Quotient::point(1.0 + d / b, "one campaign");
    };
    let mut found = fieller([d, b], [vd, vb, 0.5 * (va - vb - vd)], n);
    if found.low.is_some() && vd > 0.0 && reference.nonzero.min(other.nonzero) < FEW {
        found.note = format!("limits of the ratio are rough: fewer than {FEW} campaigns with any");
    }
    found
}

/// Limits of 1 + d/b, the mean difference over the mean of the reference: those values q for which
/// d - q b does not differ from 0 by more than t standard errors.
///
/// With D = d^2 - t^2 var(d)/n, B = b^2 - t^2 var(b)/n, C = d b - t^2 cov(d, b)/n they are
/// (C -+ sqrt(C^2 - D B))/B. In the difference, so that like arms give 1 to the last digit.
/// Source: E. Fieller, J. R. Statist. Soc. B 16, 1954 (from memory). Limits: B > 0, else the
/// reference may be 0.
fn fieller([d, b]: [f64; 2], [vd, vb, cov]: [f64; 3], n: u64) -> Quotient {
    let count = n as f64;
    let t2 = student_t(count - 1.0, OUTSIDE).powi(2) / count;
    let whole = b * b - t2 * vb;
    if whole <= 0.0 {
        return Quotient::unknown(MAY_BE_0);
    }
    let (square, mixed) = (d * d - t2 * vd, d * b - t2 * cov);
    let root = (mixed * mixed - square * whole).max(0.0).sqrt();
    let limit = |sign: f64| 1.0 + (mixed + sign * root) / whole;
    let q = 1.0 + d / b;
    let limits = if vd == 0.0 && d == 0.0 { (q, q) } else { (limit(-1.0), limit(1.0)) };
    Quotient::of(q, (limits.0.max(0.0), limits.1), "Fieller, paired")
}

/// Ratio of two ratios of sums, from the co-moments of their pair (see [`super::Tally`]). The
/// residual of a campaign in ln(ratio) is x'/X' - y'/Y' - x/X + y/Y; in the differences
/// u = x' - x, w = y' - y it is u/X' - w/Y' + x (1/X' - 1/X) + y (1/Y - 1/Y').
pub(super) fn of_ratio(co: &CoMoments<4>) -> Quotient {
    if co.n == 0 {
        return Quotient::unknown("no campaign has both values");
    }
    let [u, w, x, y] = co.mean;
    let (other_x, other_y) = (x + u, y + w);
    if !(y > 0.0 && other_y > 0.0) {
        return Quotient::unknown("a denominator is 0 in every campaign");
    }
    if x <= 0.0 {
        return Quotient::unknown(MAY_BE_0);
    }
    let value = (other_x / other_y) / (x / y);
    let variance = |factors| co.variance_of(factors).map(|v| v / co.n as f64);
    let Some(own) = variance([0.0, 0.0, 1.0 / x, -1.0 / y]) else {
        return Quotient::point(value, "one campaign");
    };
    let t = student_t(co.n as f64 - 1.0, OUTSIDE);
    if t * own.sqrt() >= 1.0 {
        return Quotient::unknown(MAY_BE_0);
    }
    if other_x <= 0.0 {
        return Quotient::point(value, "0 in every campaign of the other");
    }
    let factors = [1.0 / other_x, -1.0 / other_y, 1.0 / other_x - 1.0 / x, 1.0 / y - 1.0 / other_y];
    let half = t * variance(factors).map_or(0.0, f64::sqrt);
    Quotient::of(value, (value * (-half).exp(), value * half.exp()), "log-delta, paired")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::moments::{CoSums, Moments};

    fn single(values: &[f64]) -> Single {
        let mut s = Single { moments: values.iter().copied().collect(), ..Single::EMPTY };
        s.nonzero = values.iter().filter(|x| **x != 0.0).count() as u64;
        s.range = values.iter().fold(s.range, |r, x| (r.0.min(*x), r.1.max(*x)));
        s
    }

    fn pair(a: &[f64], b: &[f64]) -> Pair {
        let difference: Moments = a.iter().zip(b).map(|(a, b)| a - b).collect();
        let count = |f: fn(f64) -> bool| a.iter().zip(b).filter(|(a, b)| f(*a - *b)).count() as u64;
        Pair {
            both: difference.n,
            lower: count(|d| d < 0.0),
            equal: count(|d| d == 0.0),
            difference,
        }
    }

    /// Every limit q solves (a - q b)^2 = t^2 var(a - q b)/n, worked out from the values themselves.
    #[test]
    fn fieller_solves_its_equation() {
        let b = [2.0, 3.0, 5.0, 4.0, 2.5, 3.5];
        let a = [1.0, 2.0, 2.5, 2.2, 1.1, 1.4];
        let found = of_column(&pair(&a, &b), [&single(&b), &single(&a)], false);
        assert!((found.value.unwrap() - 10.2 / 20.0).abs() < 1e-12);
        for q in [found.low.unwrap(), found.high.unwrap()] {
            let rest: Moments = a.iter().zip(b).map(|(a, b)| a - q * b).collect();
            let t = student_t(5.0, OUTSIDE);
            let bound = t * rest.standard_error().unwrap();
            assert!((rest.mean.abs() - bound).abs() < 1e-10, "{q}: {} {bound}", rest.mean);
        }
        assert!(found.low < found.value && found.value < found.high);
        let same = of_column(&pair(&b, &b), [&single(&b), &single(&b)], false);
        assert_eq!((same.value, same.low, same.high), (Some(1.0), Some(1.0), Some(1.0)));
    }

    /// One campaign of 50 with any: the mean of the reference does not stand clear of 0.
    #[test]
    fn a_reference_that_may_be_0_has_no_ratio() {
        let mut b = [0.0; 50];
        b[7] = 1.0;
        let a = [1.0; 50];
        let found = of_column(&pair(&a, &b), [&single(&b), &single(&a)], false);
        assert_eq!((found.value, found.low), (None, None));
        assert!(found.note.contains("the reference may be 0"));
        let none = of_column(&pair(&a, &[0.0; 50]), [&single(&[0.0; 50]), &single(&a)], false);
        assert!(none.value.is_none() && !none.note.is_empty());
        let low = of_column(&pair(&a, &[-1.0; 50]), [&single(&[-1.0; 50]), &single(&a)], false);
        assert!(low.value.is_none() && low.note.contains("below 0"));
    }

    /// ln of the ratio: by hand from residuals of each campaign.
    #[test]
    fn ratio_of_ratios_by_hand() {
        let rows = [[2.0, 4.0, 1.0, 5.0], [3.0, 5.0, 2.0, 4.0], [1.0, 3.0, 1.5, 6.0]];
        let mut sums = CoSums::<4>::EMPTY;
        rows.iter().for_each(|[x, y, ox, oy]| sums.add([ox - x, oy - y, *x, *y]));
        let found = of_ratio(&sums.close());
        let mean = |i: usize| rows.iter().map(|r| r[i]).sum::<f64>() / 3.0;
        let value = (mean(2) / mean(3)) / (mean(0) / mean(1));
        assert!((found.value.unwrap() - value).abs() < 1e-12);
        let residuals: Moments = rows
            .iter()
            .map(|r| r[2] / mean(2) - r[3] / mean(3) - r[0] / mean(0) + r[1] / mean(1))
            .collect();
        let half = student_t(2.0, OUTSIDE) * residuals.standard_error().unwrap();
        // Three campaigns: the reference, 6/12 with an error of a third, stands clear of 0 or not.
        match found.high {
            Some(high) => assert!((high / value).ln() - half < 1e-9),
            None => assert!(found.note.contains("may be 0")),
        }
    }
}
