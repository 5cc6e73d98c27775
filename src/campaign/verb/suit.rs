//! Rows on suits: gas let down or filled up (`vent`, `repress`), `purge` with oxygen.

use super::Task;
use crate::campaign::owner::gas::Entry;
use crate::campaign::world::World;
use crate::model::{GasCause, row_time};
use crate::physics::gas::{GasMass, Mix};
use crate::plan::{Aim, GasEnd, SuitId, VolumeId, each_of, step};
use crate::scenario::Action;

impl World<'_> {
    /// How long filling worn suits takes at the rate that people bear, s.
    pub(in crate::campaign) fn suit_fill_time(&self, t: &Task) -> f64 {
        let Aim::Pascal(to) = t.row.to else { return 0.0 };
        let low = each_of(t.who).fold(to, |x: f64, p| {
            let s = self.places.person[p].suit;
            if s.is_none() { x } else { x.min(self.places.suit[s].pressure()) }
        });
        row_time::filled((low, to), self.numbers.rules.pressure_rate)
    }

    /// The pressure a row brings a suit to.
    fn suit_level(&self, t: &Task, s: SuitId) -> f64 {
        match t.row.to {
            Aim::Pascal(p) => p,
            Aim::Ambient => t.l.ambient,
            Aim::Rest | Aim::Working => t.l.suits[s].working,
        }
    }

    /// What the suits of a `repress` or `purge` row take from the store, kg.
    pub(in crate::campaign) fn suits_take(&self, t: &Task) -> GasMass {
        let (suits, n) = self.places.row_suits(t.row, t.who, t.g);
        let dt = self.row_lasts(t.k);
        let outside = t.row.gas == GasEnd::Outside;
        suits[..n].iter().fold(GasMass::NONE, |sum, s| {
            let s = *s;
            if t.row.action == Action::Purge {
                return sum + self.purge_takes(s, dt, outside);
            }
            let rise = self.suit_level(t, s) - self.places.suit[s].pressure();
            sum + self.suit_gas(s, rise.max(0.0), self.air.gas.mix(self.host_cabin(t.k)))
        })
    }

    /// Duration of the row that a team is in, s.
    pub(in crate::campaign) fn row_lasts(&self, k: usize) -> f64 {
        self.teams[k].leg.end - self.teams[k].leg.t
    }

    /// Lets suits down or fills them up.
    pub(in crate::campaign) fn change_suits(&mut self, t: &Task) {
        let (suits, n) = self.places.row_suits(t.row, t.who, t.g);
        let e = self.entry(t.k);
        for s in suits[..n].iter().copied() {
            let (from, to) = (self.places.suit[s].pressure(), self.suit_level(t, s));
            match t.row.action {
                Action::Vent => self.vent_suit(s, from, to, e),
                Action::Repress => self.fill_suit(s, from, to, self.host_cabin(t.k)),
                _ => {}
            }
        }
        step::suit::change(&mut self.places, &t.cast);
        self.breathe_on(t.who, self.now);
        self.refresh_parked();
    }

    /// Suit vented from one pressure to another: what leaves has the composition of what is in it (rule
    /// 25: after purge O2 only); O2 where the books hold nothing of it.
    pub(in crate::campaign) fn vent_suit(&mut self, s: SuitId, from: f64, to: f64, e: Entry) {
        if from <= to {
            return;
        }
        let mix = self.air.gas.suit(s).mix().unwrap_or(Mix::OXYGEN);
        let gas = self.suit_gas(s, from - to, mix);
        self.air.gas.suit_holds(s, self.air.gas.suit(s) - gas);
        self.air.gas.lose(GasCause::SuitVent, gas, e);
    }

    /// Suit filled by a row from the store behind a volume.
    fn fill_suit(&mut self, s: SuitId, from: f64, to: f64, volume: VolumeId) {
        if to <= from {
            return;
        }
        let gas = self.suit_gas(s, to - from, self.air.gas.mix(volume));
        self.air.gas.suit_holds(s, self.air.gas.suit(s) + gas);
        self.air.gas.draw(volume, gas);
    }

    /// Gas of a suit over a rise of pressure, kg.
    pub(in crate::campaign) fn suit_gas(&self, s: SuitId, rise: f64, mix: Mix) -> GasMass {
        let kind = &self.numbers.suits[s];
        let cabin = self.arm.layout.elements[0].cabin;
        let t = self.air.gas.temperature(cabin);
        crate::physics::gas::content(rise, kind.gas_volume, mix, t)
    }

    /// Oxygen flows through suits; who wears them breathes it from now on.
    pub(in crate::campaign) fn purge_suits(&mut self, t: &Task) {
        let (suits, n) = self.places.row_suits(t.row, t.who, t.g);
        let e = self.entry(t.k);
        let (dt, cabin) = (self.row_lasts(t.k), self.host_cabin(t.k));
        for s in &suits[..n] {
            self.purge(*s, dt, cabin, t.row.gas == GasEnd::Outside, e);
        }
        let now = self.now;
        each_of(t.who).for_each(|p| self.turn_oxygen(p, true, now));
    }

    /// What a purge takes from the store, kg: the flow, or, where it ends in a volume that the store
    /// holds at pressure, the oxygen that stays.
    fn purge_takes(&self, s: SuitId, dt: f64, outside: bool) -> GasMass {
        let kind = &self.numbers.suits[s];
        let n2 = GasMass { oxygen: 0.0, nitrogen: self.air.gas.suit(s).nitrogen };
        let stays = n2.moles() * crate::physics::gas::OXYGEN_MOLAR_MASS;
        let through = kind.purge_flow * dt;
        GasMass::of_oxygen(if outside { through } else { stays })
    }

    /// Purge: oxygen flows through the suit for `dt`; the nitrogen in it leaves, mole for mole replaced
    /// by oxygen that stays.
    fn purge(&mut self, s: SuitId, dt: f64, volume: VolumeId, outside: bool, e: Entry) {
        let kind = &self.numbers.suits[s];
        let flow = GasMass::of_oxygen(kind.purge_flow * dt);
        let n2 = GasMass { oxygen: 0.0, nitrogen: self.air.gas.suit(s).nitrogen };
        let stays = GasMass::of_oxygen(n2.moles() * crate::physics::gas::OXYGEN_MOLAR_MASS);
        self.air.gas.suit_holds(s, self.air.gas.suit(s) - n2 + stays);
        let leaves = flow - stays + n2;
        if outside {
            self.air.gas.draw(volume, flow);
            self.air.gas.lose(GasCause::Purge, leaves, e);
        } else {
            // It goes into a volume that the store holds at pressure: only the exchange counts.
            self.air.gas.draw(volume, stays - n2);
        }
    }
}
