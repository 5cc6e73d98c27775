//! Books of parameter sets: what an outer loop is estimated from.
//!
//! With an outer loop several campaigns share a parameter set. They are not independent, so that
//! every interval takes the set as its unit: campaigns of a set are added up, and the sums of the
//! sets go through blocks and a tree of their own, as rows of campaigns do in plain play. The
//! share of campaigns with a flag is kept for every set; memory does not grow with the campaigns
//! of a set.

mod part;

pub use part::SetsPart;

use super::block::{BLOCK, Block};
use super::difference::{self, Difference, NONE_SEEN, NONE_SEEN_BOUND};
use super::estimate::{Estimate, Mean, add_note};
use super::interval::{OUTSIDE, none_seen_upper};
use super::plan::{Column, Extra, Kind, Plan};
use super::quotient::Quotient;
use super::results::Results;
use super::rows::CampaignRows;
use super::share;
use super::tally::{Pair, Tally};
use super::tree::Tree;

/// Why quantiles of campaigns have no interval.
const NO_RANKS: &str =
    "no intervals of quantiles: campaigns of a parameter set are not independent";
/// Why a difference has none.
const NOT_BOTH: &str = "no interval: not every campaign has both values";
/// Below this many campaigns in which two flags differ, the interval is called rough.
const FEW_DISCORDANT: u64 = 10;

/// The plan of the sums of sets: column i of campaigns is the ratio of value 2i (its sum over the
/// campaigns of a set) and value 2i + 1 (their number, or the sum of the denominator).
fn plan_of_sets(plan: &Plan) -> Plan {
    let column = |(i, column): (usize, &Column)| {
        let share = match *column {
            Column::Plain { kind, .. } => kind == Kind::Flag,
            Column::Ratio { share, .. } => share,
        };
        Column::Ratio { numerator: 2 * i, denominator: 2 * i + 1, share }
    };
    let sum_of = |over: usize| {
        let reads = |c: &Column| matches!(*c, Column::Plain { value, .. } if value == over);
        plan.columns().iter().position(reads).map(|i| 2 * i)
    };
    let extras = |arm| {
        let of = |e: &Extra| Extra { over: e.over.and_then(sum_of) };
        plan.extras(arm).iter().map(of).collect()
    };
    let columns = plan.columns().iter().enumerate().map(column).collect();
    let extras = (0..plan.arms()).map(extras).collect();
    Plan::new(plan.arms(), 2 * plan.columns().len(), columns, extras)
        .expect("64 columns at most, each with two sums")
}

/// Sums over some campaigns of one set.
#[derive(Clone, Debug)]
pub struct SetSums {
    columns: Vec<Column>,
    rows: CampaignRows,
}

impl SetSums {
    /// No campaign yet.
    pub fn new(plan: &Plan) -> SetSums {
        let mut rows = CampaignRows::new(&plan_of_sets(plan));
        rows.zero();
        SetSums { columns: plan.columns().to_vec(), rows }
    }

    /// Begins anew.
    pub fn clear(&mut self) {
        self.rows.zero();
    }

    /// Adds the rows of one campaign. Misses (infinite values) have no sum; what they spoil is
    /// seen in the histograms of campaigns.
    pub fn add(&mut self, campaign: &CampaignRows) {
        for arm in 0..campaign.arms() {
            let (from, to) = (campaign.row(arm), self.rows.row_mut(arm));
            for (column, sums) in self.columns.iter().zip(to.values.chunks_exact_mut(2)) {
                let found = match *column {
                    Column::Plain { value, .. } => {
                        from.get(value).filter(|x| x.is_finite()).map(|x| (x * from.weight, 1.0))
                    }
                    Column::Ratio { numerator, denominator, .. } => {
                        let both = from.get(numerator).zip(from.get(denominator));
                        both.map(|(n, d)| (n * from.weight, d * from.weight))
                    }
                };
                let (numerator, denominator) = found.unwrap_or((0.0, 0.0));
                sums[0] += numerator;
                sums[1] += denominator;
            }
            let extras = to.extras.iter_mut().zip(from.extras);
            extras.for_each(|(sum, x)| *sum += x * from.weight);
        }
    }

