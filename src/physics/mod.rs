//! Physical relations: pure functions with formula, source and limits.
