//! Sums over one block of consecutive campaigns, and the other books of a worker.
//!
//! Sums are shifted by the first value of the block, so that they keep their digits; they stand in
//! one array per quantity, and absent values take part with factor 0, so that the loops have no
//! branch.

use super::extremes::Extremes;
use super::histogram::Histograms;
use super::moments::{CoSums, Moments};
use super::plan::{Column, Kind, Plan};
use super::rows::{CampaignRows, Row};
use super::tally::{Pair, Ratio, Single, Tally, Weights};

/// Campaigns in a block.
pub const BLOCK: u64 = 64;

/// Shifted sums of many columns at once.
#[derive(Clone, Debug)]
struct Lanes {
    n: Vec<f64>,
    origin: Vec<f64>,
    sum: Vec<f64>,
    squares: Vec<f64>,
    nonzero: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
    largest: Vec<f64>,
}

impl Lanes {
    fn new(width: usize) -> Lanes {
        let zeros = || vec![0.0; width];
        let mut lanes = Lanes {
            n: zeros(),
            origin: zeros(),
            sum: zeros(),
            squares: zeros(),
            nonzero: zeros(),
            low: zeros(),
            high: zeros(),
            largest: zeros(),
        };
        lanes.clear();
        lanes
    }

    fn clear(&mut self) {
        for sums in [
            &mut self.n,
            &mut self.origin,
            &mut self.sum,
            &mut self.squares,
        ] {
            sums.fill(0.0);
        }
        self.nonzero.fill(0.0);
        self.largest.fill(0.0);
        self.low.fill(f64::INFINITY);
        self.high.fill(f64::NEG_INFINITY);
    }

    /// Adds one value to each lane from `start`: `clean` is the value, or 0 where `use_it` is 0.
    fn add(&mut self, start: usize, clean: &[f64], use_it: &[f64], weight: f64) {
        let width = clean.len();
        let lane = start..start + width;
        let (n, origin) = (&mut self.n[lane.clone()], &mut self.origin[lane.clone()]);
        let (sum, squares) = (&mut self.sum[lane.clone()], &mut self.squares[lane.clone()]);
        let (low, high) = (&mut self.low[lane.clone()], &mut self.high[lane.clone()]);
        let (nonzero, largest) = (&mut self.nonzero[lane.clone()], &mut self.largest[lane]);
        for i in 0..width {
            let (x, used) = (clean[i], use_it[i]);
            let y = x * weight;
            origin[i] = if n[i] == 0.0 { y } else { origin[i] };
            let shifted = (y - origin[i]) * used;
            n[i] += used;
            sum[i] += shifted;
            squares[i] += shifted * shifted;
            nonzero[i] += if x != 0.0 { 1.0 } else { 0.0 };
            let (least, most) = if used > 0.0 {
                (x, x)
            } else {
                (low[i], high[i])
            };
            low[i] = if least < low[i] { least } else { low[i] };
            high[i] = if most > high[i] { most } else { high[i] };
            largest[i] = if y.abs() > largest[i] {
                y.abs()
            } else {
                largest[i]
            };
        }
    }

    fn close(&self, i: usize) -> Single {
        let n = self.n[i];
        Single {
            moments: Moments::from_sums(n as u64, self.origin[i], self.sum[i], self.squares[i]),
            total: self.origin[i] * n + self.sum[i],
            nonzero: self.nonzero[i] as u64,
            range: (self.low[i], self.high[i]),
            largest: self.largest[i],
        }
    }
}

/// Shifted sums of differences, and counts of lower and equal.
#[derive(Clone, Debug)]
struct PairLanes {
    n: Vec<f64>,
    origin: Vec<f64>,
    sum: Vec<f64>,
    squares: Vec<f64>,
    both: Vec<f64>,
    lower: Vec<f64>,
    equal: Vec<f64>,
}