    /// Adds the sums over the campaigns that follow.
    fn merge(&mut self, right: &SetSums) {
        for arm in 0..right.rows.arms() {
            let (from, to) = (right.rows.row(arm), self.rows.row_mut(arm));
            to.values.iter_mut().zip(from.values).for_each(|(a, b)| *a += b);
            to.extras.iter_mut().zip(from.extras).for_each(|(a, b)| *a += b);
        }
    }
}

/// Books that sums are handed to in the order of campaigns.
///
/// Sets are put into blocks of 64 by their number. Books that begin or end within such a block keep
/// the sums of its sets apart ([`SetsPart`]): whoever has the rest of the block closes it.
#[derive(Debug)]
pub struct SetBooks {
    inner: u64,
    flags: Vec<usize>,
    open: SetSums,
    /// campaigns of the set at hand
    played: u64,
    /// the first set
    first: u64,
    /// the set behind the last complete one
    next: u64,
    plan: Plan,
    block: Block,
    tree: Tree,
    seen: Vec<Vec<u64>>,
    /// sums of sets before the first whole block
    head: Vec<SetSums>,
    /// sums of sets of a block that is not complete yet
    pending: Vec<SetSums>,
    /// sums to be used again
    spare: Vec<SetSums>,
}

impl SetBooks {
    /// Books for a plan with an outer loop; `None` without one.
    pub fn new(plan: &Plan) -> Option<SetBooks> {
        SetBooks::from(plan, 0)
    }

    /// As [`SetBooks::new`], for the sets from `first` on.
    pub fn from(plan: &Plan, first: u64) -> Option<SetBooks> {
        let inner = plan.inner()?;
        let flag = |c: &Column| matches!(c, Column::Plain { kind: Kind::Flag, .. });
        let columns = plan.columns().iter().enumerate();
        let flags: Vec<usize> = columns.filter(|(_, c)| flag(c)).map(|(i, _)| i).collect();
        let sets = plan_of_sets(plan);
        Some(SetBooks {
            inner,
            seen: vec![Vec::new(); plan.arms() * flags.len()],
            flags,
            open: SetSums::new(plan),
            played: 0,
            first,
            next: first,
            block: Block::new(&sets),
            tree: Tree::new(&sets),
            plan: sets,
            head: Vec::new(),
            pending: Vec::new(),
            spare: Vec::new(),
        })
    }

    /// Adds the sums over the next `campaigns` campaigns, which belong to one set.
    pub fn take(&mut self, sums: &SetSums, campaigns: u64) {
        self.open.merge(sums);
        self.played += campaigns;
        if self.played == self.inner {
            self.close_set();
        }
    }

    fn close_set(&mut self) {
        for (k, seen) in self.seen.iter_mut().enumerate() {
            let (arm, flag) = (k / self.flags.len(), self.flags[k % self.flags.len()]);
            seen.push(self.open.rows.row(arm).values[2 * flag] as u64);
        }
        let mut fresh = self.spare.pop().unwrap_or_else(|| self.open.clone());
        fresh.clear();
        let sums = std::mem::replace(&mut self.open, fresh);
        self.played = 0;
        self.place(sums);
    }

    /// Puts the sums of the next set into its block.
    fn place(&mut self, sums: SetSums) {
        let within = !self.first.is_multiple_of(BLOCK);
        if within && self.next < self.first.next_multiple_of(BLOCK) {
            self.head.push(sums);
        } else {
            self.pending.push(sums);
        }
        self.next += 1;
        if self.pending.len() as u64 == BLOCK {
            self.close_block();
        }
    }

    fn close_block(&mut self) {
        let first = self.next - self.pending.len() as u64;
        for (set, sums) in (first..).zip(self.pending.drain(..)) {
            self.block.add(set, &sums.rows);
            self.spare.push(sums);
        }
        let mut tally = self.tree.take_spare();
        self.block.close_into(&mut tally);
        self.tree.insert(first / BLOCK, tally);
    }

