//! How architectures stand as a whole: who is not beaten on the measures of a ranking, over campaigns,
//! over resampled means and over parameter sets; and how their equivalent system masses grow apart.
//! Fed campaign by campaign, in order; memory does not grow with them.

use super::experiment::facts;
use crate::base::stream::{Luck, fnv1a64};
use crate::measure::{Fact, Facts, MEASURES, Read};
use crate::model::{FIXED_PARTS, Model, Purpose};
use crate::stats::CampaignRows;
use crate::stats::moments::{CoMoments, CoSums};

/// Resamples of the campaigns (or parameter sets).
pub const RESAMPLES: usize = 200;
/// Draws of changed weights.
pub const WEIGHTINGS: u64 = 1000;
/// A changed weight is at most so many times larger or smaller.
const CHANGED: f64 = 2.0;

/// Numerator and denominator of a measure, summed with the weights of a resample.
type Sum = [f64; 2];

/// What is kept of one ranking.
#[derive(Clone, Debug)]
pub struct Counts {
    /// Per architecture: campaigns in which it is not beaten.
    pub campaigns: Vec<u64>,
    /// Campaigns in which every architecture has every measure.
    pub of_campaigns: u64,
    /// Per architecture: parameter sets in whose means it is not beaten.
    pub sets: Vec<u64>,
    /// Parameter sets in which every architecture has every measure.
    pub of_sets: u64,
}

/// The books.
#[derive(Clone, Debug)]
pub struct Standing<'m> {
    model: &'m Model,
    /// Measures of any ranking: columns of the registry.
    columns: Vec<usize>,
    /// Of each ranking: its measures as indices into `columns`.
    rankings: Vec<Vec<usize>>,
    counts: Vec<Counts>,
    /// Resamples x architectures x `columns`.
    resampled: Vec<Sum>,
    /// Weight of the unit at hand in each resample.
    weights: Vec<f64>,
    /// Architectures x `columns`: values of the campaign at hand.
    values: Vec<Option<Sum>>,
    /// Architectures x `columns`: sums of the set at hand.
    set: Vec<Sum>,
    /// Per architecture: sums over the unit at hand of what is there at the start (kg) and of what
    /// the campaign adds per planned day (kg/d).
    unit_mass: Vec<[f64; 2]>,
    /// Per pair, the reference first: moments of both differences.
    pairs: Vec<CoSums<2>>,
    in_unit: u64,
    units: u64,
}

/// Per weight: the number of times that a unit is drawn into a resample of as many units, which is
/// Poisson with mean 1 in the limit of many.
fn poisson_one(u: f64) -> f64 {
    let (mut k, mut term) = (0.0, (-1.0f64).exp());
    let mut below = term;
    while u > below && k < 20.0 {
        k += 1.0;
        term /= k;
        below += term;
    }
    k
}

/// Of each architecture: is no other at least as good on all measures and better on one? Values are
/// such that less is better.
pub fn not_beaten(arms: usize, value: impl Fn(usize, usize) -> f64, measures: usize) -> Vec<bool> {
    (0..arms).map(|a| stands(a, arms, &value, measures)).collect()
}

fn stands(a: usize, arms: usize, value: &impl Fn(usize, usize) -> f64, measures: usize) -> bool {
    let beats = |b: usize| {
        (0..measures).all(|m| value(b, m) <= value(a, m))
            && (0..measures).any(|m| value(b, m) < value(a, m))
    };
    !(0..arms).any(|b| b != a && beats(b))
}

/// What a campaign adds to numerator and denominator of a measure; `None` where it has no value.
fn parts(f: &Facts, column: usize) -> Option<Sum> {
    match MEASURES[column].read {
        Read::Of(fact) => Some([f.get(fact)?, 1.0]),
        Read::Ratio(n, d) => Some([f.get(n)?, f.get(d)?]),
    }
}

fn quotient([n, d]: Sum) -> Option<f64> {
    (d > 0.0 && !n.is_nan()).then(|| n / d)
}