/// The columns of one arm in one campaign, as [`PairLanes::add`] reads them.
#[derive(Clone, Copy)]
struct Side<'a> {
    /// not-a-number where absent, infinite where missed
    raw: &'a [f64],
    /// 0 where not finite
    clean: &'a [f64],
    /// 1 where finite, else 0
    finite: &'a [f64],
    weight: f64,
}

impl PairLanes {
    fn new(width: usize) -> PairLanes {
        let zeros = || vec![0.0; width];
        PairLanes {
            n: zeros(),
            origin: zeros(),
            sum: zeros(),
            squares: zeros(),
            both: zeros(),
            lower: zeros(),
            equal: zeros(),
        }
    }

    fn clear(&mut self) {
        for sums in [
            &mut self.n,
            &mut self.origin,
            &mut self.sum,
            &mut self.squares,
        ] {
            sums.fill(0.0);
        }
        for counts in [&mut self.both, &mut self.lower, &mut self.equal] {
            counts.fill(0.0);
        }
    }

    fn add(&mut self, start: usize, reference: Side, other: Side) {
        let width = reference.raw.len();
        let lane = start..start + width;
        let (n, origin) = (&mut self.n[lane.clone()], &mut self.origin[lane.clone()]);
        let (sum, squares) = (&mut self.sum[lane.clone()], &mut self.squares[lane.clone()]);
        let (lower, equal) = (&mut self.lower[lane.clone()], &mut self.equal[lane.clone()]);
        let both = &mut self.both[lane];
        let one = |yes: bool| if yes { 1.0 } else { 0.0 };
        for i in 0..width {
            let used = reference.finite[i] * other.finite[i];
            let gap = other.clean[i] * other.weight - reference.clean[i] * reference.weight;
            origin[i] = if n[i] == 0.0 { gap } else { origin[i] };
            let shifted = (gap - origin[i]) * used;
            n[i] += used;
            sum[i] += shifted;
            squares[i] += shifted * shifted;
            // comparisons with not-a-number are false, so absent values count nowhere
            let (a, b) = (reference.raw[i], other.raw[i]);
            lower[i] += one(b < a);
            equal[i] += one(b == a);
            both[i] += one(b <= a) + one(b > a);
        }
    }

    fn close(&self, i: usize) -> Pair {
        let (sum, squares) = (self.sum[i], self.squares[i]);
        Pair {
            difference: Moments::from_sums(self.n[i] as u64, self.origin[i], sum, squares),
            both: self.both[i] as u64,
            lower: self.lower[i] as u64,
            equal: self.equal[i] as u64,
        }
    }
}

/// Sums of a numerator and a denominator.
#[derive(Clone, Copy, Debug)]
struct RatioSums {
    co: CoSums<2>,
    counts: Ratio,
}

impl RatioSums {
    const EMPTY: RatioSums = RatioSums {
        co: CoSums::EMPTY,
        counts: Ratio::EMPTY,
    };

    fn add(&mut self, numerator: f64, denominator: f64, weight: f64) {
        self.co.add([numerator * weight, denominator * weight]);
        self.counts.totals.0 += numerator * weight;
        self.counts.totals.1 += denominator * weight;
        self.counts.largest = self.counts.largest.max(denominator);
        if denominator > 0.0 {
            self.counts.used += 1;
            self.counts.some += u64::from(numerator != 0.0);
            self.counts.short += u64::from(numerator != denominator);
        }
    }

    fn close(&self) -> Ratio {
        Ratio {
            co: self.co.close(),
            ..self.counts
        }
    }
}

/// The books of one worker: sums of the block at hand, and what is counted over all its blocks.
#[derive(Clone, Debug)]
pub struct Block {
    plan: Plan,
    /// columns of all arms in the campaign at hand: not-a-number where absent
    raw: Vec<f64>,
    clean: Vec<f64>,
    finite: Vec<f64>,
    always: Vec<f64>,
    weights: Vec<Weights>,
    columns: Lanes,
    extras: Lanes,
    pairs: PairLanes,
    ratios: Vec<RatioSums>,
    extra_ratios: Vec<RatioSums>,
    pair_ratios: Vec<CoSums<4>>,
    /// histograms over all blocks of this worker
    pub histograms: Histograms,
    /// example campaigns over all blocks of this worker
    pub extremes: Extremes,
}

