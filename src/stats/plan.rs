//! What is tallied: how many arms, which columns of the rows they leave, and how each is read.

use super::block::BLOCK;
use super::extremes::Extreme;
use std::ops::Range;
use thiserror::Error;

/// How the values of a column are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// any finite number; cells of the histogram are at most 0.4 % wide
    Amount,
    /// whole numbers; a cell of the histogram each (up to 65 535)
    Count,
    /// 0 or 1: its mean is a share of campaigns
    Flag,
    /// the worst of a campaign: a finite number, or a miss that ranks below (negative infinity)
    /// or above (infinity) every number
    Worst,
}

/// One measured column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// one value of a row as it is
    Plain {
        /// index in the values of a row
        value: usize,
        /// how it is read
        kind: Kind,
    },
    /// the quotient of two values: its mean is sum / sum, its quantiles are those of the
    /// quotients of campaigns whose denominator is above zero
    Ratio {
        /// index of the numerator in the values of a row
        numerator: usize,
        /// index of the denominator
        denominator: usize,
        /// whether the numerator counts some of what the denominator counts
        share: bool,
    },
}

/// One more number that only one arm has (a cause, an outcome): its mean is tallied, and its
/// share of a value if `over` names one. No quantiles, no pairs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extra {
    /// index of the value of a row that it is a share of
    pub over: Option<usize>,
}

/// Why a plan cannot be used.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum PlanError {
    /// a plan without arms
    #[error("a plan needs at least one arm")]
    NoArm,
    /// the mask of absent values has 128 bits
    #[error("{0} values in a row; at most 128 are possible")]
    TooManyValues(usize),
    /// an index beyond the values of a row
    #[error("column {column} reads value {value}, but a row has only {values}")]
    NoSuchValue {
        /// index of the column (extras are counted on behind the columns)
        column: usize,
        /// the value it reads
        value: usize,
        /// values in a row
        values: usize,
    },
    /// one list of extras is needed for each arm
    #[error("{found} lists of extras for {arms} arms")]
    Extras {
        /// lists given
        found: usize,
        /// arms of the plan
        arms: usize,
    },
    /// an extreme of a column that is not there
    #[error("an extreme is asked of column {0}, which the plan does not have")]
    NoSuchColumn(usize),
}

/// A checked plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    arms: usize,
    values: usize,
    columns: Vec<Column>,
    extras: Vec<Vec<Extra>>,
    extremes: Vec<Extreme>,
    inner: Option<u64>,
}

impl Plan {
    /// A plan for `arms` arms whose rows hold `values` values, with one list of extras per arm.
    ///
    /// # Errors
    /// [`PlanError`] where an index points nowhere or the mask of absent values is too short.
    pub fn new(
        arms: usize,
        values: usize,
        columns: Vec<Column>,
        extras: Vec<Vec<Extra>>,
    ) -> Result<Plan, PlanError> {
        if arms == 0 {
            return Err(PlanError::NoArm);
        }
        if values > 128 {
            return Err(PlanError::TooManyValues(values));
        }
        if extras.len() != arms {
            return Err(PlanError::Extras { found: extras.len(), arms });
        }
        let plan = Plan { arms, values, columns, extras, extremes: Vec::new(), inner: None };
        let beyond = plan.reads().find(|&(_, value)| value >= values);
        match beyond {
            Some((column, value)) => Err(PlanError::NoSuchValue { column, value, values }),
            None => Ok(plan),
        }
    }

    /// The same plan, which also remembers the campaigns where these columns are extreme.
    ///
    /// # Errors
    /// [`PlanError::NoSuchColumn`].
    pub fn with_extremes(mut self, extremes: Vec<Extreme>) -> Result<Plan, PlanError> {
        match extremes.iter().find(|e| e.column >= self.columns.len()) {
            Some(extreme) => Err(PlanError::NoSuchColumn(extreme.column)),
            None => {
                self.extremes = extremes;
                Ok(self)
            }
        }
    }

    /// The same plan for an outer loop: `inner` consecutive campaigns share a parameter set.
    pub fn with_sets(self, inner: Option<u64>) -> Plan {
        Plan { inner, ..self }
    }

    /// Campaigns of a parameter set in an outer loop.
    pub fn inner(&self) -> Option<u64> {
        self.inner
    }

    /// Blocks that some campaigns are played in. With an outer loop no block reaches over the end
    /// of a parameter set.
    pub fn blocks(&self, campaigns: u64) -> u64 {
        match self.inner {
            None => campaigns.div_ceil(BLOCK),
            Some(inner) => {
                let (sets, rest) = (campaigns / inner, campaigns % inner);
                sets * inner.div_ceil(BLOCK) + rest.div_ceil(BLOCK)
            }
        }
    }

