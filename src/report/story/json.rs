//! A story for programs: every line with its time, people, words and state, as JSON.

use super::{Told, reason};
use crate::campaign::trace::{Level, Line, RowState};
use crate::measure::MEASURES;
use serde_json::{Map, Value, json};

/// The story as JSON, ending in a line feed. Times are seconds from the start; minutes that are left
/// are null while somebody is on a supply that does not run down.
pub fn story_json(told: Told) -> String {
    let a = &told.model.arms[told.arm];
    let measures: Map<String, Value> = MEASURES
        .iter()
        .map(|m| {
            let value = told.outcome.facts.read(m).filter(|x| x.is_finite());
            (m.name.to_string(), json!(value))
        })
        .collect();
    let ends: Vec<Value> = told
        .story
        .ends
        .iter()
        .filter(|e| told.slot.is_none() || e.slot == told.slot)
        .map(|e| {
            json!({
                "time_s": e.time,
                "sortie": e.slot.map(|s| s + 1),
                "who": e.name,
                "outcome": if e.late.is_some() { "late" } else { "missed" },
                "late_min": e.late,
                "last_decision": e.decision.as_ref().map(|d| d.text.as_str()),
            })
        })
        .collect();
    let story = json!({
        "architecture": a.name,
        "title": a.title,
        "campaign": told.campaign,
        "seed": told.model.seed.to_string(),
        "sortie": told.slot.map(|s| s + 1),
        "lines": told.lines().map(line).collect::<Vec<_>>(),
        "ends": ends,
        "reason": reason::reasons(told),
        "measures": measures,
        "caution": crate::report::CAUTION,
    });
    format!("{story:#}\n")
}

fn line(l: &Line) -> Value {
    let level = match l.level {
        Level::Row => "row",
        Level::Sortie => "sortie",
        Level::Event => "event",
    };
    json!({
        "time_s": l.time,
        "sortie": l.slot.map(|s| s + 1),
        "level": level,
        "leads_to_end": l.link,
        "who": l.who,
        "what": l.text,
        "remaining_min": minutes(if l.clocks.is_empty() { &l.left } else { &l.clocks }),
        "row": l.row.as_ref().map(row),
    })
}

fn minutes(left: &[(String, f64)]) -> Map<String, Value> {
    // Infinity has no form in JSON and becomes null.
    left.iter().map(|(name, m)| (name.clone(), json!(m))).collect()
}

fn row(r: &RowState) -> Value {
    let map = |pairs: &[(String, String)]| -> Map<String, Value> {
        pairs.iter().map(|(a, b)| (a.clone(), json!(b))).collect()
    };
    json!({
        "list": r.list,
        "label": r.label,
        "minutes": r.minutes,
        "failed": r.failed,
        "places": map(&r.places),
        "suits": map(&r.suits),
        "pressures_kpa": minutes(&r.pressures),
    })
}
