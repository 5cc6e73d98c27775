//! What a sweep says in short: where architectures change places, and which factors move the choice.

use super::super::part::{Grid, tag, unfold};
use super::super::words::{esc, headed, num, sentence_case};
use super::{analysis, with_unit};
use crate::report::book::{Book, Row};
use crate::report::manifest::SweepFacts;

/// Analyses that rank factors, the one that says most first, with the index that is ranked.
const RANKED: &[(&str, &str)] = &[
    ("Sobol' indices", "total"),
    ("elementary effects", "mu star"),
    ("one at a time", "swing"),
    ("partial rank correlation", "correlation"),
];
/// Factors named for each choice.
const NAMED: usize = 3;

/// The section.
pub(super) fn answer(book: &Book, facts: &SweepFacts) -> String {
    let mut out = crossings(book);
    let ranked = RANKED.iter().find(|(name, _)| analysis(book, name).next().is_some());
    if let Some(&(name, index)) = ranked {
        out.push_str(&factors(book, facts, name, index));
    }
    if out.is_empty() {
        out.push_str("<p>The tables below hold every point; no index was computed.</p>");
    }
    out
}

/// Where two change places.
fn crossings(book: &Book) -> String {
    let rows: Vec<Row> = book.rows("crossings.csv").collect();
    let crossed: Vec<&Row> = rows.iter().filter(|r| r.number("crossing").is_some()).collect();
    if rows.is_empty() {
        return String::new();
    }
    let mut out = match crossed.is_empty() {
        true => "<p class=\"headline\">Nowhere in the ranges swept do two architectures change \
                 places.</p>"
            .to_string(),
        false => format!(
            "<p class=\"headline\">Two architectures change places on {} of {} lines.</p>",
            crossed.len(),
            rows.len()
        ),
    };
    let header =
        ["measure", "along", "while", "crossing", "lower below it", "lower above it", "note"];
    let mut grid = Grid::new("where two architectures change places", &header);
    let mut quiet = Grid::new("lines on which they do not", &header);
    for r in &rows {
        let unit = r.text("unit");
        let at = match (r.number("crossing"), r.number("low95"), r.number("high95")) {
            (None, ..) => "none".to_string(),
            (Some(x), Some(l), Some(h)) => {
                format!("{} ({} to {})", with_unit(x, unit), num(l), num(h))
            }
            (Some(x), ..) => with_unit(x, unit),
        };
        let names = [r.text("below"), r.text("above")].map(|arm| {
            let place = book.arms().iter().position(|a| a == arm);
            place.map_or(esc(arm), |a| tag(a, arm))
        });
        let [below, above] = names;
        let held = if r.text("held").is_empty() { "" } else { r.text("held") };
        let grid = if r.number("crossing").is_some() { &mut grid } else { &mut quiet };
        grid.rows.push(vec![
            esc(&headed(r.text("measure"))),
            esc(r.text("factor")),
            esc(held),
            at,
            below,
            above,
            esc(r.text("note")),
        ]);
    }
    if !grid.rows.is_empty() {
        out.push_str(&grid.html());
    }
    if !quiet.rows.is_empty() {
        let summary = format!("Lines without a crossing ({})", quiet.rows.len());
        out.push_str(&unfold(&summary, &quiet.html()));
    }
    out
}

/// Which factors move the difference between two architectures, most first; those below the noise floor
/// are counted and not named.
fn factors(book: &Book, facts: &SweepFacts, name: &'static str, index: &str) -> String {
    let header = ["measure", "architecture", "less", "moved most by", "below the noise floor"];
    let mut grid = Grid::new(&format!("which factors move a choice ({name}, {index})"), &header);
    let rows: Vec<Row> = analysis(book, name)
        .filter(|r| r.text("index") == index && !r.text("factor").is_empty())
        .filter(|r| r.text("scale") == "plain")
        .collect();
    let mut seen: Vec<[&str; 3]> = Vec::new();
    for r in &rows {
        let key = ["measure", "architecture", "reference"].map(|c| r.text(c));
        if !seen.contains(&key) {
            seen.push(key);
        }
    }
    let differences = seen.iter().any(|k| !k[2].is_empty());
    for key in seen.into_iter().filter(|k| !differences || !k[2].is_empty()) {
        let own = |r: &&Row| ["measure", "architecture", "reference"].map(|c| r.text(c)) == key;
        let mut of: Vec<&Row> = rows.iter().filter(own).collect();
        let size = |r: &Row| r.number("value").map_or(f64::NEG_INFINITY, f64::abs);
        of.sort_by(|a, b| size(b).total_cmp(&size(a)));
        let below = |r: &&&Row| !super::loud(r);
        let quiet = of.iter().filter(below).count();
        let loud = of.iter().filter(|r| !below(r)).take(NAMED);
        let named: Vec<String> = loud
            .map(|r| {
                let x = r.number("value").unwrap_or(0.0);
                format!("{} ({})", esc(r.text("factor")), with_unit(x, r.text("unit")))
            })
            .collect();
        let place = |arm: &str| book.arms().iter().position(|a| a == arm).unwrap_or(0);
        let less = if key[2].is_empty() { String::new() } else { tag(place(key[2]), key[2]) };
        grid.rows.push(vec![
            esc(&headed(key[0])),
            tag(place(key[1]), key[1]),
            less,
            if named.is_empty() { "none above the noise floor".into() } else { named.join(", ") },
            format!("{quiet} of {}", facts.factors.len()),
        ]);
    }
    format!(
        "<p>{} of every difference between two architectures on common random numbers. Whether a \
        factor below the noise floor matters, this sweep cannot tell.</p>{}",
        sentence_case(name),
        grid.html()
    )
}
