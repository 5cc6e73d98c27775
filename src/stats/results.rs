//! All that was tallied, and the questions it answers.

use super::block::Block;
use super::difference::{self, Difference};
use super::estimate::{self, Estimate};
use super::extremes::Extremes;
use super::histogram::Histograms;
use super::plan::{Column, Kind, Plan};
use super::quantile::{Quantile, quantile};
use super::rows::CampaignRows;
use super::sets::{SetBooks, SetSums, Sets};
use super::tally::{Single, Tally, Weights};
use super::tree::Tree;

/// The tallies of an experiment with the plan that says what they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Results {
    /// what was tallied
    pub plan: Plan,
    /// sums and moments
    pub tally: Tally,
    /// counts by cell
    pub histograms: Histograms,
    /// example campaigns
    pub extremes: Extremes,
    /// parameter sets of an outer loop
    pub sets: Option<Box<Sets>>,
}

impl Results {
    /// Tallies campaigns 0 to `campaigns` - 1, whose rows `fill` fills, one after the other in
    /// this thread: by definition the bytes that any number of threads must give.
    pub fn in_order(
        plan: &Plan,
        campaigns: u64,
        mut fill: impl FnMut(u64, &mut CampaignRows),
    ) -> Results {
        let mut rows = CampaignRows::new(plan);
        let mut books = Block::new(plan);
        let mut tree = Tree::new(plan);
        let mut sets = SetBooks::new(plan).map(|books| (SetSums::new(plan), books));
        for block in 0..plan.blocks(campaigns) {
            let range = plan.block(block, campaigns);
            for campaign in range.clone() {
                rows.clear();
                fill(campaign, &mut rows);
                books.add(campaign, &rows);
                sets.iter_mut().for_each(|(sums, _)| sums.add(&rows));
            }
            let mut tally = tree.take_spare();
            books.close_into(&mut tally);
            tree.insert(block, tally);
            if let Some((sums, books)) = &mut sets {
                books.take(sums, range.end - range.start);
                sums.clear();
            }
        }
        let Block { histograms, extremes, .. } = books;
        let sets = sets.map(|(_, books)| Box::new(books.finish()));
        Results { plan: plan.clone(), tally: tree.finish(), histograms, extremes, sets }
    }

    /// Number of campaigns every arm has played.
    pub fn campaigns(&self) -> u64 {
        self.tally.weights[0].n
    }

    /// Weights of an arm.
    pub fn weights(&self, arm: usize) -> &Weights {
        &self.tally.weights[arm]
    }

    /// Tally of a column of an arm (for a ratio: of the quotients of campaigns).
    pub fn column(&self, arm: usize, column: usize) -> &Single {
        &self.tally.columns[arm * self.plan.columns().len() + column]
    }

    /// Tally of an extra of an arm.
    pub fn extra(&self, arm: usize, extra: usize) -> &Single {
        &self.tally.extras[self.plan.extras_start(arm) + extra]
    }

    /// Estimate of a column of an arm.
    pub fn estimate(&self, arm: usize, column: usize) -> Estimate {
        let (single, weighted) = (self.column(arm, column), self.weights(arm).weighted);
        let histogram = self.histograms.get(arm, column);
        let (estimate, ratio) = match self.plan.columns()[column] {
            Column::Plain { kind, .. } => {
                (estimate::of_column(single, histogram, kind, weighted), false)
            }
            Column::Ratio { share, .. } => {
                let ratio = &self.tally.ratios[self.ratio_at(arm, column)];
                (estimate::of_ratio(ratio, single, histogram, share, weighted), true)
            }
        };
        match &self.sets {
            Some(sets) => sets.estimate(arm, column, estimate, ratio, weighted),
            None => estimate,
        }
    }

    /// Any other quantile of a column of an arm, 0 < q < 1.
    pub fn quantile(&self, arm: usize, column: usize, q: f64) -> Quantile {
        if self.weights(arm).weighted {
            return Quantile::unknown(q, "no quantiles of weighted campaigns");
        }
        quantile(self.histograms.get(arm, column), self.column(arm, column).range, q)
    }

    /// Estimate of the mean of an extra of an arm.
    pub fn estimate_extra(&self, arm: usize, extra: usize) -> Estimate {
        let estimate = estimate::of_extra(self.extra(arm, extra), self.weights(arm).weighted);
        match &self.sets {
            Some(sets) => sets.extra(arm, extra, estimate),
            None => estimate,
        }
    }

    /// Estimate of the share of an extra in the value it is a share of; `None` if the plan names
    /// no such value.
    pub fn estimate_extra_share(&self, arm: usize, extra: usize) -> Option<Estimate> {
        self.extra_over(arm, extra, true)
    }

    /// Estimate of an extra over the value that the plan names, where it is no share of it (minutes
    /// per sortie); `None` if the plan names no such value.
    pub fn estimate_extra_ratio(&self, arm: usize, extra: usize) -> Option<Estimate> {
        self.extra_over(arm, extra, false)
    }

    fn extra_over(&self, arm: usize, extra: usize, share: bool) -> Option<Estimate> {
        self.plan.extras(arm)[extra].over?;
        if let Some(sets) = &self.sets {
            return sets.extra_over(arm, extra, share);
        }
        let ratio = &self.tally.extra_ratios[self.plan.extras_start(arm) + extra];
        Some(estimate::of_extra_ratio(ratio, share, self.weights(arm).weighted))
    }

    /// Difference of a column, `other` less `reference`; the reference is the earlier arm.
    ///
    /// # Panics
    /// Unless `reference` < `other` < number of arms.
    pub fn compare(&self, reference: usize, other: usize, column: usize) -> Difference {
        let pair = self.plan.pair_index(reference, other);
        let counts = &self.tally.pairs[pair * self.plan.columns().len() + column];
        let weighted = self.weights(reference).weighted || self.weights(other).weighted;
        let (difference, kind) = match self.plan.columns()[column] {
            Column::Plain { kind, .. } => {
                let singles = [reference, other].map(|arm| self.column(arm, column));
                let flag = kind == Kind::Flag;
                (difference::of_column(counts, singles, flag, weighted), Some(kind))
            }
            Column::Ratio { .. } => {
                let ratios = [reference, other].map(|arm| self.ratio_at(arm, column));
                let ratios = ratios.map(|at| &self.tally.ratios[at]);
                let co = &self.tally.pair_ratios[self.ratio_at(pair, column)];
                (difference::of_ratio(co, counts, ratios, weighted), None)
            }
        };
        let all = counts.both == self.campaigns();
        match &self.sets {
            Some(sets) => {
                sets.compare([reference, other], column, difference, counts, all, weighted, kind)
            }
            None => difference,
        }
    }

    /// Where the ratio of a column stands for an arm (or a pair).
    pub(super) fn ratio_at(&self, arm: usize, column: usize) -> usize {
        let position = self.plan.ratio_index(column).expect("the column is a ratio");
        arm * self.plan.ratios().count() + position
    }
}
