//! Gas and leak bookkeeping of play: contents after a row, flows through seals between events.

use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::owner::team::Errand;
use crate::campaign::world::World;
use crate::model::GasCause;
use crate::physics::gas::{GasMass, Mix};
use crate::plan::{Crew, Kept, MAX_CREW, NONE, OUTSIDE, Where, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// Entry of a loss made by team `k`.
    pub(in crate::campaign) fn entry(&self, k: usize) -> Entry {
        let t = &self.teams[k];
        // What crossing between elements costs belongs to no sortie.
        let crosses = matches!(t.errand, Errand::Dock | Errand::Undock(_));
        Entry {
            port: t.port,
            contingency: t.back.contingency,
            planned: !t.back.contingency && !crosses,
        }
    }

    /// Settles a volume whose pressure or persons have changed.
    pub(in crate::campaign) fn settle_volume(&mut self, v: usize, fate: Fate, e: Entry) {
        if v == OUTSIDE as usize {
            return;
        }
        let content = self.content_now(v);
        self.air.gas.settle(v, content, fate, e);
    }

    /// The same where the pressure is another than when they were read last.
    pub(in crate::campaign) fn refresh_if_changed(&mut self, v: usize) {
        if self.air.leaks.pressure_moved(v, self.places.pressure[v]) {
            self.refresh_leaks_of(v);
        }
    }

    /// Re-reads the flows of all openings of a volume (after its pressure changed).
    pub(in crate::campaign) fn refresh_leaks_of(&mut self, v: usize) {
        self.air.leaks.pressure_moved(v, self.places.pressure[v]);
        let arm = self.arm;
        for o in &arm.layout.volumes[v].openings {
            self.read_seal(*o as usize);
        }
    }

    /// Books what has leaked through an opening, which goes on as things stand.
    pub(in crate::campaign) fn read_seal(&mut self, o: usize) {
        if !self.air.leaks.may_leak(o) {
            return;
        }
        let as_it_is = (!self.places.opening[o].open, self.wear(o));
        self.air.leaks.read(o, as_it_is, &self.places.pressure, &mut self.air.gas, self.now);
    }

    /// Books all leaks up to now: openings and shells.
    pub(in crate::campaign) fn settle_all_leaks(&mut self) {
        self.settle_unfed();
        self.air.leaks.book_all(&mut self.air.gas, self.now);
        self.watch_stores();
    }

    /// Suit vented from one pressure to another: what leaves has the composition of what is in it (rule
    /// 25: after purge O2 only); O2 where the books hold nothing of it.
    pub(in crate::campaign) fn vent_suit(&mut self, s: usize, from: f64, to: f64, e: Entry) {
        if from <= to {
            return;
        }
        let mix = self.air.gas.suit(s).mix().unwrap_or(Mix::OXYGEN);
        let gas = self.suit_gas(s, from - to, mix);
        self.air.gas.suit_holds(s, self.air.gas.suit(s) - gas);
        self.air.gas.lose(GasCause::SuitVent, gas, e);
    }

    /// Suit filled by a row from the store behind a volume.
    pub(in crate::campaign) fn fill_suit(&mut self, s: usize, from: f64, to: f64, volume: usize) {
        if to <= from {
            return;
        }
        let gas = self.suit_gas(s, to - from, self.air.gas.mix(volume));
        self.air.gas.suit_holds(s, self.air.gas.suit(s) + gas);
        self.air.gas.draw(volume, gas);
    }

    /// Suits that persons wear before a row that dons or doffs; nothing for other rows.
    pub(in crate::campaign) fn worn_by(&self, action: Action, who: Crew) -> [u16; MAX_CREW] {
        let mut worn = [NONE; MAX_CREW];
        if matches!(action, Action::Don | Action::SuitUp | Action::Doff) {
            each_of(who).for_each(|p| worn[p] = self.places.person[p].suit);
        }
        worn
    }

    /// Donned, a suit holds the gas around, which the store makes up; doffed, it stands open and what
    /// was in it mixes with the gas around. A stowed suit is not in the books.
    pub(in crate::campaign) fn gas_of_suits_worn(
        &mut self,
        action: Action,
        who: Crew,
        was: [u16; MAX_CREW],
    ) {
        if !matches!(action, Action::Don | Action::SuitUp | Action::Doff) {
            return;
        }
        for p in each_of(who).filter(|p| was[*p] != self.places.person[*p].suit) {
            let now = self.places.person[p].suit;
            let s = if now == NONE { was[p] } else { now } as usize;
            let l = &self.arm.layout;
            let berthed = matches!(l.suits[s].home, Kept::Berth(_));
            let (volume, stowed) = match (self.places.suit[s].kept, self.places.person[p].at) {
                (Kept::Berth(b), _) | (Kept::Worn(_), Where::Berth(b)) => {
                    (l.berths[b as usize].cabin as usize, false)
                }
                (Kept::Volume(v), _) => (v as usize, !berthed),
                (Kept::Worn(_), Where::Volume(v)) => (v as usize, false),
                (Kept::Worn(_), Where::Gone) => continue,
            };
            let holds = match stowed || volume == OUTSIDE as usize {
                true => GasMass::NONE,
                false => self.suit_gas(s, self.places.suit[s].pressure, self.air.gas.mix(volume)),
            };
            let more = self.air.gas.suit_holds(s, holds);
            self.air.gas.draw(volume, more);
        }
    }

    pub(in crate::campaign) fn suit_gas(&self, s: usize, rise: f64, mix: Mix) -> GasMass {
        let kind = &self.numbers.suits[s];
        let cabin = self.arm.layout.elements[0].cabin as usize;
        let t = self.air.gas.temperature(cabin);
        crate::physics::gas::content(rise, kind.gas_volume, mix, t)
    }

    /// What a purge takes from the store, kg: the flow, or, where it ends in a volume that the store
    /// holds at pressure, the oxygen that stays.
    pub(in crate::campaign) fn purge_takes(&self, s: usize, dt: f64, outside: bool) -> GasMass {
        let kind = &self.numbers.suits[s];
        let n2 = GasMass { oxygen: 0.0, nitrogen: self.air.gas.suit(s).nitrogen };
        let stays = n2.moles() * crate::physics::gas::OXYGEN_MOLAR_MASS;
        let through = kind.purge_flow * dt;
        GasMass::of_oxygen(if outside { through } else { stays })
    }

    /// Purge: oxygen flows through the suit for `dt`; the nitrogen in it leaves, mole for mole replaced
    /// by oxygen that stays.
    pub(in crate::campaign) fn purge(
        &mut self,
        s: usize,
        dt: f64,
        volume: usize,
        outside: bool,
        e: Entry,
    ) {
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
