//! Bars of factors: the tornado of one at a time, Sobol' indices, rank correlations.

use super::super::draw::{Scale, hue};
use super::super::part::{Figure, Grid, absent, tag};
use super::super::plot::Plot;
use super::super::words::{esc, num, signed};
use super::{Shown, below, id, index, of, with_unit};
use crate::report::book::{Book, Row};
use crate::report::manifest::SweepFacts;

const ROW: f64 = 24.0;
/// Most factors in a picture; the table has all.
const MOST: usize = 12;

/// A bar from 0 to an index of a factor.
struct Bar {
    name: String,
    said: String,
    to: f64,
    whisker: Option<(f64, f64)>,
    floor: Option<f64>,
}

impl Bar {
    /// The bar of an index; `say` puts its number into words.
    fn of(
        rows: &[Row],
        (factor, name): (&str, &str),
        times: f64,
        say: impl Fn(f64) -> String,
    ) -> Option<Bar> {
        let r = index(rows, factor, name)?;
        let number = |column: &str| r.number(column).map(|x| x * times);
        let to = number("value")?;
        Some(Bar {
            name: factor.into(),
            said: say(to),
            to,
            whisker: number("low95").zip(number("high95")),
            floor: number("simulation_noise"),
        })
    }
}

/// What a kind of figure is made of.
struct Kind {
    id: &'static str,
    analysis: &'static str,
    title: &'static str,
    how: &'static str,
    bars: fn(&[Row], &str, f64) -> Vec<Bar>,
    /// the first one ranks
    indices: &'static [&'static str],
    /// in the unit of the measure
    in_units: bool,
}

/// One at a time: from the low end to the high end of each factor.
pub(super) fn tornado(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "tornado",
        analysis: "one at a time",
        title: "One factor at a time",
        how: "Change of the mean from the base campaign when one factor goes to the low end of its \
              range (upper bar) and to the high end (lower bar), all others as in the base; the \
              largest swing first.",
        bars: |rows, factor, times| {
            let end = |name: &str, word: &str| {
                Bar::of(rows, (factor, name), times, |x| format!("{word} {}", signed(x)))
            };
            [end("low end", "low"), end("high end", "high")].into_iter().flatten().collect()
        },
        indices: &["swing", "low end", "high end"],
        in_units: true,
    };
    figures(book, facts, &kind)
}

/// First-order and total indices.
pub(super) fn indices(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "sobol",
        analysis: "Sobol' indices",
        title: "Sobol' indices",
        how: "Share of the variance between points that one factor explains alone (first order, \
              upper bar) and with all its interactions (total, lower bar), the largest first.",
        bars: |rows, factor, times| {
            let one =
                |name: &str| Bar::of(rows, (factor, name), times, |x| format!("{name} {}", num(x)));
            [one("first order"), one("total")].into_iter().flatten().collect()
        },
        indices: &["total", "first order"],
        in_units: false,
    };
    figures(book, facts, &kind)
}

/// Partial rank correlation.
pub(super) fn ranks(book: &Book, facts: &SweepFacts) -> String {
    let kind = Kind {
        id: "ranks",
        analysis: "partial rank correlation",
        title: "Partial rank correlation",
        how: "Correlation between the ranks of a factor and of the measure with the effect of all \
              other factors removed, the largest first: near 1 or \u{2212}1 the measure follows the \
              factor, near 0 it does not.",
        bars: |rows, factor, times| {
            Bar::of(rows, (factor, "correlation"), times, signed).into_iter().collect()
        },
        indices: &["correlation"],
        in_units: false,
    };
    // Where the design has indices of its own they say more.
    if ["saltelli", "elementary effects", "one at a time"].contains(&facts.design.as_str()) {
        return String::new();
    }
    figures(book, facts, &kind)
}

fn figures(book: &Book, facts: &SweepFacts, kind: &Kind) -> String {
    match super::analysis(book, kind.analysis).next() {
        None => String::new(),
        Some(_) => facts.measures.iter().map(|m| figure(book, facts, kind, m)).collect(),
    }
}

fn figure(book: &Book, facts: &SweepFacts, kind: &Kind, measure: &str) -> String {
    let shown = Shown::of(measure);
    let times = if kind.in_units { shown.times } else { 1.0 };
    let fig = id(kind.id, measure);
    let title = format!("{}: {}", kind.title, shown.heading);
    let mut picture = String::from(r#"<div class="multi">"#);
    let mut header = vec!["factor", "architecture"];
    header.extend(kind.indices);
    header.push("noise floor");
    let mut grid = Grid::new(&title, &header);
    let mut any = false;
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = of(book, kind.analysis, measure, arm);
        let factors = ordered(&rows, facts, kind.indices[0]);
        numbers(&mut grid, &rows, &factors, (kind, &shown), (a, arm));
        let bars: Vec<Bar> =
            factors.iter().take(MOST).flat_map(|f| (kind.bars)(&rows, f, times)).collect();
        if !bars.is_empty() {
            any = true;
            let unit = if kind.in_units { shown.unit.as_str() } else { "" };
            let svg = draw(&bars, a, (&format!("{fig}-{a}"), &format!("{title}, {arm}")), unit);
            picture.push_str(&format!("<div><h4>{}</h4>{svg}</div>", tag(a, arm)));
        }
    }
    picture.push_str("</div>");
    let few = shown.seldom(book);
    if !any {
        return absent(&fig, &title, &few.unwrap_or("It is the same at every point.".into()));
    }
    let lead = match &few {
        Some(why) => why.clone(),
        None => sight(book, facts, kind, &shown),
    };
    let picture = if few.is_some() { String::new() } else { picture };
    let how = format!(
        "{} Whiskers are 95 % intervals{}; the dashed tick is the noise floor, which a factor \
         without effect stays below with 95 % chance.",
        kind.how,
        match (kind.in_units, facts.luck.as_str()) {
            (true, "common") =>
                ", as wide as if the points did not share their random numbers: upper bounds",
            _ => "",
        }
    );
    Figure { id: &fig, title: &title, lead: &lead, picture, numbers: vec![grid] }.explained(&how)
}

