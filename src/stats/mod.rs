//! Estimation: tallies, intervals, quantiles, pairs (no domain word).
