//! What drives the risk: campaigns are played again on the same luck with one mode, hazard or way
//! back made perfect, or certain at its next demand, and chains of what was necessary are counted.
//!
//! Every sum is a whole number (hours in millionths), so that books add up to the same bytes in any
//! order: there is no tree. What is played again goes by the number of the campaign alone.

mod books;
mod chain;
mod estimate;
mod items;
mod paths;
mod spares;

pub use books::{ArmBooks, Books, ItemBooks, OUTCOMES, Outcome};
use chain::Question;
pub use estimate::{Importance, Value, importance};
pub use items::{Item, Kind, items};
pub use paths::{MOST_PATHS, Path, Paths, Unseen};

use crate::campaign::{Certain, Forced, Player};
use crate::model::Model;
use crate::outcome::{Lost, Record, STRANDED_BIT};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Campaigns of which every item that came up is removed; later ones are only played again if
/// somebody was missed or late: a quarter, from the first, 32 at least. What removing an item brings
/// about in the others is estimated from these, with its limits.
pub fn removed_in(campaigns: u64) -> u64 {
    (campaigns / 4).max(32)
}
/// Campaigns that are played with each item certain at its next demand: one in 64, from the first, 16
/// at least.
pub fn certain_in(campaigns: u64) -> u64 {
    (campaigns / 64).max(16)
}
/// Campaigns that are played without each redundant thing: one in 16, from the first, 32 at least.
pub fn without_in(campaigns: u64) -> u64 {
    (campaigns / 16).max(32)
}
/// Campaigns that a worker takes at a time.
const AT_A_TIME: u64 = 8;

/// How far apart the campaigns are that are played again. Without an outer loop the first ones are; with
/// one they are spread over all, so that as many parameter sets as can be take part.
pub fn apart(model: &Model, played: u64, again: u64) -> u64 {
    match model.inner {
        Some(_) => (played / again.max(1)).max(1),
        None => 1,
    }
}

/// Works out drivers and paths of `campaigns` campaigns: 0, `apart`, 2 `apart`, ... `None` when it was
/// stopped.
///
/// # Panics
/// If a player panics.
pub fn drivers(
    model: &Model,
    campaigns: u64,
    apart: u64,
    threads: NonZero<usize>,
    stop: &AtomicBool,
) -> Option<Books> {
    let next = AtomicU64::new(0);
    let work = || {
        let mut worker = Worker::new(model, campaigns);
        loop {
            let first = next.fetch_add(AT_A_TIME, Ordering::Relaxed);
            if first >= campaigns || stop.load(Ordering::Relaxed) {
                return worker.books;
            }
            for i in first..(first + AT_A_TIME).min(campaigns) {
                worker.campaign(i, i * apart);
            }
        }
    };
    let parts: Vec<Books> = std::thread::scope(|s| {
        let started: Vec<_> = (0..threads.get()).map(|_| s.spawn(work)).collect();
        let joined = started.into_iter().map(|t| t.join());
        joined.map(|r| r.unwrap_or_else(|e| std::panic::resume_unwind(e))).collect()
    });
    if stop.load(Ordering::Relaxed) {
        return None;
    }
    let mut all = Books::new(model);
    parts.into_iter().for_each(|p| all.merge(p));
    Some(all)
}

struct Worker<'m> {
    model: &'m Model,
    player: Player<'m>,
    books: Books,
    items: Vec<Vec<Item>>,
    breakdown: Vec<f64>,
    /// [`removed_in`], [`certain_in`] and [`without_in`].
    early: u64,
    certain: u64,
    without: u64,
}

/// What one play left: the three outcomes, the record, who was missed or late.
#[derive(Clone, Copy)]
struct Left {
    seen: [i64; OUTCOMES.len()],
    record: Record,
    lost: Lost,
}

