//! Books of an outer loop: campaigns of a set are added up, sets go into blocks of 64.

use super::{Sets, SetsPart};
use crate::stats::block::{BLOCK, Block};
use crate::stats::plan::{Column, Extra, Kind, Plan};
use crate::stats::results::Results;
use crate::stats::rows::CampaignRows;
use crate::stats::tree::Tree;

/// The plan of the sums of sets: column i of campaigns is the ratio of value 2i (its sum over the
/// campaigns of a set) and value 2i + 1 (their number, or the sum of the denominator).
pub(super) fn plan_of_sets(plan: &Plan) -> Plan {
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
    pub(super) rows: CampaignRows,
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
    /// Unless they come next: [`crate::stats::Joined`] sees to it.
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
