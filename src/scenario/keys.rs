//! Registry of every key of the files. The reader, the defaults, the messages about unknown keys
//! and the documentation are made from these lists; nothing repeats them.

mod access;
mod campaign;
mod element;
mod events;
mod review;
mod sweep;

use super::key::key;
pub use super::key::{Draw, Key, Kind, Need, Range, Section};
pub(super) use access::*;
pub(super) use campaign::*;
pub(super) use element::*;
pub(super) use events::*;
pub(super) use review::*;
pub(super) use sweep::{FACTOR, SPAN, SWEEP, SWEEP_ROOT};
pub use sweep::{SWEEP_SECTIONS, sweep_keys};

/// Every section in the order of the documentation.
pub const SECTIONS: &[&Section] = &[
    &ROOT,
    &STUDY,
    &BODY,
    &CAMPAIGN,
    &CREW,
    &SUIT,
    &ELEMENT,
    &OPENING,
    &GAP,
    &COVER,
    &FILTER_LIFE,
    &ACTIVITY,
    &TRAVERSE,
    &SEASON,
    &FAILURE,
    &WORN,
    &COMMON_CAUSE,
    &REPAIR,
    &EVENT,
    &STORE,
    &RESUPPLY,
    &SPARE,
    &LIMIT,
    &MASS,
    &RANKING,
    &DECISION,
    &ARCHITECTURE,
    &PORT,
    &SUIT_PLACE,
    &ACCESS,
    &VOLUME,
    &PUMP,
    &STAGE,
    &LIST,
    &WAY_BACK,
    &STEP,
    &USE,
    &INCAPACITATED,
];

/// Every key with its section.
pub fn keys() -> impl Iterator<Item = (&'static Section, &'static Key)> {
    SECTIONS.iter().flat_map(|&section| section.keys.iter().map(move |key| (section, key)))
}

/// Keys that any sourced section takes besides its own.
pub const PROVENANCE: &[Key] = &[
    key("source", Kind::Text, "where the numbers of this entry come from").optional(),
    key("basis", Kind::Word("basis"), "their standing").optional(),
];

/// Words that cannot be names (rules 40), besides the words for `who`.
pub const RESERVED: &[&str] =
    &["planned", "late", "missed", "outside", "cabin", "working", "store"];

pub(super) const ROOT: Section = Section {
    name: "",
    doc: "the campaign file and every file it includes that is not an access file",
    sourced: false,
    keys: &[
        key("include", Kind::Texts, "files to read besides this one").optional(),
        key("study", Kind::Table("study"), "number of campaigns and random numbers"),
        key("body", Kind::Table("body"), "Moon or Mars"),
        key("campaign", Kind::Table("campaign"), "length and rules of the campaign"),
        key("crew", Kind::Table("crew"), "the crew"),
        key("suit", Kind::Entries("suit.NAME"), "kinds of suit").optional(),
        key("element", Kind::Entries("element.NAME"), "pressurised elements"),
        key("activity", Kind::Entries("activity.NAME"), "planned sorties; left out: none")
            .optional(),
        key("failure", Kind::Entries("failure.NAME"), "failure modes and hazards").optional(),
        key("environment", Kind::Entries("environment.NAME"), "events of the site").optional(),
        key("store", Kind::Entries("store.NAME"), "gas and water stores").optional(),
        key("spare", Kind::Entries("spare.NAME"), "spares at the start").optional(),
        key("limit", Kind::Entries("limit.NAME"), "limits").optional(),
        key("mass", Kind::Table("mass"), "factors of the equivalent system mass").optional(),
        key("ranking", Kind::Entries("ranking.NAME"), "measures for an overall comparison")
            .optional(),
        key("decision", Kind::Table("decision"), "the choice to be made").optional(),
        key("law", Kind::Form("a table of named durations"), "durations that rows name").optional(),
        key("architecture", Kind::Entries("architecture.NAME"), "architectures that are compared"),
    ],
};

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn sections_and_their_keys_are_unique_and_documented() {
        let names: BTreeSet<_> = SECTIONS.iter().map(|s| s.name).collect();
        assert_eq!(names.len(), SECTIONS.len());
        for section in SECTIONS {
            let keys: BTreeSet<_> = section.keys.iter().map(|k| k.name).collect();
            assert_eq!(keys.len(), section.keys.len(), "{}", section.name);
            assert!(!section.doc.is_empty());
            assert!(section.keys.iter().all(|k| !k.doc.is_empty() && !k.takes().is_empty()));
        }
    }

    #[test]
    fn keys_of_sweep_files_are_unique_and_documented() {
        let names: BTreeSet<_> = sweep_keys().map(|(s, k)| (s.name, k.name)).collect();
        assert_eq!(names.len(), sweep_keys().count());
        assert!(sweep_keys().all(|(_, k)| !k.doc.is_empty() && !k.takes().is_empty()));
    }

    #[test]
    fn every_table_that_a_key_names_is_a_section() {
        let names: BTreeSet<_> = SECTIONS.iter().map(|s| s.name).collect();
        for (section, key) in keys() {
            if let Kind::Table(to) | Kind::Tables(to) | Kind::Entries(to) = key.kind {
                assert!(names.contains(to), "{}.{} -> {to}", section.name, key.name);
            }
        }
    }
}
