//! The plane of elementary effects: how large they are across, how much they differ upwards.

use super::super::draw::{Picture, Scale, Shape, Side, hue};
use super::super::part::{Figure, Grid, tag};
use super::super::words::{esc, headed, num, unit_words};
use super::{id, index, of};
use crate::report::book::Book;
use crate::report::manifest::SweepFacts;

const ANALYSIS: &str = "elementary effects";
const TOP: f64 = 24.0;
const HEIGHT: f64 = 320.0;

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
    let fig = id("effects", measure);
    let title = format!("Elementary effects: {}", headed(measure));
    let header = ["factor", "architecture", "mu*", "sigma", "noise floor", "95 % interval of mu*"];
    let mut grid = Grid::new(&title, &header);
    let mut picture = String::from(r#"<div class="multi">"#);
    let mut unit = "";
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = of(book, ANALYSIS, measure, arm);
        unit = rows.first().map_or(unit, |r| r.text("unit"));
        let spot = |(i, f): (usize, &'_ crate::report::manifest::FactorFacts)| {
            let value = |name| index(&rows, &f.name, name).and_then(|r| r.number("value"));
            let floor = index(&rows, &f.name, "mu star")?.number("simulation_noise");
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
            let limits = r.and_then(|r| r.number("low95").zip(r.number("high95")));
            grid.rows.push(vec![
                format!("{}. {}", s.number, esc(s.name)),
                tag(a, arm),
                num(s.mu_star),
                num(s.sigma),
                s.floor.map_or("not known".into(), num),
                limits.map_or("not estimable".into(), |(l, h)| format!("{} to {}", num(l), num(h))),
            ]);
        }
        let svg = draw(&spots, a, unit, &format!("{fig}-{a}"), &format!("{title}, {arm}"));
        picture.push_str(&format!("<div><h4>{}</h4>{svg}</div>", tag(a, arm)));
    }
    let names: String = facts.factors.iter().enumerate().map(numbered).collect();
    picture.push_str(&format!("</div><ol class=\"legend\">{names}</ol>"));
    let lead = "Horizontal: mu*, the mean size of the effect of one factor over its whole range. \
        Vertical: sigma, how much that effect depends on the other factors: a factor far up \
        interacts or acts non-linearly. Numbers name the factors; open marks are not \
        distinguishable from simulation noise. On the dashed line sigma equals mu*.";
    Figure { id: &fig, title: &title, lead, picture, numbers: vec![grid] }.html()
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
    p.text((50.0, foot + 34.0), Side::Middle, "tick", format!("mu* {}", unit_words(unit)).trim());
    p.text((0.0, TOP - 10.0), Side::Start, "tick", format!("sigma {}", unit_words(unit)).trim());
    let end = most.min(high);
    p.line((across(0.0), down(0.0)), (across(end), down(end)), "unseen");
    let mut told = Vec::new();
    for s in spots {
        let class = if s.quiet() { "open" } else { "fill" };
        let at = (across(s.mu_star), down(s.sigma));
        p.mark(at, Shape::Dot, &format!("{class} {}", hue(arm)));
        if !s.quiet() {
            p.text((at.0 + 1.6, at.1 - 5.0), Side::Start, "name", &s.number.to_string());
        }
        told.push(format!("{} {} and {}", s.name, num(s.mu_star), num(s.sigma)));
    }
    p.finish(id, title, &format!("mu* and sigma: {}.", told.join("; ")))
}
