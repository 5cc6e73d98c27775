//! A map over the levels of two factors of a grid: which of two architectures is lower, and by how much.

use super::super::draw::{Picture, Side};
use super::super::part::{Figure, Grid, tag};
use super::super::words::{esc, headed, num, signed, unit_words};
use super::{id, with_unit};
use crate::report::book::{Book, Row};
use crate::report::manifest::{FactorFacts, SweepFacts};

const CELL: f64 = 40.0;
const TOP: f64 = 8.0;
/// Width of the column of levels, per cent.
const LEFT: f64 = 16.0;

/// A map for each measure of the difference of the first two architectures, or of the only one.
pub(super) fn figures(book: &Book, facts: &SweepFacts) -> String {
    match (facts.design.as_str(), facts.factors.as_slice()) {
        ("grid", [a, b]) => facts.measures.iter().map(|m| pairs(book, a, b, m)).collect(),
        _ => String::new(),
    }
}

fn pairs(book: &Book, a: &FactorFacts, b: &FactorFacts, measure: &str) -> String {
    let arms = book.arms();
    let pairs = (1..arms.len()).map(|j| map(book, (a, b), measure, (0, j)));
    pairs.collect()
}

/// One map: the later less the first, level by level.
fn map(
    book: &Book,
    (a, b): (&FactorFacts, &FactorFacts),
    measure: &str,
    (first, other): (usize, usize),
) -> String {
    let arms = book.arms();
    let rows: Vec<Row> = book.rows("sweep.csv").filter(|r| r.text("measure") == measure).collect();
    let unit = rows.first().map_or("", |r| r.text("unit"));
    let (down, across) = (levels(&rows, a), levels(&rows, b));
    let mean = |arm: &str, x: &str, y: &str| {
        let at = |r: &&Row| {
            r.text("architecture") == arm && r.text(&a.name) == x && r.text(&b.name) == y
        };
        rows.iter().find(at).and_then(|r| r.number("mean"))
    };
    let gap = |x: &str, y: &str| Some(mean(&arms[other], x, y)? - mean(&arms[first], x, y)?);
    let most = down
        .iter()
        .flat_map(|x| across.iter().filter_map(|y| gap(x, y)))
        .fold(0.0_f64, |m, g| m.max(g.abs()));
    let mut p = Picture::new(TOP + CELL * down.len() as f64 + 40.0);
    let width = (100.0 - LEFT) / across.len().max(1) as f64;
    let title = format!("{}: {} less {}", headed(measure), arms[other], arms[first]);
    let name = |f: &FactorFacts, text: &str| {
        text.parse::<f64>().map_or(text.to_string(), |x| with_unit(x, &f.unit))
    };
    let mut grid = Grid::new(&title, &[&a.name, &b.name, "difference"]);
    for (i, x) in down.iter().enumerate() {
        let top = TOP + CELL * i as f64;
        p.text((0.0, top + 0.6 * CELL), Side::Start, "tick", &name(a, x));
        for (j, y) in across.iter().enumerate() {
            let left = LEFT + width * j as f64;
            let g = gap(x, y);
            p.rect((left, width), (top, CELL), &format!("heat {}", shade(g, most)));
            let text = g.map_or("?".to_string(), signed);
            p.text((left + 0.5 * width, top + 0.6 * CELL), Side::Middle, "", &text);
            let said = g.map_or("not estimable".into(), signed);
            grid.rows.push(vec![name(a, x), name(b, y), said]);
        }
    }
    let foot = TOP + CELL * down.len() as f64;
    for (j, y) in across.iter().enumerate() {
        let middle = LEFT + width * (j as f64 + 0.5);
        p.text((middle, foot + 16.0), Side::Middle, "tick", &name(b, y));
    }
    p.text((LEFT + 0.5 * (100.0 - LEFT), foot + 33.0), Side::Middle, "tick", &b.name);
    let fig = format!("{}-{other}", id("map", measure));
    let lead = lead((first, other), arms, unit, (a, b), most);
    let picture =
        p.finish(&fig, &title, &format!("A table of differences, at most {}.", num(most)));
    Figure { id: &fig, title: &title, lead: &lead, picture, numbers: vec![grid] }.html()
}

/// Levels of a factor in the order of the rows.
fn levels<'a>(rows: &[Row<'a>], f: &FactorFacts) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for r in rows {
        if !all.contains(&r.text(&f.name)) {
            all.push(r.text(&f.name));
        }
    }
    all
}

/// What a map shows.
fn lead(
    (first, other): (usize, usize),
    arms: &[String],
    unit: &str,
    (a, b): (&FactorFacts, &FactorFacts),
    most: f64,
) -> String {
    format!(
        "{} less {} in {}; rows: {}, columns: {}. Blue: {} is lower; orange: {} is; the darker \
        the more, up to {}. Intervals of the crossings are in crossings.csv.",
        tag(other, &arms[other]),
        tag(first, &arms[first]),
        if unit.is_empty() { "its own unit".to_string() } else { unit_words(unit) },
        esc(&a.name),
        esc(&b.name),
        esc(&arms[other]),
        esc(&arms[first]),
        num(most)
    )
}

/// Colour by sign, depth by size.
fn shade(gap: Option<f64>, most: f64) -> String {
    match gap {
        Some(g) if most > 0.0 && g != 0.0 => {
            let depth = (4.0 * g.abs() / most).ceil().clamp(1.0, 4.0);
            format!("{} f{depth}", if g < 0.0 { "lower" } else { "higher" })
        }
        _ => "f0".into(),
    }
}
