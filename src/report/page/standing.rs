//! Who is best on what: for each measure the best architecture and, on common random numbers, which
//! others are behind it. Nothing is added up over measures.

use super::words::{SPOKEN, Spoken, rounded, sense, sentence_case, unit_words};
use crate::report::book::{Book, Estimate, Gap};
use crate::report::places::{Rank, ranks};

/// How an architecture stands on a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) enum Place {
    /// the best, and at least one other is behind it
    Best,
    /// not distinguishable from the best
    Even,
    /// behind the best
    Behind(Gap),
    /// not estimable
    Unknown,
}

/// A measure with the place of every architecture.
#[derive(Clone, Debug)]
pub(in crate::report) struct Standing {
    /// the measure
    pub spoken: &'static Spoken,
    /// unit
    pub unit: String,
    /// estimate of each architecture
    pub estimates: Vec<Option<Estimate>>,
    /// index of the best, if another is behind it
    pub best: Option<usize>,
    /// place of each architecture
    pub places: Vec<Place>,
}

impl Standing {
    /// What it is called at the head of a row.
    pub fn words(&self) -> String {
        sentence_case(self.spoken.words())
    }
    /// Mean of an architecture.
    pub fn mean(&self, arm: usize) -> Option<f64> {
        self.estimates[arm].as_ref()?.mean
    }
    /// By how much an architecture is behind the best: of the best value, or in points of a
    /// share.
    pub fn behind(&self, arm: usize) -> Option<String> {
        let Place::Behind(gap) = self.places[arm] else { return None };
        let best = self.best.and_then(|b| self.mean(b)).filter(|x| *x > 0.0);
        let half = gap.low.zip(gap.high).map(|(l, h)| 0.5 * (h - l));
        let (times, unit) = match (self.spoken.share, best) {
            (true, _) => (100.0, "\u{a0}points".to_string()),
            (false, Some(best)) => (100.0 / best, "\u{a0}%".to_string()),
            (false, None) => (1.0, format!("\u{a0}{}", unit_words(&self.unit))),
        };
        // Two digits are enough for a glance; the differences stand in the tables.
        let size = times * gap.difference;
        let coarse = 0.1 * size.abs();
        let text = rounded(size, Some(half.map_or(coarse, |h| (h * times).max(coarse))));
        let sign = if gap.difference > 0.0 { "+" } else { "" };
        Some(format!("{sign}{text}{unit}"))
    }
    /// The nearest that is behind the best: index and difference.
    pub fn next(&self) -> Option<(usize, Gap)> {
        let behind = self.places.iter().enumerate().filter_map(|(a, p)| match p {
            Place::Behind(gap) => Some((a, *gap)),
            _ => None,
        });
        behind.min_by(|x, y| x.1.difference.abs().total_cmp(&y.1.difference.abs()))
    }
}

/// Every measure that sentences speak of and that the folder has.
pub(in crate::report) fn standings(book: &Book) -> Vec<Standing> {
    SPOKEN.iter().filter_map(|s| standing(book, s)).collect()
}

/// The places on one measure; `None` if the folder does not have it.
pub(in crate::report) fn standing(book: &Book, spoken: &'static Spoken) -> Option<Standing> {
    let arms = book.arms();
    let estimates: Vec<Option<Estimate>> =
        arms.iter().map(|a| book.estimate(a, spoken.name)).collect();
    let unit = estimates.iter().flatten().next()?.unit.clone();
    let means: Vec<Option<f64>> =
        estimates.iter().map(|e| e.as_ref().and_then(|e| e.mean)).collect();
    let gap = |best: usize, a: usize| book.gap(&arms[a], &arms[best], spoken.name);
    let behind = |best: usize, a: usize| gap(best, a).is_some_and(|g| g.clear());
    let (best, ranks) = ranks(&means, sense(spoken.name), behind);
    let place = |(a, rank): (usize, &Rank)| match (rank, best.and_then(|b| gap(b, a))) {
        (Rank::Behind, Some(gap)) => Place::Behind(gap),
        (Rank::Best, _) => Place::Best,
        (Rank::Unknown, _) => Place::Unknown,
        (Rank::Even | Rank::Behind, _) => Place::Even,
    };
    let places = ranks.iter().enumerate().map(place).collect();
    Some(Standing { spoken, unit, estimates, best, places })
}
