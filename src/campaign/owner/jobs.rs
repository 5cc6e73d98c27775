//! The books of repairs: jobs with their attempts, and spares in stock and in hand (rule 31).

use crate::campaign::errand::repair::What;
use crate::plan::Crew;

/// What is left of a repair outside counts as nothing below this, s.
const LEFT: f64 = 1e-6;

/// One repair job.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Job {
    /// What.
    pub(in crate::campaign) what: What,
    /// Number: order of finding.
    pub(in crate::campaign) number: u32,
    /// Attempt.
    pub(in crate::campaign) attempt: u32,
    /// Who works on it (nobody where none are needed).
    pub(in crate::campaign) crew: Crew,
    /// An attempt is under way.
    pub(in crate::campaign) running: bool,
    /// Kind of spare that the attempt has in hand.
    pub(in crate::campaign) in_hand: Option<u16>,
    /// What is left of a repair outside that took more than one time out, s; 0: not begun.
    pub(in crate::campaign) left: f64,
    /// Start of the attempt, s.
    pub(in crate::campaign) since: f64,
    /// End of the attempt, s.
    pub(in crate::campaign) until: f64,
    /// Counts attempts over all jobs, so that events of dropped jobs are known.
    pub(in crate::campaign) ticket: u32,
    /// Over.
    pub(in crate::campaign) done: bool,
}

impl Job {
    /// Nobody works on it, whatever comes of what was planned for it.
    fn rests(&mut self) {
        (self.crew, self.running) = (0, false);
        self.ticket += 1;
    }
}

/// All jobs and spares.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Jobs {
    jobs: Vec<Job>,
    found: u32,
    stock: Vec<u32>,
    brought: u32,
}

impl Jobs {
    /// So many kinds of spare.
    pub(in crate::campaign) fn new(kinds: usize) -> Jobs {
        Jobs { jobs: Vec::with_capacity(64), found: 0, stock: vec![0; kinds], brought: 0 }
    }

    /// No jobs, and the spares of the start.
    pub(in crate::campaign) fn clear(&mut self, stock: impl Iterator<Item = u32>) {
        self.jobs.clear();
        self.found = 0;
        self.stock.iter_mut().zip(stock).for_each(|(have, n)| *have = n);
        self.brought = 0;
    }

    /// A job is found; it takes the place of one that is over.
    pub(in crate::campaign) fn find(&mut self, what: What) {
        let job = Job {
            what,
            number: self.found,
            attempt: 0,
            crew: 0,
            running: false,
            in_hand: None,
            left: 0.0,
            since: 0.0,
            until: 0.0,
            ticket: 0,
            done: false,
        };
        self.found += 1;
        match self.jobs.iter_mut().find(|j| j.done) {
            Some(old) => *old = Job { ticket: old.ticket + 1, ..job },
            None => self.jobs.push(job),
        }
    }

    /// A job.
    pub(in crate::campaign) fn job(&self, j: usize) -> &Job {
        &self.jobs[j]
    }

    /// Jobs that are not over, with their indices.
    pub(in crate::campaign) fn open(&self) -> impl Iterator<Item = (usize, &Job)> {
        self.jobs.iter().enumerate().filter(|(_, j)| !j.done)
    }

    /// Does a job wait for somebody to begin with it?
    pub(in crate::campaign) fn any_waits(&self) -> bool {
        self.open().any(|(_, j)| !j.running)
    }

    /// How many places for jobs there are, over or not.
    pub(in crate::campaign) fn places(&self) -> usize {
        self.jobs.len()
    }

    /// The next waiting job in order of finding after number `last`, of those that are asked for.
    pub(in crate::campaign) fn next(
        &self,
        last: Option<u32>,
        asked: impl Fn(What) -> bool,
    ) -> Option<usize> {
        let after = |j: &Job| last.is_none_or(|l| j.number > l);
        let waits = self.open().filter(|(_, j)| !j.running && after(j) && asked(j.what));
        waits.min_by_key(|(_, j)| j.number).map(|(i, _)| i)
    }

    /// An attempt begins, which ends at a time of its own: the ticket of its end.
    pub(in crate::campaign) fn begin(&mut self, j: usize, crew: Crew, now: f64, until: f64) -> u32 {
        self.jobs[j].until = until;
        self.begin_outside(j, crew, now)
    }

    /// A team goes out for a job: its ticket.
    pub(in crate::campaign) fn begin_outside(&mut self, j: usize, crew: Crew, now: f64) -> u32 {
        let job = &mut self.jobs[j];
        (job.crew, job.running, job.since) = (crew, true, now);
        job.ticket += 1;
        job.ticket
    }

    /// Hours of an attempt are booked up to now.
    pub(in crate::campaign) fn booked(&mut self, j: usize, now: f64) {
        self.jobs[j].since = now;
    }

    /// A job outside takes so long in all, s.
    pub(in crate::campaign) fn takes(&mut self, j: usize, time: f64) {
        self.jobs[j].left = time;
    }

    /// Work was done outside for a job, s. True if nothing is left of it.
    pub(in crate::campaign) fn work(&mut self, j: usize, time: f64) -> bool {
        self.jobs[j].left -= time;
        self.jobs[j].left <= LEFT
    }

