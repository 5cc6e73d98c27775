//! What a result depends on: estimators on outputs of designed runs. Pure functions on slices; no
//! word of the domain, no file, no clock.
//!
//! Runs are simulations, so an output carries noise, of which its squared standard error is known.
//! Every index stands beside its noise floor: what an index of a factor without any effect stays
//! below with 95 % chance. Where luck is independent from run to run, noise is also taken out of
//! the indices that it moves ([`sobol`]); where all runs share their luck it is one more fixed
//! factor, nothing is taken out, and the floor is that of independent luck, an upper bound.
//!
//! | file | what |
//! |---|---|
//! | [`sobol`] | first-order and total indices from Saltelli blocks |
//! | [`effects`] | elementary effects |
//! | [`regression`] | standardised and rank regression, partial rank correlation |
//! | [`swing`] | one at a time: from the low end of a range to the high end |
//! | [`crossing`] | where two curves cross |
//! | [`found`] | all indices that the design of a sweep allows |

pub mod crossing;
pub mod effects;
pub mod found;
pub mod regression;
pub mod sobol;
pub mod swing;

#[cfg(test)]
mod functions;
#[cfg(test)]
mod tests;

pub use super::sweep::answers::Luck;

use crate::stats::beta::normal_z;
use crate::stats::interval::OUTSIDE;

/// Outputs of some runs.
#[derive(Clone, Copy, Debug)]
pub struct Runs<'a> {
    /// One output a run; one that is not finite is missing.
    pub y: &'a [f64],
    /// Squared standard errors, parallel; empty: outputs without noise.
    pub noise: &'a [f64],
}

impl<'a> Runs<'a> {
    /// Outputs that are certain.
    pub fn certain(y: &'a [f64]) -> Runs<'a> {
        Runs { y, noise: &[] }
    }

    /// Squared standard error of a run; 0 without noise.
    fn noise(&self, run: usize) -> f64 {
        self.noise.get(run).copied().unwrap_or(0.0)
    }

    /// Has the run an output, with its noise?
    fn has(&self, run: usize) -> bool {
        self.y[run].is_finite() && self.noise(run).is_finite()
    }
}

/// An index with its 95 % interval. An empty part is not estimable: `note` says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Index {
    /// the index
    pub value: Option<f64>,
    /// lower limit
    pub low: Option<f64>,
    /// upper limit
    pub high: Option<f64>,
    /// The noise floor: what the size of the index of a factor without any effect stays below with
    /// 95 % chance, as far as simulation noise goes.
    pub floor: Option<f64>,
    /// runs (rows, effects) that went into it
    pub n: u64,
    /// how the interval was had
    pub method: &'static str,
    /// what a reader has to know; empty if nothing
    pub note: String,
}

/// What is said of an index that noise alone could give.
pub const BELOW_FLOOR: &str =
    "below the noise floor: not distinguishable from a factor without effect";
/// The same where runs share their luck, so that the floor is an upper bound.
pub const BELOW_BOUND: &str =
    "within what independent random numbers would give a factor without effect";

impl Index {
    /// Not estimable.
    pub fn unknown(n: u64, note: impl Into<String>) -> Index {
        let note = note.into();
        Index { value: None, low: None, high: None, floor: None, n, method: "not estimable", note }
    }

    /// Is it within what noise alone could give? `None` where that is not known.
    pub fn below_floor(&self) -> Option<bool> {
        Some(self.value?.abs() <= self.floor? && self.floor? > 0.0)
    }

    /// Adds a sentence to the note.
    pub fn add_note(&mut self, more: &str) {
        if !more.is_empty() && !self.note.contains(more) {
            if !self.note.is_empty() {
                self.note.push_str("; ");
            }
            self.note.push_str(more);
        }
    }

    /// Says so where noise alone could give it.
    fn judged(mut self, luck: Luck) -> Index {
        if self.below_floor() == Some(true) {
            self.add_note(match luck {
                Luck::Own => BELOW_FLOOR,
                Luck::Common => BELOW_BOUND,
            });
        }
        self
    }
}

/// 95 % quantile of a standard normal: of what noise alone gives, 5 % lie above.
fn one_sided() -> f64 {
    normal_z(2.0 * OUTSIDE)
}

/// 97.5 % quantile of a standard normal.
fn two_sided() -> f64 {
    normal_z(OUTSIDE)
}

/// Outputs and squared standard errors on the scale log10 y: s becomes s / (y ln 10), to first
/// order.
///
/// # Errors
/// Why there is no logarithm: some runs have an output of 0 or less. To leave them out would leave
/// out the best designs, so there is no index then.
pub fn log10(runs: Runs) -> Result<(Vec<f64>, Vec<f64>), String> {
    let none = runs.y.iter().filter(|y| **y <= 0.0).count();
    if none > 0 {
        return Err(format!("{none} of {} runs are 0: no logarithm; play more", runs.y.len()));
    }
    let y = runs.y.iter().map(|y| y.log10()).collect();
    let error = |(y, v): (&f64, &f64)| v / (y * std::f64::consts::LN_10).powi(2);
    Ok((y, runs.y.iter().zip(runs.noise).map(error).collect()))
}

/// Ranks of the values from 1 on by size, the largest first; equal ones share the least rank.
pub fn order(values: &[Option<f64>]) -> Vec<Option<u64>> {
    let size = |x: &Option<f64>| x.map(f64::abs);
    let rank = |x: f64| 1 + values.iter().filter_map(size).filter(|y| *y > x).count() as u64;
    values.iter().map(|x| size(x).map(rank)).collect()
}
