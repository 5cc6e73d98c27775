//! What the user wrote: one campaign file with everything it includes, read into plain records.
//!
//! No behaviour lives here and nothing is looked up: names are still text, every number is in SI
//! (or still a [`Law`](crate::base::law::Law)) and remembers where it was written ([`At`]).
//! [`crate::check`] decides whether it is coherent.

mod context;
mod files;
mod finding;
mod key;
pub mod keys;
mod law_form;
mod merge;
mod name;
mod number;
mod read;
mod review;
pub mod rules;
mod schema;
mod sources;
mod spec;
mod strict;
mod sweep;
mod table;
mod tree;
mod vocabulary;

pub use finding::*;
pub use read::{Reading, read};
pub use review::*;
pub use rules::READER_RULES;
pub use schema::{SCHEMAS, schema};
pub use spec::*;
pub use sweep::*;
pub use vocabulary::*;
