//! The commonest chains that led to a late or missed haven, each as a small diagram from top to
//! bottom.

use super::draw::{Picture, Side};
use super::part::{Figure, Grid, absent, tag};
use super::words::{MISSED, esc, num, share};
use crate::report::book::{Book, Row};
use crate::report::drivers::OTHER_PATHS;
use std::fmt::Write;

const TITLE: &str = "Commonest paths to a late or missed haven";
/// Most paths of an architecture.
const PATHS: usize = 3;
/// Most characters of a line in a box.
const WIDE: usize = 27;
const LINE: f64 = 17.0;

/// The figure.
pub(super) fn paths(book: &Book) -> String {
    if book.sheet("paths.csv").is_none() {
        let why = "This folder has no paths.csv: the chains were not worked out in this run.";
        return absent("fig-paths", TITLE, why);
    }
    let mut cards = String::new();
    let mut grid = Grid::new(
        TITLE,
        &["path", "architecture", "campaigns", "share of the outcome", "with all more frequent"],
    );
    for (a, arm) in book.arms().iter().enumerate() {
        // Campaigns with somebody late are among those of this outcome: shown once.
        let of = |r: &Row| r.text("architecture") == arm && r.text("outcome") == MISSED;
        let count = |r: &Row| r.number("count").unwrap_or(0.0);
        let (mut rows, unseen): (Vec<Row>, Vec<Row>) =
            book.rows("paths.csv").filter(of).partition(|r| count(r) > 0.0);
        // All the chains that are not told one by one have no diagram.
        rows.retain(|r| r.text("path") != OTHER_PATHS);
        rows.sort_by(|x, y| count(y).total_cmp(&count(x)));
        let _ = write!(cards, "<h4>{}</h4>", tag(a, arm));
        if rows.is_empty() {
            cards.push_str("<p>No such path was seen.</p>");
            cards.push_str(&not_seen(&unseen));
            continue;
        }
        cards.push_str(r#"<ul class="paths">"#);
        for (i, r) in rows.iter().take(PATHS).enumerate() {
            let _ = write!(cards, "<li>{}</li>", card(r, &format!("fig-paths-{a}-{i}"), arm));
        }
        cards.push_str("</ul>");
        cards.push_str(&not_seen(&unseen));
        for r in rows.iter().take(4 * PATHS) {
            let part = |c: &str| r.number(c).map_or("not estimable".into(), share);
            let cells = [num(count(r)), part("share"), part("cumulative_share")];
            grid.rows.push([esc(r.text("path")), tag(a, arm)].into_iter().chain(cells).collect());
        }
    }
    let lead = "Square boxes: what had to fail or strike; round boxes: ways back tried, in order; \
                double frame: how it ended, late or never safe. Counted on the campaigns of \
                paths.csv.";
    Figure { id: "fig-paths", title: TITLE, lead, picture: cards, numbers: vec![grid] }.html()
}

/// What paths that were not seen may still hold.
fn not_seen(rows: &[Row]) -> String {
    let note =
        |r: &Row| format!("<p class=\"note\">Paths not seen so far: {}.</p>", esc(r.text("note")));
    rows.iter().filter(|r| !r.text("note").is_empty()).map(note).collect()
}

/// One path: its diagram, how often, and which campaign to replay.
fn card(r: &Row, id: &str, arm: &str) -> String {
    let path = r.text("path");
    let steps: Vec<&str> = path.split(" -> ").collect();
    let last = steps.len() - 1;
    let mut boxes: Vec<(&str, &str)> = Vec::new();
    for (i, step) in steps.iter().enumerate() {
        match i {
            0 => boxes.extend(step.split(" + ").map(|s| (s, "cause"))),
            _ if i == last => boxes.push((step, "end")),
            _ => boxes.push((step, "way")),
        }
    }
    let svg = diagram(&boxes, id, path);
    let n = r.number("count").unwrap_or(0.0);
    let part =
        r.number("share").map_or(String::new(), |x| format!(", {} of the outcome", share(x)));
    let example = r.text("example_campaign");
    let replay = match example {
        "" => String::new(),
        k => format!("<br>to read: <code>--architecture {} --campaign {}</code>", esc(arm), esc(k)),
    };
    let word = if n == 1.0 { "campaign" } else { "campaigns" };
    format!("{svg}<p>{n:.0} {word}{part}{replay}</p>")
}

/// Boxes from top to bottom; causes are joined by a plus, what follows by an arrow.
fn diagram(boxes: &[(&str, &str)], id: &str, path: &str) -> String {
    let lines: Vec<Vec<String>> = boxes.iter().map(|(text, _)| in_lines(text)).collect();
    let tall = |n: usize| LINE * n as f64 + 12.0;
    const GAP: f64 = 24.0;
    let height: f64 = lines.iter().map(|l| tall(l.len()) + GAP).sum::<f64>() - GAP + 8.0;
    let mut p = Picture::new(height);
    let mut top = 4.0;
    for (i, (lines, (_, kind))) in lines.iter().zip(boxes).enumerate() {
        let h = tall(lines.len());
        p.rect((1.0, 98.0), (top, h), &format!("box {kind}"));
        if *kind == "end" {
            p.rect((2.5, 95.0), (top + 3.0, h - 6.0), "box inner");
        }
        for (k, line) in lines.iter().enumerate() {
            let y = top + 6.0 + LINE * (k as f64 + 0.78);
            p.text((50.0, y), Side::Middle, "box-text", line);
        }
        top += h;
        if let Some((_, next)) = boxes.get(i + 1) {
            let joint = if *next == "cause" { "+" } else { "\u{2193}" };
            p.text((50.0, top + 18.0), Side::Middle, "joint", joint);
        }
        top += GAP;
    }
    p.finish(id, "Path", path)
}

/// A name in lines that fit a box, broken behind `-`, `_`, `:`, `/` or a space where it can be.
fn in_lines(text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut rest: Vec<char> = text.chars().collect();
    while rest.len() > WIDE {
        let cut = rest[..WIDE].iter().rposition(|c| "-_:/ ".contains(*c)).map_or(WIDE, |i| i + 1);
        lines.push(rest.drain(..cut).collect::<String>().trim_end().to_string());
    }
    lines.push(rest.into_iter().collect());
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_say_what_kind_they_are() {
        let boxes = [("a<b", "cause"), ("way", "way"), ("missed", "end")];
        let svg = diagram(&boxes, "p", "a<b -> way -> missed");
        assert!(svg.contains("a&lt;b") && !svg.contains("a<b"), "{svg}");
        assert_eq!(svg.matches("class=\"box ").count(), 4);
        assert_eq!(svg.matches('\u{2193}').count(), 2);
        let long = "a-very-long-name-of-a-failure-mode-that-does-not-fit";
        assert!(in_lines(long).iter().all(|l| l.chars().count() <= WIDE));
        assert_eq!(in_lines(long).concat(), long);
    }
}
