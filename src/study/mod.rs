//! Experiments: replicate, compare.

pub mod drivers;
pub mod experiment;
pub mod replicate;
pub mod sensitivity;
pub mod shard;
pub mod standing;
pub mod sweep;
pub mod value;

#[cfg(test)]
mod threads;
