//! What a sweep leaves for those who work out sensitivities and crossings: the points of the design
//! and, by architecture and measure, what was estimated at each of them.
//!
//! Plain numbers: nothing here knows how a point was played.

/// How the points of a sweep lie, in the order in which they stand in [`Answers::points`].
#[derive(Clone, Debug, PartialEq)]
pub enum Design {
    /// Every combination of the levels of the factors; the last factor moves fastest.
    Grid {
        /// levels of each factor
        levels: Vec<usize>,
    },
    /// Point 0 is the base campaign as its files say; then, factor by factor, one point for each level
    /// of that factor, the lowest first, while all others stay as in the base.
    OneAtATime {
        /// levels of each factor
        levels: Vec<usize>,
    },
    /// Points of a Latin hypercube: independent of each other but for one point in every stratum.
    LatinHypercube,
    /// Points of a scrambled Sobol' sequence.
    Sequence,
    /// Trajectories of elementary effects, each of k + 1 points (k factors) one after the other; from a
    /// point to the next exactly one factor changes, by `step` up or down.
    Trajectories {
        /// number of trajectories
        count: usize,
        /// levels of each factor, p
        levels: usize,
        /// p / (2 (p - 1)), in the unit cube
        step: f64,
    },
    /// Rows of Saltelli's design, k + 2 points each (2k + 2 with second order), one row after the other:
    /// a, b, then a with factor i from b for every i, then (second order) b with factor i from a.
    Saltelli {
        /// number of rows, N
        rows: usize,
        /// whether b with factor i from a is there
        second_order: bool,
    },
}

impl Design {
    /// Points of the design with so many factors; `None` where any number is possible.
    pub fn points(&self, factors: usize) -> Option<usize> {
        match self {
            Design::Grid { levels } => Some(levels.iter().product()),
            Design::OneAtATime { levels } => Some(1 + levels.iter().sum::<usize>()),
            Design::LatinHypercube | Design::Sequence => None,
            Design::Trajectories { count, .. } => Some(count * (factors + 1)),
            Design::Saltelli { rows, second_order } => {
                Some(rows * (factors * (1 + usize::from(*second_order)) + 2))
            }
        }
    }
}

/// Which luck the points are played on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Luck {
    /// Campaign j has the same luck at every point: simulation noise of two points is correlated, most of
    /// it drops out of differences, and the luck counts as one more factor that is held fixed.
    Common,
    /// Every point has a seed of its own: simulation noise of two points is independent.
    Own,
}

/// Where one point lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// by factor: position from 0 to 1 in its range, law or list; `None`: as the base campaign says
    pub unit: Vec<Option<f64>>,
    /// by factor: the number that was set, in the unit of the factor; `None` where it is no number (a
    /// name, a whole table) or is as in the base
    pub value: Vec<Option<f64>>,
}

/// What is said of one measure of one architecture at one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said {
    /// mean over campaigns, or ratio of sums
    pub mean: f64,
    /// variance of the mean: the simulation noise; `None` where it is not estimable
    pub var_of_mean: Option<f64>,
    /// campaigns in it
    pub n: u64,
}

/// Paired difference of two architectures at one point, the later in the file less the earlier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// mean of the difference
    pub mean: f64,
    /// variance of the mean of the difference (both play the same luck)
    pub var_of_mean: Option<f64>,
    /// campaigns in it
    pub n: u64,
}

/// What is measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// name of the measure
    pub name: String,
    /// its unit; empty for counts and shares
    pub unit: String,
    /// whether its mean is a probability (analysts look at its logarithm as well)
    pub probability: bool,
}

/// One factor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Factor {
    /// name in the sweep file
    pub name: String,
    /// unit of its values; empty for pure numbers and for what is no number
    pub unit: String,
    /// for a list or a choice: what its levels are called, in order of the position in the unit cube;
    /// empty for ranges and laws
    pub levels: Vec<String>,
}

/// Everything a sweep estimated.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// how the points lie
    pub design: Design,
    /// luck of the points
    pub luck: Luck,
    /// factors in the order of the file
    pub factors: Vec<Factor>,
    /// architectures in the order of the campaign
    pub architectures: Vec<String>,
    /// measures of interest
    pub measures: Vec<Measured>,
    /// the points
    pub points: Vec<Point>,
    /// by architecture, then measure ([`Answers::said`]): one entry for each point; `None` where the mean
    /// is not estimable
    pub said: Vec<Vec<Option<Said>>>,
    /// by pair (reference, other) with reference < other, then measure ([`Answers::gaps`])
    pub gaps: Vec<Vec<Option<Gap>>>,
}

impl Answers {
    /// Estimates of a measure of an architecture, point by point.
    pub fn said(&self, architecture: usize, measure: usize) -> &[Option<Said>] {
        &self.said[architecture * self.measures.len() + measure]
    }

    /// Pairs of architectures (reference, other) in the order of [`Answers::gaps`].
    pub fn pairs(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let n = self.architectures.len();
        (0..n).flat_map(move |i| (i + 1..n).map(move |j| (i, j)))
    }

    /// Differences of a measure for the pair with this place in [`Answers::pairs`], point by point.
    pub fn gaps(&self, pair: usize, measure: usize) -> &[Option<Gap>] {
        &self.gaps[pair * self.measures.len() + measure]
    }

    /// Positions in the unit cube, row by row; `NaN` where a factor is as the base campaign says (only one
    /// at a time has such).
    pub fn unit_cube(&self) -> Vec<f64> {
        let all = self.points.iter().flat_map(|p| &p.unit);
        all.map(|u| u.unwrap_or(f64::NAN)).collect()
    }
}
