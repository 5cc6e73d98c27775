//! What it is worth to know something before choosing, from losses of every choice in every
//! parameter set.
//!
//! Now the choice with the least mean loss is taken. Who knew the parameters phi would take the one
//! with the least E(loss | phi), so that the value of knowing them is
//!   min_a E(loss_a) - E(min_a E(loss_a | phi)),
//! never below 0. Knowing everything (perfect information) bounds every part of it.
//!
//! E(loss | phi) is a regression of losses on phi over the parameter sets ([`super::fit`]): no play
//! beyond that of the run. What noise adds to the spread of fitted values, or to the losses of a set,
//! would be taken for knowledge; so values are drawn in towards their mean until their covariance is
//! that without noise (the least move that does it).
//!
//! Sources: H. Raiffa, R. Schlaifer, Applied statistical decision theory, 1961; regression on the
//! sets of a probabilistic analysis: M. Strong, J. E. Oakley, A. Brennan, Med. Decis. Making 34,
//! 2014 (both from memory).

use super::fit::Fit;
use crate::stats::interval::{OUTSIDE, none_seen_upper};
use crate::stats::moments::Moments;
use nalgebra::{DMatrix, DVector, SymmetricEigen};
use rand::Rng;
use rand::seq::SliceRandom;
use rand_distr::{Distribution, StandardNormal};

/// Half a 95 % interval in standard errors.
const Z: f64 = 1.959963984540054;
/// Draws of coefficients for the upper limit.
const DRAWS: usize = 400;
/// Times that parameters are shuffled between sets for the noise floor.
const SHUFFLES: usize = 100;

/// What knowing could do to the choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It could change it.
    Could,
    /// Nothing that these sets allow changes it.
    Cannot,
    /// What was found is not told apart from noise.
    Unclear,
    /// Not estimable.
    Unknown,
}

/// What it is worth to know something.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// the value, in the unit of the losses
    pub value: Option<f64>,
    /// lower limit of its 95 % interval
    pub low: Option<f64>,
    /// upper limit of its 95 % interval
    pub high: Option<f64>,
    /// What is found with 95 % chance at most where the parameters tell nothing; `None` for perfect
    /// information.
    pub floor: Option<f64>,
    /// sets in which another choice would be taken
    pub changes: u64,
    /// the choice that is then taken most often
    pub instead: Option<usize>,
    /// sets that went into it
    pub n: u64,
    /// what follows
    pub verdict: Verdict,
    /// how the interval was had
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

impl Gain {
    pub(super) fn unknown(n: usize, note: &str) -> Gain {
        Gain {
            value: None,
            low: None,
            high: None,
            floor: None,
            changes: 0,
            instead: None,
            n: n as u64,
            verdict: Verdict::Unknown,
            method: "not estimable",
            note: note.into(),
        }
    }
}

/// Losses of every choice in every set.
#[derive(Clone, Debug)]
pub struct Losses {
    /// choice with the least mean loss
    now: usize,
    /// the others
    others: Vec<usize>,
    /// mean loss of the others less that of `now`
    means: Vec<f64>,
    /// by other choice: what its difference has in each set above its mean
    deviations: Vec<Vec<f64>>,
    /// covariance of the noise of a set's differences; `None` where it is not known
    noise: Option<DMatrix<f64>>,
    /// mean loss of every choice
    all: Vec<f64>,
}

