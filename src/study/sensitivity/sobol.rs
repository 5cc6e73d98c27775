//! First-order and total Sobol' indices from Saltelli blocks: runs at the rows of two independent
//! designs A and B, and per factor i at those of A with column i from B.
//!
//! With f centred by the mean of A and B, and V the variance of A and B:
//! first order  S_i = mean(f_B (f_ABi - f_A)) / V   (Saltelli et al. 2010),
//! total  T_i = mean((f_A - f_ABi)^2) / 2 / V   (Jansen 1999).
//! Independent noise of variance s^2 adds s^2 to V and to the total's numerator and nothing to the
//! first order's, so that  S_i = V_i / (V - s^2),  T_i = (J_i - s^2) / (V - s^2).
//!
//! Sources: A. Saltelli et al., Comput. Phys. Commun. 181, 2010; M. J. W. Jansen, Comput. Phys.
//! Commun. 117, 1999 (both from memory). The correction follows from the expectations.

use super::{Index, Luck, Runs, one_sided};
use crate::stats::interval::OUTSIDE;
use rand::{Rng, RngExt};

/// Resamples of the rows.
pub const RESAMPLES: usize = 1000;
/// Fewer rows give no index.
const LEAST_ROWS: usize = 8;
/// Above this share of noise in the variance more campaigns per run are asked for.
const NOISY: f64 = 0.5;

/// Outputs of a design, row by row.
#[derive(Clone, Debug)]
pub struct Blocks<'a> {
    /// at the rows of A
    pub a: Runs<'a>,
    /// at the rows of B
    pub b: Runs<'a>,
    /// per factor at the rows of A with its column from B
    pub ab: Vec<Runs<'a>>,
    /// how luck is shared
    pub luck: Luck,
}

/// Both indices of every factor.
#[derive(Clone, Debug, PartialEq)]
pub struct Sobol {
    /// first order
    pub first: Vec<Index>,
    /// total
    pub total: Vec<Index>,
    /// share of the variance of the outputs that is simulation noise; `None` if they do not vary
    pub noise_share: Option<f64>,
}

/// Indices of every factor; `draws` serves the resamples of rows.
pub fn indices(blocks: &Blocks, draws: &mut impl Rng) -> Sobol {
    let complete = |row: &usize| {
        let all = [&blocks.a, &blocks.b].into_iter().chain(&blocks.ab);
        all.into_iter().all(|runs| runs.has(*row))
    };
    let rows: Vec<usize> = (0..blocks.a.y.len()).filter(complete).collect();
    let missing = blocks.a.y.len() - rows.len();
    let n = rows.len() as u64;
    let factors = blocks.ab.len();
    let unknown = |why: &str| Sobol {
        first: vec![Index::unknown(n, why); factors],
        total: vec![Index::unknown(n, why); factors],
        noise_share: None,
    };
    if rows.len() < LEAST_ROWS {
        return unknown(&format!("{n} complete rows of the design are too few"));
    }
    let table = Rows::new(blocks, &rows);
    let whole = table.sums(&vec![1.0; rows.len()]);
    if whole.variance(Luck::Common) <= 0.0 {
        return unknown("the output is the same in all runs");
    }
    let noise_share = Some(whole.noise / whole.variance(Luck::Common));
    if whole.variance(blocks.luck) <= 0.0 {
        let why = "runs differ no more than simulation noise makes them: more campaigns per run";
        return Sobol { noise_share, ..unknown(why) };
    }
    let resampled: Vec<Sums> =
        (0..RESAMPLES).map(|_| table.sums(&counts(rows.len(), draws))).collect();
    let notes = notes(blocks.luck, noise_share, missing);
    let index = |of: &dyn Fn(&Sums) -> f64, floor: f64| {
        let mut all: Vec<f64> = resampled.iter().map(of).filter(|x| x.is_finite()).collect();
        let (low, high) = limits(&mut all);
        let floor = Some(floor / whole.variance(blocks.luck));
        let method = "bootstrap of rows";
        let value = Some(of(&whole));
        let index = Index { value, low, high, floor, n, method, note: notes.clone() };
        index.judged(blocks.luck)
    };
    let first =
        |i: usize| index(&|s: &Sums| s.first[i] / s.variance(blocks.luck), table.floor_of_first(i));
    let total = |i: usize| index(&|s: &Sums| s.total(i, blocks.luck), table.floor_of_total(i));
    Sobol {
        first: (0..factors).map(first).collect(),
        total: (0..factors).map(total).collect(),
        noise_share,
    }
}

/// What holds for every index.
fn notes(luck: Luck, noise_share: Option<f64>, missing: usize) -> String {
    let mut notes = Vec::new();
    if missing > 0 {
        notes.push(format!("{missing} rows left out: a run has no value"));
    }
    let share = noise_share.unwrap_or(0.0);
    let percent = 100.0 * share;
    match luck {
        Luck::Common if share > 0.0 => notes.push(format!(
            "common random numbers in all runs, one more fixed factor: no noise removed; independent \
             random numbers would be {percent:.3} % of the variance"
        )),
        Luck::Own if share > 0.0 => {
            notes.push(format!("noise removed: {percent:.3} % of the variance"));
        }
        _ => {}
    }
    if luck == Luck::Own && share > NOISY {
        notes.push("more campaigns per run would help most".into());
    }
    notes.join("; ")
}

