//! Parts that every section is made of: figures with their numbers, tables, legends, notes.

use super::draw::{hue, letter};
use super::words::{cell, esc};
use crate::measure::glossary::{NON_DOMINATED, title};
use crate::report::book::Sheet;
use std::fmt::Write;

/// A table of text that is HTML already. The first column names the rows.
pub(super) struct Grid {
    /// what it holds, for the caption and for those who move by region
    pub caption: String,
    /// names of the columns
    pub header: Vec<String>,
    /// cells
    pub rows: Vec<Vec<String>>,
}

impl Grid {
    /// A table with such columns.
    pub fn new(caption: &str, header: &[&str]) -> Grid {
        let header = header.iter().map(|h| esc(h)).collect();
        Grid { caption: caption.into(), header, rows: Vec::new() }
    }

    /// As HTML: it scrolls in a region of its own, which the keyboard can reach.
    pub fn html(&self) -> String {
        let label = esc(&self.caption);
        let mut out = format!(
            r#"<div class="scroll" role="region" tabindex="0" aria-label="Table: {label}"><table><caption>{label}</caption><thead><tr>"#
        );
        for h in &self.header {
            let _ = write!(out, r#"<th scope="col">{h}</th>"#);
        }
        out.push_str("</tr></thead><tbody>");
        for row in &self.rows {
            out.push_str("<tr>");
            for (i, c) in row.iter().enumerate() {
                let _ = match i {
                    0 => write!(out, r#"<th scope="row">{c}</th>"#),
                    _ if numeric(c) => write!(out, r#"<td class="n">{c}</td>"#),
                    _ => write!(out, "<td>{c}</td>"),
                };
            }
            out.push_str("</tr>");
        }
        out.push_str("</tbody></table></div>");
        out
    }
}

/// Is a cell a number, perhaps with its unit? Longer ones are sentences.
fn numeric(c: &str) -> bool {
    const LONGEST: usize = 16;
    if c.chars().count() > LONGEST {
        return false;
    }
    let c = c.trim_start_matches(['\u{2212}', '-', '+']);
    c.starts_with(|c: char| c.is_ascii_digit())
}

/// A column as people read it.
fn headed(column: &str) -> String {
    match column {
        "not_beaten" => title(NON_DOMINATED).into(),
        _ => column.replace('_', " "),
    }
}

/// A table of the folder as it is; rows for which `keep` is false are left out.
pub(super) fn sheet_grid(caption: &str, sheet: &Sheet, keep: impl Fn(&[String]) -> bool) -> Grid {
    let rows = sheet.rows.iter().filter(|r| keep(r));
    Grid {
        caption: caption.into(),
        header: sheet.header.iter().map(|h| esc(&headed(h))).collect(),
        rows: rows.map(|r| r.iter().map(|c| cell(&shortened(c))).collect()).collect(),
    }
}

/// Numbers to six significant digits, for reading; the file has them all.
fn shortened(text: &str) -> String {
    match text.parse::<f64>() {
        Ok(x) if text.len() > 8 && x.is_finite() && text.contains(['.', 'e']) => {
            let digits = format!("{x:.5e}").parse::<f64>().unwrap_or(x);
            crate::report::table::number(digits)
        }
        _ => text.into(),
    }
}

/// A figure: heading, what it says, the picture, more, and its numbers as a table to unfold.
pub(super) struct Figure<'a> {
    /// id on the page
    pub id: &'a str,
    /// heading
    pub title: &'a str,
    /// what it shows and what to see in it, HTML
    pub lead: &'a str,
    /// pictures and legends, HTML
    pub picture: String,
    /// the numbers
    pub numbers: Vec<Grid>,
}

impl Figure<'_> {
    /// As HTML, with a sentence on its marks that is folded with the numbers. `how` is HTML.
    pub fn explained(&self, how: &str) -> String {
        let mut out = format!(
            r#"<figure id="{}"><figcaption><h3>{}</h3><p>{}</p></figcaption>{}"#,
            self.id,
            esc(self.title),
            self.lead,
            self.picture
        );
        let numbers: String = self.numbers.iter().map(Grid::html).collect();
        let how =
            if how.is_empty() { String::new() } else { format!("<p class=\"note\">{how}</p>") };
        let hidden = format!("<span class=\"unseen-text\">: {}</span>", esc(self.title));
        match (how.is_empty(), numbers.is_empty()) {
            (true, true) => {}
            (true, false) => out.push_str(&unfold(&format!("Numbers{hidden}"), &numbers)),
            _ => {
                let inside = format!("{how}{numbers}");
                out.push_str(&unfold(&format!("How to read it, and its numbers{hidden}"), &inside));
            }
        }
        out.push_str("</figure>");
        out
    }
}

/// Something to unfold; `summary` is HTML.
pub(super) fn unfold(summary: &str, inside: &str) -> String {
    format!("<details><summary>{summary}</summary>{inside}</details>")
}

/// Why a figure is not there: still a figure, so that nobody looks for it in vain.
pub(super) fn absent(id: &str, title: &str, why: &str) -> String {
    let note = format!(r#"<p class="note">{why}</p>"#);
    format!(
        r#"<figure id="{id}" class="absent"><figcaption><h3>{}</h3>{note}</figcaption></figure>"#,
        esc(title)
    )
}

/// The letter of an architecture in its disc, beside its name.
pub(super) fn tag(arm: usize, name: &str) -> String {
    format!(
        r#"<span class="tag"><span class="disc-box {}" aria-hidden="true">{}</span>{}</span>"#,
        hue(arm),
        letter(arm),
        esc(name)
    )
}

/// The name of a line of a plot: an architecture and what is said of it.
pub(super) fn lined(arm: usize, name: &str, said: &str) -> String {
    format!(r#"{}<span class="row-said">{}</span>"#, tag(arm, name), esc(said))
}

/// Class of the colour of a segment; those of a second round are paler.
pub(super) fn shade(i: usize) -> String {
    let pale = if i % 20 < 10 { "" } else { " pale" };
    format!("s{}{pale}", i % 10)
}

/// Legend of the segments of stacked bars: number, colour, name.
pub(super) fn legend(names: &[String]) -> String {
    let mut out = String::from(r#"<ol class="legend">"#);
    for (i, n) in names.iter().enumerate() {
        let _ = write!(
            out,
            r#"<li><span class="swatch {}" aria-hidden="true">{}</span>{}</li>"#,
            shade(i),
            i + 1,
            esc(n)
        );
    }
    out.push_str("</ol>");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_of_files_are_escaped_and_shortened() {
        let sheet = Sheet {
            header: vec!["a".into(), "b_c".into()],
            rows: vec![vec!["<i>".into(), "0.123456789123".into()]],
        };
        let html = sheet_grid("t", &sheet, |_| true).html();
        assert!(html.contains("&lt;i&gt;") && !html.contains("<i>"), "{html}");
        assert!(html.contains(r#"<td class="n">0.123457</td>"#), "{html}");
        assert!(html.contains(r#"<th scope="col">b c</th>"#), "{html}");
        assert_eq!(shortened("20790314"), "20790314");
    }
}
