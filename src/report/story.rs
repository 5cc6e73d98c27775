//! The story of one campaign in words, for `replay`.

use super::CAUTION;
use crate::campaign::trace::{End, Level, Line, Story};
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
        let head = (clock(line.time), sortie(line, slot), &line.text);
        let _ = writeln!(out, "{}  {}{}{}", head.0, head.1, head.2, supply(line));
    }
    for end in story.ends.iter().filter(|e| slot.is_none() || e.slot == slot) {
        let _ = writeln!(out, "\n{}", closing(end, &story.lines));
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

/// Life support left, as a line carries it.
fn supply(line: &Line) -> String {
    let one = |(name, minutes): &(String, f64)| match minutes {
        m if m.is_infinite() => format!("{name} supplied"),
        m if *m < 0.0 => format!("{name} over for {:.0} min", -m),
        m => format!("{name} {m:.0} min"),
    };
    let all: Vec<String> = line.left.iter().map(one).collect();
    if all.is_empty() { String::new() } else { format!("  [left: {}]", all.join(", ")) }
}

/// How somebody came to be late or missed: what led there, the last decision, how many minutes short.
fn closing(end: &End, lines: &[Line]) -> String {
    let own = |l: &&Line| l.link && l.slot == end.slot && l.time <= end.time;
    let first = lines.iter().find(own).map_or(end.time, |l| l.time);
    let chain: Vec<&str> = lines
        .iter()
        .filter(|l| l.link && (l.slot == end.slot || l.slot.is_none()))
        .filter(|l| l.time >= first && l.time <= end.time)
        .map(|l| l.text.as_str())
        .collect();
    let how = match end.late {
        Some(minutes) => format!("was in {minutes:.0} min after life support ended"),
        None => "did not reach a haven".into(),
    };
    let sortie = end.slot.map_or(String::new(), |s| format!(" (sortie {})", s + 1));
    let mut out = format!("How {}{sortie} {how}. What led there: ", end.name);
    out += &if chain.is_empty() { "nothing that failed".into() } else { chain.join("; ") };
    out += ".";
    if let Some(d) = &end.decision {
        let _ = write!(out, " Last decision, {}: {}.", clock(d.time), d.text);
        let _ = match (&d.lacks, end.late) {
            (Some((way, short)), _) if *short > 0.0 => {
                write!(out, " Nearest in time was {way}, {short:.0} min short.")
            }
            (_, Some(minutes)) => write!(out, " It ended {minutes:.0} min short."),
            _ => write!(out, " No way was short of time alone: what each lacked is said above."),
        };
    }
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
