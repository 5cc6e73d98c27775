//! Mechanism of a discrete-event simulation: what happens next. Knows nothing of the domain, draws
//! no random number and keeps no statistics.

mod calendar;

pub use calendar::{Calendar, Key};
