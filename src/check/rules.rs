//! Registry of every rule: those of the reader and those of the check of the whole.

use crate::scenario::{READER_RULES, Rule};

/// Every rule in the order of the documentation.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    READER_RULES.iter()
}
