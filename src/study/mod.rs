//! Experiments: replicate, compare.

pub mod replicate;

#[cfg(test)]
mod threads;
