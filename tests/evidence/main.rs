//! What the program is held against from outside: published values, reference libraries, and what a
//! reliability analyst knows. `runs/evidence/README.md` is made from it.
//!
//! One part at a time writes its committed copy anew, `reliability` and `reference` before `published`,
//! which reads theirs: `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test evidence reliability::`, then
//! `reference::`, then `published::`.

#[path = "../support/mod.rs"]
mod support;

mod published;
mod reference;
mod reliability;