impl Losses {
    /// From losses by choice, each over the sets (less is better), and the errors of each set by
    /// choice, of which the mean products are the covariance of the noise. `None` without two
    /// choices and two sets.
    pub fn new(losses: &[Vec<f64>], errors: Option<&[Vec<f64>]>) -> Option<Losses> {
        let rows = losses.first()?.len();
        if losses.len() < 2 || rows < 2 {
            return None;
        }
        let mean = |x: &Vec<f64>| x.iter().sum::<f64>() / rows as f64;
        let all: Vec<f64> = losses.iter().map(mean).collect();
        let least = all.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1));
        let now = least.map_or(0, |(i, _)| i);
        let others: Vec<usize> = (0..losses.len()).filter(|a| *a != now).collect();
        let less = |of: &[Vec<f64>], a: usize| -> Vec<f64> {
            of[a].iter().zip(&of[now]).map(|(x, y)| x - y).collect()
        };
        let means: Vec<f64> = others.iter().map(|a| all[*a] - all[now]).collect();
        let centred = |(a, m): (&usize, &f64)| less(losses, *a).iter().map(|d| d - m).collect();
        let deviations: Vec<Vec<f64>> = others.iter().zip(&means).map(centred).collect();
        let noise = errors.map(|e| {
            let d: Vec<Vec<f64>> = others.iter().map(|a| less(e, *a)).collect();
            products(&d, rows as f64)
        });
        Some(Losses { now, others, means, deviations, noise, all })
    }

    /// The choice that is taken now.
    pub fn now(&self) -> usize {
        self.now
    }

    /// Mean loss of every choice.
    pub fn mean_losses(&self) -> &[f64] {
        &self.all
    }

    fn rows(&self) -> usize {
        self.deviations[0].len()
    }

    /// Value of knowing every parameter.
    pub fn perfect(&self) -> Gain {
        let n = self.rows();
        let (drawn, share) = match &self.noise {
            Some(noise) => drawn_in(&self.deviations, noise),
            None => (self.deviations.clone(), None),
        };
        let choices = self.choices(&drawn);
        let error = standard_error(&choices.gains);
        let mut gain = self.gain(&choices, error, 0.0);
        gain.note = match share {
            None if self.noise.is_none() => {
                "simulation noise is not known and counts as knowledge: upper bound".into()
            }
            None => "sets differ by simulation noise alone".into(),
            Some(share) if share < 5e-6 => String::new(),
            Some(share) => {
                let percent = 100.0 * share;
                let digits = if percent < 1.0 { 3 } else { 0 };
                format!("{percent:.digits$} % of the spread of sets is simulation noise, removed")
            }
        };
        gain.verdict = match gain.low {
            Some(low) if low > 0.0 && choices.changes > 0 => Verdict::Could,
            _ if choices.changes == 0 => Verdict::Cannot,
            _ => Verdict::Unclear,
        };
        if choices.changes == 0 {
            none_seen(&mut gain, n);
        }
        gain
    }

    /// Value of knowing some parameters, one slice each over the sets.
    pub fn of(&self, parameters: &[&[f64]], draws: &mut impl Rng) -> Gain {
        let n = self.rows();
        let Some(fit) = Fit::of(&self.deviations, parameters) else {
            return Gain::unknown(n, "the parameters do not vary, or there are too few sets");
        };
        let (choices, noise) = self.after(&fit);
        let error = self.error(&fit, &choices);
        let upper = self.upper(&fit, &noise, draws);
        let mut gain = self.gain(&choices, error, upper);
        let floor = self.floor(parameters, draws);
        gain.floor = Some(floor);
        gain.verdict = match gain.value {
            Some(v) if v > floor && choices.changes > 0 => Verdict::Could,
            _ if choices.changes == 0 && upper == 0.0 => Verdict::Cannot,
            _ => Verdict::Unclear,
        };
        gain.note = match gain.verdict {
            Verdict::Unclear => "not distinguishable from a parameter that says nothing".into(),
            _ => String::new(),
        };
        if choices.changes == 0 && upper == 0.0 {
            none_seen(&mut gain, n);
        }
        gain
    }

    /// Choices by the fitted losses, drawn in by the noise of the fit; and that noise, the covariance
    /// of one coefficient.
    fn after(&self, fit: &Fit) -> (Choices, DMatrix<f64>) {
        let rows = self.rows();
        let freedom = (rows - fit.terms.len() - 1) as f64;
        let noise = products(&fit.residuals, freedom) / rows as f64;
        let fitted: Vec<Vec<f64>> = (0..self.others.len())
            .map(|a| (0..rows).map(|j| fit.fitted(j, a, &fit.coefficients)).collect())
            .collect();
        let (drawn, _) = drawn_in(&fitted, &(&noise * fit.terms.len() as f64));
        (self.choices(&drawn), noise)
    }

    /// Who is taken in every set, given what each difference has above its mean there.
    fn choices(&self, deviations: &[Vec<f64>]) -> Choices {
        let rows = deviations[0].len();
        let mut all = Choices {
            gains: Vec::with_capacity(rows),
            taken: Vec::with_capacity(rows),
            changes: 0,
            instead: vec![0; self.others.len()],
        };
        for j in 0..rows {
            let differences = self.means.iter().zip(deviations).map(|(m, d)| m + d[j]);
            let least = differences.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
            let taken = least.filter(|(_, d)| *d < 0.0);
            all.gains.push(taken.map_or(0.0, |(_, d)| -d));
            all.taken.push(taken.map(|(a, _)| a));
            if let Some((a, _)) = taken {
                all.changes += 1;
                all.instead[a] += 1;
            }
        }
        all
    }

    /// Standard error by the influence of each set: on the mean over sets, and by way of the
    /// coefficients (who is taken where does not change to first order).
    fn error(&self, fit: &Fit, choices: &Choices) -> f64 {
        let rows = self.rows();
        let mut influence = choices.gains.clone();
        for (a, residuals) in fit.residuals.iter().enumerate() {
            let taken: Vec<f64> =
                choices.taken.iter().map(|t| f64::from(u8::from(*t == Some(a)))).collect();
            let mean =
                |t: &[f64]| taken.iter().zip(t).map(|(s, t)| s * t).sum::<f64>() / rows as f64;
            let share = taken.iter().sum::<f64>() / rows as f64;
            let slopes: Vec<f64> = fit.terms.iter().map(|t| mean(t)).collect();
            for (j, e) in residuals.iter().enumerate() {
                let along: f64 = fit.terms.iter().zip(&slopes).map(|(t, c)| t[j] * c).sum();
                influence[j] -= (share + along) * e;
            }
        }
        standard_error(&influence)
    }

    /// 97.5 % quantile of the value over coefficients and means that the fit allows.
    fn upper(&self, fit: &Fit, noise: &DMatrix<f64>, draws: &mut impl Rng) -> f64 {
        let root = of_eigen(noise, |x| x.sqrt());
        let k = self.others.len();
        let mut step = || {
            let e = DVector::from_fn(k, |_, _| StandardNormal.sample(draws));
            (&root * e).iter().copied().collect::<Vec<f64>>()
        };
        let mut values: Vec<f64> = (0..DRAWS)
            .map(|_| {
                let shift = step();
                let moved: Vec<Vec<f64>> = fit
                    .coefficients
                    .iter()
                    .map(|b| b.iter().zip(step()).map(|(b, e)| b + e).collect())
                    .collect();
                self.mean_gain(fit, &moved, &shift)
            })
            .collect();
        values.sort_by(f64::total_cmp);
        values[(DRAWS as f64 * (1.0 - 0.5 * OUTSIDE)) as usize - 1]
    }

    fn mean_gain(&self, fit: &Fit, coefficients: &[Vec<f64>], shift: &[f64]) -> f64 {
        let rows = self.rows();
        let gain = |j: usize| {
            let of = |a: usize| self.means[a] + shift[a] + fit.fitted(j, a, coefficients);
            -(0..self.others.len()).map(of).fold(0.0, f64::min)
        };
        // Were the choice of now not the best by the shifted means, that would be no gain of knowing.
        let best = (0..self.others.len()).map(|a| self.means[a] + shift[a]).fold(0.0, f64::min);
        ((0..rows).map(gain).sum::<f64>() / rows as f64 + best).max(0.0)
    }

    /// 95 % quantile of the value with the parameters shuffled between the sets.
    fn floor(&self, parameters: &[&[f64]], draws: &mut impl Rng) -> f64 {
        let mut order: Vec<usize> = (0..self.rows()).collect();
        let mut values: Vec<f64> = (0..SHUFFLES)
            .map(|_| {
                order.shuffle(draws);
                let shuffled: Vec<Vec<f64>> =
                    parameters.iter().map(|p| order.iter().map(|i| p[*i]).collect()).collect();
                let slices: Vec<&[f64]> = shuffled.iter().map(Vec::as_slice).collect();
                let fit = Fit::of(&self.deviations, &slices);
                fit.map_or(0.0, |fit| mean(&self.after(&fit).0.gains))
            })
            .collect();
        values.sort_by(f64::total_cmp);
        values[(SHUFFLES as f64 * (1.0 - OUTSIDE)) as usize - 1]
    }

    fn gain(&self, choices: &Choices, error: f64, upper: f64) -> Gain {
        let value = mean(&choices.gains);
        let most = choices.instead.iter().enumerate().max_by_key(|(i, n)| (**n, usize::MAX - i));
        Gain {
            value: Some(value),
            low: Some((value - Z * error).max(0.0)),
            high: Some((value + Z * error).max(upper)),
            floor: None,
            changes: choices.changes,
            instead: most.filter(|(_, n)| **n > 0).map(|(i, _)| self.others[i]),
            n: self.rows() as u64,
            verdict: Verdict::Unknown,
            method: "normal, never below 0",
            note: String::new(),
        }
    }
}

