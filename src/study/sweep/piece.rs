//! Some blocks of the campaigns of one point, played by whoever has time: the same tallies for any number
//! of workers.

use crate::model::Model;
use crate::stats::{Block, CampaignRows, Extremes, Histograms, Plan, Results, Tree};
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
    books: Tallied,
}

/// What the blocks of a piece left. Blocks stand in the tree at their own numbers, so that pieces of one
/// point can be put together as if they had been played in one.
#[derive(Debug)]
pub struct Tallied {
    /// sums and moments: subtrees of the fixed tree
    pub tree: Tree,
    /// counts by cell
    pub histograms: Histograms,
    /// example campaigns
    pub extremes: Extremes,
}

impl Tallied {
    fn new(plan: &Plan) -> Tallied {
        Tallied {
            tree: Tree::new(plan),
            histograms: Histograms::new(plan),
            extremes: Extremes::new(plan),
        }
    }

    /// The results, if these were all blocks of the point.
    pub fn results(self, plan: &Plan) -> Results {
        let Tallied { tree, histograms, extremes } = self;
        Results { plan: plan.clone(), tally: tree.finish(), histograms, extremes, sets: None }
    }
}

impl Piece {
    /// Blocks `blocks` of `campaigns` campaigns of a model, none played yet.
    pub fn new(model: &Model, campaigns: u64, blocks: Range<u64>) -> Piece {
        let plan = experiment::plan(model);
        let books = Tallied::new(&plan);
        let state = State { next: blocks.start, inside: 0, books };
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

    /// Plays blocks until none are left or it is told to stop; the last worker to leave takes what all of
    /// them tallied with it. `progress` grows by the campaigns played.
    pub fn work(&self, model: &Model, stop: &AtomicBool, progress: &AtomicU64) -> Option<Tallied> {
        let mut tally = {
            let mut state = self.lock();
            if state.next >= self.blocks.end {
                return None;
            }
            state.inside += 1;
            state.books.tree.take_spare()
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
            state.books.tree.insert(block, tally);
            tally = state.books.tree.take_spare();
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

    fn leave(&self, books: &Block) -> Option<Tallied> {
        let mut state = self.lock();
        state.books.histograms.merge(&books.histograms);
        state.books.extremes.merge(&books.extremes);
        state.inside -= 1;
        let over = state.inside == 0 && state.next >= self.blocks.end;
        over.then(|| std::mem::replace(&mut state.books, Tallied::new(&self.plan)))
    }

    /// A worker that panicked poisons the lock; its panic goes on by itself.
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
