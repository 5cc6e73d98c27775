//! The page of a sweep: what it says in short, its figures, its tables.

mod answer;
mod bars;
mod curves;
mod heat;
mod plane;

use super::part::absent;
use super::words::{FEW, esc, headed, num, plain, unit_words};
use super::{Section, assumptions, tables};
use crate::measure::{Kind, measure};
use crate::report::book::{Book, Row};
use crate::report::manifest::SweepFacts;

/// What was played, in a sentence.
pub(super) fn setting(book: &Book, facts: &SweepFacts) -> String {
    let m = &book.manifest;
    let file = m.files.first().map_or("", String::as_str);
    let base = m.files.get(1).map_or("", String::as_str);
    format!(
        "{} points ({}), {} campaigns at each with {} architectures; <code>{}</code> over \
         <code>{}</code>, seed {}, {} {}. Random numbers of the points: {}: {}.",
        facts.points,
        esc(&facts.design),
        m.campaigns,
        m.architectures.len(),
        esc(file),
        esc(base),
        esc(&m.seed),
        esc(&m.program),
        esc(&m.version),
        esc(&facts.luck),
        esc(&facts.noise)
    )
}

/// Its sections.
pub(super) fn sections(book: &Book, facts: &SweepFacts) -> [Section; 7] {
    [
        ("answer", "Answer", answer::answer(book, facts)),
        ("figures", "Pictures", figures(book, facts)),
        ("tables", "Tables", tables::tables(book)),
        ("findings", "Check", tables::findings(book)),
        ("assumptions", "Assumptions", assumptions::assumptions(book)),
        ("cautions", "Cautions", tables::cautions(book)),
        ("repeat", "Repeat", tables::repeat(book)),
    ]
}

/// The figures that the design allows.
fn figures(book: &Book, facts: &SweepFacts) -> String {
    let all = [
        curves::figures(book, facts),
        heat::figures(book, facts),
        bars::tornado(book, facts),
        plane::figures(book, facts),
        bars::indices(book, facts),
        bars::ranks(book, facts),
    ]
    .concat();
    match all.is_empty() {
        true => absent("fig-sweep", "Figures of the sweep", "No measure was estimable anywhere."),
        false => all,
    }
}

/// A number with a unit, if it has one.
fn with_unit(x: f64, unit: &str) -> String {
    match unit {
        "" => num(x),
        unit => format!("{} {}", num(x), unit_words(unit)),
    }
}

/// A measure as the figures show it.
struct Shown<'a> {
    /// its name in the files
    name: &'a str,
    /// title and unit
    heading: String,
    /// what numbers of the files are multiplied by: shares are read in per cent
    times: f64,
    /// the unit as it is printed; empty for counts
    unit: String,
}

impl Shown<'_> {
    fn of(name: &str) -> Shown<'_> {
        let known = measure(name);
        let times = if known.is_some_and(|m| m.is_share()) { 100.0 } else { 1.0 };
        let unit = known.map_or(String::new(), |m| unit_words(m.shown_unit()));
        Shown { name, heading: headed(name), times, unit }
    }

    /// A number of a cell, as it is shown.
    fn number(&self, r: &Row, column: &str) -> Option<f64> {
        r.number(column).map(|x| x * self.times)
    }

    /// A number that is shown, with its unit.
    fn with_unit(&self, x: f64) -> String {
        with_unit(x, &self.unit)
    }

    /// Why it is not drawn: too few campaigns had the event that it counts. `None`: it is drawn.
    fn seldom(&self, book: &Book) -> Option<String> {
        if !measure(self.name).is_some_and(|m| matches!(m.kind, Kind::Flag | Kind::Count)) {
            return None;
        }
        let seen = |arm: &String| -> f64 {
            let of =
                |r: &Row| r.text("measure") == self.name && r.text("architecture") == arm.as_str();
            let count = |r: Row| Some(r.number("mean")? * r.number("n_used")?);
            book.rows("sweep.csv").filter(of).filter_map(count).sum()
        };
        let most = book.arms().iter().map(seen).fold(0.0, f64::max);
        match most {
            0.0 => Some(
                "Not seen in any campaign of any point: the tables have the upper bound.".into(),
            ),
            n if n < FEW => Some(format!(
                "No architecture has {FEW} events at all points together, {n:.0} are the most: too few \
                 to draw."
            )),
            _ => None,
        }
    }
}

/// Indices of this size and less are what rounding leaves of 0.
const ROUNDING: f64 = 1e-12;

/// Is an index above its noise floor? Where the floor is not known, everything but rounding is.
fn loud(r: &Row) -> bool {
    let floor = r.number("simulation_noise").unwrap_or(ROUNDING);
    r.number("value").is_some_and(|x| x.abs() > floor)
}

/// How many factors cannot be told from noise in any architecture.
fn below(quiet: usize, all: usize) -> String {
    let are = if quiet == 1 { "is" } else { "are" };
    format!("{quiet} of {all} factors {are} below the noise floor.")
}

/// The level of a factor, without digits that say nothing.
fn level(x: f64, unit: &str) -> String {
    let short = plain(x);
    let text = if short.len() <= 6 && short != "0" || x == 0.0 { short } else { num(x) };
    let text = text.replace('-', "\u{2212}");
    if unit.is_empty() { text } else { format!("{text} {}", unit_words(unit)) }
}

/// How often each of some names is there, the most first: "a at 3 of 5 points, b at 2".
fn counted(names: &[&str], of: usize) -> String {
    let mut all: Vec<(&str, usize)> = Vec::new();
    for name in names {
        match all.iter_mut().find(|(n, _)| n == name) {
            Some((_, count)) => *count += 1,
            None => all.push((name, 1)),
        }
    }
    all.sort_by_key(|(_, count)| usize::MAX - count);
    let one = |(i, (name, n)): (usize, &(&str, usize))| match i {
        0 => format!("{} at {n} of {of} points", esc(name)),
        _ => format!("{} at {n}", esc(name)),
    };
    all.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
}

/// Rows of `sensitivity.csv` of one analysis.
fn analysis<'a>(book: &'a Book, name: &'static str) -> impl Iterator<Item = Row<'a>> {
    book.rows("sensitivity.csv").filter(move |r| r.text("analysis") == name)
}

/// The value of an index of a factor for a measure of an architecture (no difference, plain scale).
fn index<'a>(rows: &[Row<'a>], factor: &str, name: &str) -> Option<Row<'a>> {
    rows.iter().find(|r| r.text("factor") == factor && r.text("index") == name).copied()
}

/// Rows of an analysis for a measure of an architecture itself.
fn of<'a>(book: &'a Book, name: &'static str, measure: &'a str, arm: &'a str) -> Vec<Row<'a>> {
    let own = |r: &Row| {
        r.text("measure") == measure
            && r.text("architecture") == arm
            && r.text("reference").is_empty()
            && r.text("scale") == "plain"
    };
    analysis(book, name).filter(own).collect()
}

/// A measure as an id of the page.
fn id(kind: &str, measure: &str) -> String {
    format!("fig-{kind}-{}", measure.replace('_', "-"))
}