/// Who is taken, set by set.
struct Choices {
    gains: Vec<f64>,
    taken: Vec<Option<usize>>,
    changes: u64,
    instead: Vec<u64>,
}

/// The choice never changes: the value has no upper limit, how often it is not 0 has one.
pub(super) fn none_seen(gain: &mut Gain, n: usize) {
    let share = none_seen_upper(n as f64, OUTSIDE);
    (gain.high, gain.method) = (None, "upper95 one-sided");
    gain.note = format!("the choice changes in none of {n} sets; in at most {share:.2e} of all");
}

/// Mean of some numbers.
pub(super) fn mean(x: &[f64]) -> f64 {
    x.iter().sum::<f64>() / x.len() as f64
}

fn standard_error(x: &[f64]) -> f64 {
    x.iter().copied().collect::<Moments>().standard_error().unwrap_or(0.0)
}

/// Sums of products of columns over `count`.
fn products(columns: &[Vec<f64>], count: f64) -> DMatrix<f64> {
    let k = columns.len();
    let sum = |a: usize, b: usize| columns[a].iter().zip(&columns[b]).map(|(x, y)| x * y).sum();
    DMatrix::from_fn(k, k, |a, b| {
        let s: f64 = sum(a, b);
        s / count
    })
}

/// A function of a symmetric matrix by its eigenvalues, those below 0 taken as 0.
fn of_eigen(m: &DMatrix<f64>, f: impl Fn(f64) -> f64) -> DMatrix<f64> {
    let parts = SymmetricEigen::new(m.clone());
    let values = parts.eigenvalues.map(|x| f(x.max(0.0)));
    let scaled = &parts.eigenvectors * DMatrix::from_diagonal(&values);
    scaled * parts.eigenvectors.transpose()
}

