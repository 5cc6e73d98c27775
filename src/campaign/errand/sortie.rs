//! Sorties: slots, who may go, how long to stay, the way back to the door, the end of a list.

use crate::campaign::owner::metabolic::Doing;
use crate::campaign::owner::team::{Errand, Hit, Phase, TEAMS};
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{Purpose, Slot, cause};
use crate::physics::suit::Supply;
use crate::plan::{NONE, Row, WhoSel, each_of, walk};
use crate::scenario::{Action, By, EnvironmentEffect, Severity, Who};

impl World<'_> {
    /// A draw of a slot's record.
    pub(in crate::campaign) fn slot_draw(&self, slot: &Slot, what: Purpose) -> f64 {
        let a = &self.m.activities[slot.activity as usize];
        self.draw_at(a.hash, u64::from(slot.number), what)
    }

    /// The end of egress: how long to stay (rule 13).
    pub(in crate::campaign) fn go_out(&mut self, k: usize) {
        let now = self.teams[k].leg.t;
        self.now = now;
        let members = self.teams[k].members;
        walk::release_berths(&mut self.places, members);
        if self.fetch_suits(k) {
            return;
        }
        self.teams[k].out.out_at = now;
        self.release_port(k);
        for p in each_of(members) {
            let s = self.places.person[p].suit;
            if s.is_some() {
                self.suits.go_out(s, k);
            }
            if !self.teams[k].parted {
                self.people.crew[p].out_at = now;
            }
            self.people.outings.begin(p, now);
        }
        if self.teams[k].errand == Errand::Return {
            return self.walk_home(k);
        }
        if matches!(self.teams[k].errand, Errand::Repair(_)) {
            return self.start_outside_work(k);
        }
        let slot = self.m.slots[self.teams[k].slot as usize];
        let a = &self.m.activities[slot.activity as usize];
        let wanted = a.hours.value(&self.v, || self.slot_draw(&slot, Purpose::Hours));
        let distance = a.distance.value(&self.v, || self.slot_draw(&slot, Purpose::Distance));
        let by = a.by;
        let speed = self.pace(k, members & !self.people.hurt, by);
        let t = &mut self.teams[k];
        (t.trip.distance, t.trip.speed) = (distance, speed);
        let travel = if distance > 0.0 { 2.0 * distance / speed } else { 0.0 };
        let (work, why) = self.stay(k, wanted, travel, by);
        let stay = if work > 0.0 { work + travel } else { 0.0 };
        let t = &mut self.teams[k];
        t.out.stay = stay;
        t.out.limited = work < wanted;
        t.out.limit = if t.out.limited { why } else { cause::SHORTER };
        self.teams[k].out.work_end = now + stay - travel / 2.0;
        let ratio = self.tissue_ratio(self.teams[k].members);
        let f = &mut self.books.out.facts.value[Fact::PrebreatheRatioMax as usize];
        *f = f.max(ratio);
        let going = stay > 0.0 && travel > 0.0;
        self.teams[k].trip.site_at = if going { now + travel / 2.0 } else { f64::INFINITY };
        let able = self.teams[k].members & !self.people.hurt;
        self.set_doing(k, able, if going { Self::going(by) } else { Doing::Work });
        self.draw_hits(k, (a.hash, u64::from(slot.number)), stay);
        if stay <= 0.0 || self.teams[k].back.recall != NONE {
            return self.at_the_door(k);
        }
        self.teams[k].phase = Phase::Outside;
        self.plan_outside(k);
    }

    /// Work in s and what limits it.
    pub(in crate::campaign) fn stay(
        &self,
        k: usize,
        wanted: f64,
        travel: f64,
        by: By,
    ) -> (f64, u16) {
        let now = self.teams[k].leg.t;
        let members = self.teams[k].members;
        let ingress = self.arm.layout.ports[self.teams[k].home_port as usize].ingress;
        let back = self.mean_time(k, ingress, false);
        let safe = self.mean_time(k, ingress, true);
        let reserve = self.numbers.rules.reserve;
        let mut best = (wanted, cause::SHORTER);
        if let Some(cause) = self.dark(now) {
            // It fell while they went out: in again at once.
            best = (0.0, cause);
        } else if let Some((onset, cause)) = self.next_dark(now)
            && onset - now - travel < best.0
        {
            best = (onset - now - travel, cause);
        }
        for p in each_of(members) {
            let duty = self.numbers.rules.duty_day
                - (now - self.people.crew[p].duty_start)
                - travel
                - back;
            // Half of the overhead lies behind them, half is still to come.
            let duty = duty - 2.0 * self.half_overhead(k, p);
            if duty < best.0 {
                best = (duty, cause::DUTY);
            }
            let week = self.week_left(p, now) - travel;
            if week < best.0 {
                best = (week, cause::WEEK);
            }
            let mut clock = self.people.crew[p].clock;
            clock.advance(now);
            // Both ways at the rate of going, ingress at that of work, the reserve at its mean.
            let work = self.metabolic(k, p, Doing::Work);
            let way = (self.metabolic(k, p, Self::going(by)), travel);
            let kept = [way, (work, safe), (self.m.crew.work, reserve)];
            let (left, which) = clock.support.work_left(&kept, work);
            if left < best.0 {
                best = (left, supply_cause(which));
            }
        }
        (best.0.max(0.0), best.1)
    }

    /// The next thing that happens to a team outside: a hit, the end of work, the door.
    pub(in crate::campaign) fn plan_outside(&mut self, k: usize) {
        let t = &self.teams[k];
        let end = match t.phase {
            Phase::Walking => t.leg.end,
            _ => t.out.work_end.min(t.trip.site_at),
        };
        let at = t.out.next_hit().map_or(end, |h| h.at.min(end)).max(self.now);
        self.plan_team(k, at);
    }

    /// An event of a team outside.
    pub(in crate::campaign) fn outside_event(&mut self, k: usize) {
        self.teams[k].leg.t = self.now;
        let asked = self.hits_due(k);
        match self.teams[k].phase {
            Phase::Outside => {
                if self.now >= self.teams[k].trip.site_at - 1e-9 {
                    self.teams[k].trip.site_at = f64::INFINITY;
                    self.set_doing(k, self.teams[k].members & !self.people.hurt, Doing::Work);
                }
                let done = self.now >= self.teams[k].out.work_end - 1e-9;
                if asked || done {
                    self.turn_back(k);
                } else {
                    self.plan_outside(k);
                }
            }
            Phase::Walking => {
                if self.now >= self.teams[k].leg.end - 1e-9 {
                    self.at_the_door(k);
                } else {
                    if asked {
                        // Nobody of them may be able to walk on: then they wait for others.
                        self.turn_back(k);
                    }
                    if self.teams[k].phase == Phase::Walking {
                        self.plan_outside(k);
                    }
                }
            }
            _ => {}
        }
    }

    pub(in crate::campaign) fn incapacitate(&mut self, p: usize, hit: Hit) {
        if self.people.hurt & 1 << p != 0 {
            return;
        }
        self.people.hurt |= 1 << p;
        self.books.out.facts.add(Fact::Incapacitations, 1.0);
        let m = &self.arm.modes[hit.mode as usize];
        let (hash, at) = (self.m.crew.hashes[p] ^ m.hash, hit.at);
        let occasion = (at * 1e3) as u64;
        let draw = |what| self.draw_at(hash, occasion, what);
        let limit = m.treatment.as_ref().map(|t| t.value(&self.v, || draw(Purpose::TreatBy)));
        let [helped, carried, _] = m.severity;
        let u = draw(Purpose::Severity);
        let severity = if u < helped {
            Severity::Helped
        } else if u < helped + carried {
            Severity::Carried
        } else {
            Severity::Critical
        };
        let c = &mut self.people.crew[p];
        c.hurt_at = at;
        c.treat_by = limit.map_or(f64::INFINITY, |l| at + l);
        c.severity = severity;
        c.hurt_mode = hit.mode;
        c.rescued = false;
        c.off_cause = m.cause;
    }

    /// A suit fault outside: the suit is out until mended.
    pub(in crate::campaign) fn spoil_suit(&mut self, p: usize, mode: u16) {
        self.books.out.facts.add(Fact::SuitFailures, 1.0);
        let s = self.places.person[p].suit;
        if s.is_some() {
            self.open_suit_job(s, mode);
        }
    }

    /// Work is over: back to the door from where the team is by now.
    pub(in crate::campaign) fn turn_back(&mut self, k: usize) {
        let now = self.now;
        let members = self.teams[k].members;
        let by = self.slot_by(k);
        let t = &self.teams[k];
        let far = match t.phase {
            Phase::Walking => self.metres_left(k),
            _ => ((now - t.out.out_at) * t.trip.speed).min(t.trip.distance),
        };
        let hurt = members & self.people.hurt;
        let speed = self.pace(k, members, by);
        let able = members & !self.people.hurt;
        let newly = hurt & !self.teams[k].trip.lifted;
        let lifts = newly != 0 && able != 0 && far > 0.0;
        let lift = if lifts { self.lift_time(k, newly) } else { 0.0 };
        let t = &mut self.teams[k];
        if lifts {
            t.trip.lifted |= newly;
        }
        t.trip.site_at = f64::INFINITY;
        t.trip.far = far;
        t.trip.back_speed = speed;
        t.phase = Phase::Walking;
        t.leg.t = now;
        let walk = if far > 0.0 { far / speed } else { 0.0 };
        t.leg.end = now + lift + walk;
        let doing = match (far > 0.0, hurt != 0, Self::going(by)) {
            (false, ..) => Doing::Work,
            (true, true, Doing::Walk) => Doing::Carry,
            (true, _, going) => going,
        };
        self.set_doing(k, able, doing);
        self.set_doing(k, hurt, Doing::Rest);
        if able == 0 {
            // Nobody can walk: they are stranded where they are.
            self.teams[k].out.door_at = now;
            self.teams[k].trip.lies = far;
            self.teams[k].out.cut = true;
            self.count_done(k);
            return self.strand(k);
        }
        if self.teams[k].leg.end <= now {
            return self.at_the_door(k);
        }
        self.plan_outside(k);
    }

    pub(in crate::campaign) fn metres_left(&self, k: usize) -> f64 {
        let t = &self.teams[k];
        ((t.leg.end - self.now) * t.trip.back_speed).clamp(0.0, t.trip.far)
    }

    pub(in crate::campaign) fn slot_by(&self, k: usize) -> By {
        let s = self.teams[k].slot;
        if s == u32::MAX {
            return By::Foot;
        }
        self.m.activities[self.m.slots[s as usize].activity as usize].by
    }

    /// At the door: hours outside end, dust is on the suits, ingress begins.
    pub(in crate::campaign) fn at_the_door(&mut self, k: usize) {
        self.teams[k].leg.t = self.now;
        self.teams[k].out.door_at = self.now;
        for p in each_of(self.teams[k].members) {
            self.people.crew[p].door_at = self.now;
        }
        self.count_done(k);
        self.outside_work_over(k);
        self.pick_up_dust(k);
        let members = self.teams[k].members;
        self.set_doing(k, members & !self.people.hurt, Doing::Work);
        self.set_doing(k, members & self.people.hurt, Doing::Rest);
        self.come_in(k);
    }

    pub(in crate::campaign) fn count_done(&mut self, k: usize) {
        let t = &mut self.teams[k];
        if t.out.out_at >= 0.0 {
            t.out.done = (t.out.door_at - t.out.out_at).max(0.0);
        }
    }

    /// Begins the planned ingress of the home port, or waits and looks for ways back.
    pub(in crate::campaign) fn come_in(&mut self, k: usize) {
        // Who sets out for home from elsewhere is on a way: the list at its end belongs to it.
        let on_a_way = self.teams[k].errand == Errand::Return && self.teams[k].trip.distance > 0.0;
        if !on_a_way && self.miss_ended(k) {
            return self.arrive_home(k);
        }
        let port = self.teams[k].home_port;
        if self.rovers.lost(self.arm.layout.ports[port as usize].element) {
            return self.strand(k);
        }
        if self.ports.used_by_other(port, k) {
            self.teams[k].port = port;
            return self.strand(k);
        }
        let list = self.ingress_list(k, port);
        if !self.gas_for(list) {
            // The store does not cover its fills: the list is not open (rule 26).
            self.teams[k].back.planned_tried = true;
            self.teams[k].troubled_by(cause::STORE);
            return self.strand(k);
        }
        if !self.can_ready(list) {
            // Nobody can empty the chamber for them: the planned list is not open (rule 4).
            self.teams[k].port = port;
            return self.strand(k);
        }
        if self.teams[k].members & self.people.hurt != 0 && self.nobody_at_the_hatches(list) {
            // The planned rows end at the berth of the casualty: there are rows of their own for that.
            self.teams[k].back.planned_tried = true;
            return self.strand(k);
        }
        self.hold_port(k, port);
        self.pick_batch_in(k, list);
        self.enter_ready(k, list);
        self.resume(k);
    }

    /// The list opens the hatches of a berth for everybody of a team at once, and nobody able is in the
    /// cabin behind it to do so for a casualty.
    fn nobody_at_the_hatches(&self, list: u16) -> bool {
        let l = &self.arm.layout;
        let list = &l.lists[list as usize];
        let Some(b) = l.ports[list.port as usize].berths.first() else {
            return false;
        };
        let opens =
            |r: &Row| r.action == Action::Open && r.berths && r.who == WhoSel::Word(Who::Team);
        let cabin = l.berths[*b].cabin;
        list.rows.iter().any(opens) && !self.places.anybody_able(l, cabin, self.people.hurt)
    }

    /// Ingress, or service-in when indoor maintenance of a suit is due and its list is open.
    pub(in crate::campaign) fn ingress_list(&self, k: usize, port: u16) -> u16 {
        let p = &self.arm.layout.ports[port as usize];
        if p.service_in == NONE || self.teams[k].errand != Errand::Sortie {
            return p.ingress;
        }
        let due = each_of(self.teams[k].members).any(|q| match self.suit_kind(q) {
            Some((s, kind)) => {
                kind.maintenance_every.is_some_and(|n| self.suits.sorties(s) + 1 >= n)
            }
            None => false,
        });
        let hurt = self.teams[k].members & self.people.hurt != 0;
        let passable = |list| self.service_passable(list) && !self.bares_somebody(list, 0);
        let open = due && !hurt && passable(p.service_in);
        if open && self.service_needs(k, p.service_in) && self.gas_for(p.service_in) {
            p.service_in
        } else {
            p.ingress
        }
    }

    /// A weather event calls teams outside back.
    pub(in crate::campaign) fn call_back(&mut self, effect: EnvironmentEffect, cause: u16) {
        if effect != EnvironmentEffect::StandDown {
            return;
        }
        for k in 0..TEAMS {
            if self.teams[k].errand == Errand::Return {
                continue;
            }
            if self.teams[k].phase == Phase::Outside {
                self.teams[k].blame(cause);
                self.teams[k].out.cut = true;
                self.turn_back(k);
            } else if self.on_the_way_out(k) {
                self.recall_egress(k, cause);
            }
        }
    }
}

/// The cause of hours cut by a clock of the suit.
fn supply_cause(which: Supply) -> u16 {
    match which {
        Supply::Primary => cause::SUPPLY,
        Supply::Oxygen => cause::SUIT_OXYGEN,
        Supply::Water => cause::SUIT_WATER,
        Supply::CarbonDioxide => cause::SUIT_CARBON_DIOXIDE,
        Supply::Battery => cause::SUIT_BATTERY,
    }
}
