//! Is it coherent: every finding at once.

pub mod rules;

pub use crate::scenario::{AppliedBy, Finding, Level, Rule};
