//! Simulation noise: the variance of an estimated mean, for those who compare many experiments.

use super::difference::variance_of_ratios;
use super::plan::{Column, Kind};
use super::results::Results;
use super::share::linearised_variance;

impl Results {
    /// Variance of the mean (of a ratio: by linearisation) of a column of an arm whose campaigns are
    /// independent. `None` where it is not estimable: too few campaigns, misses, or a flag or count of
    /// which none was seen (its variance is not 0, it is not known).
    pub fn var_of_mean(&self, arm: usize, column: usize) -> Option<f64> {
        match self.plan.columns()[column] {
            Column::Plain { kind, .. } => {
                let (single, histogram) =
                    (self.column(arm, column), self.histograms.get(arm, column));
                let (below, above) = histogram.misses();
                let unseen = single.nonzero == 0 && matches!(kind, Kind::Flag | Kind::Count);
                if below + above > 0 || unseen {
                    return None;
                }
                single.moments.standard_error().map(|e| e * e)
            }
            Column::Ratio { .. } => {
                linearised_variance(&self.tally.ratios[self.ratio_at(arm, column)])
                    .filter(|v| v.is_finite())
            }
        }
    }

    /// Variance of the paired difference of a column, `other` less `reference`; `None` where it is not
    /// estimable (as [`Results::var_of_mean`]; of flags also where no campaign differs).
    ///
    /// # Panics
    /// Unless `reference` < `other` < number of arms.
    pub fn var_of_difference(&self, reference: usize, other: usize, column: usize) -> Option<f64> {
        let at = self.plan.pair_index(reference, other);
        let pair = &self.tally.pairs[at * self.plan.columns().len() + column];
        match self.plan.columns()[column] {
            Column::Plain { kind, .. } => {
                let misses = pair.both - pair.difference.n;
                let unseen = pair.equal == pair.both && kind == Kind::Flag;
                if misses > 0 || unseen {
                    return None;
                }
                pair.difference.standard_error().map(|e| e * e)
            }
            Column::Ratio { .. } => {
                variance_of_ratios(&self.tally.pair_ratios[self.ratio_at(at, column)])
            }
        }
    }
}
