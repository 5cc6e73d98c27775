//! The smallest margin of a campaign as a distribution: life support left at the moment of being
//! safe.

use super::draw::{Picture, Scale, hue};
use super::part::{Figure, Grid, absent, lined, tag};
use super::plot::Plot;
use super::words::{FEW, name, num};
use crate::report::book::{Book, Row};

const ROW: f64 = 44.0;
/// Height of the tallest column, pixels.
const TALL: f64 = 38.0;
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

    /// Campaigns in which life support had ended before somebody was safe.
    fn late(&self) -> f64 {
        self.bins.iter().filter(|b| b.1 <= 0.0).map(|b| b.2).sum()
    }

    /// How many campaigns were in time, late, missed.
    fn said(&self) -> String {
        let ill: Vec<String> =
            [(self.late(), "after life support ended"), (self.missed, "not reached")]
                .iter()
                .filter(|(n, _)| *n > 0.0)
                .map(|(n, word)| format!("{n:.0} {word}"))
                .collect();
        let all = format!("{:.0} campaigns", self.total);
        match (self.total < FEW, ill.is_empty()) {
            (true, true) => format!("{all}: too few to draw"),
            (true, false) => format!("{all}: too few to draw; {}", ill.join(", ")),
            (false, true) => all,
            (false, false) => format!("{} of {all}", ill.join(", ")),
        }
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
        "Minimum consumables margin, planned ingress",
        "haven_margin_min",
        "Consumables remaining, in minutes, when the person with the least of them was safe: one \
         value for each campaign in which somebody came in as planned. Left of 0: life support had \
         ended. A safe haven not reached ranks below every number and is counted in words.",
    );
    let ways = figure(
        book,
        "fig-margin-ways",
        "Minimum consumables margin, contingency ingress",
        "haven_margin_contingency_min",
        "The same for campaigns in which somebody came in by contingency ingress.",
    );
    planned + &ways
}

fn figure(book: &Book, id: &str, title: &str, measure: &str, how: &str) -> String {
    let all: Vec<Spread> =
        (0..book.arms().len()).filter_map(|a| Spread::of(book, a, measure)).collect();
    // Few values draw no columns; they set the scale only where nobody else does.
    let drawn: Vec<&Spread> = all.iter().filter(|s| s.total >= FEW).collect();
    let ends = |last: bool| drawn.iter().filter_map(move |s| s.end(last));
    let low = ends(false).fold(f64::INFINITY, f64::min).min(0.0);
    let high = ends(true).fold(f64::NEG_INFINITY, f64::max);
    let lead = sight(book, &all, measure);
    let numbers = vec![quantiles(book, &all, measure), counts(book, &all)];
    if all.is_empty() {
        let why = "Nobody came in this way, or this folder has no distribution.csv.";
        return absent(id, title, why);
    }
    if !(low.is_finite() && high > low) {
        return Figure { id, title, lead: &lead, picture: String::new(), numbers }.explained(how);
    }
    let mut plot = Plot::new(&format!("{id}-plot"), title, Scale::linear(low, high), "min");
    for s in &all {
        let (name, said) = (&book.arms()[s.arm], s.said());
        let told = format!("{name}: {said}");
        plot.row(&lined(s.arm, name, &said), told, ROW, |p, scale| columns(p, s, scale));
    }
    let picture = plot.finish("Histograms of campaigns:");
    Figure { id, title, lead: &lead, picture, numbers }.explained(how)
}

/// What to see: whose margin is least, and whether anybody did not reach a safe haven in time.
fn sight(book: &Book, all: &[Spread], measure: &str) -> String {
    let median = |s: &Spread| book.estimate(&book.arms()[s.arm], measure).and_then(|e| e.p50);
    let known = all.iter().filter(|s| s.total >= FEW).filter_map(|s| Some((s, median(s)?)));
    let least = known.min_by(|x, y| x.1.total_cmp(&y.1));
    let first = match least {
        Some((s, x)) if all.len() > 1 => format!(
            "{} has the smallest median margin ({}\u{a0}min)",
            name(&book.arms()[s.arm]),
            num(x)
        ),
        Some((_, x)) => format!("The median margin is {}\u{a0}min", num(x)),
        None => return format!("Fewer than {FEW} campaigns have a value: too few to draw."),
    };
    let ill: f64 = all.iter().map(|s| s.late() + s.missed).sum();
    match ill {
        0.0 => format!("{first}; everybody reached a safe haven in time."),
        n => format!(
            "{first}; in {n:.0} campaigns, all architectures together, somebody did not reach a safe \
             haven in time."
        ),
    }
}

/// The columns of an architecture.
fn columns(p: &mut Picture, s: &Spread, scale: &Scale) {
    p.line((0.0, ROW - 2.0), (100.0, ROW - 2.0), "grid");
    if s.total < FEW {
        return;
    }
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
    let foot = ROW - 2.0;
    for (from, to, n) in columns {
        let tall = (TALL * n / most).max(1.0);
        p.rect((from, to - from), (foot - tall, tall), &format!("column {}", hue(s.arm)));
    }
}

fn quantiles(book: &Book, all: &[Spread], measure: &str) -> Grid {
    let header = ["architecture", "5 %", "median", "95 %", "not reached", "campaigns with a value"];
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
