//! Bars of factors: the tornado of one at a time, Sobol' indices, rank correlations.

use super::super::draw::{Scale, hue};
use super::super::part::{Figure, Grid, tag};
use super::super::plot::Plot;
use super::super::words::{esc, headed, num, signed};
use super::{id, index, of, with_unit};
use crate::report::book::{Book, Row};
use crate::report::manifest::SweepFacts;

const ROW: f64 = 24.0;
/// Most factors in a picture; the table has all.
const MOST: usize = 12;

/// A bar from one number to another.
struct Bar {
    name: String,
    said: String,
    from: f64,
    to: f64,
    whisker: Option<(f64, f64)>,
    class: &'static str,
}

/// What a kind of figure is made of.
struct Kind {
    id: &'static str,
    analysis: &'static str,
    title: &'static str,
    lead: &'static str,
    bars: fn(&[Row], &str) -> Vec<Bar>,
    indices: &'static [&'static str],
}

/// One at a time: from the low end to the high end of each factor.
pub(super) fn tornado(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "tornado",
        analysis: "one at a time",
        title: "One factor at a time",
        lead: "Change of the mean against the base campaign when one factor goes to the low end of \
               its range (upper bar) and to the high end (lower bar), all others as in the base; the \
               largest swing first. Whiskers are 95 % intervals.",
        bars: |rows, factor| {
            let end = |name: &str, words: &str, class| {
                index(rows, factor, name).and_then(|r| {
                    let to = r.number("value")?;
                    Some(Bar {
                        name: factor.into(),
                        said: format!("{words} {}", signed(to)),
                        from: 0.0,
                        to,
                        whisker: r.number("low95").zip(r.number("high95")),
                        class,
                    })
                })
            };
            [end("low end", "low", "column"), end("high end", "high", "column")]
                .into_iter()
                .flatten()
                .collect()
        },
        indices: &["swing", "low end", "high end"],
    };
    figures(book, facts, &kind)
}

/// First-order and total indices.
pub(super) fn indices(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "sobol",
        analysis: "Sobol' indices",
        title: "Sobol' indices",
        lead: "Share of the variance between points that one factor explains alone (first order, upper \
               bar) and with all its interactions (total, lower bar), the largest first. Whiskers are \
               95 % intervals.",
        bars: |rows, factor| {
            let one = |name: &str| {
                index(rows, factor, name).and_then(|r| {
                    let to = r.number("value")?;
                    Some(Bar {
                        name: factor.into(),
                        said: format!("{name} {}", num(to)),
                        from: 0.0,
                        to,
                        whisker: r.number("low95").zip(r.number("high95")),
                        class: "column",
                    })
                })
            };
            [one("total"), one("first order")].into_iter().flatten().rev().collect()
        },
        indices: &["total", "first order"],
    };
    figures(book, facts, &kind)
}

/// Partial rank correlation.
pub(super) fn ranks(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "ranks",
        analysis: "partial rank correlation",
        title: "Partial rank correlation",
        lead: "Correlation between the ranks of a factor and of the measure with the effect of \
            all other factors removed, the largest first: near 1 or -1 the measure follows the \
            factor, near 0 it does not. Whiskers are 95 % intervals.",
        bars: |rows, factor| {
            let r = index(rows, factor, "correlation");
            let bar = r.and_then(|r| {
                let to = r.number("value")?;
                Some(Bar {
                    name: factor.into(),
                    said: signed(to),
                    from: 0.0,
                    to,
                    whisker: r.number("low95").zip(r.number("high95")),
                    class: "column",
                })
            });
            bar.into_iter().collect()
        },
        indices: &["correlation"],
    };
    // Where the design has indices of its own they say more.
    if ["saltelli", "elementary effects", "one at a time"].contains(&facts.design.as_str()) {
        return String::new();
    }
    figures(book, facts, &kind)
}

fn figures(book: &Book, facts: &SweepFacts, kind: &Kind) -> String {
    facts.measures.iter().map(|m| figure(book, facts, kind, m)).collect()
}

