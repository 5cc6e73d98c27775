//! Teams walk rows: one interpreter for every list of every access system.
//!
//! A row is begun (who, how long, clocks), and acts at its end: failures are asked, interlocks looked
//! at, then places, gas and dust change. A team walks on without the calendar until something else is
//! due before the end of its row.

use crate::campaign::agenda::Event;
use crate::campaign::owner::metabolic::Doing;
use crate::campaign::owner::team::Phase;
use crate::campaign::trace::Level;
use crate::campaign::verb::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::walk::who::needs_somebody;
use crate::campaign::world::World;
use crate::model::{Purpose, RowPlay};
use crate::plan::{
    Asked, BerthId, Broken, Condition, Crew, ListKind, NONE, Row, Spread, each_of, step, walk,
};
use crate::scenario::Action;

/// A row of a list, and what play knows of it.
#[derive(Clone, Copy)]
pub(in crate::campaign) struct Line<'a> {
    /// Its number.
    pub(in crate::campaign) i: usize,
    /// What its list is for.
    pub(in crate::campaign) kind: ListKind,
    /// The row.
    pub(in crate::campaign) row: &'a Row,
    /// Its numbers.
    pub(in crate::campaign) play: &'a RowPlay,
}

impl Line<'_> {
    /// In a `restore` list a row acts on every berth of the port.
    fn restores_berths(self) -> bool {
        self.row.berths && self.kind == ListKind::Restore
    }
}

impl<'m> World<'m> {
    /// An event of a team.
    pub(in crate::campaign) fn team_event(&mut self, k: usize, ticket: u32) {
        if self.teams[k].ticket != ticket {
            return;
        }
        match self.teams[k].phase {
            Phase::Idle => {}
            Phase::WaitPort => self.give_up_waiting(k),
            Phase::Begin | Phase::InRow => self.walk(k),
            Phase::Fetch => self.suits_fetched(k),
            Phase::Outside | Phase::Walking => self.outside_event(k),
            Phase::Stranded => self.stranded_event(k),
        }
    }

    /// Puts the next event of a team on the calendar; older ones become void.
    pub(in crate::campaign) fn plan_team(&mut self, k: usize, time: f64) {
        self.teams[k].ticket += 1;
        let event = Event::Team(k as u8, self.teams[k].ticket);
        self.plan(time, event);
    }

    /// A team that was given a list walks it as soon as the event now being handled is over: walking at
    /// once would carry the time past what the rest of that event does.
    pub(in crate::campaign) fn resume(&mut self, k: usize) {
        self.plan_team(k, self.now);
    }

    /// Walks rows until the list is done or something else is due.
    pub(in crate::campaign) fn walk(&mut self, k: usize) {
        loop {
            match self.teams[k].phase {
                Phase::Begin => {
                    let done = self.teams[k].leg.fill_only && self.has_filled(k);
                    let Some(line) = self.line(k).filter(|_| !done) else {
                        if !self.list_done(k) {
                            return;
                        }
                        continue;
                    };
                    if self.people.hurt != 0 && self.helpless(k) {
                        return self.strand_helpless(k);
                    }
                    self.now = self.teams[k].leg.t;
                    self.books.counts.rows += 1;
                    self.settle_unfed();
                    let g = self.spread(k, line.row);
                    let mut task = self.task(k, line, self.who_does(k, line, &g), &g);
                    let stands = self.begin_row(&mut task);
                    let t = &mut self.teams[k];
                    t.phase = Phase::InRow;
                    let end = t.leg.end;
                    if self.calendar.peek().is_some_and(|t| t < end) {
                        self.plan_team(k, end);
                        return;
                    }
                    self.now = end;
                    match stands {
                        true => self.end_row(&task),
                        false => self.finish_row(k, task.line),
                    }
                }
                Phase::InRow => {
                    let Some(line) = self.line(k) else { return };
                    self.now = self.teams[k].leg.end;
                    self.finish_row(k, line);
                }
                _ => return,
            }
        }
    }

