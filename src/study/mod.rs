//! Experiments: replicate, compare.

pub mod experiment;
pub mod replicate;

#[cfg(test)]
mod threads;
