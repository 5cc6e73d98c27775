//! Sums over one block of consecutive campaigns, and the other books of a worker.

use super::extremes::Extremes;
use super::histogram::Histograms;
use super::lanes::{GROUP, PairSums, Reading, Sums, groups};
use super::moments::CoSums;
use super::plan::{Column, Kind, Plan};
use super::rows::{CampaignRows, Row};
use super::tally::{Ratio, Tally, Weights};

/// Campaigns in a block.
pub const BLOCK: u64 = 64;

/// Sums of a numerator and a denominator.
#[derive(Clone, Copy, Debug)]
struct RatioSums {
    co: CoSums<2>,
    counts: Ratio,
}

impl RatioSums {
    const EMPTY: RatioSums = RatioSums { co: CoSums::EMPTY, counts: Ratio::EMPTY };

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
        Ratio { co: self.co.close(), ..self.counts }
    }
}

/// The books of one worker: sums of the block at hand, and what is counted over all its blocks.
#[derive(Clone, Debug)]
pub struct Block {
    plan: Plan,
    /// pairs of arms, as the plan lists them
    arm_pairs: Vec<(usize, usize)>,
    /// numerator and denominator of the ratio columns
    ratio_values: Vec<(usize, usize)>,
    /// arm by arm: weight times numerator and denominator in the campaign at hand
    operands: Vec<Option<[f64; 2]>>,
    /// columns of the arm at hand: not-a-number where absent
    raw: Vec<f64>,
    /// arm by arm: columns in groups, in the campaign at hand
    readings: Vec<Reading>,
    /// where the groups of extras of each arm begin
    extra_groups: Vec<usize>,
    weights: Vec<Weights>,
    columns: Vec<Sums>,
    extras: Vec<Sums>,
    pairs: Vec<PairSums>,
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
        let arm_pairs: Vec<_> = plan.pairs().collect();
        let ratio_values: Vec<_> = plan.ratios().map(|(n, d, _)| (n, d)).collect();
        let (arms, pairs) = (plan.arms(), arm_pairs.len());
        let (columns, ratios) = (plan.columns().len(), ratio_values.len());
        let extras = plan.extras_start(arms);
        let mut extra_groups = vec![0];
        for arm in 0..arms {
            extra_groups.push(extra_groups[arm] + groups(plan.extras(arm).len()));
        }
        Block {
            arm_pairs,
            ratio_values,
            operands: vec![None; arms * ratios],
            raw: vec![f64::NAN; columns],
            readings: vec![Reading::ABSENT; arms * groups(columns)],
            weights: vec![Weights::EMPTY; arms],
            columns: vec![Sums::EMPTY; arms * groups(columns)],
            extras: vec![Sums::EMPTY; extra_groups[arms]],
            pairs: vec![PairSums::EMPTY; pairs * groups(columns)],
            extra_groups,
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
        let width = groups(self.plan.columns().len());
        for arm in 0..self.plan.arms() {
            let row = rows.row(arm);
            self.read(arm, campaign, row);
            self.weights[arm].add(row.weight);
            let group = arm * width..(arm + 1) * width;
            let sums = self.columns[group.clone()].iter_mut();
            sums.zip(&self.readings[group]).for_each(|(s, r)| s.add(r, row.weight));
            self.histograms.record(arm, &self.raw);
            self.extremes.record(campaign, arm, &self.raw);
            self.add_extras(arm, row);
            self.add_ratios(arm, row);
        }
        self.add_pairs(rows);
    }

    /// Reads the columns of one arm from its row.
    fn read(&mut self, arm: usize, campaign: u64, row: Row) {
        let start = arm * groups(self.plan.columns().len());
        for (i, column) in self.plan.columns().iter().enumerate() {
            let value = match *column {
                Column::Plain { value, kind } => row.get(value).inspect(|&x| {
                    assert!(suits(x, kind), "{}", unsuited(campaign, arm, i, x, kind));
                }),
                Column::Ratio { numerator, denominator, .. } => {
                    let both = row.get(numerator).zip(row.get(denominator));
                    both.filter(|&(_, d)| d > 0.0).map(|(n, d)| n / d)
                }
            };
            self.raw[i] = value.unwrap_or(f64::NAN);
            self.readings[start + i / GROUP].set(i % GROUP, value);
        }
    }

