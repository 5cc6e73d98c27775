//! How architectures stand as a whole: who is not beaten on the measures of a ranking, over campaigns,
//! over resampled means and over parameter sets; and how their equivalent system masses grow apart.
//! [`StandingBooks`] are fed campaign by campaign; [`Standing`] answers.

mod books;

pub use books::{Counts, StandingBooks, Sums};

use crate::base::stream::{Luck, fnv1a64};
use crate::measure::MEASURES;
use crate::model::{Model, Purpose};
use crate::stats::moments::CoMoments;

/// Resamples of the campaigns (or parameter sets).
pub const RESAMPLES: usize = 200;
/// Draws of changed weights.
pub const WEIGHTINGS: u64 = 1000;
/// A changed weight is at most so many times larger or smaller.
const CHANGED: f64 = 2.0;

/// Numerator and denominator of a measure, summed with the weights of a resample.
type Sum = [f64; 2];

/// What a model asks about: which measures, by ranking.
#[derive(Clone, Debug)]
struct Shape {
    /// Measures of any ranking: columns of the registry.
    columns: Vec<usize>,
    /// Of each ranking: its measures as indices into `columns`.
    rankings: Vec<Vec<usize>>,
}

/// How architectures stand: what [`StandingBooks`] end in.
#[derive(Clone, Debug)]
pub struct Standing<'m> {
    model: &'m Model,
    shape: Shape,
    sums: Sums,
}

/// Of each architecture: is no other at least as good on all measures and better on one? Values are
/// such that less is better.
pub fn not_beaten(arms: usize, value: impl Fn(usize, usize) -> f64, measures: usize) -> Vec<bool> {
    (0..arms).map(|a| not_beaten_by(a, arms, &value, measures)).collect()
}

/// Is `a` one of them?
fn not_beaten_by(
    a: usize,
    arms: usize,
    value: &impl Fn(usize, usize) -> f64,
    measures: usize,
) -> bool {
    let beats = |b: usize| {
        (0..measures).all(|m| value(b, m) <= value(a, m))
            && (0..measures).any(|m| value(b, m) < value(a, m))
    };
    !(0..arms).any(|b| b != a && beats(b))
}

fn quotient([n, d]: Sum) -> Option<f64> {
    (d > 0.0 && !n.is_nan()).then(|| n / d)
}

impl Shape {
    fn of(model: &Model) -> Shape {
        let mut columns: Vec<usize> =
            model.review.rankings.iter().flat_map(|r| r.columns.iter().copied()).collect();
        columns.sort_unstable();
        columns.dedup();
        let at = |c: &usize| columns.iter().position(|x| x == c).unwrap_or(0);
        let rankings =
            model.review.rankings.iter().map(|r| r.columns.iter().map(at).collect()).collect();
        Shape { columns, rankings }
    }

    /// Who is not beaten by such sums; `None` where a mean is missing.
    fn standing_of(&self, model: &Model, sums: &[Sum], ranking: usize) -> Option<Vec<bool>> {
        let means = self.means_of(model, sums, ranking)?;
        let (arms, k) = (model.arms.len(), self.rankings[ranking].len());
        let columns = &model.review.rankings[ranking].columns;
        Some(not_beaten(arms, |a, m| MEASURES[columns[m]].sense() * means[a * k + m], k))
    }

    /// Architectures x measures of the ranking.
    fn means_of(&self, model: &Model, sums: &[Sum], ranking: usize) -> Option<Vec<f64>> {
        let n = self.columns.len();
        let arms = 0..model.arms.len();
        arms.flat_map(|a| self.rankings[ranking].iter().map(move |c| quotient(sums[a * n + c])))
            .collect()
    }
}

impl<'m> Standing<'m> {
    /// From the sums over all campaigns.
    pub fn new(model: &'m Model, sums: Sums) -> Standing<'m> {
        Standing { model, shape: Shape::of(model), sums }
    }

    /// Counts of a ranking.
    pub fn counts(&self, ranking: usize) -> &Counts {
        &self.sums.counts[ranking]
    }

    /// Architectures x columns: sums of a resample.
    fn resample(&self, b: usize) -> &[Sum] {
        let cells = self.model.arms.len() * self.shape.columns.len();
        &self.sums.resampled[b * cells..][..cells]
    }

    /// Per architecture: resamples in whose means it is not beaten; and how many have all means.
    pub fn resampled(&self, ranking: usize) -> (Vec<u64>, u64) {
        let mut counts = (vec![0; self.model.arms.len()], 0);
        for b in 0..RESAMPLES {
            if let Some(found) = self.shape.standing_of(self.model, self.resample(b), ranking) {
                counts.1 += 1;
                let pairs = counts.0.iter_mut().zip(found);
                pairs.for_each(|(n, stands)| *n += u64::from(stands));
            }
        }
        counts
    }

    /// Per architecture: resamples in which its weighted total is the least.
    pub fn resampled_first(&self, ranking: usize) -> (Vec<u64>, u64) {
        let weights = &self.model.review.rankings[ranking].weights;
        let mut counts = (vec![0; self.model.arms.len()], 0);
        for b in 0..RESAMPLES {
            if let Some(m) = self.shape.means_of(self.model, self.resample(b), ranking) {
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
        self.sums.pairs[pair]
    }

    /// Campaigns, or parameter sets.
    pub fn units(&self) -> u64 {
        self.sums.units
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
