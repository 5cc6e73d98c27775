//! `requirements.csv`: every limit of the campaign file against the estimate with its interval: met,
//! not met, or undecided with so many campaigns.

use super::columns;
use super::digits::Digits;
use super::folded::architectures;
use super::screen::Screen;
use super::table::{Cell, Table};
use crate::measure::{MEASURES, Measure};
use crate::model::{Limit, Model};
use crate::scenario::{Statistic, Vocabulary};
use crate::stats::interval::{OUTSIDE, clopper_pearson};
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

    /// The whole of it: "gas lost below 400 kg".
    pub(super) fn in_words(&self) -> String {
        let statistic = match self.statistic {
            Statistic::Mean => String::new(),
            other => format!("{} of ", other.word()),
        };
        format!("{statistic}{} {}", self.measure().title, self.asks())
    }

    /// As short as it can be: "< 400 kg".
    pub(super) fn in_short(&self) -> String {
        let statistic = match self.statistic {
            Statistic::Mean => String::new(),
            other => format!("{} ", other.word()),
        };
        format!("{statistic}{} {}", if self.below { "<" } else { ">" }, self.written)
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

/// An interval wholly on the right side meets a limit, wholly on the wrong side breaks it; the other
/// end need not be known for that. What touches the bound is not below (or above) it.
fn verdict([_, low, high]: [Option<f64>; 3], bound: f64, below: bool) -> Verdict {
    let (met, broken) = match below {
        true => (high.is_some_and(|h| h < bound), low.is_some_and(|l| l >= bound)),
        false => (low.is_some_and(|l| l > bound), high.is_some_and(|h| h <= bound)),
    };
    match (met, broken) {
        (true, _) => Verdict::Met,
        (_, true) => Verdict::NotMet,
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
    // With an outer loop the interval counts parameter sets.
    let sets = e.n_used < n;
    let flag = limit.measure().kind == crate::measure::Kind::Flag
        && limit.statistic == Statistic::Mean
        && limit.bound > 0.0
        && limit.bound < 1.0;
    if flag && limit.below && x == 0.0 {
        // The upper limit of a share that was not seen in n campaigns is 1 - 0.05^(1/n).
        let units = 0.05_f64.ln() / (-limit.bound).ln_1p();
        let each = n as f64 / e.n_used.max(1) as f64;
        return (Some((units.ceil() * each).ceil() as u64), "if none is seen in as many");
    }
    if flag && !sets && x > 0.0 && x < 1.0 {
        return match exact(x, limit.bound, limit.below, e.n_used) {
            Some(needed) => (Some(needed), "exact interval, if the share stays the same"),
            None => (None, "the estimate stands at the bound"),
        };
    }
    let side = if x < limit.bound { high } else { low };
    let gap = (limit.bound - x).abs();
    match side {
        Some(side) if gap > 0.0 && (side - x).abs() > 0.0 => {
            let needed = n as f64 * ((side - x) / gap).powi(2);
            (Some(needed.ceil() as u64), "if the estimate stays the same")
        }
        Some(_) => (None, "the estimate stands at the bound"),
        None => (None, "no interval"),
    }
}

/// Most campaigns that are looked at.
const MOST: u64 = 1 << 50;

/// The least number of campaigns at which the exact interval of a share that stays at `x` leaves out
/// `bound`; `n` are not enough. Limits close in on the share as campaigns are added.
fn exact(x: f64, bound: f64, below: bool, n: u64) -> Option<u64> {
    let decided = |n: u64| {
        let (low, high) = clopper_pearson(x * n as f64, n as f64, OUTSIDE);
        verdict([Some(x), Some(low), Some(high)], bound, below) != Verdict::Undecided
    };
    let (mut no, mut yes) = (n, n.max(1));
    while !decided(yes) {
        no = yes;
        yes = yes.checked_mul(2).filter(|n| *n <= MOST)?;
    }
    while yes - no > 1 {
        let middle = no + (yes - no) / 2;
        if decided(middle) { yes = middle } else { no = middle }
    }
    Some(yes)
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

/// The sentences of the summary: which architectures break a limit, or leave it undecided, and which
/// meet all of them.
pub(super) fn limit_lines(model: &Model, judged: &[Judged], screen: Screen) -> String {
    if judged.is_empty() {
        return String::new();
    }
    let names: Vec<&str> = model.arms.iter().map(|a| a.name.as_str()).collect();
    let told = |verdict: Verdict| {
        let one = |l: &Limit| {
            let own = judged.iter().filter(|j| j.limit.name == l.name && j.verdict == verdict);
            let own: Vec<&str> = own.map(|j| names[j.arm]).collect();
            let by = match own.len() {
                n if n == names.len() => "all".to_string(),
                _ => architectures(&own, &names),
            };
            (!own.is_empty()).then(|| format!("{} by {by}", l.name))
        };
        let limits: Vec<String> = model.review.limits.iter().filter_map(one).collect();
        if limits.is_empty() { "none".into() } else { limits.join("; ") }
    };
    let (broken, open) = (told(Verdict::NotMet), told(Verdict::Undecided));
    let text = format!("Limits that are not met: {broken}. Undecided: {open}.");
    screen.wrap(&text, "", "  ")
}

/// Each limit that is not met, in words, with the architectures and their estimates: for a gate.
pub fn broken_limits(model: &Model, judged: &[Judged]) -> Vec<String> {
    let mut out = Vec::new();
    for l in &model.review.limits {
        for verdict in [Verdict::NotMet, Verdict::Undecided] {
            let those = judged.iter().filter(|j| j.limit.name == l.name && j.verdict == verdict);
            let arms: Vec<String> = those.map(|j| j.in_words(&model.arms[j.arm].name)).collect();
            if !arms.is_empty() {
                let (name, asks) = (&l.name, l.in_words());
                out.push(format!("{} ({asks}) is {}: {}", name, verdict.word(), arms.join(", ")));
            }
        }
    }
    out
}

impl Judged<'_> {
    /// An architecture with what its verdict goes by: "dual-chamber 123 (122 to 124)".
    fn in_words(&self, name: &str) -> String {
        let [value, low, high] = self.value;
        let Some(x) = value else { return format!("{name} (not estimable)") };
        let digits = Digits::of_interval(x, low, high);
        let ends = match (low, high) {
            (Some(l), Some(h)) => format!(" ({} to {})", digits.show(l), digits.show(h)),
            _ => String::new(),
        };
        let decide = match self.decide {
            Some(n) => format!(", some {n} campaigns decide it"),
            None => String::new(),
        };
        format!("{name} {}{ends}{decide}", digits.show(x))
    }
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
        assert_eq!(verdict([Some(0.0), Some(0.0), None], 2.0, true), Verdict::Undecided);
        assert_eq!(verdict([Some(3.0), Some(2.5), None], 2.0, true), Verdict::NotMet);
    }

    fn limit(measure: &str, bound: f64) -> Limit {
        Limit {
            name: "l".into(),
            column: MEASURES.iter().position(|m| m.name == measure).unwrap(),
            statistic: Statistic::Mean,
            below: true,
            bound,
            written: String::new(),
            arms: vec![0],
        }
    }

    fn seen(mean: f64, high: f64, n_used: u64) -> Estimate {
        let (low, high) = (Some(0.0), Some(high));
        let (method, note, quantiles) = ("", String::new(), Vec::new());
        let (mean, sd, min, max) = (Some(mean), None, None, None);
        Estimate { mean, low, high, sd, quantiles, min, max, n_used, method, note }
    }

    /// A share that was never seen in n campaigns is below 3 / n (rule of three, common practice): for
    /// 1e-4 some 30 000, exactly ln 0.05 / ln(1 - 1e-4) = 29 955.8.
    #[test]
    fn campaigns_that_would_decide_a_chance_never_seen() {
        let l = limit("campaign_haven_missed", 1e-4);
        let value = [Some(0.0), Some(0.0), Some(0.003)];
        assert_eq!(decide(&l, &seen(0.0, 0.003, 1000), value, 1000).0, Some(29_956));
        // 1000 campaigns in 100 sets of 10: as many whole sets.
        assert_eq!(decide(&l, &seen(0.0, 0.03, 100), value, 1000).0, Some(299_560));
    }

    /// Two events in 500 campaigns, limit 0.01. The limit lies on the exact interval of k events in 250 k
    /// campaigns where the sum of binomial terms P(at most k of 250 k) is 0.025: between two whole k. The
    /// root of n, which intervals obey for many events, is off.
    #[test]
    fn campaigns_that_would_decide_a_chance_of_few_events() {
        let at_most = |k: u32, n: u32, p: f64| {
            let (mut term, mut sum) = ((f64::from(n) * (-p).ln_1p()).exp(), 0.0);
            for i in 0..=k {
                sum += term;
                term *= f64::from(n - i) / f64::from(i + 1) * p / (1.0 - p);
            }
            sum
        };
        let l = limit("campaign_haven_missed", 0.01);
        let high = clopper_pearson(2.0, 500.0, OUTSIDE).1;
        let value = [Some(0.004), Some(0.0), Some(high)];
        let needed = decide(&l, &seen(0.004, high, 500), value, 500).0.unwrap();
        let sum = |k: u32| at_most(k, 250 * k, 0.01);
        let first = (2..100).find(|k| sum(*k) < 0.025).unwrap();
        let range = u64::from(250 * (first - 1))..=u64::from(250 * first);
        assert!(range.contains(&needed), "{needed} is not in {range:?}");
        let root = (500.0 * ((high - 0.004) / 0.006_f64).powi(2)).ceil() as u64;
        assert!(root > needed && !range.contains(&root), "{root} against {needed}");
        // Of a limit that asks for more it is the mirror image.
        assert!(exact(0.004, 0.01, true, 500) == Some(needed));
        assert_eq!(exact(0.996, 0.99, false, 500), Some(needed));
        assert_eq!(exact(0.01, 0.01, true, 500), None);
    }

    /// An interval that reaches 50 beyond the estimate, a bound 25 beyond it: half as wide with four
    /// times the campaigns.
    #[test]
    fn campaigns_that_would_decide_a_mean() {
        let l = limit("gas_lost_kg", 125.0);
        let e = seen(100.0, 150.0, 100);
        let value = [Some(100.0), Some(50.0), Some(150.0)];
        assert_eq!(decide(&l, &e, value, 100).0, Some(400));
        assert_eq!(decide(&limit("gas_lost_kg", 100.0), &e, value, 100).0, None);
    }
}
