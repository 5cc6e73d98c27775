//! Plays many campaigns on many threads and tallies them, with the same bytes for any number of
//! threads.
//!
//! Blocks of 64 consecutive campaigns are handed out in order; each worker plays its block with
//! all arms, closes it, and puts it into the fixed tree. A worker that is too far ahead of the
//! slowest one waits, so that rows can be given out in the order of campaigns from flat memory.

mod order;

pub use order::{Halt, NoRows, Order, Player, Replication, Sink};

use crate::stats::{
    BLOCK, Block, CampaignRows, Extremes, Histograms, Joined, Part, Plan, SetBooks, SetSums, Tally,
    Tree,
};
use std::ops::Range;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// Blocks that may be under way or waiting to be given out, per thread.
const WINDOW_PER_THREAD: u64 = 8;

/// Plays and tallies; `player` makes one player for each worker.
///
/// # Errors
/// [`Halt`] if the stop flag was set or threads could not be started.
///
/// # Panics
/// If a player panics: the other workers end after the block at hand and the panic goes on.
pub fn replicate<P: Player>(
    plan: &Plan,
    order: Order,
    player: impl Fn() -> P + Sync,
) -> Result<Replication<P>, Halt<std::convert::Infallible>> {
    whole(plan, order, player, None::<NoRows>)
}

/// As [`replicate`], and gives the rows of every campaign to `sink` in the order of campaigns.
///
/// # Errors
/// [`Halt`] also if the sink refuses rows.
///
/// # Panics
/// As [`replicate`]; a panic of the sink goes on likewise.
pub fn replicate_with_rows<P: Player, S: Sink>(
    plan: &Plan,
    order: Order,
    player: impl Fn() -> P + Sync,
    sink: S,
) -> Result<Replication<P>, Halt<S::Error>> {
    whole(plan, order, player, Some(sink))
}

fn whole<P: Player, S: Sink>(
    plan: &Plan,
    order: Order,
    player: impl Fn() -> P + Sync,
    sink: Option<S>,
) -> Result<Replication<P>, Halt<S::Error>> {
    let all = 0..plan.blocks(order.campaigns);
    let (part, players) = replicate_part(plan, order, all, player, sink)?;
    let mut joined = Joined::new(plan);
    // A part of all blocks begins with the first.
    joined.add(part).unwrap_or_else(|e| unreachable!("{e}"));
    Ok(Replication { results: joined.finish(), players })
}

/// Plays and tallies some of the blocks of an experiment (of those that [`Plan::blocks`] counts for
/// all its campaigns), as [`replicate_with_rows`] would play them among the others. Joined
/// ([`Joined`]), parts give what one experiment over all blocks gives, bit by bit. With an outer loop
/// the blocks are those of whole parameter sets.
///
/// # Errors
/// As [`replicate_with_rows`].
///
/// # Panics
/// As [`replicate_with_rows`]; also if there are no such blocks, or they cut a parameter set.
pub fn replicate_part<P: Player, S: Sink>(
    plan: &Plan,
    order: Order,
    blocks: Range<u64>,
    player: impl Fn() -> P + Sync,
    sink: Option<S>,
) -> Result<(Part, Vec<P>), Halt<S::Error>> {
    let all = plan.blocks(order.campaigns);
    assert!(blocks.start <= blocks.end && blocks.end <= all, "{blocks:?} of {all} blocks");
    assert!(
        plan.inner().is_none() || blocks.end == all || plan.sets_of(&blocks).is_some(),
        "blocks {blocks:?} cut a parameter set"
    );
    Shared::new(plan, order, blocks, sink).run(player)
}

/// A block that was played but whose predecessors were not.
struct Played {
    block: u64,
    kept: Kept,
}

/// What a worker keeps of a block until its turn has come.
#[derive(Clone)]
struct Kept {
    /// rows of the block, or of its last campaign if nobody wants them
    rows: Vec<CampaignRows>,
    /// sums over the block, where campaigns share parameter sets
    sums: Option<SetSums>,
}

/// What workers share, behind one lock that is taken twice a block.
struct State<S: Sink> {
    tree: Tree,
    sets: Option<SetBooks>,
    sink: Option<S>,
    /// the first block not yet played and given out
    next: u64,
    ahead: Vec<Played>,
    spare: Vec<Kept>,
    played: u64,
    halted: bool,
    refused: Option<(u64, S::Error)>,
}

struct Shared<'a, S: Sink> {
    plan: &'a Plan,
    order: Order<'a>,
    /// blocks to play
    blocks: Range<u64>,
    /// threads to start
    threads: usize,
    /// how far a worker may be ahead of the slowest
    window: u64,
    /// what a worker begins with
    empty: Kept,
    handed_out: AtomicU64,
    state: Mutex<State<S>>,
    moved_on: Condvar,
}

/// What one worker is left with.
struct Worker<P> {
    player: P,
    histograms: Histograms,
    extremes: Extremes,
}

impl<'a, S: Sink> Shared<'a, S> {
    fn new(plan: &'a Plan, order: Order<'a>, blocks: Range<u64>, sink: Option<S>) -> Self {
        let many = (blocks.end - blocks.start).max(1);
        let threads = order.threads.get().min(usize::try_from(many).unwrap_or(usize::MAX));
        let window = WINDOW_PER_THREAD * threads as u64;
        // blocks of a parameter set
        let per = plan.inner().map_or(1, |inner| inner.div_ceil(BLOCK));
        let state = State {
            tree: Tree::new(plan),
            sets: SetBooks::from(plan, blocks.start / per),
            next: blocks.start,
            ahead: Vec::with_capacity(window as usize),
            spare: Vec::with_capacity(window as usize),
            played: 0,
            halted: false,
            refused: None,
            sink,
        };
        let rows = if state.sink.is_some() { BLOCK as usize } else { 1 };
        let sums = state.sets.is_some().then(|| SetSums::new(plan));
        Shared {
            handed_out: AtomicU64::new(blocks.start),
            blocks,
            threads,
            empty: Kept { rows: vec![CampaignRows::new(plan); rows], sums },
            plan,
            order,
            window,
            state: Mutex::new(state),
            moved_on: Condvar::new(),
        }
    }

