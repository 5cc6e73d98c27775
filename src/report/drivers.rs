//! `drivers.csv`, `paths.csv`, and the lines on them in the summary.

use super::columns;
use super::contributors::{self, Share, Top};
use super::figures::{figure, first_large};
use super::screen::Screen;
use super::table::{Cell, Table};
use crate::measure::glossary::{CONTRIBUTORS, title};
use crate::model::Model;
use crate::outcome::Record;
use crate::study::drivers::{Books, Importance, Kind, OUTCOMES, Outcome, Paths, importance, items};

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

/// Most contributors of an architecture that are named where everything is said.
const NAMED: usize = 3;

/// Lines of the summary: the top contributors to safe havens not reached and to hours lost, over all
/// architectures, and of each where everything is said; of the first nothing where none was seen.
pub(super) fn driver_lines(model: &Model, books: &Books, screen: Screen) -> String {
    let of = |(o, name): (Outcome, &str)| {
        let (shares, events) = shares(model, books, o);
        let found = match contributors::top(&shares, &events) {
            Top::Unseen => return None,
            Top::Few(1) => "1 event: too few to rank".into(),
            Top::Few(n) => format!("{n} events: too few to rank"),
            Top::Nobody => "no single one stands out".into(),
            Top::Item(item, range) => format!("{item}; without it {range} less"),
        };
        let head = format!("{} to {}", first_large(title(CONTRIBUTORS)), title(name));
        let mut out = screen.wrap(&format!("{head}: {found}."), "", "  ");
        if screen.verbose {
            for (a, arm) in model.arms.iter().enumerate() {
                let text = format!("{}: {}", arm.name, named(&shares, a, events[a]));
                out.push_str(&screen.wrap(&text, "  ", "    "));
            }
        }
        Some(out)
    };
    let outcomes = [(Outcome::Missed, "campaign_haven_missed"), (Outcome::Hours, "eva_lost_h")];
    outcomes.into_iter().filter_map(of).collect()
}

/// The contributors of an architecture in words.
fn named(shares: &[Share], arm: usize, events: Option<u64>) -> String {
    if !contributors::enough(events) {
        return match events {
            Some(0) => "0 events".into(),
            Some(1) => "1 event: too few to rank".into(),
            n => format!("{} events: too few to rank", n.unwrap_or(0)),
        };
    }
    let all = contributors::ranked(shares, arm, events);
    let one = |s: &&Share| format!("{} ({} %)", s.item, s.percent());
    match all.len() {
        0 => "none seen".into(),
        _ => all.iter().take(NAMED).map(one).collect::<Vec<_>>().join(", "),
    }
}

/// What would go of an outcome without each item, and the events of every architecture: hours are a
/// quantity, not a count of events. As in `drivers.csv` and `paths.csv`, from which the page has them.
fn shares(model: &Model, books: &Books, o: Outcome) -> (Vec<Share>, Vec<Option<u64>>) {
    let mut out = Vec::new();
    for arm in 0..model.arms.len() {
        for (i, item) in items(model, arm).iter().enumerate().filter(|(_, x)| x.kind.strikes()) {
            let e = importance(&books.arms[arm], i, o, item.lost_at.is_some());
            if let Some(goes) = e.removal.value.filter(|x| *x > 0.0) {
                let half = contributors::half(e.removal.low, e.removal.high);
                out.push(Share { arm, item: item.name(model, arm), goes, half });
            }
        }
    }
    let events = |a: usize| (o == Outcome::Missed).then(|| books.arms[a].all[o as usize].up);
    (out, (0..model.arms.len()).map(events).collect())
}
