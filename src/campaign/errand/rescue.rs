//! A second team from inside (rule 23): who goes out to help, and what becomes of them when their way
//! fails.

use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Phase, TEAMS};
use crate::campaign::world::World;
use crate::model::UpkeepCause;
use crate::plan::{BerthId, Condition, Crew, Kept, ListKind, OUTSIDE, each_of};

/// How many go out to help.
const RESCUERS: u32 = 2;

impl World<'_> {
    /// Two able persons go out by way `id`, and one more stays to work the hatches where it asks for a
    /// helper inside.
    pub(in crate::campaign) fn rescuers_spared(&self, k: usize, id: u16) -> bool {
        let list = &self.arm.layout.lists[id as usize];
        let host = self.arm.layout.ports[list.port as usize].element;
        let helper = u32::from(list.asks(Condition::HelperInside));
        let inside = self.inside_of_element(host) & !self.teams[k].members;
        let near = self.helpers_inside(host) & !self.teams[k].members;
        inside.count_ones() >= RESCUERS && near.count_ones() >= RESCUERS + helper
    }

    /// The suits that rescuers can reach last for the way, from when they are out: nobody is sent out who
    /// would not come back.
    pub(in crate::campaign) fn rescuers_last(&self, k: usize, id: u16) -> bool {
        let l = &self.arm.layout;
        let list = &l.lists[id as usize];
        let host = l.ports[list.port as usize].element;
        let near = |kept: Kept| match kept {
            Kept::Volume(v) => v != OUTSIDE && l.volumes[v].element == host,
            Kept::Berth(b) => l.ports[l.berths[b].port as usize].element == host,
            Kept::Worn(_) => false,
        };
        let suits = self.places.suit.iter().zip(&self.numbers.suits);
        let there = suits.filter(|(s, _)| s.usable && near(s.kept()));
        let lasts = there.map(|(_, suit)| suit.recharged().left(self.m.crew.work));
        let out = self.mean_time(k, id, true) - self.arm.lists[id as usize].mean_waits;
        lasts.fold(f64::INFINITY, f64::min) > out
    }

    /// Two able persons inside go out to help where the way says so; who is at a repair leaves it.
    pub(in crate::campaign) fn call_rescuers(&mut self, k: usize, id: u16) {
        let list = &self.arm.layout.lists[id as usize];
        if !list.asks(Condition::RescuersInside) {
            return;
        }
        let host = self.arm.layout.ports[list.port as usize].element;
        let inside = self.inside_of_element(host);
        let repairs = |p: &usize| matches!(self.people.crew[*p].busy, Busy::Repair(_));
        let idle = each_of(inside).filter(|p| !repairs(p));
        let chosen = idle.chain(each_of(inside).filter(repairs)).take(RESCUERS as usize);
        let go = chosen.fold(0, |c: Crew, p| c | 1 << p);
        for p in each_of(go) {
            self.leave_repair(p);
            self.people.crew[p].busy = Busy::Team(k as u8);
        }
        self.teams[k].rescuers = go;
    }

    /// A person is called away from a repair: the attempt is given up and booked pro rata.
    pub(in crate::campaign) fn leave_repair(&mut self, p: usize) {
        let Busy::Repair(j) = self.people.crew[p].busy else { return };
        let job = *self.jobs.job(usize::from(j));
        let people = f64::from(job.crew.count_ones());
        self.upkeep(UpkeepCause::Repair, (self.now - job.since) * people);
        for q in each_of(job.crew) {
            if self.people.crew[q].busy == Busy::Repair(j) {
                self.people.crew[q].busy = Busy::Free;
            }
        }
        self.jobs.give_up(usize::from(j));
    }

    /// The list that rescuers came out by is given up. Those of them who live on suit supply find their
    /// own way in, as a team; the others are free again.
    pub(in crate::campaign) fn part_with_rescuers(&mut self, k: usize) {
        let out = std::mem::take(&mut self.teams[k].rescuers);
        if out == 0 {
            return;
        }
        let on_supply = each_of(out)
            .filter(|p| self.people.crew[*p].clock.open)
            .fold(0, |c: Crew, p| c | 1 << p);
        let inside = out & !on_supply;
        self.undress(inside);
        for p in each_of(inside) {
            self.people.crew[p].busy = Busy::Free;
            self.places.person[p].berth = BerthId::NONE;
            self.people.crew[p].last_end = self.now;
            self.look_home(p);
        }
        if on_supply == 0 {
            return;
        }
        if !(0..TEAMS).any(|i| self.teams[i].phase == Phase::Idle) {
            // No team is free to be theirs: they stay with those they came for.
            self.teams[k].members |= on_supply;
            return;
        }
        let Some(other) = self.split_team(k, on_supply) else { return };
        let in_way =
            self.arm.layout.lists[self.teams[k].leg.list as usize].kind == ListKind::WayBack;
        let t = &mut self.teams[other];
        t.phase = Phase::Stranded;
        t.rescuers = 0;
        t.trip.lies = 0.0;
        (t.out.hit_next, _) = (0, t.out.hits.clear());
        t.back.planned_tried = false;
        if in_way {
            t.home_port = t.port;
        }
        self.plan_team(other, self.now);
    }

    /// Able persons inside an element who can reach a suit, two at least are needed.
    pub(in crate::campaign) fn rescuers_ready(&self, e: u16) -> u32 {
        let l = &self.arm.layout;
        let people = self.inside_of_element(e).count_ones();
        let at_berths = l
            .ports
            .iter()
            .enumerate()
            .filter(|(_, p)| p.element == e)
            .map(|(i, _)| self.berths_ready(i as u16))
            .sum::<u32>();
        let stowed = self.places.stowed(l, l.elements[e as usize].cabin).count() as u32;
        people.min(at_berths + stowed)
    }
}
