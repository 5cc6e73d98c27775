//! What differs between architectures and what does not, and which campaigns are worth replaying.

use super::digits::{Digits, scaled};
use super::figures::quoted;
use super::places::ranks;
use super::terminal::Asked;
use crate::measure::Measure;
use crate::measure::glossary::{CONTINGENCY, EVEN, NOT_REACHED, REMAINING, title};
use crate::model::Model;
use crate::stats::{Estimate, Results};
use crate::study::experiment::{WORST_PLANNED, WORST_WAY_BACK};

/// How the difference to the best architecture stands.
struct Gap<'a> {
    name: &'a str,
    /// other less best with the limits of its 95 % interval, if estimable
    difference: Option<[f64; 3]>,
    /// the 95 % interval of the paired difference excludes 0
    apart: bool,
}

/// One sentence on column `c`: the best, from whom it stands apart and by how much, from whom not.
pub(super) fn sentence(model: &Model, results: &Results, c: usize, m: &Measure) -> String {
    let estimates: Vec<Estimate> = (0..model.arms.len()).map(|a| results.estimate(a, c)).collect();
    let means: Vec<Option<f64>> = estimates.iter().map(|e| e.mean).collect();
    if means.iter().all(Option::is_none) {
        return format!("{}: it is not estimable.", m.title);
    }
    if estimates.iter().all(|e| e.mean == Some(0.0)) {
        return format!("{}: none seen with any architecture.", m.title);
    }
    let (best, _) = ranks(&means, m.sense(), |best, a| apart(results, best, a, c));
    let Some(best) = best else {
        return format!("{}: no difference from the best excludes 0.", m.title);
    };
    let others = others(model, results, best, c);
    let e = &estimates[best];
    let value = e.mean.map_or(String::new(), |x| {
        let [x, low, high] = [Some(x), e.low, e.high].map(|x| x.map(|x| scaled(m, x)));
        let x = x.unwrap_or_default();
        let shown = Digits::of_interval(x, low, high).show(x);
        format!("{shown} {}", m.shown_unit()).trim_end().to_string()
    });
    let name = &model.arms[best].name;
    format!("{}: {name} is best with {value}; {}.", m.title, against(&others, m))
}

/// The other architectures, nearest first.
fn others<'a>(model: &'a Model, results: &Results, best: usize, c: usize) -> Vec<Gap<'a>> {
    let mut gaps: Vec<Gap> = (0..model.arms.len())
        .filter(|other| *other != best)
        .map(|other| gap(model, results, best, other, c))
        .collect();
    let size = |g: &Gap| g.difference.map_or(f64::INFINITY, |d| d[0].abs());
    gaps.sort_by(|a, b| size(a).total_cmp(&size(b)));
    gaps
}

fn gap<'a>(model: &'a Model, results: &Results, best: usize, other: usize, c: usize) -> Gap<'a> {
    let (reference, later) = (best.min(other), best.max(other));
    let sign = if best < other { 1.0 } else { -1.0 };
    let d = results.compare(reference, later, c);
    let apart = apart(results, best, other, c);
    let difference = match (d.difference, d.low, d.high) {
        (Some(x), Some(l), Some(h)) => Some([sign * x, sign * l, sign * h]),
        _ => None,
    };
    Gap { name: &model.arms[other].name, difference, apart }
}

/// Does the 95 % interval of the paired difference of two architectures exclude 0?
pub(super) fn apart(results: &Results, one: usize, other: usize, c: usize) -> bool {
    let d = results.compare(one.min(other), one.max(other), c);
    d.low.is_some_and(|l| l > 0.0) || d.high.is_some_and(|h| h < 0.0)
}