impl<'m> Standing<'m> {
    /// Empty books of a model.
    pub fn new(model: &'m Model) -> Standing<'m> {
        let mut columns: Vec<usize> =
            model.review.rankings.iter().flat_map(|r| r.columns.iter().copied()).collect();
        columns.sort_unstable();
        columns.dedup();
        let at = |c: &usize| columns.iter().position(|x| x == c).unwrap_or(0);
        let rankings: Vec<Vec<usize>> =
            model.review.rankings.iter().map(|r| r.columns.iter().map(at).collect()).collect();
        let arms = model.arms.len();
        let zero = || vec![0; arms];
        let counts = Counts { campaigns: zero(), of_campaigns: 0, sets: zero(), of_sets: 0 };
        Standing {
            model,
            counts: vec![counts; rankings.len()],
            resampled: vec![[0.0; 2]; RESAMPLES * arms * columns.len()],
            weights: vec![0.0; RESAMPLES],
            values: vec![None; arms * columns.len()],
            set: vec![[0.0; 2]; arms * columns.len()],
            unit_mass: vec![[0.0; 2]; arms],
            pairs: vec![CoSums::EMPTY; arms * (arms - 1) / 2],
            in_unit: 0,
            units: 0,
            columns,
            rankings,
        }
    }

    /// Campaigns that belong together: one, or those of a parameter set.
    fn unit(&self) -> u64 {
        self.model.inner.unwrap_or(1)
    }

    /// Adds a campaign.
    pub fn take(&mut self, campaign: u64, rows: &CampaignRows) {
        if self.in_unit == 0 {
            self.draw_weights(campaign / self.unit());
        }
        let n = self.columns.len();
        for arm in 0..self.model.arms.len() {
            let f = facts(rows, arm);
            for (c, column) in self.columns.iter().enumerate() {
                self.values[arm * n + c] = parts(&f, *column);
            }
            self.weigh(arm, &f, rows.row(arm).extras);
        }
        self.count_campaign();
        let cells = self.model.arms.len() * n;
        for (b, w) in self.weights.iter().enumerate().filter(|(_, w)| **w > 0.0) {
            let sums = &mut self.resampled[b * cells..(b + 1) * cells];
            add(sums, &self.values, *w);
        }
        add(&mut self.set, &self.values, 1.0);
        self.in_unit += 1;
        if self.in_unit == self.unit() {
            self.close_unit();
        }
    }

    fn draw_weights(&mut self, unit: u64) {
        const PATH: u64 = fnv1a64("resample");
        let luck = Luck::new(self.model.seed);
        Purpose::Resample.fill(luck, unit, PATH, 0, &mut self.weights);
        self.weights.iter_mut().for_each(|w| *w = poisson_one(*w));
    }

    fn weigh(&mut self, arm: usize, f: &Facts, extras: &[f64]) {
        let Some(block) = self.model.arms[arm].blocks.mass else { return };
        let days = self.model.horizon / 86_400.0;
        let fixed: f64 = extras[block..block + FIXED_PARTS].iter().sum();
        let all = f.get(Fact::SystemMass).unwrap_or(f64::NAN);
        self.unit_mass[arm][0] += fixed;
        self.unit_mass[arm][1] += (all - fixed) / days;
    }

    fn count_campaign(&mut self) {
        let (arms, n) = (self.model.arms.len(), self.columns.len());
        for (r, measures) in self.rankings.iter().enumerate() {
            let (values, columns) = (&self.values, &self.columns);
            let value = |a: usize, m: usize| {
                let c = measures[m];
                let x = values[a * n + c].and_then(quotient);
                x.map_or(f64::NAN, |x| MEASURES[columns[c]].sense() * x)
            };
            if (0..arms).any(|a| (0..measures.len()).any(|m| value(a, m).is_nan())) {
                continue;
            }
            let counts = &mut self.counts[r];
            counts.of_campaigns += 1;
            for a in 0..arms {
                counts.campaigns[a] += u64::from(stands(a, arms, &value, measures.len()));
            }
        }
    }

    fn close_unit(&mut self) {
        let arms = self.model.arms.len();
        let size = self.in_unit as f64;
        self.units += 1;
        self.in_unit = 0;
        let mut pair = 0;
        for reference in 0..arms {
            for other in reference + 1..arms {
                let d = |i: usize| (self.unit_mass[other][i] - self.unit_mass[reference][i]) / size;
                self.pairs[pair].add([d(0), d(1)]);
                pair += 1;
            }
        }
        self.unit_mass.fill([0.0; 2]);
        if self.model.inner.is_some() {
            for r in 0..self.rankings.len() {
                if let Some(found) = self.standing_of(&self.set, r) {
                    let counts = &mut self.counts[r];
                    counts.of_sets += 1;
                    let pairs = counts.sets.iter_mut().zip(found);
                    pairs.for_each(|(n, stands)| *n += u64::from(stands));
                }
            }
        }
        self.set.fill([0.0; 2]);
    }

    /// Who is not beaten by such sums; `None` where a mean is missing.
    fn standing_of(&self, sums: &[Sum], ranking: usize) -> Option<Vec<bool>> {
        let means = self.means_of(sums, ranking)?;
        let (arms, k) = (self.model.arms.len(), self.rankings[ranking].len());
        let columns = &self.model.review.rankings[ranking].columns;
        Some(not_beaten(arms, |a, m| MEASURES[columns[m]].sense() * means[a * k + m], k))
    }

    /// Architectures x measures of the ranking.
    fn means_of(&self, sums: &[Sum], ranking: usize) -> Option<Vec<f64>> {
        let n = self.columns.len();
        let arms = 0..self.model.arms.len();
        arms.flat_map(|a| self.rankings[ranking].iter().map(move |c| quotient(sums[a * n + c])))
            .collect()
    }

    /// Counts of a ranking.
    pub fn counts(&self, ranking: usize) -> &Counts {
        &self.counts[ranking]
    }

    /// Per architecture: resamples in whose means it is not beaten; and how many have all means.
    pub fn resampled(&self, ranking: usize) -> (Vec<u64>, u64) {
        let cells = self.model.arms.len() * self.columns.len();
        let mut counts = (vec![0; self.model.arms.len()], 0);
        for b in 0..RESAMPLES {
            if let Some(found) = self.standing_of(&self.resampled[b * cells..][..cells], ranking) {
                counts.1 += 1;
                let pairs = counts.0.iter_mut().zip(found);
                pairs.for_each(|(n, stands)| *n += u64::from(stands));
            }
        }
        counts
    }

    /// Per architecture: resamples in which its weighted total is the least.
    pub fn resampled_first(&self, ranking: usize) -> (Vec<u64>, u64) {
        let cells = self.model.arms.len() * self.columns.len();
        let weights = &self.model.review.rankings[ranking].weights;
        let mut counts = (vec![0; self.model.arms.len()], 0);
        for b in 0..RESAMPLES {
            if let Some(m) = self.means_of(&self.resampled[b * cells..][..cells], ranking) {
                counts.1 += 1;
                counts.0[first(&self.totals(&m, ranking, weights))] += 1;
            }
        }
        counts
    }

    /// Per architecture: draws of changed weights in which the weighted total of these means
    /// (architectures x measures) is the least.
    pub fn reweighted_first(&self, ranking: usize, means: &[f64]) -> Vec<u64> {
        let weights = &self.model.review.rankings[ranking].weights;
        let luck = Luck::new(self.model.seed);
        let mut counts = vec![0; self.model.arms.len()];
        for draw in 0..WEIGHTINGS {
            let path = fnv1a64("weights");
            let mut u = vec![0.0; weights.len()];
            Purpose::Resample.fill(luck, draw, path, ranking as u64, &mut u);
            let change = |u: &f64| CHANGED.powf(2.0 * u - 1.0);
            let changed: Vec<f64> = weights.iter().zip(&u).map(|(w, u)| w * change(u)).collect();
            counts[first(&self.totals(means, ranking, &changed))] += 1;
        }
        counts
    }

    /// Weighted totals of means (architectures x measures): less is better.
    pub fn totals(&self, means: &[f64], ranking: usize, weights: &[f64]) -> Vec<f64> {
        let columns = &self.model.review.rankings[ranking].columns;
        let total = |of: &[f64]| -> f64 {
            let parts = of.iter().zip(weights).zip(columns);
            parts.map(|((x, w), c)| w * x * MEASURES[*c].sense()).sum()
        };
        means.chunks(columns.len()).map(total).collect()
    }

    /// Moments over campaigns (or parameter sets) of the differences in mass of a pair, other less
    /// reference: at the start, kg, and per planned day, kg/d.
    pub fn masses(&self, pair: usize) -> CoMoments<2> {
        self.pairs[pair].close()
    }

    /// Campaigns, or parameter sets.
    pub fn units(&self) -> u64 {
        self.units
    }
}

fn add(sums: &mut [Sum], values: &[Option<Sum>], weight: f64) {
    for (sum, value) in sums.iter_mut().zip(values) {
        if let Some([n, d]) = value {
            sum[0] += weight * n;
            sum[1] += weight * d;
        }
    }
}

/// Index of the least.
fn first(totals: &[f64]) -> usize {
    let least = totals.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1));
    least.map_or(0, |(i, _)| i)
}

