//! What differs between architectures and what does not, and which campaigns are worth replaying.

use super::figures::{WIDTH, figure, quoted, signed};
use crate::measure::{Better, Measure};
use crate::model::Model;
use crate::stats::Results;
use crate::study::experiment::{WORST_PLANNED, WORST_WAY_BACK};

/// How the difference to the best architecture stands.
struct Gap<'a> {
    name: &'a str,
    /// other less best, if estimable
    difference: Option<f64>,
    /// the 95 % interval of the paired difference excludes 0
    clear: bool,
}

/// One sentence on column `c`: the best, whom it clearly beats and by how much, whom it does not.
pub(super) fn sentence(model: &Model, results: &Results, c: usize, m: &Measure) -> String {
    let means: Vec<Option<f64>> =
        (0..model.arms.len()).map(|a| results.estimate(a, c).mean).collect();
    let sign = if m.better == Better::High { -1.0 } else { 1.0 };
    let rank = |a: &usize| means[*a].map_or(f64::INFINITY, |x| x * sign);
    let known = (0..means.len()).filter(|a| means[*a].is_some());
    let Some(best) = known.min_by(|a, b| rank(a).total_cmp(&rank(b))) else {
        return format!("{}: not estimable.", m.name);
    };
    if means.iter().all(|x| *x == Some(0.0)) {
        return format!("{}: none seen with any architecture.", m.name);
    }
    let others = others(model, results, best, c);
    if !others.iter().any(|g| g.clear) {
        return format!("{}: no clear difference.", m.name);
    }
    let word = if m.better == Better::High { "highest" } else { "lowest" };
    let value = match means[best] {
        Some(0.0) => "none seen".to_string(),
        Some(x) if m.unit.is_empty() => figure(x),
        Some(x) => format!("{} {}", figure(x), m.unit),
        None => String::new(),
    };
    format!("{}: {word} with {} ({value}){}.", m.name, model.arms[best].name, against(&others))
}

/// The other architectures, nearest first.
fn others<'a>(model: &'a Model, results: &Results, best: usize, c: usize) -> Vec<Gap<'a>> {
    let mut gaps: Vec<Gap> = (0..model.arms.len())
        .filter(|other| *other != best)
        .map(|other| gap(model, results, best, other, c))
        .collect();
    let size = |g: &Gap| g.difference.map_or(f64::INFINITY, f64::abs);
    gaps.sort_by(|a, b| size(a).total_cmp(&size(b)));
    gaps
}

fn gap<'a>(model: &'a Model, results: &Results, best: usize, other: usize, c: usize) -> Gap<'a> {
    let (reference, later) = (best.min(other), best.max(other));
    let sign = if best < other { 1.0 } else { -1.0 };
    let d = results.compare(reference, later, c);
    let clear = d.low.is_some_and(|l| l > 0.0) || d.high.is_some_and(|h| h < 0.0);
    Gap { name: &model.arms[other].name, difference: d.difference.map(|x| x * sign), clear }
}

/// Those that clearly differ, by how much; and that the rest does not.
fn against(others: &[Gap]) -> String {
    let clear: Vec<String> = others
        .iter()
        .filter(|g| g.clear)
        .filter_map(|g| Some(format!("{} {}", g.name, signed(g.difference?))))
        .collect();
    let rest = match others.len() - clear.len() {
        0 => "",
        1 => "; the other not clear",
        _ => "; others not clear",
    };
    format!("; {}{rest}", clear.join(", "))
}

/// Smallest margin of an architecture, planned ingress and ways back apart, minutes; `None` if there
/// was no such ingress. A miss is below every number.
pub(super) fn least_margin(results: &Results, arm: usize, way_back: bool) -> Option<f64> {
    let k = if way_back { WORST_WAY_BACK } else { WORST_PLANNED };
    results.extremes.get(arm, k).map(|(_, x)| x)
}

/// The command that tells the campaign of an architecture in which somebody was missed or came
/// closest to it. `seed` is the one to be named, if the file does not hold it.
pub(super) fn replay(
    model: &Model,
    results: &Results,
    arm: usize,
    file: &str,
    seed: Option<u64>,
) -> String {
    let name = &model.arms[arm].name;
    let found = [(WORST_WAY_BACK, "a way back"), (WORST_PLANNED, "planned ingress")];
    let found = found.map(|(k, by)| results.extremes.get(arm, k).map(|(k, x)| (k, x, by)));
    let least = found.into_iter().flatten().min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((campaign, margin, by)) = least else {
        return format!("{name}: nobody went out");
    };
    let seed = seed.map_or(String::new(), |s| format!(" --seed {s}"));
    let command = format!(
        "vestibule replay {} --architecture {} --campaign {campaign}{seed}",
        quoted(file),
        quoted(name)
    );
    // The reason only where it fits: the command must stay in one piece.
    let with_reason = format!("{command}  # {}", margin_words(margin, by));
    if with_reason.chars().count() + 2 <= WIDTH { with_reason } else { command }
}

fn margin_words(margin: f64, by: &str) -> String {
    if margin == f64::NEG_INFINITY {
        return "missed".into();
    }
    if margin < 0.0 {
        return format!("{by}, {:.0} min late", -margin);
    }
    format!("{by}, {margin:.0} min left")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_in_words() {
        assert_eq!(margin_words(f64::NEG_INFINITY, "a way back"), "missed");
        assert_eq!(margin_words(-38.2, "a way back"), "a way back, 38 min late");
        assert_eq!(margin_words(52.6, "planned ingress"), "planned ingress, 53 min left");
    }

    #[test]
    fn what_is_clear_stands_apart_from_what_is_not() {
        let gap = |name, difference, clear| Gap { name, difference, clear };
        let gaps = [gap("a", Some(1.5), true), gap("b", Some(0.1), false), gap("c", None, false)];
        assert_eq!(against(&gaps), "; a +1.50; others not clear");
        assert_eq!(against(&gaps[..1]), "; a +1.50");
        assert_eq!(against(&gaps[..2]), "; a +1.50; the other not clear");
    }
}