impl Block {
    /// Empty books of the shape of a plan.
    pub fn new(plan: &Plan) -> Block {
        let (arms, pairs) = (plan.arms(), plan.pairs().count());
        let (columns, ratios) = (plan.columns().len(), plan.ratios().count());
        let extras = plan.extras_start(arms);
        Block {
            raw: vec![0.0; arms * columns],
            clean: vec![0.0; arms * columns],
            finite: vec![0.0; arms * columns],
            always: vec![1.0; extras],
            weights: vec![Weights::EMPTY; arms],
            columns: Lanes::new(arms * columns),
            extras: Lanes::new(extras),
            pairs: PairLanes::new(pairs * columns),
            ratios: vec![RatioSums::EMPTY; arms * ratios],
            extra_ratios: vec![RatioSums::EMPTY; extras],
            pair_ratios: vec![CoSums::EMPTY; pairs * ratios],
            histograms: Histograms::new(plan),
            extremes: Extremes::new(plan),
            plan: plan.clone(),
        }
    }

    /// Adds the rows of one campaign.
    ///
    /// # Panics
    /// If a value is not a number without being marked absent, or does not suit its [`Kind`]:
    /// a fault of the player that would otherwise go unseen into the results.
    pub fn add(&mut self, campaign: u64, rows: &CampaignRows) {
        let width = self.plan.columns().len();
        for arm in 0..self.plan.arms() {
            let row = rows.row(arm);
            let lane = arm * width..(arm + 1) * width;
            self.read(arm, campaign, row);
            self.weights[arm].add(row.weight);
            let (clean, finite) = (&self.clean[lane.clone()], &self.finite[lane.clone()]);
            self.columns.add(lane.start, clean, finite, row.weight);
            self.histograms.record(arm, &self.raw[lane.clone()]);
            self.extremes.record(campaign, arm, &self.raw[lane]);
            self.add_extras(arm, row);
        }
        self.add_ratios(rows);
        self.add_pairs(rows);
    }

    /// Reads the columns of one arm from its row.
    fn read(&mut self, arm: usize, campaign: u64, row: Row) {
        let start = arm * self.plan.columns().len();
        for (i, column) in self.plan.columns().iter().enumerate() {
            let value = match *column {
                Column::Plain { value, kind } => row.get(value).inspect(|&x| {
                    assert!(suits(x, kind), "{}", unsuited(campaign, arm, i, x, kind));
                }),
                Column::Ratio {
                    numerator,
                    denominator,
                    ..
                } => {
                    let both = row.get(numerator).zip(row.get(denominator));
                    both.filter(|&(_, d)| d > 0.0).map(|(n, d)| n / d)
                }
            };
            let finite = value.filter(|x| x.is_finite());
            self.raw[start + i] = value.unwrap_or(f64::NAN);
            self.clean[start + i] = finite.unwrap_or(0.0);
            self.finite[start + i] = if finite.is_some() { 1.0 } else { 0.0 };
        }
    }

    fn add_extras(&mut self, arm: usize, row: Row) {
        let start = self.plan.extras_start(arm);
        let always = &self.always[start..start + row.extras.len()];
        assert!(
            row.extras.iter().all(|x| x.is_finite()),
            "arm {arm}: an extra is not finite"
        );
        self.extras.add(start, row.extras, always, row.weight);
        for (i, (extra, &x)) in self.plan.extras(arm).iter().zip(row.extras).enumerate() {
            if let Some(whole) = extra.over.and_then(|over| row.get(over)) {
                assert!(
                    whole >= 0.0 && whole.is_finite(),
                    "arm {arm}, extra {i}: {x} / {whole}"
                );
                self.extra_ratios[start + i].add(x, whole, row.weight);
            }
        }
    }

