//! `requirements.csv`: every limit of the campaign file against the estimate with its interval: met,
//! not met, or undecided with so many campaigns.

use super::columns;
use super::figures::wrapped;
use super::table::{Cell, Table};
use crate::measure::{MEASURES, Measure};
use crate::model::{Limit, Model};
use crate::scenario::{Statistic, Vocabulary};
use crate::stats::{Estimate, Results};

/// How a limit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The whole interval keeps it.
    Met,
    /// The whole interval breaks it.
    NotMet,
    /// The interval holds the bound, or there is none.
    Undecided,
}

impl Verdict {
    /// As it stands in the file.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::Undecided => "undecided",
        }
    }
}

/// A limit against one architecture.
#[derive(Clone, Debug)]
pub struct Judged<'m> {
    /// The limit.
    pub limit: &'m Limit,
    /// Index of the architecture.
    pub arm: usize,
    /// The statistic and the limits of its interval.
    pub value: [Option<f64>; 3],
    /// The verdict.
    pub verdict: Verdict,
    /// Campaigns that would decide it.
    pub decide: Option<u64>,
    n_used: u64,
    method: &'static str,
    note: String,
}

impl Limit {
    fn measure(&self) -> &'static Measure {
        &MEASURES[self.column]
    }

    /// What it asks for: "below 400 kg".
    fn asks(&self) -> String {
        format!("{} {}", if self.below { "below" } else { "above" }, self.written)
    }
}

/// Every limit against every architecture it holds for, in file order.
pub fn judged<'m>(model: &'m Model, results: &Results) -> Vec<Judged<'m>> {
    let limits = model.review.limits.iter();
    limits.flat_map(|l| l.arms.iter().map(move |a| judge(l, *a, results))).collect()
}

fn judge<'m>(limit: &'m Limit, arm: usize, results: &Results) -> Judged<'m> {
    let e = results.estimate(arm, limit.column);
    let (value, method, note) = statistic(&e, limit.statistic);
    let verdict = verdict(value, limit.bound, limit.below);
    let (decide, why) = match verdict {
        Verdict::Undecided => decide(limit, &e, value, results.campaigns()),
        _ => (None, ""),
    };
    let notes: Vec<&str> = [note.as_str(), why].into_iter().filter(|n| !n.is_empty()).collect();
    Judged { limit, arm, value, verdict, decide, n_used: e.n_used, method, note: notes.join("; ") }
}

/// The statistic of a limit with its interval, how it was had, and what a reader has to know.
fn statistic(e: &Estimate, s: Statistic) -> ([Option<f64>; 3], &'static str, String) {
    let quantile = |i: usize| {
        let q = e.quantiles.get(i);
        let value = [q.and_then(|q| q.value), q.and_then(|q| q.low), q.and_then(|q| q.high)];
        (value, "order statistics of campaigns", q.map_or(String::new(), |q| q.note.clone()))
    };
    match s {
        Statistic::Mean => {
            // Quantiles, of which the note may speak, are not in this row.
            let parts = e.note.split("; ").filter(|n| !n.contains("quantile"));
            ([e.mean, e.low, e.high], e.method, parts.collect::<Vec<_>>().join("; "))
        }
        Statistic::P05 => quantile(0),
        Statistic::P50 => quantile(1),
        Statistic::P95 => quantile(2),
        Statistic::P99 => quantile(3),
    }
}

/// An interval wholly on the right side meets a limit, wholly on the wrong side breaks it. What
/// touches the bound is not below (or above) it.
fn verdict([_, low, high]: [Option<f64>; 3], bound: f64, below: bool) -> Verdict {
    let keeps = |x: f64| if below { x < bound } else { x > bound };
    match (low, high) {
        (Some(l), Some(h)) if keeps(l) && keeps(h) => Verdict::Met,
        (Some(l), Some(h)) if !keeps(l) && !keeps(h) => Verdict::NotMet,
        _ => Verdict::Undecided,
    }
}

