//! The answer in words: one sentence on all, one for each architecture, one on each ranking.

use super::limits;
use super::standing::{Place, Standing};
use super::words::{DUST, FEW, MISSED, esc, listed, measured, name, percent, rounded, share};
use crate::measure::glossary::title;
use crate::report::book::{Book, Row};
use std::fmt::Write;

/// A lead below this share of the best value is told with its size.
const SMALL_LEAD: f64 = 0.01;
/// Measures in which an architecture trails that its sentence names, at most.
const TRAILS: usize = 2;

/// One sentence on all: who is best at what; and one on safety.
pub(super) fn headline(book: &Book, standings: &[Standing]) -> String {
    let arms = book.arms();
    if arms.len() < 2 {
        let safe = safety(book, false).unwrap_or_default();
        return format!(
            "One architecture was played, so that there is nothing to compare it with. {safe}"
        );
    }
    let never = |a: &usize| standings.iter().all(|s| !matches!(s.places[*a], Place::Behind(_)));
    let unbeaten: Vec<String> = (0..arms.len()).filter(never).map(|a| name(&arms[a])).collect();
    let wins = |a: usize| -> Vec<String> {
        standings.iter().filter(|s| s.best == Some(a)).map(win).collect()
    };
    let best: Vec<String> = (0..arms.len())
        .filter(|a| !wins(*a).is_empty())
        .map(|a| format!("{} at {}", name(&arms[a]), listed(&wins(a))))
        .collect();
    let first = match (unbeaten.as_slice(), best.is_empty()) {
        (_, true) => {
            "Chance alone may explain every difference between the architectures.".to_string()
        }
        ([], _) => format!("No architecture is best at everything: {}.", best.join("; ")),
        ([one], _) => format!("{one} is behind on nothing; best are {}.", best.join("; ")),
        (more, _) => {
            format!("{} are behind on nothing; best are {}.", listed(more), best.join("; "))
        }
    };
    // The paired difference may tell even few events apart.
    let ranked = standings.iter().any(|s| s.spoken.name == MISSED && s.best.is_some());
    match safety(book, ranked) {
        Some(safe) => format!("{first} {safe}"),
        None => first,
    }
}

/// What an architecture is best at; a small lead with its size.
fn win(s: &Standing) -> String {
    let lead = s.best.and_then(|b| s.mean(b)).zip(s.next());
    match lead.map(|(mean, (_, gap))| (gap.difference / mean).abs()) {
        Some(x) if x < SMALL_LEAD => {
            format!("{} (by {})", s.spoken.short, percent(x, Some(0.5 * x)))
        }
        _ => s.spoken.short.to_string(),
    }
}

/// How often somebody did not reach a safe haven in time, over all architectures; `ranked`: are they
/// told apart in this?
fn safety(book: &Book, ranked: bool) -> Option<String> {
    let n = book.manifest.campaigns;
    let mut seen: Vec<(f64, &String)> = Vec::new();
    let mut bound = 0.0_f64;
    for arm in book.arms() {
        let e = book.estimate(arm, MISSED)?;
        let mean = e.mean?;
        bound = bound.max(e.high?);
        if mean > 0.0 {
            seen.push((mean, arm));
        }
    }
    seen.sort_by(|x, y| y.0.total_cmp(&x.0));
    let events = |x: f64| format!("{:.0}", x * n as f64);
    let which = if book.arms().len() > 1 { " of each" } else { "" };
    Some(match seen.as_slice() {
        [] => format!(
            "Everybody reached a safe haven in time in all {n} campaigns{which}: the probability \
             that somebody does not is below {} per campaign.",
            percent(bound, Some(0.1 * bound))
        ),
        [(x, arm), ..] if x * (n as f64) < FEW && !ranked => format!(
            "A safe haven was not reached in time in at most {} of {n} campaigns, with {}: \
             too few to rank.",
            events(*x),
            name(arm)
        ),
        [(x, arm), ..] => format!(
            "A safe haven was most often not reached in time with {}: in {} of {n} campaigns.",
            name(arm),
            events(*x)
        ),
    })
}

/// The sentence of an architecture.
pub(super) fn sentence(book: &Book, standings: &[Standing], arm: usize) -> String {
    let mut parts: Vec<String> = Vec::new();
    if book.arms().len() < 2 {
        let told = |s: &Standing| {
            let e = s.estimates[arm].as_ref().filter(|e| e.mean.is_some())?;
            let told = || format!("{} of {}", s.spoken.words(), measured(e, s.spoken));
            (s.spoken.name != MISSED).then(told)
        };
        let all: Vec<String> = standings.iter().filter_map(told).collect();
        if !all.is_empty() {
            parts.push(format!("has {}", listed(&all)));
        }
    } else {
        parts.push(best_at(standings, arm));
        parts.extend(trails(standings, arm));
    }
    parts.extend(risk(book, arm));
    if !limits::asked(book, DUST) {
        parts.extend(dust(book, arm));
    }
    parts.extend(limits::clause(book, arm));
    let last = parts.pop().unwrap_or_default();
    match parts.is_empty() {
        true => format!("It {last}."),
        false => format!("It {}, and {last}.", parts.join(", ")),
    }
}

