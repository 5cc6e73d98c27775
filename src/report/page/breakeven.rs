//! Campaign lengths at which two architectures have the same equivalent system mass, with their
//! intervals.

use super::draw::{Scale, Shape};
use super::mass::words;
use super::part::{Figure, Grid, absent};
use super::plot::Plot;
use super::words::{cell, esc, num};
use crate::report::book::{Book, Row};

const ID: &str = "fig-length";
const TITLE: &str = "Break-even length in equivalent system mass";
/// The axis ends at so many lengths of the campaign; what lies beyond ends in an arrow.
const FARTHEST: f64 = 4.0;
const STRIP: f64 = 26.0;

/// The figure.
pub(super) fn breakeven(book: &Book) -> String {
    let rows: Vec<Row> = book.rows("breakeven.csv").collect();
    if book.arms().len() < 2 {
        return absent(ID, TITLE, "One architecture was played: there is no break-even.");
    }
    let Some(days) =
        book.manifest.setting.as_ref().map(|s| s.length_d).filter(|_| !rows.is_empty())
    else {
        let why = "This folder has no breakeven.csv: the campaign file gives no mass factors.";
        return absent(ID, TITLE, why);
    };
    let even: Vec<&Row> = rows.iter().filter(|r| r.number("length_d").is_some()).collect();
    let lead = match even.as_slice() {
        [] => format!(
            "None of the {} pairs breaks even: one architecture of each pair is lighter at any \
            length.",
            rows.len()
        ),
        [one] => words(one).unwrap_or_default(),
        more => format!(
            "{} of {} pairs break even; in every other pair one architecture is lighter at any \
            length.",
            more.len(),
            rows.len()
        ),
    };
    let picture = if even.is_empty() { String::new() } else { picture(&even, days) };
    Figure { id: ID, title: TITLE, lead: &lead, picture, numbers: vec![grid(&rows)] }.explained(
        "The mark is the length at which both have the same mass, the whisker its 95 % interval, \
        an arrow a limit beyond the axis, the dashed line the length of the campaign. Hardware, \
        volume and power count from the first day; the rest is assumed to grow evenly.",
    )
}

fn picture(even: &[&Row], days: f64) -> String {
    let ends = even.iter().flat_map(|r| [r.number("length_d"), r.number("length_d_high95")]);
    let far = ends.flatten().fold(1.2 * days, f64::max).min(FARTHEST * days);
    let mut plot = Plot::new("fig-length-plot", TITLE, Scale::linear(0.0, far), "d");
    plot.limit(days);
    for r in even {
        let (one, other) = (r.text("architecture"), r.text("reference"));
        let at = r.number("length_d").unwrap_or(0.0);
        let name = format!(
            r#"<span>{} and {}</span><span class="row-said">{}&#160;d</span>"#,
            esc(one),
            esc(other),
            num(at)
        );
        let told = format!("{one} and {other} at {} days", num(at));
        let limits = r.number("length_d_low95").zip(r.number("length_d_high95"));
        plot.row(&name, told, STRIP, |p, scale| {
            if let Some(span) = limits {
                p.whisker(scale, span, 0.5 * STRIP, "whisker");
            }
            if scale.holds(at) {
                p.mark((scale.at(at), 0.5 * STRIP), Shape::Diamond, "tip");
            }
        });
    }
    plot.finish("Break-even lengths with 95 % intervals:")
}

fn grid(rows: &[Row]) -> Grid {
    let header = ["pair", "length, d", "95 % interval", "at start, kg", "each day, kg", "note"];
    let mut grid = Grid::new("break-even of every pair", &header);
    for r in rows {
        let number = |c: &str| r.number(c).map_or("none".into(), num);
        let span = match (r.number("length_d_low95"), r.number("length_d_high95")) {
            (Some(l), Some(h)) => format!("{} to {}", num(l), num(h)),
            _ => "none".into(),
        };
        grid.rows.push(vec![
            format!("{} less {}", esc(r.text("architecture")), esc(r.text("reference"))),
            number("length_d"),
            span,
            number("at_start_kg"),
            number("per_day_kg_d"),
            cell(r.text("note")),
        ]);
    }
    grid
}
