//! What stands in the table of the summary: measures with their estimates, the best of each row and
//! those not distinguishable from it, and limits with their verdicts.

use crate::measure::glossary::{self, MARGIN};
use crate::measure::{Better, Kind, MEASURES, Measure};
use crate::model::Model;
use crate::report::digits::{Digits, scaled};
use crate::report::places::{ROWS, Rank, ranks};
use crate::report::requirements::{Judged, Verdict};
use crate::report::screen::Tone;
use crate::report::sentences::{apart, least_margin};
use crate::stats::{Estimate, Results};

/// After this row of [`ROWS`] stands the minimum consumables margin.
const BEFORE_MARGIN: &str = "haven_way_back";

/// How an architecture stands in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// nothing is said
    None,
    /// the best, and at least one other is worse by more than chance
    Best,
    /// not distinguishable from the best
    Even,
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    /// what is read, without its marks
    pub text: String,
    /// how it stands
    pub mark: Mark,
    /// its interval is rough
    pub rough: bool,
    /// colour of a verdict
    pub tone: Tone,
}

impl Cell {
    fn plain(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), mark: Mark::None, rough: false, tone: Tone::Plain }
    }

    /// The mark behind the text: a blank where there is none, so that numbers stand in line.
    pub fn sign(&self) -> char {
        match self.mark {
            Mark::None => ' ',
            Mark::Best => '*',
            Mark::Even => '=',
        }
    }

    /// As it is printed, without colour.
    pub fn shown(&self) -> String {
        format!("{}{}{}", if self.rough { "~" } else { "" }, self.text, self.sign())
    }

    /// Colour of the whole.
    pub fn tone(&self) -> Tone {
        match self.mark {
            Mark::Best | Mark::Even => Tone::Good,
            Mark::None => self.tone,
        }
    }
}

/// One row: a heading and a cell for each architecture.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub heading: String,
    pub cells: Vec<Cell>,
}

/// Rows of the measures.
pub(super) fn measures(model: &Model, results: &Results) -> Vec<Line> {
    let mut out = Vec::new();
    for name in ROWS {
        let Some((c, m)) = index(name) else { continue };
        let estimates: Vec<Estimate> =
            (0..model.arms.len()).map(|a| results.estimate(a, c)).collect();
        if estimates.iter().any(|e| e.mean.is_some()) {
            out.push(Line { heading: m.heading(), cells: cells(results, &estimates, c, m) });
        }
        if *name == BEFORE_MARGIN {
            out.push(margins(model, results));
        }
    }
    out
}

/// A measure and its column.
pub(super) fn index(name: &str) -> Option<(usize, &'static Measure)> {
    MEASURES.iter().enumerate().find(|(_, m)| m.name == name)
}

fn cells(results: &Results, estimates: &[Estimate], c: usize, m: &Measure) -> Vec<Cell> {
    let marks = marks(results, estimates, c, m);
    let cell = |(e, mark): (&Estimate, Mark)| Cell {
        text: words(e, m),
        mark,
        rough: e.note.starts_with("rough"),
        tone: Tone::Plain,
    };
    estimates.iter().zip(marks).map(cell).collect()
}

/// The best and those not distinguishable from it; nothing where no other is behind.
fn marks(results: &Results, estimates: &[Estimate], c: usize, m: &Measure) -> Vec<Mark> {
    let nothing = vec![Mark::None; estimates.len()];
    if m.better == Better::Neither {
        return nothing;
    }
    let means: Vec<Option<f64>> = estimates.iter().map(|e| e.mean).collect();
    let (best, ranks) = ranks(&means, m.sense(), |best, a| apart(results, best, a, c));
    if best.is_none() {
        return nothing;
    }
    let mark = |r: &Rank| match r {
        Rank::Best => Mark::Best,
        Rank::Even => Mark::Even,
        Rank::Behind | Rank::Unknown => Mark::None,
    };
    ranks.iter().map(mark).collect()
}

