//! What the user wrote: one campaign file with everything it includes, read into plain records.
//!
//! No behaviour lives here and nothing is looked up: names are still text, every number is in SI
//! (or still a [`Law`]) and remembers where it was written ([`At`]). [`crate::check`] decides
//! whether it is coherent.

mod spec;
mod vocabulary;

pub use spec::*;
pub use vocabulary::*;
