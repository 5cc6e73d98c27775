//! The summary for a person: architectures side by side, the measures that decide, in sentences what
//! differs clearly and what does not, and which campaigns are worth replaying. Plain text, no colour.

use super::drivers::driver_lines;
use super::figures::{WIDTH, figure, in_lines, wrapped};
use super::ranking::ranking_line;
use super::requirements::{Judged, limit_lines};
use super::risk::risk_lines;
use super::sentences::{least_margin, replay, sentence};
use super::{CAUTION, NOT_MODELLED};
use crate::measure::{Kind, MEASURES, Measure};
use crate::model::{Model, USUAL_MEASURES};
use crate::stats::interval::{OUTSIDE, none_seen_upper};
use crate::stats::{Estimate, Results};
use crate::study::drivers::Books;
use crate::study::standing::Standing;
use std::fmt::Write;

/// The measures that decide, in the order of the table.
const SHOWN: &[&str] = &[
    "eva_done_fraction",
    "eva_lost_h",
    "door_to_door_min",
    "gas_lost_kg",
    "dust_average_max_mg_m3",
    "dust_to_cabin_g",
    "upkeep_h",
    "haven_way_back",
    "campaign_haven_missed",
];

/// Widest heading of a column before the name is broken.
const HEADING: usize = 14;

/// What the user asked for, as far as the text repeats it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The campaign file as written.
    pub file: &'a str,
    /// The seed, if it was given and is not that of the file.
    pub seed: Option<u64>,
    /// The results folder.
    pub folder: &'a str,
}

/// The first answer: what is known when every campaign is played.
pub fn summary_text(
    model: &Model,
    results: &Results,
    review: (&[Judged], &Standing),
    asked: Asked,
) -> String {
    let (judged, standing) = review;
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{} campaigns of {:.0} days, seed {}; mean, and its 95 % interval below (~ rough)",
        results.campaigns(),
        model.horizon / 86_400.0,
        model.seed
    );
    out.push_str(&table(model, results));
    out.push_str(&risk_lines(model, results));
    if model.arms.len() > 1 {
        let looked = (model.arms.len() - 1) * USUAL_MEASURES.len();
        let _ = write!(
            out,
            "\nOn the same luck, {looked} differences looked at (named where the 95 % interval \
             excludes 0)\n",
        );
        for (c, m) in USUAL_MEASURES.iter().filter_map(|name| index(name)) {
            out.push_str(&wrapped(&sentence(model, results, c, m)));
        }
        out.push_str(&ranking_line(model, results, standing));
    }
    out.push_str(&limit_lines(model, judged));
    out.push_str("\nWorth replaying: somebody was missed, or came closest to it\n");
    for arm in 0..model.arms.len() {
        let _ = writeln!(out, "  {}", replay(model, results, arm, asked.file, asked.seed));
    }
    out
}

