//! Waiting for help: nothing is open to a team now (rule 22).

use crate::campaign::errand::repair::What;
use crate::campaign::owner::jobs::Job;
use crate::campaign::owner::metabolic::Doing;
use crate::campaign::owner::team::{Phase, TEAMS};
use crate::campaign::trace::Level;
use crate::campaign::weather::LOOK_AGAIN;
use crate::campaign::world::World;
use crate::model::Part;
use crate::plan::{NONE, OUTSIDE, On, Where, each_of, walk};
use crate::scenario::Action;

impl World<'_> {
    /// The first end of a running clock in a team, s; infinite when none runs, as for people who hang
    /// at a panel.
    pub(in crate::campaign) fn clock_end(&self, k: usize) -> f64 {
        let open = each_of(self.teams[k].members).filter(|p| self.people.crew[*p].clock.open);
        open.fold(f64::INFINITY, |end, p| end.min(self.people.crew[p].clock.end()))
    }

    /// Whose clock has ended is missed at that moment: no way starts afterwards (rule 20). True if
    /// nobody of the team is left.
    pub(in crate::campaign) fn miss_ended(&mut self, k: usize) -> bool {
        let ended = |s: &Self, p: usize| {
            let c = &s.people.crew[p].clock;
            c.open && c.ended(s.now)
        };
        if each_of(self.teams[k].members).any(|p| ended(self, p)) {
            self.share_secondary(k);
        }
        for p in each_of(self.teams[k].members) {
            if ended(self, p) {
                self.miss(k, p);
            }
        }
        self.teams[k].members == 0
    }

    /// The campaign is over, or ends and nobody repairs any more, while a team waits on a supply that
    /// does not end: who has not been safe until now never is.
    pub(in crate::campaign) fn never_home(&mut self, k: usize) {
        for p in each_of(self.teams[k].members) {
            if self.people.crew[p].clock.open {
                self.miss(k, p);
            }
        }
        self.arrive_home(k);
    }

    /// The team is in and only refills suits (or is about to) while somebody on suit supply waits before a
    /// port of the same element: they are done, the port is free.
    pub(in crate::campaign) fn recharge_can_wait(&self, k: usize) -> bool {
        let (l, t) = (&self.arm.layout, &self.teams[k]);
        let list = &l.lists[t.leg.list as usize];
        let refills = list.rows.get(t.leg.row).is_some_and(|r| {
            r.action == Action::Recharge && r.on == On::Suit && list.kind.comes_in()
        });
        if !refills || !walk::all_in(l, &self.places, t.members) {
            return false;
        }
        let element = |port: u16| l.ports[port as usize].element;
        let on_supply =
            |p: usize| self.people.crew[p].clock.open && !self.people.crew[p].clock.paused;
        self.teams.iter().enumerate().any(|(j, o)| {
            // Who only waits for their turn waits for the whole list.
            let stranded = j != k && o.phase == Phase::Stranded && o.back.planned_tried;
            let waits = stranded && each_of(o.members).any(on_supply);
            waits && element(o.home_port) == element(list.port)
        })
    }

    /// Others who refill suits leave off for who is stranded.
    fn stop_recharging(&mut self, k: usize) {
        for j in (0..TEAMS).filter(|j| *j != k) {
            if self.teams[j].phase == Phase::InRow && self.recharge_can_wait(j) {
                self.teams[j].leg.end = self.now;
                self.plan_team(j, self.now);
            }
        }
    }

    /// Nothing is open: wait for a port, a repair, a weather change; at the latest until the first
    /// clock ends.
    pub(in crate::campaign) fn wait_for_help(&mut self, k: usize) {
        let now = self.now;
        self.set_doing(k, self.teams[k].members, Doing::Rest);
        let end = match self.clock_end(k) {
            // No clock runs: they look now and then whether things have changed.
            end if end.is_infinite() => now + LOOK_AGAIN,
            end => end.min(self.looks_again_at(k)),
        };
        self.teams[k].phase = Phase::Stranded;
        self.stop_recharging(k);
        // Somebody who blocks the chamber keeps it; a port they only stand before is free for others.
        let outside = each_of(self.teams[k].members)
            .all(|p| self.places.person[p].at() == Where::Volume(OUTSIDE));
        if outside && self.teams[k].holds {
            self.release_quietly(k);
            self.plan_team(k, end.max(now));
            return self.wake_others(k);
        }
        self.plan_team(k, end.max(now));
    }

    /// A rover is on its way to where a team stands, and a way by it fits in what they have left: they wait
    /// for it at rest (rule 22).
    pub(in crate::campaign) fn wait_for_rover(&mut self, k: usize, arrives: f64) {
        let minutes = (arrives - self.now) / 60.0;
        self.say(Level::Event, self.slot_of(k), |s| {
            let names = s.names(s.teams[k].members);
            format!("{names} wait for a rover on its way here, {minutes:.0} min")
        });
        self.wait_for_help(k);
        if self.teams[k].phase == Phase::Stranded {
            self.plan_team(k, arrives.min(self.clock_end(k)));
        }
    }

    /// A repair from inside of what keeps a team out of its home port, under way or about to begin, is on
    /// the mean done, and they by the planned list safe, before the first clock ends (rule 22).
    pub(in crate::campaign) fn mended_in_time(&self, k: usize) -> bool {
        let l = &self.arm.layout;
        let port = self.teams[k].home_port;
        let Some(home) = l.ports.get(port as usize) else { return false };
        let host = home.element;
        let list = home.ingress;
        if list == NONE || self.course.ending.is_some() {
            return false;
        }
        let keeps_out = |what: What| {
            let What::Part(pm) = what else { return false };
            match self.arm.part_modes[pm as usize].part {
                Part::Opening(o) => l.openings[o].port == port,
                _ => false,
            }
        };
        let mean_end = |j: &Job| {
            let r = self.repair_of(j.what)?;
            let from = if j.running {
                j.since
            } else if self.can_begin(j.what, host) {
                self.now
            } else {
                return None;
            };
            (r.inside).then(|| (from + r.takes.mean()).max(self.now))
        };
        let waits = self.jobs.open().map(|(_, j)| j).filter(|j| keeps_out(j.what));
        waits.filter_map(mean_end).any(|end| self.lasts(k, list, end - self.now))
    }

    pub(in crate::campaign) fn wake_others(&mut self, k: usize) {
        for j in 0..TEAMS {
            if j != k && self.teams[j].phase == Phase::Stranded {
                self.plan_team(j, self.now);
            }
        }
    }
}
