//! Experiments: replicate, compare.

pub mod drivers;
pub mod experiment;
pub mod replicate;
pub mod standing;

#[cfg(test)]
mod threads;
