//! `report.html`: one self-contained page, made from the files of a results folder and from nothing
//! else, so that the same files give the same page. No network, no script; text of one size at any
//! width; every picture has a title, a description and its numbers as a table.

mod answer;
mod assumptions;
mod breakeven;
mod contributors;
mod draw;
mod dust;
mod gas;
mod havens;
mod hours;
mod limits;
mod margin;
mod mass;
mod matrix;
mod part;
mod paths;
mod plot;
mod spoken;
mod stack;
mod standing;
mod sweep;
mod tables;
#[cfg(test)]
mod tests;
mod told;
mod value;
mod why;
mod words;

use crate::report::book::Book;
use crate::report::changes::{self, Changes};
pub(super) use spoken::sentences;
use stack::Stacked;
pub(super) use standing::{Place, Standing, standings};
use std::fmt::Write;
pub(super) use words::esc as escaped;
use words::{esc, plain};

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
    if let Some(facts) = &book.manifest.sweep {
        let title = format!("A sweep of {} factors", facts.factors.len());
        return sheet(book, &title, &sweep::setting(book, facts), &sweep::sections(book, facts));
    }
    let standings = standing::standings(book);
    let sections: [Section; 8] = [
        ("answer", "Answer", answer::answer(book, &standings)),
        ("figures", "Pictures", figures(book)),
        ("why", "Why each loses", why::why(book, &standings)),
        ("tables", "Tables", tables::tables(book)),
        ("findings", "Check", tables::findings(book)),
        ("assumptions", "Assumptions", assumptions::assumptions(book)),
        ("cautions", "Cautions", tables::cautions(book)),
        ("repeat", "Repeat", tables::repeat(book)),
    ];
    let mut sections = sections.to_vec();
    if let Some(c) = changes {
        sections.insert(1, ("changes", "What changed", changes::section(c)));
    }
    let title = match book.arms() {
        [one] => format!("{} on its own", esc(one)),
        more => format!("{} architectures compared", more.len()),
    };
    sheet(book, &title, &setting(book), &sections)
}

/// The page with a title, a sentence on what was played, and its sections.
fn sheet(book: &Book, title: &str, played: &str, sections: &[Section]) -> String {
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
         answer</a>\n<header>\n<div class=\"top\"><h1>{title}</h1>\n<nav \
         aria-label=\"Sections\"><ul>"
    );
    for (id, heading, _) in sections {
        let _ = write!(out, "<li><a href=\"#{id}\">{heading}</a></li>");
    }
    let _ = write!(
        out,
        "</ul></nav></div>\n<p>{}</p>\n<p class=\"caution\">{}</p>\n</header>\n<main>\n",
        played,
        esc(&book.manifest.caution)
    );
    for (id, heading, inside) in sections {
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
        Some(s) => format!(" of {} days with a crew of {}", plain(s.length_d), s.crew),
        None => String::new(),
    };
    let common = match book.arms().len() {
        0 | 1 => "",
        _ => ", every architecture on common random numbers",
    };
    format!(
        "{} campaigns{setting}{common}; <code>{}</code>, seed {}, {} {}.",
        m.campaigns,
        esc(file),
        esc(&m.seed),
        esc(&m.program),
        esc(&m.version)
    )
}

/// Pictures: two beside each other where there is room, those with a matrix across.
fn figures(book: &Book) -> String {
    let door = Stacked::of(book, "door_to_door_min", "min", true, 8).figure(
        book,
        "fig-door",
        "EVA overhead (elapsed) by step",
        "Elapsed minutes of all rows of going out and coming in, per sortie done, by what is done \
        in them; work and travel excluded. Steps stand in the order of the vocabulary, left to \
        right.",
    );
    let pictures = [
        hours::hours(book),
        contributors::figures(book),
        havens::havens(book),
        paths::paths(book),
        gas::gas(book),
        dust::dust(book),
        door,
        mass::mass(book),
        margin::margins(book),
        breakeven::breakeven(book),
        value::value(book),
    ];
    format!(r#"<div class="pictures">{}</div>"#, pictures.concat())
}
