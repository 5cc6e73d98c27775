//! Shards: a study cut into pieces that are played apart, on one machine or on many, and joined to the
//! bytes that one machine would have given.
//!
//! ```text
//! units --Share K/N--> blocks of points --experiment::run_part--> PointPart --file--> K-of-N.shard
//!                                                                                         |
//!                       Results, Standing <--Joining-- PointPart of every shard <--Offered+
//! ```
//!
//! A unit is one block of 64 campaigns (or one parameter set of an outer loop) of one point of a
//! design, with all architectures. Shard K of N takes the units floor(K U/N) to floor((K+1) U/N) - 1
//! of U; for every point it leaves the maximal aligned subtrees of the block tree, so that joined nodes
//! are those that one machine would have merged. Nothing here plays anything.

mod file;
mod header;
mod offered;
mod point;
mod share;

pub use file::{Content, Packed, ShardError, is_done, name, read, write};
pub use header::{Header, Kind, Study};
pub use offered::{Accepted, Offered, array};
pub use point::{Joining, PointError, PointPart, Whole};
pub use share::{Layout, Share};

/// How a shard file is laid out; raised whenever a byte of it means something else.
pub const SCHEMA: u32 = 1;
