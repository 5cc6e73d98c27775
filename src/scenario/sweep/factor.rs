//! One factor: the places it sets, and what it sets there at a position between 0 and 1.

use super::base::{Base, Setting, To};
use super::path::KeyPath;
use super::rules;
use super::span::{self, Numbers};
use super::unit::{apart, together};
use crate::base::law::Law;
use crate::scenario::context::Context;
use crate::scenario::finding::Finding;
use crate::scenario::keys::SPAN;
use crate::scenario::spec::{At, Named, Spot};
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};

/// Levels of a law lie between these two quantiles, so that none is infinitely far away.
const CENTRAL: (f64, f64) = (0.05, 0.95);
/// Most whole numbers that a range can hold.
const MOST_WHOLE: f64 = 10_000.0;

/// What is varied.
#[derive(Clone, Debug)]
pub struct FactorSpec {
    /// places that take the value; empty for a choice
    pub keys: Vec<Spot<KeyPath>>,
    /// levels of a range or law in a grid or one at a time, if the file says how many
    pub levels: Option<Spot<u32>>,
    at: At,
    span: Span,
}

#[derive(Clone, Debug)]
enum Span {
    Numbers(Numbers),
    Levels { unit: String, levels: Vec<Level> },
}

/// One value of a list, or one alternative of a choice.
#[derive(Clone, Debug)]
struct Level {
    name: String,
    number: Option<f64>,
    at: At,
    sets: Vec<(KeyPath, To)>,
}

/// What a factor is at a point.
#[derive(Clone, Debug)]
pub struct Taken {
    /// as text
    pub name: String,
    /// as a number in the unit of the factor, if it is one
    pub number: Option<f64>,
    /// what is set in the base campaign
    pub settings: Vec<Setting>,
}

impl FactorSpec {
    /// Unit of its numbers as written; empty where there is none.
    pub fn unit(&self) -> &str {
        match &self.span {
            Span::Numbers(n) => &n.unit,
            Span::Levels { unit, .. } => unit,
        }
    }

    /// Names of the levels of a list or choice; empty for numbers.
    pub fn level_names(&self) -> Vec<String> {
        match &self.span {
            Span::Numbers(_) => Vec::new(),
            Span::Levels { levels, .. } => levels.iter().map(|l| l.name.clone()).collect(),
        }
    }

    /// Is every value a number?
    pub fn is_number(&self) -> bool {
        match &self.span {
            Span::Numbers(_) => true,
            Span::Levels { levels, .. } => levels.iter().all(|l| l.number.is_some()),
        }
    }

    /// How many levels it has: all of a list; of numbers those the file says, or else `usual`.
    pub fn count(&self, usual: usize) -> usize {
        match &self.span {
            Span::Numbers(_) => self.levels.map_or(usual, |l| l.it as usize),
            Span::Levels { levels, .. } => levels.len(),
        }
    }

    /// Position of level `i` of `n`: the ends of a range are the first and the last.
    pub fn position(&self, i: usize, n: usize) -> f64 {
        match &self.span {
            Span::Numbers(_) => i as f64 / (n.max(2) - 1) as f64,
            Span::Levels { .. } => (i as f64 + 0.5) / n as f64,
        }
    }

    /// What it is at a position from 0 to 1. In designs of levels a position on a law is one between its
    /// 5 % and 95 % quantiles.
    pub fn at(&self, u: f64, of_levels: bool) -> Taken {
        match &self.span {
            Span::Numbers(n) => {
                let wide = of_levels && !n.closed;
                let u = if wide { CENTRAL.0 + (CENTRAL.1 - CENTRAL.0) * u } else { u };
                self.number(n.law.quantile(u), &n.unit)
            }
            Span::Levels { levels, .. } => {
                // A position that is a multiple of 1/n belongs to the level above it.
                let i = (u * levels.len() as f64 + 1e-9).floor() as usize;
                let level = &levels[i.min(levels.len() - 1)];
                let set = |(path, to): &(KeyPath, To)| Setting::new(path, to.clone(), level.at);
                Taken {
                    name: level.name.clone(),
                    number: level.number,
                    settings: level.sets.iter().map(set).collect(),
                }
            }
        }
    }