    fn add_ratios(&mut self, rows: &CampaignRows) {
        let both = |row: Row, n: usize, d: usize| Some((row.get(n)?, row.get(d)?));
        let mut sums = self.ratios.iter_mut();
        for row in (0..self.plan.arms()).map(|arm| rows.row(arm)) {
            for ((n, d, column), sums) in self.plan.ratios().zip(&mut sums) {
                let Some((x, y)) = both(row, n, d) else {
                    continue;
                };
                assert!(
                    x.is_finite() && y >= 0.0 && y.is_finite(),
                    "ratio {column}: {x} / {y}"
                );
                sums.add(x, y, row.weight);
            }
        }
        let mut sums = self.pair_ratios.iter_mut();
        for (reference, other) in self.plan.pairs() {
            let (reference, other) = (rows.row(reference), rows.row(other));
            for ((n, d, _), sums) in self.plan.ratios().zip(&mut sums) {
                let Some((a, b)) = both(reference, n, d).zip(both(other, n, d)) else {
                    continue;
                };
                let (a, b) = (scaled(a, reference.weight), scaled(b, other.weight));
                sums.add([b.0 - a.0, b.1 - a.1, a.0, a.1]);
            }
        }
    }

    fn add_pairs(&mut self, rows: &CampaignRows) {
        let width = self.plan.columns().len();
        let side = |arm: usize| {
            let lane = arm * width..(arm + 1) * width;
            Side {
                raw: &self.raw[lane.clone()],
                clean: &self.clean[lane.clone()],
                finite: &self.finite[lane],
                weight: rows.row(arm).weight,
            }
        };
        for (k, (reference, other)) in self.plan.pairs().enumerate() {
            self.pairs.add(k * width, side(reference), side(other));
        }
    }

    /// Closes the block into `tally` (of the same plan; what it held is overwritten) and begins
    /// the next one.
    pub fn close_into(&mut self, tally: &mut Tally) {
        tally.weights.copy_from_slice(&self.weights);
        for (i, single) in tally.columns.iter_mut().enumerate() {
            *single = self.columns.close(i);
        }
        for (i, single) in tally.extras.iter_mut().enumerate() {
            *single = self.extras.close(i);
        }
        for (i, pair) in tally.pairs.iter_mut().enumerate() {
            *pair = self.pairs.close(i);
        }
        let ratios = |to: &mut [Ratio], from: &mut [RatioSums]| {
            for (closed, sums) in to.iter_mut().zip(from) {
                *closed = std::mem::replace(sums, RatioSums::EMPTY).close();
            }
        };
        ratios(&mut tally.ratios, &mut self.ratios);
        ratios(&mut tally.extra_ratios, &mut self.extra_ratios);
        for (closed, sums) in tally.pair_ratios.iter_mut().zip(&mut self.pair_ratios) {
            *closed = std::mem::replace(sums, CoSums::EMPTY).close();
        }
        self.weights.fill(Weights::EMPTY);
        self.columns.clear();
        self.extras.clear();
        self.pairs.clear();
    }
}

fn scaled(both: (f64, f64), weight: f64) -> (f64, f64) {
    (both.0 * weight, both.1 * weight)
}

fn suits(x: f64, kind: Kind) -> bool {
    match kind {
        Kind::Amount => x.is_finite(),
        Kind::Count => x.is_finite() && x == x.trunc(),
        Kind::Flag => x == 0.0 || x == 1.0,
        Kind::Worst => !x.is_nan(),
    }
}

#[cold]
fn unsuited(campaign: u64, arm: usize, column: usize, x: f64, kind: Kind) -> String {
    format!("campaign {campaign}, arm {arm}, column {column}: {x} is not a {kind:?}")
}
