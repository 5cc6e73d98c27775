//! What drives the risk: campaigns are played again on the same luck with one mode, hazard or way
//! back made perfect, or certain at its next demand, and chains of what was necessary are counted.
//!
//! Campaigns are watched as they are played ([`Watch`]), so that none is played again as it was. How
//! many plays follow is given: first those in which somebody was missed or late, then every item in
//! turn, in campaigns that go by their number alone. Every sum is a whole number (hours in
//! millionths), so that books add up to the same bytes in any order: there is no tree.

mod books;
mod chain;
mod estimate;
mod items;
mod paths;
mod rota;
mod spares;
mod watch;

pub use books::{ArmBooks, Books, ItemBooks, OUTCOMES, Outcome};
use chain::Question;
pub use estimate::{Importance, Value, importance};
pub use items::{Item, Kind, items};
pub use paths::{MOST_PATHS, Path, Paths, Unseen};
use rota::{Job, Plan, Rota};
use watch::Left;
pub use watch::{MOST_KEPT, Sample, Watch};

use super::replicate::Order;
use crate::campaign::{Certain, Forced, Player};
use crate::model::Model;
use std::sync::atomic::{AtomicU64, Ordering};

/// Plays that drivers may cost for each play of the run they belong to.
pub const PLAYS: u64 = 2;

/// Drivers and paths of campaigns that were watched.
#[derive(Debug)]
pub struct Drivers<'m> {
    model: &'m Model,
    items: Vec<Vec<Item>>,
    sample: Sample,
    books: Books,
    plan: Plan,
}

impl<'m> Drivers<'m> {
    /// Plans them: about `plays` plays at most, of all architectures together.
    pub fn plan(model: &'m Model, watch: Watch, plays: u64) -> Drivers<'m> {
        let items: Vec<_> = (0..model.arms.len()).map(|a| items(model, a)).collect();
        let plan = Plan::new(&watch, &items, plays);
        Drivers { model, items, sample: watch.sample, books: watch.books, plan }
    }

    /// Campaigns of architectures to look at: what [`Order::progress`] counts up to.
    pub fn jobs(&self) -> u64 {
        self.plan.jobs.len() as u64
    }

    /// Works them out; `order` gives threads, stop flag and progress. `None` when it was stopped.
    ///
    /// # Panics
    /// If a player panics.
    pub fn work(self, order: Order) -> Option<Books> {
        let next = AtomicU64::new(0);
        let jobs = &self.plan.jobs;
        let work = || {
            let mut worker = Worker::new(&self);
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed) as usize;
                let Some(job) = jobs.get(at).filter(|_| !order.stop.load(Ordering::Relaxed)) else {
                    return worker.books;
                };
                worker.job(*job);
                order.progress.fetch_add(1, Ordering::Relaxed);
            }
        };
        let threads = order.threads.get().min(jobs.len().max(1));
        let parts: Vec<Books> = std::thread::scope(|s| {
            let started: Vec<_> = (0..threads).map(|_| s.spawn(work)).collect();
            let joined = started.into_iter().map(|t| t.join());
            joined.map(|r| r.unwrap_or_else(|e| std::panic::resume_unwind(e))).collect()
        });
        if order.stop.load(Ordering::Relaxed) {
            return None;
        }
        let mut all = self.books;
        parts.into_iter().for_each(|p| all.merge(p));
        Some(all)
    }
}

struct Worker<'d, 'm> {
    model: &'m Model,
    player: Player<'m>,
    books: Books,
    items: &'d [Vec<Item>],
    rotas: &'d [Rota],
    apart: u64,
}

impl<'d, 'm> Worker<'d, 'm> {
    fn new(d: &'d Drivers<'m>) -> Self {
        Worker {
            model: d.model,
            player: Player::new(d.model),
            books: Books::new(d.model),
            items: &d.items,
            rotas: &d.plan.rotas,
            apart: d.sample.apart,
        }
    }

    fn play(&mut self, arm: usize, campaign: u64, forced: Forced) -> Left {
        self.books.plays += 1;
        Left::of(self.player.play_forced(arm, campaign, forced))
    }

    /// Plays a campaign again with each item whose turn it is.
    fn job(&mut self, job: Job) {
        let campaign = job.rank * self.apart;
        let items = &self.items[job.arm];
        let rota = self.rotas[job.arm];
        let turn = |every: u64, i: usize| job.in_turn && Rota::turn(every, job.rank, i);
        for (i, item) in items.iter().enumerate() {
            if item.kind == Kind::Redundancy {
                if turn(rota.without, i) {
                    self.without(job, i);
                }
                continue;
            }
            let chosen = turn(rota.removal, i);
            if chosen {
                self.books.arms[job.arm].items[i].chosen(job.base.seen);
            }
            if (chosen || job.told) && item.may_matter(job.base.record) {
                let after = self.play(job.arm, campaign, item.removed(Forced::default())).seen;
                let books = &mut self.books.arms[job.arm].items[i];
                books.removed((job.told, chosen), job.base.seen, after);
            }
            if let Some(certain) = item.certain.filter(|_| turn(rota.certain, i)) {
                self.certain(job, i, certain);
            }
        }
        if job.told {
            self.chains(job, campaign);
        }
    }

    /// The campaign without a redundant thing; one that cannot differ is not played.
    fn without(&mut self, job: Job, i: usize) {
        let item = self.items[job.arm][i];
        let campaign = job.rank * self.apart;
        let after = match item.may_matter(job.base.record) {
            true => self.play(job.arm, campaign, item.removed(Forced::default())).seen,
            false => job.base.seen,
        };
        let books = &mut self.books.arms[job.arm].items[i];
        books.chosen(job.base.seen);
        books.without(job.base.seen, after);
    }

    fn certain(&mut self, job: Job, i: usize, certain: Certain) {
        let forced = Forced { certain: Some(certain), ..Forced::default() };
        let after = match self.items[job.arm][i].is_asked(job.base.record) {
            true => self.play(job.arm, job.rank * self.apart, forced).seen,
            false => job.base.seen,
        };
        self.books.arms[job.arm].items[i].certain(job.base.seen, after);
    }

    /// Counts what takes part in the first demand that was missed (or late), and the chain of it.
    fn chains(&mut self, job: Job, campaign: u64) {
        let (arm, base) = (job.arm, &job.base);
        for outcome in [Outcome::Missed, Outcome::Late] {
            let late = outcome == Outcome::Late;
            let Some(person) = base.lost.first(late).filter(|_| base.seen[outcome as usize] > 0)
            else {
                continue;
            };
            let items = self.items[arm].as_slice();
            let asked = Question { arm, campaign, items, base, person, late };
            let chain = self.takes_part(&asked);
            let ways = base.lost.ways[person];
            let mut record = crate::outcome::Record { ways, ..Default::default() };
            for i in &chain {
                items[*i].add_to(&mut record);
            }
            let books = &mut self.books.arms[arm];
            for (i, item) in items.iter().enumerate() {
                books.items[i].in_chain(outcome as usize, item.came_up(record));
            }
            books.paths[outcome as usize].add(record, campaign);
        }
    }
}
