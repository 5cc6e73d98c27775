//! The plane of elementary effects: how large they are across, how much they differ upwards.

use super::super::draw::{Picture, Scale, Shape, Side, hue};
use super::super::part::{Figure, Grid, tag};
use super::super::words::{esc, num};
use super::{Shown, below, id, index, of};
use crate::report::book::Book;
use crate::report::manifest::SweepFacts;

const ANALYSIS: &str = "elementary effects";
const TOP: f64 = 24.0;
const HEIGHT: f64 = 320.0;
/// Numbers of marks that lie closer than this stand at one of them: per cent across for a mark and for
/// each sign of its number on a narrow screen, and pixels.
const MARK: f64 = 2.0;
const SIGN: f64 = 2.6;
const LINE: f64 = 15.0;

const HOW: &str = "Horizontal: mu*, the mean size of the effect of one factor over its whole range. \
        Vertical: sigma, how much that effect depends on the other factors: a factor far up \
        interacts or acts non-linearly. Numbers name the factors; open marks are not \
        distinguishable from simulation noise. On the dashed line sigma equals mu*.";

/// One factor in the plane.
struct Spot<'a> {
    number: usize,
    name: &'a str,
    mu_star: f64,
    sigma: f64,
    floor: Option<f64>,
}

impl Spot<'_> {
    /// Can it not be told from simulation noise?
    fn quiet(&self) -> bool {
        self.floor.is_some_and(|f| self.mu_star <= f)
    }
}

/// A figure for each measure, a picture for each architecture.
pub(super) fn figures(book: &Book, facts: &SweepFacts) -> String {
    match facts.design.as_str() {
        "elementary effects" => facts.measures.iter().map(|m| figure(book, facts, m)).collect(),
        _ => String::new(),
    }
}

fn figure(book: &Book, facts: &SweepFacts, measure: &str) -> String {
    let shown = Shown::of(measure);
    let fig = id("effects", measure);
    let title = format!("Elementary effects: {}", shown.heading);
    let header = ["factor", "architecture", "mu*", "sigma", "noise floor", "95 % interval of mu*"];
    let mut grid = Grid::new(&title, &header);
    let mut picture = String::from(r#"<div class="multi">"#);
    let mut leaders = Vec::new();
    let mut loud = vec![false; facts.factors.len()];
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = of(book, ANALYSIS, measure, arm);
        let spot = |(i, f): (usize, &'_ crate::report::manifest::FactorFacts)| {
            let value = |name| index(&rows, &f.name, name).and_then(|r| shown.number(&r, "value"));
            let floor = shown.number(&index(&rows, &f.name, "mu star")?, "simulation_noise");
            Some((i, value("mu star")?, value("sigma")?, floor))
        };
        let found: Vec<_> = facts.factors.iter().enumerate().filter_map(spot).collect();
        let mut spots: Vec<Spot> = found
            .into_iter()
            .map(|(i, mu_star, sigma, floor)| Spot {
                number: i + 1,
                name: &facts.factors[i].name,
                mu_star,
                sigma,
                floor,
            })
            .collect();
        spots.sort_by(|x, y| y.mu_star.total_cmp(&x.mu_star));
        for s in &spots {
            let r = index(&rows, s.name, "mu star");
            let limits = r.and_then(|r| shown.number(&r, "low95").zip(shown.number(&r, "high95")));
            grid.rows.push(vec![
                format!("{}. {}", s.number, esc(s.name)),
                tag(a, arm),
                num(s.mu_star),
                num(s.sigma),
                s.floor.map_or("not known".into(), num),
                limits.map_or("not estimable".into(), |(l, h)| format!("{} to {}", num(l), num(h))),
            ]);
        }
        spots.iter().filter(|s| !s.quiet()).for_each(|s| loud[s.number - 1] = true);
        if let Some(s) = spots.first().filter(|s| !s.quiet()) {
            let size = shown.with_unit(s.mu_star);
            leaders.push(format!("{} {size} ({})", esc(s.name), tag(a, arm)));
        }
        let svg = draw(&spots, a, &shown.unit, &format!("{fig}-{a}"), &format!("{title}, {arm}"));
        picture.push_str(&format!("<div><h4>{}</h4>{svg}</div>", tag(a, arm)));
    }
    let names: String = facts.factors.iter().enumerate().map(numbered).collect();
    picture.push_str(&format!("</div><ol class=\"legend\">{names}</ol>"));
    let few = shown.seldom(book);
    let picture = if few.is_some() { String::new() } else { picture };
    let lead = few.unwrap_or_else(|| sight(&leaders, &loud));
    Figure { id: &fig, title: &title, lead: &lead, picture, numbers: vec![grid] }.explained(HOW)
}

