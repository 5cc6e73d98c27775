//! Rows of lists. A row is a step, or part of another list; which, its keys say.

use crate::base::units::Dimension;
use crate::scenario::finding::Finding;
use crate::scenario::keys::*;
use crate::scenario::name::is_name;
use crate::scenario::number::{self, Wanted};
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Node, Value};
use crate::scenario::vocabulary::{Vocabulary, Who};

/// The rows behind a key.
pub fn rows(t: &Table, name: &str) -> Vec<RowSpec> {
    t.list(name).iter().filter_map(|node| row(t, node)).collect()
}

fn row(list: &Table, node: &Node) -> Option<RowSpec> {
    let ctx = list.ctx;
    if node.entries().is_none() {
        ctx.wrong(node, "a row in braces");
        return None;
    }
    let (step, part) = (node.get("action").is_some(), node.get("use").is_some());
    if step == part {
        let what = match step {
            true => "the row has `action` and `use`",
            false => "the row has neither `action` nor `use`",
        };
        let finding = Finding::new(&rules::ONE_OF, node.at, what);
        ctx.report(finding.remedy("write exactly one of action, use"));
        return None;
    }
    let it = if part {
        let t = Table::open(ctx, &USE, node.at, node);
        t.provenance();
        RowBody::Use(use_part(&t))
    } else {
        let t = Table::open(ctx, &STEP, node.at, node);
        t.provenance();
        RowBody::Step(Box::new(step_row(&t)))
    };
    Some(RowSpec { at: node.at, it })
}

fn use_part(t: &Table) -> UseSpec {
    UseSpec {
        list: t.text("use"),
        after: t.text_opt("after"),
        until: t.text_opt("until"),
        who: who(t),
    }
}

fn step_row(t: &Table) -> StepSpec {
    StepSpec {
        name: t.text_opt("name"),
        action: t.word("action"),
        on: t.texts("on"),
        each: t.word("each"),
        who: who(t),
        takes: takes(t),
        to: target(t, "to", true),
        gas: t.text_opt("gas"),
        if_fails: if_fails(t),
        frees: t.num_opt("frees"),
        misses: t.num_opt("misses"),
        false_alarm: t.num_opt("false_alarm"),
        when: t.texts("when"),
        until: t.text_opt("until"),
        by: t.word_opt("by"),
        incapacitated: incapacitated(t),
        suit: t.word_opt("suit"),
    }
}

/// The text behind a key that may be left out.
fn optional_text(t: &Table, name: &str) -> Option<(String, At)> {
    let node = t.node(name)?;
    Some((t.ctx.text(node)?, node.at))
}

/// `who`: one of the words, or `inside of X`.
fn who(t: &Table) -> Option<WhoSpec> {
    let (text, at) = optional_text(t, "who")?;
    if let Some(it) = text.strip_prefix("inside of ").map(str::trim)
        && !it.is_empty()
    {
        let it = it.to_string();
        return Some(WhoSpec::InsideOf(Spot { it, at }));
    }
    if let Some(it) = Who::parse(&text) {
        return Some(WhoSpec::Word(Spot { it, at }));
    }
    let mut words: Vec<_> = Who::WORDS.iter().map(|w| w.1).collect();
    words.push("inside of X");
    t.ctx.unknown_word(at, Who::WHAT, &text, &words);
    None
}

/// `takes`: a time, or the name of a law. A quantity begins with a digit, a name with a letter.
fn takes(t: &Table) -> Option<TakesSpec> {
    let node = t.node("takes")?;
    if let Value::Text(text) = &node.value
        && is_name(text)
    {
        return Some(TakesSpec::Name(Spot { it: text.clone(), at: node.at }));
    }
    let law = number::read(t.ctx, node, Wanted::time(Draw::Varies));
    Some(TakesSpec::Law(law.unwrap_or_else(|| number::placeholder(node.at))))
}

/// A pressure, by name or in numbers. `working` is a pressure of suits only.
pub fn target(t: &Table, name: &str, suit: bool) -> Option<Spot<Target>> {
    let node = t.node(name)?;
    let at = node.at;
    let words: &[&str] = match suit {
        true => &["cabin", "outside", "working"],
        false => &["cabin", "outside"],
    };
    if let Value::Text(text) = &node.value {
        let it = match text.as_str() {
            "cabin" => Some(Target::Cabin),
            "outside" => Some(Target::Outside),
            "working" if suit => Some(Target::Working),
            _ => None,
        };
        if let Some(it) = it {
            return Some(Spot { it, at });
        }
        if is_name(text) {
            t.ctx.unknown_word(at, "pressure", text, words);
            return None;
        }
    }
    let wanted = Wanted::new(Dimension::Pressure, Draw::Structural, Range::NonNegative);
    let pressure = number::read(t.ctx, node, wanted)?;
    let it = Target::Pascal(pressure.law.fixed()?);
    Some(Spot { it, at })
}

fn if_fails(t: &Table) -> Option<Spot<IfFails>> {
    let (text, at) = optional_text(t, "if_fails")?;
    let retries =
        text.strip_prefix("retry ").and_then(|n| n.trim().parse().ok()).filter(|n| *n > 0);
    let it = match (text.as_str(), retries) {
        ("abort", _) => IfFails::Abort,
        ("next way back", _) => IfFails::NextWayBack,
        ("go on", _) => IfFails::GoOn,
        (_, Some(n)) => IfFails::Retry(n),
        _ => {
            let words = ["abort", "next way back", "retry 2", "go on"];
            t.ctx.unknown_word(at, "`if_fails`", &text, &words);
            return None;
        }
    };
    Some(Spot { it, at })
}

/// `incapacitated`: `"skip"`, or a table with one of takes, adds, times.
fn incapacitated(t: &Table) -> Option<Spot<Incapacitated>> {
    let entry = t.entry("incapacitated")?;
    let at = entry.node.at;
    if let Value::Text(text) = &entry.node.value {
        if text == "skip" {
            let it = Incapacitated::Skip;
            return Some(Spot { it, at });
        }
        t.ctx.unknown_word(at, "`incapacitated`", text, &["skip"]);
        return None;
    }
    let table = Table::open(t.ctx, &INCAPACITATED, entry.key_at, &entry.node);
    table.provenance();
    let chance = table.num_opt("probability");
    let (takes, adds) = (table.num_opt("takes"), table.num_opt("adds"));
    let times = table.fixed_opt("times");
    let it = match table.one_of(&["takes", "adds", "times"])? {
        "takes" => Incapacitated::Takes(takes?, chance),
        "adds" => Incapacitated::Adds(adds?, chance),
        _ => Incapacitated::Times(times?.it, chance),
    };
    Some(Spot { it, at })
}