    fn number(&self, x: f64, unit: &str) -> Taken {
        let to = To::Value(Node { at: self.at, value: together(x, unit) });
        let set = |path: &Spot<KeyPath>| Setting::new(&path.it, to.clone(), self.at);
        Taken {
            name: format!("{x} {unit}").trim_end().to_string(),
            number: Some(x),
            settings: self.keys.iter().map(set).collect(),
        }
    }

    /// Every place that it may set.
    pub fn paths(&self) -> Vec<&KeyPath> {
        let own = self.keys.iter().map(|k| &k.it);
        match &self.span {
            Span::Levels { levels, .. } => {
                own.chain(levels.iter().flat_map(|l| l.sets.iter().map(|(p, _)| p))).collect()
            }
            Span::Numbers(_) => own.collect(),
        }
    }
}

/// Reads `[factor.NAME]`.
pub(super) fn factor(t: &Table, base: Option<&Base>) -> FactorSpec {
    let keys = paths(t);
    t.flag("own");
    let way = t.one_of(&["range", "law", "own", "values", "choice"]);
    if way != Some("choice") && keys.is_empty() && !t.has("key") {
        let what = "the factor has no `key`";
        t.ctx.report(Finding::new(&rules::SWEEP_KEY, t.at, what));
    }
    let whole = t.flag("whole").it;
    let span = match way {
        Some("range") => {
            t.table_opt("range", &SPAN).and_then(|r| span::range(&r)).map(Span::Numbers)
        }
        Some("law") => t.node("law").and_then(|n| span::law(t.ctx, n)).map(Span::Numbers),
        Some("own") => own_law(t, &keys, base).map(Span::Numbers),
        Some("values") => values(t, &keys),
        Some("choice") => choice(t),
        _ => None,
    };
    let span = match (span, whole) {
        (Some(Span::Numbers(n)), true) => whole_numbers(t, n, &keys),
        (span, _) => span,
    };
    // Stands in where there was a finding, so that reading goes on; never handed out.
    let nothing = || Span::Levels { unit: String::new(), levels: Vec::new() };
    let levels = t.count_opt("levels");
    FactorSpec { keys, levels, at: t.at, span: span.unwrap_or_else(nothing) }
}

fn paths(t: &Table) -> Vec<Spot<KeyPath>> {
    let read = |text: Spot<String>| {
        let path = KeyPath::parse(&text.it);
        if path.is_none() && !text.it.is_empty() {
            let what = format!("\"{}\" is no key path", text.it);
            t.ctx.report(Finding::new(&rules::SWEEP_KEY, text.at, what));
        }
        path.map(|it| Spot { it, at: text.at })
    };
    t.texts("key").into_iter().filter_map(read).collect()
}

fn own_law(t: &Table, keys: &[Spot<KeyPath>], base: Option<&Base>) -> Option<Numbers> {
    let (first, base) = (keys.first()?, base?);
    let node = base.get(&first.it).filter(|n| matches!(n.value, Value::Table(_)));
    let Some(node) = node else {
        let what = format!("there is no law at {} in the base campaign", first.it);
        t.ctx.report(Finding::new(&rules::SWEEP_OWN, first.at, what));
        return None;
    };
    span::law(t.ctx, node)
}

fn values(t: &Table, keys: &[Spot<KeyPath>]) -> Option<Span> {
    let node = t.node("values")?;
    let Value::List(items) = &node.value else {
        t.ctx.wrong(node, "a list of values");
        return None;
    };
    if items.is_empty() {
        let what = "`values` is empty";
        t.ctx.report(Finding::new(&crate::scenario::rules::EMPTY_LIST, node.at, what));
        return None;
    }
    let units: Vec<Option<&str>> = items.iter().map(|i| apart(&i.value).map(|(_, u)| u)).collect();
    // Numbers in one unit are numbers; anything else is a list of names.
    let unit = units[0].filter(|u| units.iter().all(|o| o == &Some(*u)));
    let level = |(i, item): (usize, &Node)| {
        let to = to(t.ctx, item)?;
        let name = match &item.value {
            Value::Text(text) => text.clone(),
            Value::Whole(n) => n.to_string(),
            Value::Real(x) => x.to_string(),
            Value::Flag(flag) => flag.to_string(),
            _ => match &to {
                To::Copy(path) => path.to_string(),
                To::Value(_) => format!("value {}", i + 1),
            },
        };
        let number = unit.and_then(|_| apart(&item.value)).map(|(x, _)| x);
        let sets = keys.iter().map(|k| (k.it.clone(), to.clone())).collect();
        Some(Level { name, number, at: item.at, sets })
    };
    let levels: Option<Vec<Level>> = items.iter().enumerate().map(level).collect();
    Some(Span::Levels { unit: unit.unwrap_or_default().to_string(), levels: levels? })
}

