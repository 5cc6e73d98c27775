//! Where the numbers of a factor come from: a range, or a law, in the unit that the file is written in.

use super::rules;
use super::unit::apart;
use crate::base::law::Law;
use crate::scenario::context::Context;
use crate::scenario::finding::{Finding, Rule};
use crate::scenario::key::Draw;
use crate::scenario::law_form;
use crate::scenario::number::Wanted;
use crate::scenario::spec::At;
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};

/// Numbers in one unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Numbers {
    /// their law, in this unit
    pub law: Law,
    /// the unit as written; empty for pure numbers
    pub unit: String,
    /// whether both ends are part of it: a range, of which levels reach the ends
    pub closed: bool,
}

/// Keys of laws whose numbers have the unit of the value.
const WITH_UNIT: &[&str] = &["low", "mode", "high", "mean", "sd", "median", "value"];

/// `range`
pub(super) fn range(t: &Table) -> Option<Numbers> {
    let (low, high) = (t.node("low")?, t.node("high")?);
    let ctx = t.ctx;
    let [Some(a), Some(b)] = [low, high].map(|n| quantity(ctx, n)) else {
        return None;
    };
    if a.1 != b.1 {
        let what = format!("`low` is in \"{}\" and `high` in \"{}\"", a.1, b.1);
        return refuse(ctx, &rules::SWEEP_UNIT, high.at, &what);
    }
    let log = match t.node("scale").map(|n| &n.value) {
        None => false,
        Some(Value::Text(text)) if text == "log" => true,
        Some(_) => {
            let at = t.node("scale").map_or(t.at, |n| n.at);
            return refuse(ctx, &rules::SWEEP_RANGE, at, "`scale` is \"log\" or is left out");
        }
    };
    let (low, high) = (a.0, b.0);
    if low >= high || (log && low <= 0.0) {
        let what =
            format!("no range leads from {low} to {high}{}", if log { " by logs" } else { "" });
        return refuse(ctx, &rules::SWEEP_RANGE, t.at, &what);
    }
    let law = if log { Law::LogUniform { low, high } } else { Law::Uniform { low, high } };
    Some(Numbers { law, unit: a.1.to_string(), closed: true })
}

/// A law of values as a campaign file would have it.
pub(super) fn law(ctx: &Context, node: &Node) -> Option<Numbers> {
    let Some(entries) = node.entries() else {
        ctx.wrong(node, "a law (a table)");
        return None;
    };
    let unit = unit(ctx, entries)?;
    let law = match evidence_of_a_rate(entries) {
        Some(law) => law,
        None => {
            let bare: Vec<Entry> = entries.iter().map(without_unit).collect();
            law_form::read(ctx, node.at, &bare, Wanted::share(Draw::Unknown))?
        }
    };
    if let Err(error) = law.check() {
        return refuse(ctx, &crate::scenario::rules::LAW_INVALID, node.at, &error.to_string());
    }
    if law.fixed().is_some() || matches!(law, Law::Fixed(_)) {
        return refuse(ctx, &rules::SWEEP_LAW, node.at, "this law has one value only");
    }
    Some(Numbers { law, unit, closed: false })
}

fn refuse<T>(ctx: &Context, rule: &Rule, at: At, what: &str) -> Option<T> {
    ctx.report(Finding::new(rule, at, what));
    None
}

fn quantity<'a>(ctx: &Context, node: &'a Node) -> Option<(f64, &'a str)> {
    let found = apart(&node.value);
    if found.is_none() {
        ctx.wrong(node, "a number, or a number and its unit in quotes");
    }
    found
}

/// The unit that all numbers of a law share.
fn unit(ctx: &Context, entries: &[Entry]) -> Option<String> {
    let mut unit: Option<&str> = None;
    for e in entries {
        if e.key == "exposure" {
            let (_, found) = quantity(ctx, &e.node)?;
            return Some(if found.is_empty() { String::new() } else { format!("/{found}") });
        }
        if !WITH_UNIT.contains(&e.key.as_str()) {
            continue;
        }
        let (_, found) = quantity(ctx, &e.node)?;
        if unit.is_some_and(|u| u != found) {
            let what = format!("\"{found}\" stands beside \"{}\"", unit.unwrap_or_default());
            return refuse(ctx, &rules::SWEEP_UNIT, e.node.at, &what);
        }
        unit = Some(found);
    }
    Some(unit.unwrap_or_default().to_string())
}

/// An entry of a law with its number bare.
fn without_unit(e: &Entry) -> Entry {
    let mut bare = e.clone();
    if let (true, Some((number, _))) = (WITH_UNIT.contains(&e.key.as_str()), apart(&e.node.value)) {
        bare.node.value = Value::Real(number);
    }
    bare
}

/// `{ events, exposure }`: the law of a rate, in the inverse of the unit of the exposure.
fn evidence_of_a_rate(entries: &[Entry]) -> Option<Law> {
    let number = |key: &str| {
        let entry = entries.iter().find(|e| e.key == key)?;
        apart(&entry.node.value).map(|(x, _)| x)
    };
    Some(Law::RateEvidence { events: number("events")?, exposure: number("exposure")? })
}
