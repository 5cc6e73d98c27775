//! Where the numbers of the files come from: all entries, folded, and before them the assumed ones that
//! decide what the page says.

use super::contributors::of_enough;
use super::part::{Grid, unfold};
use super::words::{MISSED, cell, esc, listed, path};
use crate::report::book::{Book, Row, Sheet};

/// Contributors of an architecture of which the assumptions count as deciding.
const FIRST: usize = 3;
/// Bases in the order in which they are told.
const ORDER: [&str; 4] = ["assumed", "not stated", "common practice", "published"];

/// The section.
pub(super) fn assumptions(book: &Book) -> String {
    let Some(sheet) = book.sheet("assumptions.csv") else {
        return "<p class=\"note\">This folder has no assumptions.csv.</p>".into();
    };
    let count = |basis: &str| sheet.all().filter(|r| r.text("basis") == basis).count();
    let counts: Vec<String> =
        ORDER.iter().filter(|b| count(b) > 0).map(|b| format!("{} {b}", count(b))).collect();
    let mut out = format!(
        "<p>{} entries of the files say where they come from: {}. An entry counts as assumed when \
         any of its values is.</p>",
        sheet.rows.len(),
        listed(&counts)
    );
    out.push_str(&deciding(book, sheet));
    let mut all: Vec<&str> = sheet.all().map(|r| r.text("basis")).collect();
    all.sort_by_key(|b| ORDER.iter().position(|o| o == b).unwrap_or(ORDER.len()));
    all.dedup();
    for basis in all {
        let rows: Vec<Row> = sheet.all().filter(|r| r.text("basis") == basis).collect();
        let summary =
            format!("{} <span class=\"count\">({} entries)</span>", esc(basis), rows.len());
        let mut grid = Grid::new(&format!("entries: {basis}"), HEADER);
        grid.rows.extend(rows.iter().map(entry));
        out.push_str(&unfold(&summary, &grid.html()));
    }
    out
}

const HEADER: &[&str] = &["entry", "value", "source", "file and line"];

fn entry(r: &Row) -> Vec<String> {
    vec![
        path(r.text("key_path")),
        cell(r.text("value")),
        cell(r.text("source")),
        format!("{}, {}", cell(r.text("file")), esc(r.text("line"))),
    ]
}

/// Assumed entries that decide: those of limits, which verdicts go by, and those named like a top
/// contributor.
fn deciding(book: &Book, sheet: &Sheet) -> String {
    let names = names(book);
    let mut grid = Grid::new("assumed entries that decide", &["entry", "value", "decides"]);
    for r in sheet.all().filter(|r| ["assumed", "not stated"].contains(&r.text("basis"))) {
        let key = r.text("key_path");
        let why = match key.split('.').collect::<Vec<_>>().as_slice() {
            ["limit", name, ..] => format!("the verdict on limit <i>{}</i>", esc(name)),
            parts => match names.iter().find(|(name, _)| parts.contains(&name.as_str())) {
                Some((_, of)) => format!("a top contributor to {}", listed(of)),
                None => continue,
            },
        };
        grid.rows.push(vec![path(key), cell(r.text("value")), why]);
    }
    match grid.rows.is_empty() {
        true => "<p>No limit and no top contributor rests on an entry that is assumed.</p>".into(),
        false => grid.html(),
    }
}

/// Names of the top contributors, with what each contributes to.
fn names(book: &Book) -> Vec<(String, Vec<String>)> {
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    let outcomes =
        [(MISSED, "a safe haven not reached in time"), ("eva_lost_h", "EVA crew-hours lost")];
    for (measure, words) in outcomes {
        for arm in book.arms() {
            for r in of_enough(book, arm, measure).iter().take(FIRST) {
                let name = r.text("item");
                let at = out.iter().position(|o| o.0 == name).unwrap_or_else(|| {
                    out.push((name.into(), Vec::new()));
                    out.len() - 1
                });
                if !out[at].1.iter().any(|w| w == words) {
                    out[at].1.push(words.into());
                }
            }
        }
    }
    out
}
