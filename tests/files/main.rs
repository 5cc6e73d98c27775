//! Files: what the user writes (read, refused, answered), what is shipped (runs, README) and the shape
//! of the source.

#[path = "../support/mod.rs"]
mod support;

mod answers;
mod layering;
mod reading;
mod readme;
mod rejects;
mod runs;
mod sweeps;
mod vocabulary;