impl<'m> Worker<'m> {
    fn new(model: &'m Model, campaigns: u64) -> Self {
        let items = (0..model.arms.len()).map(|a| items(model, a)).collect();
        let (player, books) = (Player::new(model), Books::new(model));
        let (early, certain) = (removed_in(campaigns), certain_in(campaigns));
        let (breakdown, without) = (Vec::new(), without_in(campaigns));
        Worker { model, player, books, items, breakdown, early, certain, without }
    }

    fn play(&mut self, arm: usize, campaign: u64, forced: Forced) -> Left {
        let out = self.player.play_forced(arm, campaign, forced);
        Left { seen: books::outcomes(&out.facts), record: out.record, lost: out.lost }
    }

    /// Plays campaign `campaign`, the one of rank `rank` among those that are played again.
    fn campaign(&mut self, rank: u64, campaign: u64) {
        for arm in 0..self.items.len() {
            let base = self.play(arm, campaign, Forced::default());
            self.breakdown.clear();
            self.breakdown.extend_from_slice(&self.player.world(arm).outcome().breakdown);
            self.books.arms[arm].base(rank < self.early, rank < self.without, base.seen);
            for i in 0..self.items[arm].len() {
                let item = self.items[arm][i];
                if item.kind == Kind::Redundancy {
                    self.without(arm, i, (rank, campaign), base);
                    continue;
                }
                let crossed = item.came_up(base.record);
                let lost = item.lost_at.map_or(0, |row| books::whole(self.breakdown[row]));
                let books = &mut self.books.arms[arm].items[i];
                books.take_part(crossed, lost, base.seen);
                let bad = base.seen[0] + base.seen[1] > 0;
                if item.may_matter(base.record) {
                    let again = bad || rank < self.early;
                    let after =
                        again.then(|| self.play(arm, campaign, item.removed(Forced::default())));
                    let books = &mut self.books.arms[arm].items[i];
                    books.removed(rank < self.early, base.seen, after.map(|l| l.seen));
                }
                if let Some(certain) = item.certain.filter(|_| rank < self.certain) {
                    self.certain(arm, i, campaign, certain, base);
                }
            }
            self.chains(arm, campaign, base);
        }
    }

    /// The campaign without a redundant thing; one that cannot differ is not played.
    fn without(&mut self, arm: usize, i: usize, (rank, campaign): (u64, u64), base: Left) {
        if rank >= self.without {
            return;
        }
        let item = self.items[arm][i];
        let after = match item.may_matter(base.record) {
            true => self.play(arm, campaign, item.removed(Forced::default())).seen,
            false => base.seen,
        };
        self.books.arms[arm].items[i].without(base.seen, after);
    }

    fn certain(&mut self, arm: usize, i: usize, campaign: u64, certain: Certain, base: Left) {
        // A way back is found not to work only where one is looked for.
        let asked = match certain {
            Certain::WayFails(_) => base.record.hazards & STRANDED_BIT != 0,
            _ => true,
        };
        let forced = Forced { certain: Some(certain), ..Forced::default() };
        let after = match asked {
            true => self.play(arm, campaign, forced).seen,
            false => base.seen,
        };
        self.books.arms[arm].items[i].certain(base.seen, after);
    }

    /// Counts what takes part in the first demand that was missed (or late), and the chain of it.
    fn chains(&mut self, arm: usize, campaign: u64, base: Left) {
        for outcome in [Outcome::Missed, Outcome::Late] {
            let late = outcome == Outcome::Late;
            let Some(person) = base.lost.first(late).filter(|_| base.seen[outcome as usize] > 0)
            else {
                continue;
            };
            let items = std::mem::take(&mut self.items[arm]);
            let asked = Question { arm, campaign, items: &items, base: &base, person, late };
            let chain = self.takes_part(&asked);
            let ways = base.lost.ways[person];
            let mut record = Record { ways, ..Record::default() };
            for i in &chain {
                items[*i].add_to(&mut record);
            }
            let books = &mut self.books.arms[arm];
            for (i, item) in items.iter().enumerate() {
                books.items[i].in_chain(outcome as usize, item.came_up(record));
            }
            books.paths[outcome as usize].add(record, campaign);
            self.items[arm] = items;
        }
    }
}
