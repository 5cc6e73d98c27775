//! Waiting for help: nothing is open to a team now (rule 22).

use super::metabolic::Doing;
use super::play::Play;
use super::repair::{Job, What};
use super::team::{Phase, TEAMS};
use super::weather::LOOK_AGAIN;
use crate::layout::{NONE, OUTSIDE, Where, each_of};
use crate::model::Part;

impl Play<'_> {
    /// The first end of a running clock in a team, s; infinite when none runs, as for people who hang
    /// at a panel.
    pub(super) fn clock_end(&self, k: usize) -> f64 {
        let open = each_of(self.teams[k].members).filter(|p| self.crew[*p].clock.open);
        open.fold(f64::INFINITY, |end, p| end.min(self.crew[p].clock.end()))
    }

    /// Whose clock has ended is missed at that moment: no way starts afterwards (rule 20). True if
    /// nobody of the team is left.
    pub(super) fn miss_ended(&mut self, k: usize) -> bool {
        let ended = |s: &Self, p: usize| {
            let c = &s.crew[p].clock;
            c.open && c.end() <= s.now + 1e-6
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
    pub(super) fn never_home(&mut self, k: usize) {
        for p in each_of(self.teams[k].members) {
            if self.crew[p].clock.open {
                self.miss(k, p);
            }
        }
        self.arrive_home(k);
    }

    /// Nothing is open: wait for a port, a repair, a weather change; at the latest until the first
    /// clock ends.
    pub(super) fn wait_for_help(&mut self, k: usize) {
        if self.no_way_out(k) {
            return;
        }
        let now = self.now;
        self.set_doing(k, self.teams[k].members, Doing::Rest);
        let end = match self.clock_end(k) {
            // No clock runs: they look now and then whether things have changed.
            end if end.is_infinite() => now + LOOK_AGAIN,
            end => end,
        };
        self.teams[k].phase = Phase::Stranded;
        // Somebody who blocks the chamber keeps it; a port they only stand before is free for others.
        let outside = each_of(self.teams[k].members)
            .all(|p| self.places.person[p].at == Where::Volume(OUTSIDE));
        if outside && self.teams[k].holds {
            self.release_quietly(k);
            self.plan_team(k, end.max(now));
            return self.wake_others(k);
        }
        self.plan_team(k, end.max(now));
    }

    /// A repair from inside of what keeps a team out of its home port, under way or about to begin, is on
    /// the mean done, and they by the planned list safe, before the first clock ends (rule 22).
    pub(super) fn mended_in_time(&self, k: usize) -> bool {
        let l = &self.arm.layout;
        let port = self.teams[k].home_port;
        let Some(home) = l.ports.get(port as usize) else { return false };
        let host = home.element;
        let list = home.ingress;
        if list == NONE || self.ending.is_some() {
            return false;
        }
        let keeps_out = |what: What| {
            let What::Part(pm) = what else { return false };
            match self.arm.part_modes[pm as usize].part {
                Part::Opening(o) => l.openings[o as usize].port == port,
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
        let waits = self.jobs.iter().filter(|j| !j.done && keeps_out(j.what));
        waits.filter_map(mean_end).any(|end| self.lasts(k, list, end - self.now))
    }

    pub(super) fn wake_others(&mut self, k: usize) {
        for j in 0..TEAMS {
            if j != k && self.teams[j].phase == Phase::Stranded {
                self.plan_team(j, self.now);
            }
        }
    }
}