/// Those that stand apart, by how much; and that the rest does not.
fn against(others: &[Gap], m: &Measure) -> String {
    let told = |g: &Gap| {
        let [x, low, high] = g.difference?.map(|x| scaled(m, x));
        let half = (high - low).abs() / 2.0;
        let sign = if x > 0.0 { "+" } else { "" };
        Some(format!("{} has {sign}{}", g.name, Digits::of(x, Some(half)).show(x)))
    };
    let apart: Vec<String> = others.iter().filter(|g| g.apart).filter_map(told).collect();
    let rest: Vec<&str> = others.iter().filter(|g| !g.apart).map(|g| g.name).collect();
    let rest = match rest.as_slice() {
        [] => String::new(),
        [one] => format!("; {one} is {}", title(EVEN)),
        many => format!("; {} are {}", many.join(", "), title(EVEN)),
    };
    format!("{}{rest}", apart.join(", "))
}

/// Smallest margin of an architecture, planned ingress and ways back apart, minutes; `None` if there
/// was no such ingress. A miss is below every number.
pub(super) fn least_margin(results: &Results, arm: usize, way_back: bool) -> Option<f64> {
    let k = if way_back { WORST_WAY_BACK } else { WORST_PLANNED };
    results.extremes.get(arm, k).map(|(_, x)| x)
}

/// Campaign with the smallest margin of an architecture, the margin and by which ingress.
fn nearest(results: &Results, arm: usize) -> Option<(u64, f64, &'static str)> {
    let contingency = title(CONTINGENCY);
    let found = [(WORST_WAY_BACK, contingency), (WORST_PLANNED, "planned ingress")];
    let found = found.map(|(k, by)| results.extremes.get(arm, k).map(|(k, x)| (k, x, by)));
    found.into_iter().flatten().min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The architecture in which it came closest.
pub(super) fn closest(model: &Model, results: &Results) -> Option<usize> {
    let of = |a: usize| Some((a, nearest(results, a)?.1));
    let all = (0..model.arms.len()).filter_map(of);
    all.min_by(|x, y| x.1.total_cmp(&y.1)).map(|(a, _)| a)
}

/// How near an architecture came to a safe haven that is not reached in time, and the command that
/// tells that campaign.
pub(super) fn replay(model: &Model, results: &Results, arm: usize, asked: Asked) -> String {
    let name = &model.arms[arm].name;
    let Some((campaign, margin, by)) = nearest(results, arm) else {
        return format!("{name}: nobody went out\n");
    };
    let seed = asked.seed.map_or(String::new(), |s| format!(" --seed {s}"));
    let why = format!("Replay {name}: {}", margin_words(margin, by));
    let command = format!(
        "vestibule replay {} --architecture {} --campaign {campaign}{seed}",
        quoted(asked.file),
        quoted(name)
    );
    let width = asked.screen.width;
    // Where it does not fit it goes on as a shell takes it.
    let command = match command.chars().count() + 2 <= width {
        true => command,
        false => command.replacen(" --architecture", " \\\n    --architecture", 1),
    };
    format!("{}  {command}\n", asked.screen.wrap(&why, "", "  "))
}

fn margin_words(margin: f64, by: &str) -> String {
    if margin == f64::NEG_INFINITY {
        return title(NOT_REACHED).into();
    }
    if margin < 0.0 {
        return format!("{by} {:.0} min after life support ended", -margin);
    }
    format!("{by}, {margin:.0} min of {}", title(REMAINING))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::measure;

    #[test]
    fn margins_in_words() {
        assert_eq!(margin_words(f64::NEG_INFINITY, "x"), "safe haven not reached");
        assert_eq!(margin_words(-38.2, "x"), "x 38 min after life support ended");
        assert_eq!(margin_words(52.6, "x"), "x, 53 min of consumables remaining");
    }

    #[test]
    fn what_stands_apart_and_what_does_not() {
        let gap = |name, difference, apart| Gap { name, difference, apart };
        let gaps = [
            gap("a", Some([15.2, 12.0, 18.4]), true),
            gap("b", Some([0.1, -1.0, 1.2]), false),
            gap("c", None, false),
        ];
        let m = measure("gas_lost_kg").unwrap();
        let even = "not distinguishable from the best";
        assert_eq!(against(&gaps, m), format!("a has +15; b, c are {even}"));
        assert_eq!(against(&gaps[..1], m), "a has +15");
        assert_eq!(against(&gaps[..2], m), format!("a has +15; b is {even}"));
    }
}
