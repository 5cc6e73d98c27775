//! The end of a list inside: books of the slot, suits, people.

use crate::campaign::agenda::Event;
use crate::campaign::owner::team::Errand;
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{Purpose, cause};
use crate::plan::{Crew, Kept, ListKind, MAX_CREW, NONE, OUTSIDE, SuitId, VolumeId, each_of, walk};

impl World<'_> {
    /// A list is done. True if the team walks on (another list was entered).
    pub(in crate::campaign) fn list_done(&mut self, k: usize) -> bool {
        self.now = self.teams[k].leg.t;
        let list = self.teams[k].leg.list as usize;
        if self.teams[k].leg.shuts.is_some() {
            self.ready_done(k);
            return true;
        }
        match self.arm.layout.lists[list].kind {
            ListKind::Egress | ListKind::ServiceOut if self.teams[k].leg.then != NONE => {
                self.ready_done(k);
                true
            }
            ListKind::Ingress if self.teams[k].leg.refill => {
                self.refilled(k);
                true
            }
            ListKind::Egress | ListKind::ServiceOut if self.batch_out(k) => true,
            ListKind::Egress | ListKind::ServiceOut => {
                self.go_out(k);
                false
            }
            ListKind::Ingress | ListKind::ServiceIn | ListKind::WayBack if self.batch_in(k) => true,
            ListKind::Ingress | ListKind::ServiceIn | ListKind::WayBack => {
                if !self.not_home(k) {
                    self.arrive_home(k);
                }
                false
            }
            ListKind::Restore => {
                self.restored(k);
                false
            }
            ListKind::Dock | ListKind::Undock if self.teams[k].back.aborted => {
                self.arrive_home(k);
                false
            }
            ListKind::Dock | ListKind::Undock => {
                self.crossed(k);
                false
            }
        }
    }

    /// Everybody of the team is in: the sortie's books are closed.
    pub(in crate::campaign) fn arrive_home(&mut self, k: usize) {
        walk::release_berths(&mut self.places, self.teams[k].members | self.teams[k].rescuers);
        self.dust.exposure.mark(&mut self.dust.rooms, self.now);
        self.close_slot(k);
        self.errand_over(k);
        self.errand_given_up(k);
        self.crossing_over(k);
        let due = self.suits_home(k);
        self.note_astray(k);
        let members = self.teams[k].members | self.teams[k].rescuers;
        // Rows of docking are upkeep: no duty day ends with them.
        let crossing = matches!(self.teams[k].errand, Errand::Dock | Errand::Undock(_));
        self.outing_over(members);
        for p in each_of(members) {
            if !crossing {
                // Their day ends with the second half of the overhead.
                self.people.crew[p].last_end = self.now + self.half_overhead(k, p);
            }
            self.off_duty(p);
        }
        self.free_members(k);
        each_of(members).for_each(|p| self.look_home(p));
        due.into_iter().flatten().for_each(|d| self.serve(d, members));
        self.look_at_ports(k);
        self.tell_suits_left();
        self.release_port(k);
        self.teams[k].clear();
        self.look_around();
    }

    /// Hours, overhead, door to door of the slot the team keeps the books of.
    pub(in crate::campaign) fn close_slot(&mut self, k: usize) {
        let t = &self.teams[k];
        if !t.books || t.slot == u32::MAX {
            return;
        }
        let i = t.slot;
        let slot = self.m.slots[i as usize];
        let n = slot.roster.count_ones();
        let a = &self.m.activities[slot.activity as usize];
        let planned = a.planned;
        let went = t.out.out_at >= 0.0;
        if t.parted {
            return self.close_parted(k, i);
        }
        let done = if went { t.out.done.min(planned) } else { 0.0 };
        let (elapsed, outside) = (t.out.elapsed, t.out.done);
        let stay = if went { t.out.stay.min(planned) } else { planned };
        let overhead = (self.now - t.out.started - done).max(0.0);
        self.teams[k].books = false;
        if went {
            self.book_door(k);
        }
        let people = f64::from(n);
        let f = &mut self.books.out.facts;
        if went {
            f.add(Fact::SortiesDone, 1.0);
            f.add(Fact::DoorToDoor, elapsed / 60.0);
        } else {
            f.add(Fact::SortiesCancelled, 1.0);
        }
        f.add(Fact::EvaDone, done / 3600.0 * people);
        let around = self.activity_overhead(&slot);
        self.overhead(overhead * people + around);
        self.book_lost(k, went, [planned, stay, done].map(|x| x / 3600.0 * people));
        self.say(Level::Sortie, Some(i), |s| s.slot_words(k, i, went, outside));
    }

    /// The same for a team that went in batches: hours and overhead by each person's own times.
    fn close_parted(&mut self, k: usize, i: u32) {
        let slot = self.m.slots[i as usize];
        let planned = self.m.activities[slot.activity as usize].planned;
        let t = &self.teams[k];
        let (went, elapsed, outside, stay) =
            (t.out.out_at >= 0.0, t.out.elapsed, t.out.done, t.out.stay);
        let [mut done, mut spent] = t.came;
        for p in each_of(slot.roster & self.still_out(i)) {
            let hours = self.hours_of(k, p);
            done += hours;
            spent += (self.now - self.people.crew[p].duty_start - hours).max(0.0);
        }
        self.teams[k].books = false;
        if went {
            self.book_door(k);
        }
        let f = &mut self.books.out.facts;
        f.add(if went { Fact::SortiesDone } else { Fact::SortiesCancelled }, 1.0);
        if went {
            f.add(Fact::DoorToDoor, elapsed / 60.0);
        }
        f.add(Fact::EvaDone, done / 3600.0);
        self.overhead(spent + self.activity_overhead(&slot));
        let people = f64::from(slot.roster.count_ones());
        // Those who never got out have lost nothing to the length of the stay.
        let out =
            |p: &usize| went && self.people.crew[*p].out_at >= self.people.crew[*p].duty_start;
        let out = each_of(slot.roster).filter(out).count() as f64;
        let stay = planned * (people - out) + stay.min(planned) * out;
        self.book_lost(k, went, [planned * people, stay, done].map(|x| x / 3600.0));
        self.say(Level::Sortie, Some(i), |s| s.slot_words(k, i, went, outside));
    }

    /// Crew-hours lost of a sortie (rule 12): planned less stay goes to what limited the stay, stay less
    /// done to what ended work first.
    fn book_lost(&mut self, k: usize, went: bool, [planned, stay, done]: [f64; 3]) {
        let t = &self.teams[k];
        let (cause, limit) = (t.back.cause, t.out.limit);
        let lost = planned - done;
        let failed = match (went, t.back.has_cause) {
            (true, true) => (stay - done).clamp(0.0, lost.max(0.0)),
            (true, false) => 0.0,
            (false, _) => lost,
        };
        let ended = self.ended_by_plan(k, went, [planned, stay, done]);
        let (cut, limited) = (went && t.out.cut, went && (t.out.limited || ended.is_some()));
        let cause = if t.back.has_cause { cause } else { self.astray_why(k) };
        match ended {
            Some(hours) => {
                self.limit_hours(cause::HORIZON, hours);
                self.limit_hours(limit, lost - hours);
            }
            None => {
                self.lose_hours(cause, failed);
                self.limit_hours(limit, lost - failed);
            }
        }
        let f = &mut self.books.out.facts;
        f.add(Fact::SortiesCutShort, f64::from(u8::from(cut)));
        f.add(Fact::SortiesLimited, f64::from(u8::from(limited)));
    }

    /// Door-to-door minutes of a sortie by action.
    fn book_door(&mut self, k: usize) {
        for (row, spent) in self.arm.blocks.door.iter().zip(self.teams[k].out.by_action) {
            if let Some(row) = row {
                self.books.out.breakdown[usize::from(*row)] += spent / 60.0;
            }
        }
    }

    /// Those of a slot whose batch is not in, and those who never will be.
    fn still_out(&self, i: u32) -> Crew {
        let teams = self.teams.iter().filter(|t| t.slot == i);
        teams.fold(self.people.gone, |c, t| c | t.members)
    }

    /// Suits come home: count sorties; where and for how long those that are due and indoors are maintained.
    pub(in crate::campaign) fn suits_home(
        &mut self,
        k: usize,
    ) -> [Option<(VolumeId, f64)>; MAX_CREW] {
        let (mut due, mut n) = ([None; MAX_CREW], 0);
        if self.teams[k].out.out_at < 0.0 {
            return due;
        }
        self.bring_suits_in(k);
        for s in self.arm.layout.suits.ids() {
            if self.suits.come_in(s, k) {
                self.recharge_from_now(s);
                self.tell_left(s);
                if self.teams[k].errand == Errand::Return {
                    continue;
                }
                self.suits.count_sortie(s);
                if let Some(job) = self.maintain(s).filter(|_| n < MAX_CREW) {
                    due[n] = Some(job);
                    n += 1;
                }
            }
        }
        due
    }

    /// Does its maintenance fall due where it is now? Where, and how long it takes, s.
    pub(in crate::campaign) fn maintain(&mut self, s: SuitId) -> Option<(VolumeId, f64)> {
        let kind = &self.m.suits[self.arm.layout.suits[s].kind as usize];
        let every = kind.maintenance_every?;
        let Kept::Volume(v) = self.places.suit[s].kept() else {
            return None;
        };
        if self.suits.sorties(s) < every || v == OUTSIDE {
            return None;
        }
        let hash = self.arm.suit_hashes[s];
        let occasion = u64::from(self.suits.services(s));
        let takes = kind
            .maintenance_takes
            .value(&self.v, || self.draw_at(hash, occasion, Purpose::SuitMaintenance));
        let sheds = self.numbers.suits[s].maintenance_sheds;
        self.suits.maintained(s);
        self.shed(s, v, sheds, crate::model::DustPath::Maintenance);
        Some((v, takes))
    }

    /// A hurt person who is in goes off duty.
    pub(in crate::campaign) fn off_duty(&mut self, p: usize) {
        if self.people.hurt & 1 << p == 0 {
            return;
        }
        self.people.hurt &= !(1 << p);
        let mode = self.people.crew[p].hurt_mode as usize;
        let hash = self.m.crew.hashes[p] ^ self.arm.modes[mode].hash;
        let occasion = (self.people.crew[p].hurt_at * 1e3) as u64;
        let days = self.arm.modes[mode]
            .off_duty
            .value(&self.v, || self.draw_at(hash, occasion, Purpose::OffDuty));
        self.people.crew[p].off_until = self.now + days;
        if days.is_finite() && self.now + days < self.m.horizon {
            self.plan(self.now + days, Event::Look);
        }
    }
}