    fn add_extras(&mut self, arm: usize, row: Row) {
        let finite = row.extras.iter().all(|x| x.is_finite());
        assert!(finite, "arm {arm}: an extra is not finite");
        let sums = &mut self.extras[self.extra_groups[arm]..self.extra_groups[arm + 1]];
        for (sums, group) in sums.iter_mut().zip(row.extras.chunks(GROUP)) {
            let mut reading = Reading::ABSENT;
            group.iter().enumerate().for_each(|(lane, &x)| reading.set(lane, Some(x)));
            sums.add(&reading, row.weight);
        }
        let ratios = &mut self.extra_ratios[self.plan.extras_start(arm)..];
        for ((extra, &x), sums) in self.plan.extras(arm).iter().zip(row.extras).zip(ratios) {
            if let Some(whole) = extra.over.and_then(|over| row.get(over)) {
                assert!(whole >= 0.0 && whole.is_finite(), "arm {arm}: extra {x} / {whole}");
                sums.add(x, whole, row.weight);
            }
        }
    }

    fn add_ratios(&mut self, arm: usize, row: Row) {
        let width = self.ratio_values.len();
        let lane = arm * width..(arm + 1) * width;
        let to = self.operands[lane.clone()].iter_mut().zip(&mut self.ratios[lane]);
        for (&(n, d), (operands, sums)) in self.ratio_values.iter().zip(to) {
            *operands = row.get(n).zip(row.get(d)).map(|(x, y)| {
                assert!(x.is_finite() && y >= 0.0 && y.is_finite(), "arm {arm}: ratio {x} / {y}");
                sums.add(x, y, row.weight);
                [x * row.weight, y * row.weight]
            });
        }
    }

    fn add_pairs(&mut self, rows: &CampaignRows) {
        let (width, ratios) = (groups(self.plan.columns().len()), self.ratio_values.len());
        for (k, &(reference, other)) in self.arm_pairs.iter().enumerate() {
            let readings = |arm: usize| self.readings[arm * width..(arm + 1) * width].iter();
            let weights = (rows.row(reference).weight, rows.row(other).weight);
            let sums = self.pairs[k * width..(k + 1) * width].iter_mut();
            for ((sums, a), b) in sums.zip(readings(reference)).zip(readings(other)) {
                sums.add((a, weights.0), (b, weights.1));
            }
            let sums = &mut self.pair_ratios[k * ratios..(k + 1) * ratios];
            let operands = |arm: usize| &self.operands[arm * ratios..(arm + 1) * ratios];
            let both = operands(reference).iter().zip(operands(other));
            for (sums, both) in sums.iter_mut().zip(both) {
                if let (Some([x, y]), Some([other_x, other_y])) = both {
                    sums.add([other_x - x, other_y - y, *x, *y]);
                }
            }
        }
    }

    /// Closes the block into `tally` (of the same plan; what it held is overwritten) and begins
    /// the next one.
    pub fn close_into(&mut self, tally: &mut Tally) {
        tally.weights.copy_from_slice(&self.weights);
        let columns = self.plan.columns().len();
        // closes lane by lane; lanes behind the last column of a row of groups are left out
        let lane =
            |i: usize| (i / columns * groups(columns) + i % columns / GROUP, i % columns % GROUP);
        for (i, single) in tally.columns.iter_mut().enumerate() {
            let (group, lane) = lane(i);
            *single = self.columns[group].close(lane);
        }
        for (i, pair) in tally.pairs.iter_mut().enumerate() {
            let (group, lane) = lane(i);
            *pair = self.pairs[group].close(lane);
        }
        let mut extras = tally.extras.iter_mut();
        for arm in 0..self.plan.arms() {
            for i in 0..self.plan.extras(arm).len() {
                let sums = &self.extras[self.extra_groups[arm] + i / GROUP];
                *extras.next().expect("a tally of the same plan") = sums.close(i % GROUP);
            }
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
        self.columns.fill(Sums::EMPTY);
        self.extras.fill(Sums::EMPTY);
        self.pairs.fill(PairSums::EMPTY);
    }
}

fn suits(x: f64, kind: Kind) -> bool {
    match kind {
        Kind::Amount => x.is_finite(),
        // beyond 2^63 the conversion saturates, and such a number is no count
        Kind::Count => x as i64 as f64 == x && x.abs() < 9e18,
        Kind::Flag => x == 0.0 || x == 1.0,
        Kind::Worst => !x.is_nan(),
    }
}

#[cold]
fn unsuited(campaign: u64, arm: usize, column: usize, x: f64, kind: Kind) -> String {
    format!("campaign {campaign}, arm {arm}, column {column}: {x} is not a {kind:?}")
}
