//! Which measures moved, and which by more than chance.

use super::FALSE_ALARM;
use super::pairs::{Pairs, Seen};
use crate::measure::{Kind, MEASURES, Measure};
use crate::report::book::{Book, Estimate};
use crate::report::digits::Digits;
use crate::stats::beta::student_t;
use crate::stats::shift::{self, Spread};
use serde::Serialize;

/// What 95 % intervals leave outside.
const OUTSIDE: f64 = 0.05;

/// How sure a change is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sure {
    /// The numbers are the same.
    Same,
    /// More than chance.
    BeyondChance,
    /// No more than chance.
    WithinChance,
    /// It cannot be told; the note says why.
    Unknown,
}

/// A measure of an architecture, before and after.
#[derive(Clone, Debug, Serialize)]
pub struct Moved {
    /// architecture
    pub architecture: String,
    /// measure
    pub measure: &'static str,
    /// unit
    pub unit: &'static str,
    /// mean before
    pub old: Option<f64>,
    /// mean after
    pub new: Option<f64>,
    /// after less before
    pub difference: Option<f64>,
    /// lower limit of its 95 % interval
    pub low95: Option<f64>,
    /// upper limit of its 95 % interval
    pub high95: Option<f64>,
    /// chance of a difference at least as large if nothing had changed, this measure alone
    pub p_value: Option<f64>,
    /// the test
    pub test: &'static str,
    /// what follows, all comparisons looked at together
    pub sure: Sure,
    /// why something is missing
    pub note: String,
}

impl Moved {
    /// Before, after and their difference with its limits as people read them: digits end at the first
    /// digit of the half-width of the interval. Limits are missing where there are none.
    pub(super) fn shown(&self) -> ([String; 3], Option<[String; 2]>) {
        let digits = Digits::of_interval(self.difference.unwrap_or(0.0), self.low95, self.high95);
        let show = |x: f64| digits.show(x);
        let number = |x: Option<f64>| x.map_or("-".to_string(), show);
        let sign = if self.difference.is_some_and(|x| x > 0.0) { "+" } else { "" };
        let difference = format!("{sign}{}", number(self.difference));
        let limits = self.low95.zip(self.high95).filter(|(l, h)| l != h);
        let limits = limits.map(|(l, h)| [show(l), show(h)]);
        ([number(self.old), number(self.new), difference], limits)
    }
}

/// Every measure of every architecture that both have.
pub(super) fn moved(books: &[Book; 2], pairs: Option<&Pairs>) -> Vec<Moved> {
    let mut out = Vec::new();
    for arm in books[0].arms().iter().filter(|a| books[1].arms().contains(a)) {
        for m in MEASURES {
            let of = |b: &Book| b.estimate(arm, m.name);
            let (Some(old), Some(new)) = (of(&books[0]), of(&books[1])) else { continue };
            let seen = pairs.and_then(|p| p.get(arm, m.name));
            let sets = books.iter().any(|b| b.manifest.inner.is_some());
            out.push(one(arm, m, [old, new], seen, sets));
        }
    }
    let chances: Vec<f64> = out.iter().filter_map(|m| m.p_value).collect();
    let mut beyond = shift::stand_out(&chances, FALSE_ALARM).into_iter();
    for m in out.iter_mut().filter(|m| m.p_value.is_some()) {
        let beyond = beyond.next().unwrap_or(false);
        m.sure = match (beyond, m.sure) {
            (_, Sure::Same) => Sure::Same,
            (true, _) => Sure::BeyondChance,
            (false, _) => Sure::WithinChance,
        };
    }
    out
}