    /// All sets.
    ///
    /// # Panics
    /// Unless the first one was 0.
    pub fn finish(mut self) -> Sets {
        assert_eq!(self.first, 0, "sets before the first are missing");
        if !self.pending.is_empty() {
            self.close_block();
        }
        let Block { histograms, extremes, .. } = self.block;
        let (plan, tally) = (self.plan, self.tree.finish());
        let results = Results { plan, tally, histograms, extremes, sets: None };
        Sets { inner: self.inner, flags: self.flags, seen: self.seen, results }
    }

    /// What these books leave for others that hold the sets around them.
    pub fn into_part(self) -> SetsPart {
        SetsPart {
            sets: self.first..self.next,
            seen: self.seen,
            head: self.head,
            nodes: self.tree.into_nodes(),
            histograms: self.block.histograms,
            tail: self.pending,
        }
    }

    /// Adds the sets of a part, which come next.
    ///
    /// # Panics
    /// Unless they come next: [`super::Joined`] sees to it.
    pub fn take_part(&mut self, part: SetsPart) {
        assert_eq!(part.sets.start, self.next, "sets are missing");
        self.seen.iter_mut().zip(part.seen).for_each(|(all, more)| all.extend(more));
        part.head.into_iter().for_each(|sums| self.place(sums));
        for node in part.nodes {
            self.next += BLOCK << node.level;
            self.tree.insert_node(node);
        }
        self.block.histograms.merge(&part.histograms);
        part.tail.into_iter().for_each(|sums| self.place(sums));
    }
}

/// What the outer loop left: the sums of every set as if each were one campaign.
#[derive(Clone, Debug, PartialEq)]
pub struct Sets {
    inner: u64,
    flags: Vec<usize>,
    seen: Vec<Vec<u64>>,
    results: Results,
}

impl Sets {
    /// Campaigns of each set.
    pub fn inner(&self) -> u64 {
        self.inner
    }

    /// Number of sets.
    pub fn sets(&self) -> u64 {
        self.results.campaigns()
    }

    /// Sums and moments over the sets.
    pub fn tally(&self) -> &Tally {
        &self.results.tally
    }

    /// Campaigns with the flag of a column, set by set; `None` if the column is no flag.
    pub fn seen(&self, arm: usize, column: usize) -> Option<&[u64]> {
        let flag = self.flags.iter().position(|f| *f == column)?;
        self.seen.get(arm * self.flags.len() + flag).map(Vec::as_slice)
    }

    /// The estimate of a column with the interval of its mean from the sets; `of_campaigns` is
    /// what all campaigns say.
    pub(super) fn estimate(
        &self,
        arm: usize,
        column: usize,
        of_campaigns: Estimate,
        ratio: bool,
        weighted: bool,
    ) -> Estimate {
        let mut quantiles = of_campaigns.quantiles;
        let mut cut = false;
        for q in &mut quantiles {
            cut |= q.low.is_some() || q.high.is_some();
            (q.low, q.high) = (None, None);
            q.note = if q.value.is_none() { q.note.clone() } else { String::new() };
        }
        let spoiled = of_campaigns.mean.is_none();
        let mean = match spoiled {
            true => Mean::unknown(&of_campaigns.note),
            false => self.mean(arm, column, ratio, weighted),
        };
        let mut note = mean.note;
        if cut {
            add_note(&mut note, NO_RANKS);
        }
        quantiles.iter().for_each(|q| add_note(&mut note, &q.note));
        Estimate {
            mean: mean.mean,
            low: mean.low,
            high: mean.high,
            method: mean.method,
            n_used: self.results.tally.ratios[self.results.ratio_at(arm, column)].used,
            quantiles,
            note,
            ..of_campaigns
        }
    }

    fn mean(&self, arm: usize, column: usize, ratio: bool, weighted: bool) -> Mean {
        let Column::Ratio { share, .. } = self.results.plan.columns()[column] else {
            return Mean::unknown("no sums of sets");
        };
        let sums = &self.results.tally.ratios[self.results.ratio_at(arm, column)];
        of_sets(share::ratio(sums, share, weighted), ratio)
    }

