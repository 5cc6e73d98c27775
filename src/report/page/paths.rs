//! The commonest chains that led to a late or missed haven, each in one line that breaks where the page
//! is narrow.

use super::contributors::events;
use super::part::{Figure, Grid, absent, tag};
use super::words::{FEW, MISSED, esc, num, share};
use crate::report::book::{Book, Row};
use crate::report::drivers::OTHER_PATHS;
use std::fmt::Write;

const ID: &str = "fig-paths";
const TITLE: &str = "Contingency paths to a safe haven not reached in time";
/// Most paths of an architecture.
const PATHS: usize = 3;

/// The figure.
pub(super) fn paths(book: &Book) -> String {
    if book.sheet("paths.csv").is_none() {
        let why = "This folder has no paths.csv: the paths were not traced in this run.";
        return absent(ID, TITLE, why);
    }
    let most = book.arms().iter().map(|arm| events(book, arm, MISSED)).fold(0.0, f64::max);
    if most == 0.0 {
        return absent(ID, TITLE, &format!("No such path was seen. {}", bounds(book)));
    }
    let mut shown = String::new();
    let header = ["path", "architecture", "campaigns", "share", "with all more frequent", "replay"];
    let mut grid = Grid::new(TITLE, &header);
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = seen(book, arm);
        let n = events(book, arm, MISSED);
        let _ = write!(shown, "<li><div>{}</div><div>", tag(a, arm));
        match n {
            0.0 => shown.push_str("<p>No such path was seen.</p>"),
            _ => rows.iter().take(PATHS).for_each(|r| shown.push_str(&line(r, n))),
        }
        shown.push_str("</div></li>");
        for r in rows.iter().take(4 * PATHS) {
            let part = |c: &str| r.number(c).map_or("not estimable".into(), share);
            let example = format!("<code>--campaign {}</code>", esc(r.text("example_campaign")));
            let count = num(r.number("count").unwrap_or(0.0));
            let cells = [count, part("share"), part("cumulative_share"), example];
            grid.rows.push([esc(r.text("path")), tag(a, arm)].into_iter().chain(cells).collect());
        }
    }
    let lead = sight(book, most);
    let picture = format!(r#"<ul class="chains">{shown}</ul>"#);
    Figure { id: ID, title: TITLE, lead: &lead, picture, numbers: vec![grid] }.explained(
        "Square: what failed or happened; round: contingency ingress paths tried, in order; \
        framed: how it ended. <code>vestibule replay</code> tells the story of any of these \
        campaigns.",
    )
}

/// Chains of an architecture, the most frequent first.
fn seen<'a>(book: &'a Book, arm: &'a str) -> Vec<Row<'a>> {
    // Campaigns with somebody late are among those of this outcome: shown once.
    let of = |r: &Row| r.text("architecture") == arm && r.text("outcome") == MISSED;
    let count = |r: &Row| r.number("count").unwrap_or(0.0);
    // All the chains that are not told one by one have no line.
    let told = |r: &Row| count(r) > 0.0 && r.text("path") != OTHER_PATHS;
    let mut rows: Vec<Row> = book.rows("paths.csv").filter(of).filter(told).collect();
    rows.sort_by(|x, y| count(y).total_cmp(&count(x)));
    rows
}

/// What to see: which path is the commonest, or that there are too few events to say.
/// `most`: events of the architecture with most of them.
fn sight(book: &Book, most: f64) -> String {
    let first = book
        .arms()
        .iter()
        .flat_map(|arm| seen(book, arm).into_iter().take(1).map(move |r| (arm, r)))
        .max_by(|x, y| {
            let count = |r: &Row| r.number("count").unwrap_or(0.0);
            count(&x.1).total_cmp(&count(&y.1))
        });
    if most < FEW {
        return format!(
            "No architecture has {FEW} events, {most:.0} are the most: too few to rank the paths."
        );
    }
    first.map_or(String::new(), |(arm, r)| {
        format!(
            "The commonest path was taken in {} of {:.0} such campaigns of <b>{}</b>.",
            r.text("count"),
            events(book, arm, MISSED),
            esc(arm)
        )
    })
}

/// What the bounds on paths that were not seen are, in one sentence.
fn bounds(book: &Book) -> String {
    let of = |r: &Row| r.text("outcome") == MISSED && !r.text("note").is_empty();
    let notes: Vec<&str> = book.rows("paths.csv").filter(of).map(|r| r.text("note")).collect();
    match notes.as_slice() {
        [first, rest @ ..] if rest.iter().all(|n| n == first) => {
            format!("For every architecture: {}.", esc(first))
        }
        _ => String::new(),
    }
}

/// One path: its boxes, how often, and which campaign to replay.
fn line(r: &Row, events: f64) -> String {
    let steps: Vec<&str> = r.text("path").split(" -> ").collect();
    let last = steps.len() - 1;
    let mut out = String::from("<p>");
    for (i, step) in steps.iter().enumerate() {
        let class = match i {
            0 => "cause",
            i if i == last => "end",
            _ => "way",
        };
        let parts: Vec<String> = step
            .split(if i == 0 { " + " } else { "\u{0}" })
            .map(|s| format!(r#"<span class="link {class}">{}</span>"#, esc(s)))
            .collect();
        out.push_str(if i == 0 { "" } else { " &#8594; " });
        out.push_str(&parts.join(" + "));
    }
    let n = r.number("count").unwrap_or(0.0);
    let often = match events < FEW {
        true => format!("{n:.0} of {events:.0} events"),
        false => r.number("share").map_or(String::new(), share),
    };
    let example = r.text("example_campaign");
    let replay = match example {
        "" => String::new(),
        k => format!(", campaign {}", esc(k)),
    };
    let _ = write!(out, r#" <span class="ci">{often}{replay}</span></p>"#);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::page::tests::manifest;

    #[test]
    fn chains_say_what_kind_their_links_are_and_few_events_rank_nothing() {
        let text = "architecture,outcome,path,count,share,cumulative_share,example_campaign,note\n\
            one,campaign_haven_missed,a<b + c -> way -> missed,4,0.8,0.8,17,\n\
            one,campaign_haven_missed,c -> late,1,0.2,1,3,\n\
            two,campaign_haven_missed,not seen so far,0,,,,none\n";
        let html = paths(&Book::of(manifest(&["paths.csv"]), &[("paths.csv", text)]));
        assert!(
            html.contains("No architecture has 30 events, 5 are the most: too few to rank"),
            "{html}"
        );
        assert!(html.contains("a&lt;b") && !html.contains("a<b"), "{html}");
        assert_eq!(html.matches("link cause").count(), 3, "{html}");
        assert!(html.contains("4 of 5 events, campaign 17"), "{html}");
        assert!(!html.contains("80 %</span>") && html.contains("No such path was seen."));
    }
}
