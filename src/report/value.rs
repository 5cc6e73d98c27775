//! `value.csv`, and what the summary says of it: what is worth knowing before choosing.

use super::columns;
use super::figures::{figure, wrapped};
use super::table::{Cell, Table};
use crate::model::{Decision, Goes, Model};
use crate::study::sensitivity::order;
use crate::study::value::{Known, Value, Verdict, Worth};

/// What is said of what nothing in the sets changes the choice by.
pub(super) const CANNOT: &str = "cannot change the choice";
/// What is said of what could change it.
pub(super) const COULD: &str = "could change the choice";
/// Parameters that the summary names.
const NAMED: usize = 3;

/// What the choice goes by, in words.
fn goes(model: &Model, decision: &Decision) -> String {
    match decision.goes {
        Goes::ByTotal(r) => format!("ranking {}", model.review.rankings[r].name),
        Goes::ByLimit(l) => format!("limit {}", model.review.limits[l].name),
    }
}

fn kind(known: &Known) -> (&'static str, &str) {
    match known {
        Known::All => ("everything", "everything"),
        Known::Group(name) => ("group", name),
        Known::Parameter(name) => ("parameter", name),
    }
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Could => COULD,
        Verdict::Cannot => CANNOT,
        Verdict::Unclear => "not told apart from noise",
        Verdict::Unknown => "",
    }
}

/// What a reader has to know of the choice as it is made now: how often a limit is met, and whether
/// another architecture has the same mean loss.
fn chosen_now(model: &Model, decision: &Decision, found: &Value) -> Vec<String> {
    let Some(now) = found.now else { return Vec::new() };
    let name = |a: usize| model.arms[found.arms[a]].name.as_str();
    let mut said = Vec::new();
    if matches!(decision.goes, Goes::ByLimit(_)) {
        let one = |(a, missed): (usize, &f64)| {
            format!("by {} in {:.1} %", name(a), 100.0 * (1.0 - missed))
        };
        let all: Vec<String> = found.means.iter().enumerate().map(one).collect();
        said.push(format!("of the sets, the limit is met {}", all.join(", ")));
    }
    let like = |a: &usize| *a != now && found.means[*a] == found.means[now];
    let like: Vec<&str> = (0..found.means.len()).filter(like).map(name).collect();
    if !like.is_empty() {
        let first = name(now);
        said.push(format!("{} is as good as {first}, the first in the file", like.join(", ")));
    }
    said
}

/// `value.csv`: everything, then groups, then parameters in the order of the files.
pub fn value(model: &Model, found: &Value) -> Option<Table> {
    let decision = model.review.decision.as_ref()?;
    let mut t = Table::new(columns::VALUE);
    let name = |arm: Option<usize>| arm.map_or("", |a| model.arms[found.arms[a]].name.as_str());
    let perfect = found.worth.first().and_then(|w| w.gain.value).filter(|v| *v > 0.0);
    let left_out = match found.left_out {
        0 => String::new(),
        n => format!("{n} parameter sets left out: a measure has no value in them"),
    };
    if found.worth.is_empty() {
        let mut row = vec![Cell::Empty; columns::VALUE.len()];
        row[0] = Cell::text(goes(model, decision));
        (row[1], row[2]) = (Cell::text("everything"), Cell::text("everything"));
        row[6] = Cell::text(&decision.unit);
        row[columns::VALUE.len() - 2] = Cell::text("not estimable");
        row[columns::VALUE.len() - 1] =
            Cell::text("fewer than two sets have all measures of the decision");
        t.push(row);
    }
    for (w, rank) in found.worth.iter().zip(ranks(found)) {
        let (g, (known, item)) = (&w.gain, kind(&w.known));
        let share = g.value.zip(perfect).map(|(v, p)| v / p);
        let changes = g.value.map(|_| g.changes as f64 / g.n as f64);
        let now = match w.known {
            Known::All => chosen_now(model, decision, found),
            _ => Vec::new(),
        };
        let mut notes: Vec<&str> = now.iter().map(String::as_str).collect();
        notes.extend([g.note.as_str(), &left_out]);
        notes.retain(|n| !n.is_empty());
        t.push(vec![
            Cell::text(goes(model, decision)),
            Cell::text(known),
            Cell::text(item),
            Cell::Whole(w.parameters as u64),
            Cell::text(name(found.now)),
            Cell::text(name(g.instead)),
            Cell::text(&decision.unit),
            Cell::maybe(g.value),
            Cell::maybe(g.low),
            Cell::maybe(g.high),
            Cell::maybe(g.floor),
            Cell::maybe(share),
            Cell::maybe(changes),
            rank.map_or(Cell::Empty, Cell::Whole),
            Cell::text(verdict(g.verdict)),
            Cell::Whole(g.n),
            Cell::text(g.method),
            Cell::text(notes.join("; ")),
        ]);
    }
    Some(t)
}

