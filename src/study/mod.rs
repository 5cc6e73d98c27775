//! Experiments: replicate, compare.

pub mod drivers;
pub mod experiment;
pub mod replicate;

#[cfg(test)]
mod threads;
