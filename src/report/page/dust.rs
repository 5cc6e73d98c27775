//! Dust in the air that people breathe: average and peak of the worst crew member against the
//! limit.

use super::draw::{Picture, Scale, Shape, hue};
use super::part::{Figure, Grid, absent, lined, tag};
use super::plot::Plot;
use super::words::{DUST, num, plain, rounded};
use crate::report::book::{Book, Estimate};

const TITLE: &str = "Dust in the air against the limit";
const PEAK: &str = "dust_peak_mg_m3";
const UNIT: &str = "mg/m\u{b3}";
const STRIP: f64 = 34.0;

/// Average, then peak, of each architecture.
type Both = [Vec<Option<Estimate>>; 2];

/// The figure.
pub(super) fn dust(book: &Book) -> String {
    let of = |m: &str| -> Vec<Option<Estimate>> {
        book.arms().iter().map(|a| book.estimate(a, m)).collect()
    };
    let both = [of(DUST), of(PEAK)];
    let limits = limits(book);
    let all = || {
        let estimates = both.iter().flatten().flatten();
        let ends = estimates.flat_map(|e| [e.mean, e.p05, e.p95]);
        ends.flatten().chain(limits.iter().map(|l| l.0))
    };
    let low = all().filter(|x| *x > 0.0).fold(f64::INFINITY, f64::min);
    let seen = both.iter().flatten().flatten().any(|e| e.mean.is_some_and(|x| x > 0.0));
    if !seen {
        let why = "No dust was seen, or this folder has no summary.csv.";
        return absent("fig-dust", TITLE, why);
    }
    let scale = Scale::log(low, all().fold(0.0, f64::max));
    let mut picture = picture(book, &both, &limits, scale);
    picture.push_str(&key(&limits));
    let numbers = vec![grid(book, &both, &limits)];
    Figure { id: "fig-dust", title: TITLE, lead: &sight(book, &both[0]), picture, numbers }
        .explained(
            "Particles below 10 \u{b5}m breathed by the most exposed crew member, on a \
            logarithmic scale. The bars span 5 to 95 % of campaigns.",
        )
}

/// Limits of the body, with their names.
fn limits(book: &Book) -> Vec<(f64, &'static str)> {
    let of = |s: &crate::report::manifest::Setting| {
        let peak = s.dust_peak_limit_mg_m3.map(|x| (x, "peak limit"));
        [Some((s.dust_limit_mg_m3, "24-hour limit")), peak]
    };
    book.manifest.setting.iter().flat_map(of).flatten().collect()
}

/// What to see: whose average is above the limit.
fn sight(book: &Book, average: &[Option<Estimate>]) -> String {
    let limit = book.manifest.setting.as_ref().map(|s| s.dust_limit_mg_m3);
    let means: Vec<f64> = average.iter().flatten().filter_map(|e| e.mean).collect();
    let (low, high) =
        means.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(*x), h.max(*x)));
    let Some(limit) = limit.filter(|l| *l > 0.0) else {
        return format!("The 24-hour average is {} to {} {UNIT}.", num(low), num(high));
    };
    let above = means.iter().filter(|x| **x > limit).count();
    let times = match num(low / limit) == num(high / limit) {
        true => num(low / limit),
        false => format!("{} to {}", num(low / limit), num(high / limit)),
    };
    match (above, means.len()) {
        (_, 1) => format!("The 24-hour average is {times} times the limit of {limit} {UNIT}."),
        (0, n) => format!(
            "The 24-hour average keeps the limit of {limit} {UNIT} in all {n} architectures: it is \
             {times} times the limit."
        ),
        (k, n) if k == n => format!(
            "The 24-hour average is above the limit of {limit} {UNIT} in all {n} architectures: \
             {times} times."
        ),
        (k, n) => format!(
            "The 24-hour average is above the limit of {limit} {UNIT} in {k} of {n} \
             architectures: it is {times} times the limit."
        ),
    }
}

fn picture(book: &Book, both: &Both, limits: &[(f64, &str)], scale: Scale) -> String {
    let mut plot = Plot::new("fig-dust-plot", TITLE, scale, UNIT);
    limits.iter().for_each(|l| plot.limit(l.0));
    for (a, arm) in book.arms().iter().enumerate() {
        let word = |k: usize| both[k][a].as_ref().map_or("not estimable".into(), mean_of);
        let said = format!("{}, peak {}", word(0), word(1));
        let told = format!("{arm} average {said}");
        plot.row(&lined(a, arm, &said), told, STRIP, |p, scale| {
            for (k, shape) in [Shape::Dot, Shape::Diamond].into_iter().enumerate() {
                if let Some(e) = &both[k][a] {
                    mark(p, scale, e, shape, (9.0 + 15.0 * k as f64, a));
                }
            }
        });
    }
    plot.finish("Logarithmic:")
}

/// A mean to the digits that its interval leaves, as the matrix has it.
fn mean_of(e: &Estimate) -> String {
    let half = e.low.zip(e.high).map(|(l, h)| 0.5 * (h - l));
    e.mean.map_or("not estimable".into(), |x| rounded(x, half))
}

fn mark(p: &mut Picture, scale: &Scale, e: &Estimate, shape: Shape, (y, arm): (f64, usize)) {
    let Some(mean) = e.mean.filter(|x| *x > 0.0) else { return };
    if let (Some(low), Some(high)) = (e.p05, e.p95) {
        p.line((scale.at(low), y), (scale.at(high), y), &format!("spread {}", hue(arm)));
    }
    p.mark((scale.at(mean), y), shape, &format!("fill {}", hue(arm)));
}

/// What the marks are.
fn key(limits: &[(f64, &str)]) -> String {
    let limits: String = limits
        .iter()
        .map(|(x, word)| format!("<li>&#9478; {word} {} {UNIT}</li>", plain(*x)))
        .collect();
    format!(
        "<ul class=\"legend\"><li>&#9679; mean of the worst 24-hour average</li><li>&#9670; mean of \
         the peak</li>{limits}</ul>"
    )
}

fn grid(book: &Book, both: &Both, limits: &[(f64, &str)]) -> Grid {
    let header = [
        "architecture",
        "average: mean",
        "5 to 95 % of campaigns",
        "peak: mean",
        "5 to 95 % of campaigns",
        "hours over the limit",
    ];
    let mut grid = Grid::new("dust below 10 \u{b5}m, mg/m\u{b3}", &header);
    let word = |x: Option<f64>| x.map_or("not estimable".into(), num);
    for (a, arm) in book.arms().iter().enumerate() {
        let mut row = vec![tag(a, arm)];
        for estimates in both {
            let e = estimates[a].clone().unwrap_or_default();
            row.push(word(e.mean));
            row.push(match (e.p05, e.p95) {
                (Some(l), Some(h)) => format!("{} to {}", num(l), num(h)),
                _ => "not estimable".into(),
            });
        }
        row.push(word(book.mean(arm, "dust_over_limit_h")));
        grid.rows.push(row);
    }
    for (x, text) in limits {
        let mut row = vec![text.to_string(), num(*x)];
        row.resize(header.len(), "\u{2013}".into());
        grid.rows.push(row);
    }
    grid
}
