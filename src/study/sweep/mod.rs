//! Sweeps: the same campaign at many points of a design, and what its answers say of the factors.

pub mod answers;
pub mod design;
pub mod piece;
pub mod play;
mod points;

pub use answers::{Answers, Design, Factor, Gap, Luck, Measured, Point, Said};
pub use play::{PointResults, Progress, SweepHalt, SweepOrder};
pub use points::{Accepted, Planned, Refused, Sweep};