/// Centred columns moved so that their covariance S becomes T = S - noise (its part above 0), by the
/// map  S^-1/2 (S^1/2 T S^1/2)^1/2 S^-1/2,  which moves them least; and the share of the spread that
/// was taken, `None` where nothing is left.
fn drawn_in(columns: &[Vec<f64>], noise: &DMatrix<f64>) -> (Vec<Vec<f64>>, Option<f64>) {
    let rows = columns[0].len();
    let spread = products(columns, rows as f64 - 1.0);
    let left = of_eigen(&(&spread - noise), |x| x);
    let (all, kept) = (spread.trace(), left.trace());
    if all <= 0.0 || kept <= 0.0 {
        return (vec![vec![0.0; rows]; columns.len()], None);
    }
    let root = of_eigen(&spread, f64::sqrt);
    let least = 1e-12 * all;
    let inverse = of_eigen(&spread, |x| if x > least { 1.0 / x.sqrt() } else { 0.0 });
    let middle = of_eigen(&(&root * &left * &root), f64::sqrt);
    let map = &inverse * middle * &inverse;
    let moved = |a: usize| {
        let at = |j: usize| (0..columns.len()).map(|b| map[(a, b)] * columns[b][j]).sum();
        (0..rows).map(at).collect()
    };
    ((0..columns.len()).map(moved).collect(), Some((1.0 - kept / all).max(0.0)))
}

#[cfg(test)]
mod tests;
