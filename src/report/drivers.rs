//! `drivers.csv`, `paths.csv`, and the lines on them in the summary.

use super::columns;
use super::figures::{figure, first_large};
use super::screen::Screen;
use super::table::{Cell, Table};
use crate::measure::glossary::{CONTRIBUTORS, title};
use crate::model::Model;
use crate::outcome::Record;
use crate::study::drivers::{Books, Importance, Kind, OUTCOMES, Outcome, Paths, importance, items};
use std::collections::BTreeMap;

/// `drivers.csv`: every item of every architecture, those that never came up included.
pub fn drivers(model: &Model, books: &Books) -> Table {
    let mut t = Table::new(columns::DRIVERS);
    for (a, arm) in model.arms.iter().enumerate() {
        for (outcome, measure) in OUTCOMES {
            for (i, item) in items(model, a).iter().enumerate() {
                let lost = item.lost_at.is_some();
                let e = importance(&books.arms[a], i, outcome, lost);
                let mut row = vec![
                    Cell::text(&arm.name),
                    Cell::text(measure),
                    Cell::Free(item.name(model, a)),
                    Cell::text(item.kind.word()),
                ];
                for v in [e.participation, e.removal, e.achievement, e.birnbaum] {
                    row.extend([v.value, v.low, v.high].map(Cell::maybe));
                }
                let note = noted(&e, books.arms[a].items[i].crossed, item.kind);
                row.extend([Cell::Whole(e.n_used), Cell::text(e.method), Cell::text(note)]);
                t.push(row);
            }
        }
    }
    t
}

fn noted(e: &Importance, crossed: u64, kind: Kind) -> String {
    if kind == Kind::Redundancy {
        return e.note.clone();
    }
    let word = if kind == Kind::WayBack { TRIED } else { OCCURRED };
    let mut notes = vec![format!("{word} in {crossed} of {} campaigns", e.n_used)];
    if !e.note.is_empty() {
        notes.push(e.note.clone());
    }
    notes.join("; ")
}

/// Words of a note on an item that came up: a failure or hazard, a path of contingency ingress.
const OCCURRED: &str = "occurred";
const TRIED: &str = "tried";

/// In how many campaigns an item occurred (or a path was tried), as the note of its row says.
pub(super) fn occurred(note: &str) -> Option<u64> {
    let rest = note.strip_prefix(OCCURRED).or_else(|| note.strip_prefix(TRIED))?;
    rest.strip_prefix(" in ")?.split(' ').next()?.parse().ok()
}

/// What takes part, then the ways back that were tried, in their order.
fn chain(model: &Model, arm: usize, record: Record) -> (String, u64) {
    let all = items(model, arm);
    let mut out: [Vec<String>; 2] = Default::default();
    for item in all.iter().filter(|i| i.came_up(record)) {
        out[usize::from(item.kind == Kind::WayBack)].push(item.name(model, arm));
    }
    let [first, ways] = out;
    let order = first.len() as u64;
    let begin = if first.is_empty() { "no failure".into() } else { first.join(" + ") };
    ([vec![begin], ways].concat().join(" -> "), order)
}

/// `paths.csv`: chains most frequent first; the last row of each outcome: what was not seen.
pub fn paths(model: &Model, books: &Books) -> Table {
    let mut t = Table::new(columns::PATHS);
    for (a, arm) in model.arms.iter().enumerate() {
        for (o, (_, measure)) in OUTCOMES.into_iter().take(2).enumerate() {
            let paths = &books.arms[a].paths[o];
            let n = paths.total;
            let mut sum = 0;
            for p in paths.sorted() {
                sum += p.count;
                let (text, order) = chain(model, a, p.record);
                let word = if o == Outcome::Missed as usize { "missed" } else { "late" };
                let share = |k: u64| Cell::Number(k as f64 / n as f64);
                t.push(vec![
                    Cell::text(&arm.name),
                    Cell::text(measure),
                    Cell::Free(format!("{text} -> {word}")),
                    Cell::Whole(order),
                    Cell::Whole(p.count),
                    share(p.count),
                    share(sum),
                    Cell::Whole(p.example),
                    Cell::Whole(n),
                    Cell::text("counted; contributors by replays on common random numbers"),
                    Cell::Empty,
                ]);
            }
            if paths.others() > 0 {
                t.push(others(paths, &arm.name, measure));
            }
            t.push(unseen(books, a, &arm.name, o, measure));
        }
    }
    t
}

