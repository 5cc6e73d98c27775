//! EVA crew-hours: done, and lost by cause.

use super::part::{Figure, absent};
use super::stack::Stacked;
use crate::report::book::Book;

const TITLE: &str = "EVA crew-hours lost by cause";
/// Most causes that are told apart.
const CAUSES: usize = 8;

/// The figure.
pub(super) fn hours(book: &Book) -> String {
    let ends = |arm: &String| -> Vec<(&str, f64)> {
        let of = |word, measure| book.mean(arm, measure).map(|x| (word, x));
        [of("done", "eva_done_h"), of("lost", "eva_lost_h")].into_iter().flatten().collect()
    };
    let all: Vec<Vec<(&str, f64)>> = book.arms().iter().map(ends).collect();
    let all = Stacked::from_rows(&all, "h", true, CAUSES);
    let lost = Stacked::of(book, "eva_lost_h", "h", false, CAUSES);
    if lost.parts.is_empty() {
        let why = "No hours were lost, or this folder has no breakdown.csv.";
        return absent("fig-hours", TITLE, why);
    }
    let (picture, causes) = lost.shown(book, "fig-hours", TITLE);
    let numbers = vec![causes, all.grid(book, "EVA crew-hours, done and lost")];
    Figure { id: "fig-hours", title: TITLE, lead: &lost.sight(book), picture, numbers }.explained(
        "Crew-hours of the whole campaign, mean over campaigns, by their first cause, the largest \
        first.",
    )
}
