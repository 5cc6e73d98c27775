//! Limits of the campaign file: met, not met, undecided.

use super::matrix::{Cell, Line};
use super::words::{cell, esc, listed, percent, plain, rounded, spoken, unit_words};
use crate::measure::glossary::title;
use crate::report::book::{Book, Row};

/// How a limit stands, in a cell: sign and word.
fn verdict(r: &Row) -> &'static str {
    match r.text("verdict") {
        "met" => r#"<span class="met"><span aria-hidden="true">&#10003;</span> met</span>"#,
        "not met" => {
            r#"<span class="broken"><span aria-hidden="true">&#10007;</span> not met</span>"#
        }
        _ => r#"<span class="open-word"><span aria-hidden="true">?</span> undecided</span>"#,
    }
}

/// Rows of the limits, under a heading of their own; `None` without limits.
pub(super) fn group(book: &Book) -> Option<(String, Vec<Line>)> {
    let rows: Vec<Row> = book.rows("requirements.csv").collect();
    let mut names: Vec<&str> = Vec::new();
    for r in &rows {
        if !names.contains(&r.text("limit")) {
            names.push(r.text("limit"));
        }
    }
    let line = |limit: &&str| {
        let of = |arm: &String| {
            rows.iter().find(|r| r.text("limit") == *limit && r.text("architecture") == arm)
        };
        let any = rows.iter().find(|r| r.text("limit") == *limit);
        Line {
            title: format!("<i>{}</i>", esc(limit)),
            sub: any.map_or(String::new(), asks),
            cells: book.arms().iter().map(|arm| cell_of(of(arm))).collect(),
            ..Line::default()
        }
    };
    let lines: Vec<Line> = names.iter().map(line).collect();
    (!lines.is_empty()).then(|| ("Limits".into(), lines))
}

/// What a limit asks for, in words.
fn asks(r: &Row) -> String {
    let measure = r.text("measure");
    let words = esc(title(measure));
    let statistic = match r.text("statistic") {
        "mean" => String::new(),
        "p50" => ", median".into(),
        other => format!(", {}", esc(other)),
    };
    format!("{words}{statistic} {}", bound(r))
}

/// The bound as it was asked for; a small share as per cent.
fn bound(r: &Row) -> String {
    let text = r.text("bound");
    let share = spoken(r.text("measure")).is_some_and(|s| s.share);
    let number = |t: &str| t.rsplit(' ').next().and_then(|x| x.parse::<f64>().ok());
    match (share, number(text), text.split(' ').next()) {
        (true, Some(x), Some(word)) => format!("{} {}\u{a0}%", esc(word), plain(100.0 * x)),
        _ => unit_words(&cell(text)),
    }
}

fn cell_of(row: Option<&Row>) -> Cell {
    let Some(r) = row else { return Cell { said: "not asked".into(), ..Cell::default() } };
    let half = r.number("low95").zip(r.number("high95")).map(|(l, h)| 0.5 * (h - l));
    let share = spoken(r.text("measure")).is_some_and(|s| s.share);
    let value = match (r.number("estimate"), share) {
        (None, _) => "not estimable".to_string(),
        (Some(0.0), true) => "none seen".into(),
        (Some(x), true) => percent(x, half),
        (Some(x), false) => rounded(x, half),
    };
    let decide = r.number("campaigns_to_decide");
    let decide = decide.map(|n| format!("needs {} campaigns", rounded(n, Some(0.1 * n))));
    let said = format!(r#"{} <span class="ci">{}</span>"#, verdict(r), decide.unwrap_or(value));
    Cell { said, ..Cell::default() }
}

/// The bound on the mean of a measure, if the campaign has one.
pub(super) fn of_mean(book: &Book, measure: &str) -> Option<f64> {
    let of = |r: &Row| r.text("measure") == measure && r.text("statistic") == "mean";
    let row = book.rows("requirements.csv").find(of)?;
    row.text("bound").split(' ').nth(1)?.parse().ok()
}

/// Has the campaign a limit on a measure?
pub(super) fn asked(book: &Book, measure: &str) -> bool {
    book.rows("requirements.csv").any(|r| r.text("measure") == measure)
}

/// How an architecture stands to the limits: the end of its sentence.
pub(super) fn clause(book: &Book, arm: usize) -> Option<String> {
    let arm = &book.arms()[arm];
    let rows: Vec<Row> =
        book.rows("requirements.csv").filter(|r| r.text("architecture") == arm).collect();
    if rows.is_empty() {
        return None;
    }
    let of = |verdict: &str| -> Vec<String> {
        let those = rows.iter().filter(|r| r.text("verdict") == verdict);
        those.map(|r| format!("<i>{}</i>", esc(r.text("limit")))).collect()
    };
    let (met, not, open) = (of("met"), of("not met"), of("undecided"));
    let all = rows.len();
    Some(match (not.as_slice(), met.len(), open.len()) {
        ([], n, _) if n == all => match all {
            1 => "meets the one limit of the file".to_string(),
            _ => format!("meets all {all} limits of the file"),
        },
        ([], n, _) => format!("meets {n} of {all} limits with the others undecided"),
        (not, ..) => format!("does not meet {} of {all} limits ({})", not.len(), listed(not)),
    })
}
