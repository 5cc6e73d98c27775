//! A limit that must be met: the loss is 1 in a parameter set whose mean misses it, 0 where it is met.
//!
//! A set of few campaigns misses a limit also by chance; so means of sets are first drawn in towards
//! their mean until their variance is that without simulation noise. What parameters tell is a
//! regression of the means, not of the losses: losses are steps, which no polynomial follows, and of
//! which noise moves many to the wrong side. Given the parameters a mean is the fitted one with what is
//! left over, drawn in likewise and the same everywhere; so it misses the limit with some chance.
//! Intervals are from resampled sets (B. Efron, Ann. Statist. 7, 1979; from memory).

use super::Table;
use super::fit::Fit;
use super::gain::{Gain, Verdict, mean, none_seen};
use crate::model::Limit;
use crate::stats::interval::OUTSIDE;
use crate::stats::moments::Moments;
use rand::Rng;
use rand::RngExt;
use rand::seq::SliceRandom;

/// Half a 95 % interval in standard errors.
const Z: f64 = 1.959963984540054;
/// Times that sets are resampled for the interval.
const RESAMPLES: usize = 200;
/// Times that parameters are shuffled between sets for the noise floor.
const SHUFFLES: usize = 100;
/// Chances that differ by less are the same.
const SAME: f64 = 1e-9;
/// Above this share of simulation noise in the spread of sets it is said how much it is.
const NOISY: f64 = 0.1;
/// Above this share it is not told who misses the limit where.
const BLIND: f64 = 0.5;

/// Means of sets against a limit.
#[derive(Clone, Debug)]
pub(super) struct Margins {
    /// by architecture: how far each set lies beyond the limit, which it misses from 0 on
    beyond: Vec<Vec<f64>>,
    /// by architecture: variance of the simulation noise in that; 0 where it is not known
    noise: Vec<f64>,
    /// by architecture: 1 for each set that misses the limit without the noise, else 0
    missed: Vec<Vec<f64>>,
}

/// From means of sets to whether each misses the limit, 1 or 0; and the means themselves.
pub(super) fn by_limit(t: &mut Table, limit: &Limit) -> Margins {
    let mut worst: f64 = 0.0;
    let mut margins = Margins { beyond: vec![], noise: vec![], missed: vec![] };
    for (a, means) in t.losses.iter_mut().enumerate() {
        let over = |m: &f64| if limit.below { m - limit.bound } else { limit.bound - m };
        let beyond: Vec<f64> = means.iter().map(over).collect();
        let all: Moments = beyond.iter().copied().collect();
        let errors = t.errors.as_ref().map(|e| &e[a]);
        let noise = errors.map_or(0.0, |e| squares(e) / e.len().max(1) as f64);
        let spread = all.variance().unwrap_or(0.0);
        let share = if spread > 0.0 { (noise / spread).min(1.0) } else { 0.0 };
        worst = worst.max(share);
        let missed = |x: &f64| all.mean + (1.0 - share).sqrt() * (x - all.mean) >= 0.0;
        *means = beyond.iter().map(|x| f64::from(u8::from(missed(x)))).collect();
        margins.beyond.push(beyond);
        margins.noise.push(noise);
        margins.missed.push(means.clone());
    }
    t.blind = worst > BLIND;
    t.note = said(100.0 * worst, t);
    // What is left has no noise of its own.
    let rows = t.sets.len();
    t.errors.iter_mut().flatten().for_each(|e| *e = vec![0.0; rows]);
    margins
}

/// What a reader has to know of the simulation noise, so many per cent of the spread of sets at most.
fn said(percent: f64, t: &Table) -> String {
    match (&t.errors, t.blind) {
        (None, _) => "simulation noise of a set is not known: a limit not met by chance counts \
            as not met"
            .into(),
        (_, true) => format!(
            "{percent:.0} % of the spread of sets is simulation noise: it is not told which sets \
             miss the limit; more campaigns per set would tell"
        ),
        (_, false) if percent > 100.0 * NOISY => format!(
            "{percent:.0} % of the spread of sets is simulation noise, drawn in: more campaigns per \
             set"
        ),
        _ => String::new(),
    }
}

/// Who is chosen by what parameters tell.
struct Chosen {
    /// gain in the probability that the limit is met
    value: f64,
    /// sets in which another is chosen than now
    changes: u64,
    /// by architecture: in how many sets it is chosen instead
    instead: Vec<u64>,
}

