//! A map over the levels of two factors of a grid: which of two architectures is lower, and by how much.

use super::super::draw::{Picture, Side};
use super::super::part::{Figure, Grid, tag};
use super::super::words::{esc, num, signed};
use super::{Shown, id, level};
use crate::report::book::{Book, Row};
use crate::report::manifest::{FactorFacts, SweepFacts};

const CELL: f64 = 40.0;
const TOP: f64 = 8.0;
/// Width of the column of levels, per cent.
const LEFT: f64 = 16.0;

/// Maps for each measure of the differences from the first architecture, or of the mean of the only one.
pub(super) fn figures(book: &Book, facts: &SweepFacts) -> String {
    let ([a, b], "grid") = (facts.factors.as_slice(), facts.design.as_str()) else {
        return String::new();
    };
    let maps = |measure: &String| -> String {
        let shown = Shown::of(measure);
        let others = 1.max(book.arms().len().saturating_sub(1));
        (1..=others).map(|other| Map { book, a, b, shown: &shown, other }.html()).collect()
    };
    facts.measures.iter().map(maps).collect()
}

/// One map: a later architecture less the first, level by level.
struct Map<'a> {
    book: &'a Book,
    /// down
    a: &'a FactorFacts,
    /// across
    b: &'a FactorFacts,
    shown: &'a Shown<'a>,
    /// the later one; 1 also where there is only the first
    other: usize,
}

