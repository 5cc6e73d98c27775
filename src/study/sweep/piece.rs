//! Some blocks of the campaigns of one point, played by whoever has time: the same tallies for any number
//! of workers.

use crate::model::Model;
use crate::stats::{Block, CampaignRows, Extremes, Histograms, Part, Plan, Tree};
use crate::study::experiment;
use crate::study::replicate::Player;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Blocks of one point in the making.
#[derive(Debug)]
pub struct Piece {
    plan: Plan,
    campaigns: u64,
    blocks: Range<u64>,
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    /// the next block that nobody has
    next: u64,
    /// workers on it
    inside: usize,
    tree: Tree,
    histograms: Histograms,
    extremes: Extremes,
}

impl Piece {
    /// Blocks `blocks` of `campaigns` campaigns of a model, none played yet.
    pub fn new(model: &Model, campaigns: u64, blocks: Range<u64>) -> Piece {
        let plan = experiment::plan(model);
        let state = State {
            next: blocks.start,
            inside: 0,
            tree: Tree::new(&plan),
            histograms: Histograms::new(&plan),
            extremes: Extremes::new(&plan),
        };
        Piece { plan, campaigns, blocks, state: Mutex::new(state) }
    }

    /// What is tallied.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Are there blocks that nobody has?
    pub fn open(&self) -> bool {
        self.lock().next < self.blocks.end
    }

    /// Plays blocks until none are left or it is told to stop; the last worker to leave gets what all of
    /// them tallied. `progress` grows by the campaigns played.
    pub fn work(&self, model: &Model, stop: &AtomicBool, progress: &AtomicU64) -> Option<Part> {
        let mut tally = {
            let mut state = self.lock();
            if state.next >= self.blocks.end {
                return None;
            }
            state.inside += 1;
            state.tree.take_spare()
        };
        let mut player = experiment::player(model);
        let mut books = Block::new(&self.plan);
        let mut rows = CampaignRows::new(&self.plan);
        while let Some(block) = self.next(stop) {
            let campaigns = self.plan.block(block, self.campaigns);
            for campaign in campaigns.clone() {
                rows.clear();
                player.play(campaign, &mut rows);
                books.add(campaign, &rows);
            }
            books.close_into(&mut tally);
            let mut state = self.lock();
            state.tree.insert(block, tally);
            tally = state.tree.take_spare();
            progress.fetch_add(campaigns.end - campaigns.start, Ordering::Relaxed);
        }
        self.leave(&books)
    }

    /// The next block; none when it is to stop.
    fn next(&self, stop: &AtomicBool) -> Option<u64> {
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        let mut state = self.lock();
        let block = state.next;
        (block < self.blocks.end).then(|| {
            state.next += 1;
            block
        })
    }

    fn leave(&self, books: &Block) -> Option<Part> {
        let mut state = self.lock();
        state.histograms.merge(&books.histograms);
        state.extremes.merge(&books.extremes);
        state.inside -= 1;
        let over = state.inside == 0 && state.next >= self.blocks.end;
        over.then(|| Part {
            blocks: self.blocks.clone(),
            nodes: std::mem::replace(&mut state.tree, Tree::new(&self.plan)).into_nodes(),
            histograms: state.histograms.clone(),
            extremes: state.extremes.clone(),
            sets: None,
        })
    }

    /// A worker that panicked poisons the lock; its panic goes on by itself.
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
