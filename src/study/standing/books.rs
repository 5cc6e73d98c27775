//! How architectures stand, counted campaign by campaign: sums over blocks of 64 campaigns (or over
//! parameter sets), which are merged in the fixed tree over their number.

use super::{RESAMPLES, Shape, Standing, Sum, not_beaten_by, quotient};
use crate::base::stream::{Luck, fnv1a64};
use crate::measure::{Fact, Facts, MEASURES, Read};
use crate::model::{FIXED_PARTS, Model, Purpose};
use crate::stats::moments::{CoMoments, CoSums};
use crate::stats::wire::wire_fields;
use crate::stats::{BLOCK, CampaignRows, Merge, Node, Reader, Tree, Wire, WireError};
use crate::study::experiment::facts;

/// What is kept of one ranking.
#[derive(Clone, Debug, PartialEq, Eq)]
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

/// What some campaigns leave.
#[derive(Clone, Debug, PartialEq)]
pub struct Sums {
    /// By ranking.
    pub(super) counts: Vec<Counts>,
    /// Resamples x architectures x columns.
    pub(super) resampled: Vec<Sum>,
    /// Per pair, the reference first: moments of both differences.
    pub(super) pairs: Vec<CoMoments<2>>,
    /// Campaigns, or parameter sets.
    pub(super) units: u64,
}

impl Sums {
    /// Of no campaign.
    pub fn new(model: &Model) -> Sums {
        let (shape, arms) = (Shape::of(model), model.arms.len());
        let zero = || vec![0; arms];
        let counts = Counts { campaigns: zero(), of_campaigns: 0, sets: zero(), of_sets: 0 };
        Sums {
            counts: vec![counts; shape.rankings.len()],
            resampled: vec![[0.0; 2]; RESAMPLES * arms * shape.columns.len()],
            pairs: vec![CoMoments::EMPTY; arms * (arms - 1) / 2],
            units: 0,
        }
    }

    /// Campaigns, or parameter sets.
    pub fn units(&self) -> u64 {
        self.units
    }

    fn clear(&mut self) {
        for c in &mut self.counts {
            c.campaigns.fill(0);
            c.sets.fill(0);
            (c.of_campaigns, c.of_sets) = (0, 0);
        }
        self.resampled.fill([0.0; 2]);
        self.pairs.fill(CoMoments::EMPTY);
        self.units = 0;
    }

    /// Reads what was written of a model.
    ///
    /// # Errors
    /// [`WireError`], also where it does not suit the model.
    pub fn get_for(model: &Model, from: &mut Reader) -> Result<Node<Sums>, WireError> {
        let (node, like) = (Node::<Sums>::get(from)?, Sums::new(model));
        let arms = model.arms.len();
        let counts = |c: &Counts| c.campaigns.len() == arms && c.sets.len() == arms;
        let same = node.tally.counts.len() == like.counts.len()
            && node.tally.resampled.len() == like.resampled.len()
            && node.tally.pairs.len() == like.pairs.len();
        match same && node.tally.counts.iter().all(counts) {
            true => Ok(node),
            false => Err(WireError::Wrong("a standing that does not suit the campaign")),
        }
    }
}

impl Merge for Sums {
    fn merge(&mut self, right: &Sums) {
        for (a, b) in self.counts.iter_mut().zip(&right.counts) {
            a.campaigns.iter_mut().zip(&b.campaigns).for_each(|(x, y)| *x += y);
            a.sets.iter_mut().zip(&b.sets).for_each(|(x, y)| *x += y);
            a.of_campaigns += b.of_campaigns;
            a.of_sets += b.of_sets;
        }
        for (a, b) in self.resampled.iter_mut().zip(&right.resampled) {
            *a = [a[0] + b[0], a[1] + b[1]];
        }
        self.pairs.iter_mut().zip(&right.pairs).for_each(|(a, b)| a.merge(b));
        self.units += right.units;
    }
}

wire_fields!(Counts { campaigns, of_campaigns, sets, of_sets });
wire_fields!(Sums { counts, resampled, pairs, units });

/// The books, fed campaign by campaign, in order; memory does not grow with them.
#[derive(Clone, Debug)]
pub struct StandingBooks<'m> {
    model: &'m Model,
    shape: Shape,
    tree: Tree<Sums>,
    /// The leaf of the tree at hand, its sums and moments.
    leaf: Option<u64>,
    sums: Sums,
    pairs: Vec<CoSums<2>>,
    /// Weights of the unit at hand in each resample.
    weights: Vec<f64>,
    /// Architectures x columns: values of the campaign at hand.
    values: Vec<Option<Sum>>,
    /// Architectures x columns: sums of the set at hand.
    set: Vec<Sum>,
    /// Per architecture: sums over the unit at hand of what is there at the start (kg) and of what
    /// the campaign adds per planned day (kg/d).
    unit_mass: Vec<[f64; 2]>,
    in_unit: u64,
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