    /// Estimate of the mean of an extra per campaign.
    pub(super) fn extra(&self, arm: usize, extra: usize, of_campaigns: Estimate) -> Estimate {
        let sums = self.results.estimate_extra(arm, extra);
        let scaled = |x: Option<f64>| x.map(|x| x / self.inner as f64);
        let mean = Mean {
            mean: scaled(sums.mean),
            low: scaled(sums.low),
            high: scaled(sums.high),
            method: sums.method,
            note: sums.note,
        };
        let n_used = sums.n_used;
        let Mean { mean, low, high, method, note } = of_sets(mean, false);
        Estimate { mean, low, high, method, note, n_used, ..of_campaigns }
    }

    /// Estimate of the share of an extra.
    pub(super) fn extra_over(&self, arm: usize, extra: usize, share: bool) -> Option<Estimate> {
        let found = match share {
            true => self.results.estimate_extra_share(arm, extra)?,
            false => self.results.estimate_extra_ratio(arm, extra)?,
        };
        let Estimate { mean, low, high, method, note, .. } = found;
        let of = of_sets(Mean { mean, low, high, method, note }, true);
        Some(Estimate { method: of.method, note: of.note, ..found })
    }

    /// Difference of a column with its interval from the sets.
    /// `all`: every campaign has both values; `kind`: of a plain column.
    #[allow(clippy::too_many_arguments)] // one call site; a record would only rename them
    pub(super) fn compare(
        &self,
        [reference, other]: [usize; 2],
        column: usize,
        of_campaigns: Difference,
        pair: &Pair,
        all: bool,
        weighted: bool,
        kind: Option<Kind>,
    ) -> Difference {
        let found = match of_campaigns.difference {
            Some(difference) => difference,
            None => return of_campaigns,
        };
        let set_pair = self.results.plan.pair_index(reference, other);
        let co = &self.results.tally.pair_ratios[self.results.ratio_at(set_pair, column)];
        if kind.is_some() && !all {
            let Mean { low, high, method, note, .. } = Mean::point(found, NOT_BOTH);
            let ratio = Quotient::unknown("not every campaign has both values");
            return Difference { low, high, method, note, ratio, n_used: co.n, ..of_campaigns };
        }
        let ratios = [reference, other].map(|arm| self.results.ratio_at(arm, column));
        let ratios = ratios.map(|at| &self.results.tally.ratios[at]);
        let mut of = difference::of_ratio(co, pair, ratios, weighted);
        let mean = Mean {
            mean: of.difference,
            low: of.low,
            high: of.high,
            method: of.method,
            note: of.note,
        };
        let mean = of_sets(mean, kind.is_none());
        (of.method, of.note, of.n_used) = (mean.method, mean.note, co.n);
        of.ratio.note = of.ratio.note.replace("campaign", "parameter set");
        if of_campaigns.ratio.value.is_none() {
            of.ratio = of_campaigns.ratio;
        }
        let differ = pair.both - pair.equal;
        if differ == 0 && of.method == NONE_SEEN {
            of.note = of.note.replace("parameter set", "campaign");
        }
        if kind == Some(Kind::Flag) && !weighted && differ < FEW_DISCORDANT {
            few_differ(&mut of, differ, co.n);
        }
        of
    }
}

/// Two flags that differ in few campaigns: no symmetric interval is to be trusted.
fn few_differ(of: &mut Difference, differ: u64, sets: u64) {
    if differ > 0 {
        let note = format!("rough: different in {differ} campaigns only");
        add_note(&mut of.note, &note);
        return;
    }
    // With nothing seen the least favourable case is a set in which all campaigns are alike.
    let bound = none_seen_upper(sets as f64, OUTSIDE);
    (of.low, of.high, of.method) = (Some(-bound), Some(bound), NONE_SEEN_BOUND);
}

/// The words of an estimate whose unit is the parameter set.
fn of_sets(mean: Mean, ratio: bool) -> Mean {
    let method = match mean.method {
        "linearised ratio" if !ratio => "Student t of parameter sets",
        "Student t" => "Student t of parameter sets",
        "linearised ratio" => "linearised ratio of parameter sets",
        "paired linearised ratio" if !ratio => "paired Student t of parameter sets",
        "paired linearised ratio" => "paired linearised ratio of parameter sets",
        "cluster Clopper-Pearson" => "Clopper-Pearson, parameter sets as clusters",
        other => other,
    };
    let note = mean.note.replace("campaign", "parameter set");
    Mean { method, note, ..mean }
}
