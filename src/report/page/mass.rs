//! Equivalent system mass, where the folder has it, and the break-even lengths of pairs.

use super::part::absent;
use super::stack::{PARTS, Stacked};
use super::words::{esc, listed, num};
use crate::report::book::{Book, Row};
use crate::report::mass::LIGHTER;

const TITLE: &str = "Equivalent system mass by part";

/// The figure.
pub(super) fn mass(book: &Book) -> String {
    if book.sheet("mass.csv").is_none() {
        let why = "This folder has no mass.csv: the campaign file gives no mass factors, or this \
            run did not compute them.";
        return absent("fig-mass", TITLE, why);
    }
    let all: Vec<Vec<(&str, f64)>> = book.arms().iter().map(|arm| parts(book, arm)).collect();
    let how = "Hardware, gas with its tanks, spares, power, volume and crew time are turned into mass \
               by the factors of the file; mass.csv gives their basis.";
    let parts = Stacked::from_rows(&all, "kg", true, PARTS);
    Stacked { measure: "system_mass_kg".into(), ..parts }.figure(book, "fig-mass", TITLE, how)
}

/// Parts of an architecture; a row of all parts together is none.
fn parts<'a>(book: &'a Book, arm: &str) -> Vec<(&'a str, f64)> {
    let rows = book.rows("mass.csv").filter(|r| r.text("architecture") == arm);
    let parts = rows.filter_map(|r| Some((r.text("part"), r.number("mass_kg")?)));
    parts.filter(|(p, _)| !["all", "total"].contains(p)).collect()
}

/// A sentence for each break-even in which an architecture takes part, and one for each way in which it
/// has none.
pub(super) fn break_evens(book: &Book, arm: &str) -> Vec<String> {
    let pairs: Vec<Row> = book
        .rows("breakeven.csv")
        .filter(|r| [r.text("architecture"), r.text("reference")].contains(&arm))
        .collect();
    let mut out: Vec<String> =
        pairs.iter().filter(|r| r.number("length_d").is_some()).filter_map(words).collect();
    // Without a length the note says which of the two is lighter.
    let others = |lighter: bool| -> Vec<String> {
        let none = pairs.iter().filter(|r| r.number("length_d").is_none());
        let which = none.filter_map(|r| {
            let (first, rest) = r.text("note").split_once(LIGHTER)?;
            let pair = [r.text("architecture"), r.text("reference")];
            let other = pair.into_iter().find(|n| *n != arm)?;
            let doubt = if rest.is_empty() { "" } else { " (an interval includes 0)" };
            ((first == arm) == lighter).then(|| format!("{}{doubt}", esc(other)))
        });
        which.collect()
    };
    for (word, names) in [("lighter", others(true)), ("heavier", others(false))] {
        if !names.is_empty() {
            out.push(format!("At any length {word} than {}.", listed(&names)));
        }
    }
    out
}

/// One break-even in words.
pub(super) fn words(r: &Row) -> Option<String> {
    let pair = (esc(r.text("architecture")), esc(r.text("reference")));
    let range = match (r.number("length_d_low95"), r.number("length_d_high95")) {
        (Some(l), Some(h)) => format!(" ({} to {})", num(l), num(h)),
        _ => String::new(),
    };
    let note = esc(r.text("note"));
    match r.number("length_d") {
        Some(d) => {
            let days = num(d);
            Some(format!(
                "{} and {} have the same mass at {days} days{range}: {note}.",
                pair.0, pair.1
            ))
        }
        None if note.is_empty() => None,
        None => Some(format!("{} and {}: {note}.", pair.0, pair.1)),
    }
}
