//! The smallest margin of a campaign as a distribution: life support left at the moment of being
//! safe.

use super::draw::{Picture, Scale, hue};
use super::part::{Figure, Grid, absent, tag};
use super::words::num;
use crate::report::book::{Book, Row};

const ROW: f64 = 92.0;
/// Height of the tallest column, pixels.
const TALL: f64 = 58.0;
/// Share of campaigns at either end that the scale may leave to its edge.
const TAIL: f64 = 0.005;

/// Campaigns of one architecture by margin.
struct Spread {
    arm: usize,
    /// low, high, campaigns
    bins: Vec<(f64, f64, f64)>,
    missed: f64,
    total: f64,
}

impl Spread {
    fn of(book: &Book, arm: usize, measure: &str) -> Option<Spread> {
        let name = &book.arms()[arm];
        let of = |r: &Row| r.text("architecture") == name && r.text("measure") == measure;
        let mut out = Spread { arm, bins: Vec::new(), missed: 0.0, total: 0.0 };
        for r in book.rows("distribution.csv").filter(of) {
            let count = r.number("count")?;
            out.total = r.number("n_used")?;
            match (r.number("low"), r.number("high")) {
                (Some(low), Some(high)) => out.bins.push((low, high, count)),
                _ => out.missed += count,
            }
        }
        (out.total > 0.0).then_some(out)
    }

    /// Where the first or last [`TAIL`] of the campaigns ends.
    fn end(&self, last: bool) -> Option<f64> {
        let mut sum = 0.0;
        let mut passed = |(low, high, n): &(f64, f64, f64)| {
            sum += n;
            (sum >= TAIL * self.total).then_some(if last { *high } else { *low })
        };
        if last {
            self.bins.iter().rev().find_map(&mut passed)
        } else {
            self.bins.iter().find_map(&mut passed)
        }
    }
}

/// The figure of planned ingress, and that of ways back.
pub(super) fn margins(book: &Book) -> String {
    let planned = figure(
        book,
        "fig-margin",
        "Smallest margin of a campaign, planned ingress",
        "haven_margin_min",
        "Life support left, in minutes, when the person with the least of it was safe: one value \
        for each campaign in which somebody came in as planned. Beside the name: how many \
        campaigns are late (left of 0) or missed, of all with a value.",
    );
    let ways = figure(
        book,
        "fig-margin-ways",
        "Smallest margin of a campaign, ways back",
        "haven_margin_contingency_min",
        "The same where somebody came in by a way back. Left of 0: late. A miss ranks below every \
         number and is counted in words.",
    );
    planned + &ways
}

fn figure(book: &Book, id: &str, title: &str, measure: &str, lead: &str) -> String {
    let all: Vec<Spread> =
        (0..book.arms().len()).filter_map(|a| Spread::of(book, a, measure)).collect();
    let ends = |last: bool| all.iter().filter_map(move |s| s.end(last));
    let low = ends(false).fold(f64::INFINITY, f64::min).min(0.0);
    let high = ends(true).fold(f64::NEG_INFINITY, f64::max);
    if !(low.is_finite() && high > low) {
        let why = "Nobody came in so, or distribution.csv is not in this folder.";
        return absent(id, title, why);
    }
    let scale = Scale::linear(low, high);
    let mut p = Picture::new(10.0 + ROW * all.len() as f64 + 22.0);
    p.axis(&scale, 16.0, "min");
    let zero = scale.at(0.0);
    p.line((zero, 16.0), (zero, 10.0 + ROW * all.len() as f64), "zero");
    let mut told = Vec::new();
    for (i, s) in all.iter().enumerate() {
        told.push(row(&mut p, book, s, &scale, 12.0 + ROW * i as f64));
    }
    let picture = p.finish(id, title, &format!("Histograms. {}.", told.join("; ")));
    let numbers = vec![quantiles(book, &all, measure), counts(book, &all)];
    Figure { id, title, lead, picture, numbers }.html()
}

/// Draws an architecture and says what was drawn.
fn row(p: &mut Picture, book: &Book, s: &Spread, scale: &Scale, top: f64) -> String {
    let class = hue(s.arm);
    let late: f64 = s.bins.iter().filter(|b| b.1 <= 0.0).map(|b| b.2).sum();
    let ill: Vec<String> = [(late, "late"), (s.missed, "missed")]
        .iter()
        .filter(|(n, _)| *n > 0.0)
        .map(|(n, word)| format!("{n:.0} {word}"))
        .collect();
    let ill = if ill.is_empty() { "all in time".to_string() } else { ill.join(", ") };
    let said = format!("{ill} of {:.0}", s.total);
    p.label(top + 13.0, s.arm, &book.arms()[s.arm], &said);
    let text = format!("{}: {said}", book.arms()[s.arm]);
    // What lies beyond the scale is put into the column at its edge.
    let mut columns: Vec<(f64, f64, f64)> = Vec::new();
    for (low, high, n) in &s.bins {
        let (from, to) = (scale.at(*low), scale.at(*high));
        let (from, to) =
            if to - from > 0.0 { (from, to) } else { (from.min(99.0), from.min(99.0) + 1.0) };
        match columns.last_mut() {
            Some(last) if last.0 == from => last.2 += n,
            _ => columns.push((from, to, *n)),
        }
    }
    let most = columns.iter().map(|c| c.2).fold(0.0, f64::max);
    let foot = top + ROW - 12.0;
    for (from, to, n) in columns {
        let tall = (TALL * n / most).max(1.0);
        p.rect((from, to - from), (foot - tall, tall), &format!("column {class}"));
    }
    p.line((0.0, foot), (100.0, foot), "grid");
    text
}

fn quantiles(book: &Book, all: &[Spread], measure: &str) -> Grid {
    let header = ["architecture", "5 %", "median", "95 %", "missed", "campaigns with a value"];
    let mut grid = Grid::new("quantiles of campaigns, min", &header);
    let word = |x: Option<f64>| x.map_or("below every number, or not estimable".into(), num);
    for s in all {
        let arm = &book.arms()[s.arm];
        let e = book.estimate(arm, measure).unwrap_or_default();
        let missed = if s.missed > 0.0 { format!("{:.0}", s.missed) } else { "none seen".into() };
        let row = [word(e.p05), word(e.p50), word(e.p95), missed, format!("{:.0}", s.total)];
        grid.rows.push([tag(s.arm, arm)].into_iter().chain(row).collect());
    }
    grid
}

/// Campaigns by bin and architecture.
fn counts(book: &Book, all: &[Spread]) -> Grid {
    let mut grid = Grid::new("campaigns by margin", &["margin, min"]);
    grid.header.extend(all.iter().map(|s| tag(s.arm, &book.arms()[s.arm])));
    let mut bins: Vec<(f64, f64)> =
        all.iter().flat_map(|s| s.bins.iter().map(|b| (b.0, b.1))).collect();
    bins.sort_by(|x, y| x.0.total_cmp(&y.0));
    bins.dedup();
    for (low, high) in bins {
        let count = |s: &Spread| {
            let bin = s.bins.iter().find(|b| b.0 == low);
            bin.map_or("\u{2013}".into(), |b| format!("{:.0}", b.2))
        };
        let name = format!("{} to {}", num(low), num(high));
        grid.rows.push([name].into_iter().chain(all.iter().map(count)).collect());
    }
    grid
}