impl Margins {
    /// Value of knowing some parameters, one slice each over the sets.
    pub(super) fn of(&self, parameters: &[&[f64]], draws: &mut impl Rng) -> Gain {
        let rows = self.beyond[0].len();
        let all: Vec<usize> = (0..rows).collect();
        let Some(chosen) = self.chosen(parameters, &all, &all) else {
            return Gain::unknown(rows, "the parameters do not vary, or the sets are too few");
        };
        let mut resample = || {
            let sets: Vec<usize> = (0..rows).map(|_| draws.random_range(0..rows)).collect();
            self.chosen(parameters, &sets, &sets).map_or(0.0, |c| c.value)
        };
        let mut again: Vec<f64> = (0..RESAMPLES).map(|_| resample()).collect();
        let error = again.iter().copied().collect::<Moments>().variance().unwrap_or(0.0).sqrt();
        let upper = quantile(&mut again, 1.0 - 0.5 * OUTSIDE);
        let floor = self.floor(parameters, draws);
        let most = chosen.instead.iter().enumerate().max_by_key(|(i, n)| (**n, usize::MAX - i));
        let low = (chosen.value - Z * error).max(0.0);
        let mut gain = Gain {
            value: Some(chosen.value),
            low: Some(low),
            high: Some((chosen.value + Z * error).max(upper)),
            floor: Some(floor),
            changes: chosen.changes,
            instead: most.filter(|(_, n)| **n > 0).map(|(a, _)| a),
            n: rows as u64,
            verdict: match chosen.changes {
                0 if upper == 0.0 => Verdict::Cannot,
                n if n > 0 && chosen.value > floor && low > 0.0 => Verdict::Could,
                _ => Verdict::Unclear,
            },
            method: "resampled sets, never below 0",
            note: String::new(),
        };
        match gain.verdict {
            Verdict::Cannot => none_seen(&mut gain, rows),
            Verdict::Unclear => {
                gain.note = "not told apart from a parameter that tells nothing".into()
            }
            _ => {}
        }
        gain
    }

    /// 95 % quantile of the value with the parameters shuffled between the sets.
    fn floor(&self, parameters: &[&[f64]], draws: &mut impl Rng) -> f64 {
        let all: Vec<usize> = (0..self.beyond[0].len()).collect();
        let mut order = all.clone();
        let mut values: Vec<f64> = (0..SHUFFLES)
            .map(|_| {
                order.shuffle(draws);
                self.chosen(parameters, &all, &order).map_or(0.0, |c| c.value)
            })
            .collect();
        quantile(&mut values, 1.0 - OUTSIDE)
    }

    /// Who is chosen over some sets (some more than once) by the parameters of others (for the floor), or
    /// of the same; `None` where there is nothing to fit.
    fn chosen(&self, parameters: &[&[f64]], sets: &[usize], told: &[usize]) -> Option<Chosen> {
        let picked = |of: &[f64], at: &[usize]| at.iter().map(|i| of[*i]).collect::<Vec<f64>>();
        let columns: Vec<Vec<f64>> = parameters.iter().map(|p| picked(p, told)).collect();
        let slices: Vec<&[f64]> = columns.iter().map(Vec::as_slice).collect();
        let mut centred: Vec<Vec<f64>> = self.beyond.iter().map(|m| picked(m, sets)).collect();
        let means: Vec<f64> = centred.iter().map(|m| mean(m)).collect();
        centred.iter_mut().zip(&means).for_each(|(c, m)| c.iter_mut().for_each(|x| *x -= m));
        let fit = Fit::of(&centred, &slices)?;
        let shares: Vec<f64> = self.missed.iter().map(|m| mean(&picked(m, sets))).collect();
        let mut chances = Vec::with_capacity(shares.len());
        for (a, share) in shares.iter().enumerate() {
            let mut of = chances_of(&fit, a, means[a], self.noise[a]);
            // Over all sets the limit is missed as often as without knowing anything.
            let off = share - mean(&of);
            of.iter_mut().for_each(|x| *x += off);
            chances.push(of);
        }
        Some(choose(&shares, &chances))
    }
}

/// The chance of missing the limit in each set, given the fitted mean there.
fn chances_of(fit: &Fit, a: usize, mean: f64, noise: f64) -> Vec<f64> {
    let residuals = &fit.residuals[a];
    let (rows, terms) = (residuals.len() as f64, fit.terms.len() as f64);
    let left = squares(residuals) / (rows - terms - 1.0);
    let at = |j: usize| fit.fitted(j, a, &fit.coefficients);
    let fitted: Vec<f64> = (0..residuals.len()).map(at).collect();
    let told = without(squares(&fitted) / (rows - 1.0), terms * left / rows);
    let kept = without(left, noise);
    let mut rest: Vec<f64> = residuals.iter().map(|r| kept * r).collect();
    rest.sort_by(f64::total_cmp);
    let chance = |f: &f64| {
        let least = -(mean + told * f);
        1.0 - rest.partition_point(|r| *r < least) as f64 / rows
    };
    fitted.iter().map(chance).collect()
}

/// In every set the one with the least chance, that of now where no other has less.
fn choose(shares: &[f64], chances: &[Vec<f64>]) -> Chosen {
    let least = shares.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1));
    let now = least.map_or(0, |(a, _)| a);
    let mut all = Chosen { value: 0.0, changes: 0, instead: vec![0; shares.len()] };
    let rows = chances[now].len() as f64;
    for (j, own) in chances[now].iter().enumerate() {
        let best = (0..shares.len()).min_by(|a, b| chances[*a][j].total_cmp(&chances[*b][j]));
        let gain = best.map_or(0.0, |a| own - chances[a][j]);
        if let Some(a) = best.filter(|_| gain > SAME) {
            all.value += gain / rows;
            all.changes += 1;
            all.instead[a] += 1;
        }
    }
    all
}

/// By what something is scaled so that its variance is that without a part of it.
fn without(variance: f64, part: f64) -> f64 {
    if variance > part { (1.0 - part / variance).sqrt() } else { 0.0 }
}

fn squares(x: &[f64]) -> f64 {
    x.iter().map(|x| x * x).sum()
}

/// The value that such a share lies at or below.
fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[(values.len() as f64 * share) as usize - 1]
}

#[cfg(test)]
mod tests;
