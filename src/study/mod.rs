//! Experiments: replicate, compare.

pub mod replicate;
