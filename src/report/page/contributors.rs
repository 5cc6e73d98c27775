//! Top contributors: the failure modes and hazards without which most of an outcome would go, ranked
//! as the terminal ranks them.

use super::matrix::{Bar, Cell, Line, Matrix};
use super::part::{Figure, Grid, absent, tag};
use super::words::{FEW, MISSED, esc, name, num, percent, share};
use crate::report::book::{Book, Row};
use crate::report::contributors::{Share, Top, half, overall, ranked, top};
use crate::report::drivers::occurred;

/// Most items of an architecture.
const ITEMS: usize = 4;
/// Most items in the picture.
const ROWS: usize = 8;

/// What is driven.
struct Outcome<'a> {
    id: &'a str,
    title: &'a str,
    measure: &'a str,
    /// in a sentence
    of: &'a str,
}

/// The figures of the risk and of the hours lost.
pub(super) fn figures(book: &Book) -> String {
    let risk = Outcome {
        id: "fig-drivers",
        title: "Top contributors to a safe haven not reached in time",
        measure: MISSED,
        of: "campaigns in which a safe haven was not reached in time",
    };
    let hours = Outcome {
        id: "fig-drivers-hours",
        title: "Top contributors to EVA crew-hours lost",
        measure: "eva_lost_h",
        of: "EVA crew-hours lost",
    };
    figure(book, &risk) + &figure(book, &hours)
}

/// Contributors to a measure for one architecture, in the order of the terminal: by what share of it
/// would go without them, the largest first.
pub(super) fn contributors<'a>(book: &'a Book, arm: &'a str, measure: &'a str) -> Vec<Row<'a>> {
    let of = |r: &Row| {
        r.text("architecture") == arm
            && r.text("measure") == measure
            && !["way back", "redundancy"].contains(&r.text("kind"))
    };
    let rows: Vec<Row> = book.rows("drivers.csv").filter(of).collect();
    let part = |r: &Row| r.number("removal").unwrap_or(0.0);
    let shares: Vec<Share> = rows
        .iter()
        .map(|r| Share { arm: 0, item: r.text("item").into(), goes: part(r), half: None })
        .collect();
    let order = ranked(&shares, 0, None);
    let of = |s: &&Share| rows.iter().copied().find(|r| r.text("item") == s.item);
    order.iter().filter_map(of).collect()
}

/// The same; none where there are too few events to rank.
pub(super) fn of_enough<'a>(book: &'a Book, arm: &'a str, measure: &'a str) -> Vec<Row<'a>> {
    match measure == MISSED && events(book, arm, measure) < FEW {
        true => Vec::new(),
        false => contributors(book, arm, measure),
    }
}

/// Campaigns that were watched and had the outcome, by paths.csv.
pub(super) fn events(book: &Book, arm: &str, measure: &str) -> f64 {
    let of = |r: &Row| r.text("architecture") == arm && r.text("outcome") == measure;
    book.rows("paths.csv").filter(of).filter_map(|r| r.number("count")).sum()
}

fn figure(book: &Book, o: &Outcome) -> String {
    if book.sheet("drivers.csv").is_none() {
        let why = "This folder has no drivers.csv: contributors were not ranked in this run.";
        return absent(o.id, o.title, why);
    }
    let all: Vec<Vec<Row>> =
        book.arms().iter().map(|arm| contributors(book, arm, o.measure)).collect();
    let counted = o.measure == MISSED;
    let seen: Vec<Option<f64>> =
        book.arms().iter().map(|arm| counted.then(|| events(book, arm, o.measure))).collect();
    if all.iter().all(Vec::is_empty) {
        let why = match counted {
            true => "The outcome was not seen: 0 events, nothing to rank.",
            false => "Nothing was seen to contribute to it.",
        };
        return absent(o.id, o.title, why);
    }
    let enough = seen.iter().any(|n| n.is_none_or(|n| n >= FEW));
    let picture = if enough { picture(book, o, &all, &seen) } else { String::new() };
    let lead = sight(book, o, &all, &seen);
    let numbers = vec![grid(book, o.title, &all)];
    Figure { id: o.id, title: o.title, lead: &lead, picture, numbers }.explained(
        "Share of the outcome that would not occur if the item never did, with its 95 % \
        interval. Shares need not add up to 100 %: an outcome that takes two failures counts for \
        both. An item that occurred in fewer than 30 campaigns has no bar.",
    )
}

/// Shares of all architectures, and their events as a count.
fn shares(all: &[Vec<Row>], seen: &[Option<f64>]) -> (Vec<Share>, Vec<Option<u64>>) {
    let share = |arm: usize, r: &Row| Share {
        arm,
        item: r.text("item").into(),
        goes: r.number("removal").unwrap_or(0.0),
        half: half(r.number("removal_low95"), r.number("removal_high95")),
    };
    let own = |(a, rows): (usize, &Vec<Row>)| rows.iter().map(|r| share(a, r)).collect::<Vec<_>>();
    let events = seen.iter().map(|n| n.map(|n| n as u64)).collect();
    (all.iter().enumerate().flat_map(own).collect(), events)
}

