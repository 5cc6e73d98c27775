//! What is worth knowing before choosing.

use super::draw::{Picture, Scale};
use super::part::{Figure, Grid, absent};
use super::plot::Plot;
use super::words::{FEW, esc, num, sentence_case, share, unit_words};
use crate::report::book::{Book, Row};
use crate::report::value::{CANNOT, COULD};

const ID: &str = "fig-value";
const TITLE: &str = "What is worth knowing before choosing";
const ROW: f64 = 24.0;
/// Most groups, and most parameters.
const ITEMS: usize = 12;

/// The figure; nothing for a campaign without a decision.
pub(super) fn value(book: &Book) -> String {
    if book.sheet("value.csv").is_none() {
        return String::new();
    }
    let rows = shown(book);
    let Some(first) = rows.first() else {
        return absent(ID, TITLE, "No parameter set has all measures of the decision.");
    };
    let unit = first.text("unit");
    let all = book.rows("value.csv").filter(|r| r.text("known") == "parameter");
    let (idle, told): (Vec<Row>, Vec<Row>) = all.partition(|r| r.text("verdict") == CANNOT);
    let drawn = rows.iter().filter(|r| r.text("known") == "parameter").count();
    let how = format!(
        "What the choice would gain on average, in {}, if the item were known before it is made. \
        Bars with their 95 % intervals: everything, which no study of a part can exceed, then \
        groups, then single numbers, the largest first; no bar where fewer than {FEW} parameter \
        sets change the choice. The dashed tick is the noise floor; of numbers that say nothing 1 \
        in 20 is found above it. {drawn} of {} single numbers are drawn; {} change the choice in no \
        parameter set.",
        esc(&unit_words(unit)),
        idle.len() + told.len(),
        idle.len()
    );
    let lead = sight(&rows);
    let picture = picture(&rows, unit);
    Figure { id: ID, title: TITLE, lead: &lead, picture, numbers: vec![grid(&rows)] }
        .explained(&how)
}

/// What to see: what is chosen now, what everything is worth, and which group and which number could
/// change the choice by most.
fn sight(rows: &[Row]) -> String {
    let unit = unit_words(rows[0].text("unit"));
    let worth = |r: &Row| format!("{} {}", num(r.number("value").unwrap_or(0.0)), esc(&unit));
    let all = rows.iter().find(|r| r.text("known") == "everything");
    let mut out = format!(
        "Based on {} the choice is now <b>{}</b>",
        esc(rows[0].text("decision")),
        esc(rows[0].text("chosen"))
    );
    let Some(all) = all else { return out + "." };
    out.push_str(&format!("; knowing everything first would be worth {}", worth(all)));
    let leads = |known: &str| {
        let mut of = rows.iter().filter(|r| r.text("known") == known);
        of.find(|r| r.text("verdict") == COULD)
    };
    for (known, word) in [("group", "group"), ("parameter", "number")] {
        match leads(known) {
            Some(r) => out.push_str(&format!(", the {word} {} {}", broken(name(r)), worth(r))),
            None if rows.iter().any(|r| r.text("known") == known) => {
                out.push_str(&format!(", no {word} above the noise floor"));
            }
            None => {}
        }
    }
    let note = match all.text("note") {
        "" => String::new(),
        note => format!(" {}.", esc(&sentence_case(note))),
    };
    format!("{out}.{note}")
}

/// A file and key path that may be broken behind its dots and colons.
fn broken(text: &str) -> String {
    esc(text).replace('.', ".<wbr>").replace(':', ":<wbr>").replace('_', "_<wbr>")
}

/// Everything, then the leading groups, then the leading parameters.
fn shown(book: &Book) -> Vec<Row<'_>> {
    let of = |known: &str| {
        let mut rows: Vec<Row> = book
            .rows("value.csv")
            .filter(|r| r.text("known") == known && r.number("value").is_some())
            .filter(|r| known != "parameter" || r.text("verdict") != CANNOT)
            .collect();
        let rank = |r: &Row| r.number("rank").unwrap_or(0.0);
        rows.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
        rows.truncate(ITEMS);
        rows
    };
    ["everything", "group", "parameter"].iter().flat_map(|k| of(k)).collect()
}

fn name<'a>(r: &Row<'a>) -> &'a str {
    r.text("item")
}

fn picture(rows: &[Row], unit: &str) -> String {
    let high = |r: &Row| r.number("high95").or(r.number("value")).unwrap_or(0.0);
    let most = rows.iter().map(high).fold(0.0, f64::max);
    let scale = Scale::linear(0.0, if most > 0.0 { most } else { 1.0 });
    let mut plot = Plot::new("fig-value-plot", TITLE, scale, &unit_words(unit));
    for r in rows {
        let value = r.number("value").unwrap_or(0.0);
        let label = format!(
            r#"<span>{}</span><span class="row-said">{}</span>"#,
            broken(name(r)),
            num(value)
        );
        let told = format!("{} {}", name(r), num(value));
        plot.row(&label, told, ROW, |p, scale| bar(p, scale, r, value));
    }
    plot.finish(&format!("Bars, {unit}:"))
}

/// The bar of a row, its interval and its noise floor.
fn bar(p: &mut Picture, scale: &Scale, r: &Row, value: f64) {
    const MIDDLE: f64 = 0.5 * ROW;
    let class = if r.text("known") == "parameter" { "s1" } else { "s0" };
    // The choice changes in so few sets that a bar would rank nothing.
    let events = r.number("changes").zip(r.number("n_used")).map_or(0.0, |(c, n)| c * n);
    if events.round() >= FEW {
        p.rect((0.0, scale.at(value)), (MIDDLE - 5.0, 10.0), class);
    }
    if let (Some(l), Some(h)) = (r.number("low95"), r.number("high95")) {
        p.whisker(scale, (l, h), MIDDLE, "whisker");
    }
    if let Some(floor) = r.number("simulation_noise").filter(|f| *f > 0.0 && scale.holds(*f)) {
        let x = scale.at(floor);
        p.line((x, MIDDLE - 8.0), (x, MIDDLE + 8.0), "floor");
    }
}

fn grid(rows: &[Row]) -> Grid {
    let header =
        ["known", "numbers in it", "value", "of perfect", "changes the choice in", "then", ""];
    let mut grid = Grid::new(TITLE, &header);
    for r in rows {
        let or = |column: &str, f: fn(f64) -> String| r.number(column).map_or(String::new(), f);
        let value = match (r.number("low95"), r.number("high95")) {
            (Some(l), Some(h)) => format!("{} ({} to {})", or("value", num), num(l), num(h)),
            _ => or("value", num),
        };
        grid.rows.push(vec![
            esc(name(r)),
            or("parameters", num),
            value,
            or("share_of_perfect", share),
            or("changes", share),
            esc(r.text("instead")),
            esc(r.text("verdict")),
        ]);
    }
    if let Some(n) = rows.first().and_then(|r| r.number("n_used")) {
        grid.caption = format!("{TITLE}; {} parameter sets", num(n));
    }
    grid
}
