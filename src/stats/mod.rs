//! Estimation: tallies, intervals, quantiles, pairs. Knows no word of the domain: it sees *arms*
//! that are compared, *campaigns* (replicates) that are played by every arm with the same luck,
//! and *columns* of numbers that each campaign leaves behind.
//!
//! ```text
//! rows of a campaign --Block--> Tally --Tree--> Tally -----\
//!                    --Histograms (integers) -> Histograms --> Results -> Estimate, Difference
//!                    --Extremes ------------> Extremes ---+
//!                    --SetSums--SetBooks----> Sets -------/   (with an outer loop)
//! ```
//!
//! Floating sums go through blocks of 64 campaigns and a fixed binary tree over the block index, so
//! that the result has the same bits for any number of threads. Counts add exactly in any order
//! and stay outside the tree.

pub mod beta;
pub mod block;
pub mod difference;
pub mod estimate;
pub mod extremes;
pub mod histogram;
pub mod interval;
mod lanes;
pub mod moments;
mod noise;
pub mod part;
pub mod plan;
pub mod quantile;
mod quotient;
pub mod results;
pub mod risk;
pub mod rows;
pub mod sets;
pub mod share;
pub mod shift;
pub mod tally;
pub mod tree;
pub mod wire;

pub use block::{BLOCK, Block};
pub use difference::Difference;
pub use estimate::Estimate;
pub use extremes::{Extreme, Extremes, Side};
pub use histogram::{Bins, Cell, Histogram, Histograms};
pub use part::{JoinError, Joined, Part};
pub use plan::{Column, Extra, Kind, Plan, PlanError};
pub use quantile::Quantile;
pub use results::Results;
pub use risk::{Point, Risk};
pub use rows::{CampaignRows, Row, RowMut};
pub use sets::{SetBooks, SetSums, Sets, SetsPart};
pub use tally::Tally;
pub use tree::{Merge, Node, Tree};
pub use wire::{Reader, Wire, WireError};

#[cfg(test)]
mod coverage;
#[cfg(test)]
pub(crate) mod laws;
