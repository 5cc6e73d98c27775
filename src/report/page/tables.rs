//! Tables of the folder as they are, findings, assumptions, cautions, and how to get the same
//! again.

use super::part::{Grid, sheet_grid, unfold};
use super::words::{cell, esc, listed, path};
use crate::report::book::{Book, Sheet};
use crate::report::figures::quoted;
use std::fmt::Write;

/// Tables that have a place of their own on the page.
const ELSEWHERE: &[&str] = &["findings.csv", "assumptions.csv", "distribution.csv"];

/// What the tables hold.
const CAPTIONS: &[(&str, &str)] = &[
    ("requirements.csv", "limits of the campaign file: met, not met, undecided"),
    ("summary.csv", "every measure of every architecture"),
    ("compare.csv", "every pair on the same luck"),
    ("ranking.csv", "who is not beaten on any measure, and how stable that is"),
    ("havens.csv", "how demands for a haven ended"),
    ("breakdown.csv", "hours, gas, upkeep, dust and minutes by cause"),
    ("drivers.csv", "what drives the outcomes"),
    ("paths.csv", "chains that led to them"),
    ("mass.csv", "equivalent system mass by part"),
    ("breakeven.csv", "break-even lengths"),
    ("complexity.csv", "complexity, counted"),
    ("risk-curve.csv", "risk over parameter sets"),
];

/// The names the page looks for; those that are not there are named in one line.
fn absent(book: &Book) -> Vec<String> {
    let absent = |n: &&str| book.sheet(n).is_none();
    let known = CAPTIONS.iter().map(|c| c.0).chain(ELSEWHERE.iter().copied());
    known.filter(absent).map(|n| format!("<code>{n}</code>")).collect()
}

/// The section of tables.
pub(super) fn tables(book: &Book) -> String {
    let mut out = String::from(
        "<p>Numbers are shown to six digits; the files have them all. Empty cells are not \
        estimable, and their note says why.</p>",
    );
    let known = CAPTIONS.iter().filter(|(n, _)| book.manifest.tables.iter().any(|t| t == n));
    let other = book
        .manifest
        .tables
        .iter()
        .filter(|t| !CAPTIONS.iter().any(|(n, _)| n == t) && !ELSEWHERE.contains(&t.as_str()));
    let all = known.copied().chain(other.map(|t| (t.as_str(), "")));
    for (name, caption) in all {
        if let Some(sheet) = book.sheet(name) {
            out.push_str(&table(name, caption, sheet));
        }
    }
    let missing = absent(book);
    if !missing.is_empty() {
        let _ = write!(out, "<p class=\"note\">Not in this folder: {}.</p>", listed(&missing));
    }
    out
}

/// One table to unfold; of the breakdown only rows of what was seen.
fn table(name: &str, caption: &str, sheet: &Sheet) -> String {
    let zero = match name {
        "breakdown.csv" => sheet.header.iter().position(|h| h == "mean"),
        _ => None,
    };
    let keep = |r: &[String]| zero.is_none_or(|at| r.get(at).is_none_or(|x| x != "0"));
    let title = if caption.is_empty() { name.into() } else { format!("{name}: {caption}") };
    let grid = sheet_grid(&title, sheet, keep);
    let left = sheet.rows.len() - grid.rows.len();
    let note = match left {
        0 => String::new(),
        n => format!(
            "<p class=\"note\">{n} rows of causes that were never seen are left out here.</p>"
        ),
    };
    let summary = format!(
        "<code>{}</code> {} <span class=\"count\">({} rows)</span>",
        esc(name),
        esc(caption),
        grid.rows.len()
    );
    unfold(&summary, &format!("{}{note}", grid.html()))
}

/// What the check found.
pub(super) fn findings(book: &Book) -> String {
    let Some(sheet) = book.sheet("findings.csv") else {
        return "<p class=\"note\">This folder has no findings.csv.</p>".into();
    };
    if sheet.rows.is_empty() {
        return "<p>The check had nothing to remark.</p>".into();
    }
    let mut grid = Grid::new(
        "findings of the check",
        &["severity", "architecture", "what", "why it matters", "remedy", "where"],
    );
    for severity in ["error", "warning", "info"] {
        for r in sheet.all().filter(|r| r.text("severity") == severity) {
            let place = match (r.text("file"), r.text("line")) {
                (file, "0" | "") => cell(file),
                (file, line) => format!("{}, line {}", cell(file), esc(line)),
            };
            let arm =
                if r.text("architecture").is_empty() { "all" } else { r.text("architecture") };
            let key = path(r.text("key_path"));
            grid.rows.push(vec![
                severity.into(),
                esc(arm),
                cell(r.text("what")),
                cell(r.text("why")),
                cell(r.text("remedy")),
                format!("{place}<br>{key}"),
            ]);
        }
    }
    grid.html()
}

