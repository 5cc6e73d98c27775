//! The two questions of a review, answered for every architecture from the tables: why does it
//! lose, and what would have to be true for it to win? Differences are on common random numbers; causes are
//! those of the breakdown; what would have to change is a first-order statement with all else the
//! same.

use super::contributors::{contributors, events};
use super::part::{tag, unfold};
use super::standing::{Place, Standing};
use super::words::{
    DUST, FEW, MISSED, difference, esc, listed, name, num, sentence_case, share, value,
};
use crate::report::book::{Book, Gap};
use std::fmt::Write;

/// Most causes in a sentence.
const CAUSES: usize = 3;

/// The section.
pub(super) fn why(book: &Book, standings: &[Standing]) -> String {
    if book.arms().len() < 2 {
        return "<p>One architecture was played: there is nothing to compare it with.</p>".into();
    }
    let mut out: String =
        book.arms().iter().enumerate().map(|(a, arm)| one(book, standings, a, arm)).collect();
    out.push_str(
        "<p class=\"note\">\u{201c}To draw level\u{201d} changes one cause with all else the same: \
        it is a first estimate of what would have to be true, not a new run. Change the number in \
        the file and run again to see the whole effect.</p>",
    );
    out
}

/// The reasons of one architecture, folded.
fn one(book: &Book, standings: &[Standing], a: usize, arm: &str) -> String {
    let items: String = standings.iter().filter_map(|s| item(book, s, a)).collect();
    let behind = standings.iter().filter(|s| matches!(s.places[a], Place::Behind(_))).count();
    let mut inside = match items.is_empty() {
        true => String::new(),
        false => format!(r#"<dl class="reasons">{items}</dl>"#),
    };
    let leads: Vec<String> = standings.iter().filter_map(|s| lead(book, s, a)).collect();
    if !leads.is_empty() {
        let _ = write!(inside, "<p><b>Where it wins, and by how much:</b> {}.</p>", listed(&leads));
    }
    inside.push_str(&mass(book, arm));
    let said = match behind {
        0 => "is behind on nothing".to_string(),
        n => format!("is behind the best at {n} of {} measures", standings.len()),
    };
    let summary = format!("{} {said}", tag(a, arm));
    format!(r#"<div class="why">{}</div>"#, unfold(&summary, &inside))
}

/// One measure on which an architecture is behind.
fn item(book: &Book, s: &Standing, arm: usize) -> Option<String> {
    let (Place::Behind(gap), best) = (s.places[arm], s.best?) else { return None };
    let (own, other) = (&book.arms()[arm], &book.arms()[best]);
    let (x, y) = (s.mean(arm)?, s.mean(best)?);
    let amount = |x: f64| match x {
        0.0 => "none seen".into(),
        x => value(x, s.spoken, &s.unit),
    };
    let mut why = format!(
        "{} against {} with {}: {}{} on common random numbers.",
        amount(x),
        amount(y),
        name(other),
        difference(gap.difference, s.spoken, &s.unit),
        limits(&gap, s)
    );
    let mut win = String::new();
    match (s.spoken.name, s.spoken.quantity) {
        (MISSED, _) => {
            why.push_str(&ended(book, own));
            win = risk(book, own, x, y);
        }
        (DUST, Some(q)) => {
            why.push_str(&paths_in(book, own, other, q));
            win = dust(book, s, arm, y);
        }
        (_, Some(q)) => {
            let changes = Changes::of(book, own, other, q);
            why.push_str(&changes.words(s));
            win = changes.level(s, gap.difference.abs());
        }
        _ => {}
    }
    let win = if win.is_empty() { win } else { format!("<br><b>To draw level:</b> {win}") };
    let title = sentence_case(s.spoken.words());
    Some(format!("<div><dt>{title}</dt><dd><b>Why:</b> {why}{win}</dd></div>"))
}

fn limits(gap: &Gap, s: &Standing) -> String {
    let times = if s.spoken.share && gap.difference.abs() >= 1e-3 { 100.0 } else { 1.0 };
    match (gap.low, gap.high) {
        (Some(l), Some(h)) => format!(" [{}, {}]", num(l * times), num(h * times)),
        _ => String::new(),
    }
}

/// Where an architecture is best: by how much it leads the next that is clearly behind.
fn lead(book: &Book, s: &Standing, arm: usize) -> Option<String> {
    let (next, gap) = s.next().filter(|_| s.best == Some(arm))?;
    let size = value(gap.difference.abs(), s.spoken, &s.unit);
    let size = if s.spoken.share && gap.difference.abs() >= 1e-3 {
        size.replace(" %", " % points")
    } else {
        size
    };
    Some(format!("{} by {size} before {}", s.spoken.words(), esc(&book.arms()[next])))
}

/// What each cause makes of the difference between two architectures.
struct Changes<'a> {
    /// cause, own mean, own less other; largest difference first
    rows: Vec<(&'a str, f64, f64)>,
}

impl<'a> Changes<'a> {
    fn of(book: &'a Book, own: &str, other: &str, quantity: &str) -> Changes<'a> {
        let (a, b) = (book.causes(own, quantity), book.causes(other, quantity));
        let mean = |of: &[(&str, f64)], cause: &str| {
            of.iter().find(|(c, _)| *c == cause).map_or(0.0, |(_, x)| *x)
        };
        let mut rows: Vec<(&str, f64, f64)> =
            a.iter().map(|(c, x)| (*c, *x, x - mean(&b, c))).collect();
        let only = b.iter().filter(|(c, _)| !a.iter().any(|(d, _)| c == d));
        rows.extend(only.map(|(c, x)| (*c, 0.0, 0.0 - x)));
        rows.sort_by(|x, y| y.2.total_cmp(&x.2));
        Changes { rows }
    }

    /// The causes that make most of it, and those that speak for the architecture.
    fn words(&self, s: &Standing) -> String {
        let told = |(c, _, d): &(&str, f64, f64)| {
            format!("{} {}", cause(c), difference(*d, s.spoken, &s.unit))
        };
        let least = 0.01 * self.rows.iter().map(|r| r.2.abs()).fold(0.0, f64::max);
        let more: Vec<String> =
            self.rows.iter().filter(|r| r.2 > least).take(CAUSES).map(told).collect();
        let less: Vec<String> =
            self.rows.iter().rev().filter(|r| r.2 < -least).take(CAUSES).map(told).collect();
        let mut out = String::new();
        if !more.is_empty() {
            let _ = write!(out, " Most of it: {}.", listed(&more));
        }
        if !less.is_empty() {
            let _ = write!(out, " Against that: {}.", listed(&less));
        }
        out
    }

    /// What its causes would have to fall to, for the difference to go.
    fn level(&self, s: &Standing, gap: f64) -> String {
        let own = |r: &&(&str, f64, f64)| r.1 > 0.0 && r.2 > 0.0;
        let Some((first, mean, _)) = self.rows.iter().find(own) else {
            return String::new();
        };
        let amount = |x: f64| value(x, s.spoken, &s.unit);
        if *mean >= gap {
            return format!(
                "{} would have to fall from {} to {} (by {}).",
                cause(first),
                amount(*mean),
                amount(mean - gap),
                share(gap / mean)
            );
        }
        let mut sum = 0.0;
        let mut names = Vec::new();
        for (c, x, _) in self.rows.iter().filter(own) {
            sum += x;
            names.push(cause(c));
            if sum >= gap {
                return format!(
                    "no single cause is as large as the difference; {} together ({}) would have \
                    to fall by {}.",
                    listed(&names),
                    amount(sum),
                    share(gap / sum)
                );
            }
        }
        format!(
            "all causes in which it is worse add up to {}, less than the difference: it would \
            have to become better than the other elsewhere.",
            amount(sum)
        )
    }
}

/// A cause as written in the files.
fn cause(c: &str) -> String {
    format!("<i>{}</i>", esc(c))
}

/// How dust came in, own against other.
fn paths_in(book: &Book, own: &str, other: &str, quantity: &str) -> String {
    let total = |arm: &str| book.causes(arm, quantity).iter().map(|(_, x)| x).sum::<f64>();
    let mut paths = book.causes(own, quantity);
    paths.sort_by(|x, y| y.1.total_cmp(&x.1));
    let seen = paths.iter().filter(|(_, x)| *x > 0.0).take(CAUSES);
    let told: Vec<String> = seen.map(|(c, x)| format!("{} {} g", cause(c), num(*x))).collect();
    if told.is_empty() {
        return String::new();
    }
    let (a, b) = (total(own), total(other));
    let most =
        format!("{} g of dust came into cabins (there {} g): {}", num(a), num(b), listed(&told));
    let air = if a < b {
        "; it brings in less and breathes more, so that air volume, filters and where people stay \
         decide, not grams"
    } else {
        ""
    };
    format!(" {most}{air}.")
}

/// What the dust would have to do.
fn dust(book: &Book, s: &Standing, arm: usize, best: f64) -> String {
    let Some(mean) = s.mean(arm).filter(|m| *m > 0.0) else { return String::new() };
    let mut out = format!(
        "the average would have to fall by {} to that of the best",
        share(1.0 - best / mean)
    );
    if let Some(setting) = &book.manifest.setting {
        let limit = setting.dust_limit_mg_m3;
        let met = if mean <= limit { "; it meets" } else { ", and by " };
        out.push_str(met);
        if mean > limit {
            let _ = write!(out, "{} to meet", share(1.0 - limit / mean));
        }
        let _ = write!(out, " the limit of {} mg/m\u{b3}", num(limit));
    }
    out.push('.');
    let fraction = book.estimate(&book.arms()[arm], "dust_break_even_fraction");
    if let Some(x) = fraction.and_then(|e| e.mean) {
        let _ = write!(
            out,
            " Whatever the share is that really comes in: the limit is met if no more than {} of \
            the fine dust on suits at the door does (break-even share, mean of campaigns; only the \
            airborne share of the file goes into it).",
            share(x)
        );
    }
    out
}

/// How the demands ended that were not met in time.
fn ended(book: &Book, own: &str) -> String {
    let count = |outcome: &str| {
        let mut rows = book.rows("havens.csv");
        let row = rows.find(|r| r.text("architecture") == own && r.text("outcome") == outcome)?;
        row.number("demands")
    };
    match (count("late"), count("missed")) {
        (Some(late), Some(missed)) => format!(
            " Persons who reached a safe haven after life support ended: {late:.0}, who reached none: \
             {missed:.0}, in {} campaigns.",
            book.manifest.campaigns
        ),
        _ => String::new(),
    }
}

/// What would have to be perfect for the risk to fall to that of the best.
fn risk(book: &Book, own: &str, x: f64, best: f64) -> String {
    if book.sheet("drivers.csv").is_none() {
        return format!(
            "the probability would have to fall by {}; the top contributors are not known, because this \
             folder has no drivers.csv.",
            share(1.0 - best / x)
        );
    }
    let seen = events(book, own, MISSED);
    if seen < FEW {
        return format!(
            "the probability would have to fall by {}; {seen:.0} events: too few to rank contributors.",
            share(1.0 - best / x)
        );
    }
    let rows = contributors(book, own, MISSED);
    let items: Vec<String> = rows
        .iter()
        .take(CAUSES)
        .filter_map(|r| {
            let drop = r.number("removal")?;
            let left = x * (1.0 - drop);
            let limits = (r.number("removal_low95"), r.number("removal_high95"));
            let word = enough(x, best, drop, limits);
            let range = match limits {
                (Some(l), Some(h)) => format!(" [{} to {}]", share(l), share(h)),
                _ => String::new(),
            };
            Some(format!(
                "without {} it falls by {}{range} to {} ({word})",
                cause(r.text("item")),
                share(drop),
                share(left)
            ))
        })
        .collect();
    let need = format!("the probability would have to fall by {}", share(1.0 - best / x));
    match items.as_slice() {
        [] => format!("{need}; no single item was seen to contribute to it."),
        _ => format!("{need}: {}.", items.join("; ")),
    }
}

/// Does a drop bring the chance to that of the best, and how sure is that?
fn enough(x: f64, best: f64, drop: f64, limits: (Option<f64>, Option<f64>)) -> &'static str {
    let reached = |drop: f64| x * (1.0 - drop) <= best;
    match (reached(drop), limits.0.is_some_and(reached), limits.1.is_some_and(reached)) {
        (true, true, _) => "enough",
        (true, false, _) => "enough by the estimate, but not certain",
        (false, _, true) => "not enough by the estimate, though it may be",
        (false, ..) => "not enough alone",
    }
}

/// Break-evens of the folder in which the architecture takes part, as its table says them.
fn mass(book: &Book, arm: &str) -> String {
    let rows: Vec<String> = super::mass::break_evens(book, arm);
    match rows.as_slice() {
        [] => String::new(),
        _ => format!("<p><b>Break-even in mass:</b> {}</p>", rows.join(" ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From 4 % to 1 % takes a drop of three quarters.
    #[test]
    fn how_sure_a_drop_is_enough_comes_from_its_interval() {
        let of = |drop, low, high| enough(0.04, 0.01, drop, (Some(low), Some(high)));
        assert_eq!(of(0.9, 0.8, 0.95), "enough");
        assert_eq!(of(0.8, 0.1, 0.95), "enough by the estimate, but not certain");
        assert_eq!(of(0.5, 0.1, 0.8), "not enough by the estimate, though it may be");
        assert_eq!(of(0.5, 0.1, 0.7), "not enough alone");
    }
}
