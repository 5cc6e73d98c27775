//! What is kept of a run for its decision: of every parameter set the sums of the measures that the
//! decision goes by, over all of its campaigns and over every second one. Fed campaign by campaign, in
//! order; memory grows with the sets, not with their campaigns.

use crate::measure::{MEASURES, Read};
use crate::model::{Goes, Model};
use crate::stats::CampaignRows;
use crate::study::experiment::facts;

/// Numerator and denominator over the even and the odd campaigns of a set.
type Halves = [[f64; 2]; 2];

/// The books.
#[derive(Clone, Debug)]
pub struct Books {
    inner: u64,
    arms: Vec<usize>,
    columns: Vec<usize>,
    /// campaigns of the set at hand
    in_set: u64,
    /// sets x architectures x columns, the set at hand last
    sums: Vec<Halves>,
}

impl Books {
    /// Empty books; `None` without a decision or without parameter sets.
    pub fn new(model: &Model) -> Option<Books> {
        let (decision, inner) = (model.review.decision.as_ref()?, model.inner?);
        let columns = match decision.goes {
            Goes::ByTotal(r) => model.review.rankings[r].columns.clone(),
            Goes::ByLimit(l) => vec![model.review.limits[l].column],
        };
        let arms = decision.arms.clone();
        Some(Books { inner, arms, columns, in_set: 0, sums: Vec::new() })
    }

    /// Adds a campaign.
    pub fn take(&mut self, rows: &CampaignRows) {
        let cells = self.arms.len() * self.columns.len();
        if self.in_set == 0 {
            self.sums.resize(self.sums.len() + cells, Halves::default());
        }
        let half = (self.in_set % 2) as usize;
        let from = self.sums.len() - cells;
        for (a, arm) in self.arms.iter().enumerate() {
            let f = facts(rows, *arm);
            for (c, column) in self.columns.iter().enumerate() {
                let parts = match MEASURES[*column].read {
                    Read::Of(fact) => f.get(fact).map(|x| [x, 1.0]),
                    Read::Ratio(n, d) => f.get(n).zip(f.get(d)).map(|(n, d)| [n, d]),
                };
                if let Some(parts) = parts {
                    let sum = &mut self.sums[from + a * self.columns.len() + c][half];
                    sum.iter_mut().zip(parts).for_each(|(sum, x)| *sum += x);
                }
            }
        }
        self.in_set = (self.in_set + 1) % self.inner;
    }

    /// Number of sets.
    pub fn sets(&self) -> u64 {
        let cells = self.arms.len() * self.columns.len();
        (self.sums.len() / cells) as u64
    }

    /// The sums of every set as plain numbers, four for each architecture and measure: for a file that
    /// [`Books::extend`] reads.
    pub fn numbers(&self) -> impl Iterator<Item = f64> + '_ {
        self.sums.iter().flatten().flatten().copied()
    }

    /// Adds the sets that follow, as [`Books::numbers`] gave them; false if they are not whole sets.
    pub fn extend(&mut self, numbers: &[f64]) -> bool {
        let cells = self.arms.len() * self.columns.len();
        let whole = self.in_set == 0 && numbers.len().is_multiple_of(4 * cells);
        if whole {
            let halves = numbers.chunks_exact(4).map(|x| [[x[0], x[1]], [x[2], x[3]]]);
            self.sums.extend(halves);
        }
        whole
    }

    /// Mean of a measure of an architecture (by their places in the decision) in a set, and its error: half
    /// the difference of the even and the odd campaigns, scaled to the size of both. The error is NaN
    /// where a half has no value.
    pub(super) fn mean(&self, set: usize, arm: usize, column: usize) -> Option<(f64, f64)> {
        let cells = self.arms.len() * self.columns.len();
        let [even, odd] = self.sums[set * cells + arm * self.columns.len() + column];
        let quotient = |[n, d]: [f64; 2]| (d > 0.0 && n.is_finite()).then(|| n / d);
        let mean = quotient([even[0] + odd[0], even[1] + odd[1]])?;
        let (n, m) = (self.inner.div_ceil(2) as f64, (self.inner / 2) as f64);
        // Var((x - y) / 2) of halves of n and m is (1/n + 1/m) / 4 of that of one, not 1 / (n + m).
        let scale = 2.0 * (n * m).sqrt() / (n + m);
        let error = quotient(even).zip(quotient(odd)).map(|(x, y)| 0.5 * scale * (x - y));
        Some((mean, error.unwrap_or(f64::NAN)))
    }
}