/// Items of all architectures, those with the largest sum of shares first.
fn items(all: &[Vec<Row>], seen: &[Option<f64>]) -> Vec<String> {
    let (shares, events) = shares(all, seen);
    let mut items = overall(&shares, &events);
    let among =
        |rows: &Vec<Row>, item: &str| rows.iter().take(ITEMS).any(|r| r.text("item") == item);
    items.retain(|i| all.iter().any(|rows| among(rows, i)));
    // The first of an architecture is never left out.
    let leads =
        |i: &String| all.iter().any(|rows| rows.first().is_some_and(|r| r.text("item") == i));
    while items.len() > ROWS {
        let Some(at) = items.iter().rposition(|i| !leads(i)) else { break };
        items.remove(at);
    }
    items
}

fn picture(book: &Book, o: &Outcome, all: &[Vec<Row>], seen: &[Option<f64>]) -> String {
    let line = |item: &String| {
        let cell = |(a, rows): (usize, &Vec<Row>)| {
            let row = rows.iter().position(|r| r.text("item") == item);
            cell(row.map(|at| (at == 0, &rows[at])), seen[a])
        };
        let cells = all.iter().enumerate().map(cell).collect();
        Line { title: esc(item), cells, ..Line::default() }
    };
    let mut lines: Vec<Line> = items(all, seen).iter().map(line).collect();
    // One scale for the whole picture: shares of one outcome are compared down and across.
    let whole = lines.iter().flat_map(|l| l.cells.iter().filter_map(|c| c.bar));
    let most = whole.map(|b| b.most()).fold(0.0, f64::max).min(1.0);
    let scale = super::draw::Scale::linear(0.0, most);
    lines.iter_mut().for_each(|l| l.scale = Some(scale));
    let caption = format!("Fewer {} without it", o.of);
    let groups = vec![(String::new(), lines)];
    Matrix { caption: &caption, corner: "contributor", arms: book.arms(), groups }.html()
}

/// `row`: is it the first of its architecture, and its row; `seen`: events, where they are counted.
fn cell(row: Option<(bool, &Row)>, seen: Option<f64>) -> Cell {
    if let Some(n) = seen.filter(|n| *n < FEW) {
        let said = match n {
            0.0 => "0 events".to_string(),
            n => format!("{n:.0} events: too few to rank"),
        };
        return Cell { said: format!(r#"<span class="ci">{said}</span>"#), ..Cell::default() };
    }
    let Some((first, r)) = row else {
        return Cell { said: r#"<span class="ci">not seen</span>"#.into(), ..Cell::default() };
    };
    let x = r.number("removal").unwrap_or(0.0);
    let limits = r.number("removal_low95").zip(r.number("removal_high95"));
    let few = occurred(r.text("note")).is_some_and(|n| (n as f64) < FEW);
    let bar = match (few, limits) {
        (true, limits) => limits.map(|(l, h)| Bar::Interval(l, h)),
        (false, limits) => Some(Bar::Value(x, limits)),
    };
    let value = percent(x, limits.map(|(l, h)| 0.5 * (h - l)));
    let badge = if first { r#"<span class="best">&#9650; most</span>"# } else { "" };
    Cell { said: format!(r#"<span class="x">{value}</span>{badge}"#), bar, first }
}

/// What to see: who contributes most over all architectures, as the terminal says it; or that there are
/// too few events.
fn sight(book: &Book, o: &Outcome, all: &[Vec<Row>], seen: &[Option<f64>]) -> String {
    let (shares, events) = shares(all, seen);
    match top(&shares, &events) {
        Top::Item(item, range) => {
            let range = range.replace(" %", "\u{a0}%");
            let item = esc(&item);
            format!(
                "<i>{item}</i> contributes most: without it there would be {range} fewer {}.",
                o.of
            )
        }
        Top::Nobody | Top::Unseen => String::new(),
        Top::Few(_) => few(book, all, seen),
    }
}

/// That no architecture has events enough, and what was seen all the same.
fn few(book: &Book, all: &[Vec<Row>], seen: &[Option<f64>]) -> String {
    let counted: Vec<String> = seen
        .iter()
        .zip(book.arms())
        .filter_map(|(n, arm)| n.filter(|n| *n > 0.0).map(|n| format!("{n:.0} with {}", name(arm))))
        .collect();
    let (shares, events) = shares(all, seen);
    let every = vec![None; events.len()];
    let first = overall(&shares, &every);
    let seen: Vec<String> = first.iter().take(3).map(|i| format!("<i>{}</i>", esc(i))).collect();
    format!(
        "No architecture has {FEW} events ({}): too few to rank; those seen to contribute include {}.",
        super::words::listed(&counted),
        super::words::listed(&seen)
    )
}

fn grid(book: &Book, title: &str, all: &[Vec<Row>]) -> Grid {
    let header = ["item", "architecture", "kind", "contributes to", "would go without it", "note"];
    let mut grid = Grid::new(title, &header);
    let interval = |r: &Row, column: &str| {
        let x = r.number(column).map_or("not estimable".into(), share);
        let limit = |end: &str| r.number(&format!("{column}_{end}95"));
        match (limit("low"), limit("high")) {
            (Some(l), Some(h)) => format!("{x} ({} to {})", share(l), share(h)),
            _ => x,
        }
    };
    for (a, rows) in all.iter().enumerate() {
        for r in rows.iter().take(2 * ITEMS) {
            grid.rows.push(vec![
                esc(r.text("item")),
                tag(a, &book.arms()[a]),
                esc(r.text("kind")),
                interval(r, "participation"),
                interval(r, "removal"),
                esc(r.text("note")),
            ]);
        }
    }
    if let Some(n) = all.iter().flatten().find_map(|r| r.number("n_used")) {
        grid.caption = format!("{title}; {} campaigns", num(n));
    }
    grid
}