    fn run<P: Player>(
        self,
        player: impl Fn() -> P + Sync,
    ) -> Result<(Part, Vec<P>), Halt<S::Error>> {
        let threads = self.threads;
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .map_err(|source| Halt::Threads { threads, source })?;
        let workers = pool.broadcast(|_| self.work(player()));
        let state = self.state.into_inner().unwrap_or_else(PoisonError::into_inner);
        if let Some((campaign, source)) = state.refused {
            return Err(Halt::Sink { campaign, source });
        }
        if state.halted {
            return Err(Halt::Stopped { played: state.played });
        }
        let mut histograms = Histograms::new(self.plan);
        let mut extremes = Extremes::new(self.plan);
        let mut players = Vec::with_capacity(workers.len());
        for worker in workers {
            histograms.merge(&worker.histograms);
            extremes.merge(&worker.extremes);
            players.push(worker.player);
        }
        let sets = state.sets.map(|books| Box::new(books.into_part()));
        let nodes = state.tree.into_nodes();
        Ok((Part { blocks: self.blocks, nodes, histograms, extremes, sets }, players))
    }

    /// Plays blocks until there are none left.
    fn work<P: Player>(&self, mut player: P) -> Worker<P> {
        let _guard = HaltOnPanic(self);
        let mut books = Block::new(self.plan);
        let mut tally = self.lock().tree.take_spare();
        let mut kept = self.empty.clone();
        while let Some(block) = self.next_block() {
            let campaigns = self.plan.block(block, self.order.campaigns);
            let wanted = kept.rows.len();
            for campaign in campaigns.clone() {
                let rows = &mut kept.rows[(campaign - campaigns.start) as usize % wanted];
                rows.clear();
                player.play(campaign, rows);
                books.add(campaign, rows);
                kept.sums.iter_mut().for_each(|s| s.add(rows));
            }
            books.close_into(&mut tally);
            (tally, kept) = self.hand_in(block, tally, kept);
            kept.sums.iter_mut().for_each(SetSums::clear);
            self.order.progress.fetch_add(campaigns.end - campaigns.start, Ordering::Relaxed);
        }
        Worker { player, histograms: books.histograms, extremes: books.extremes }
    }

    /// The next block to play; waits while it is too far ahead; `None` at the end or on a halt.
    fn next_block(&self) -> Option<u64> {
        let block = self.handed_out.fetch_add(1, Ordering::Relaxed);
        if block >= self.blocks.end {
            return None;
        }
        let mut state = self.lock();
        // the worker that holds the first unfinished block never waits, so there is no deadlock
        while block >= state.next + self.window && !state.halted {
            state = self.moved_on.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        if self.order.stop.load(Ordering::Relaxed) && !state.halted {
            self.halt(&mut state);
        }
        (!state.halted).then_some(block)
    }

    /// Puts a played block in its place, gives out rows that are due, and returns a tally and rows
    /// to be used for the next block.
    fn hand_in(&self, block: u64, tally: Tally, kept: Kept) -> (Tally, Kept) {
        let mut state = self.lock();
        state.tree.insert(block, tally);
        state.played += self.length(block);
        state.ahead.push(Played { block, kept });
        while let Some(at) = state.ahead.iter().position(|p| p.block == state.next) {
            let due = state.ahead.swap_remove(at);
            self.give_out(&mut state, &due);
            if let (Some(books), Some(sums)) = (&mut state.sets, &due.kept.sums) {
                books.take(sums, self.length(due.block));
            }
            state.spare.push(due.kept);
            state.next += 1;
        }
        self.moved_on.notify_all();
        let kept = state.spare.pop().unwrap_or_else(|| self.empty.clone());
        (state.tree.take_spare(), kept)
    }

    fn give_out(&self, state: &mut State<S>, due: &Played) {
        if state.halted && state.refused.is_some() {
            return;
        }
        let Some(sink) = &mut state.sink else { return };
        let campaigns = self.plan.block(due.block, self.order.campaigns);
        for (campaign, rows) in campaigns.zip(&due.kept.rows) {
            if let Err(source) = sink.take(campaign, rows) {
                state.refused = Some((campaign, source));
                self.halt(state);
                return;
            }
        }
    }

    /// Campaigns in a block.
    fn length(&self, block: u64) -> u64 {
        let campaigns = self.plan.block(block, self.order.campaigns);
        campaigns.end - campaigns.start
    }

    fn halt(&self, state: &mut State<S>) {
        state.halted = true;
        self.moved_on.notify_all();
    }

    /// A worker that panicked poisons the lock; the others only have to see that they are halted.
    fn lock(&self) -> MutexGuard<'_, State<S>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Wakes those who wait if a worker panics; the thread pool then passes the panic on.
struct HaltOnPanic<'s, 'a, S: Sink>(&'s Shared<'a, S>);

impl<S: Sink> Drop for HaltOnPanic<'_, '_, S> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            let mut state = self.0.lock();
            self.0.halt(&mut state);
        }
    }
}