fn figure(book: &Book, facts: &SweepFacts, kind: &Kind, measure: &str) -> String {
    let fig = id(kind.id, measure);
    let title = format!("{}: {}", kind.title, headed(measure));
    let mut picture = String::from(r#"<div class="multi">"#);
    let mut header = vec!["factor", "architecture"];
    header.extend(kind.indices);
    header.push("noise floor");
    let mut grid = Grid::new(&title, &header);
    let mut any = false;
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = of(book, kind.analysis, measure, arm);
        let factors = ordered(&rows, facts, kind.indices[0]);
        numbers(&mut grid, &rows, &factors, kind, (a, arm));
        let bars: Vec<Bar> =
            factors.iter().take(MOST).flat_map(|f| (kind.bars)(&rows, f)).collect();
        if !bars.is_empty() {
            any = true;
            let svg = draw(&bars, a, &format!("{fig}-{a}"), &format!("{title}, {arm}"));
            picture.push_str(&format!("<div><h4>{}</h4>{svg}</div>", tag(a, arm)));
        }
    }
    picture.push_str("</div>");
    match any {
        true => {
            Figure { id: &fig, title: &title, lead: kind.lead, picture, numbers: vec![grid] }.html()
        }
        false => String::new(),
    }
}

/// Factors by the size of an index, the largest first.
fn ordered<'a>(rows: &[Row], facts: &'a SweepFacts, name: &str) -> Vec<&'a str> {
    let size = |f: &str| {
        let value = index(rows, f, name).and_then(|r| r.number("value"));
        value.map_or(f64::NEG_INFINITY, f64::abs)
    };
    let mut all: Vec<&str> = facts.factors.iter().map(|f| f.name.as_str()).collect();
    all.sort_by(|x, y| size(y).total_cmp(&size(x)));
    all
}

fn numbers(grid: &mut Grid, rows: &[Row], factors: &[&str], kind: &Kind, (a, arm): (usize, &str)) {
    for f in factors {
        let cell = |name: &&str| {
            let Some(r) = index(rows, f, name) else { return "not computed".to_string() };
            let Some(x) = r.number("value") else { return esc(r.text("note")) };
            let limits = r.number("low95").zip(r.number("high95"));
            let limits =
                limits.map_or(String::new(), |(l, h)| format!(" ({} to {})", num(l), num(h)));
            format!("{}{limits}", with_unit(x, r.text("unit")))
        };
        let floor = index(rows, f, kind.indices[0]).and_then(|r| r.number("simulation_noise"));
        let mut row = vec![esc(f), tag(a, arm)];
        row.extend(kind.indices.iter().map(cell));
        row.push(floor.map_or("not known".into(), num));
        grid.rows.push(row);
    }
}

fn draw(bars: &[Bar], arm: usize, id: &str, title: &str) -> String {
    let whiskers = |b: &Bar| b.whisker.map_or([0.0, 0.0], |(l, h)| [l, h]);
    let ends = bars.iter().flat_map(|b| [b.from, b.to].into_iter().chain(whiskers(b)));
    let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
    let scale = Scale::linear(low, high);
    let mut plot = Plot::new(&format!("{id}-plot"), title, scale, "");
    for b in bars {
        let name = format!(
            r#"<span>{}</span><span class="row-said">{}</span>"#,
            esc(&b.name),
            esc(&b.said)
        );
        plot.row(&name, format!("{} {}", b.name, b.said), ROW, |p, scale| {
            let (from, to) = (scale.at(b.from.min(b.to)), scale.at(b.from.max(b.to)));
            let class = format!("{} {}", b.class, hue(arm));
            p.rect((from, to - from), (0.5 * ROW - 5.0, 10.0), &class);
            if let Some(span) = b.whisker {
                p.whisker(scale, span, 0.5 * ROW, "whisker");
            }
        });
    }
    plot.finish("Bars:")
}
