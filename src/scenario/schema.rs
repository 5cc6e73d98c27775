//! JSON Schema (draft 7) of the files, from the registry of keys: editors complete keys and words
//! with it, and mark what no file may say. It knows one file at a time; whether files are coherent
//! is for `vestibule check`.

mod forms;
mod numbers;

use super::key::{Key, Kind, Need, Section};
use super::keys::*;
use super::vocabulary::*;
use numbers::{any_number, number};
use serde_json::{Map, Value, json};

/// Files that have a schema: what `--show` calls them, and what they are.
pub const SCHEMAS: &[(&str, &str)] = &[
    ("campaign", "a campaign file"),
    ("suit", "a file of suits that a campaign includes"),
    ("failure", "a file of failure modes that a campaign includes"),
    ("part", "any other file that a campaign includes, but for access files"),
    ("access", "an access file"),
    ("sweep", "a sweep file"),
];

/// What user-chosen names look like.
const NAME: &str = "^[A-Za-z][A-Za-z0-9 _-]*$";

/// The schema of a kind of file as [`SCHEMAS`] names it.
pub fn schema(of: &str) -> Option<Value> {
    let (name, what) = SCHEMAS.iter().find(|(name, _)| *name == of)?;
    let mut all = Definitions { done: numbers::definitions(), open: Vec::new() };
    let root = match *name {
        "access" => object(&ACCESS, Part::Whole, &mut all),
        "sweep" => object(&SWEEP_ROOT, Part::Whole, &mut all),
        // Sections may stand in files that are included, and so may some keys of a table; only a
        // campaign file is expected to have its tables whole.
        "campaign" => {
            let mut root = object(&ROOT, Part::Changes(&[]), &mut all);
            for key in ROOT.keys {
                if let Kind::Table(section) = key.kind {
                    root["properties"][key.name] = all.named(section, Part::Whole);
                }
            }
            root
        }
        _ => object(&ROOT, Part::Changes(&[]), &mut all),
    };
    while let Some((section, part)) = all.open.pop() {
        let id = definition(section, part);
        if !all.done.contains_key(&id) {
            all.done.insert(id.clone(), Value::Null);
            let made = object(section, part, &mut all);
            all.done.insert(id, made);
        }
    }
    let mut out = json!({
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": what,
        "$comment": format!("made by {} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION")),
    });
    for (key, value) in root.as_object().into_iter().flatten() {
        out[key] = value.clone();
    }
    out["definitions"] = Value::Object(all.done);
    Some(out)
}

/// Sections that are defined, and those still to be.
struct Definitions {
    done: Map<String, Value>,
    open: Vec<(&'static Section, Part)>,
}

impl Definitions {
    /// A reference to a section, which is defined if it is not yet.
    fn refer(&mut self, section: &'static Section, part: Part) -> Value {
        self.open.push((section, part));
        reference(section, part)
    }

    /// A reference to a section by its name, as a part of a whole or of changes.
    fn named(&mut self, name: &str, of: Part) -> Value {
        let part = if of == Part::Whole { of } else { Part::Changes(&[]) };
        match SECTIONS.iter().chain(SWEEP_SECTIONS).find(|s| s.name == name && !name.is_empty()) {
            Some(section) => self.refer(section, part),
            None => json!({}),
        }
    }
}

/// How much of a section stands at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    /// With every key that has to be there.
    Whole,
    /// Some keys, laid over others: none has to be there, and these cannot be.
    Changes(&'static [&'static str]),
}

fn definition(section: &Section, part: Part) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let name: String = section.name.chars().map(plain).collect();
    match part {
        Part::Whole => name,
        Part::Changes(_) => format!("changes-{name}"),
    }
}

fn reference(section: &Section, part: Part) -> Value {
    json!({ "$ref": format!("#/definitions/{}", definition(section, part)) })
}

