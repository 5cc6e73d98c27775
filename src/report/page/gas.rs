//! Gas over the campaign: a straight line to what was lost in the campaign played, with its spread.

use super::draw::{Picture, Scale, Side, apart};
use super::part::{Figure, Grid, absent, letters, tag};
use super::words::{num, value};
use crate::report::book::{Book, Estimate};

const TITLE: &str = "Gas lost over the campaign";
const TOP: f64 = 24.0;
const HEIGHT: f64 = 340.0;

/// The figure.
pub(super) fn gas(book: &Book) -> String {
    let all: Vec<Option<Estimate>> =
        book.arms().iter().map(|a| book.estimate(a, "gas_lost_kg")).collect();
    let most = all.iter().flatten().flat_map(|e| [e.mean, e.p95]).flatten().fold(0.0, f64::max);
    if most <= 0.0 {
        return absent("fig-gas", TITLE, "No gas was lost, or summary.csv is not in this folder.");
    }
    let sorties = book.arms().iter().filter_map(|a| book.mean(a, "sorties_planned"));
    let planned = sorties.fold(0.0, f64::max);
    let days = book.manifest.setting.as_ref().map(|s| s.length_d);
    let lead = format!(
        "Kilograms that went outside, all causes. Lines are straight from nothing to the mean of \
        the whole campaign of {} sorties planned: the run tells the totals, not their course. The \
        bar at the end spans 5 to 95 % of campaigns. {}",
        num(planned),
        super::mass::break_even_note(book)
    );
    let picture = picture(book, &all, most, days, planned) + &letters(book);
    Figure { id: "fig-gas", title: TITLE, lead: &lead, picture, numbers: vec![grid(book, &all)] }
        .html()
}

fn picture(
    book: &Book,
    all: &[Option<Estimate>],
    most: f64,
    days: Option<f64>,
    planned: f64,
) -> String {
    let scale = Scale::linear(0.0, most);
    let foot = HEIGHT - 40.0;
    let down = |kg: f64| foot - (foot - TOP) * scale.at(kg) / 100.0;
    // The last part of the width is for the ends of the lines.
    let end = 86.0;
    let mut p = Picture::new(HEIGHT);
    for (kg, text) in scale.ticks() {
        p.line((0.0, down(kg)), (100.0, down(kg)), "grid");
        p.text((0.0, down(kg) - 4.0), Side::Start, "tick", &format!("{text} kg"));
    }
    for i in 0..=2 {
        let x = end * f64::from(i) / 2.0;
        let part = f64::from(i) / 2.0;
        let side = if i == 0 { Side::Start } else { Side::Middle };
        p.line((x, foot), (x, foot + 5.0), "grid");
        if let Some(days) = days {
            p.text((x, foot + 18.0), side, "tick", &format!("{:.0} d", days * part));
        }
        p.text((x, foot + 33.0), side, "tick", &format!("{:.0} sorties", planned * part));
    }
    let mut told = Vec::new();
    let ends = |e: &Option<Estimate>| e.as_ref().and_then(|e| e.mean).map_or(TOP, down);
    let places = apart(&all.iter().map(ends).collect::<Vec<_>>(), TOP);
    for (a, e) in all.iter().enumerate() {
        let Some((e, mean)) = e.as_ref().and_then(|e| Some((e, e.mean?))) else { continue };
        let class = format!("curve {} d{}", super::draw::hue(a), a % 4);
        p.line((0.0, foot), (end, down(mean)), &class);
        let x = end + 1.2 + 1.4 * a as f64;
        p.line((end, down(mean)), (x, down(mean)), &class);
        if let (Some(low), Some(high)) = (e.p05, e.p95) {
            p.line((x, down(low)), (x, down(high)), &format!("spread {}", super::draw::hue(a)));
        }
        p.letter((97.5, places[a]), a);
        p.line((x, down(mean)), (95.5, places[a]), "leader");
        told.push(format!("{} {} kg", book.arms()[a], num(mean)));
    }
    let description = format!("Lines from 0 kg to the whole campaign: {}.", told.join("; "));
    p.finish("fig-gas", TITLE, &description)
}

fn grid(book: &Book, all: &[Option<Estimate>]) -> Grid {
    let header =
        ["architecture", "mean, kg", "95 % interval", "5 % of campaigns", "95 %", "per sortie"];
    let mut grid = Grid::new(TITLE, &header);
    let word = |x: Option<f64>| x.map_or("not estimable".into(), num);
    for (a, (arm, e)) in book.arms().iter().zip(all).enumerate() {
        let e = e.clone().unwrap_or_default();
        let per = book.mean(arm, "gas_lost_per_sortie_kg");
        let interval = match (e.low, e.high) {
            (Some(l), Some(h)) => format!("{} to {}", num(l), num(h)),
            _ => "not estimable".into(),
        };
        let per = per.map_or("not estimable".into(), |x| value(x, &super::words::SPOKEN[2], "kg"));
        grid.rows.push(vec![tag(a, arm), word(e.mean), interval, word(e.p05), word(e.p95), per]);
    }
    grid
}
