//! The story of one campaign for `replay`: time, sortie, who, what, and what is left of life support.
//! The overview has a line for each sortie, failure and decision; one sortie alone is told row by row.
//! Only what changed is said.

mod chain;
mod changes;
mod json;
mod reason;
mod trade;

pub use json::story_json;

use super::CAUTION;
use super::digits::Digits;
use super::screen::{Screen, Tone};
use crate::campaign::trace::{Level, Line, Story};
use crate::measure::MEASURES;
use crate::measure::glossary::{REMAINING, title};
use crate::model::Model;
use crate::outcome::Outcome;
use changes::Changes;
use std::fmt::Write;

/// Widest column of people, characters.
const WHO: usize = 18;
/// Width of the column of what is left, characters.
const LEFT: usize = 26;
/// The same on a screen of less than 100 columns.
const NARROW_LEFT: usize = 19;

/// What is told: a campaign of an architecture, the whole of it or one sortie.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The model.
    pub model: &'a Model,
    /// Architecture.
    pub arm: usize,
    /// Number of the campaign.
    pub campaign: u64,
    /// What happened.
    pub story: &'a Story,
    /// What the campaign contributed.
    pub outcome: &'a Outcome,
    /// One sortie only.
    pub slot: Option<u32>,
}

impl Told<'_> {
    /// The lines that are wanted.
    fn lines(&self) -> impl Iterator<Item = &Line> {
        let slot = self.slot;
        self.story.lines.iter().filter(move |l| match slot {
            None => l.level >= Level::Sortie,
            Some(s) => l.slot == Some(s),
        })
    }
}

/// Heading of the numbers of the whole campaign.
const MEASURES_OF: &str =
    "Measures of the whole campaign, to five digits (campaigns.csv has all of them):";

/// A number of one campaign, which no interval belongs to: five digits, a count as it is.
fn five_digits(x: f64) -> String {
    if x.fract() == 0.0 && x.abs() < 1e6 {
        return format!("{x:.0}");
    }
    Digits::of(x, Some(1e-4 * x.abs())).show(x)
}

/// One history as text; with a sortie that one row by row; then the numbers of the campaign and, last,
/// the reason in a paragraph.
pub fn story(told: Told, screen: Screen) -> String {
    let a = &told.model.arms[told.arm];
    let seed = told.model.seed;
    let head = format!("{} ({}), campaign {}, seed {seed}", a.name, a.title, told.campaign);
    let mut out = screen.wrap(&head, "", "  ") + "\n";
    out.push_str(&lines(told, screen));
    let _ = write!(out, "\n{}\n", MEASURES_OF);
    for m in MEASURES {
        let value = match told.outcome.facts.read(m) {
            Some(x) if x.is_finite() => format!("{} {}", five_digits(x), m.unit),
            Some(_) => "below every number (a safe haven was not reached)".into(),
            None => "no value in this campaign".into(),
        };
        out.push_str(format!("  {:34} {value}", m.name).trim_end());
        out.push('\n');
    }
    for text in reason::reasons(told) {
        out.push('\n');
        out.push_str(&screen.wrap(&text, "", ""));
    }
    out.push('\n');
    out.push_str(&screen.wrap(CAUTION, "", ""));
    out
}

/// One line before it is placed on the screen.
struct Entry {
    time: f64,
    sortie: Option<u32>,
    who: String,
    what: String,
    left: String,
    tone: Tone,
}

fn lines(told: Told, screen: Screen) -> String {
    let mut changes = Changes::default();
    let entries: Vec<Entry> = told.lines().filter_map(|l| entry(told, l, &mut changes)).collect();
    let longest = entries.iter().map(|e| e.who.chars().count()).max().unwrap_or(0);
    let who = longest.clamp(3, WHO);
    let sortie = if told.slot.is_none() { 7 } else { 0 };
    let mut out = String::new();
    let place = Place { who, sortie, screen };
    let heading = format!("{}, min", title(REMAINING));
    place.line(&mut out, "time", "sortie", ["who", "what", &heading], Tone::Title);
    for e in entries {
        let number = e.sortie.map_or(String::new(), |s| (s + 1).to_string());
        place.line(&mut out, &clock(e.time), &number, [&e.who, &e.what, &e.left], e.tone);
    }
    out
}

