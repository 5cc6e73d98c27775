//! Getting back in when the planned list does not work (rules 22, 23): ways back in the order of the
//! architecture, each at most once, each only if its conditions hold; waiting; the end.

use crate::campaign::forced::holds_if_perfect;
use crate::campaign::owner::team::Phase;
use crate::campaign::trace::Level;
use crate::campaign::walk::failed::Failure;
use crate::campaign::way_back::openness::{Openness, Why};
use crate::campaign::world::World;
use crate::physics::gas::GasMass;
use crate::plan::walk;
use crate::plan::{Asked, Condition, Crew, ListKind, NONE, OUTSIDE, Row, SuitId, Where, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// A row of an inward list failed and its team cannot go on as planned.
    pub(in crate::campaign) fn stranded_at_row(&mut self, k: usize, row: &Row, f: Failure) {
        self.now = self.teams[k].leg.t;
        if self.teams[k].back.way == NONE {
            self.teams[k].back.planned_tried = true;
        }
        let split = self.split_off(k, row, f);
        if let Some(other) = split {
            self.strand(other);
            // The others go in.
            let t = &mut self.teams[k];
            t.leg.row += 1;
            t.phase = Phase::Begin;
            return;
        }
        self.strand(k);
    }

    /// A team that cannot go on: lets go of its port and looks for a way.
    pub(in crate::campaign) fn strand(&mut self, k: usize) {
        self.teams[k].phase = Phase::Stranded;
        self.teams[k].leg.then = NONE;
        self.not_begun(k);
        self.teams[k].leg.refill = false;
        self.part_batches(k);
        self.part_with_rescuers(k);
        self.close_where_safe(k);
        let open = each_of(self.teams[k].members).any(|p| self.people.crew[p].clock.open);
        if !open {
            return self.stay_inside(k);
        }
        if self.miss_ended(k) {
            return self.arrive_home(k);
        }
        if self.story.is_some() {
            let members = self.teams[k].members;
            self.say(Level::Event, self.slot_of(k), |s| {
                let suits = s.worn_words(members);
                format!("{} cannot go on as planned{suits}; ways back are tried", s.names(members))
            });
        }
        self.stop_services();
        self.take_along(k);
        self.teams[k].batch = self.teams[k].members;
        self.try_ways(k);
    }

    /// Nobody of the team lives on suit supply: the list is given up where people are.
    pub(in crate::campaign) fn stay_inside(&mut self, k: usize) {
        let members = self.teams[k].members;
        walk::release_berths(&mut self.places, members);
        self.undress(members);
        self.teams[k].back.aborted = true;
        self.arrive_home(k);
    }

    /// Suited persons in a habitable place take their suits off there (no row says so: the list was
    /// given up).
    pub(in crate::campaign) fn undress(&mut self, crew: Crew) {
        for p in each_of(crew) {
            let s = self.places.person[p].suit;
            if s.is_none() {
                continue;
            }
            match self.places.person[p].at() {
                Where::Volume(v) if self.places.is_habitable(&self.arm.layout, v) => {
                    self.places.person[p].suit = SuitId::NONE;
                    self.places.keep(s, crate::plan::Kept::Volume(v));
                    self.places.suit[s].checked = false;
                }
                Where::Berth(b) => {
                    let cabin = self.arm.layout.berths[b].cabin;
                    self.places.person[p].suit = SuitId::NONE;
                    self.places.keep(s, crate::plan::Kept::Berth(b));
                    self.places.stand(p, Where::Volume(cabin));
                    self.displaced(Where::Volume(cabin));
                }
                _ => {}
            }
            self.breathe_here(p);
            self.turn_oxygen(p, false, self.now);
        }
    }

    /// Something has changed, or a clock has ended.
    pub(in crate::campaign) fn stranded_event(&mut self, k: usize) {
        self.teams[k].leg.t = self.now;
        if self.miss_ended(k) {
            return self.arrive_home(k);
        }
        if (self.course.horizon_passed || self.course.ending.is_some())
            && self.clock_end(k).is_infinite()
        {
            return self.never_home(k);
        }
        self.try_ways(k);
    }

    /// Tries the ways back that are open, in order; waits if none is.
    pub(in crate::campaign) fn try_ways(&mut self, k: usize) {
        self.books.out.record.hazards |= crate::outcome::STRANDED_BIT;
        self.settle_all_leaks();
        self.share_secondary(k);
        if self.leaves_spent_haven(k)
            || self.try_planned(k)
            || self.own_rows_again(k)
            || self.opened_at_last(k)
        {
            return;
        }
        if self.planned_is_busy(k) {
            return self.wait_for_help(k);
        }
        let (mut slow, mut due): (Option<(f64, usize)>, f64) = (None, f64::INFINITY);
        for i in 0..self.arm.layout.ways_back.len() {
            if self.teams[k].back.tried & 1 << i != 0 || self.forced.barred(i) {
                continue;
            }
            if self.forced_fail(k, i) {
                continue;
            }
            match self.openness(k, i) {
                Openness::Open => return self.take_way(k, i),
                Openness::Busy => return self.wait_for_help(k),
                Openness::Due(arrives) => due = due.min(arrives),
                Openness::TooSlow => {
                    let takes = self.mean_time(k, self.arm.layout.ways_back[i], true);
                    if slow.is_none_or(|s| takes < s.0) {
                        slow = Some((takes, i));
                    }
                    self.tell_slow(k, i, takes);
                }
                Openness::Shut(why) => self.tell_shut(k, i, why),
            }
        }
        // Late is better than not reached; but first whatever may still be in time.
        let waits = slow.is_some() && self.mended_in_time(k);
        if due.is_finite() && !waits {
            return self.wait_for_rover(k, due);
        }
        self.tell_decision(k, slow, waits);
        match slow {
            Some((_, i)) if !waits => self.take_way(k, i),
            _ if self.no_way_out(k) => {}
            _ => self.wait_for_help(k),
        }
    }

    /// The planned ingress, when it was not tried yet or what stopped it is mended: from the first row
    /// from which the rest walks dry.
    pub(in crate::campaign) fn try_planned(&mut self, k: usize) -> bool {
        if self.teams[k].back.planned_tried && !self.teams[k].back.mended {
            return false;
        }
        let port = self.teams[k].home_port;
        let lost = self.rovers.lost(self.arm.layout.ports[port as usize].element);
        if !self.hands(k) || !self.port_open_to(k, port) || lost {
            return false;
        }
        let list = self.arm.layout.ports[port as usize].ingress;
        if list == NONE || !self.gas_for(list) {
            return false;
        }
        let rows = self.arm.layout.lists[list as usize].rows.len();
        let Some(row) = (0..rows).find(|i| self.dry_from(k, list, *i)) else {
            return false;
        };
        // What is known stuck keeps nobody from rows that have no need of it.
        if row == 0 && (self.port_trouble(port).is_some() || !self.can_ready(list)) {
            return false;
        }
        self.teams[k].back.planned_tried = true;
        self.teams[k].back.mended = false;
        self.teams[k].back.way = NONE;
        self.teams[k].back.contingency = false;
        self.set_to_work(k);
        if row == 0 {
            self.let_go_for(k, port);
            self.come_in(k);
        } else {
            self.take_over(k, port);
            self.teams[k].batch = self.teams[k].members;
            self.enter_list(k, list, row);
            self.resume(k);
        }
        true
    }

    /// The home port is in use and its user will be done in time (rule 22).
    pub(in crate::campaign) fn planned_is_busy(&self, k: usize) -> bool {
        let t = &self.teams[k];
        let user = self.ports.user(t.home_port);
        let fresh = !t.back.planned_tried || t.back.mended;
        let list = self.arm.layout.ports[t.home_port as usize].ingress;
        fresh
            && !self.port_open_to(k, t.home_port)
            && list != NONE
            && user.is_some_and(|u| self.wait_fits(k, u, list))
    }

    /// People whom a failed way left in a volume: that way's own rows from the first `repress` from
    /// which the rest walks dry, once; when something was mended, from any row, once more, also for
    /// those who hang at a berth (rule 23).
    pub(in crate::campaign) fn own_rows_again(&mut self, k: usize) -> bool {
        let t = &self.teams[k];
        if t.back.way == NONE || t.back.again || t.leg.list == NONE {
            return false;
        }
        let list = t.leg.list;
        if self.arm.layout.lists[list as usize].kind != ListKind::WayBack {
            return false;
        }
        let stuck_there = each_of(t.members).any(|p| match self.places.person[p].at() {
            Where::Volume(v) => v != OUTSIDE,
            Where::Berth(_) => t.back.mended,
            Where::Gone => false,
        });
        if !stuck_there {
            return false;
        }
        let arm = self.arm;
        let rows = &arm.layout.lists[list as usize].rows;
        let mended = self.teams[k].back.mended;
        let begins = |i: &usize| mended || rows[*i].action == Action::Repress;
        let Some(i) = self.taken_up_from(k, list, (0..rows.len()).filter(begins)) else {
            return false;
        };
        self.teams[k].back.again = true;
        self.set_to_work(k);
        let port = arm.layout.lists[list as usize].port;
        if self.ports.free(port) {
            self.hold_port(k, port);
        }
        self.enter_list(k, list, i);
        self.resume(k);
        true
    }

    /// Is way `i` of the order open to the team?
    pub(in crate::campaign) fn openness(&self, k: usize, i: usize) -> Openness {
        let id = self.arm.layout.ways_back[i];
        let list = &self.arm.layout.lists[id as usize];
        let rescue = list.asks(Condition::RescuersInside);
        let e = self.arm.layout.ports[list.port as usize].element;
        let perfect = self.forced.perfect(i);
        let unmet = |c: &Asked| {
            let waived = perfect && holds_if_perfect(*c);
            !waived
                && match c.condition {
                    // Asked of every way below; `not in time` keeps those shut that would be.
                    Condition::InTime => c.not && self.lasts(k, id, 0.0),
                    _ => !self.met(*c, k, list.port),
                }
        };
        let why = if !self.hands(k) && !rescue {
            Some(Why::Hands)
        } else if !self.starts_here(k, id) {
            Some(Why::Place)
        } else if rescue && !self.rescuers_spared(k, id) {
            Some(Why::Rescuers)
        } else if rescue && !self.rescuers_last(k, id) {
            Some(Why::Far)
        } else if !self.gas_for(id) && !perfect {
            Some(Why::Gas)
        } else if !self.can_ready(id) {
            Some(Why::Ready)
        } else if self.rovers.lost(e) {
            Some(Why::Lost)
        } else if let Some(o) = self.stands_open(k, id, |o| !self.can_shut(k, o)) {
            Some(Why::Ajar(o))
        } else if let Some(v) = self.dead_behind(id) {
            Some(Why::Dead(v))
        } else if each_of(self.teams[k].members).any(|p| self.is_spent(p, e)) {
            Some(Why::Over)
        } else {
            list.needs.iter().position(unmet).map(Why::Need)
        };
        if let Some(why) = why {
            return Openness::Shut(why);
        }
        // Where a rover drives to it is not yet.
        let arrives = self.rovers.of(e).driving;
        if arrives > self.now {
            let fits = self.lasts(k, id, arrives - self.now);
            return if fits { Openness::Due(arrives) } else { Openness::Shut(Why::Driving) };
        }
        if !self.port_open_to(k, list.port) {
            let fits = self.ports.user(list.port).is_some_and(|u| self.wait_fits(k, u, id));
            return if fits { Openness::Busy } else { Openness::Shut(Why::Used) };
        }
        match (perfect || self.lasts(k, id, 0.0), !self.ports.used_by_other(list.port, k)) {
            (true, _) => Openness::Open,
            (false, true) => Openness::TooSlow,
            (false, false) => Openness::Shut(Why::Used), // first whatever their leaving makes possible
        }
    }

    /// The store covers the fills of the list (rule 26).
    pub(in crate::campaign) fn gas_for(&self, id: u16) -> bool {
        let list = &self.arm.layout.lists[id as usize];
        let e = self.arm.layout.ports[list.port as usize].element;
        let s = self.arm.layout.elements[e as usize].store;
        if s == NONE {
            return true;
        }
        let need = self.arm.lists[id as usize].fills;
        self.air.gas.holds(s, GasMass { oxygen: need[0], nitrogen: need[1] })
    }

    pub(in crate::campaign) fn take_way(&mut self, k: usize, i: usize) {
        let id = self.arm.layout.ways_back[i];
        let port = self.arm.layout.lists[id as usize].port;
        self.teams[k].back.tried |= 1 << i;
        self.books.out.record.ways |= 1 << i;
        self.limit_to_room(k, id);
        self.limit_to_chamber(k, id, i);
        self.teams[k].batch = self.teams[k].members;
        self.set_to_work(k);
        self.release_quietly(k);
        self.take_over(k, port);
        let members = self.teams[k].members;
        if self.arm.layout.lists[id as usize].from == Some(OUTSIDE) {
            for p in each_of(members) {
                let out = Where::Volume(OUTSIDE);
                let was = self.places.person[p].at();
                self.places.stand(p, out);
                self.displaced(was);
            }
        }
        let elsewhere = members & !self.at_berths(members);
        walk::release_berths(&mut self.places, elsewhere);
        self.call_rescuers(k, id);
        self.teams[k].back.way = i as u16;
        self.teams[k].back.again = false;
        self.teams[k].back.contingency = true;
        self.tell_try(k, id);
        if !self.shut_first(k, id) {
            self.enter_ready(k, id);
        }
        self.resume(k);
    }

    pub(in crate::campaign) fn at_berths(&self, crew: Crew) -> Crew {
        each_of(crew)
            .filter(|p| matches!(self.places.person[*p].at(), Where::Berth(_)))
            .fold(0, |c, p| c | 1 << p)
    }

    /// Lets go of a held port without waking the others yet.
    pub(in crate::campaign) fn release_quietly(&mut self, k: usize) {
        if self.teams[k].holds {
            self.ports.let_go(self.teams[k].port, k);
            self.teams[k].holds = false;
        }
    }
}
