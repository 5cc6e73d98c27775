//! The summary for a person: architectures side by side, the measures that decide, and in sentences
//! what differs clearly and what does not.

use super::CAUTION;
use crate::measure::{Better, Kind, MEASURES, Measure};
use crate::model::Model;
use crate::stats::{Estimate, Results};
use crate::study::experiment::{WORST_PLANNED, WORST_WAY_BACK};
use std::fmt::Write;

/// The measures that decide, in the order of the table.
const SHOWN: &[&str] = &[
    "eva_done_fraction",
    "eva_lost_h",
    "sorties_cancelled",
    "door_to_door_min",
    "gas_lost_kg",
    "gas_lost_per_sortie_kg",
    "dust_to_cabin_g",
    "dust_average_max_mg_m3",
    "upkeep_h",
    "incapacitations",
    "haven_way_back",
    "haven_reached_fraction",
    "campaign_haven_missed",
];

/// Measures that the sentences speak of.
const SPOKEN: &[&str] = &[
    "gas_lost_kg",
    "eva_lost_h",
    "door_to_door_min",
    "dust_average_max_mg_m3",
    "campaign_haven_missed",
];

/// Widest name of an architecture in a column heading.
const COLUMN: usize = 15;

/// The text.
pub fn summary_text(model: &Model, results: &Results, file: &str) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{} campaigns of {:.0} days, seed {}; mean, and its 95 % interval below",
        results.campaigns(),
        model.horizon / 86_400.0,
        model.seed
    );
    let _ = writeln!(out);
    let _ = write!(out, "{:24}", "");
    for arm in &model.arms {
        let _ = write!(out, " {:>COLUMN$}", short(&arm.name));
    }
    let _ = writeln!(out);
    for name in SHOWN {
        measure_rows(&mut out, model, results, name);
    }
    if model.arms.len() > 1 {
        let _ = writeln!(out, "\nOn the same luck:");
        for name in SPOKEN {
            out.push_str(&wrapped(&sentence(model, results, name)));
        }
    }
    let _ =
        writeln!(out, "\nWorth replaying (vestibule replay {file} --architecture A --campaign K):");
    for (a, arm) in model.arms.iter().enumerate() {
        let _ = writeln!(out, "  {}", replay(results, a, &arm.name));
    }
    out
}

/// The last lines: where the results are, and the caution.
pub fn closing(folder: &str) -> String {
    format!("\nResults are in {folder}\n{CAUTION}\n")
}

/// A sentence in lines of at most 96 characters, indented.
fn wrapped(sentence: &str) -> String {
    let mut out = String::from(" ");
    let mut width = 1;
    for word in sentence.split(' ') {
        if width + word.len() + 1 > 96 {
            out.push_str("\n     ");
            width = 5;
        }
        let _ = write!(out, " {word}");
        width += word.len() + 1;
    }
    out.push('\n');
    out
}

fn short(name: &str) -> String {
    if name.len() <= COLUMN { name.into() } else { format!("{}.", &name[..COLUMN - 1]) }
}

fn index(name: &str) -> Option<(usize, &'static Measure)> {
    MEASURES.iter().enumerate().find(|(_, m)| m.name == name)
}

fn measure_rows(out: &mut String, model: &Model, results: &Results, name: &str) {
    let Some((c, m)) = index(name) else { return };
    let estimates: Vec<Estimate> = (0..model.arms.len()).map(|a| results.estimate(a, c)).collect();
    let _ = write!(out, "{name:24}");
    for e in &estimates {
        let _ = write!(out, " {:>COLUMN$}", mean_words(e, m));
    }
    let _ = writeln!(out);
    let _ = write!(out, "{:24}", "");
    for e in &estimates {
        let _ = write!(out, " {:>COLUMN$}", interval_words(e));
    }
    let _ = writeln!(out);
}

fn mean_words(e: &Estimate, m: &Measure) -> String {
    match (e.mean, e.high) {
        (Some(x), Some(high)) if x == 0.0 && m.kind == Kind::Flag => {
            format!("none, < {}", figure(high))
        }
        (Some(x), _) => figure(x),
        _ => "not estimable".into(),
    }
}

