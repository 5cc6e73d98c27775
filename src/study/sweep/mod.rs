//! Sweeps: the same campaign at many points of a design, and what its answers say of the factors.

pub mod answers;

pub use answers::{Answers, Design, Factor, Gap, Luck, Measured, Point, Said};
