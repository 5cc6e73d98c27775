//! Curves along one factor of a grid, with the bands of their 95 % intervals.

use super::super::draw::{Picture, Scale, Shape, Side, apart, hue};
use super::super::part::{Figure, Grid, tag};
use super::super::words::{esc, num, unit_words};
use super::{Shown, counted, id, level};
use crate::report::book::{Book, Row};
use crate::report::manifest::{FactorFacts, SweepFacts};

const TOP: f64 = 24.0;
/// Room for the numbers of levels, and for letters, per cent of the width.
const LEFT: f64 = 13.0;
const RIGHT: f64 = 10.0;
/// Levels closer than this have no number of their own, per cent of the width.
const APART: f64 = 12.0;
const HEIGHT: f64 = 280.0;
/// Most lines that one figure shows.
const MOST_LINES: usize = 9;

/// One point of a curve.
struct At {
    x: f64,
    mean: f64,
    band: Option<(f64, f64)>,
}

/// A figure for each measure along the first numeric factor, one picture for each combination of levels
/// of the others.
pub(super) fn figures(book: &Book, facts: &SweepFacts) -> String {
    let along = facts.factors.iter().find(|f| f.number);
    match (facts.design.as_str(), along) {
        ("grid", Some(along)) => {
            facts.measures.iter().map(|m| figure(book, facts, along, m)).collect()
        }
        _ => String::new(),
    }
}

fn figure(book: &Book, facts: &SweepFacts, along: &FactorFacts, measure: &str) -> String {
    let shown = Shown::of(measure);
    let rows: Vec<Row> = book.rows("sweep.csv").filter(|r| r.text("measure") == measure).collect();
    let others: Vec<&FactorFacts> = facts.factors.iter().filter(|f| f.name != along.name).collect();
    let held = |r: &Row| -> Vec<String> { others.iter().map(|f| r.text(&f.name).into()).collect() };
    let mut lines: Vec<Vec<String>> = Vec::new();
    for r in &rows {
        let own = held(r);
        if !lines.contains(&own) {
            lines.push(own);
        }
    }
    let title = format!("{} along {}", shown.heading, along.name);
    let fig = id("curve", measure);
    let ends =
        rows.iter().flat_map(|r| ["mean_low95", "mean_high95", "mean"].map(|c| shown.number(r, c)));
    let ends: Vec<f64> = ends.flatten().collect();
    let (low, high) = ends.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
    if ends.is_empty() {
        return super::absent(&fig, &title, "It was not estimable at any point.");
    }
    let scale = Scale::linear(if low >= 0.0 && low < 0.5 * high { 0.0 } else { low }, high);
    let drawing = Drawing { along, scale: &scale, shown: &shown };
    let mut picture = String::new();
    let mut grid =
        Grid::new(&title, &[&along.name, "while", "architecture", &shown.heading, "95 % interval"]);
    for (i, line) in lines.iter().enumerate() {
        let of: Vec<&Row> = rows.iter().filter(|r| held(r) == *line).collect();
        let words = said(&others, line);
        let curves: Vec<Vec<At>> =
            book.arms().iter().map(|arm| curve(&of, arm, along, &shown)).collect();
        numbers(book, &mut grid, &curves, along, &words);
        if i < MOST_LINES {
            let svg =
                drawing.picture(book, &curves, &format!("{fig}-{i}"), &format!("{title}, {words}"));
            picture.push_str(&format!("<div><h4>{}</h4>{svg}</div>", esc(&words)));
        }
    }
    let few = shown.seldom(book);
    let lead = few.clone().unwrap_or_else(|| sight(book, facts, &rows, &shown));
    let picture = match few {
        Some(_) => String::new(),
        None => format!(r#"<div class="multi">{picture}</div>{}"#, legend(book)),
    };
    let rest = match lines.len().saturating_sub(MOST_LINES) {
        0 => String::new(),
        n => format!(" {n} more lines are in the table of numbers only."),
    };
    let how = format!(
        "Means over campaigns at the levels of the factor, joined by straight lines; bands are \
        95 % intervals of the means. Where bands overlap, the interval of the paired difference \
        may still exclude 0: see crossings.csv.{rest}"
    );
    Figure { id: &fig, title: &title, lead: &lead, picture, numbers: vec![grid] }.explained(&how)
}

fn legend(book: &Book) -> String {
    let tags = book.arms().iter().enumerate();
    let items: String = tags.map(|(a, arm)| format!("<li>{}</li>", tag(a, arm))).collect();
    format!("<ul class=\"legend\">{items}</ul>")
}

/// What to see: who is lowest where; of one alone, how far its mean goes.
fn sight(book: &Book, facts: &SweepFacts, rows: &[Row], shown: &Shown) -> String {
    let means = |arm: &str| -> Vec<Option<f64>> {
        let own = rows.iter().filter(|r| r.text("architecture") == arm);
        own.map(|r| shown.number(r, "mean")).collect()
    };
    let all: Vec<Vec<Option<f64>>> = book.arms().iter().map(|arm| means(arm)).collect();
    if let [one] = all.as_slice() {
        let ends =
            one.iter().flatten().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
        return format!(
            "The mean goes from {} to {} over the points.",
            num(ends.0),
            shown.with_unit(ends.1)
        );
    }
    let lowest = |p: usize| -> Option<&str> {
        let at: Vec<f64> =
            all.iter().map(|m| m.get(p).copied().flatten()).collect::<Option<_>>()?;
        let least = at.iter().copied().fold(f64::MAX, f64::min);
        let mut who = at.iter().enumerate().filter(|(_, x)| **x == least).map(|(a, _)| a);
        match (who.next(), who.next()) {
            (Some(a), None) => Some(&book.arms()[a]),
            _ => Some("several alike"),
        }
    };
    let who: Vec<&str> = (0..facts.points).filter_map(lowest).collect();
    format!("Lowest mean: {}.", counted(&who, facts.points))
}

/// Levels of the other factors in words.
fn said(others: &[&FactorFacts], line: &[String]) -> String {
    let one = |(f, value): (&&FactorFacts, &String)| {
        let text = value.parse::<f64>().map_or(value.clone(), |x| level(x, &f.unit));
        format!("{} = {text}", f.name)
    };
    let all: Vec<String> = others.iter().zip(line).map(one).collect();
    if all.is_empty() { "no other factor".into() } else { all.join(", ") }
}

fn curve(rows: &[&Row], arm: &str, along: &FactorFacts, shown: &Shown) -> Vec<At> {
    let at = |r: &&&Row| {
        let band = shown.number(r, "mean_low95").zip(shown.number(r, "mean_high95"));
        Some(At { x: r.number(&along.name)?, mean: shown.number(r, "mean")?, band })
    };
    let mut all: Vec<At> =
        rows.iter().filter(|r| r.text("architecture") == arm).filter_map(|r| at(&r)).collect();
    all.sort_by(|a, b| a.x.total_cmp(&b.x));
    all
}

fn numbers(book: &Book, grid: &mut Grid, curves: &[Vec<At>], along: &FactorFacts, held: &str) {
    for (a, curve) in curves.iter().enumerate() {
        for p in curve {
            let band =
                p.band.map_or("not estimable".into(), |(l, h)| format!("{} to {}", num(l), num(h)));
            grid.rows.push(vec![
                level(p.x, &along.unit),
                esc(held),
                tag(a, &book.arms()[a]),
                num(p.mean),
                band,
            ]);
        }
    }
}

/// What the pictures of a figure share.
struct Drawing<'a> {
    along: &'a FactorFacts,
    scale: &'a Scale,
    shown: &'a Shown<'a>,
}

