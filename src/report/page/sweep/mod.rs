//! The page of a sweep: what it says in short, its figures, its tables.

mod answer;
mod bars;
mod curves;
mod heat;
mod plane;

use super::part::absent;
use super::words::{esc, num, unit_words};
use super::{Section, assumptions, tables};
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