/// What a campaign adds to numerator and denominator of a measure; `None` where it has no value.
fn parts(f: &Facts, column: usize) -> Option<Sum> {
    match MEASURES[column].read {
        Read::Of(fact) => Some([f.get(fact)?, 1.0]),
        Read::Ratio(n, d) => Some([f.get(n)?, f.get(d)?]),
    }
}

impl<'m> StandingBooks<'m> {
    /// Empty books of a model.
    pub fn new(model: &'m Model) -> StandingBooks<'m> {
        let (shape, arms) = (Shape::of(model), model.arms.len());
        let (sums, n) = (Sums::new(model), shape.columns.len());
        StandingBooks {
            model,
            tree: Tree::of(sums.clone()),
            leaf: None,
            pairs: vec![CoSums::EMPTY; sums.pairs.len()],
            sums,
            weights: vec![0.0; RESAMPLES],
            values: vec![None; arms * n],
            set: vec![[0.0; 2]; arms * n],
            unit_mass: vec![[0.0; 2]; arms],
            in_unit: 0,
            shape,
        }
    }

    /// Campaigns that belong together: one, or those of a parameter set.
    fn unit(&self) -> u64 {
        self.model.inner.unwrap_or(1)
    }

    /// The leaf of the tree that a campaign belongs to.
    fn leaf_of(&self, campaign: u64) -> u64 {
        campaign / self.model.inner.unwrap_or(BLOCK)
    }

    /// Adds the next campaign.
    pub fn take(&mut self, campaign: u64, rows: &CampaignRows) {
        let leaf = self.leaf_of(campaign);
        if self.leaf != Some(leaf) {
            self.close_leaf();
            self.leaf = Some(leaf);
        }
        if self.in_unit == 0 {
            self.draw_weights(campaign / self.unit());
        }
        let n = self.shape.columns.len();
        for arm in 0..self.model.arms.len() {
            let f = facts(rows, arm);
            for (c, column) in self.shape.columns.iter().enumerate() {
                self.values[arm * n + c] = parts(&f, *column);
            }
            self.weigh(arm, &f, rows.row(arm).extras);
        }
        self.count_campaign();
        let cells = self.model.arms.len() * n;
        for (b, w) in self.weights.iter().enumerate().filter(|(_, w)| **w > 0.0) {
            let sums = &mut self.sums.resampled[b * cells..(b + 1) * cells];
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
        let (arms, n) = (self.model.arms.len(), self.shape.columns.len());
        for (r, measures) in self.shape.rankings.iter().enumerate() {
            let (values, columns) = (&self.values, &self.shape.columns);
            let value = |a: usize, m: usize| {
                let c = measures[m];
                let x = values[a * n + c].and_then(quotient);
                x.map_or(f64::NAN, |x| MEASURES[columns[c]].sense() * x)
            };
            if (0..arms).any(|a| (0..measures.len()).any(|m| value(a, m).is_nan())) {
                continue;
            }
            let counts = &mut self.sums.counts[r];
            counts.of_campaigns += 1;
            for a in 0..arms {
                counts.campaigns[a] += u64::from(not_beaten_by(a, arms, &value, measures.len()));
            }
        }
    }

    fn close_unit(&mut self) {
        let arms = self.model.arms.len();
        let size = self.in_unit as f64;
        self.sums.units += 1;
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
            for r in 0..self.shape.rankings.len() {
                if let Some(found) = self.shape.standing_of(self.model, &self.set, r) {
                    let counts = &mut self.sums.counts[r];
                    counts.of_sets += 1;
                    let pairs = counts.sets.iter_mut().zip(found);
                    pairs.for_each(|(n, stands)| *n += u64::from(stands));
                }
            }
        }
        self.set.fill([0.0; 2]);
    }

    fn close_leaf(&mut self) {
        let Some(leaf) = self.leaf.take() else { return };
        for (closed, sums) in self.sums.pairs.iter_mut().zip(&mut self.pairs) {
            *closed = std::mem::replace(sums, CoSums::EMPTY).close();
        }
        let fresh = self.tree.take_spare();
        let closed = std::mem::replace(&mut self.sums, fresh);
        self.sums.clear();
        self.tree.insert(leaf, closed);
    }

    /// How they stand.
    pub fn finish(mut self) -> Standing<'m> {
        self.close_leaf();
        Standing { model: self.model, shape: self.shape, sums: self.tree.finish() }
    }

    /// The maximal aligned subtrees over the campaigns that were added, for whoever has the others.
    pub fn into_nodes(mut self) -> Vec<Node<Sums>> {
        self.close_leaf();
        self.tree.into_nodes()
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
}