impl Map<'_> {
    fn html(&self) -> String {
        let (a, b, arms) = (self.a, self.b, self.book.arms());
        let of = |r: &Row| r.text("measure") == self.shown.name;
        let rows: Vec<Row> = self.book.rows("sweep.csv").filter(of).collect();
        let (down, across) = (levels(&rows, a), levels(&rows, b));
        let values: Vec<Vec<Option<f64>>> =
            down.iter().map(|x| across.iter().map(|y| self.value(&rows, x, y)).collect()).collect();
        let title = match arms.get(self.other) {
            Some(other) => format!("{}: {other} less {}", self.shown.heading, arms[0]),
            None => format!("{} over both factors", self.shown.heading),
        };
        let fig = format!("{}-{}", id("map", self.shown.name), self.other);
        let said = if self.alone() { "mean" } else { "difference" };
        let mut grid = Grid::new(&title, &[&a.name, &b.name, said]);
        for (x, line) in down.iter().zip(&values) {
            for (y, value) in across.iter().zip(line) {
                let said = value.map_or("not estimable".into(), |v| self.word(v));
                grid.rows.push(vec![named(a, x), named(b, y), said]);
            }
        }
        let few = self.shown.seldom(self.book);
        let picture = match few {
            Some(_) => String::new(),
            None => self.picture(&fig, &title, (&down, &across), &values),
        };
        let lead = few.unwrap_or_else(|| self.sight(&values));
        let how = self.how(&values);
        let figure = Figure { id: &fig, title: &title, lead: &lead, picture, numbers: vec![grid] };
        figure.explained(&how)
    }

    /// Is there one architecture only?
    fn alone(&self) -> bool {
        self.book.arms().len() < 2
    }

    /// A value as a cell says it: differences with their sign.
    fn word(&self, x: f64) -> String {
        if self.alone() { num(x) } else { signed(x) }
    }

    fn value(&self, rows: &[Row], x: &str, y: &str) -> Option<f64> {
        let mean = |arm: &str| {
            let at = |r: &&Row| {
                r.text("architecture") == arm
                    && r.text(&self.a.name) == x
                    && r.text(&self.b.name) == y
            };
            rows.iter().find(at).and_then(|r| self.shown.number(r, "mean"))
        };
        let first = mean(&self.book.arms()[0])?;
        match self.book.arms().get(self.other) {
            Some(other) => Some(mean(other)? - first),
            None => Some(first),
        }
    }

    fn picture(
        &self,
        fig: &str,
        title: &str,
        (down, across): (&[&str], &[&str]),
        values: &[Vec<Option<f64>>],
    ) -> String {
        let most = values.iter().flatten().flatten().fold(0.0_f64, |m, g| m.max(g.abs()));
        let mut p = Picture::new(TOP + CELL * down.len() as f64 + 56.0);
        let width = (100.0 - LEFT) / across.len().max(1) as f64;
        for (i, (x, line)) in down.iter().zip(values).enumerate() {
            let top = TOP + CELL * i as f64;
            p.text((0.0, top + 0.6 * CELL), Side::Start, "tick", &named(self.a, x));
            for (j, value) in line.iter().enumerate() {
                let left = LEFT + width * j as f64;
                let shade = shade(*value, most);
                let on = if shade.ends_with("f4") { "on" } else { "" };
                p.rect((left, width), (top, CELL), &format!("heat {shade}"));
                let text = value.map_or("?".to_string(), |v| self.word(v));
                p.text((left + 0.5 * width, top + 0.6 * CELL), Side::Middle, on, &text);
            }
        }
        let foot = TOP + CELL * down.len() as f64;
        for (j, y) in across.iter().enumerate() {
            let middle = LEFT + width * (j as f64 + 0.5);
            p.text((middle, foot + 16.0), Side::Middle, "tick", &named(self.b, y));
        }
        let columns = format!("columns: {}", self.b.name);
        p.text((LEFT, foot + 33.0), Side::Start, "tick", &columns);
        p.text((LEFT, foot + 49.0), Side::Start, "tick", &format!("rows: {}", self.a.name));
        p.finish(fig, title, &format!("A table of numbers, at most {} in size.", num(most)))
    }

    /// What to see: who is lower where, and from where to where it goes.
    fn sight(&self, values: &[Vec<Option<f64>>]) -> String {
        let all: Vec<f64> = values.iter().flatten().flatten().copied().collect();
        let (low, high) = all.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
        if all.is_empty() {
            return "It was not estimable at any point.".into();
        }
        let high = match (self.alone(), self.shown.unit.as_str()) {
            (false, "%") => format!("{} % points", num(high)),
            _ => self.shown.with_unit(high),
        };
        let span = format!("from {} to {high}", self.word(low));
        let arms = self.book.arms();
        let Some(other) = arms.get(self.other) else {
            return format!("The mean goes {span} over the levels of both factors.");
        };
        let count = |f: fn(&f64) -> bool| all.iter().filter(|x| f(x)).count();
        format!(
            "{} is lower at {} of {} points, {} at {}; the difference goes {span}.",
            tag(self.other, other),
            count(|x| *x < 0.0),
            all.len(),
            tag(0, &arms[0]),
            count(|x| *x > 0.0)
        )
    }

    /// How to read it.
    fn how(&self, values: &[Vec<Option<f64>>]) -> String {
        let arms = self.book.arms();
        let most = values.iter().flatten().flatten().fold(0.0_f64, |m, g| m.max(g.abs()));
        let Some(other) = arms.get(self.other) else {
            return format!("The darker the larger, up to {}.", num(most));
        };
        format!(
            "Blue: {} is lower; orange: {} is; the darker the larger the difference, up to {}. \
             Intervals of the crossings are in crossings.csv.",
            esc(other),
            esc(&arms[0]),
            num(most)
        )
    }
}

/// A level with its unit.
fn named(f: &FactorFacts, text: &str) -> String {
    text.parse::<f64>().map_or(text.to_string(), |x| level(x, &f.unit))
}

/// Levels of a factor in the order of the rows.
fn levels<'a>(rows: &[Row<'a>], f: &FactorFacts) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for r in rows {
        if !all.contains(&r.text(&f.name)) {
            all.push(r.text(&f.name));
        }
    }
    all
}

/// Colour by sign, depth by size.
fn shade(gap: Option<f64>, most: f64) -> String {
    match gap {
        Some(g) if most > 0.0 && g != 0.0 => {
            let depth = (4.0 * g.abs() / most).ceil().clamp(1.0, 4.0);
            format!("{} f{depth}", if g < 0.0 { "lower" } else { "higher" })
        }
        _ => "f0".into(),
    }
}
