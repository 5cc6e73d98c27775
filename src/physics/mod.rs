//! Physical relations: pure functions with formula, source and limits.

pub mod dust;
pub mod mixed;