/// Places by value among groups and among parameters.
fn ranks(found: &Value) -> Vec<Option<u64>> {
    let of = |like: &str| {
        let value = |w: &Worth| w.gain.value.filter(|_| kind(&w.known).0 == like);
        order(&found.worth.iter().map(value).collect::<Vec<_>>())
    };
    of("group").into_iter().zip(of("parameter")).map(|(g, p)| g.or(p)).collect()
}

/// The lines of the summary; empty without a decision.
pub fn value_lines(model: &Model, found: &Value) -> String {
    let (Some(decision), Some(now)) = (&model.review.decision, found.now) else {
        return String::new();
    };
    let goes = goes(model, decision);
    let chosen = &model.arms[found.arms[now]].name;
    let mut out = format!("\nWorth knowing before choosing by {goes}, in {}\n", decision.unit);
    let told = |w: &Worth| {
        let x = |v: Option<f64>| v.map_or("-".to_string(), figure);
        let g = &w.gain;
        match g.high {
            Some(_) => format!("{} [{}, {}]", x(g.value), x(g.low), x(g.high)),
            None => x(g.value),
        }
    };
    if let Some(all) = found.worth.first() {
        let instead = match (all.gain.instead, all.gain.n) {
            (Some(a), n) => format!(
                "; {} is then chosen most often instead, another in {:.0} % of sets",
                model.arms[found.arms[a]].name,
                100.0 * all.gain.changes as f64 / n as f64
            ),
            (None, _) if all.gain.verdict == Verdict::Cannot => {
                "; nothing changes the choice".into()
            }
            (None, _) => format!("; {}", all.gain.note),
        };
        let now: String =
            chosen_now(model, decision, found).iter().map(|s| format!("; {s}")).collect();
        let known = format!("Knowing everything: {}{instead}.", told(all));
        out.push_str(&wrapped(&format!("Chosen now: {chosen}{now}. {known}")));
    }
    for (like, words) in [("group", "groups"), ("parameter", "numbers")] {
        out.push_str(&leaders(found, like, words, &told));
    }
    out
}

/// The leading groups or parameters that could change the choice, and how many cannot.
fn leaders(found: &Value, like: &str, words: &str, told: &dyn Fn(&Worth) -> String) -> String {
    let all: Vec<&Worth> = found.worth.iter().filter(|w| kind(&w.known).0 == like).collect();
    if all.is_empty() {
        return String::new();
    }
    let of = |v: Verdict| all.iter().filter(|w| w.gain.verdict == v).count();
    let mut could: Vec<&&Worth> = all.iter().filter(|w| w.gain.verdict == Verdict::Could).collect();
    could.sort_by(|a, b| b.gain.value.unwrap_or(0.0).total_cmp(&a.gain.value.unwrap_or(0.0)));
    let name = |w: &&&Worth| format!("{} {}", kind(&w.known).1, told(w));
    let first: Vec<String> = could.iter().take(NAMED).map(name).collect();
    let led = match first.is_empty() {
        true => String::new(),
        false => format!(": {}", first.join("; ")),
    };
    wrapped(&format!(
        "Of {} {words}, {} could change the choice{led}; {} cannot; {} are not told apart from \
        noise (of those that tell nothing 1 in 20 is said to change it).",
        all.len(),
        could.len(),
        of(Verdict::Cannot),
        of(Verdict::Unclear)
    ))
}
