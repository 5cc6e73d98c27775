//! What some of the blocks of an experiment leave, and how such parts are joined to the whole: the
//! same bits as if one program had played all blocks.

use super::extremes::Extremes;
use super::histogram::Histograms;
use super::plan::Plan;
use super::results::Results;
use super::sets::{SetBooks, SetsPart};
use super::tree::{Node, Tree};
use super::wire::{Reader, Wire, WireError};
use std::ops::Range;
use thiserror::Error;

/// What some consecutive blocks leave.
#[derive(Clone, Debug)]
pub struct Part {
    /// which blocks
    pub blocks: Range<u64>,
    /// their maximal aligned subtrees, from left to right
    pub nodes: Vec<Node>,
    /// counts by cell
    pub histograms: Histograms,
    /// example campaigns
    pub extremes: Extremes,
    /// parameter sets of an outer loop, whole ones
    pub sets: Option<Box<SetsPart>>,
}

/// Parts that do not make a whole.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum JoinError {
    /// A part does not begin where the one before it ended.
    #[error("blocks from {expected} are wanted, and the next part begins at {found}")]
    Gap {
        /// first block that is wanted
        expected: u64,
        /// first block of the part
        found: u64,
    },
    /// Some have parameter sets and some have not, or other sets than their blocks belong to.
    #[error("its parameter sets are not those of its blocks")]
    Sets,
}

impl Part {
    /// Appends it.
    pub fn put(&self, to: &mut Vec<u8>) {
        self.blocks.start.put(to);
        self.blocks.end.put(to);
        self.nodes.put(to);
        self.histograms.put(to);
        self.extremes.put(to);
        self.sets.is_some().put(to);
        self.sets.iter().for_each(|s| s.put(to));
    }

    /// Reads what [`Part::put`] wrote of an experiment with this plan.
    ///
    /// # Errors
    /// [`WireError`], also where it does not suit the plan.
    pub fn get(plan: &Plan, from: &mut Reader) -> Result<Part, WireError> {
        let part = Part {
            blocks: u64::get(from)?..u64::get(from)?,
            nodes: Vec::get(from)?,
            histograms: Histograms::get_from(plan, from)?,
            extremes: Extremes::get_from(plan, from)?,
            sets: match bool::get(from)? {
                true if plan.inner().is_none() => {
                    return Err(WireError::Wrong("parameter sets of a study without any"));
                }
                true => Some(Box::new(SetsPart::get(plan, from)?)),
                false => None,
            },
        };
        let mut next = part.blocks.start;
        for node in &part.nodes {
            let blocks = node.blocks().filter(|b| b.start == next && node.tally.suits(plan));
            next = blocks.ok_or(WireError::Wrong("tallies that do not suit the study"))?.end;
        }
        match next == part.blocks.end && part.sets.is_some() == plan.inner().is_some() {
            true => Ok(part),
            false => Err(WireError::Wrong("tallies of other blocks than it says")),
        }
    }
}

/// Parts put together, from the first block on.
#[derive(Debug)]
pub struct Joined {
    plan: Plan,
    next: u64,
    tree: Tree,
    histograms: Histograms,
    extremes: Extremes,
    sets: Option<SetBooks>,
}

impl Joined {
    /// Nothing yet.
    pub fn new(plan: &Plan) -> Joined {
        Joined {
            plan: plan.clone(),
            next: 0,
            tree: Tree::new(plan),
            histograms: Histograms::new(plan),
            extremes: Extremes::new(plan),
            sets: SetBooks::new(plan),
        }
    }

    /// Adds the part that comes next.
    ///
    /// # Errors
    /// [`JoinError`] if it does not come next.
    pub fn add(&mut self, part: Part) -> Result<(), JoinError> {
        if part.blocks.start != self.next {
            return Err(JoinError::Gap { expected: self.next, found: part.blocks.start });
        }
        match (&mut self.sets, part.sets) {
            (Some(books), Some(sets)) => {
                if Some(sets.sets.clone()) != self.plan.sets_of(&part.blocks) {
                    return Err(JoinError::Sets);
                }
                books.take_part(*sets);
            }
            (None, None) => {}
            _ => return Err(JoinError::Sets),
        }
        self.next = part.blocks.end;
        part.nodes.into_iter().for_each(|node| self.tree.insert_node(node));
        self.histograms.merge(&part.histograms);
        self.extremes.merge(&part.extremes);
        Ok(())
    }

    /// The blocks joined so far: 0 to this.
    pub fn blocks(&self) -> u64 {
        self.next
    }

    /// The whole.
    pub fn finish(self) -> Results {
        Results {
            tally: self.tree.finish(),
            plan: self.plan,
            histograms: self.histograms,
            extremes: self.extremes,
            sets: self.sets.map(|books| Box::new(books.finish())),
        }
    }
}

#[cfg(test)]
mod tests;