    /// The campaigns of a block, of so many campaigns in all.
    pub fn block(&self, block: u64, campaigns: u64) -> Range<u64> {
        let (first, end) = match self.inner {
            None => (block * BLOCK, campaigns),
            Some(inner) => {
                let per = inner.div_ceil(BLOCK);
                let set = block / per;
                (set * inner + block % per * BLOCK, campaigns.min((set + 1) * inner))
            }
        };
        first..end.min(first + BLOCK)
    }

    /// The parameter sets that some blocks belong to; `None` without an outer loop, or where they
    /// begin or end within a set.
    pub fn sets_of(&self, blocks: &Range<u64>) -> Option<Range<u64>> {
        let per = self.inner?.div_ceil(BLOCK);
        let whole = blocks.start.is_multiple_of(per) && blocks.end.is_multiple_of(per);
        whole.then(|| blocks.start / per..blocks.end / per)
    }

    /// Every (column, value it reads).
    fn reads(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let columns = self.columns.iter().enumerate().flat_map(|(i, column)| match *column {
            Column::Plain { value, .. } => [(i, value), (i, value)],
            Column::Ratio { numerator, denominator, .. } => [(i, numerator), (i, denominator)],
        });
        let behind = self.columns.len();
        let extras = self.extras.iter().flat_map(move |arm| {
            arm.iter().enumerate().filter_map(move |(i, e)| Some((behind + i, e.over?)))
        });
        columns.chain(extras)
    }

    /// Number of arms.
    pub fn arms(&self) -> usize {
        self.arms
    }

    /// Number of values in a row.
    pub fn values(&self) -> usize {
        self.values
    }

    /// The measured columns.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// The extras of an arm.
    pub fn extras(&self, arm: usize) -> &[Extra] {
        &self.extras[arm]
    }

    /// Extremes to remember.
    pub fn extremes(&self) -> &[Extreme] {
        &self.extremes
    }

    /// Unordered pairs (reference, other) of arms, the reference being the earlier one.
    pub fn pairs(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let arms = self.arms;
        (0..arms).flat_map(move |i| (i + 1..arms).map(move |j| (i, j)))
    }

    /// Position of a pair in [`Plan::pairs`]; `reference` must be below `other`.
    pub fn pair_index(&self, reference: usize, other: usize) -> usize {
        assert!(reference < other && other < self.arms, "no pair ({reference}, {other})");
        reference * self.arms - reference * (reference + 1) / 2 + other - reference - 1
    }

    /// Columns that are ratios, in order, as (numerator, denominator, column).
    pub(crate) fn ratios(&self) -> impl Iterator<Item = (usize, usize, usize)> + '_ {
        self.columns.iter().enumerate().filter_map(|(i, column)| match *column {
            Column::Ratio { numerator, denominator, .. } => Some((numerator, denominator, i)),
            Column::Plain { .. } => None,
        })
    }

    /// Position of a ratio column among the ratio columns.
    pub(crate) fn ratio_index(&self, column: usize) -> Option<usize> {
        self.ratios().position(|(_, _, c)| c == column)
    }

    /// Where the extras of an arm begin when those of all arms stand in one row.
    pub(crate) fn extras_start(&self, arm: usize) -> usize {
        self.extras[..arm].iter().map(Vec::len).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_and_their_positions_agree() {
        let plan = Plan::new(5, 0, vec![], vec![vec![]; 5]).unwrap();
        let pairs: Vec<_> = plan.pairs().collect();
        assert_eq!(pairs.len(), 10);
        for (k, &(i, j)) in pairs.iter().enumerate() {
            assert_eq!(plan.pair_index(i, j), k);
        }
    }

    #[test]
    fn wrong_plans_are_refused() {
        let column = Column::Ratio { numerator: 0, denominator: 2, share: false };
        assert_eq!(Plan::new(0, 1, vec![], vec![]), Err(PlanError::NoArm));
        assert_eq!(Plan::new(1, 129, vec![], vec![vec![]]), Err(PlanError::TooManyValues(129)));
        assert_eq!(Plan::new(2, 1, vec![], vec![]), Err(PlanError::Extras { found: 0, arms: 2 }));
        let beyond = PlanError::NoSuchValue { column: 0, value: 2, values: 2 };
        assert_eq!(Plan::new(1, 2, vec![column], vec![vec![]]), Err(beyond));
        let beyond = PlanError::NoSuchValue { column: 1, value: 7, values: 3 };
        let extras = vec![vec![Extra { over: Some(7) }]];
        assert_eq!(Plan::new(1, 3, vec![column], extras), Err(beyond));
    }
}
