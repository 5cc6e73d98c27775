//! What some of the sets of an outer loop leave: whole blocks of 64 sets as nodes of their tree, the
//! sets around them one by one.

use super::SetSums;
use super::books::plan_of_sets;
use crate::stats::block::BLOCK;
use crate::stats::histogram::Histograms;
use crate::stats::plan::Plan;
use crate::stats::rows::CampaignRows;
use crate::stats::tree::Node;
use crate::stats::wire::{Reader, Wire, WireError};
use std::ops::Range;

/// Some consecutive sets.
#[derive(Clone, Debug)]
pub struct SetsPart {
    /// which
    pub sets: Range<u64>,
    /// arm by arm, flag by flag: campaigns with the flag, set by set
    pub(super) seen: Vec<Vec<u64>>,
    /// sums of sets before the first whole block
    pub(super) head: Vec<SetSums>,
    /// whole blocks
    pub(super) nodes: Vec<Node>,
    /// of the whole blocks
    pub(super) histograms: Histograms,
    /// sums of sets behind the last whole block
    pub(super) tail: Vec<SetSums>,
}

impl SetSums {
    fn put(&self, to: &mut Vec<u8>) {
        for arm in 0..self.rows.arms() {
            let row = self.rows.row(arm);
            row.values.iter().chain(row.extras).for_each(|x| x.put(to));
        }
    }

    fn get(&mut self, from: &mut Reader) -> Result<(), WireError> {
        for arm in 0..self.rows.arms() {
            let row = self.rows.row_mut(arm);
            for x in row.values.iter_mut().chain(row.extras) {
                *x = f64::get(from)?;
            }
        }
        // Books take every sum for a number.
        match finite(&self.rows) {
            true => Ok(()),
            false => Err(WireError::Wrong("a sum that is no number")),
        }
    }
}

fn finite(rows: &CampaignRows) -> bool {
    let row = |arm| rows.row(arm).values.iter().chain(rows.row(arm).extras);
    (0..rows.arms()).all(|arm| row(arm).all(|x| x.is_finite()))
}

fn put_all(sums: &[SetSums], to: &mut Vec<u8>) {
    (sums.len() as u64).put(to);
    sums.iter().for_each(|s| s.put(to));
}

fn get_all(plan: &Plan, from: &mut Reader) -> Result<Vec<SetSums>, WireError> {
    let n = from.length()?;
    if n as u64 >= BLOCK {
        return Err(WireError::Wrong("more sets beside a block than it has"));
    }
    let one = |from: &mut Reader| {
        let mut sums = SetSums::new(plan);
        sums.get(from).map(|()| sums)
    };
    (0..n).map(|_| one(from)).collect()
}

impl SetsPart {
    /// Appends it.
    pub fn put(&self, to: &mut Vec<u8>) {
        self.sets.start.put(to);
        self.sets.end.put(to);
        self.seen.put(to);
        put_all(&self.head, to);
        self.nodes.put(to);
        self.histograms.put(to);
        put_all(&self.tail, to);
    }

    /// Reads what [`SetsPart::put`] wrote of an experiment with this plan.
    ///
    /// # Errors
    /// [`WireError`], also where it does not suit the plan.
    pub fn get(plan: &Plan, from: &mut Reader) -> Result<SetsPart, WireError> {
        let sets = u64::get(from)?..u64::get(from)?;
        let seen = Vec::<Vec<u64>>::get(from)?;
        let head = get_all(plan, from)?;
        let own = plan_of_sets(plan);
        let nodes = Vec::<Node>::get(from)?;
        let histograms = Histograms::get_from(&own, from)?;
        let tail = get_all(plan, from)?;
        let part = SetsPart { sets, seen, head, nodes, histograms, tail };
        match part.holds_together(plan, &own) {
            true => Ok(part),
            false => Err(WireError::Wrong("parameter sets that do not suit the study")),
        }
    }

    fn holds_together(&self, plan: &Plan, own: &Plan) -> bool {
        use crate::stats::plan::{Column, Kind};
        let flag = |c: &&Column| matches!(c, Column::Plain { kind: Kind::Flag, .. });
        let flags = plan.columns().iter().filter(flag).count();
        let Some(n) = self.sets.end.checked_sub(self.sets.start) else { return false };
        let mut next = self.sets.start + self.head.len() as u64;
        for node in &self.nodes {
            let Some(blocks) = node.blocks() else { return false };
            if Some(next) != blocks.start.checked_mul(BLOCK) || !node.tally.suits(own) {
                return false;
            }
            let Some(end) = blocks.end.checked_mul(BLOCK) else { return false };
            next = end;
        }
        self.seen.len() == plan.arms() * flags
            && self.seen.iter().all(|s| s.len() as u64 == n)
            && next.checked_add(self.tail.len() as u64) == Some(self.sets.end)
    }
}
