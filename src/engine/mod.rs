//! Mechanism: time and calendar (no domain word).