/// What follows when the drivers are worked out and the folder is written. Its last line is the
/// caution.
pub fn closing_text(model: &Model, books: Option<&Books>, asked: Asked) -> String {
    let mut out = String::new();
    if let Some(books) = books {
        out.push_str(driver_lines(model, books).trim_start());
    }
    let _ = writeln!(out, "Results are in {}", asked.folder);
    out.push_str(wrapped(&format!("Not modelled: {}", not_modelled())).trim_start());
    let _ = writeln!(out, "{CAUTION}");
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

fn index(name: &str) -> Option<(usize, &'static Measure)> {
    MEASURES.iter().enumerate().find(|(_, m)| m.name == name)
}

/// One column of text: a heading or a name on top, then a line for each line of the table.
type Cells = Vec<String>;

/// The table, in as many parts as it takes for lines to fit.
fn table(model: &Model, results: &Results) -> String {
    let headings: Vec<Vec<String>> =
        model.arms.iter().map(|a| in_lines(&a.name, HEADING)).collect();
    let top = headings.iter().map(Vec::len).max().unwrap_or(0);
    let labels = [vec![String::new(); top], labels()].concat();
    let columns: Vec<Cells> = headings
        .into_iter()
        .enumerate()
        .map(|(a, h)| [vec![String::new(); top - h.len()], h, cells(results, a)].concat())
        .collect();
    side_by_side(&labels, &columns)
}

/// Labels of the lines, an empty one for each line of intervals.
fn labels() -> Cells {
    let mut out: Cells = Vec::new();
    for name in SHOWN {
        out.extend([name.to_string(), String::new()]);
    }
    out.extend(["least margin, min".into(), "  by a way back, min".into()]);
    out
}

/// The numbers of an architecture, a line for each label.
fn cells(results: &Results, arm: usize) -> Cells {
    let mut out: Cells = Vec::new();
    for (c, m) in SHOWN.iter().filter_map(|name| index(name)) {
        let e = results.estimate(arm, c);
        out.extend([mean_words(&e, m), interval_words(&e)]);
    }
    for way_back in [false, true] {
        out.push(match least_margin(results, arm, way_back) {
            None => "none".into(),
            Some(f64::NEG_INFINITY) => "missed".into(),
            Some(x) => figure(x),
        });
    }
    out
}

/// Columns beside the labels, each as wide as its widest cell; what does not fit goes below.
fn side_by_side(labels: &[String], columns: &[Cells]) -> String {
    let width = |cells: &[String]| cells.iter().map(|c| c.chars().count()).max().unwrap_or(0);
    let label = width(labels);
    let mut out = String::new();
    let mut rest = columns;
    while !rest.is_empty() {
        let mut used = label;
        let fitting = rest.iter().take_while(|c| {
            used += 1 + width(c);
            used <= WIDTH
        });
        let count = fitting.count().max(1);
        let (now, later) = rest.split_at(count);
        for (i, text) in labels.iter().enumerate() {
            let cells: String =
                now.iter().map(|c| format!(" {:>w$}", c[i], w = width(c))).collect();
            let _ = writeln!(out, "{text:label$}{cells}");
        }
        if !later.is_empty() {
            out.push('\n');
        }
        rest = later;
    }
    out
}

fn mean_words(e: &Estimate, m: &Measure) -> String {
    match (e.mean, e.high) {
        (Some(0.0), Some(high)) if m.kind == Kind::Flag => format!("none, <{}", figure(high)),
        (Some(x), _) => figure(x),
        _ => "not estimable".into(),
    }
}

fn interval_words(e: &Estimate) -> String {
    match (e.low, e.high) {
        (Some(l), Some(h)) if l == h => "same in all".into(),
        (Some(l), Some(h)) => format!("{}{}..{}", rough(e), figure(l), figure(h)),
        // Never seen: what is bounded is how many campaigns have any (rule 37).
        _ if e.mean == Some(0.0) && e.n_used > 0 => {
            format!("any in <{}", figure(none_seen_upper(e.n_used as f64, OUTSIDE)))
        }
        _ => "-".into(),
    }
}

/// The mark of an interval that the estimate itself calls rough.
fn rough(e: &Estimate) -> &'static str {
    if e.note.starts_with("rough") { "~" } else { "" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_named_here_are_registered() {
        for name in SHOWN.iter().chain(USUAL_MEASURES) {
            assert!(index(name).is_some(), "{name}");
        }
    }

    #[test]
    fn what_does_not_fit_beside_goes_below() {
        let labels = vec![String::new(), "measure".to_string()];
        let columns: Vec<Cells> = (0..9).map(|i| vec![format!("{i}"), "x".repeat(14)]).collect();
        let text = side_by_side(&labels, &columns);
        assert!(text.lines().all(|l| l.chars().count() <= WIDTH), "{text}");
        // 7 + 6 * 15 = 97 fit, the other three go below an empty line
        assert_eq!(text.lines().count(), 5);
        for i in 0..9 {
            assert!(text.contains(&format!(" {i}")), "{text}");
        }
    }

    #[test]
    fn what_is_not_modelled_is_said_shortly() {
        let text = not_modelled();
        assert!(text.starts_with("decompression sickness as an outcome, crew skill"), "{text}");
        assert!(text.ends_with("electrical and data systems"), "{text}");
    }
}
