//! Registry of every rule: those of the reader and those of the check of the whole.

use crate::scenario::rules::rules as declare;
use crate::scenario::{READER_RULES, Rule};

declare! {
    /// Every rule that needs the whole picture.
    CHECK_RULES, Check, {
    UNKNOWN_NAME = "unknown-name" Error:
        "every name stands for something that is there";
        "write a name that exists"
    AMBIGUOUS_NAME = "ambiguous-name" Error:
        "a name stands for one thing";
        "say which one is meant"
    BERTH = "berth" Error:
        "a suit interface needs a gap with a port hatch and a suit hatch";
        "declare gap, interface, port hatch and suit hatch with the same count"
    SUIT_PLACE = "suit-place" Error:
        "every suit has one place where it is kept";
        "write a port with enough berths, `PORT.VOLUME` or `ELEMENT.cabin`"
    ROW_ON = "row-on" Error:
        "an action acts on the kind of thing it is for";
        "name a part the action can act on"
    CONDITION = "condition" Error:
        "conditions come from a closed list";
        "see `vestibule list conditions`"
    USE_DEPTH = "use-depth" Error:
        "`use` is one level deep";
        "write the rows out"
    USE_EMPTY = "use-empty" Error:
        "a `use` plays at least one row";
        "let `until` come after `after`"
    USE_WHO = "use-who" Error:
        "`who` of a `use` is one of the person words";
        "write one of the person words"
    WAY_ORDER = "way-order" Error:
        "each way back is tried once, in one place of the order";
        "name each way once"
    WAY_UNNAMED = "way-unnamed" Error:
        "a way back that no architecture orders is never tried";
        "add it to `ways_back`, or take it out of the access file"
    LIST_PAIR = "list-pair" Error:
        "who goes out by a list comes in by its counterpart";
        "write both lists, or neither"
    LIST_END = "list-end" Error:
        "egress ends outside, ingress and ways back end unsuited in a habitable volume";
        "add the rows that are missing at the end"
    LIST_REST = "list-rest" Error:
        "a list leaves volumes and openings at rest";
        "add rows that close, open or repressurise what is left"
    ROW_BROKEN = "row-broken" Error:
        "every row keeps the interlocks when the list is walked dry";
        "put the rows that make it possible before it"
    NO_ABORT = "no-abort" Warning:
        "when an egress row fails, the ingress list must lead back to rest";
        "order the ingress rows so that a tail of them fits every state of egress"
    WAY_START = "way-start" Error:
        "a way back starts where an ingress row can leave people";
        "correct `from`"
    NO_RESTORE = "no-restore" Error:
        "what a way back leaves astray is put at rest by `restore`";
        "write `[list] restore = [..]` rows, played by crew inside"
    ROW_NO_WAY = "row-no-way" Warning:
        "every ingress row that can fail leaves people where a way back starts";
        "add a way back that starts there"
    }
}

/// A rule by its id; the ids in [`crate::layout`] are all here (a test reads them).
pub fn by_id(id: &str) -> &'static Rule {
    rules().find(|r| r.id == id).unwrap_or(&UNKNOWN_NAME)
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
