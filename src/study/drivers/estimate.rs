//! Importance of an item from its books. Names as reliability engineering uses them: Fussell-Vesely by
//! participation and by removal, risk achievement worth at the next demand, Birnbaum.

use super::books::{ArmBooks, ItemBooks, Outcome, Sums};
use crate::stats::beta::student_t;
use crate::stats::interval::{OUTSIDE, clopper_pearson, none_seen_upper, paired_flags};

/// Differing campaigns below which limits of a difference of 0 or 1 are exact ones.
const FEW: u64 = 30;

/// A value and its 95 % limits.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Value {
    /// Estimate; `None`: not estimable.
    pub value: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
}

impl Value {
    fn of(value: f64, (low, high): (f64, f64)) -> Value {
        Value { value: Some(value), low: Some(low), high: Some(high) }
    }
}

/// Importance of one item for one outcome.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Importance {
    /// Share of the outcome in which it takes part.
    pub participation: Value,
    /// Share of the outcome that goes when it is perfect, net (below 0: it grows); of a redundant thing:
    /// when there is none of it.
    pub removal: Value,
    /// Outcome with it certain at its next demand over outcome.
    pub achievement: Value,
    /// Outcome with it certain at its next demand less outcome with it perfect.
    pub birnbaum: Value,
    /// Campaigns.
    pub n_used: u64,
    /// How the intervals were had.
    pub method: &'static str,
    /// What a reader has to know.
    pub note: String,
}

/// A mean and its limits.
#[derive(Clone, Copy, Debug)]
struct Limits {
    mean: f64,
    low: f64,
    high: f64,
}

impl Limits {
    fn width(&self) -> [f64; 2] {
        [self.mean - self.low, self.high - self.mean]
    }
}

/// Importance of item `i` of an architecture. `lost`: hours are booked by its cause.
pub fn importance(books: &ArmBooks, i: usize, outcome: Outcome, lost: bool) -> Importance {
    match outcome {
        _ if books.items[i].redundant => without(books, &books.items[i], outcome as usize),
        Outcome::Hours => hours(books, &books.items[i], lost),
        _ => flag(books, &books.items[i], outcome as usize),
    }
}

/// Outcomes of 0 or 1.
fn flag(books: &ArmBooks, item: &ItemBooks, o: usize) -> Importance {
    let (n, seen) = (books.all[o].n, books.all[o].up);
    let mut notes: Vec<String> = Vec::new();
    let mut out = Importance { n_used: n, ..Importance::default() };
    if n == 0 {
        out.method = "not estimable";
        out.note = "no campaign".into();
        return out;
    }
    let risk = Limits {
        mean: seen as f64 / n as f64,
        low: clopper_pearson(seen as f64, n as f64, OUTSIDE).0,
        high: clopper_pearson(seen as f64, n as f64, OUTSIDE).1,
    };
    out.method = "exact limits of shares; common random numbers";
    // Absolute drop, for Birnbaum.
    let mut drop = Limits { mean: 0.0, low: 0.0, high: none_seen_upper(n as f64, OUTSIDE) };
    if seen == 0 {
        notes.push("outcome not seen: no share of it".into());
    } else {
        // Of those with the outcome the first ones were looked at, at least some.
        let told = item.part[o].n.max(1);
        let part = item.part[o].up as f64;
        let limits = clopper_pearson(part, told as f64, OUTSIDE);
        out.participation = Value::of(part / told as f64, limits);
        let removal = removal_of_flag(item, o, told as f64, seen as f64);
        out.removal = Value::of(removal.mean, (removal.low, removal.high));
        drop = Limits {
            mean: removal.mean * risk.mean,
            low: removal.low * risk.mean,
            high: removal.high * risk.mean,
        };
        notes.push(format!(
            "{} of {told} averted{}, {} caused in {} of {} others in which it may matter",
            item.drop[o].up,
            if told < seen { format!(" (of {seen} the first)") } else { String::new() },
            item.induced[o].down,
            item.induced[o].n,
            item.without[o]
        ));
    }
    let rise = rise_of_flag(&item.rise[o]);
    achieve(&mut out, item, rise, (risk, Some(drop)), seen > 0, &mut notes);
    out.note = notes.join("; ");
    out
}

