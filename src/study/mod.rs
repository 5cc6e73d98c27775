//! Experiments: replicate, compare.