    /// The time out is over and the job is not: it waits for another.
    pub(in crate::campaign) fn wait(&mut self, j: usize) {
        self.jobs[j].rests();
    }

    /// An attempt is given up before its end; what was in hand goes back into stock.
    pub(in crate::campaign) fn give_up(&mut self, j: usize) {
        self.put_back(j);
        self.jobs[j].attempt += 1;
        self.jobs[j].rests();
    }

    /// An attempt has come to its end.
    pub(in crate::campaign) fn attempt_over(&mut self, j: usize) {
        let job = &mut self.jobs[j];
        (job.crew, job.running, job.left) = (0, false, 0.0);
        job.attempt += 1;
    }

    /// A job is over; what was in hand goes back into stock. Gives who worked on it.
    pub(in crate::campaign) fn close(&mut self, j: usize) -> Crew {
        self.put_back(j);
        let crew = self.jobs[j].crew;
        self.jobs[j].rests();
        self.jobs[j].done = true;
        crew
    }

    fn put_back(&mut self, j: usize) {
        if let Some(kind) = self.jobs[j].in_hand.take() {
            self.stock[usize::from(kind)] += 1;
        }
    }

    /// Is there a spare of a kind in stock?
    pub(in crate::campaign) fn in_stock(&self, kind: u16) -> bool {
        self.stock[usize::from(kind)] > 0
    }

    /// One of a kind that is in stock is used up.
    pub(in crate::campaign) fn use_up(&mut self, kind: u16) {
        self.stock[usize::from(kind)] -= 1;
    }

    /// An attempt takes one of a kind in hand, if there is one.
    pub(in crate::campaign) fn take_in_hand(&mut self, j: usize, kind: u16) {
        if self.in_stock(kind) {
            self.stock[usize::from(kind)] -= 1;
            self.jobs[j].in_hand = Some(kind);
        }
    }

    /// What an attempt had in hand is used up.
    pub(in crate::campaign) fn use_in_hand(&mut self, j: usize) -> Option<u16> {
        self.jobs[j].in_hand.take()
    }

    /// A flight brings spares of a kind.
    pub(in crate::campaign) fn bring(&mut self, kind: u16, n: u32) {
        self.stock[usize::from(kind)] += n;
        self.brought += n;
    }

    /// Spares in stock and in hand, and those that flights have brought.
    pub(in crate::campaign) fn spares(&self) -> (u32, u32) {
        let in_hand = self.jobs.iter().filter(|j| j.in_hand.is_some()).count() as u32;
        (self.stock.iter().sum::<u32>() + in_hand, self.brought)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::SuitId;

    #[test]
    fn jobs_wait_in_order_of_finding_and_take_the_place_of_old_ones() {
        let mut r = Jobs::new(0);
        (0..3).for_each(|pm| r.find(What::Part(pm)));
        assert_eq!(r.next(None, |_| true), Some(0));
        assert_eq!(r.next(Some(0), |w| w != What::Part(1)), Some(2));
        let ticket = r.begin(0, 0b11, 5.0, 9.0);
        assert!(r.any_waits());
        assert_eq!((r.next(None, |_| true), ticket), (Some(1), 1));
        assert_eq!((r.close(0), r.open().count()), (0b11, 2));
        r.find(What::Suit(SuitId::new(1), 2));
        assert_eq!((r.places(), r.job(0).number, r.job(0).ticket), (3, 3, 3));
        r.begin(1, 0b1, 5.0, 9.0);
        r.begin(2, 0b1, 5.0, 9.0);
        r.close(0);
        assert!(!r.any_waits());
        r.clear([].into_iter());
        assert_eq!((r.places(), r.next(None, |_| true), r.any_waits()), (0, None, false));
    }

    #[test]
    fn a_spare_in_hand_is_used_up_or_goes_back() {
        let mut r = Jobs::new(2);
        r.clear([1, 0].into_iter());
        r.find(What::Part(0));
        r.take_in_hand(0, 1);
        assert!(r.use_in_hand(0).is_none());
        r.take_in_hand(0, 0);
        assert!(!r.in_stock(0) && r.spares() == (1, 0));
        r.give_up(0);
        assert!(r.in_stock(0) && r.job(0).attempt == 1);
        r.take_in_hand(0, 0);
        assert_eq!(r.use_in_hand(0), Some(0));
        r.bring(1, 3);
        r.use_up(1);
        assert_eq!(r.spares(), (2, 3));
    }

    #[test]
    fn work_outside_goes_on_another_time() {
        let mut r = Jobs::new(0);
        r.find(What::Part(0));
        r.takes(0, 100.0);
        r.begin_outside(0, 1, 5.0);
        assert!(!r.work(0, 60.0) && r.job(0).running);
        r.wait(0);
        assert!(!r.job(0).running && r.job(0).left == 40.0);
        assert!(r.work(0, 40.0));
        r.attempt_over(0);
        assert_eq!((r.job(0).attempt, r.job(0).left, r.job(0).done), (1, 0.0, false));
    }
}
