//! How people came in: demands for a safe haven by the way in which they ended. Shares differ by
//! powers of ten, so that each row has a scale of its own.

use super::matrix::{Bar, Cell, Line, Matrix};
use super::part::{Figure, Grid, absent};
use super::words::{FEW, esc, num, percent};
use crate::report::book::{Book, Row};

const TITLE: &str = "How people came in";
/// Ways back in the picture, at most.
const WAYS: usize = 6;

/// An outcome with its row of each architecture.
struct Outcome<'a> {
    name: &'a str,
    rows: Vec<Option<Row<'a>>>,
}

impl Outcome<'_> {
    fn persons(&self) -> f64 {
        self.rows.iter().flatten().filter_map(|r| r.number("demands")).sum()
    }
}

/// The figure.
pub(super) fn havens(book: &Book) -> String {
    let outcomes = outcomes(book);
    if outcomes.is_empty() {
        let why = "This folder has no havens.csv, or nobody went out.";
        return absent("fig-havens", TITLE, why);
    }
    let is_end = |o: &&Outcome| ["planned", "late", "missed"].contains(&o.name);
    let mut ways: Vec<&Outcome> =
        outcomes.iter().filter(|o| !is_end(o) && o.persons() > 0.0).collect();
    ways.sort_by(|x, y| y.persons().total_cmp(&x.persons()));
    let all = ways.len();
    ways.truncate(WAYS);
    let first = outcomes.iter().filter(|o| o.name == "planned");
    let last = outcomes.iter().filter(|o| ["late", "missed"].contains(&o.name));
    let lines: Vec<Line> = first.chain(ways.iter().copied()).chain(last).map(line).collect();
    let picture = Matrix {
        caption: "Share of all demands for a safe haven",
        corner: "came in by",
        arms: book.arms(),
        groups: vec![(String::new(), lines)],
    };
    let lead = sight(&outcomes, all, ways.len());
    let numbers = vec![grid(book, &outcomes)];
    let picture = picture.html();
    Figure { id: "fig-havens", title: TITLE, lead: &lead, picture, numbers }.explained(
        "A demand is a person outside who needs a safe haven; \u{2013}: the architecture has no \
        such path. Each row has a scale of its own, from 0; the dark part is the 95 % interval \
        with campaigns as clusters. Fewer than 30 persons have no bar. The bound of what \
        was never seen goes by the number of campaigns, not of persons: what befalls the persons \
        of one campaign is not independent.",
    )
}

/// Outcomes in the order of the file.
fn outcomes(book: &Book) -> Vec<Outcome<'_>> {
    let mut out: Vec<Outcome> = Vec::new();
    let arms = book.arms();
    for r in book.rows("havens.csv") {
        let Some(a) = arms.iter().position(|arm| arm == r.text("architecture")) else { continue };
        let name = r.text("outcome");
        let at = out.iter().position(|o| o.name == name).unwrap_or_else(|| {
            out.push(Outcome { name, rows: vec![None; arms.len()] });
            out.len() - 1
        });
        out[at].rows[a] = Some(r);
    }
    out
}

/// What to see: which way back is used most, and how many are not shown.
fn sight(outcomes: &[Outcome], ways: usize, shown: usize) -> String {
    let end = |o: &&Outcome| ["planned", "late", "missed"].contains(&o.name);
    let most = outcomes
        .iter()
        .filter(|o| !end(o))
        .max_by(|x, y| x.persons().total_cmp(&y.persons()))
        .filter(|o| o.persons() > 0.0);
    let rest = match ways - shown.min(ways) {
        0 => String::new(),
        n => format!("; {n} rarer paths are in the table of numbers"),
    };
    match most {
        None => "Everybody came in as planned.".into(),
        Some(o) => format!(
            "Of the contingency ingress paths, <i>{}</i> is used most, by {:.0} persons in all{rest}.",
            esc(o.name),
            o.persons()
        ),
    }
}

fn line(o: &Outcome) -> Line {
    let title = match o.name {
        "planned" => "planned ingress".to_string(),
        "late" => "reached after life support ended".into(),
        "missed" => "safe haven not reached".into(),
        way => esc(way),
    };
    let cells = o.rows.iter().map(cell).collect();
    Line { title, cells, ..Line::default() }.scaled()
}

fn cell(row: &Option<Row>) -> Cell {
    let Some((r, x)) = row.as_ref().and_then(|r| Some((r, r.number("share")?))) else {
        return Cell { said: r#"<span class="ci">&#8211;</span>"#.into(), ..Cell::default() };
    };
    let limits = r.number("share_low95").zip(r.number("share_high95"));
    let half = limits.map(|(l, h)| 0.5 * (h - l));
    let persons = r.number("demands").unwrap_or(0.0);
    let (said, bar) = match (persons, limits) {
        (0.0, Some((_, high))) => (
            format!(
                r#"none seen <span class="ci">below {}</span>"#,
                percent(high, Some(0.1 * high))
            ),
            Some(Bar::Below(high)),
        ),
        (0.0, None) => ("none seen".into(), None),
        (n, _) if n < FEW => {
            let word = if n == 1.0 { "person" } else { "persons" };
            (format!("{n:.0} {word}"), limits.map(|(l, h)| Bar::Interval(l, h)))
        }
        _ => (percent(x, half), Some(Bar::Value(x, limits))),
    };
    Cell { said, bar, first: false }
}

/// Every outcome with its persons and shares.
fn grid(book: &Book, outcomes: &[Outcome]) -> Grid {
    let mut grid = Grid::new("persons by outcome, all campaigns (share of demands)", &["outcome"]);
    let arms = book.arms().iter().enumerate();
    grid.header.extend(arms.map(|(a, arm)| super::part::tag(a, arm)));
    for o in outcomes.iter().filter(|o| o.persons() > 0.0) {
        let cell = |r: &Option<Row>| match r {
            None => "\u{2013}".to_string(),
            Some(r) => match (r.number("demands"), r.number("share")) {
                (Some(0.0), _) => "none seen".into(),
                (Some(n), Some(x)) => format!("{n:.0} ({})", percent(x, None)),
                (n, _) => n.map_or("not estimable".into(), num),
            },
        };
        let cells = o.rows.iter().map(cell);
        grid.rows.push([esc(o.name)].into_iter().chain(cells).collect());
    }
    grid
}
