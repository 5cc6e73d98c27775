//! `vestibule list --json`: the same registries for programs.

use super::catalogue;
use super::list::What;
use crate::base::law::LAWS;
use crate::check::rules;
use crate::measure::{MEASURES, glossary};
use crate::physics::RELATIONS;
use crate::plan::CONDITIONS;
use crate::scenario::keys::Need;
use crate::scenario::{self, Action, Effect, Vocabulary};
use serde_json::{Value, json};

/// One list as an array of objects; the rules of play as one text.
pub fn list(what: What) -> Value {
    match what {
        What::Measures => MEASURES.iter().map(measure).collect(),
        What::Words => glossary::all()
            .map(|t| json!({ "key": t.key, "title": t.title, "meaning": t.meaning }))
            .collect(),
        What::Laws => laws(),
        What::Actions => words::<Action>(),
        What::Conditions => CONDITIONS
            .iter()
            .map(|c| json!({ "name": c.0, "meaning": c.1.to_string() }))
            .collect(),
        What::Effects => words::<Effect>(),
        What::Rules => rules::rules()
            .map(|r| {
                let severity = r.severity.word();
                json!({ "name": r.id, "severity": severity, "meaning": r.meaning, "remedy": r.remedy })
            })
            .collect(),
        What::Systems => catalogue::systems()
            .map(|(name, text)| {
                let header = text.lines().next().unwrap_or_default();
                json!({ "name": name, "header": header.trim_start_matches('#').trim() })
            })
            .collect(),
        // Printed whole before, as a schema is.
        What::Schema => Value::Null,
        What::Keys => scenario::keys::keys()
            .map(|(section, key)| {
                let mut entry = json!({
                    "section": section.name,
                    "key": key.name,
                    "takes": key.takes(),
                    "may_be_left_out": key.need != Need::Required,
                    "meaning": key.doc,
                });
                if let Need::Default(text) = key.need {
                    entry["default"] = json!(text);
                }
                entry
            })
            .collect(),
        What::Model => json!({ "text": crate::RULES }),
    }
}

fn measure(m: &crate::measure::Measure) -> Value {
    json!({ "name": m.name, "title": m.title, "unit": m.unit, "meaning": m.doc })
}

fn words<V: Vocabulary>() -> Value {
    V::WORDS.iter().map(|w| json!({ "name": w.1, "meaning": w.2.to_string() })).collect()
}

fn laws() -> Value {
    let laws = LAWS.iter().map(|l| {
        json!({
            "kind": "law",
            "name": l.name,
            "written": l.written,
            "meaning": l.meaning,
            "formula": l.formula,
            "mean": l.mean,
            "units": l.units,
            "source": l.source,
            "limits": l.limits,
        })
    });
    let relations = RELATIONS.iter().map(|r| {
        json!({
            "kind": "relation",
            "name": r.name,
            "formula": r.formula,
            "units": r.symbols,
            "source": r.source,
            "limits": r.limits,
            "code": r.functions,
        })
    });
    laws.chain(relations).collect()
}
