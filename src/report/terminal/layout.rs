//! Places a table on a screen: measures down and architectures across where the screen is wide
//! enough, the other way round where it is not.

use super::matrix::{Cell, Line};
use crate::report::figures::in_lines;
use crate::report::screen::{Screen, Tone};

/// Columns of a screen below which the table is turned.
const WIDE: usize = 100;
/// Widths at which a heading of a column is broken, characters: the first at which the table fits.
const HEADINGS: &[usize] = &[18, 14, 11];
/// The same where measures stand across.
const NARROW: usize = 11;
/// A label in fewer characters than that would be broken too often.
const LABEL: usize = 24;

/// Does the table stand with architectures across?
pub(super) fn is_wide(screen: Screen, arms: &[&str], lines: &[Line]) -> bool {
    let enough = screen.width >= WIDE || arms.len() <= 2;
    enough && fitting(screen, arms, lines).is_some()
}

/// Columns of architectures with the widest headings that fit.
fn fitting<'a>(screen: Screen, arms: &[&str], lines: &'a [Line]) -> Option<Vec<Column<'a>>> {
    let fits = |c: &Vec<Column>| used(c) + LABEL <= screen.width;
    HEADINGS.iter().map(|w| across(arms, lines, *w)).find(fits)
}

fn used(columns: &[Column]) -> usize {
    columns.iter().map(|c| c.width + 1).sum()
}

/// One column of text: heading in lines, then a cell for each row.
struct Column<'a> {
    heading: Vec<String>,
    cells: Vec<&'a Cell>,
    width: usize,
}

impl<'a> Column<'a> {
    fn new(heading: Vec<String>, cells: Vec<&'a Cell>) -> Column<'a> {
        let head = heading.iter().map(|h| h.chars().count() + 1).max().unwrap_or(0);
        let body = cells.iter().map(|c| c.shown().chars().count()).max().unwrap_or(0);
        Column { heading, cells, width: head.max(body) }
    }

    /// The heading in a line of so many, at its bottom; the mark of cells has a place behind it.
    fn head(&self, line: usize, of: usize) -> String {
        let text = line.checked_sub(of - self.heading.len()).map_or("", |i| &self.heading[i]);
        format!(" {:>w$} ", text, w = self.width - 1)
    }

    fn cell(&self, row: usize, screen: Screen) -> String {
        let cell = self.cells[row];
        let text = cell.shown();
        let pad = " ".repeat(1 + self.width - text.chars().count());
        let shown = text.trim_end();
        let behind = " ".repeat(text.len() - shown.len());
        pad + &screen.tint(cell.tone(), shown) + &behind
    }
}

fn across<'a>(arms: &[&str], lines: &'a [Line], heading: usize) -> Vec<Column<'a>> {
    let column = |(a, name): (usize, &&str)| {
        Column::new(in_lines(name, heading), lines.iter().map(|l| &l.cells[a]).collect())
    };
    arms.iter().enumerate().map(column).collect()
}

/// Measures down, architectures across.
pub(super) fn wide(screen: Screen, arms: &[&str], lines: &[Line]) -> String {
    let narrow = || across(arms, lines, HEADINGS[HEADINGS.len() - 1]);
    let columns = fitting(screen, arms, lines).unwrap_or_else(narrow);
    let longest = lines.iter().map(|l| l.heading.chars().count()).max().unwrap_or(0);
    let label = longest.min(screen.width.saturating_sub(used(&columns))).max(LABEL);
    let mut out = header(screen, &columns, label);
    for (i, line) in lines.iter().enumerate() {
        let heading = in_lines(&line.heading, label);
        for (k, text) in heading.iter().enumerate() {
            let cells: String = match k + 1 == heading.len() {
                true => columns.iter().map(|c| c.cell(i, screen)).collect(),
                false => String::new(),
            };
            out.push_str(format!("{text:label$}{cells}").trim_end());
            out.push('\n');
        }
    }
    out
}