fn best_at(standings: &[Standing], arm: usize) -> String {
    let of = |wanted: fn(&Place) -> bool| -> Vec<&Standing> {
        standings.iter().filter(|s| wanted(&s.places[arm])).collect()
    };
    let best: Vec<String> = of(|p| *p == Place::Best).into_iter().map(win).collect();
    // Where nothing is clear at all, even says nothing.
    let even: Vec<String> = of(|p| *p == Place::Even)
        .into_iter()
        .filter(|s| s.best.is_some())
        .map(|s| s.spoken.short.to_string())
        .collect();
    match (best.is_empty(), even.is_empty()) {
        (false, true) => format!("is best at {}", listed(&best)),
        (false, false) => {
            format!(
                "is best at {}, not distinguishable from the best at {}",
                listed(&best),
                listed(&even)
            )
        }
        (true, false) => {
            format!("is best at nothing, not distinguishable from the best at {}", listed(&even))
        }
        (true, true) if standings.iter().all(|s| s.best.is_none()) => {
            "is not distinguishable from the others".into()
        }
        (true, true) => "is best at nothing".into(),
    }
}

/// Where it trails most, for its size.
fn trails(standings: &[Standing], arm: usize) -> Option<String> {
    let mut behind: Vec<(f64, &Standing)> = standings
        .iter()
        .filter_map(|s| match s.places[arm] {
            Place::Behind(gap) => {
                let best = s.best.and_then(|b| s.mean(b)).filter(|x| *x != 0.0);
                Some((best.map_or(f64::INFINITY, |x| (gap.difference / x).abs()), s))
            }
            _ => None,
        })
        .collect();
    behind.sort_by(|x, y| y.0.total_cmp(&x.0));
    let told = |(_, s): &(f64, &Standing)| {
        let size = s.behind(arm).map_or(String::new(), |x| format!(" ({x})"));
        format!("{}{size}", s.spoken.short)
    };
    let most: Vec<String> = behind.iter().take(TRAILS).map(told).collect();
    (!most.is_empty()).then(|| match behind.len() > TRAILS {
        true => format!("trails most in {}", listed(&most)),
        false => format!("trails in {}", listed(&most)),
    })
}

/// How often somebody did not reach a safe haven in time, where that was seen.
fn risk(book: &Book, arm: usize) -> Option<String> {
    let mean = book.estimate(&book.arms()[arm], MISSED)?.mean.filter(|x| *x > 0.0)?;
    let n = book.manifest.campaigns;
    Some(format!(
        "leaves somebody without a safe haven in time in {:.0} of {n} campaigns",
        mean * n as f64
    ))
}

/// Where the dust average stands to the limit of the body, if it is above it.
fn dust(book: &Book, arm: usize) -> Option<String> {
    let limit = book.manifest.setting.as_ref()?.dust_limit_mg_m3;
    let e = book.estimate(&book.arms()[arm], DUST)?;
    let times = e.mean? / limit;
    let half = e.low.zip(e.high).map(|(l, h)| 0.5 * (h - l) / limit);
    (times > 1.0)
        .then(|| format!("reaches {} times the dust limit of the body", rounded(times, half)))
}

/// Who is non-dominated on the measures of each ranking together, and how sure that is.
pub(super) fn rankings(book: &Book) -> String {
    if book.arms().len() < 2 {
        return String::new();
    }
    let rows: Vec<Row> = book.rows("ranking.csv").collect();
    let mut names: Vec<&str> = rows.iter().map(|r| r.text("ranking")).collect();
    names.dedup();
    names.iter().map(|ranking| ranked(&rows, ranking)).collect()
}

/// One ranking in words.
fn ranked(rows: &[Row], ranking: &str) -> String {
    let of = |basis: &'static str| {
        rows.iter().filter(move |r| r.text("ranking") == ranking && r.text("basis") == basis)
    };
    let told = |r: &Row| {
        let sure = r.number("share").filter(|s| *s < 0.995);
        let sure = sure.map_or(String::new(), |s| format!(" (in {} of resamples)", share(s)));
        format!("{}{sure}", name(r.text("architecture")))
    };
    let unbeaten: Vec<String> =
        of("means").filter(|r| r.text("not_beaten") == "1").map(told).collect();
    let measures = of("means").next().map_or("", |r| r.text("measures"));
    let measures: Vec<String> = measures.split(' ').map(|m| esc(title(m))).collect();
    if unbeaten.is_empty() {
        return String::new();
    }
    let title = match ranking {
        "usual" => String::new(),
        own => format!(" (ranking <i>{}</i>)", esc(own)),
    };
    let mut out = format!(
        "<p>Non-dominated on {} taken together{title}: {}.",
        listed(&measures),
        listed(&unbeaten)
    );
    if let Some(r) = of("changed weights").find(|r| r.text("not_beaten") == "1") {
        let sure = |basis| {
            let same = |o: &&Row| o.text("architecture") == r.text("architecture");
            of(basis).find(same).and_then(|o| o.number("share")).map_or("?".into(), share)
        };
        let _ = write!(
            out,
            " With the weights of the file {} has the least total: in {} of resamples, and in {} \
             of weights changed between half and twice.",
            name(r.text("architecture")),
            sure("weighted total"),
            sure("changed weights")
        );
    }
    out + "</p>"
}
