//! How demands for a haven ended, on a scale of powers of ten; what was never seen is drawn as what
//! it is: somewhere below a bound.

use super::draw::{Picture, Scale, Shape, hue};
use super::part::{Figure, Grid, absent, tag, unfold};
use super::words::{MISSED, esc, num, share};
use crate::report::book::{Book, Row};

const TITLE: &str = "How demands for a safe haven ended";
const ROW: f64 = 40.0;

/// A line of the picture.
struct Line {
    arm: usize,
    word: String,
    mean: f64,
    low: Option<f64>,
    high: Option<f64>,
    counted: Option<f64>,
}

impl Line {
    fn none_seen(&self) -> bool {
        self.mean == 0.0
    }
    fn words(&self) -> String {
        match (self.none_seen(), self.low, self.high) {
            (true, _, Some(high)) => format!("none seen, below {}", share(high)),
            (true, ..) => "none seen".into(),
            (_, Some(l), Some(h)) => {
                format!("{} ({} to {})", share(self.mean), share(l), share(h))
            }
            _ => share(self.mean),
        }
    }
}

/// The figure: first the chance per campaign that anybody was late or never safe, then all endings
/// of demands by architecture.
pub(super) fn havens(book: &Book) -> String {
    let risk = |(a, arm): (usize, &String)| {
        let e = book.estimate(arm, MISSED)?;
        Some(Line {
            arm: a,
            word: arm.clone(),
            mean: e.mean?,
            low: e.low,
            high: e.high,
            counted: None,
        })
    };
    let first: Vec<Line> = book.arms().iter().enumerate().filter_map(risk).collect();
    if first.is_empty() {
        return absent("fig-havens", TITLE, "summary.csv has no such measure, or is not here.");
    }
    let lead = "Chance per campaign that anybody was late or never safe, on a scale of powers of \
                ten, with its 95 % interval. An open triangle pointing left says: none seen, the \
                chance lies somewhere below its tip. Below, to unfold: by which way each person \
                came in, as a share of all demands.";
    let mut picture = drawn("fig-havens", "Chance per campaign of a late or missed haven", &first);
    let mut numbers = vec![risk_grid(&first)];
    for (a, arm) in book.arms().iter().enumerate() {
        let lines = outcomes(book, a, arm);
        if lines.is_empty() {
            continue;
        }
        let title = format!("Endings of demands, {arm}");
        let drawn = drawn(&format!("fig-havens-{a}"), &title, &lines);
        picture.push_str(&unfold(&format!("Ways in, {}", tag(a, arm)), &drawn));
        numbers.push(outcome_grid(&title, &lines));
    }
    Figure { id: "fig-havens", title: TITLE, lead, picture, numbers }.html()
}

fn outcomes(book: &Book, a: usize, arm: &str) -> Vec<Line> {
    let line = |r: Row| {
        Some(Line {
            arm: a,
            word: r.text("outcome").into(),
            mean: r.number("share")?,
            low: r.number("share_low95"),
            high: r.number("share_high95"),
            counted: r.number("demands"),
        })
    };
    let rows = book.rows("havens.csv").filter(|r| r.text("architecture") == arm);
    rows.filter_map(line).collect()
}

fn drawn(id: &str, title: &str, lines: &[Line]) -> String {
    let seen =
        |l: &Line| if l.none_seen() { l.high } else { l.low.filter(|x| *x > 0.0).or(Some(l.mean)) };
    let low = lines.iter().filter_map(seen).filter(|x| *x > 0.0).fold(1.0, f64::min);
    let high = lines.iter().filter_map(|l| l.high.or(Some(l.mean))).fold(0.0, f64::max);
    let scale = Scale::log(0.5 * low, high.max(low)).shares();
    let mut p = Picture::new(10.0 + ROW * lines.len() as f64 + 20.0);
    p.axis(&scale, 4.0, "");
    let mut told = Vec::new();
    for (i, l) in lines.iter().enumerate() {
        let top = 8.0 + ROW * i as f64;
        let class = hue(l.arm);
        p.label(top + 14.0, l.arm, &l.word, &l.words());
        told.push(format!("{}: {}", l.word, l.words()));
        let y = top + 28.0;
        match (l.none_seen(), l.low, l.high) {
            (true, _, Some(high)) => {
                p.line((0.0, y), (scale.at(high), y), "unseen");
                p.mark((scale.at(high), y), Shape::Lower, &format!("open {class}"));
            }
            (true, ..) => {}
            (_, low, high) => {
                if let (Some(low), Some(high)) = (low, high) {
                    let span = ((scale.at(low), y), (scale.at(high), y));
                    p.line(span.0, span.1, &format!("spread {class}"));
                }
                p.mark((scale.at(l.mean), y), Shape::Dot, &format!("fill {class}"));
            }
        }
    }
    p.finish(id, title, &format!("Logarithmic. {}.", told.join("; ")))
}

fn risk_grid(lines: &[Line]) -> Grid {
    let mut grid = Grid::new(
        "chance per campaign that anybody was late or never safe",
        &["architecture", "share of campaigns"],
    );
    grid.rows.extend(lines.iter().map(|l| vec![tag(l.arm, &l.word), l.words()]));
    grid
}

fn outcome_grid(title: &str, lines: &[Line]) -> Grid {
    let mut grid = Grid::new(title, &["outcome", "persons, all campaigns", "share of demands"]);
    for l in lines {
        let counted = match l.counted {
            Some(0.0) => "none seen".into(),
            Some(n) if n < 1e15 => format!("{n:.0}"),
            Some(n) => num(n),
            None => "not estimable".into(),
        };
        grid.rows.push(vec![esc(&l.word), counted, l.words()]);
    }
    grid
}