/// A table with the keys of a section.
fn object(section: &'static Section, part: Part, all: &mut Definitions) -> Value {
    let without: &[&str] = match part {
        Part::Whole => &[],
        Part::Changes(without) => without,
    };
    let provenance = PROVENANCE.iter().filter(|_| section.sourced);
    let keys = section.keys.iter().filter(|k| !without.contains(&k.name)).chain(provenance);
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in keys {
        properties.insert(key.name.into(), property(section, key, part, all));
        if key.need == Need::Required && part == Part::Whole {
            required.push(key.name);
        }
    }
    let mut out = json!({
        "type": "object",
        "description": section.doc,
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        out["required"] = json!(required);
    }
    out
}

/// What stands behind a key.
fn property(section: &'static Section, key: &Key, part: Part, all: &mut Definitions) -> Value {
    let mut out = match key.kind {
        // The unit is that of the key which is varied.
        Kind::Number(..) if section.name == SPAN.name => any_number(),
        Kind::Number(dimension, draw, range) => number(dimension, draw, range),
        Kind::Count(least) => json!({ "type": "integer", "minimum": least }),
        Kind::Seed => json!({ "type": "integer", "minimum": 0 }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Texts => texts(),
        Kind::Word(what) => word(what),
        // A reference stands alone; the section has its own words.
        Kind::Table(name) => return all.named(name, part),
        Kind::Tables("row") => {
            let rows = [all.refer(&STEP, Part::Whole), all.refer(&USE, Part::Whole)];
            json!({ "type": "array", "items": { "anyOf": rows } })
        }
        Kind::Tables(name) => json!({ "type": "array", "items": all.named(name, Part::Whole) }),
        Kind::Entries("spare.NAME") => {
            let short = json!({ "type": "integer", "minimum": 0 });
            entries(json!({ "anyOf": [short, all.named("spare.NAME", Part::Whole)] }))
        }
        Kind::Entries(name) => entries(all.named(name, Part::Whole)),
        Kind::Form(_) => forms::form(section, key, all),
    };
    let doc = match key.need {
        Need::Default(value) => format!("{}: {}; left out: {value}", key.doc, key.takes()),
        _ => format!("{}: {}", key.doc, key.takes()),
    };
    out["description"] = json!(doc);
    out
}

fn texts() -> Value {
    let text = json!({ "type": "string" });
    json!({ "anyOf": [text, { "type": "array", "items": text }] })
}

/// A table of entries with names that the user chooses.
fn entries(of: Value) -> Value {
    json!({ "type": "object", "patternProperties": { NAME: of }, "additionalProperties": false })
}

/// One word of a vocabulary, with the meanings for editors that show them.
fn word(what: &str) -> Value {
    let words = words(what);
    let spelled: Vec<&str> = words.iter().map(|w| w.0).collect();
    let meanings: Vec<&str> = words.iter().map(|w| w.1).collect();
    json!({
        "type": "string",
        "enum": spelled,
        "x-taplo": { "docs": { "enumValues": meanings } },
    })
}

/// Words and meanings of the vocabulary that is called `what`.
fn words(what: &str) -> Vec<(&'static str, &'static str)> {
    macro_rules! first_of {
        ($($vocabulary:ty),+ $(,)?) => {
            $(if <$vocabulary>::WHAT == what {
                return <$vocabulary>::WORDS.iter().map(|w| (w.1, w.2)).collect();
            })+
        };
    }
    first_of!(
        Action,
        Each,
        Who,
        By,
        OpeningKind,
        OpeningRest,
        StageKind,
        ElementKind,
        Trigger,
        Effect,
        Noticed,
        During,
        Severity,
        RepairFrom,
        Renews,
        EnvironmentEffect,
        Per,
        Basis,
        Statistic,
        DesignKind,
        PointLuck,
    );
    Vec::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every word of the registry has its words, every form its schema, every reference its end.
    #[test]
    fn every_key_is_known() {
        for (section, key) in keys().chain(sweep_keys()) {
            if let Kind::Word(what) = key.kind {
                assert!(!words(what).is_empty(), "no words of {what}");
            }
            if matches!(key.kind, Kind::Form(_)) {
                let mut all = Definitions { done: Map::new(), open: Vec::new() };
                let form = forms::form(section, key, &mut all);
                assert_ne!(form, json!({}), "{}.{}", section.name, key.name);
            }
        }
        for (of, _) in SCHEMAS {
            let schema = schema(of).unwrap();
            let text = schema.to_string();
            for part in text.split("\"#/definitions/").skip(1) {
                let id = part.split('"').next().unwrap();
                assert!(schema["definitions"][id].is_object(), "{of}: {id}");
            }
        }
        assert_eq!(schema("nothing"), None);
    }
}
