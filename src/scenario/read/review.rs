//! What a review board reads: limits, equivalent system mass, rankings, spares with their mass.

use super::campaign::number_of;
use crate::measure::{MEASURES, measure};
use crate::scenario::context::nearest;
use crate::scenario::finding::Finding;
use crate::scenario::keys::*;
use crate::scenario::number;
use crate::scenario::review::*;
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};

pub fn limit(t: &Table) -> LimitSpec {
    let measure = t.text("measure");
    let found = known(t, &measure);
    let key = t.one_of(&["below", "above"]);
    let node = key.and_then(|k| t.node(k));
    // The bound is read even where the measure is not known, so that both are told.
    let bound = node.zip(found).and_then(|(node, m)| {
        let (dimension, unit) = m.dimension();
        number::quantity(t.ctx, node, dimension).map(|x| x / unit)
    });
    let place = node.map_or(t.at, |n| n.at);
    let written = match node.map(|n| &n.value) {
        Some(Value::Text(text)) => text.clone(),
        Some(Value::Whole(n)) => n.to_string(),
        Some(Value::Real(x)) => x.to_string(),
        _ => String::new(),
    };
    LimitSpec {
        measure,
        statistic: t.word("statistic"),
        below: key != Some("above"),
        bound: Spot { it: bound.unwrap_or(f64::NAN), at: place },
        written,
        architectures: t.texts("architectures"),
    }
}

/// The measure of a name, or a finding.
fn known(t: &Table, name: &Spot<String>) -> Option<&'static crate::measure::Measure> {
    let found = measure(&name.it);
    if found.is_none() && !name.it.is_empty() {
        let what = format!("there is no measure `{}`", name.it);
        let mut finding = Finding::new(&rules::UNKNOWN_MEASURE, name.at, what);
        if let Some(near) = nearest(&name.it, MEASURES.iter().map(|m| m.name)) {
            finding = finding
                .remedy(format!("did you mean `{near}`? `vestibule list measures` shows them all"));
        }
        t.ctx.report(finding);
    }
    found
}

pub fn mass(t: &Table) -> MassSpec {
    MassSpec {
        volume: t.num("volume"),
        power: t.num("power"),
        duty_share: t.num("duty_share"),
        crew_time: t.num("crew_time"),
        tank_oxygen: t.num("tank_oxygen"),
        tank_nitrogen: t.num("tank_nitrogen"),
        tank_water: t.num("tank_water"),
        provenance: t.provenance(),
        at: t.at,
    }
}

pub fn ranking(t: &Table) -> RankingSpec {
    let measures = t.texts("measures");
    measures.iter().for_each(|m| {
        known(t, m);
    });
    let weight = |entry: &Entry| {
        let name = Spot { it: entry.key.clone(), at: entry.key_at };
        let wanted = number::Wanted::new(
            crate::base::units::Dimension::Pure,
            Draw::Structural,
            Range::NonNegative,
        );
        let read = number::read(t.ctx, &entry.node, wanted);
        (name, read.unwrap_or_else(|| number::placeholder(entry.node.at)))
    };
    let weights = t.entries("weights").iter().map(weight).collect();
    RankingSpec { measures, weights }
}

pub fn decision(t: &Table) -> DecisionSpec {
    t.one_of(&["ranking", "limit"]);
    let texts = |node: &Node| -> Vec<Spot<String>> {
        let one = |n: &Node| Spot { it: t.ctx.text(n).unwrap_or_default(), at: n.at };
        match &node.value {
            Value::List(items) => items.iter().map(one).collect(),
            _ => vec![one(node)],
        }
    };
    let group =
        |entry: &Entry| (Spot { it: entry.key.clone(), at: entry.key_at }, texts(&entry.node));
    let _ = t.provenance();
    DecisionSpec {
        ranking: t.text_opt("ranking"),
        limit: t.text_opt("limit"),
        architectures: t.texts("architectures"),
        unit: t.text_opt("unit"),
        groups: t.entries("groups").iter().map(group).collect(),
        at: t.at,
    }
}

/// `spare.NAME`: a bare count, or a table with `count`.
pub fn spares(root: &Table) -> Vec<Named<SpareSpec>> {
    let read = |entry: &Entry| {
        let (provenance, it) = match &entry.node.value {
            Value::Table(_) => {
                let t = Table::open(root.ctx, &SPARE, entry.key_at, &entry.node);
                let (mass, envelope) = (t.num_opt("mass"), t.num_opt("envelope"));
                (t.provenance(), SpareSpec { count: t.count("count"), mass, envelope })
            }
            _ => {
                let count = Spot { it: number_of(root, entry), at: entry.node.at };
                (Provenance::default(), SpareSpec { count, mass: None, envelope: None })
            }
        };
        Named { name: entry.key.clone(), at: entry.key_at, provenance, it }
    };
    root.entries("spare").iter().map(read).collect()
}
