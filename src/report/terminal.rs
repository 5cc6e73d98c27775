//! The summary for a person: who is best at what and how sure that is, which limits are met, what
//! contributes most, and which campaign is worth replaying. What it says more with `-v`: differences in
//! sentences, a campaign of every architecture.

mod layout;
mod matrix;

use super::drivers::driver_lines;
use super::figures::first_large;
use super::ranking::ranking_line;
use super::requirements::{Judged, limit_lines};
use super::risk::risk_lines;
use super::screen::{Screen, Tone};
use super::sentences::{closest, replay, sentence};
use super::{CAUTION, NOT_MODELLED};
use crate::measure::glossary::{BEST, COMMON, DIFFERENCES, EVEN, ROUGH, term, title};
use crate::model::{Model, USUAL_MEASURES};
use crate::stats::Results;
use crate::study::drivers::Books;
use crate::study::standing::Standing;
use matrix::{Line, Mark};

/// What the user asked for, as far as the text repeats it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The campaign file as written.
    pub file: &'a str,
    /// The seed, if it was given and is not that of the file.
    pub seed: Option<u64>,
    /// The results folder.
    pub folder: &'a str,
    /// What it is read on.
    pub screen: Screen,
}

/// The first answer: what is known when every campaign is played.
pub fn summary_text(
    model: &Model,
    results: &Results,
    review: (&[Judged], &Standing),
    asked: Asked,
) -> String {
    let (judged, standing) = review;
    let screen = asked.screen;
    let names: Vec<&str> = model.arms.iter().map(|a| a.name.as_str()).collect();
    let mut lines = matrix::measures(model, results);
    let mut out = heading(model, results, &lines, screen);
    // Limits stand in rows of their own where there is room, in sentences where there is not.
    let wide = layout::is_wide(screen, &names, &lines);
    if wide {
        lines.extend(matrix::limits(model, judged));
        out.push_str(&layout::wide(screen, &names, &lines));
    } else {
        out.push_str(&layout::turned(screen, &names, &lines));
        out.push_str(&limit_lines(model, judged, screen));
    }
    out.push_str(&risk_lines(model, results, screen));
    if model.arms.len() > 1 {
        out.push_str(&ranking_line(model, results, standing, screen));
        if screen.verbose {
            out.push_str(&differences(model, results, screen));
        }
    }
    out.push_str(&worth_replaying(model, results, asked));
    out
}

/// What was played, and what the signs of the table mean; those that do not occur are left out.
fn heading(model: &Model, results: &Results, lines: &[Line], screen: Screen) -> String {
    let days = model.horizon / 86_400.0;
    let (n, seed) = (results.campaigns(), model.seed);
    let played = format!("{n} campaigns of {days:.0} days, seed {seed}");
    let common = match model.arms.len() {
        1 => String::new(),
        _ => format!("; {}", title(COMMON)),
    };
    let fits = played.chars().count() + common.chars().count() <= screen.width;
    let mut out = match fits {
        true => format!("{}{common}\n", screen.tint(Tone::Title, &played)),
        false => screen.wrap(&format!("{played}{common}"), "", "  "),
    };
    let any = |test: &dyn Fn(&matrix::Cell) -> bool| lines.iter().any(|l| l.cells.iter().any(test));
    let mut signs = vec!["Mean \u{b1} 95 % half-width".to_string()];
    if any(&|c| c.mark == Mark::Best) {
        signs.push(format!("* is {}", title(BEST)));
    }
    if any(&|c| c.mark == Mark::Even) {
        signs.push(format!("= is {}", title(EVEN)));
    }
    // Else two equal numbers of which one is marked are a riddle.
    if let Some(last) = signs.last_mut().filter(|s| s.starts_with(['*', '='])) {
        last.push_str(" (by paired differences)");
    }
    if any(&|c| c.rough) {
        let meaning = term(ROUGH).map_or("", |t| t.meaning);
        signs.push(format!("~ is {}: {meaning}", title(ROUGH)));
    }
    out.push_str(&screen.wrap(&format!("{}.", signs.join("; ")), "", ""));
    out
}

/// In sentences, what stands out from chance and what does not.
fn differences(model: &Model, results: &Results, screen: Screen) -> String {
    let looked = (model.arms.len() - 1) * USUAL_MEASURES.len();
    let head = format!("{}, of {looked} looked at:", first_large(title(DIFFERENCES)));
    let mut out = screen.wrap(&head, "", "  ");
    for (c, m) in USUAL_MEASURES.iter().filter_map(|name| matrix::index(name)) {
        out.push_str(&screen.wrap(&sentence(model, results, c, m), "  ", "    "));
    }
    out
}

/// The campaign in which somebody was not safe in time, or came closest to it; of every architecture
/// where everything is to be said.
fn worth_replaying(model: &Model, results: &Results, asked: Asked) -> String {
    let arms: Vec<usize> = match asked.screen.verbose {
        true => (0..model.arms.len()).collect(),
        false => closest(model, results).into_iter().collect(),
    };
    arms.iter().map(|a| replay(model, results, *a, asked)).collect()
}

/// What is said where drivers were not asked for, or campaigns come from shards.
const LEFT_OUT: &str = "Contributors are left out (no drivers.csv, no paths.csv): they come from a run \
                        that is no shard, with --drivers 1000 or another number.";

/// What follows when the drivers are worked out and the folder is written. It ends in the caution.
pub fn closing_text(model: &Model, books: Option<&Books>, asked: Asked) -> String {
    let screen = asked.screen;
    let mut out = String::new();
    match books {
        Some(books) => out.push_str(&driver_lines(model, books, screen)),
        None => out.push_str(&screen.wrap(LEFT_OUT, "", "  ")),
    }
    out.push_str(&format!("Results are in {}\n", asked.folder));
    out.push_str(&screen.wrap(&format!("Not modelled: {}", not_modelled()), "", "  "));
    out.push_str(&screen.wrap(CAUTION, "", ""));
    out
}

/// What is not modelled, without the exceptions that the manifest gives in full.
fn not_modelled() -> String {
    let short = |s: &&str| {
        let end = [" (", " except"].iter().filter_map(|stop| s.find(stop)).min();
        s[..end.unwrap_or(s.len())].to_string()
    };
    NOT_MODELLED.iter().map(short).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_modelled_is_said_shortly() {
        let text = not_modelled();
        assert!(text.starts_with("decompression sickness as an outcome, crew skill"), "{text}");
        assert!(text.ends_with("electrical and data systems"), "{text}");
    }
}
