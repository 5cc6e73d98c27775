//! Activities.

use crate::base::law::Law;
use crate::base::units::Dimension;
use crate::scenario::keys::*;
use crate::scenario::number::quantity;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Node, Value};

pub fn activity(t: &Table) -> ActivitySpec {
    t.one_of(&["per_week", "at", "traverse"]);
    let hours = t.num("hours");
    let nominal_hours = t.num_opt("nominal_hours").unwrap_or(Num {
        law: Law::Fixed(hours.law.mean()),
        per: None,
        at: hours.at,
    });
    ActivitySpec {
        from: t.text("from"),
        ports: t.texts("ports"),
        team: t.count("team"),
        crew: t.texts("crew"),
        per_week: t.fixed_opt("per_week"),
        at_times: at_times(t),
        traverse: t.table_opt("traverse", &TRAVERSE).as_ref().map(traverse),
        hour: t.num_opt("hour"),
        hours,
        nominal_hours,
        overhead: t.num("overhead"),
        distance: t.num("distance"),
        by: t.word("by"),
        dust: t.num("dust"),
        work: t.num_opt("work"),
        suit: t.text_opt("suit"),
    }
}

/// `at`: a list of times.
fn at_times(t: &Table) -> Vec<Spot<f64>> {
    let time = |node: &Node| {
        let it = quantity(t.ctx, node, Dimension::Time).unwrap_or(f64::NAN);
        Spot { it, at: node.at }
    };
    match t.node("at").map(|node| (node, &node.value)) {
        None => Vec::new(),
        Some((_, Value::List(items))) => items.iter().map(time).collect(),
        Some((node, _)) => vec![time(node)],
    }
}

fn traverse(t: &Table) -> TraverseSpec {
    t.provenance();
    TraverseSpec {
        first: t.num("first"),
        every: t.num("every"),
        count: t.count("count"),
        days: t.count("days"),
        per_day: t.count("per_day"),
        drive: t.num("drive"),
        each_day: t.num("each_day"),
        repair_within: t.num("repair_within"),
        at: t.at,
    }
}
