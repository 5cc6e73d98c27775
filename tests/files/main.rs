//! Files: what the user writes (read, refused, answered), what is shipped (runs, README) and the shape
//! of the source.

#[path = "../support/mod.rs"]
mod support;

#[path = "../support/prose.rs"]
mod prose;

mod answers;
mod homes;
mod layering;
mod map;
mod reading;
mod readme;
mod rejects;
mod runs;
mod sweeps;
mod vocabulary;
mod words;
