//! Tables of the folder as they are, findings, assumptions, cautions, and how to get the same
//! again.

use super::part::{Grid, sheet_grid, unfold};
use super::words::{cell, esc, listed, path};
use crate::report::book::{Book, Sheet};
use crate::report::figures::quoted;
use crate::report::files::{FILES, ResultFile, by_name};
use std::fmt::Write;

/// Tables that have a place of their own on the page.
const ELSEWHERE: &[&str] = &["findings.csv", "assumptions.csv", "distribution.csv"];

/// Rows of a table that the page shows; a sweep can have any number.
const MOST_ROWS: usize = 2000;

/// The names the page looks for; those that are not there are named in one line.
fn absent(book: &Book) -> Vec<String> {
    let absent = |n: &&str| book.sheet(n).is_none();
    // Single campaigns are kept only when asked for, and never shown.
    let swept = book.manifest.sweep.is_some();
    let of = |f: &&ResultFile| !f.unbounded() && f.of_sweep() == swept;
    let known = FILES.iter().filter(of).map(|f| f.name);
    known.filter(absent).map(|n| format!("<code>{n}</code>")).collect()
}

/// The section of tables.
pub(super) fn tables(book: &Book) -> String {
    let mut out = String::from(
        "<p>Numbers are shown to six digits; the files have them all. Empty cells are not \
        estimable, and their note says why.</p>",
    );
    let there = |t: &&String| !ELSEWHERE.contains(&t.as_str());
    let caption = |t: &str| by_name(t).map_or("", |f| f.title);
    let all = book.manifest.tables.iter().filter(there).map(|t| (t.as_str(), caption(t)));
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
    let asked = match name {
        "breakdown.csv" => "mean",
        "drivers.csv" => "participation",
        "havens.csv" => "demands",
        _ => "",
    };
    // Rows of what was never seen: 0, or nothing to estimate from.
    let never = |x: &String| ["0", ""].contains(&x.as_str());
    let at = sheet.header.iter().position(|h| h == asked);
    let keep = |r: &[String]| at.is_none_or(|at| r.get(at).is_none_or(|x| !never(x)));
    let title = if caption.is_empty() { name.into() } else { format!("{name}: {caption}") };
    let mut grid = sheet_grid(&title, sheet, keep);
    let left = sheet.rows.len() - grid.rows.len();
    let mut note = match left {
        0 => String::new(),
        n => format!("<p class=\"note\">{n} rows of outcomes never seen are left out here.</p>"),
    };
    if grid.rows.len() > MOST_ROWS {
        let more = grid.rows.len() - MOST_ROWS;
        let _ = write!(note, "<p class=\"note\">{more} more rows stand in the file only.</p>");
        grid.rows.truncate(MOST_ROWS);
    }
    let summary = format!(
        "<code>{}</code> {} <span class=\"count\">({} rows)</span>",
        esc(name),
        esc(caption),
        grid.rows.len()
    );
    unfold(&summary, &format!("{}{note}", grid.html()))
}

/// What the check found: what judges the files, then what follows from them.
pub(super) fn findings(book: &Book) -> String {
    let Some(sheet) = book.sheet("findings.csv") else {
        return "<p class=\"note\">This folder has no findings.csv.</p>".into();
    };
    if sheet.rows.is_empty() {
        return "<p>The check had no remarks.</p>".into();
    }
    let (grave, remarks) = ("errors and warnings of the check", "remarks of the check");
    let first = findings_of(sheet, grave, &["error", "warning"]);
    let rest = findings_of(sheet, remarks, &["info"]);
    let mut out = match first.rows.len() {
        0 => "<p>The check found no error and has no warning.</p>".to_string(),
        n => {
            let word = if n == 1 { "warning" } else { "warnings" };
            unfold(&format!("{n} {word} of the check"), &first.html())
        }
    };
    if !rest.rows.is_empty() {
        let summary = format!(
            "What follows from the files alone, without playing anything: prebreathe, oxygen, \
             volumes that stand vacuum or meet dust, havens, where suits are looked after <span \
             class=\"count\">({} remarks)</span>",
            rest.rows.len()
        );
        out.push_str(&unfold(&summary, &rest.html()));
    }
    out
}

fn findings_of(sheet: &Sheet, caption: &str, severities: &[&str]) -> Grid {
    let header = ["rule", "severity", "architecture", "what", "why it matters", "remedy", "where"];
    let mut grid = Grid::new(caption, &header);
    for severity in severities {
        for r in sheet.all().filter(|r| r.text("severity") == *severity) {
            let place = match (r.text("file"), r.text("line")) {
                (file, "0" | "") => cell(file),
                (file, line) => format!("{}, line {}", cell(file), esc(line)),
            };
            let arm =
                if r.text("architecture").is_empty() { "all" } else { r.text("architecture") };
            let key = path(r.text("key_path"));
            grid.rows.push(vec![
                esc(r.text("rule")),
                esc(severity),
                esc(arm),
                cell(r.text("what")),
                cell(r.text("why")),
                cell(r.text("remedy")),
                format!("{place}<br>{key}"),
            ]);
        }
    }
    grid
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
    let command = match m.sweep {
        Some(_) => format!("vestibule sweep {} --campaigns {}", quoted(file), m.campaigns),
        None => format!(
            "vestibule run {} --seed {} {}{again}{keep}",
            quoted(file),
            quoted(&m.seed),
            // Whether sets came from the file or from the command line: the same again.
            match m.inner {
                Some(inner) if m.campaigns / inner > 1 => {
                    format!("--outer {} --inner {inner}", m.campaigns / inner)
                }
                _ => format!("--campaigns {}", m.campaigns),
            }
        ),
    };
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
    rows.push(("scheme of random numbers", esc(&m.luck)));
    rows.push(("files", m.files.iter().map(|f| esc(f)).collect::<Vec<_>>().join("<br>")));
    let rows: String =
        rows.into_iter().map(|(name, text)| format!("<dt>{name}</dt><dd>{text}</dd>")).collect();
    format!(
        "<dl class=\"facts\">{rows}</dl><p class=\"note\">Same version, files, seed and number of \
        campaigns give the same bytes on any number of threads; the campaign file is named without \
        its folder.</p>"
    )
}
