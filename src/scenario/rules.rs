//! Rules that the reader applies. [`crate::check`] adds those that need the whole picture.

/// Declares rules as constants and lists all of them in one slice.
macro_rules! rules {
    ($(#[$meta:meta])* $list:ident, $by:ident, {
        $($name:ident = $id:literal $severity:ident : $meaning:literal ; $remedy:literal)*
    }) => {
        $(#[doc = $meaning] pub const $name: $crate::scenario::Rule = $crate::scenario::Rule {
            id: $id,
            severity: $crate::scenario::Level::$severity,
            by: $crate::scenario::AppliedBy::$by,
            meaning: $meaning,
            remedy: $remedy,
        };)*
        $(#[$meta])*
        pub const $list: &[$crate::scenario::Rule] = &[$($name),*];
    };
}
pub(crate) use rules;

rules! {
    /// Every rule of the reader.
    READER_RULES, Reader, {
    TOML_SYNTAX = "toml-syntax" Error:
        "files are TOML 1.0";
        "correct the line; nothing else in the files was read"
    FILE_UNREADABLE = "file-unreadable" Error:
        "every file named must be a readable UTF-8 text file";
        "correct the name, or put the file there"
    INCLUDE_OUTSIDE = "include-outside" Error:
        "`include` reads only files below the campaign's folder or the catalogue folder";
        "copy the file below the campaign's folder and include it by its relative path"
    INCLUDE_CYCLE = "include-cycle" Error:
        "a file cannot include itself, directly or through others";
        "take this entry out of `include`"
    DUPLICATE_NAME = "duplicate-name" Error:
        "every entry is written once over all files";
        "rename or remove one of the two"
    MIXED_FILE = "mixed-file" Error:
        "an access file holds volume, opening, pump, stage, law, list and nothing else";
        "put the access system into a file of its own and include it"
    UNKNOWN_KEY = "unknown-key" Error:
        "an unknown key would be ignored, so it is refused";
        "correct or remove the key"
    MISSING_KEY = "missing-key" Error:
        "a key without a default must be written";
        "add the key"
    WRONG_TYPE = "wrong-type" Error:
        "every key takes one kind of value";
        "write the value in the form that the key takes"
    BARE_NUMBER = "bare-number" Error:
        "a quantity with a dimension is a string with its unit, never a bare number";
        "write the number with its unit in quotes"
    BAD_QUANTITY = "bad-quantity" Error:
        "a quantity is one number and one unit of the right dimension";
        "write a number and one of the units listed"
    LAW_KEYS = "law-keys" Error:
        "a number that is not certain is a table with the keys of exactly one law";
        "use the keys of one law; `vestibule list laws` shows them"
    LAW_INVALID = "law-invalid" Error:
        "the parameters of a law must describe a law";
        "correct the parameters"
    LAW_NOT_ALLOWED = "law-not-allowed" Error:
        "some numbers must be certain, and some laws suit only some quantities";
        "write a fixed value, or a law that fits the quantity"
    OUT_OF_RANGE = "out-of-range" Error:
        "every number has a range in which it makes sense";
        "write a value within the range; every value that a law can give must be in it"
    UNUSUAL = "unusual" Warning:
        "a value far from what is usually built is questioned, because a wrong unit or digit \
        still reads as a number";
        "check the number and its unit; if it is intended, leave it"
    UNSEEN_TEXT = "unseen-text" Error:
        "texts are shown on terminals and pages, where control and direction characters would \
        change what is read";
        "type the text anew without it"
    UNKNOWN_WORD = "unknown-word" Error:
        "this key takes one of a closed list of words";
        "write one of the words listed"
    BAD_NAME = "bad-name" Error:
        "names begin with a letter and hold only letters, digits, blanks, `_` and `-`";
        "rename it"
    RESERVED_NAME = "reserved-name" Error:
        "words that the files use themselves cannot be used as names";
        "choose another name"
    ONE_OF = "one-of" Error:
        "exactly one of these keys is written";
        "keep one of them"
    EMPTY_LIST = "empty-list" Error:
        "this list needs at least one entry";
        "add an entry"
    OVERRIDE_UNKNOWN = "override-unknown" Error:
        "an architecture can change only numbers of elements and access files that exist";
        "correct the name, or write the element or the part itself where it belongs"
    FAILURE_LAW = "failure-law" Error:
        "the law of a failure mode must fit the exposure that its `when` counts";
        "write a law that fits `when`, or change `when`"
    SHARES_SUM = "shares-sum" Error:
        "shares of one whole add up to 1";
        "correct the shares"
    STUDY_LOOPS = "study-loops" Error:
        "`[study]` says how many campaigns are played: `campaigns`, or `outer` and `inner` \
        together";
        "write campaigns = N, or outer = N (parameter sets) with inner = N (campaigns of each)"
    PUBLISHED_UNSOURCED = "published-unsourced" Warning:
        "a published value names its source";
        "add `source`, or write basis = \"assumed\""
    UNKNOWN_MEASURE = "unknown-measure" Error:
        "limits and rankings name measures of the registry";
        "write the name of a measure; `vestibule list measures` shows them"
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identifiers_are_unique_and_fit_for_file_names() {
        let ids: BTreeSet<_> = READER_RULES.iter().map(|r| r.id).collect();
        assert_eq!(ids.len(), READER_RULES.len());
        for id in ids {
            let fits = |c: char| c.is_ascii_lowercase() || c == '-';
            assert!(id.chars().all(fits), "{id}");
        }
    }
}