/// About how many campaigns would decide it if the estimate stayed where it is: intervals shrink
/// with the root of the number. Where nothing was seen, as many as bring the upper limit to the
/// bound.
fn decide(
    limit: &Limit,
    e: &Estimate,
    [value, low, high]: [Option<f64>; 3],
    n: u64,
) -> (Option<u64>, &'static str) {
    let Some(x) = value else {
        return (None, "not estimable");
    };
    let flag = limit.measure().kind == crate::measure::Kind::Flag;
    if flag && limit.below && e.mean == Some(0.0) && limit.bound > 0.0 && limit.bound < 1.0 {
        // The upper limit of a share that was not seen in n campaigns is 1 - 0.05^(1/n).
        let needed = 0.05_f64.ln() / (-limit.bound).ln_1p();
        return (Some(needed.ceil() as u64), "if none is seen in as many");
    }
    let side = if x < limit.bound { high } else { low };
    let gap = (limit.bound - x).abs();
    match side {
        Some(side) if gap > 0.0 && (side - x).abs() > 0.0 => {
            let needed = n as f64 * ((side - x) / gap).powi(2);
            (Some(needed.ceil() as u64), "if the estimate stays where it is")
        }
        Some(_) => (None, "the estimate stands at the bound"),
        None => (None, "no interval"),
    }
}

/// `requirements.csv`
pub fn requirements(model: &Model, judged: &[Judged]) -> Table {
    let mut t = Table::new(columns::REQUIREMENTS);
    for j in judged {
        let [value, low, high] = j.value.map(Cell::maybe);
        t.push(vec![
            Cell::text(&model.arms[j.arm].name),
            Cell::text(&j.limit.name),
            Cell::text(j.limit.measure().name),
            Cell::text(j.limit.statistic.word()),
            Cell::Free(j.limit.asks()),
            value,
            low,
            high,
            Cell::text(j.verdict.word()),
            j.decide.map_or(Cell::Empty, Cell::Whole),
            Cell::Whole(j.n_used),
            Cell::text(j.method),
            Cell::text(&j.note),
        ]);
    }
    t
}

/// The lines of the summary: a line for each limit.
pub(super) fn limit_lines(model: &Model, judged: &[Judged]) -> String {
    if judged.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nLimits\n");
    for l in &model.review.limits {
        let of = |v: Verdict| -> Vec<String> {
            let those = judged.iter().filter(|j| j.verdict == v && j.limit.name == l.name);
            those.map(|j| told(model, j)).collect()
        };
        let mut parts = Vec::new();
        let all = l.arms.len();
        for v in [Verdict::Met, Verdict::NotMet, Verdict::Undecided] {
            let names = of(v);
            match (names.len(), v) {
                (0, _) => {}
                (n, Verdict::Met) if n == all && n > 1 => parts.push("met by all".to_string()),
                (n, Verdict::NotMet) if n == all && n > 1 => parts.push("met by none".to_string()),
                _ => parts.push(format!("{} {}", v.word(), names.join(", "))),
            }
        }
        let statistic = match l.statistic {
            Statistic::Mean => String::new(),
            s => format!("{} ", s.word()),
        };
        let line = format!(
            "{} ({} {statistic}{}): {}.",
            l.name,
            l.measure().name,
            l.asks(),
            parts.join("; ")
        );
        out.push_str(&wrapped(&line));
    }
    out
}

/// An architecture, with the number of campaigns that would decide it.
fn told(model: &Model, j: &Judged) -> String {
    let name = &model.arms[j.arm].name;
    match j.decide {
        Some(n) => format!("{name} (about {} campaigns decide)", rounded(n)),
        None => name.clone(),
    }
}

/// Two digits are more than such a guess is worth.
fn rounded(n: u64) -> u64 {
    let unit = 10u64.pow(n.max(1).ilog10().saturating_sub(1));
    n.div_ceil(unit) * unit
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdicts_go_by_the_whole_interval() {
        let of = |low, high, below| verdict([Some(1.0), Some(low), Some(high)], 2.0, below);
        assert_eq!(of(0.5, 1.9, true), Verdict::Met);
        assert_eq!(of(0.5, 2.0, true), Verdict::Undecided);
        assert_eq!(of(2.0, 3.0, true), Verdict::NotMet);
        assert_eq!(of(2.1, 3.0, false), Verdict::Met);
        assert_eq!(of(0.5, 2.0, false), Verdict::NotMet);
        assert_eq!([rounded(7), rounded(99), rounded(13_599)], [7, 99, 14_000]);
        assert_eq!(verdict([Some(0.0), Some(0.0), None], 2.0, true), Verdict::Undecided);
    }
}
