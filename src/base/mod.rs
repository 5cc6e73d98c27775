//! What knows nothing of the domain: quantities with units, laws of numbers, streams of luck, typed
//! indices, the calendar of a discrete-event simulation.

pub mod calendar;
pub mod ids;
pub mod law;
pub mod set;
pub mod stream;
pub mod text;
pub mod units;