fn header(screen: Screen, columns: &[Column], label: usize) -> String {
    let top = columns.iter().map(|c| c.heading.len()).max().unwrap_or(0);
    let mut out = String::new();
    for i in 0..top {
        let heads: String = columns.iter().map(|c| c.head(i, top)).collect();
        let line = format!("{:label$}{heads}", "");
        out.push_str(&screen.tint(Tone::Title, line.trim_end()));
        out.push('\n');
    }
    out
}

/// Architectures down, measures across, in as many parts as it takes.
pub(super) fn turned(screen: Screen, arms: &[&str], lines: &[Line]) -> String {
    let label = arms.iter().map(|a| a.chars().count()).max().unwrap_or(0).min(screen.width / 3);
    let columns: Vec<Column> = lines
        .iter()
        .map(|l| Column::new(words_in_lines(&l.heading, NARROW), l.cells.iter().collect()))
        .collect();
    let mut out = String::new();
    let mut rest = columns.as_slice();
    while !rest.is_empty() {
        let mut used = label;
        let fitting = rest.iter().take_while(|c| {
            used += 1 + c.width;
            used <= screen.width
        });
        let (now, later) = rest.split_at(fitting.count().max(1));
        out.push_str(&header(screen, now, label));
        for (a, name) in arms.iter().enumerate() {
            let name = in_lines(name, label.max(1));
            for (k, text) in name.iter().enumerate() {
                let cells: String = match k + 1 == name.len() {
                    true => now.iter().map(|c| c.cell(a, screen)).collect(),
                    false => String::new(),
                };
                out.push_str(format!("{text:label$}{cells}").trim_end());
                out.push('\n');
            }
        }
        rest = later;
    }
    out
}

/// A heading in lines of at most `width` characters where its words allow it.
fn words_in_lines(heading: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in heading.split(' ') {
        match lines.last_mut() {
            Some(l) if l.chars().count() + 1 + word.chars().count() <= width => {
                l.push(' ');
                l.push_str(word);
            }
            _ => lines.push(word.into()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::matrix::Mark;
    use super::*;

    fn line(heading: &str, arms: usize) -> Line {
        let cell = |a: usize| Cell {
            text: format!("{}\u{b1}1", 10 * a),
            mark: if a == 0 { Mark::Best } else { Mark::None },
            rough: a == 1,
            tone: Tone::Plain,
        };
        Line { heading: heading.into(), cells: (0..arms).map(cell).collect() }
    }

    #[test]
    fn tables_keep_to_the_width_and_hold_every_cell() {
        let names = ["single-chamber", "suitlock", "dual-chamber-with-dust-stages", "d", "e", "f"];
        let lines: Vec<Line> =
            ["EVA crew-hours lost, h", "gas lost, kg", "maintenance crew-hours, h"]
                .map(|h| line(h, 6))
                .to_vec();
        for width in [40, 60, 80, 100, 120, 200] {
            let screen = Screen { width, ..Screen::default() };
            let wide_fits = is_wide(screen, &names, &lines);
            assert_eq!(wide_fits, width >= 100, "{width}");
            let text = match wide_fits {
                true => wide(screen, &names, &lines),
                false => turned(screen, &names, &lines),
            };
            assert!(text.lines().all(|l| l.chars().count() <= width), "{width}\n{text}");
            for a in 0..6 {
                let cell = lines[0].cells[a].shown();
                assert_eq!(text.matches(cell.trim()).count(), 3, "{width} {cell}\n{text}");
            }
        }
    }

    #[test]
    fn two_architectures_stand_side_by_side_on_any_screen() {
        let lines = [line("gas lost, kg", 2)];
        let screen = Screen { width: 80, ..Screen::default() };
        assert!(is_wide(screen, &["one", "other"], &lines));
        let text = wide(screen, &["one", "other"], &lines);
        assert_eq!(text.lines().count(), 2, "{text}");
        assert!(text.lines().last().unwrap().ends_with("0\u{b1}1* ~10\u{b1}1"), "{text}");
    }
}
