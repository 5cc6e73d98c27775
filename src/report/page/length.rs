//! Equivalent system mass over the length of the campaign, with the lengths at which two weigh the same.

use super::draw::{Picture, Scale, Shape, Side, apart, hue};
use super::part::{Figure, Grid, absent, letters, tag};
use super::words::{esc, num};
use crate::model::{FIXED_PARTS, MASS_PARTS};
use crate::report::book::Book;

const TITLE: &str = "Equivalent system mass over campaign length";
const TOP: f64 = 24.0;
const HEIGHT: f64 = 340.0;
/// Break-evens beyond so many lengths of the campaign are told and not drawn.
const FARTHEST: f64 = 4.0;

/// Mass at the start and per day of an architecture.
struct Line {
    start: f64,
    per_day: f64,
}

/// A pair that weighs the same at a length.
struct Even {
    pair: String,
    days: f64,
    kg: f64,
    range: Option<(f64, f64)>,
}

/// The figure.
pub(super) fn length(book: &Book) -> String {
    let days = book.manifest.setting.as_ref().map(|s| s.length_d);
    let lines: Vec<Option<Line>> =
        book.arms().iter().map(|arm| days.and_then(|d| line(book, arm, d))).collect();
    let (Some(days), true) = (days, lines.iter().any(Option::is_some)) else {
        let why = "This folder has no masses by part: the campaign file gives no mass factors.";
        return absent("fig-length", TITLE, why);
    };
    let evens = evens(book, &lines, days);
    let lead = format!(
        "Hardware, volume and power are there on the first day; gas, water, spares and crew time \
         grow with the days, drawn evenly, and beyond the campaign played drawn on as they were. \
         {}",
        super::mass::break_even_note(book)
    );
    let picture = picture(book, &lines, &evens, days) + &letters(book);
    let numbers = vec![grid(book, &lines, days)];
    Figure { id: "fig-length", title: TITLE, lead: &lead, picture, numbers }.html()
}

fn line(book: &Book, arm: &str, days: f64) -> Option<Line> {
    let parts = book.causes(arm, "system_mass_kg");
    let all: f64 = parts.iter().map(|(_, kg)| kg).sum();
    let fixed = |(name, _): &&(&str, f64)| MASS_PARTS[..FIXED_PARTS].contains(name);
    let start: f64 = parts.iter().filter(fixed).map(|(_, kg)| kg).sum();
    (!parts.is_empty()).then(|| Line { start, per_day: (all - start) / days })
}

fn evens(book: &Book, lines: &[Option<Line>], days: f64) -> Vec<Even> {
    let of = |name: &str| book.arms().iter().position(|a| a == name);
    let found = book.rows("breakeven.csv").filter_map(|r| {
        let at = r.number("length_d").filter(|d| *d <= FARTHEST * days)?;
        let line = lines.get(of(r.text("reference"))?)?.as_ref()?;
        let range = r.number("length_d_low95").zip(r.number("length_d_high95"));
        Some(Even {
            pair: format!("{} and {}", r.text("architecture"), r.text("reference")),
            days: at,
            kg: line.start + line.per_day * at,
            range,
        })
    });
    found.collect()
}

fn picture(book: &Book, lines: &[Option<Line>], evens: &[Even], days: f64) -> String {
    let last = evens.iter().map(|e| 1.1 * e.days).fold(1.2 * days, f64::max);
    let mass = |l: &Line, d: f64| l.start + l.per_day * d;
    let most = lines.iter().flatten().map(|l| mass(l, last)).fold(0.0, f64::max);
    let (scale, along) = (Scale::linear(0.0, most), Scale::linear(0.0, last));
    let foot = HEIGHT - 40.0;
    let down = |kg: f64| foot - (foot - TOP) * scale.at(kg) / 100.0;
    let end = 90.0;
    let across = |d: f64| end * along.at(d) / 100.0;
    let mut p = Picture::new(HEIGHT);
    for (kg, text) in scale.ticks() {
        p.line((0.0, down(kg)), (100.0, down(kg)), "grid");
        p.text((0.0, down(kg) - 4.0), Side::Start, "tick", &format!("{text} kg"));
    }
    for (d, text) in along.ticks().into_iter().filter(|(d, _)| *d <= last) {
        let side = if d == 0.0 { Side::Start } else { Side::Middle };
        p.line((across(d), foot), (across(d), foot + 5.0), "grid");
        p.text((across(d), foot + 18.0), side, "tick", &format!("{text} d"));
    }
    p.line((across(days), TOP - 8.0), (across(days), foot), "leader");
    p.text((across(days) + 0.8, TOP - 2.0), Side::Start, "tick", "campaign played");
    let ends: Vec<f64> =
        lines.iter().map(|l| l.as_ref().map_or(TOP, |l| down(mass(l, last)))).collect();
    let places = apart(&ends, TOP);
    let mut told = Vec::new();
    for (a, l) in lines.iter().enumerate() {
        let Some(l) = l else { continue };
        let class = format!("curve {} d{}", hue(a), a % 4);
        p.line((0.0, down(l.start)), (across(last), down(mass(l, last))), &class);
        p.letter((97.5, places[a]), a);
        p.line((across(last), ends[a]), (95.5, places[a]), "leader");
        let name = &book.arms()[a];
        told.push(format!("{name} from {} kg by {} kg a day", num(l.start), num(l.per_day)));
    }
    for e in evens {
        if let Some((low, high)) = e.range {
            let ends = [low, high.min(last)].map(across);
            p.line((ends[0], down(e.kg)), (ends[1], down(e.kg)), "whisker");
        }
        p.mark((across(e.days), down(e.kg)), Shape::Diamond, "tip");
        told.push(format!("{} weigh the same at {} days", e.pair, num(e.days)));
    }
    p.finish("fig-length", TITLE, &format!("Lines: {}.", told.join("; ")))
}

fn grid(book: &Book, lines: &[Option<Line>], days: f64) -> Grid {
    let whole = format!("after {} days, kg", num(days));
    let mut grid =
        Grid::new(TITLE, &["architecture", "first day, kg", "each day, kg", whole.as_str()]);
    for (a, (arm, l)) in book.arms().iter().zip(lines).enumerate() {
        let Some(l) = l else {
            grid.rows.push(vec![tag(a, arm), esc("not estimable"), String::new(), String::new()]);
            continue;
        };
        let all = l.start + l.per_day * days;
        grid.rows.push(vec![tag(a, arm), num(l.start), num(l.per_day), num(all)]);
    }
    grid
}
