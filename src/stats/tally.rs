//! What is known of all campaigns behind a node of the tree: counts, moments, ranges.
//!
//! Every moment is of weight times value; weights are 1 in plain play, and 1 times a value is that
//! value to the last bit. Quantiles and shares of lower campaigns are counted without weight.

use super::moments::{CoMoments, Moments};
use super::plan::Plan;

/// Weights of the campaigns of one arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// number of campaigns
    pub n: u64,
    /// sum of the weights
    pub sum: f64,
    /// sum of their squares
    pub squares: f64,
    /// the largest weight
    pub largest: f64,
    /// whether a weight other than 1 was met
    pub weighted: bool,
}

impl Weights {
    /// No campaign yet.
    pub const EMPTY: Weights =
        Weights { n: 0, sum: 0.0, squares: 0.0, largest: 0.0, weighted: false };

    /// Adds one weight.
    pub fn add(&mut self, weight: f64) {
        self.n += 1;
        self.sum += weight;
        self.squares += weight * weight;
        self.largest = self.largest.max(weight);
        self.weighted |= weight != 1.0;
    }

    /// Adds the weights behind `right`.
    pub fn merge(&mut self, right: &Weights) {
        self.n += right.n;
        self.sum += right.sum;
        self.squares += right.squares;
        self.largest = self.largest.max(right.largest);
        self.weighted |= right.weighted;
    }

    /// Effective number of campaigns, (sum of weights)^2 / sum of squares; `None` without weight.
    pub fn effective(&self) -> Option<f64> {
        (self.squares > 0.0).then(|| self.sum * self.sum / self.squares)
    }
}

/// A column or an extra of one arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Single {
    /// moments of the finite values
    pub moments: Moments,
    /// their sum; exact for whole numbers
    pub total: f64,
    /// how many are not zero
    pub nonzero: u64,
    /// least and greatest value, without weight; infinite while there is none
    pub range: (f64, f64),
    /// largest size of weight times value
    pub largest: f64,
}

impl Single {
    /// No value yet.
    pub const EMPTY: Single = Single {
        moments: Moments { n: 0, mean: 0.0, m2: 0.0 },
        total: 0.0,
        nonzero: 0,
        range: (f64::INFINITY, f64::NEG_INFINITY),
        largest: 0.0,
    };

    /// Adds the values behind `right`.
    pub fn merge(&mut self, right: &Single) {
        self.moments.merge(&right.moments);
        self.total += right.total;
        self.nonzero += right.nonzero;
        self.range.0 = self.range.0.min(right.range.0);
        self.range.1 = self.range.1.max(right.range.1);
        self.largest = self.largest.max(right.largest);
    }

    /// The largest part that a single campaign has in the total, where all values have one sign:
    /// near 1 where one campaign decides the mean.
    pub fn largest_share(&self) -> Option<f64> {
        let one_sign = self.range.0 >= 0.0 || self.range.1 <= 0.0;
        (one_sign && self.total != 0.0).then(|| self.largest / self.total.abs())
    }
}

/// Numerator and denominator of a ratio column of one arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// co-moments of numerator and denominator over all campaigns that have both
    pub co: CoMoments<2>,
    /// campaigns with a denominator above zero
    pub used: u64,
    /// of these: campaigns whose numerator is not zero
    pub some: u64,
    /// of these: campaigns whose numerator is not the denominator
    pub short: u64,
    /// sums of numerator and denominator; exact for whole numbers
    pub totals: (f64, f64),
    /// greatest denominator
    pub largest: f64,
}

impl Ratio {
    /// No campaign yet.
    pub const EMPTY: Ratio = Ratio {
        co: CoMoments::EMPTY,
        used: 0,
        some: 0,
        short: 0,
        totals: (0.0, 0.0),
        largest: 0.0,
    };

    /// Adds the campaigns behind `right`.
    pub fn merge(&mut self, right: &Ratio) {
        self.co.merge(&right.co);
        self.used += right.used;
        self.some += right.some;
        self.short += right.short;
        self.totals.0 += right.totals.0;
        self.totals.1 += right.totals.1;
        self.largest = self.largest.max(right.largest);
    }
}

/// A column of two arms in the same campaigns. Differences are other less reference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// moments of the difference where both values are finite. The variance of the difference is
    /// kept and not the covariance, from which it could be had only by a subtraction that loses
    /// all digits when the two arms are alike
    pub difference: Moments,
    /// campaigns where both have a value (a miss is one)
    pub both: u64,
    /// of these: the other arm is lower
    pub lower: u64,
    /// of these: both are equal
    pub equal: u64,
}

impl Pair {
    /// No campaign yet.
    pub const EMPTY: Pair =
        Pair { difference: Moments { n: 0, mean: 0.0, m2: 0.0 }, both: 0, lower: 0, equal: 0 };

    /// Adds the campaigns behind `right`.
    pub fn merge(&mut self, right: &Pair) {
        self.difference.merge(&right.difference);
        self.both += right.both;
        self.lower += right.lower;
        self.equal += right.equal;
    }
}

/// Everything that is tallied in floating point, for some run of whole blocks.
#[derive(Clone, Debug, PartialEq)]
pub struct Tally {
    /// per arm
    pub weights: Vec<Weights>,
    /// arm by arm, column by column
    pub columns: Vec<Single>,
    /// arm by arm, extra by extra
    pub extras: Vec<Single>,
    /// arm by arm, ratio column by ratio column
    pub ratios: Vec<Ratio>,
    /// as `extras`; empty tallies where an extra is not a share of anything
    pub extra_ratios: Vec<Ratio>,
    /// pair by pair, column by column
    pub pairs: Vec<Pair>,
    /// pair by pair, ratio column by ratio column: numerator other less reference, denominator
    /// other less reference, numerator and denominator of the reference. In these terms the
    /// difference of two like ratios keeps its digits
    pub pair_ratios: Vec<CoMoments<4>>,
}

impl Tally {
    /// An empty tally of the shape of a plan.
    pub fn new(plan: &Plan) -> Tally {
        let (arms, pairs) = (plan.arms(), plan.pairs().count());
        let (columns, ratios) = (plan.columns().len(), plan.ratios().count());
        let extras = plan.extras_start(arms);
        Tally {
            weights: vec![Weights::EMPTY; arms],
            columns: vec![Single::EMPTY; arms * columns],
            extras: vec![Single::EMPTY; extras],
            ratios: vec![Ratio::EMPTY; arms * ratios],
            extra_ratios: vec![Ratio::EMPTY; extras],
            pairs: vec![Pair::EMPTY; pairs * columns],
            pair_ratios: vec![CoMoments::EMPTY; pairs * ratios],
        }
    }

    /// Adds the campaigns behind `right`, which come after those of `self`.
    pub fn merge(&mut self, right: &Tally) {
        let Tally { weights, columns, extras, ratios, extra_ratios, pairs, pair_ratios } = right;
        self.weights.iter_mut().zip(weights).for_each(|(a, b)| a.merge(b));
        self.columns.iter_mut().zip(columns).for_each(|(a, b)| a.merge(b));
        self.extras.iter_mut().zip(extras).for_each(|(a, b)| a.merge(b));
        self.ratios.iter_mut().zip(ratios).for_each(|(a, b)| a.merge(b));
        self.extra_ratios.iter_mut().zip(extra_ratios).for_each(|(a, b)| a.merge(b));
        self.pairs.iter_mut().zip(pairs).for_each(|(a, b)| a.merge(b));
        self.pair_ratios.iter_mut().zip(pair_ratios).for_each(|(a, b)| a.merge(b));
    }
}