    /// The row at which a team stands in its list; `None` at its end.
    #[inline]
    pub(in crate::campaign) fn line(&self, k: usize) -> Option<Line<'m>> {
        let arm = self.arm;
        let (id, i) = (self.teams[k].leg.list as usize, self.teams[k].leg.row);
        let (list, play) = (&arm.layout.lists[id], &arm.lists[id]);
        Some(Line { i, kind: list.kind, row: list.rows.get(i)?, play: play.rows.get(i)? })
    }

    /// A list that is played for its pressure rows alone has none left.
    fn has_filled(&self, k: usize) -> bool {
        let leg = &self.teams[k].leg;
        let rows = &self.arm.layout.lists[leg.list as usize].rows;
        !rows[leg.row..].iter().any(|r| r.action == Action::Repress)
    }

    /// Starts a list for a team at a row: draws the leg.
    pub(in crate::campaign) fn enter_list(&mut self, k: usize, list: u16, row: usize) {
        let play = &self.arm.lists[list as usize];
        let (campaign, kept) = (self.draws.campaign, &self.draws.kept);
        let now = self.now;
        let t = &mut self.teams[k];
        let path = play.hash ^ t.leg.path.rotate_left(21);
        let n = play.draws;
        Purpose::Leg.fill_kept(kept, campaign, path, t.leg.occasion, &mut t.leg.draws[..n]);
        self.books.counts.draws += n as u64;
        t.leg.list = list;
        t.leg.row = row;
        t.leg.tries = 0;
        t.leg.check_row = usize::MAX;
        t.leg.t = now;
        t.phase = Phase::Begin;
        t.port = self.arm.layout.lists[list as usize].port;
    }

    /// Who does a row.
    #[inline]
    fn who_does(&self, k: usize, line: Line, g: &Spread) -> Crew {
        let leg = &self.teams[k].leg;
        if leg.then != NONE && line.row.action == Action::Close && !leg.refill {
            return self.who_closes(k, g);
        }
        line.row.who.pick(g)
    }

    /// Begins a row: is there anything to do, at which berths, how long, whose clocks start. What it was
    /// begun with stands at its end (where nothing else comes due before), unless it is passed over or
    /// people travel.
    #[inline]
    fn begin_row(&mut self, task: &mut Task) -> bool {
        let Task { k, line, cast } = task;
        let (k, line, row, who) = (*k, *line, cast.row, cast.who);
        // What has leaked counts before a store is asked.
        if row.when.iter().any(|c| matches!(c.condition, Condition::GasCovers(..))) {
            self.settle_all_leaks();
        }
        let nobody = who == 0 && !needs_somebody(row);
        let restoring = line.restores_berths();
        let skip = nobody
            || self.teams[k].leg.then != NONE && !self.readies(k, row)
            || !row.when.iter().all(|c| self.holds(*c, k))
            || row.action == Action::Recharge && self.recharge_can_wait(k)
            || !restoring && self.already(task);
        let leg = &mut self.teams[k].leg;
        (leg.who, leg.skip) = (who, skip);
        if skip {
            leg.end = leg.t;
            return false;
        }
        let keeps = |p: usize| self.places.person[p].berth != BerthId::NONE;
        if row.berths && row.suit.is_none() && !restoring && !each_of(who).all(keeps) {
            let l = &self.arm.layout;
            let kept = self.places.keep_berths(l, row.port, who, row.frees);
            if kept.is_some() && row.action == Action::Mate {
                // Nobody mates where suits hang: one sees that there is no berth.
                self.teams[k].leg.end = self.teams[k].leg.t;
                return false;
            }
            task.cast.at = self.places.sites(l, row, who);
        }
        let takes = self.row_time(task);
        debug_assert!(takes >= 0.0 && takes.is_finite(), "{} takes {takes}", row.written.label);
        let leg = &mut self.teams[k].leg;
        leg.end = leg.t + takes;
        self.start_clocks(task);
        self.breath_at_start(k, row, who);
        match row.action {
            Action::Travel => {
                self.set_out(k, row, who);
                return false;
            }
            Action::Wait => self.set_doing(k, self.teams[k].members, Doing::Rest),
            _ => {}
        }
        true
    }

    /// A row ends: who is where by now, and what it acts on.
    fn finish_row(&mut self, k: usize, line: Line) {
        if self.teams[k].leg.skip {
            self.spend_elapsed(k, line.row.action);
            return self.next_row(k);
        }
        let g = self.spread(k, line.row);
        let task = self.task(k, line, self.teams[k].leg.who, &g);
        self.end_row(&task);
    }

    /// A row ends for those who do it.
    fn end_row(&mut self, task: &Task) {
        let (k, row, who) = (task.k, task.row, task.who);
        self.spend_elapsed(k, row.action);
        if self.nobody_leaves() && row.egress && self.teams[k].leg.then == NONE {
            return self.row_failed(k, row, Failure::Ending);
        }
        if self.hits_due(k) && self.teams[k].parted && self.on_the_way_out(k) {
            let cause = self.teams[k].back.cause;
            self.recall_egress(k, cause);
        }
        if self.teams[k].back.recall != NONE && self.can_abort(k) {
            return self.turn_round(k, row);
        }
        let result = match task.line.restores_berths() {
            true => self.try_every_berth(task),
            false => self.try_row(task),
        };
        match result {
            Ok(()) => {
                self.tell_row(k, row, who, None);
                if self.sky.shelter_asked() {
                    self.look_at_shelter();
                }
                self.close_demands(k, row);
                if row.action == Action::Doff && self.wanted_inside(k) {
                    self.teams[k].leg.t = self.teams[k].leg.end;
                    return self.stay_inside(k);
                }
                self.next_row(k);
                self.yields_now(k);
            }
            Err(f) => {
                self.tell_row(k, row, who, Some(f));
                self.gas_of_failed_fill(task, f);
                self.row_failed(k, row, f);
            }
        }
    }

    fn try_every_berth(&mut self, all: &Task) -> Result<(), Failure> {
        let Task { k, line, cast } = *all;
        let one = cast.who & cast.who.wrapping_neg();
        let arm = self.arm;
        for b in &arm.layout.ports[self.teams[k].port as usize].berths {
            each_of(one).for_each(|p| self.places.person[p].berth = *b);
            let task = self.task(k, line, one, cast.g);
            if self.places.suit_at(*b).is_some() && !self.already(&task) {
                self.try_row(&task)?;
            }
        }
        walk::release_berths(&mut self.places, one);
        Ok(())
    }

    #[inline(always)]
    pub(in crate::campaign) fn next_row(&mut self, k: usize) {
        let t = &mut self.teams[k];
        t.leg.row += 1;
        // A check that goes back to its cleaning row keeps count of its tries.
        t.leg.tries = if t.leg.check_row == t.leg.row { t.leg.check_tries } else { 0 };
        if t.leg.check_row < t.leg.row {
            t.leg.check_row = usize::MAX;
        }
        t.leg.t = t.leg.end;
        t.phase = Phase::Begin;
        if t.leg.then != NONE && !t.leg.refill {
            self.ready_so_far(k);
        }
    }

    #[inline]
    pub(in crate::campaign) fn spend_elapsed(&mut self, k: usize, action: Action) {
        let t = &mut self.teams[k];
        t.out.elapsed += t.leg.end - t.leg.t;
        t.out.by_action[action as usize] += t.leg.end - t.leg.t;
    }

    /// The row's failures are asked, its interlocks looked at; if all is well it acts.
    #[inline(always)] // once a row
    pub(in crate::campaign) fn try_row(&mut self, t: &Task) -> Result<(), Failure> {
        if t.who == 0 {
            return Err(Failure::Broken(Broken::NotThere));
        }
        if self.on_perfect_way(t.k) {
            return self.perfect_row(t);
        }
        self.casualty_chance(t)?;
        self.free_stuck(t);
        self.row_asks(t)?;
        if let Some(b) = step::broken(&self.places, &t.cast) {
            self.found_stuck(t, b);
            return Err(Failure::Broken(b));
        }
        self.store_gives(t)?;
        self.act(t);
        Ok(())
    }

    #[inline]
    pub(in crate::campaign) fn tell_row(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        failed: Option<Failure>,
    ) {
        if self.story.is_some() {
            self.write_row(k, row, who, failed);
        }
    }

    #[cold]
    fn write_row(&mut self, k: usize, row: &Row, who: Crew, failed: Option<Failure>) {
        let slot = self.slot_of(k);
        self.say(Level::Row, slot, |s| s.row_words(k, row, who, failed));
        if let Some(f) = failed {
            self.say_link(slot, |s| s.failure_words(k, row, f));
        }
    }

    /// Slot of a team, for stories.
    pub(in crate::campaign) fn slot_of(&self, k: usize) -> Option<u32> {
        let s = self.teams[k].slot;
        (s != u32::MAX).then_some(s)
    }

    /// Does a condition hold for a team now? What is not found is not seen.
    pub(in crate::campaign) fn holds(&self, c: Asked, k: usize) -> bool {
        self.met(c, k, self.teams[k].port)
    }
}
