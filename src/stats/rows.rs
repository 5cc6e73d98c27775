//! What one campaign leaves behind: a row of numbers for every arm.

use super::plan::Plan;

/// The rows of one campaign, one per arm. Cleared and filled again; never reallocated.
#[derive(Clone, Debug)]
pub struct CampaignRows {
    width: usize,
    values: Vec<f64>,
    absent: Vec<u128>,
    weights: Vec<f64>,
    extras: Vec<f64>,
    /// where the extras of each arm begin, with the end of the last one behind
    starts: Vec<usize>,
}

/// One arm's row, to read.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// values in the order of the plan; one whose bit in `absent` is set means nothing
    pub values: &'a [f64],
    /// bit i set: value i is absent in this campaign
    pub absent: u128,
    /// the numbers only this arm has
    pub extras: &'a [f64],
    /// weight of the campaign (1 in plain play)
    pub weight: f64,
}

impl Row<'_> {
    /// Value i, or `None` where it is absent.
    #[inline]
    pub fn get(&self, i: usize) -> Option<f64> {
        // in most rows nothing is absent, and a shift of 128 bits is not cheap
        let there = self.absent == 0 || self.absent >> i & 1 == 0;
        there.then(|| self.values[i])
    }
}

/// One arm's row, to fill.
#[derive(Debug)]
pub struct RowMut<'a> {
    /// values in the order of the plan; not-a-number until they are set
    pub values: &'a mut [f64],
    /// bit i to be set where value i is absent in this campaign
    pub absent: &'a mut u128,
    /// the numbers only this arm has; 0 until they are set
    pub extras: &'a mut [f64],
    /// weight of the campaign; 1 until it is set
    pub weight: &'a mut f64,
}

impl CampaignRows {
    /// Rows of the shape of a plan, cleared.
    pub fn new(plan: &Plan) -> CampaignRows {
        let starts: Vec<usize> = (0..=plan.arms()).map(|a| plan.extras_start(a)).collect();
        let mut rows = CampaignRows {
            width: plan.values(),
            values: vec![0.0; plan.arms() * plan.values()],
            absent: vec![0; plan.arms()],
            weights: vec![1.0; plan.arms()],
            extras: vec![0.0; starts[plan.arms()]],
            starts,
        };
        rows.clear();
        rows
    }

    /// Makes ready for the next campaign. Values become not-a-number, so that one that is never
    /// set is found out instead of being taken for a zero.
    pub fn clear(&mut self) {
        self.values.fill(f64::NAN);
        self.absent.fill(0);
        self.weights.fill(1.0);
        self.extras.fill(0.0);
    }

    /// Makes ready to be added to: every value is 0.
    pub fn zero(&mut self) {
        self.clear();
        self.values.fill(0.0);
    }

    /// Number of arms.
    pub fn arms(&self) -> usize {
        self.absent.len()
    }

    /// The row of an arm.
    pub fn row(&self, arm: usize) -> Row<'_> {
        Row {
            values: &self.values[arm * self.width..(arm + 1) * self.width],
            absent: self.absent[arm],
            extras: &self.extras[self.starts[arm]..self.starts[arm + 1]],
            weight: self.weights[arm],
        }
    }

    /// The row of an arm, to fill.
    pub fn row_mut(&mut self, arm: usize) -> RowMut<'_> {
        RowMut {
            values: &mut self.values[arm * self.width..(arm + 1) * self.width],
            absent: &mut self.absent[arm],
            extras: &mut self.extras[self.starts[arm]..self.starts[arm + 1]],
            weight: &mut self.weights[arm],
        }
    }
}