/// How often each row is drawn into a resample of as many.
fn counts(rows: usize, draws: &mut impl Rng) -> Vec<f64> {
    let mut counts = vec![0.0; rows];
    for _ in 0..rows {
        counts[draws.random_range(0..rows)] += 1.0;
    }
    counts
}

/// The middle 95 % of some values.
pub(super) fn limits(values: &mut [f64]) -> (Option<f64>, Option<f64>) {
    values.sort_by(f64::total_cmp);
    let at = |q: f64| {
        let place = q * (values.len().checked_sub(1)? as f64);
        let (below, part) = (place.floor() as usize, place.fract());
        let above = (below + 1).min(values.len() - 1);
        Some(values[below] + part * (values[above] - values[below]))
    };
    (at(0.5 * OUTSIDE), at(1.0 - 0.5 * OUTSIDE))
}

/// What each row adds to every sum.
struct Rows {
    /// f_A + f_B
    both: Vec<f64>,
    /// f_A^2 + f_B^2
    squares: Vec<f64>,
    /// mean noise of A and B
    noise: Vec<f64>,
    /// f_B (f_ABi - f_A)
    first: Vec<Vec<f64>>,
    /// (f_A - f_ABi)^2 / 2
    total: Vec<Vec<f64>>,
    /// noise of A and ABi together
    pair_noise: Vec<Vec<f64>>,
    /// f_B
    b: Vec<f64>,
}

impl Rows {
    fn new(blocks: &Blocks, rows: &[usize]) -> Rows {
        let Blocks { a, b, ab, .. } = blocks;
        let centre = rows.iter().map(|r| a.y[*r] + b.y[*r]).sum::<f64>() / (2 * rows.len()) as f64;
        let all = |of: &dyn Fn(usize) -> f64| rows.iter().map(|r| of(*r)).collect::<Vec<_>>();
        let (fa, fb) = (|r: usize| a.y[r] - centre, |r: usize| b.y[r] - centre);
        Rows {
            both: all(&|r| fa(r) + fb(r)),
            squares: all(&|r| fa(r).powi(2) + fb(r).powi(2)),
            noise: all(&|r| 0.5 * (a.noise(r) + b.noise(r))),
            first: ab.iter().map(|c| all(&|r| fb(r) * (c.y[r] - a.y[r]))).collect(),
            total: ab.iter().map(|c| all(&|r| 0.5 * (c.y[r] - a.y[r]).powi(2))).collect(),
            pair_noise: ab.iter().map(|c| all(&|r| a.noise(r) + c.noise(r))).collect(),
            b: all(&fb),
        }
    }

    /// Means over rows that count so often.
    fn sums(&self, counts: &[f64]) -> Sums {
        let n = self.both.len() as f64;
        let mean = |x: &Vec<f64>| x.iter().zip(counts).map(|(x, c)| x * c).sum::<f64>() / n;
        let means = |all: &[Vec<f64>]| all.iter().map(mean).collect();
        let (middle, count) = (0.5 * mean(&self.both), 2.0 * n);
        Sums {
            spread: (0.5 * mean(&self.squares) - middle * middle) * count / (count - 1.0),
            noise: mean(&self.noise),
            first: means(&self.first),
            total: means(&self.total),
            pair_noise: means(&self.pair_noise),
        }
    }

    /// 95 % quantile of the first order's numerator without an effect: it then is the mean of f_B
    /// times a difference of noise.
    fn floor_of_first(&self, i: usize) -> f64 {
        let squares = self.b.iter().zip(&self.pair_noise[i]).map(|(b, v)| b * b * v);
        one_sided() * squares.sum::<f64>().sqrt() / self.b.len() as f64
    }

    /// 95 % quantile of the total's numerator without an effect, noise taken out: half a squared
    /// difference of noise of variance v has mean v/2 and variance v^2/2.
    fn floor_of_total(&self, i: usize) -> f64 {
        let squares = self.pair_noise[i].iter().map(|v| 0.5 * v * v);
        one_sided() * squares.sum::<f64>().sqrt() / self.b.len() as f64
    }
}

/// Means over rows.
struct Sums {
    spread: f64,
    noise: f64,
    first: Vec<f64>,
    total: Vec<f64>,
    pair_noise: Vec<f64>,
}

impl Sums {
    /// Variance of the outputs, without independent noise.
    fn variance(&self, luck: Luck) -> f64 {
        match luck {
            Luck::Own => self.spread - self.noise,
            Luck::Common => self.spread,
        }
    }

    fn total(&self, i: usize, luck: Luck) -> f64 {
        let noise = match luck {
            Luck::Own => 0.5 * self.pair_noise[i],
            Luck::Common => 0.0,
        };
        (self.total[i] - noise) / self.variance(luck)
    }
}