impl Drawing<'_> {
    fn picture(&self, book: &Book, curves: &[Vec<At>], id: &str, title: &str) -> String {
        let foot = HEIGHT - 40.0;
        let down = |y: f64| foot - (foot - TOP) * self.scale.at(y) / 100.0;
        let xs: Vec<f64> = curves.iter().flatten().map(|p| p.x).collect();
        let (first, last) =
            xs.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
        // Levels stand as far apart as their values; the last part of the width is for letters.
        let width = if last > first { last - first } else { 1.0 };
        let across = |x: f64| LEFT + 2.0 + (96.0 - LEFT - RIGHT) * (x - first) / width;
        let mut p = Picture::new(HEIGHT);
        for (y, text) in self.scale.ticks() {
            p.line((LEFT, down(y)), (100.0, down(y)), "grid");
            p.text((LEFT - 1.5, down(y) + 4.0), Side::End, "tick", &text);
        }
        p.text((0.0, TOP - 12.0), Side::Start, "tick", &self.shown.unit);
        self.levels(&mut p, &xs, foot, &across);
        let end = |c: &Vec<At>| c.last().map_or(TOP, |p| down(p.mean));
        let places = apart(&curves.iter().map(end).collect::<Vec<_>>(), TOP);
        let mut told = Vec::new();
        for (a, curve) in curves.iter().enumerate() {
            let Some((begin, end)) = curve.first().zip(curve.last()) else { continue };
            let band: Vec<(f64, f64, f64)> = curve
                .iter()
                .filter_map(|p| p.band.map(|(l, h)| (across(p.x), down(h), down(l))))
                .collect();
            p.band(&band, &format!("veil {}", hue(a)));
            for pair in curve.windows(2) {
                let ends = [&pair[0], &pair[1]].map(|q| (across(q.x), down(q.mean)));
                p.line(ends[0], ends[1], &format!("curve {} d{}", hue(a), a % 4));
            }
            for q in curve {
                p.mark((across(q.x), down(q.mean)), Shape::Dot, &format!("fill {}", hue(a)));
            }
            p.letter((97.5, places[a]), a);
            p.line((across(end.x), down(end.mean)), (95.5, places[a]), "leader");
            let arm = &book.arms()[a];
            told.push(format!("{arm} from {} to {}", num(begin.mean), num(end.mean)));
        }
        p.finish(id, title, &format!("Lines: {}.", told.join("; ")))
    }

    /// The axis of levels; those that stand too close to the last have no number.
    fn levels(&self, p: &mut Picture, xs: &[f64], foot: f64, across: &dyn Fn(f64) -> f64) {
        let mut levels = xs.to_vec();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let mut last = f64::NEG_INFINITY;
        for x in levels {
            p.line((across(x), foot), (across(x), foot + 5.0), "grid");
            if across(x) - last >= APART {
                p.text((across(x), foot + 18.0), Side::Middle, "tick", &level(x, ""));
                last = across(x);
            }
        }
        let name = format!("{} {}", self.along.name, unit_words(&self.along.unit));
        p.text((50.0, foot + 34.0), Side::Middle, "tick", name.trim());
    }
}
