//! `report.html`: one self-contained page, made from the files of a results folder and from nothing
//! else, so that the same files give the same page. No network, no script; text of one size at any
//! width; every picture has a title, a description and its numbers as a table.

mod answer;

mod draw;
mod drivers;
mod dust;
mod gas;
mod havens;
mod length;
mod margin;
mod mass;
mod part;
mod paths;
mod spoken;
mod stack;
mod standing;
mod tables;
#[cfg(test)]
mod tests;
mod why;
mod words;

use crate::report::book::Book;
use crate::report::changes::{self, Changes};
pub(super) use spoken::sentences;
use stack::{PARTS, Stacked};
pub(super) use standing::{Place, Standing, standings};
use std::fmt::Write;
pub(super) use words::esc as escaped;
use words::{esc, num};

/// The name of the page in a results folder.
pub const PAGE: &str = "report.html";

/// The page of a results folder; with what changed since another, if that was asked for.
pub(super) fn page(book: &Book, changes: Option<&Changes>) -> String {
    written(book, changes)
}

/// The page of a folder alone.
#[cfg(test)]
fn whole(book: &Book) -> String {
    page(book, None)
}

/// A section: id, heading, what it holds.
type Section = (&'static str, &'static str, String);

fn written(book: &Book, changes: Option<&Changes>) -> String {
    let standings = standing::standings(book);
    let sections: [Section; 8] = [
        ("answer", "In short", answer::answer(book, &standings)),
        ("why", "Why does it lose, and what would make it win?", why::why(book, &standings)),
        ("figures", "Figures", figures(book)),
        ("tables", "Tables", tables::tables(book)),
        ("findings", "Findings of the check", tables::findings(book)),
        ("assumptions", "Assumptions and their basis", tables::assumptions(book)),
        ("cautions", "Cautions", tables::cautions(book)),
        ("repeat", "How to get the same numbers", tables::repeat(book)),
    ];
    let mut sections = sections.to_vec();
    if let Some(c) = changes {
        sections.insert(1, ("changes", "What changed", changes::section(c)));
    }
    let title = format!("{} ways out and back in, compared", book.arms().len());
    let mut out = String::with_capacity(1 << 20);
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta \
         name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta \
         name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n<link rel=\"icon\" \
         href=\"data:,\">\n<style>{}</style>\n</head>\n<body>\n",
        include_str!("style.css")
    );
    let _ = write!(
        out,
        "<a class=\"skip\" href=\"#answer\">To the \
        answer</a>\n<header>\n<h1>{title}</h1>\n<p>{}</p>\n\
         <p class=\"caution\">{}</p>\n</header>\n<nav aria-label=\"Sections\"><ul>",
        setting(book),
        esc(&book.manifest.caution)
    );
    for (id, heading, _) in &sections {
        let _ = write!(out, "<li><a href=\"#{id}\">{heading}</a></li>");
    }
    out.push_str("</ul></nav>\n<main>\n");
    for (id, heading, inside) in &sections {
        let _ = write!(
            out,
            "<section id=\"{id}\" aria-labelledby=\"{id}-h\">\n<h2 id=\"{id}-h\">{heading}</h2>\n\
             {inside}\n</section>\n"
        );
    }
    out.push_str("</main>\n<footer><p>");
    out.push_str(&esc(&book.manifest.caution));
    out.push_str("</p></footer>\n</body>\n</html>\n");
    out
}

/// What was played, in a sentence.
fn setting(book: &Book) -> String {
    let m = &book.manifest;
    let file = m.files.first().map_or("", String::as_str);
    let setting = match &m.setting {
        Some(s) => format!(" of {} days with a crew of {}", num(s.length_d), s.crew),
        None => String::new(),
    };
    format!(
        "{} campaigns{setting}, every architecture on the same luck; <code>{}</code>, seed {}, {} \
        {}.",
        m.campaigns,
        esc(file),
        esc(&m.seed),
        esc(&m.program),
        esc(&m.version)
    )
}

/// Hours done and lost, and those lost by cause.
fn hours(book: &Book) -> String {
    const TITLE: &str = "Hours outside, done and lost by cause";
    let ends = |arm: &String| -> Vec<(&str, f64)> {
        let of = |word, measure| book.mean(arm, measure).map(|x| (word, x));
        [of("done", "eva_done_h"), of("lost", "eva_lost_h")].into_iter().flatten().collect()
    };
    let all: Vec<Vec<(&str, f64)>> = book.arms().iter().map(ends).collect();
    let all = Stacked::from_rows(&all, "h", true, PARTS);
    let lost = Stacked::of(book, "eva_lost_h", "h", false, PARTS);
    if all.parts.is_empty() || lost.parts.is_empty() {
        let why = "No hours were planned or lost, or summary.csv or breakdown.csv is not here.";
        return part::absent("fig-hours", TITLE, why);
    }
    let (first, planned) = all.shown(book, "fig-hours-done", "Crew-hours outside, done and lost");
    let (second, causes) = lost.shown(book, "fig-hours", "Crew-hours outside lost, by first cause");
    let lead = "Crew-hours of the whole campaign, mean over campaigns. First all that were \
                planned: done and lost; then those lost, by their first cause, the largest \
                first.";
    let picture = format!("<h4>Done and lost</h4>{first}<h4>Lost, by cause</h4>{second}");
    part::Figure { id: "fig-hours", title: TITLE, lead, picture, numbers: vec![planned, causes] }
        .html()
}

fn figures(book: &Book) -> String {
    let door = Stacked::of(book, "door_to_door_min", "min", true, 14).figure(
        book,
        "fig-door",
        "Minutes door to door, by step",
        "Elapsed minutes of all rows of going out and coming in, per sortie done, by what is done \
        in them; work and travel excluded. Steps stand in the order of the vocabulary, left to \
        right.",
    );
    [
        gas::gas(book),
        mass::mass(book),
        length::length(book),
        door,
        hours(book),
        dust::dust(book),
        havens::havens(book),
        margin::margins(book),
        drivers::figures(book),
        paths::paths(book),
    ]
    .concat()
}