/// What to see: the leading factor of each architecture, and how many cannot be told from noise.
fn sight(book: &Book, facts: &SweepFacts, kind: &Kind, shown: &Shown) -> String {
    let mut leaders: Vec<String> = Vec::new();
    let mut loud: Vec<&str> = Vec::new();
    for (a, arm) in book.arms().iter().enumerate() {
        let rows = of(book, kind.analysis, shown.name, arm);
        let value = |f: &str| index(&rows, f, kind.indices[0]).and_then(|r| r.number("value"));
        let above = |f: &str| index(&rows, f, kind.indices[0]).is_some_and(|r| super::loud(&r));
        for f in facts.factors.iter().map(|f| f.name.as_str()) {
            if above(f) && !loud.contains(&f) {
                loud.push(f);
            }
        }
        let first = ordered(&rows, facts, kind.indices[0]).first().copied();
        if let Some((f, x)) = first.and_then(|f| Some((f, value(f)?))).filter(|(f, _)| above(f)) {
            let x = match kind.in_units {
                true => shown.with_unit(x * shown.times),
                false => num(x),
            };
            leaders.push(format!("{} {x} ({})", esc(f), tag(a, arm)));
        }
    }
    let (all, quiet) = (facts.factors.len(), facts.factors.len() - loud.len());
    let floors = super::analysis(book, kind.analysis)
        .any(|r| r.text("measure") == shown.name && r.number("simulation_noise").is_some());
    let led = match leaders.is_empty() {
        true => format!("No {} is above the noise floor.", kind.indices[0]),
        false => format!("Largest {}: {}.", kind.indices[0], leaders.join(", ")),
    };
    format!(
        "{led} {}",
        if floors { below(quiet, all) } else { "The noise floor is not known.".into() }
    )
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

fn numbers(
    grid: &mut Grid,
    rows: &[Row],
    factors: &[&str],
    (kind, shown): (&Kind, &Shown),
    (a, arm): (usize, &str),
) {
    let (times, unit) = match kind.in_units {
        true => (shown.times, shown.unit.as_str()),
        false => (1.0, ""),
    };
    for f in factors {
        let cell = |name: &&str| {
            let Some(r) = index(rows, f, name) else { return "not computed".to_string() };
            let Some(x) = r.number("value") else { return esc(r.text("note")) };
            let limits = r.number("low95").zip(r.number("high95"));
            let limits = limits.map_or(String::new(), |(l, h)| {
                format!(" ({} to {})", num(times * l), num(times * h))
            });
            format!("{}{limits}", with_unit(times * x, unit))
        };
        let floor = index(rows, f, kind.indices[0]).and_then(|r| r.number("simulation_noise"));
        let mut row = vec![esc(f), tag(a, arm)];
        row.extend(kind.indices.iter().map(cell));
        row.push(floor.map_or("not known".into(), |x| num(times * x)));
        grid.rows.push(row);
    }
}

fn draw(bars: &[Bar], arm: usize, (id, title): (&str, &str), unit: &str) -> String {
    let whiskers = |b: &Bar| b.whisker.map_or([0.0, 0.0], |(l, h)| [l, h]);
    let ends = bars.iter().flat_map(|b| whiskers(b).into_iter().chain([b.to]));
    let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(l, h), x| (l.min(x), h.max(x)));
    let scale = Scale::linear(low, high);
    let mut plot = Plot::new(&format!("{id}-plot"), title, scale, unit).narrow();
    for b in bars {
        let name = format!(
            r#"<span>{}</span><span class="row-said">{}</span>"#,
            esc(&b.name),
            esc(&b.said)
        );
        plot.row(&name, format!("{} {}", b.name, b.said), ROW, |p, scale| {
            let (from, to) = (scale.at(b.to.min(0.0)), scale.at(b.to.max(0.0)));
            p.rect((from, to - from), (0.5 * ROW - 5.0, 10.0), &format!("column {}", hue(arm)));
            if let Some(span) = b.whisker {
                p.whisker(scale, span, 0.5 * ROW, "whisker");
            }
            let floor = b.floor.map(|f| if b.to < 0.0 { -f } else { f });
            if let Some(x) = floor.filter(|f| *f != 0.0 && scale.holds(*f)) {
                p.line((scale.at(x), 3.0), (scale.at(x), ROW - 3.0), "floor");
            }
        });
    }
    plot.finish("Bars:")
}