fn interval_words(e: &Estimate) -> String {
    match (e.low, e.high) {
        (Some(l), Some(h)) if l == h => "same in all".into(),
        (Some(l), Some(h)) => format!("{}..{}", figure(l), figure(h)),
        _ if e.max == Some(0.0) => "never".into(),
        _ => "-".into(),
    }
}

/// Three significant digits.
fn figure(x: f64) -> String {
    if x == 0.0 {
        return "0".into();
    }
    let digits = (2 - x.abs().log10().floor() as i32).clamp(0, 12) as usize;
    if x.abs() < 1e-3 { format!("{x:.2e}") } else { format!("{x:.digits$}") }
}

/// One sentence on one measure: the best, whom it clearly beats, whom it does not.
fn sentence(model: &Model, results: &Results, name: &str) -> String {
    let Some((c, m)) = index(name) else {
        return String::new();
    };
    let means: Vec<Option<f64>> =
        (0..model.arms.len()).map(|a| results.estimate(a, c).mean).collect();
    let sign = if m.better == Better::High { -1.0 } else { 1.0 };
    let best = (0..means.len()).filter(|a| means[*a].is_some()).min_by(|a, b| {
        (means[*a].unwrap_or(0.0) * sign).total_cmp(&(means[*b].unwrap_or(0.0) * sign))
    });
    let Some(best) = best else {
        return format!("{name}: not estimable.");
    };
    let (mut clear, mut unclear) = (Vec::new(), Vec::new());
    for other in (0..means.len()).filter(|a| *a != best) {
        match gap(results, best, other, c) {
            Some((d, true)) => clear.push(format!("{} ({:+})", model.arms[other].name, Rounded(d))),
            _ => unclear.push(model.arms[other].name.clone()),
        }
    }
    let unit = if m.unit.is_empty() { String::new() } else { format!(" {}", m.unit) };
    let word = if m.better == Better::High { "highest" } else { "lowest" };
    let mut s = format!(
        "{name}: {word} with {} ({}{unit})",
        model.arms[best].name,
        figure(means[best].unwrap_or(0.0))
    );
    if !clear.is_empty() {
        let _ = write!(s, "; clearly different: {}", clear.join(", "));
    }
    if !unclear.is_empty() {
        let _ = write!(s, "; not clearly: {}", unclear.join(", "));
    }
    s.push('.');
    s
}

struct Rounded(f64);

impl std::fmt::Display for Rounded {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.0 >= 0.0 && f.sign_plus() { "+" } else { "" };
        write!(f, "{sign}{}", figure(self.0))
    }
}

/// Difference other - best on the same luck, and whether its interval excludes 0.
fn gap(results: &Results, best: usize, other: usize, c: usize) -> Option<(f64, bool)> {
    let (r, a, sign) = if best < other { (best, other, 1.0) } else { (other, best, -1.0) };
    let d = results.compare(r, a, c);
    let (x, low, high) = (d.difference?, d.low?, d.high?);
    Some((x * sign, low > 0.0 || high < 0.0))
}

/// A campaign of an architecture worth replaying: somebody was missed, came close or came in by a way
/// back with little left; else the smallest margin of planned ingress.
fn replay(results: &Results, arm: usize, name: &str) -> String {
    let way = results.extremes.get(arm, WORST_WAY_BACK);
    let (k, why) = match (way, results.extremes.get(arm, WORST_PLANNED)) {
        (Some((k, x)), _) if x == f64::NEG_INFINITY => (k, "somebody was missed".to_string()),
        (Some((k, x)), _) if x < 0.0 => (k, format!("in {:.0} min after life support ended", -x)),
        (Some((k, x)), _) => (k, format!("in by a way back with {x:.0} min left")),
        (None, Some((k, x))) => (k, format!("planned ingress with {x:.0} min left")),
        (None, None) => return format!("{name}: nobody went out"),
    };
    format!("{name:18} {k:>8}   {why}")
}
