//! The planned end (rule 25): every book stops there, to the second. Who is on the way then goes on by the
//! same rules, but only what becomes of open demands, their margin and the hours shut in are counted.
//!
//! At the end what runs is booked as far as it has come, facts are read, and the books are kept. The
//! world plays on with books that nobody reads any more, so that gas and dust still add up in it.

use crate::campaign::owner::team::{Errand, Phase, TEAMS};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::UpkeepCause;
use crate::plan::{NONE, each_of};

/// Facts of demands: these go on until every demand has ended.
const RUN_ON: &[Fact] = &[
    Fact::HavenDemands,
    Fact::HavenPlanned,
    Fact::HavenWayBack,
    Fact::HavenLate,
    Fact::HavenMissed,
    Fact::HavenReached,
    Fact::Margin,
    Fact::MarginContingency,
    Fact::ShutIn,
    Fact::Incapacitations,
    Fact::Rescues,
    Fact::RescueMinutes,
    Fact::RescueLate,
    Fact::CampaignHavenMissed,
    Fact::CampaignCutShort,
];

impl World<'_> {
    /// The planned end has come. Nobody goes out from now on.
    pub(in crate::campaign) fn planned_end(&mut self) {
        self.course.horizon_passed = true;
        for k in 0..TEAMS {
            if self.teams[k].phase == Phase::WaitPort {
                self.give_up_waiting(k);
            }
        }
        if self.over() {
            return; // nothing runs on: the books are closed at the end of play, which is now
        }
        self.say(Level::Event, None, |_| "the planned end: the books are closed".to_string());
        self.cancel_rest();
        self.book_what_runs();
        self.close_books();
        self.books.closed.take_from(&self.books.out);
        self.books.books_closed = true;
    }

    /// The books as they were closed at the planned end, with what became of the demands.
    pub(in crate::campaign) fn back_to_closed_books(&mut self) {
        std::mem::swap(&mut self.books.out, &mut self.books.closed);
        let later = &self.books.closed;
        for fact in RUN_ON {
            self.books.out.facts.value[*fact as usize] = later.facts.value[*fact as usize];
        }
        self.books.out.havens.copy_from_slice(&later.havens);
        (self.books.out.record, self.books.out.lost) = (later.record, later.lost);
    }

    /// Nobody goes out any more: trouble ends the campaign, or its planned end is over.
    pub(in crate::campaign) fn nobody_leaves(&self) -> bool {
        self.course.ending.is_some() || self.course.horizon_passed
    }

    /// Books what has been used and worked up to now and is booked at its end otherwise.
    fn book_what_runs(&mut self) {
        for p in 0..self.arm.layout.crew {
            if self.people.crew[p].clock.open {
                let of =
                    |t: &crate::campaign::owner::team::Team| (t.members | t.rescuers) & 1 << p != 0;
                let port = self.teams.iter().find(|t| of(t)).map_or(NONE, |t| t.home_port);
                self.book_supply(p, port);
            }
            self.book_work_from_within(p);
        }
        for k in 0..TEAMS {
            if self.teams[k].phase != Phase::Idle {
                self.book_team_so_far(k);
            }
        }
        for j in 0..self.jobs.places() {
            self.book_work_so_far(j);
        }
    }

    /// Hours and overhead of a team as far as it has come.
    fn book_team_so_far(&mut self, k: usize) {
        if self.teams[k].phase == Phase::InRow {
            let t = &mut self.teams[k];
            let row = &self.arm.layout.lists[t.leg.list as usize].rows[t.leg.row];
            let spent = (self.now - t.leg.t).max(0.0);
            t.out.elapsed += spent;
            t.out.by_action[row.action as usize] += spent;
        }
        let people = f64::from(self.teams[k].members.count_ones());
        match self.teams[k].errand {
            Errand::Sortie | Errand::Return => self.book_sortie_so_far(k),
            Errand::Repair(_) => {
                let spent = self.now - self.teams[k].out.started;
                self.upkeep(UpkeepCause::Repair, spent * people);
            }
            Errand::Restore => {
                self.upkeep(UpkeepCause::Restore, self.teams[k].out.elapsed * people)
            }
            Errand::Undock(_) | Errand::Dock => self.book_crossing(k),
        }
    }

    /// The slot of a team is closed: what it had still to do outside is lost to the end of the campaign.
    fn book_sortie_so_far(&mut self, k: usize) {
        let door = self.teams[k].out.door_at;
        let out = matches!(self.teams[k].phase, Phase::Outside | Phase::Walking);
        if out {
            self.teams[k].out.door_at = self.now;
            self.count_done(k);
            each_of(self.teams[k].members).for_each(|p| self.people.crew[p].door_at = self.now);
            self.pick_up_dust_so_far(k);
        }
        self.close_slot(k);
        self.teams[k].out.door_at = door;
    }

    /// What a team would still have done when the planned end comes is lost to that, and to no failure: of
    /// the planned hours, the stay and the hours done, in hours, those still to come; `None` if something
    /// else has ended work, or it is over.
    pub(in crate::campaign) fn ended_by_plan(
        &self,
        k: usize,
        went: bool,
        hours: [f64; 3],
    ) -> Option<f64> {
        let [planned, stay, done] = hours;
        let t = &self.teams[k];
        let at_work = matches!(t.phase, Phase::Outside | Phase::Walking);
        match (self.course.horizon_passed && !t.back.has_cause, went) {
            (true, true) if at_work => Some((stay - done).clamp(0.0, (planned - done).max(0.0))),
            (true, false) => Some(planned - done),
            _ => None,
        }
    }
}
