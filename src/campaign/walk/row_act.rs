//! What a row changes: places first, then the books of gas and dust.

use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::GasCause;
use crate::physics::gas::GasMass;
use crate::plan::{Crew, NONE, On, Row, Side, Spread, each_of, step};
use crate::scenario::{Action, OpeningKind};

impl World<'_> {
    /// Does the row: places first, then the books of gas and dust.
    pub(in crate::campaign) fn act(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let arm = self.arm;
        let l = &arm.layout;
        match row.action {
            Action::Pass => self.dust_of_pass(row, who),
            Action::Open => self.dust_of_swing(k, row, who, true),
            Action::Close => self.dust_of_swing(k, row, who, false),
            Action::Clean => {
                self.dust_of_stage(k, row, who);
                self.clean_seals(row, who);
            }
            Action::Mate => self.dirty_interfaces(k, row, who),
            Action::Doff => self.dust_of_doff(row, who),
            Action::Vent | Action::Repress if row.on == On::Suit => {
                self.suit_gas_of(k, row, who, g)
            }
            Action::Purge => self.gas_of_purge(k, row, who, g),
            Action::Prebreathe => self.oxygen_of_prebreathe(k, who),
            _ => {}
        }
        if row.action == Action::Depress || row.action == Action::Vent {
            self.dust_of_vent(row, who);
        }
        let worn = self.worn_by(row.action, who);
        step::act(&mut self.places, l, row, who, g);
        self.gas_of_suits_worn(row.action, who, worn);
        match row.action {
            Action::Depress | Action::Vent | Action::Repress => self.gas_of_pressure(k, row, who),
            Action::Open => self.gas_of_open(k, row, who),
            Action::Close => self.leaks_of_row(row, who),
            Action::Pass | Action::Mate | Action::Unmate | Action::Don | Action::Doff => {
                self.gas_of_moves(k, row, who);
            }
            Action::Recharge => self.hang_on(row, who),
            Action::Travel => self.travelled(k, row, who),
            Action::Wait => self.set_to_work(k),
            _ => {}
        }
        if matches!(
            row.action,
            Action::Pass | Action::Don | Action::SuitUp | Action::Doff | Action::Mate
        ) {
            each_of(who).for_each(|p| self.breathe_here(p));
        }
        self.breath_after(row, who);
        self.look_at_parked(row.action);
        if row.action == Action::Doff {
            self.treated(k, who);
        }
    }

    pub(in crate::campaign) fn suit_gas_of(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let (suits, n) = self.places.row_suits(row, who, g);
        let e = self.entry(k);
        for s in &suits[..n] {
            let s = *s as usize;
            let from = self.places.suit[s].pressure;
            let to = self.suit_level(row, s);
            if row.action == Action::Vent {
                self.vent_suit(s, from, to, e);
            } else {
                let cabin = self.host_cabin(k);
                self.fill_suit(s, from, to, cabin);
            }
        }
    }

    /// The pressure a row brings a suit to.
    fn suit_level(&self, row: &Row, s: usize) -> f64 {
        match row.to {
            crate::plan::Aim::Pascal(p) => p,
            crate::plan::Aim::Ambient => self.arm.layout.ambient,
            _ => self.arm.layout.suits[s].working,
        }
    }

    /// What the suits of a `repress` or `purge` row take from the store, kg.
    pub(in crate::campaign) fn suits_take(
        &self,
        k: usize,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> GasMass {
        let (suits, n) = self.places.row_suits(row, who, g);
        let dt = self.teams[k].leg.end - self.teams[k].leg.t;
        let outside = row.gas == crate::plan::GasEnd::Outside;
        suits[..n].iter().fold(GasMass::NONE, |sum, s| {
            let s = *s as usize;
            if row.action == Action::Purge {
                return sum + self.purge_takes(s, dt, outside);
            }
            let rise = self.suit_level(row, s) - self.places.suit[s].pressure;
            sum + self.suit_gas(s, rise.max(0.0), self.air.gas.mix(self.host_cabin(k)))
        })
    }

    /// Cabin of the element the team's port stands on.
    pub(in crate::campaign) fn host_cabin(&self, k: usize) -> usize {
        let e = self.arm.layout.ports[self.teams[k].port as usize].element;
        self.arm.layout.elements[e as usize].cabin as usize
    }

    pub(in crate::campaign) fn gas_of_purge(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let (suits, n) = self.places.row_suits(row, who, g);
        let e = self.entry(k);
        let dt = self.teams[k].leg.end - self.teams[k].leg.t;
        let cabin = self.host_cabin(k);
        for s in &suits[..n] {
            self.purge(*s as usize, dt, cabin, row.gas == crate::plan::GasEnd::Outside, e);
        }
    }

    pub(in crate::campaign) fn gas_of_pressure(&mut self, k: usize, row: &Row, who: Crew) {
        if row.on == On::Suit {
            return;
        }
        let arm = self.arm;
        let (vols, n) = self.places.row_volumes(&arm.layout, row, who);
        let e = self.entry(k);
        for v in &vols[..n] {
            let v = *v as usize;
            let fate = match row.action {
                Action::Depress => self.pump_fate(v),
                Action::Vent if row.gas == crate::plan::GasEnd::Outside => self.vent_fate(k, v),
                _ => Fate::Transfer,
            };
            self.settle_volume(v, fate, e);
            self.refresh_leaks_of(v);
            for b in arm.layout.berths.iter().filter(|b| b.outer as usize == v) {
                if !self.places.opening[b.interface as usize].mated {
                    self.settle_volume(b.gap as usize, fate, e);
                }
            }
            if row.action == Action::Repress {
                self.dust_of_fill(v);
            }
            let l = &arm.layout;
            for p in each_of(self.places.persons_in(l, v as u16)) {
                self.breathe_here(p);
            }
            self.suits_let_down(v, e);
        }
    }

    /// A volume that was filled and does not hold its pressure check has lost what was put into it, as
    /// far as the store had it (rule 9: a row that fails has cost its gas). A seal that only leaks more
    /// than is allowed keeps it.
    pub(in crate::campaign) fn gas_of_failed_fill(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        f: Failure,
    ) {
        let empties = matches!(f, Failure::NotHolding(_));
        if row.action != Action::Repress || row.on == On::Suit || !empties {
            return;
        }
        self.settle_all_leaks();
        let (vols, n) = self.places.row_volumes(&self.arm.layout, row, who);
        let e = self.entry(k);
        for v in &vols[..n] {
            let to = self.arm.layout.level(row, *v);
            if self.store_fills(*v as usize, to) {
                let gas = self.fill_of(*v as usize, to);
                self.air.gas.draw(*v as usize, gas);
                self.air.gas.lose(GasCause::Leak, gas, e);
            }
        }
    }

    /// In a volume at outside pressure suits have let their gas down to working pressure, whether a row
    /// says so or not.
    fn suits_let_down(&mut self, v: usize, e: Entry) {
        if self.places.pressure[v] > self.vacuum() {
            return;
        }
        let l = &self.arm.layout;
        for p in each_of(self.places.persons_in(l, v as u16)) {
            let s = self.places.person[p].suit;
            if s == NONE {
                continue;
            }
            let (from, to) = (self.places.suit[s as usize].pressure, l.suits[s as usize].working);
            if from > to {
                self.vent_suit(s as usize, from, to, e);
                self.places.suit[s as usize].pressure = to;
            }
        }
    }

    /// Where the gas of a `vent` goes: what a lost pump should have moved is booked to that.
    fn vent_fate(&self, k: usize, v: usize) -> Fate {
        let (l, t) = (&self.arm.layout, &self.teams[k]);
        let left = t.leg.row > 0 && l.vented_next(&l.lists[t.leg.list as usize], t.leg.row - 1);
        let pump = self.arm.volumes[v].pump as usize;
        let lost = self.faults.pump_lost(pump).is_some();
        if !(left && lost) {
            return Fate::Lost(GasCause::Vent);
        }
        let (before, after) = (self.air.gas.content(v), self.content_now(v));
        let at_stop = after * self.arm.pumps[pump].stop / self.places.pressure[v];
        Fate::Vented(((before - at_stop) / (before - after)).clamp(0.0, 1.0))
    }

    pub(in crate::campaign) fn pump_fate(&self, v: usize) -> Fate {
        let pump = self.arm.volumes[v].pump;
        if pump == NONE || self.faults.pump_lost(pump as usize).is_some() {
            return Fate::Lost(GasCause::FailedPump);
        }
        let play = self.numbers.pumps[pump as usize];
        let (recovery, reservoir) = (play.recovery, play.reservoir);
        if reservoir <= 0.0 {
            return Fate::Pumped(recovery);
        }
        let (before, after) = (self.air.gas.content(v), self.content_now(v));
        let volume = self.free_volume(v);
        Fate::Pumped(crate::physics::gas::pump::kept_share(
            before, after, volume, reservoir, recovery,
        ))
    }

    pub(in crate::campaign) fn gas_of_open(&mut self, k: usize, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let arm = self.arm;
        let e = self.entry(k);
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&arm.layout, o, n, p) as usize;
            let sides = arm.layout.openings[id].sides;
            let out = sides.iter().any(|s| match s {
                Side::Volume(v) => self.places.pressure[*v as usize] <= arm.layout.ambient,
                Side::Suit(_) => false,
            });
            for s in sides {
                if let Side::Volume(v) = s {
                    let fate = if out { Fate::Lost(GasCause::Rest) } else { Fate::Transfer };
                    self.settle_volume(v as usize, fate, e);
                    self.refresh_if_changed(v as usize);
                }
            }
            self.read_seal(id);
        }
    }

    pub(in crate::campaign) fn leaks_of_row(&mut self, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
            self.read_seal(id);
        }
    }

    /// Persons displace gas: those who move change what both volumes hold. What the gap of a berth still
    /// holds when its suit leaves is lost.
    pub(in crate::campaign) fn gas_of_moves(&mut self, k: usize, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let arm = self.arm;
        let e = self.entry(k);
        let mut settled = usize::MAX;
        for p in each_of(who) {
            let id = self.places.opening_for(&arm.layout, o, n, p) as usize;
            let gap = arm.layout.berths.iter().find(|b| b.interface as usize == id).map(|b| b.gap);
            // All have moved: what the first settles is settled.
            let sides = arm.layout.openings[id].sides;
            for s in sides.into_iter().filter(|_| id != settled) {
                if let Side::Volume(v) = s {
                    let opens = row.action == Action::Unmate && gap == Some(v);
                    let fate = if opens { Fate::Lost(GasCause::Rest) } else { Fate::Transfer };
                    self.settle_volume(v as usize, fate, e);
                }
            }
            settled = id;
            let berth = self.places.person[p].berth;
            if berth != NONE && arm.layout.openings[id].kind == OpeningKind::SuitInterface {
                let cabin = arm.layout.berths[berth as usize].cabin;
                // The gap of a berth without a suit is empty: nothing leaks from it any more.
                self.refresh_leaks_of(arm.layout.berths[berth as usize].gap as usize);
                self.settle_volume(cabin as usize, Fate::Transfer, e);
            }
        }
    }

    pub(in crate::campaign) fn hang_on(&mut self, row: &Row, who: Crew) {
        let On::Stage(s) = row.on else { return };
        let now = self.now;
        let most = self.arm.layout.stages[s as usize].serves as usize;
        for p in each_of(who).take(most) {
            let clock = &mut self.people.crew[p].clock;
            if clock.open {
                clock.advance(now);
                clock.paused = true;
            }
        }
    }
}