/// A redundant thing: what goes when there is none of it (below 0: so much more comes).
fn without(books: &ArmBooks, item: &ItemBooks, o: usize) -> Importance {
    let (all, part) = (&books.all[o], &item.without_it[o]);
    let mut out = Importance { n_used: part.n, ..Importance::default() };
    let mut notes = vec![format!(
        "without it: more in {} and less in {} of {} campaigns",
        part.down, part.up, part.n
    )];
    notes.push("of a redundant part only removal is estimated".into());
    out.method = "not estimable";
    if all.x == 0 || part.n < 2 {
        notes.push("outcome not seen: no share of it".into());
    } else if o == Outcome::Hours as usize {
        if item.turn[o].x > 0 {
            out.method = "linearised ratio; common random numbers";
            out.removal = ratio(part, &item.turn[o]);
        }
    } else {
        out.method = "paired Clopper-Pearson over limits of the risk; common random numbers";
        let (n, seen, m) = (all.n as f64, all.up as f64, part.n as f64);
        let risk = clopper_pearson(seen, n, OUTSIDE);
        let differ = part.up + part.down;
        let (low, high) = match differ {
            0 => (-none_seen_upper(m, OUTSIDE), none_seen_upper(m, OUTSIDE)),
            _ => paired_flags(part.up, differ, m, OUTSIDE),
        };
        let over = |x: f64, out: bool| x / if (x > 0.0) == out { risk.0 } else { risk.1 };
        let limits = (over(low, false), over(high, true));
        out.removal = Value::of(part.x as f64 / m / (seen / n), limits);
    }
    out.note = notes.join("; ");
    out
}

/// Share of the campaigns with the outcome that lose it, less those that get it, over the former.
/// Averted is counted in `told` of the `seen` ones.
fn removal_of_flag(item: &ItemBooks, o: usize, told: f64, seen: f64) -> Limits {
    let averted = item.drop[o].up as f64;
    let induced = &item.induced[o];
    if induced.n == item.without[o] && induced.down == 0 {
        // Nothing was brought about, and it was looked for everywhere.
        let (low, high) = clopper_pearson(averted, told, OUTSIDE);
        return Limits { mean: averted / told, low, high };
    }
    let scale = item.without[o] as f64 / seen;
    let (b, n) = (induced.down as f64, induced.n as f64);
    let up = clopper_pearson(averted, told, 0.5 * OUTSIDE);
    // Where none was played again anything may have been brought about.
    let down = if n > 0.0 { clopper_pearson(b, n, 0.5 * OUTSIDE) } else { (0.0, 1.0) };
    let rate = if n > 0.0 { b / n } else { 0.0 };
    Limits {
        mean: averted / told - scale * rate,
        low: up.0 - scale * down.1,
        high: up.1 - scale * down.0,
    }
}

/// Mean difference of campaigns in which it was certain and in which it was not; `None`: not played.
fn rise_of_flag(s: &Sums) -> Option<Limits> {
    if s.n == 0 {
        return None;
    }
    let n = s.n as f64;
    let mean = s.x as f64 / n;
    if s.up + s.down >= FEW {
        let half = error(s, mean) * student_t(n - 1.0, OUTSIDE);
        return Some(Limits { mean, low: mean - half, high: mean + half });
    }
    let up = clopper_pearson(s.up as f64, n, 0.5 * OUTSIDE);
    let down = clopper_pearson(s.down as f64, n, 0.5 * OUTSIDE);
    Some(Limits { mean, low: up.0 - down.1, high: up.1 - down.0 })
}

