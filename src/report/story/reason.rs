//! Why it ended as it did, in a paragraph: what led to a safe haven that was reached late or not at
//! all, the last decision, how many minutes were short; or that everybody was in in time.

use super::{Told, chain, clock, trade};
use crate::campaign::trace::{End, Line};
use crate::measure::measure;

/// How the engine begins to say that somebody is in by another list than the planned one.
const SAFE_BY: &str = " is safe by ";

/// A paragraph for each who was late or reached no safe haven, those of whom the same is said in one;
/// else one for all.
pub(super) fn reasons(told: Told) -> Vec<String> {
    let ends = told.story.ends.iter().filter(|e| told.slot.is_none() || e.slot == told.slot);
    let mut all: Vec<(Vec<&str>, String)> = Vec::new();
    for end in ends {
        let text = reason(told, end);
        match all.iter_mut().find(|(_, t)| *t == text) {
            Some((names, _)) => names.push(&end.name),
            None => all.push((vec![&end.name], text)),
        }
    }
    if all.is_empty() {
        return quiet(told).into_iter().collect();
    }
    all.iter().map(|(names, text)| format!("{} {text}", names.join(" and "))).collect()
}

/// What is said of somebody, without the name.
fn reason(told: Told, end: &End) -> String {
    let (first, chain) = chain::chain(told, end);
    let sortie = end.slot.map_or(String::new(), |s| format!(" (sortie {})", s + 1));
    let how = match end.late {
        Some(minutes) => {
            format!("reached a safe haven {minutes:.0} min after life support ended{sortie}")
        }
        None if supplied(told, end) => format!(
            "did not reach a safe haven{sortie}: no path to one was left to try, although life \
             support had not ended (rules 19 and 22)"
        ),
        None => format!("did not reach a safe haven before life support ended{sortie}"),
    };
    let led = match chain.is_empty() {
        true => "nothing that failed".to_string(),
        false => chain.join("; "),
    };
    let mut out = format!("{how}. What led there: {led}.");
    // What a team decided in an earlier trouble has no part in this one.
    if let Some(d) = end.decision.as_ref().filter(|d| d.time >= first) {
        let text = decision(&trade::words(&d.text, &told.model.crew.names));
        out += &format!(" The last decision, on {}, was to {text}.", clock(d.time));
        out += &match (&d.lacks, end.late) {
            (Some((way, short)), _) if *short > 0.0 => {
                format!(" The path that lacked least time was {way}: {short:.0} min short.")
            }
            (_, Some(minutes)) => format!(" It ended {minutes:.0} min too late."),
            _ => " No path lacked time alone; what each of them lacked stands above.".into(),
        };
    }
    out
}

fn decision(text: &str) -> String {
    match text.strip_prefix("try ") {
        Some(path) => format!("take {path}"),
        None => text.into(),
    }
}

/// Did life support still last when somebody was given up? By what was told of it last: a supply that
/// does not run down, or more minutes than have gone by since (at rest they last longer, not shorter).
fn supplied(told: Told, end: &End) -> bool {
    let of = |l: &Line| {
        let left = l.left.iter().chain(&l.clocks).find(|(name, _)| *name == end.name)?;
        Some((l.time, left.1))
    };
    let before = told.story.lines.iter().filter(|l| l.time <= end.time);
    let last = before.rev().find_map(of);
    last.is_some_and(|(time, left)| left > (end.time - time) / 60.0 + 1.0)
}

/// Everybody was in in time: how near it came.
fn quiet(told: Told) -> Option<String> {
    if told.slot.is_some() {
        return None;
    }
    let value = |name: &str| measure(name).and_then(|m| told.outcome.facts.read(m));
    let count = |name: &str| value(name).unwrap_or(0.0);
    let margins = ["haven_margin_min", "haven_margin_contingency_min"];
    let least = margins.iter().filter_map(|m| value(m)).fold(f64::INFINITY, f64::min);
    let margin = match least.is_finite() {
        true => format!(", with at least {least:.0} min of consumables remaining"),
        false => String::new(),
    };
    let contingency = match count("haven_way_back") {
        0.0 => "never by contingency ingress".to_string(),
        n => format!(
            "{n:.0} of {:.0} times by contingency ingress{}",
            count("haven_demands"),
            ways(told)
        ),
    };
    Some(format!(
        "Everybody who was outside reached a safe haven in time, {contingency}{margin}. {:.0} of {:.0} \
         planned sorties were done, {:.0} of {:.0} EVA crew-hours.",
        count("sorties_done"),
        count("sorties_planned"),
        count("eva_done_h"),
        count("eva_planned_h")
    ))
}

/// Sorties that are named at most.
const NAMED: usize = 4;

/// On which sorties somebody came in by contingency ingress, with their days; nothing where it is told
/// of none.
fn ways(told: Told) -> String {
    let mut seen: Vec<(u32, f64)> = Vec::new();
    for l in told.story.lines.iter().filter(|l| l.text.contains(SAFE_BY)) {
        if let Some(s) = l.slot.filter(|s| seen.iter().all(|x| x.0 != *s)) {
            seen.push((s, l.time));
        }
    }
    let day = |t: f64| (t / 86_400.0).floor() as u64 + 1;
    let one = |(s, t): &(u32, f64)| format!("{} on day {}", s + 1, day(*t));
    let all: Vec<String> = seen.iter().take(NAMED).map(one).collect();
    match seen.len() {
        0 => String::new(),
        1 => format!(" (sortie {})", all[0]),
        n if n > NAMED => format!(" (sorties {} and {} more)", all.join(", "), n - NAMED),
        _ => format!(" (sorties {})", all.join(", ")),
    }
}
