//! Registry of every rule: those of the reader and those of the check of the whole.

use crate::scenario::rules::rules as declare;
use crate::scenario::{READER_RULES, Rule};

declare! {
    /// Every rule that needs the whole picture.
    CHECK_RULES, Check, {
    }
}

/// Every rule in the order of the documentation.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    READER_RULES.iter().chain(CHECK_RULES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identifiers_are_unique_over_all_stages() {
        let ids: BTreeSet<_> = rules().map(|r| r.id).collect();
        assert_eq!(ids.len(), rules().count());
    }
}
