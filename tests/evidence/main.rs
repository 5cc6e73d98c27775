//! What the program is held against from outside: published values, reference libraries, and what a
//! reliability analyst knows. `runs/evidence/README.md` is made from it.
//!
//! One part at a time writes its committed copy anew, in this order:
//! `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test evidence reference::`, then `reliability::` (which holds a
//! module `reference` of its own, so that the first filter writes a part of its file), then `published::`,
//! which reads both.

#[path = "../support/mod.rs"]
mod support;

mod published;
mod reference;
mod reliability;