/// Name of the row of all chains that are not kept.
pub(super) const OTHER_PATHS: &str = "other paths";

fn others(paths: &Paths, arm: &str, measure: &str) -> Vec<Cell> {
    let (n, k) = (paths.total, paths.others());
    let note = format!("all paths but the {} in the rows above", paths.sorted().len());
    vec![
        Cell::text(arm),
        Cell::text(measure),
        Cell::text(OTHER_PATHS),
        Cell::Empty,
        Cell::Whole(k),
        Cell::Number(k as f64 / n as f64),
        Cell::Number(1.0),
        Cell::Empty,
        Cell::Whole(n),
        Cell::text("counted together"),
        Cell::text(note),
    ]
}

fn unseen(books: &Books, a: usize, arm: &str, o: usize, measure: &str) -> Vec<Cell> {
    let (paths, all) = (&books.arms[a].paths[o], &books.arms[a].all[o]);
    let mut row = vec![Cell::text(arm), Cell::text(measure), Cell::text("not seen so far")];
    row.extend([Cell::Empty, Cell::Whole(0)]);
    let n = all.n.max(1) as f64;
    let (share, note, method) = match paths.unseen() {
        Some(u) => {
            let per = all.up as f64 / n;
            let note = format!(
                "share {}, below {} (one-sided 95 %); per campaign below {}",
                figure(u.share),
                figure(u.high),
                figure(u.high * per)
            );
            (Cell::Number(u.share), note, "Good-Turing, limit by Esty")
        }
        None => {
            let bound = crate::stats::interval::none_seen_upper(n, 0.05);
            let note = format!("outcome not seen; per campaign below {} (95 %)", figure(bound));
            (Cell::Empty, note, "upper95 one-sided")
        }
    };
    row.extend([share, Cell::Empty, Cell::Empty]);
    row.extend([Cell::Whole(all.n), Cell::text(method), Cell::text(note)]);
    row
}

/// Fewer events than that rank nothing.
pub(super) const FEW: u64 = 30;

/// Lines of the summary: the top contributors to safe havens not reached and to lost hours; of the
/// first nothing where none was seen, which stands in the table.
pub(super) fn driver_lines(model: &Model, books: &Books, screen: Screen) -> String {
    let of = |(o, name): (Outcome, &str)| {
        let found = top(model, books, o)?;
        let head = format!("{} to {}", first_large(title(CONTRIBUTORS)), title(name));
        Some(screen.wrap(&format!("{head}: {found}."), "", "  "))
    };
    let outcomes = [(Outcome::Missed, "campaign_haven_missed"), (Outcome::Hours, "eva_lost_h")];
    outcomes.into_iter().filter_map(of).collect()
}

/// The item without which most would go over all architectures, and its range; `None` if the outcome was
/// not seen. The page goes by the same order.
fn top(model: &Model, books: &Books, o: Outcome) -> Option<String> {
    let arms = model.arms.len();
    let events = |a: usize| books.arms[a].all[o as usize].up;
    let seen = (0..arms).map(events).sum::<u64>();
    let many: Vec<usize> = (0..arms).filter(|a| events(*a) >= FEW).collect();
    // Hours are a quantity, not a count of events.
    if many.is_empty() && o == Outcome::Missed || seen == 0 {
        return match seen {
            0 => None,
            1 => Some("1 event is too few to rank".into()),
            n => Some(format!("{n} events are too few to rank")),
        };
    }
    let mut all: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for a in 0..arms {
        let items = items(model, a);
        for (i, item) in items.iter().enumerate().filter(|(_, x)| x.kind.strikes()) {
            let e = importance(&books.arms[a], i, o, item.lost_at.is_some());
            let goes = e.removal.value.filter(|x| *x > 0.0);
            all.entry(item.name(model, a)).or_default().extend(goes);
        }
    }
    let sum = |v: &[f64]| v.iter().sum::<f64>();
    let best = all.iter().max_by(|x, y| sum(x.1).total_cmp(&sum(y.1)));
    let Some((name, v)) = best.filter(|(_, v)| sum(v) > 0.0) else {
        return Some("no single one stands out".into());
    };
    let low = 100.0 * v.iter().copied().fold(f64::INFINITY, f64::min);
    let high = 100.0 * v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(match format!("{low:.0}") == format!("{high:.0}") {
        true => format!("{low:.0} % would go without {name}"),
        false => format!("{low:.0} to {high:.0} % would go without {name}"),
    })
}