/// What to see: the leading factor of each architecture, and how many cannot be told from noise.
fn sight(leaders: &[String], loud: &[bool]) -> String {
    let quiet = loud.iter().filter(|l| !**l).count();
    let led = match leaders.is_empty() {
        true => "No effect is above the noise floor.".to_string(),
        false => format!("Largest mean effect: {}.", leaders.join(", ")),
    };
    format!("{led} {}", below(quiet, loud.len()))
}

/// A factor with the number that stands for it in the pictures.
fn numbered((i, f): (usize, &crate::report::manifest::FactorFacts)) -> String {
    format!("<li>{}. {}</li>", i + 1, esc(&f.name))
}

fn draw(spots: &[Spot], arm: usize, unit: &str, id: &str, title: &str) -> String {
    let most = spots.iter().fold(0.0_f64, |m, s| m.max(s.mu_star));
    let high = spots.iter().fold(0.0_f64, |m, s| m.max(s.sigma));
    let (x, y) = (Scale::linear(0.0, most), Scale::linear(0.0, high));
    let foot = HEIGHT - 40.0;
    let down = |v: f64| foot - (foot - TOP) * y.at(v) / 100.0;
    // Room for the numbers of the levels at the left, for names of marks at the right.
    let across = |v: f64| 8.0 + 0.88 * x.at(v);
    let mut p = Picture::new(HEIGHT);
    for (v, text) in y.ticks() {
        p.line((8.0, down(v)), (96.0, down(v)), "grid");
        p.text((0.0, down(v) + 4.0), Side::Start, "tick", &text);
    }
    for (v, text) in x.ticks() {
        p.line((across(v), foot), (across(v), foot + 5.0), "grid");
        p.text((across(v), foot + 18.0), Side::Middle, "tick", &text);
    }
    p.text((50.0, foot + 34.0), Side::Middle, "tick", format!("mu* {unit}").trim());
    p.text((0.0, TOP - 10.0), Side::Start, "tick", format!("sigma {unit}").trim());
    let end = most.min(high);
    p.line((across(0.0), down(0.0)), (across(end), down(end)), "unseen");
    let (mut told, mut names) = (Vec::new(), Vec::new());
    for s in spots {
        let class = if s.quiet() { "open" } else { "fill" };
        let at = (across(s.mu_star), down(s.sigma));
        p.mark(at, Shape::Dot, &format!("{class} {}", hue(arm)));
        if !s.quiet() {
            name(&mut names, at, s.number);
        }
        told.push(format!("{} {} and {}", s.name, num(s.mu_star), num(s.sigma)));
    }
    for (at, text) in &names {
        p.text((at.0 + MARK, at.1 - 5.0), Side::Start, "name", text);
    }
    p.finish(id, title, &format!("mu* and sigma: {}.", told.join("; ")))
}

/// Adds the number of a mark; beside another mark it joins that one's.
fn name(names: &mut Vec<((f64, f64), String)>, at: (f64, f64), number: usize) {
    let number = number.to_string();
    let width = |text: &str| 2.0 * MARK + SIGN * text.chars().count() as f64;
    let beside = |((x, y), text): &((f64, f64), String)| {
        let left = if *x <= at.0 { width(text) } else { width(&number) };
        (x - at.0).abs() < left && (y - at.1).abs() < LINE
    };
    match names.iter_mut().find(|n| beside(n)) {
        Some((_, text)) => *text = format!("{text}, {number}"),
        None => names.push((at, number)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_marks_that_lie_together_are_one_text() {
        let mut names = Vec::new();
        for (i, at) in
            [(50.0, 100.0), (52.0, 104.0), (53.0, 130.0), (70.0, 100.0)].iter().enumerate()
        {
            name(&mut names, *at, i + 1);
        }
        let texts: Vec<&str> = names.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(texts, ["1, 2", "3", "4"]);
    }
}