/// What a test gives: difference, limits, chance, its name.
type Tested = Option<(f64, Option<(f64, f64)>, f64, &'static str)>;

fn one(arm: &str, m: &Measure, both: [Estimate; 2], seen: Option<&Seen>, sets: bool) -> Moved {
    let [old, new] = &both;
    let flag = m.kind == Kind::Flag && !sets;
    let tested = match seen {
        Some(s) if s.lone == 0 => paired(s, flag, &both),
        _ => independent(&both, flag),
    };
    // Equal campaign by campaign, or as far as the summary tells. Of a number that no campaign moves
    // (both intervals have no width) the last digits are the order of sums, and no change.
    let rounded = fixed(old) && fixed(new) && near(old.mean, new.mean);
    let equal = rounded
        || match seen {
            Some(s) => s.differ == 0 && s.lone == 0 && old.mean == new.mean,
            None => old == new,
        };
    let mut out = Moved {
        architecture: arm.into(),
        measure: m.name,
        unit: m.unit,
        old: old.mean,
        new: new.mean,
        difference: old.mean.zip(new.mean).map(|(a, b)| b - a),
        low95: None,
        high95: None,
        p_value: None,
        test: "",
        sure: if equal { Sure::Same } else { Sure::Unknown },
        note: String::new(),
    };
    match tested {
        Some((difference, limits, p, test)) => {
            out.difference = Some(difference);
            (out.low95, out.high95) = limits.map_or((None, None), |(l, h)| (Some(l), Some(h)));
            out.p_value = Some(if rounded { 1.0 } else { p });
            out.test = test;
        }
        None if out.difference.is_none() => out.note = "not estimable in both".into(),
        None => out.note = "no interval in both, or too few campaigns".into(),
    }
    if let Some(s) = seen.filter(|s| s.lone > 0) {
        out.note = format!("{} campaigns have a value in one folder only: not paired", s.lone);
    }
    out
}

/// Is it the same in every campaign, as far as rounding lets it?
fn fixed(e: &Estimate) -> bool {
    near(e.low, e.high)
}

/// Two numbers that rounding alone may part: closer than 1e-12 of their size.
fn near(a: Option<f64>, b: Option<f64>) -> bool {
    a.zip(b).is_some_and(|(a, b)| (a - b).abs() <= 1e-12 * a.abs().max(b.abs()))
}

/// Campaign by campaign.
fn paired(s: &Seen, flag: bool, both: &[Estimate; 2]) -> Tested {
    let around = |gap: f64, error: f64, n: u64| {
        let half = student_t((n - 1) as f64, OUTSIDE) * error;
        Some((gap - half, gap + half))
    };
    if let Some(co) = &s.ratio {
        let (gap, error, p) = shift::paired_ratios(co)?;
        return Some((gap, around(gap, error, co.n), p, "paired ratio of sums"));
    }
    let d = &s.difference;
    let p = shift::paired(d)?;
    if flag {
        let (up, down) = s.flags;
        let n = d.n as f64;
        let limits = match up + down {
            0 => None,
            differ => Some(crate::stats::interval::paired_flags(up, differ, n, OUTSIDE)),
        };
        return Some((d.mean, limits, shift::paired_flags(up, down), "exact, paired flags"));
    }
    // A ratio of which only the ratio of each campaign is kept is no mean of them.
    let (old, new) = (both[0].mean?, both[1].mean?);
    if (new - old - d.mean).abs() > 1e-9 * (old.abs() + new.abs() + d.mean.abs()) {
        return independent(both, false);
    }
    Some((d.mean, around(d.mean, d.standard_error()?, d.n), p, "paired Student t"))
}

/// From the two summaries alone.
fn independent(both: &[Estimate; 2], flag: bool) -> Tested {
    let spread = |e: &Estimate| {
        let (mean, low, high, n) = (e.mean?, e.low?, e.high?, e.n? as u64);
        let freedom = n.checked_sub(1).filter(|f| *f > 0)? as f64;
        Some(Spread { mean, error: 0.5 * (high - low) / student_t(freedom, OUTSIDE), n })
    };
    let spreads = [spread(&both[0])?, spread(&both[1])?];
    let (gap, error, p) = shift::independent(spreads[0], spreads[1])?;
    let freedom = (spreads[0].n + spreads[1].n - 2) as f64;
    let half = student_t(freedom, OUTSIDE) * error;
    let limits = Some((gap - half, gap + half));
    if flag {
        let counts = spreads.map(|s| ((s.mean * s.n as f64).round() as u64, s.n));
        let p = shift::independent_flags(counts[0], counts[1]);
        return Some((gap, limits, p, "Fisher's exact"));
    }
    Some((gap, limits, p, "Welch's t"))
}
