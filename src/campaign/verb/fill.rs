//! `repress` of volumes: the rate that people bear, the seals that must hold, the store that must have
//! it, what is lost when they do not.

use super::Task;
use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::{GasCause, row_time};
use crate::physics::gas::GasMass;
use crate::plan::{NONE, On, OpeningId, VolumeId, each_of, step::pressure};
use crate::scenario::{Action, OpeningKind, Trigger};

impl World<'_> {
    /// How long filling takes at the rate that people bear, s.
    pub(in crate::campaign) fn fill_time(&self, t: &Task) -> f64 {
        let rate = self.numbers.rules.pressure_rate;
        t.volumes().fold(0.0, |longest: f64, v| {
            let (from, to) = (self.places.pressure(v), t.l.level(t.row, v));
            longest.max(row_time::filled((from, to), rate))
        })
    }

    /// Asks the seals of what is filled, then looks whether they hold.
    pub(in crate::campaign) fn ask_holding(&mut self, t: &Task) -> Result<(), Failure> {
        let arm = self.arm;
        let o = self.occasion(t.k);
        for v in t.volumes() {
            for id in &arm.layout.volumes[v].openings {
                let d = &arm.on_opening[*id];
                if d.listens(Trigger::Holding) && self.seals_now(*id) {
                    let dust = self.dust_on(t.k, *id, false);
                    self.demand(d, Trigger::Holding, 1.0, o, dust);
                }
            }
        }
        for v in t.volumes() {
            for id in &arm.layout.volumes[v].openings {
                let fails = self.faults.not_holding(*id);
                if let Some(pm) = fails.filter(|_| self.seals_now(*id)) {
                    self.find(pm as usize);
                    return Err(Failure::NotHolding(pm));
                }
                if self.leaks_too_much(*id) {
                    return Err(self.find_leaking(*id));
                }
            }
        }
        Ok(())
    }

    /// Does the opening hold pressure as it stands: shut, and an interface with a suit on it? Without a
    /// suit the hatch behind it does.
    #[inline]
    pub(in crate::campaign) fn seals_now(&self, o: OpeningId) -> bool {
        let state = &self.places.opening[o];
        let back = self.arm.layout.openings[o].kind == OpeningKind::SuitInterface;
        !state.open && (!back || state.mated)
    }

    /// Does the store hold what fills the volumes of a row?
    pub(in crate::campaign) fn store_fills_all(&mut self, t: &Task) -> Result<(), Failure> {
        for v in t.volumes() {
            let need = self.fill_of(v, t.l.level(t.row, v));
            let s = self.air.gas.store_of(v);
            self.settle_leaks_for(s, need);
            if !self.air.gas.holds(s, need) {
                return Err(Failure::Store);
            }
        }
        Ok(())
    }

    /// Does the store hold what brings a volume from its pressure to `to`?
    pub(in crate::campaign) fn store_fills(&self, v: VolumeId, to: f64) -> bool {
        let s = self.air.gas.store_of(v);
        s == NONE || self.air.gas.holds(s, self.fill_of(v, to))
    }

    /// What brings a volume from its pressure to `to`, kg.
    pub(in crate::campaign) fn fill_of(&self, v: VolumeId, to: f64) -> GasMass {
        let rise = (to - self.places.pressure(v)).max(0.0);
        let (mix, t) = (self.air.gas.mix(v), self.air.gas.temperature(v));
        crate::physics::gas::content(rise, self.free_volume(v), mix, t)
    }

    /// Fills volumes from the store; who is in there breathes what is there now.
    pub(in crate::campaign) fn fill(&mut self, t: &Task) {
        pressure::act(&mut self.places, &t.cast);
        t.volumes().for_each(|v| self.gas_has_moved(t, v, Fate::Transfer));
        t.volumes().for_each(|v| self.breathe_in(v));
        self.refresh_parked();
    }

    /// A volume is filled again: its air moves dust from now on.
    pub(in crate::campaign) fn dust_of_fill(&mut self, v: VolumeId) {
        let room = self.arm.volumes[v].room;
        if room != NONE {
            let law = self.law_of_room(room);
            self.dust.rooms.pressurise(room, self.now, law);
        }
    }

    /// A volume that was filled and does not hold its pressure check has lost what was put into it, as
    /// far as the store had it (rule 9: a row that fails has cost its gas). A seal that only leaks more
    /// than is allowed keeps it.
    pub(in crate::campaign) fn gas_of_failed_fill(&mut self, t: &Task, f: Failure) {
        let empties = matches!(f, Failure::NotHolding(_));
        if t.row.action != Action::Repress || t.row.on == On::Suit || !empties {
            return;
        }
        self.settle_all_leaks();
        let e = self.entry(t.k);
        for v in t.volumes() {
            let to = t.l.level(t.row, v);
            if self.store_fills(v, to) {
                let gas = self.fill_of(v, to);
                self.air.gas.draw(v, gas);
                self.air.gas.lose(GasCause::Leak, gas, e);
            }
        }
    }

    /// In a volume at outside pressure suits have let their gas down to working pressure, whether a row
    /// says so or not.
    pub(in crate::campaign) fn suits_let_down(&mut self, v: VolumeId, e: Entry) {
        if self.places.pressure(v) > self.vacuum() {
            return;
        }
        let l = &self.arm.layout;
        for p in each_of(self.places.persons_in(v)) {
            let s = self.places.person[p].suit;
            if s.is_none() {
                continue;
            }
            let (from, to) = (self.places.suit[s].pressure(), l.suits[s].working);
            if from > to {
                self.vent_suit(s, from, to, e);
                self.places.press_suit(s, to);
            }
        }
    }
}
