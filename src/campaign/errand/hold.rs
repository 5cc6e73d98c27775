//! Who holds a port and who waits for it.

use crate::campaign::errand::slots::Exit;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase, TEAMS, Team};
use crate::campaign::world::World;
use crate::model::cause;
use crate::plan::each_of;

impl World<'_> {
    /// A team takes the port of its slot and leaves by a list of it, or waits for it.
    pub(in crate::campaign) fn take_port(&mut self, i: u32, Exit { port, list }: Exit) {
        let slot = self.m.slots[i as usize];
        let Some(k) = self.new_team(Errand::Sortie, slot.roster) else {
            return self.cancel(i, cause::BUSY);
        };
        let activity = &self.m.activities[slot.activity as usize];
        let t = &mut self.teams[k];
        t.slot = i;
        t.books = true;
        t.port = port;
        t.home_port = port;
        t.leg.path = activity.hash;
        t.leg.occasion = u64::from(slot.number);
        t.out.started = self.now;
        if self.can_leave(k) {
            return self.start_sortie(k, list);
        }
        self.teams[k].phase = Phase::WaitPort;
        let wait = self.numbers.rules.wait_at_most;
        self.plan_team(k, self.now + wait);
    }

    /// The port was not free in time: the slot is cancelled.
    pub(in crate::campaign) fn give_up_waiting(&mut self, k: usize) {
        let (slot, port) = (self.teams[k].slot, self.teams[k].port);
        let waited = self.now - self.teams[k].out.started;
        let n = f64::from(self.teams[k].members.count_ones());
        self.overhead(waited * n);
        self.free_members(k);
        self.teams[k].clear();
        self.cancel(slot, self.in_use_why(port));
    }

    pub(in crate::campaign) fn hold_port(&mut self, k: usize, port: u16) {
        self.ports.hold(port, k);
        self.teams[k].port = port;
        self.teams[k].holds = true;
    }

    /// Lets go of the port a team holds and wakes those who wait.
    pub(in crate::campaign) fn release_port(&mut self, k: usize) {
        if !self.teams[k].holds {
            return;
        }
        self.teams[k].holds = false;
        let port = self.teams[k].port;
        self.ports.let_go(port, k);
        self.wake();
    }

    /// Somebody who waits may go on: stranded teams first, casualties before others, then sorties in
    /// order of their slots.
    pub(in crate::campaign) fn wake(&mut self) {
        let now = self.now;
        self.look_at_recharge();
        let waits = |t: &Team| matches!(t.phase, Phase::Stranded | Phase::WaitPort);
        if !self.teams.iter().any(waits) {
            return;
        }
        for hurt_first in [true, false] {
            for k in 0..TEAMS {
                let hurt = self.teams[k].members & self.people.hurt != 0;
                if self.teams[k].phase == Phase::Stranded && hurt == hurt_first {
                    self.plan_team(k, now);
                }
            }
        }
        for k in 0..TEAMS {
            if self.teams[k].phase == Phase::WaitPort && self.can_leave(k) {
                let t = &self.teams[k];
                let waited = now - t.out.started;
                let n = f64::from(t.members.count_ones());
                self.overhead(waited * n);
                self.teams[k].out.started = now;
                let slot = self.teams[k].slot;
                let members = self.teams[k].members;
                self.free_members(k);
                let again = self.slot_obstacle(slot);
                match again {
                    Ok(Exit { port, list }) if self.ports.free(port) => {
                        each_of(members)
                            .for_each(|p| self.people.crew[p].busy = Busy::Team(k as u8));
                        self.teams[k].port = port;
                        self.teams[k].home_port = port;
                        self.start_sortie(k, list);
                    }
                    other => {
                        let why = match other {
                            Ok(exit) => self.in_use_why(exit.port),
                            Err(why) => why,
                        };
                        self.teams[k].clear();
                        self.cancel(slot, why);
                    }
                }
            }
        }
    }

    pub(in crate::campaign) fn free_members(&mut self, k: usize) {
        let traverse = self.slot_traverse(k);
        for p in each_of(self.teams[k].members | self.teams[k].rescuers) {
            if self.people.crew[p].busy == Busy::Team(k as u8) {
                let away = traverse || self.on_traverse(p);
                self.people.crew[p].busy = if away { Busy::Traverse } else { Busy::Free };
            }
        }
    }
}
