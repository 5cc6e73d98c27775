//! Teams larger than a chamber go in batches, one after the other (rule 14): out until all are out,
//! in again with casualty and partner first.

use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Phase, TEAMS};
use crate::campaign::world::World;
use crate::plan::{Crew, ListKind, NONE, OUTSIDE, Where, each_of, walk};

/// First number of the later batches on the way in: their luck is not that of those going out.
const INWARD: u64 = 64;

impl World<'_> {
    /// Sends a team out by a list: the first batch of it.
    pub(in crate::campaign) fn begin_out(&mut self, k: usize, list: u16) {
        let port = self.arm.layout.lists[list as usize].port;
        let ingress = self.arm.layout.ports[port as usize].ingress;
        let most = self.list_holds(list).min(self.list_holds(ingress));
        let members = self.teams[k].members;
        let batch = walk::first_batch(members, self.people.hurt, most);
        self.teams[k].batch = batch;
        self.teams[k].parted = batch != members;
        self.enter_list(k, list, 0);
    }

    pub(in crate::campaign) fn list_holds(&self, list: u16) -> u32 {
        self.arm.lists.get(list as usize).map_or(u32::MAX, |l| l.holds)
    }

    /// Members of a team who are outside.
    pub(in crate::campaign) fn members_outside(&self, k: usize) -> Crew {
        let there = |p: &usize| self.places.person[*p].at() == Where::Volume(OUTSIDE);
        each_of(self.teams[k].members).filter(there).fold(0, |c, p| c | 1 << p)
    }

    /// Members who are inside, not in the batch that walks: they wait for their turn and may lend a
    /// hand.
    pub(in crate::campaign) fn waiting_inside(&self, k: usize, host: u16) -> Crew {
        let t = &self.teams[k];
        if !t.parted {
            return 0;
        }
        let l = &self.arm.layout;
        let cabin = l.elements[host as usize].cabin;
        let there = |p: &usize| match self.places.person[*p].at() {
            Where::Volume(v) => v != OUTSIDE && self.places.joined(l, cabin, v),
            _ => false,
        };
        let waiting = each_of(t.members & !t.batch);
        waiting.filter(|p| self.able(*p)).filter(there).fold(0, |c, p| c | 1 << p)
    }

    /// A batch is out. True if there is more to walk before the team is out as a whole.
    pub(in crate::campaign) fn batch_out(&mut self, k: usize) -> bool {
        if !self.teams[k].parted {
            return false;
        }
        self.now = self.teams[k].leg.t;
        let (batch, now) = (self.teams[k].batch, self.now);
        walk::release_berths(&mut self.places, batch);
        for p in each_of(batch) {
            self.people.crew[p].out_at = now;
            self.people.outings.begin(p, now);
        }
        let rest = self.teams[k].members & !self.members_outside(k);
        if rest == 0 {
            return false;
        }
        if self.teams[k].slot != u32::MAX {
            self.draw_batch_hits(k, batch);
        }
        if self.teams[k].back.recall != NONE || self.nobody_leaves() {
            self.call_off(k, rest);
            return true;
        }
        let list = self.teams[k].leg.list;
        let ingress = self.arm.layout.ports[self.teams[k].port as usize].ingress;
        let most = self.list_holds(list).min(self.list_holds(ingress));
        let t = &mut self.teams[k];
        t.set_wave(t.wave + 1);
        t.batch = walk::first_batch(rest, 0, most);
        each_of(self.teams[k].batch).for_each(|p| self.people.crew[p].duty_start = now);
        let from = self.arm.lists[list as usize].refill;
        if from == NONE {
            self.enter_list(k, list, 0);
            return true;
        }
        self.enter_list(k, ingress, from as usize);
        self.teams[k].leg.then = list;
        self.teams[k].leg.refill = true;
        true
    }

    /// The port is back for the next batch out.
    pub(in crate::campaign) fn refilled(&mut self, k: usize) {
        self.now = self.teams[k].leg.t;
        let list = self.teams[k].leg.then;
        self.teams[k].leg.then = NONE;
        self.teams[k].leg.refill = false;
        if self.teams[k].back.recall != NONE || self.nobody_leaves() {
            let rest = self.teams[k].members & !self.members_outside(k);
            return self.call_off(k, rest);
        }
        self.enter_list(k, list, 0);
    }

    /// Called back before everybody was out: those inside stay in, the others come in.
    fn call_off(&mut self, k: usize, inside: Crew) {
        self.leave_inside(k, inside);
        self.teams[k].back.aborted = true;
        self.come_in(k);
    }

    /// Some of a team never went out: they are free.
    fn leave_inside(&mut self, k: usize, inside: Crew) {
        let t = &mut self.teams[k];
        t.members &= !inside;
        t.batch &= !inside;
        for p in each_of(inside) {
            let spent = (self.now - self.people.crew[p].duty_start).max(0.0);
            self.teams[k].came[1] += spent;
            if self.people.crew[p].busy == Busy::Team(k as u8) {
                self.people.crew[p].busy =
                    if self.slot_traverse(k) { Busy::Traverse } else { Busy::Free };
            }
        }
    }

    /// Who goes in first by a list, now that the team stands before it.
    pub(in crate::campaign) fn pick_batch_in(&mut self, k: usize, list: u16) {
        let t = &self.teams[k];
        let batch = walk::first_batch(t.members, self.people.hurt, self.list_holds(list));
        let parted = t.parted || batch != t.members;
        let now = self.now;
        let t = &mut self.teams[k];
        t.batch = batch;
        t.parted = parted;
        t.set_wave(0);
        for p in each_of(batch) {
            self.people.crew[p].door_at = now;
            self.people.outings.end(p, now);
        }
    }

    /// A batch is in. True if another one walks on.
    pub(in crate::campaign) fn batch_in(&mut self, k: usize) -> bool {
        if !self.teams[k].parted {
            return false;
        }
        self.now = self.teams[k].leg.t;
        self.batch_not_home(k);
        let batch = self.teams[k].batch;
        walk::release_berths(&mut self.places, batch);
        self.book_batch(k, batch);
        let rest = self.members_outside(k);
        let idle = self.teams[k].members & !rest & !batch;
        self.leave_inside(k, idle);
        self.leave_team(k, batch);
        if rest == 0 || self.miss_ended(k) {
            return false;
        }
        let port = self.teams[k].home_port;
        let list = self.arm.layout.ports[port as usize].ingress;
        let next = self.teams[k].wave.max(INWARD) + 1;
        self.pick_batch_in(k, list);
        self.teams[k].set_wave(next);
        self.enter_ready(k, list);
        true
    }

    /// Hours outside and overhead of a batch that is in, each by its own times.
    fn book_batch(&mut self, k: usize, batch: Crew) {
        for p in each_of(batch) {
            let done = self.hours_of(k, p);
            let spent = (self.now - self.people.crew[p].duty_start - done).max(0.0);
            let came = &mut self.teams[k].came;
            *came = [came[0] + done, came[1] + spent];
        }
    }

    /// Seconds outside of one person, capped at the plan (rule 12).
    pub(in crate::campaign) fn hours_of(&self, k: usize, p: usize) -> f64 {
        let t = &self.teams[k];
        let Some(slot) = self.m.slots.get(t.slot as usize).filter(|_| t.out.out_at >= 0.0) else {
            return 0.0;
        };
        let c = &self.people.crew[p];
        (c.door_at - c.out_at).clamp(0.0, self.m.activities[slot.activity as usize].planned)
    }

    /// Persons of a batch are home while others are still on the way.
    fn leave_team(&mut self, k: usize, batch: Crew) {
        let traverse = self.slot_traverse(k);
        self.teams[k].members &= !batch;
        self.teams[k].batch = 0;
        for p in each_of(batch) {
            self.people.crew[p].last_end = self.now + self.half_overhead(k, p);
            self.off_duty(p);
            if self.people.crew[p].busy == Busy::Team(k as u8) {
                self.people.crew[p].busy = if traverse { Busy::Traverse } else { Busy::Free };
            }
            self.look_home(p);
        }
    }

    /// A batch cannot go on: the others of its team do not share its trouble. Those outside become a
    /// team of their own, those who never went out stay in.
    pub(in crate::campaign) fn part_batches(&mut self, k: usize) {
        let others = self.teams[k].members & !self.teams[k].batch;
        if others == 0 {
            return;
        }
        let outside = self.members_outside(k) & others;
        self.leave_inside(k, others & !outside);
        if outside == 0 {
            return;
        }
        if let Some(other) = self.split_team(k, outside) {
            let t = &mut self.teams[other];
            t.phase = Phase::Stranded;
            t.leg.then = NONE;
            t.leg.refill = false;
            t.back.way = NONE;
            t.back.contingency = false;
            t.back.planned_tried = false;
            self.plan_team(other, self.now);
        }
    }

    /// A list that holds fewer than a stranded team takes that many first; the others may use it after
    /// them.
    pub(in crate::campaign) fn limit_to_chamber(&mut self, k: usize, id: u16, way: usize) {
        let members = self.teams[k].members;
        let first = walk::first_batch(members, self.people.hurt, self.list_holds(id));
        if first == members || self.teams.iter().all(|t| t.phase != Phase::Idle) {
            return;
        }
        if let Some(other) = self.split_team(k, members & !first) {
            self.teams[other].back.tried &= !(1 << way);
            self.teams[other].phase = Phase::Stranded;
            self.plan_team(other, self.now);
        }
    }

    /// Called back on the way out, at the end of a row: can the team turn round here?
    pub(in crate::campaign) fn can_abort(&self, k: usize) -> bool {
        let t = &self.teams[k];
        t.leg.then == NONE && self.abort_entry(k).is_some()
    }

    /// An event calls teams back that are on the way out: they turn round at their next row.
    pub(in crate::campaign) fn recall_egress(&mut self, k: usize, cause: u16) {
        let t = &mut self.teams[k];
        if t.back.recall == NONE {
            t.back.recall = cause;
            t.blame(cause);
            t.out.cut = true;
        }
    }

    /// Teams that walk an egress list now, or bring the port back for their next batch.
    pub(in crate::campaign) fn on_the_way_out(&self, k: usize) -> bool {
        let t = &self.teams[k];
        if !matches!(t.phase, Phase::Begin | Phase::InRow) || k >= TEAMS {
            return false;
        }
        let list = if t.leg.then != NONE && t.leg.refill { t.leg.then } else { t.leg.list };
        let kind = self.arm.layout.lists[list as usize].kind;
        let out = matches!(kind, ListKind::Egress | ListKind::ServiceOut);
        out && (t.leg.then == NONE || t.leg.refill)
    }
}
