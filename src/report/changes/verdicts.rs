//! Verdicts and sentences that turned.

use super::moved::{Moved, Sure};
use crate::report::book::{Book, Row};
use crate::report::page;
use serde::Serialize;

/// A verdict that is not as it was.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turned {
    /// architecture
    pub architecture: String,
    /// the limit of the campaign file, or the ranking
    pub of: String,
    /// as it was; empty: not asked
    pub old: String,
    /// as it is; empty: not asked
    pub new: String,
    /// did what it goes by move by more than chance?
    pub beyond_chance: bool,
    /// by what that was told
    pub told_by: String,
}

/// A sentence that reads differently.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Said {
    /// architecture, or empty for all
    pub about: String,
    /// as it was
    pub old: String,
    /// as it is
    pub new: String,
}

/// Limits and rankings whose verdict turned.
pub(super) fn turned(books: &[Book; 2], measures: &[Moved]) -> Vec<Turned> {
    let mut out = limits(books, measures);
    out.extend(rankings(books));
    out
}

fn limits(books: &[Book; 2], measures: &[Moved]) -> Vec<Turned> {
    let mut out = Vec::new();
    let key = |r: &Row| [r.text("architecture"), r.text("limit")].map(String::from);
    let [before, after] = books.each_ref().map(|b| b.rows("requirements.csv").collect::<Vec<_>>());
    for r in &after {
        let was = before.iter().find(|w| key(w) == key(r));
        let old = was.map_or("", |w| w.text("verdict"));
        if old == r.text("verdict") {
            continue;
        }
        let (beyond, told_by) =
            was.map_or((true, "the limit is new".into()), |w| limit_moved(w, r, measures));
        let [architecture, of] = key(r);
        let (old, new) = (old.to_string(), r.text("verdict").to_string());
        out.push(Turned { architecture, of, old, new, beyond_chance: beyond, told_by });
    }
    for w in before.iter().filter(|w| !after.iter().any(|r| key(r) == key(w))) {
        let [architecture, of] = key(w);
        let (old, told_by) = (w.text("verdict").to_string(), "the limit was removed".to_string());
        out.push(Turned {
            architecture,
            of,
            old,
            new: String::new(),
            beyond_chance: true,
            told_by,
        });
    }
    out
}

/// Is there more than chance behind a verdict that turned?
fn limit_moved(was: &Row, is: &Row, measures: &[Moved]) -> (bool, String) {
    for (column, what) in [("bound", "bound"), ("measure", "measure"), ("statistic", "statistic")] {
        if was.text(column) != is.text(column) {
            return (true, format!("the limit has another {what}"));
        }
    }
    if is.text("statistic") == "mean" {
        let same = |m: &&Moved| {
            m.architecture == is.text("architecture") && m.measure == is.text("measure")
        };
        let beyond = measures.iter().find(same).is_some_and(|m| m.sure == Sure::BeyondChance);
        return (beyond, "by the test of its measure".into());
    }
    let ends = |r: &Row| r.number("low95").zip(r.number("high95"));
    let apart = ends(was).zip(ends(is)).is_some_and(|((l, h), (low, high))| l > high || low > h);
    // Two 95 % intervals of equal width lie apart by chance in 0.6 %, at most in 5 %.
    (apart, format!("its 95 % intervals {}", overlap(apart)))
}

/// How two intervals lie.
fn overlap(apart: bool) -> &'static str {
    if apart { "do not overlap" } else { "overlap" }
}

/// Who came among those that are non-dominated, or left them.
fn rankings(books: &[Book; 2]) -> Vec<Turned> {
    let mut out = Vec::new();
    let [before, after] = books.each_ref().map(|b| {
        let means = b.rows("ranking.csv").filter(|r| r.text("basis") == "means");
        means.collect::<Vec<_>>()
    });
    let word = |r: &Row| match r.text("not_beaten") {
        "1" => "non-dominated".to_string(),
        _ => "dominated".to_string(),
    };
    for r in &after {
        let key = |r: &Row| [r.text("ranking"), r.text("architecture")].map(String::from);
        let Some(w) = before.iter().find(|w| key(w) == key(r)) else { continue };
        if word(w) == word(r) {
            continue;
        }
        let ends = |r: &Row| r.number("share_low95").zip(r.number("share_high95"));
        let apart = ends(w).zip(ends(r)).is_some_and(|((l, h), (low, high))| l > high || low > h);
        let [ranking, architecture] = key(r);
        out.push(Turned {
            architecture,
            of: format!("ranking {ranking}"),
            old: word(w),
            new: word(r),
            beyond_chance: apart,
            told_by: format!("95 % intervals of its share of resamples {}", overlap(apart)),
        });
    }
    out
}

/// Sentences of the page that read differently.
pub(super) fn said(books: &[Book; 2]) -> Vec<Said> {
    let [before, after] = books.each_ref().map(page::sentences);
    let mut out = Vec::new();
    for (about, new) in &after {
        let old = before.iter().find(|(a, _)| a == about).map_or("", |(_, text)| text.as_str());
        if old != new {
            out.push(Said { about: about.clone(), old: old.into(), new: new.clone() });
        }
    }
    out
}