/// Every sourced entry, assumed ones first.
pub(super) fn assumptions(book: &Book) -> String {
    let Some(sheet) = book.sheet("assumptions.csv") else {
        return "<p class=\"note\">This folder has no assumptions.csv.</p>".into();
    };
    const ORDER: [&str; 4] = ["assumed", "not stated", "common practice", "published"];
    let count = |basis: &str| sheet.all().filter(|r| r.text("basis") == basis).count();
    let counts: Vec<String> =
        ORDER.iter().filter(|b| count(b) > 0).map(|b| format!("{} {b}", count(b))).collect();
    let mut out = format!(
        "<p>{} entries of the files say where they come from: {}. Assumed ones stand first: they \
        are what a review should look at. An entry is called assumed when any of its values \
        is.</p>",
        sheet.rows.len(),
        listed(&counts)
    );
    let mut all: Vec<&str> = sheet.all().map(|r| r.text("basis")).collect();
    all.sort_by_key(|b| ORDER.iter().position(|o| o == b).unwrap_or(ORDER.len()));
    all.dedup();
    for basis in all {
        let title = format!("entries: {basis}");
        let mut grid = Grid::new(&title, &["entry", "value", "source", "file and line"]);
        for r in sheet.all().filter(|r| r.text("basis") == basis) {
            grid.rows.push(vec![
                path(r.text("key_path")),
                cell(r.text("value")),
                cell(r.text("source")),
                format!("{}, {}", cell(r.text("file")), esc(r.text("line"))),
            ]);
        }
        let _ = write!(
            out,
            "<details open><summary>{} <span class=\"count\">({} \
            entries)</span></summary>{}</details>",
            esc(basis),
            grid.rows.len(),
            grid.html()
        );
    }
    out
}

/// What the numbers do not say.
pub(super) fn cautions(book: &Book) -> String {
    let items: String =
        book.manifest.not_modelled.iter().map(|s| format!("<li>{}</li>", esc(s))).collect();
    format!(
        "<p class=\"caution\">{}</p><p>Not modelled:</p><ul>{items}</ul><p>Intervals are 95 % and \
        count chance and what the files call uncertain; a wrong number in the files, or a failure \
        that nobody wrote down, is in none of them. A share that was never seen is not 0: its \
        upper bound is given instead.</p>",
        esc(&book.manifest.caution)
    )
}

/// How to get the same numbers again.
pub(super) fn repeat(book: &Book) -> String {
    let m = &book.manifest;
    let file = m.files.first().map_or("campaign.toml", String::as_str);
    let keep = if m.tables.iter().any(|t| t == "campaigns.csv") { " --keep-campaigns" } else { "" };
    let again = m.drivers.map_or(String::new(), |n| format!(" --drivers {n}"));
    let command = format!(
        "vestibule run {} --seed {} --campaigns {}{again}{keep}",
        quoted(file),
        quoted(&m.seed),
        m.campaigns
    );
    let mut rows = vec![
        ("command", format!("<code>{}</code>", esc(&command))),
        ("again from these files", "<code>vestibule report FOLDER</code>".into()),
        ("program", format!("{} {}", esc(&m.program), esc(&m.version))),
        ("seed", esc(&m.seed)),
        ("campaigns", m.campaigns.to_string()),
    ];
    if let Some(inner) = m.inner {
        rows.push(("campaigns of each parameter set", inner.to_string()));
    }
    rows.push(("fingerprint of the files", format!("<code>{}</code>", esc(&m.fingerprint))));
    rows.push(("scheme of luck", esc(&m.luck)));
    rows.push(("files", m.files.iter().map(|f| esc(f)).collect::<Vec<_>>().join("<br>")));
    let rows: String =
        rows.into_iter().map(|(name, text)| format!("<dt>{name}</dt><dd>{text}</dd>")).collect();
    format!(
        "<dl class=\"facts\">{rows}</dl><p class=\"note\">Same version, files, seed and number of \
        campaigns give the same bytes on any number of threads; the campaign file is named without \
        its folder.</p>"
    )
}
