//! The story of one campaign in words, for `replay`.

use super::CAUTION;
use crate::campaign::trace::{Level, Line, Story};
use crate::measure::MEASURES;
use crate::model::Model;
use crate::outcome::Outcome;
use std::fmt::Write;

/// One history: every sortie in a line, every failure, way back and consequence in full; with `slot`
/// one sortie row by row; then the numbers the campaign contributed.
pub fn story(
    model: &Model,
    arm: usize,
    campaign: u64,
    story: &Story,
    outcome: &Outcome,
    slot: Option<u32>,
) -> String {
    let mut out = String::new();
    let a = &model.arms[arm];
    let _ = writeln!(out, "{} ({}), campaign {campaign}, seed {}", a.name, a.title, model.seed);
    let _ = writeln!(out);
    for line in story.lines.iter().filter(|l| wanted(l, slot)) {
        let _ = writeln!(out, "{}  {}{}", clock(line.time), sortie(line, slot), line.text);
    }
    let _ = writeln!(out, "\nWhat this campaign contributed:");
    for m in MEASURES {
        let value = match outcome.facts.read(m) {
            Some(x) if x.is_finite() => super::table::number(x),
            Some(_) => "below every number (somebody was missed)".into(),
            None => "no value in this campaign".into(),
        };
        let _ = writeln!(out, "  {:34} {value} {}", m.name, m.unit);
    }
    let _ = writeln!(out, "\n{CAUTION}");
    out
}

fn wanted(line: &Line, slot: Option<u32>) -> bool {
    match slot {
        None => line.level >= Level::Sortie,
        Some(s) => line.slot == Some(s),
    }
}

fn sortie(line: &Line, narrowed: Option<u32>) -> String {
    match (line.slot, narrowed) {
        (Some(s), None) => format!("sortie {:3}  ", s + 1),
        _ => String::new(),
    }
}

/// "day 12 08:15"; days count from 1.
fn clock(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor() as u64;
    let (day, rest) = (minutes / 1440 + 1, minutes % 1440);
    format!("day {day:3} {:02}:{:02}", rest / 60, rest % 60)
}