/// Fills in the two that need it certain. Limits of the ratio are those of rise and risk together
/// (wider than 95 %).
fn achieve(
    out: &mut Importance,
    item: &ItemBooks,
    rise: Option<Limits>,
    (risk, drop): (Limits, Option<Limits>),
    any: bool,
    notes: &mut Vec<String>,
) {
    let Some(rise) = rise else {
        notes.push(match item.has_demand {
            true => "made certain in no campaign: too few replays".into(),
            false => "acts by calendar time: no next demand".into(),
        });
        return;
    };
    if any {
        let ratio = |x: f64, up: bool| {
            let over = if (x > 0.0) == up { risk.low } else { risk.high };
            1.0 + x / over
        };
        let limits = (ratio(rise.low, false).max(0.0), ratio(rise.high, true));
        out.achievement = Value::of((1.0 + rise.mean / risk.mean).max(0.0), limits);
    }
    let Some(drop) = drop else { return };
    let [a, b] = [rise.width(), drop.width()];
    let mean = rise.mean + drop.mean;
    let limits = (mean - a[0].hypot(b[0]), mean + a[1].hypot(b[1]));
    out.birnbaum = Value::of(mean, limits);
}

/// Standard error of the mean of x.
fn error(s: &Sums, mean: f64) -> f64 {
    let n = s.n as f64;
    if s.n < 2 {
        return f64::INFINITY;
    }
    ((s.xx as f64 - n * mean * mean).max(0.0) / (n - 1.0) / n).sqrt()
}

/// Millionths.
const SCALE: f64 = 1e6;

fn hours(books: &ArmBooks, item: &ItemBooks, lost: bool) -> Importance {
    let (all, turn) = (&books.all[2], &item.turn[2]);
    let mut notes: Vec<String> = Vec::new();
    let mut out = Importance { n_used: all.n, ..Importance::default() };
    out.method = "linearised ratio; common random numbers";
    if all.n < 2 {
        out.method = "not estimable";
        out.note = "fewer than two campaigns".into();
        return out;
    }
    let mean = all.x as f64 / all.n as f64;
    let half = error(all, mean) * student_t(all.n as f64 - 1.0, OUTSIDE);
    let risk = scaled(mean, half);
    let any = all.x > 0;
    let mut drop = None;
    if any && lost {
        out.participation = ratio(&item.part[2], all);
    } else if any {
        notes.push("this kind of item books no hours".into());
    }
    if turn.n >= 2 {
        if turn.x > 0 {
            out.removal = ratio(&item.drop[2], turn);
        }
        let n = turn.n as f64;
        let d = Sums { n: turn.n, ..item.drop[2] };
        let mean = d.x as f64 / n;
        drop = Some(scaled(mean, error(&d, mean) * student_t(n - 1.0, OUTSIDE)));
        notes.push(format!(
            "removal: in {n} campaigns, of which {} can differ and were played again",
            item.drop[2].n
        ));
    } else {
        notes.push("removed in fewer than two campaigns: too few replays".into());
    }
    let rise = (item.rise[2].n >= 2).then(|| {
        let s = &item.rise[2];
        let mean = s.x as f64 / s.n as f64;
        scaled(mean, error(s, mean) * student_t(s.n as f64 - 1.0, OUTSIDE))
    });
    achieve(&mut out, item, rise, (risk, drop), any && risk.low > 0.0, &mut notes);
    out.note = notes.join("; ");
    out
}

fn scaled(mean: f64, half: f64) -> Limits {
    Limits { mean: mean / SCALE, low: (mean - half) / SCALE, high: (mean + half) / SCALE }
}

/// Sum of x over sum of y, linearised with the campaign as cluster; pairs that are not in `part` have
/// x = 0. Source: W. Cochran, Sampling Techniques, section 6.3 (from memory).
fn ratio(part: &Sums, whole: &Sums) -> Value {
    let n = whole.n as f64;
    let r = part.x as f64 / whole.x as f64;
    let squares = part.xx as f64 - 2.0 * r * part.xy as f64 + r * r * whole.xx as f64;
    let mean = whole.x as f64 / n;
    let error = (squares.max(0.0) / (n - 1.0) / n).sqrt() / mean;
    let half = error * student_t(n - 1.0, OUTSIDE);
    Value::of(r, (r - half, r + half))
}
