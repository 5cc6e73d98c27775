//! Dust in the air that people breathe: average and peak of the worst crew member against the
//! limit.

use super::draw::{Picture, Scale, Shape, Side, hue};
use super::part::{Figure, Grid, absent, tag};
use super::words::{DUST, num, unit_words};
use crate::report::book::{Book, Estimate};

const TITLE: &str = "Dust in the air against the limit";
const PEAK: &str = "dust_peak_mg_m3";
const ROW: f64 = 62.0;

/// The figure.
pub(super) fn dust(book: &Book) -> String {
    let of = |m: &str| -> Vec<Option<Estimate>> {
        book.arms().iter().map(|a| book.estimate(a, m)).collect()
    };
    let (average, peak) = (of(DUST), of(PEAK));
    let limits: Vec<(f64, &str)> = book
        .manifest
        .setting
        .iter()
        .flat_map(|s| {
            let peak = s.dust_peak_limit_mg_m3.map(|x| (x, "peak limit"));
            [Some((s.dust_limit_mg_m3, "24-hour limit")), peak].into_iter().flatten()
        })
        .collect();
    let numbers = || {
        let all = average.iter().chain(&peak).flatten();
        all.flat_map(|e| [e.mean, e.p05, e.p95]).flatten().chain(limits.iter().map(|l| l.0))
    };
    let seen = numbers().filter(|x| *x > 0.0);
    let low = seen.fold(f64::INFINITY, f64::min);
    if !low.is_finite() {
        return absent(
            "fig-dust",
            TITLE,
            "No dust was seen, or summary.csv is not in this folder.",
        );
    }
    let scale = Scale::log(low, numbers().fold(0.0, f64::max));
    let picture = picture(book, [&average, &peak], &limits, &scale);
    let lead = "Particles below 10 \u{b5}m breathed by the worst-off crew member, mg/m\u{b3}, on a \
                scale of powers of ten. Round mark: mean of the worst 24-hour average; diamond: \
                mean of the peak; bars: 5 to 95 % of campaigns; dashed lines: limits of the \
                body.";
    let numbers = vec![grid(book, [&average, &peak], &limits)];
    Figure { id: "fig-dust", title: TITLE, lead, picture, numbers }.html()
}

fn picture(
    book: &Book,
    of: [&[Option<Estimate>]; 2],
    limits: &[(f64, &str)],
    scale: &Scale,
) -> String {
    let top = 26.0 + 16.0 * limits.len() as f64;
    let height = top + ROW * book.arms().len() as f64 + 20.0;
    let mut p = Picture::new(height);
    p.axis(scale, top - 8.0, "");
    let mut told = Vec::new();
    for (i, (x, word)) in limits.iter().enumerate() {
        let at = scale.at(*x);
        p.line((at, 8.0 + 16.0 * i as f64), (at, height - 18.0), "limit");
        let side = if at > 50.0 { Side::End } else { Side::Start };
        let shift = if at > 50.0 { -1.0 } else { 1.0 };
        let text = format!("{word}: {} {}", num(*x), unit_words("mg/m3"));
        p.text((at + shift, 14.0 + 16.0 * i as f64), side, "limit-word", &text);
        told.push(text);
    }
    for (a, arm) in book.arms().iter().enumerate() {
        let y = top + ROW * a as f64;
        p.label(y + 13.0, a, arm, "");
        for (row, (shape, word)) in
            [(Shape::Dot, "average"), (Shape::Diamond, "peak")].into_iter().enumerate()
        {
            let Some((e, mean)) = of[row][a].as_ref().and_then(|e| Some((e, e.mean?))) else {
                continue;
            };
            let y = y + 28.0 + 14.0 * row as f64;
            if let (Some(low), Some(high)) = (e.p05, e.p95) {
                p.line((scale.at(low), y), (scale.at(high), y), &format!("spread {}", hue(a)));
            }
            p.mark((scale.at(mean), y), shape, &format!("fill {}", hue(a)));
            told.push(format!("{arm} {word} {}", num(mean)));
        }
    }
    p.finish("fig-dust", TITLE, &format!("mg/m3, logarithmic. {}.", told.join("; ")))
}

fn grid(book: &Book, of: [&[Option<Estimate>]; 2], limits: &[(f64, &str)]) -> Grid {
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
        for estimates in of {
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