/// The campaign length at which two masses x + y t are equal, and the limits of its interval by
/// Fieller's theorem: all t for which 0 lies in the interval of the mean of x + t y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BreakEven {
    /// They are equal at this length, d; limits where they are not estimable are left out.
    At(f64, Option<f64>, Option<f64>),
    /// By the means the other is lighter than the reference at any length (true), or heavier (false); and
    /// whether both differences, at the start and per day, are clear.
    Never(bool, bool),
    /// Not estimable.
    Unknown,
}

/// From the moments of x (kg) and y (kg/d); `t` is the Student factor of the interval.
///
/// Source: E. C. Fieller, J. R. Stat. Soc. B 16, 1954 (from memory).
pub fn break_even(m: &CoMoments<2>, t: f64) -> BreakEven {
    if m.n < 2 || m.mean.iter().any(|x| !x.is_finite()) {
        return BreakEven::Unknown;
    }
    let [x, y] = m.mean;
    if x == 0.0 && y == 0.0 {
        return BreakEven::Unknown;
    }
    let scale = (m.n as f64) * (m.n as f64 - 1.0);
    let [vxx, vxy, vyy] = [m.c[0][0], m.c[0][1], m.c[1][1]].map(|c| c / scale);
    let k = t * t;
    let (a, b, c) = (y * y - k * vyy, x * y - k * vxy, x * x - k * vxx);
    if x * y >= 0.0 {
        // Fieller's set reaches no length above 0 where both differ from 0, or never differed.
        let clear = [(x, vxx), (y, vyy)].iter().all(|(d, v)| d * d > k * v || *v == 0.0);
        return BreakEven::Never(x + y < 0.0, clear);
    }
    let at = -x / y;
    let root = (b * b - a * c).sqrt();
    // Without a clear difference per day the interval has no end.
    if a <= 0.0 || root.is_nan() {
        return BreakEven::At(at, None, None);
    }
    let ends = [(-b - root) / a, (-b + root) / a];
    let known = |x: f64| (x >= 0.0).then_some(x);
    BreakEven::At(at, known(ends[0]), known(ends[1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_poisson_count_of_mean_one() {
        let n = 100_000;
        let draws = (0..n).map(|i| poisson_one((f64::from(i) + 0.5) / f64::from(n)));
        let mean: f64 = draws.sum::<f64>() / f64::from(n);
        // Midpoints of 1e5 equal steps of u: each step of the count is off by half a step at most.
        assert!((mean - 1.0).abs() < 1e-4, "{mean}");
        assert_eq!(poisson_one(0.36), 0.0);
        assert_eq!(poisson_one(0.37), 1.0);
    }

    #[test]
    fn who_is_not_beaten() {
        let values = [[1.0, 3.0], [2.0, 2.0], [2.0, 3.0], [1.0, 3.0]];
        let found = not_beaten(4, |a, m| values[a][m], 2);
        // The third is beaten by the second; the first and the last are equal and beat nobody out.
        assert_eq!(found, [true, true, false, true]);
    }

    #[test]
    fn break_even_by_hand() {
        let m = |x: f64, y: f64, v: [f64; 3]| CoMoments {
            n: 2,
            mean: [x, y],
            c: [[v[0] * 2.0, v[1] * 2.0], [v[1] * 2.0, v[2] * 2.0]],
        };
        // 100 kg lighter at the start, 2 kg a day heavier: equal after 50 days.
        let certain = break_even(&m(-100.0, 2.0, [0.0; 3]), 2.0);
        assert_eq!(certain, BreakEven::At(50.0, Some(50.0), Some(50.0)));
        // A standard error of 0.25 kg/d, factor 2: 100 / 2.5 and 100 / 1.5.
        let BreakEven::At(at, Some(low), Some(high)) =
            break_even(&m(-100.0, 2.0, [0.0, 0.0, 0.0625]), 2.0)
        else {
            panic!("an interval");
        };
        assert_eq!(at, 50.0);
        assert!((low - 40.0).abs() < 1e-9 && (high - 200.0 / 3.0).abs() < 1e-9, "{low} {high}");
        assert_eq!(
            break_even(&m(-100.0, 2.0, [0.0, 0.0, 4.0]), 2.0),
            BreakEven::At(50.0, None, None)
        );
        assert_eq!(break_even(&m(-100.0, -2.0, [0.0; 3]), 2.0), BreakEven::Never(true, true));
        assert_eq!(break_even(&m(100.0, 2.0, [0.0; 3]), 2.0), BreakEven::Never(false, true));
        // 2 kg/d with a standard error of 1.5 and factor 2 may as well be -1: not clear.
        let vague = break_even(&m(100.0, 2.0, [0.0, 0.0, 2.25]), 2.0);
        assert_eq!(vague, BreakEven::Never(false, false));
        assert_eq!(break_even(&m(0.0, 0.0, [0.0; 3]), 2.0), BreakEven::Unknown);
    }
}