fn choice(t: &Table) -> Option<Span> {
    let node = t.node("choice")?;
    let Value::Table(alternatives) = &node.value else {
        t.ctx.wrong(node, "a table of named alternatives");
        return None;
    };
    let level = |entry: &Entry| {
        let Value::Table(sets) = &entry.node.value else {
            t.ctx.wrong(&entry.node, "a table of key paths and values");
            return None;
        };
        let set = |e: &Entry| {
            let path = KeyPath::parse(&e.key);
            if path.is_none() {
                let what = format!("\"{}\" is no key path", e.key);
                t.ctx.report(Finding::new(&rules::SWEEP_KEY, e.key_at, what));
            }
            Some((path?, to(t.ctx, &e.node)?))
        };
        let sets: Option<Vec<_>> = sets.iter().map(set).collect();
        Some(Level { name: entry.key.clone(), number: None, at: entry.key_at, sets: sets? })
    };
    let levels: Option<Vec<Level>> = alternatives.iter().map(level).collect();
    let levels = levels?;
    if levels.is_empty() {
        let what = "`choice` has no alternative";
        t.ctx.report(Finding::new(&crate::scenario::rules::EMPTY_LIST, node.at, what));
        return None;
    }
    Some(Span::Levels { unit: String::new(), levels })
}

/// A value as written, or `{ copy = "key path" }`.
fn to(ctx: &Context, node: &Node) -> Option<To> {
    let copy = node.entries().filter(|e| e.len() == 1).and_then(|_| node.get("copy"));
    let Some(copy) = copy else {
        return Some(To::Value(node.clone()));
    };
    let text = ctx.text(&copy.node)?;
    let path = KeyPath::parse(&text);
    if path.is_none() {
        let what = format!("\"{text}\" is no key path");
        ctx.report(Finding::new(&rules::SWEEP_KEY, copy.node.at, what));
    }
    path.map(To::Copy)
}

/// The whole numbers of a range, each as likely as any other.
fn whole_numbers(t: &Table, n: Numbers, keys: &[Spot<KeyPath>]) -> Option<Span> {
    let Law::Uniform { low, high } = n.law else {
        let what = "`whole` belongs to an even range";
        t.ctx.report(Finding::new(&rules::SWEEP_RANGE, t.at, what));
        return None;
    };
    let (first, last) = (low.ceil(), high.floor());
    if last < first || last - first >= MOST_WHOLE {
        let what = format!("a range of whole numbers holds 1 to {MOST_WHOLE} of them");
        t.ctx.report(Finding::new(&rules::SWEEP_RANGE, t.at, what));
        return None;
    }
    let level = |i: usize| {
        let x = first + i as f64;
        let value = match n.unit.as_str() {
            "" => Value::Whole(x as i128),
            unit => Value::Text(format!("{x} {unit}")),
        };
        let to = To::Value(Node { at: t.at, value });
        let sets = keys.iter().map(|k| (k.it.clone(), to.clone())).collect();
        Level { name: x.to_string(), number: Some(x), at: t.at, sets }
    };
    let levels = (0..=(last - first) as usize).map(level).collect();
    Some(Span::Levels { unit: n.unit, levels })
}

/// Two factors that set one place.
pub(super) fn refuse_overlaps(ctx: &Context, factors: &[Named<FactorSpec>]) {
    for (i, f) in factors.iter().enumerate() {
        for other in &factors[..i] {
            let met =
                f.it.paths()
                    .into_iter()
                    .find(|p| other.it.paths().into_iter().any(|o| o.overlaps(p)));
            if let Some(path) = met {
                let what = format!("{path} is also set by factor `{}`", other.name);
                ctx.report(Finding::new(&rules::SWEEP_KEY, f.at, what));
            }
        }
    }
}
