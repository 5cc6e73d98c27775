//! What drives a measure: by how much it falls when one item is made perfect.

use super::draw::{Picture, Scale, Shape, hue};
use super::part::{Figure, Grid, absent, tag};
use super::why::{drivers, strikes};
use super::words::{MISSED, esc, num, share};
use crate::report::book::{Book, Row};

const ROW: f64 = 34.0;
/// Most items of an architecture.
const ITEMS: usize = 5;

/// The figures of the risk and of the hours lost.
pub(super) fn figures(book: &Book) -> String {
    let risk = figure(
        book,
        "fig-drivers",
        "What drives late and missed havens",
        MISSED,
        "Share of the chance that goes when one failure mode or hazard is made perfect, the \
        largest first, with its 95 % interval. Shares of one architecture need not add up to 100 \
        %: an outcome that takes two failures goes with either. An interval that begins at 0 may \
        begin below it: made perfect, an item may also bring about what it averted.",
    );
    let hours = figure(
        book,
        "fig-drivers-hours",
        "What drives hours outside lost",
        "eva_lost_h",
        "Share of the lost hours that comes back when one item is made perfect.",
    );
    risk + &hours
}

fn figure(book: &Book, id: &str, title: &str, measure: &str, lead: &str) -> String {
    let Some(_) = book.sheet("drivers.csv") else {
        return absent(
            id,
            title,
            "This folder has no drivers.csv: what drives the outcome was not worked out in this \
            run.",
        );
    };
    let all: Vec<Vec<Row>> = book.arms().iter().map(|arm| top(book, arm, measure)).collect();
    if all.iter().all(Vec::is_empty) {
        return absent(
            id,
            title,
            "Nothing was seen to drive it: the outcome was not seen often enough.",
        );
    }
    let picture = pictures(book, id, title, &all);
    Figure { id, title, lead, picture, numbers: vec![grid(book, title, &all)] }.html()
}

/// The items of an architecture with the largest drop; ways back and redundant things are no cause.
fn top<'a>(book: &'a Book, arm: &'a str, measure: &'a str) -> Vec<Row<'a>> {
    let rows = drivers(book, arm, measure).into_iter();
    rows.filter(strikes).take(ITEMS).collect()
}

/// A picture for each architecture, all on one scale.
fn pictures(book: &Book, id: &str, title: &str, all: &[Vec<Row>]) -> String {
    let high = |r: &Row| r.number("removal_high95").or(r.number("removal")).unwrap_or(0.0);
    let most = all.iter().flatten().map(high).fold(0.0, f64::max);
    let scale = Scale::linear(0.0, 100.0 * most.min(1.0));
    let mut out = String::from(r#"<div class="multi">"#);
    for (a, rows) in all.iter().enumerate() {
        let arm = &book.arms()[a];
        out.push_str(&format!("<div><h4>{}</h4>", tag(a, arm)));
        if rows.is_empty() {
            out.push_str("<p class=\"note\">Nothing was seen to drive it.</p></div>");
            continue;
        }
        out.push_str(&picture(&format!("{id}-{a}"), &format!("{title}, {arm}"), rows, a, &scale));
        out.push_str("</div>");
    }
    out + "</div>"
}

/// The items of one architecture as bars with their intervals.
fn picture(id: &str, title: &str, rows: &[Row], arm: usize, scale: &Scale) -> String {
    let mut p = Picture::new(18.0 + ROW * rows.len() as f64 + 22.0);
    p.axis(scale, 16.0, "%");
    let mut told = Vec::new();
    for (i, r) in rows.iter().enumerate() {
        let top = 16.0 + ROW * i as f64;
        let drop = r.number("removal").unwrap_or(0.0);
        p.named(top + 12.0, 0.0, r.text("item"), &share(drop));
        p.rect((0.0, scale.at(100.0 * drop)), (top + 17.0, 10.0), &format!("column {}", hue(arm)));
        if let (Some(l), Some(h)) = (r.number("removal_low95"), r.number("removal_high95")) {
            let y = top + 22.0;
            let ends = [l, h].map(|x| scale.at(100.0 * x));
            p.line((ends[0], y), (ends[1], y), "whisker");
            ends.iter().for_each(|x| p.mark((*x, y), Shape::Bar, "tip"));
        }
        told.push(format!("{} {}", r.text("item"), share(drop)));
    }
    p.finish(id, title, &format!("Bars, per cent. {}.", told.join("; ")))
}

fn grid(book: &Book, title: &str, all: &[Vec<Row>]) -> Grid {
    let header = ["item", "architecture", "kind", "falls by, if perfect", "takes part in", "note"];
    let mut grid = Grid::new(title, &header);
    let interval = |r: &Row, column: &str| {
        let x = r.number(column).map_or("not estimable".into(), share);
        let limit = |end: &str| r.number(&format!("{column}_{end}95"));
        match (limit("low"), limit("high")) {
            (Some(l), Some(h)) => format!("{x} ({} to {})", share(l), share(h)),
            _ => x,
        }
    };
    for (a, rows) in all.iter().enumerate() {
        for r in rows {
            grid.rows.push(vec![
                esc(r.text("item")),
                tag(a, &book.arms()[a]),
                esc(r.text("kind")),
                interval(r, "removal"),
                interval(r, "participation"),
                esc(r.text("note")),
            ]);
        }
    }
    if let Some(n) = all.iter().flatten().find_map(|r| r.number("n_used")) {
        grid.caption = format!("{title}; {} campaigns", num(n));
    }
    grid
}
