//! What stands behind keys that take a form of their own.

use super::numbers::{any_number, law, number};
use super::{Definitions, Part, entries, texts, word};
use crate::base::units::Dimension;
use crate::scenario::key::{Draw, Key, Range, Section};
use crate::scenario::keys::*;
use serde_json::{Value, json};

/// Keys of a part of an access file that a port cannot change.
const STRUCTURE: &[&str] = &["kind", "between", "on", "to", "in"];
/// Keys of an activity that an architecture cannot change: all but these.
const ACTIVITY_CHANGES: &[&str] = &["overhead", "source", "basis"];

/// The schema of a key with a form of its own; empty (anything) where none is known.
pub(super) fn form(section: &'static Section, key: &Key, all: &mut Definitions) -> Value {
    let time = || number(Dimension::Time, Draw::Varies, Range::NonNegative);
    let mut changes =
        |of: &'static Section, without| entries(all.refer(of, Part::Changes(without)));
    match (section.name, key.name) {
        ("architecture.NAME", "element") => changes(&ELEMENT, &[]),
        ("architecture.NAME", "failure") => changes(&FAILURE, &["when"]),
        ("architecture.NAME", "activity") => entries(activity(all)),
        ("architecture.NAME.port.NAME", "volume") => changes(&VOLUME, STRUCTURE),
        ("architecture.NAME.port.NAME", "opening") => changes(&OPENING, STRUCTURE),
        ("architecture.NAME.port.NAME", "pump") => changes(&PUMP, STRUCTURE),
        ("architecture.NAME.port.NAME", "stage") => changes(&STAGE, STRUCTURE),
        // A law of another name or keys of it, laid over those of the file.
        ("architecture.NAME.port.NAME", "law") => entries(json!({ "type": ["string", "object"] })),
        ("factor.NAME", "law") => law(),
        ("factor.NAME", "values") => json!({ "type": "array", "minItems": 1 }),
        ("factor.NAME", "choice") => entries(json!({ "type": "object" })),
        ("failure.NAME", "law") => json!({ "anyOf": [any_number(), law()] }),
        (_, "law") => entries(time()),
        (_, "at") => json!({ "type": "array", "items": { "type": "string" } }),
        (_, "between") => {
            json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2 })
        }
        (_, "below" | "above") => any_number(),
        (_, "rest" | "to") => json!({ "type": ["string", "object"] }),
        (_, "weights") => {
            json!({ "type": "object", "additionalProperties": { "type": "number" } })
        }
        (_, "spares") => entries(json!({ "type": "integer", "minimum": 0 })),
        (_, "dust_bins") => four(),
        (_, "removes" | "captures") => {
            json!({ "anyOf": [{ "type": "number", "minimum": 0, "maximum": 1 }, four(), law()] })
        }
        (_, "who") => {
            json!({ "anyOf": [word("person word"), { "type": "string", "pattern": "^inside of ." }] })
        }
        (_, "takes") => json!({ "anyOf": [{ "type": "string" }, law()] }),
        (_, "if_fails") => json!({
            "type": "string",
            "pattern": "^(abort|next way back|go on|retry +[1-9][0-9]*)$",
            "examples": ["abort", "next way back", "retry 2", "go on"],
        }),
        (_, "incapacitated") => {
            let table = all.refer(&INCAPACITATED, Part::Whole);
            json!({ "anyOf": [{ "const": "skip" }, table] })
        }
        (_, "severity") => {
            let shares = json!({ "type": "object", "additionalProperties": any_number() });
            json!({ "anyOf": [word("severity"), shares] })
        }
        (_, "off_duty") => json!({ "anyOf": [{ "const": "for good" }, time()] }),
        (_, "from") => json!({ "anyOf": [any_number(), law()] }),
        (_, "scale") => json!({ "const": "log" }),
        (_, "groups") => entries(texts()),
        (_, "key") => texts(),
        _ => json!({}),
    }
}

/// One number for each size bin, perhaps with laws.
fn four() -> Value {
    let one = json!({ "anyOf": [{ "type": "number", "minimum": 0, "maximum": 1 }, law()] });
    json!({ "type": "array", "items": one, "minItems": 4, "maxItems": 4 })
}

/// What an architecture changes on an activity.
fn activity(all: &mut Definitions) -> Value {
    let keys = ACTIVITY.keys.iter().filter(|k| ACTIVITY_CHANGES.contains(&k.name));
    let mut out = json!({ "type": "object", "additionalProperties": false });
    for key in keys.chain(PROVENANCE) {
        out["properties"][key.name] = super::property(&ACTIVITY, key, Part::Changes(&[]), all);
    }
    out
}