/// A mean with the half-width of its interval; both limits where they are not alike.
fn words(e: &Estimate, m: &Measure) -> String {
    let Some(mean) = e.mean.map(|x| scaled(m, x)) else { return "-".into() };
    let (low, high) = (e.low.map(|x| scaled(m, x)), e.high.map(|x| scaled(m, x)));
    let digits = Digits::of_interval(mean, low, high);
    match (low, high) {
        (Some(l), Some(h)) if l == h => Digits::of(mean, None).show(mean),
        (_, Some(h)) if mean == 0.0 && m.kind == Kind::Flag => format!("0 (<{})", digits.show(h)),
        (Some(l), Some(h)) if even(mean, l, h) => {
            format!("{}\u{b1}{}", digits.show(mean), digits.show((h - l) / 2.0))
        }
        (Some(l), Some(h)) => {
            format!("{} ({}..{})", digits.show(mean), digits.show(l), digits.show(h))
        }
        _ if mean == 0.0 => "0 seen".into(),
        _ => Digits::of(mean, None).show(mean),
    }
}

/// Does an interval reach about as far down as up?
fn even(mean: f64, low: f64, high: f64) -> bool {
    ((high - mean) - (mean - low)).abs() <= 0.15 * (high - low)
}

/// The minimum consumables margin of each architecture, by whichever ingress.
fn margins(model: &Model, results: &Results) -> Line {
    let least = |a: usize| {
        let both = [false, true].map(|w| least_margin(results, a, w));
        both.into_iter().flatten().min_by(f64::total_cmp)
    };
    let cell = |a: usize| match least(a) {
        None => Cell::plain("-"),
        Some(f64::NEG_INFINITY) => Cell { tone: Tone::Bad, ..Cell::plain("not safe") },
        Some(x) => Cell::plain(format!("{x:.0}")),
    };
    let heading = format!("{}, min", glossary::title(MARGIN));
    Line { heading, cells: (0..model.arms.len()).map(cell).collect() }
}

/// Rows of the limits: what is asked, and whether it is met.
pub(super) fn limits(model: &Model, judged: &[Judged]) -> Vec<Line> {
    let of = |limit: &str, arm: usize| {
        let own = judged.iter().find(|j| j.limit.name == limit && j.arm == arm);
        own.map_or(Cell::plain("not asked"), |j| Cell {
            tone: tone(j.verdict),
            ..Cell::plain(j.verdict.word())
        })
    };
    let line = |l: &crate::model::Limit| Line {
        heading: format!("limit {}: {}", l.name, l.in_short()),
        cells: (0..model.arms.len()).map(|a| of(&l.name, a)).collect(),
    };
    model.review.limits.iter().map(line).collect()
}

fn tone(v: Verdict) -> Tone {
    match v {
        Verdict::Met => Tone::Good,
        Verdict::NotMet => Tone::Bad,
        Verdict::Undecided => Tone::Doubt,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::measure;

    fn estimate(mean: f64, low: Option<f64>, high: Option<f64>) -> Estimate {
        let (method, note, quantiles) = ("", String::new(), Vec::new());
        let (sd, min, max) = (None, None, None);
        Estimate { mean: Some(mean), low, high, sd, quantiles, min, max, n_used: 100, method, note }
    }

    #[test]
    fn measures_named_here_are_registered() {
        for name in ROWS {
            assert!(index(name).is_some(), "{name}");
        }
        assert!(ROWS.contains(&BEFORE_MARGIN));
    }

    #[test]
    fn cells_end_at_the_first_digit_of_the_half_width() {
        let hours = measure("eva_lost_h").unwrap();
        let chance = measure("campaign_haven_missed").unwrap();
        let of = |m, x, l, h| words(&estimate(x, l, h), m);
        assert_eq!(of(hours, 89.74, Some(85.2), Some(94.3)), "90\u{b1}5");
        assert_eq!(of(hours, 30.0, Some(10.0), Some(100.0)), "30 (10..100)");
        assert_eq!(of(hours, 12.26, Some(12.26), Some(12.26)), "12.3");
        assert_eq!(of(hours, 0.0, None, None), "0 seen");
        assert_eq!(of(chance, 0.0, Some(0.0), Some(0.006)), "0 (<0.6)");
        assert_eq!(of(chance, 0.012, Some(0.006), Some(0.022)), "1.2 (0.6..2.2)");
    }
}