/// Where the columns stand.
struct Place {
    who: usize,
    sortie: usize,
    screen: Screen,
}

impl Place {
    /// One line, broken in its columns.
    fn line(&self, out: &mut String, time: &str, sortie: &str, cells: [&str; 3], tone: Tone) {
        let [who, what, left] = cells;
        let before = 15 + self.sortie + self.who + 2;
        let for_left = if self.screen.width < 100 { NARROW_LEFT } else { LEFT };
        let behind = if left.is_empty() { 0 } else { for_left + 2 };
        let room = self.screen.width.saturating_sub(before + behind).max(16);
        let of = |text: &str, width: usize| -> Vec<String> {
            let narrow = Screen { width, ..self.screen };
            narrow.wrap(text, "", "").lines().map(String::from).collect()
        };
        let columns = [of(who, self.who), of(what, room), of(left, for_left)];
        let height = columns.iter().map(Vec::len).max().unwrap_or(1);
        for i in 0..height {
            let cell = |c: usize| columns[c].get(i).map_or("", String::as_str);
            let first = |text: &str| if i == 0 { text.to_string() } else { String::new() };
            let numbered = match self.sortie {
                0 => String::new(),
                w => format!("{:>w$} ", first(sortie), w = w - 1),
            };
            let head = format!("{:13} {numbered} {:w$}  ", first(time), cell(0), w = self.who);
            let body = self.screen.tint(tone, cell(1));
            let pad = " ".repeat(room.saturating_sub(cell(1).chars().count()) + 2);
            let tail = if cell(2).is_empty() { String::new() } else { pad + cell(2) };
            out.push_str(format!("{head}{body}{tail}").trim_end());
            out.push('\n');
        }
    }
}

/// A line as it is told; none for a row of which the overview says the same.
fn entry(told: Told, line: &Line, changes: &mut Changes) -> Option<Entry> {
    let names = &told.model.crew.names;
    let (who, said) = trade::people(&line.text, names);
    let who = if who.is_empty() { line.who.clone() } else { who };
    let what = match &line.row {
        Some(row) => changes.row(row),
        None if line.level == Level::Sortie => changes.sortie(&said, &who),
        None => trade::words(&said, names),
    };
    let clocks =
        if told.slot.is_some() || line.left.is_empty() { &line.clocks } else { &line.left };
    // What nobody of this line lives on is said where it matters.
    let own = line.slot.is_some() || line.link;
    let left = if own { changes.left(clocks) } else { String::new() };
    let tone = match line.row.as_ref().is_some_and(|r| r.failed) {
        true => Tone::Bad,
        false if line.link => Tone::Doubt,
        false => Tone::Plain,
    };
    Some(Entry { time: line.time, sortie: line.slot, who: who.join(", "), what, left, tone })
}

/// "day  12 08:15"; days count from 1.
fn clock(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor() as u64;
    let (day, rest) = (minutes / 1440 + 1, minutes % 1440);
    format!("day{day:4} {:02}:{:02}", rest / 60, rest % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_count_from_one() {
        assert_eq!(clock(0.0), "day   1 00:00");
        assert_eq!(clock(86_400.0 * 164.0 + 3600.0 * 23.5), "day 165 23:30");
    }

    #[test]
    fn columns_keep_to_the_width() {
        for width in [80, 100, 120] {
            let screen = Screen { width, ..Screen::default() };
            let place = Place { who: 14, sortie: 7, screen };
            let mut out = String::new();
            let what = "several words that take more than one line of this column ".repeat(3);
            let cells = ["Aster, Briar, Clover", &what, "Aster 190, Briar 103, Clover 99 min"];
            place.line(&mut out, "day   5 12:37", "3", cells, Tone::Plain);
            assert!(out.lines().all(|l| l.chars().count() <= width), "{width}\n{out}");
            let words = out.split_whitespace().filter(|w| *w == "several").count();
            assert_eq!(words, 3, "{out}");
        }
    }
}
