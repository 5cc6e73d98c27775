//! The risk over parameter sets: its quantiles and the curve "probability that the
//! campaign risk is at most x", with the share of the spread that is only simulation noise.
//!
//! What is sorted are estimates, k campaigns of the `inner` of each set. They scatter more than the
//! risks that they estimate:  Var(estimate) = Var(risk) + mean(risk (1 - risk) / inner).
//! The last term over Var(estimate) is the noise share; near 0 the curve is that of the risk.

use super::interval::{OUTSIDE, clopper_pearson};
use super::moments::Moments;
use super::quantile::{Quantile, rank, ranks};

/// Quantiles of the risk that are reported.
pub const RISK_QUANTILES: [f64; 3] = [0.05, 0.5, 0.95];
/// Above this noise share quantiles are called too wide. Common practice asks for 1 to 10 %.
const NOISY: f64 = 0.1;

/// One point of the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// A risk.
    pub x: f64,
    /// Share of parameter sets whose risk is at most that.
    pub probability: f64,
    /// Lower 95 % limit of that share.
    pub low: f64,
    /// Upper 95 % limit of that share.
    pub high: f64,
}

/// The risk over parameter sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Risk {
    /// Quantiles at [`RISK_QUANTILES`], with intervals by order statistics over the sets.
    pub quantiles: Vec<Quantile>,
    /// The curve: every value that was met with the share of sets that lie at it or below (rule 42).
    pub curve: Vec<Point>,
    /// Share of the spread between sets that is only simulation noise; `None`: no spread.
    pub noise: Option<f64>,
    /// Number of sets.
    pub sets: u64,
    /// What a reader has to know; empty if nothing.
    pub note: String,
}

impl Risk {
    /// From the campaigns with the outcome in every set, and the campaigns of a set.
    pub fn new(seen: &[u64], inner: u64) -> Risk {
        let mut sorted = seen.to_vec();
        sorted.sort_unstable();
        let (sets, size) = (sorted.len() as u64, inner as f64);
        let risks: Moments = sorted.iter().map(|k| *k as f64 / size).collect();
        let (noise, note) = noise(&sorted, inner, &risks);
        let quantiles = RISK_QUANTILES.iter().map(|q| quantile(&sorted, size, *q)).collect();
        Risk { quantiles, curve: curve(&sorted, size), noise, sets, note }
    }

    /// Share of sets with a risk of at most `x`, with its interval. Ties count (rule 42): a risk that
    /// is `x` but for the last digits of the product is one.
    pub fn at_most(seen: &[u64], inner: u64, x: f64) -> Point {
        let (n, most) = (seen.len() as f64, x * inner as f64 * (1.0 + 1e-12));
        let count = seen.iter().filter(|k| (**k as f64) <= most).count() as f64;
        let (low, high) = clopper_pearson(count, n, OUTSIDE);
        Point { x, probability: count / n, low, high }
    }
}

/// The noise share and what is to be said of it. k (inner - k) / (inner^2 (inner - 1)) estimates
/// the variance risk (1 - risk) / inner of an estimate without bias.
fn noise(seen: &[u64], inner: u64, risks: &Moments) -> (Option<f64>, String) {
    let spread = risks.variance().filter(|v| *v > 0.0);
    let (Some(spread), true) = (spread, inner > 1) else {
        return (None, "no spread between sets, so no share of it is noise".into());
    };
    let n = inner as f64;
    let one = |k: &u64| (*k as f64) * (n - *k as f64) / (n * n * (n - 1.0));
    let within = seen.iter().map(one).sum::<f64>() / seen.len() as f64;
    let share = within / spread;
    if share > 1.0 {
        let note = format!("sets differ less than chance alone makes them ({share:.2}), cut at 1");
        return (Some(1.0), note);
    }
    let note = match share > NOISY {
        true => "simulation noise widens the quantiles: more campaigns per set",
        false => "",
    };
    (Some(share), note.into())
}

/// A quantile of the estimates and its interval by order statistics: exact values, no histogram.
fn quantile(sorted: &[u64], size: f64, q: f64) -> Quantile {
    let n = sorted.len() as u64;
    if n == 0 {
        return Quantile::unknown(q, "no parameter set");
    }
    let at = |rank: u64| sorted[rank as usize - 1] as f64 / size;
    let (low, high) = ranks(n, q);
    let note = match (low, high) {
        (Some(_), Some(_)) => String::new(),
        _ => format!("{n} parameter sets are too few for an interval of p{:02.0}", q * 100.0),
    };
    Quantile { q, value: Some(at(rank(n, q))), low: low.map(at), high: high.map(at), note }
}

fn curve(sorted: &[u64], size: f64) -> Vec<Point> {
    let n = sorted.len() as f64;
    let mut points = Vec::new();
    for (i, k) in sorted.iter().enumerate() {
        if sorted.get(i + 1) == Some(k) {
            continue;
        }
        let count = (i + 1) as f64;
        let (low, high) = clopper_pearson(count, n, OUTSIDE);
        points.push(Point { x: *k as f64 / size, probability: count / n, low, high });
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 4 sets of 10 campaigns with 0, 2, 2 and 4 seen. Estimates 0, .2, .2, .4: mean .2,
    /// variance .08/3; within (0 + 16 + 16 + 24)/(100 * 9)/4 = .0155556; share .583333.
    #[test]
    fn four_sets_by_hand() {
        let risk = Risk::new(&[2, 0, 4, 2], 10);
        assert!((risk.noise.unwrap() - 0.583333333333).abs() < 1e-11);
        assert!(risk.note.contains("simulation noise"));
        let curve: Vec<_> = risk.curve.iter().map(|p| (p.x, p.probability)).collect();
        assert_eq!(curve, [(0.0, 0.25), (0.2, 0.75), (0.4, 1.0)]);
        let medians = risk.quantiles.iter().map(|q| q.value.unwrap()).collect::<Vec<_>>();
        assert_eq!(medians, [0.0, 0.2, 0.4]);
        assert!(risk.quantiles.iter().all(|q| q.low.is_none() || q.high.is_none()));
        assert_eq!(Risk::at_most(&[2, 0, 4, 2], 10, 0.2), risk.curve[1]);
        assert_eq!(Risk::at_most(&[2, 0, 4, 2], 10, 0.25).probability, 0.75);
        assert_eq!(Risk::at_most(&[2, 0, 4, 2], 10, 0.19).probability, 0.25);
    }

    /// Where all sets are alike their mean is not above any of them: P(risk <= mean) = 1, also where
    /// the mean is not k/inner to the last digit.
    #[test]
    fn ties_count() {
        for (k, inner) in [(1_u64, 3_u64), (7, 49), (29, 1000)] {
            let seen = [k; 7];
            let mean = seen.iter().map(|k| *k as f64 / inner as f64).sum::<f64>() / 7.0;
            assert_eq!(Risk::at_most(&seen, inner, mean).probability, 1.0, "{k} of {inner}");
        }
    }

    #[test]
    fn sets_without_spread_have_no_noise_share() {
        for seen in [[0; 59], [7; 59]] {
            let risk = Risk::new(&seen, 1000);
            assert_eq!((risk.noise, risk.curve.len()), (None, 1));
            assert!(!risk.note.is_empty());
        }
        let alike = Risk::new(&[500, 501, 500, 499], 1000);
        assert_eq!(alike.noise, Some(1.0));
        assert!(alike.note.contains("cut at 1"), "{}", alike.note);
    }
}
