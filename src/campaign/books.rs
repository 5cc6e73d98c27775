//! Gas and leak bookkeeping of play: contents after a row, flows through seals between events.

use super::gas::{Entry, Fate};
use super::play::Play;
use super::team::Errand;
use crate::layout::{ACROSS, NONE, OUTSIDE, Side};
use crate::model::GasCause;
use crate::physics::gas::{GasMass, Mix};

impl Play<'_> {
    /// Entry of a loss made by team `k`.
    pub(super) fn entry(&self, k: usize) -> Entry {
        let t = &self.teams[k];
        // What crossing between elements costs belongs to no sortie.
        let crosses = matches!(t.errand, Errand::Dock | Errand::Undock(_));
        Entry { port: t.port, contingency: t.contingency, planned: !t.contingency && !crosses }
    }

    /// Settles a volume whose pressure or persons have changed.
    pub(super) fn settle_volume(&mut self, v: usize, fate: Fate, e: Entry) {
        if v == OUTSIDE as usize {
            return;
        }
        let content = self.content_now(v);
        self.gas.settle(v, content, fate, e);
    }

    /// The same where the pressure is another than when they were read last.
    pub(super) fn refresh_if_changed(&mut self, v: usize) {
        if self.places.pressure[v] != self.leak_pressure[v] {
            self.refresh_leaks_of(v);
        }
    }

    /// Re-reads the flows of all openings of a volume (after its pressure changed).
    pub(super) fn refresh_leaks_of(&mut self, v: usize) {
        self.leak_pressure[v] = self.places.pressure[v];
        for i in 0..self.arm.layout.volumes[v].openings.len() {
            let o = self.arm.layout.volumes[v].openings[i] as usize;
            self.settle_leak(o);
            self.refresh_leak(o);
        }
    }

    /// Books what has leaked through an opening since the last change (rule 25: exact between events,
    /// the flow is constant).
    pub(super) fn settle_leak(&mut self, o: usize) {
        let dt = self.now - self.leak_since[o];
        let rate = self.leak_rate[o];
        self.leak_since[o] = self.now;
        if rate <= 0.0 || dt <= 0.0 {
            return;
        }
        let v = self.leak_from[o] as usize;
        let gas = self.gas.mix[v].split(rate * dt);
        if self.leak_lost[o] {
            self.gas.draw(v, gas);
            let port = self.arm.layout.openings[o].port;
            let e = Entry { port, contingency: false, planned: false };
            self.gas.lose(GasCause::Leak, gas, e);
        }
    }

    /// The flow through an opening as things stand.
    pub(super) fn refresh_leak(&mut self, o: usize) {
        let play = &self.arm.openings[o];
        let state = &self.places.opening[o];
        let leak = play.leak.of(&self.v);
        self.leak_rate[o] = 0.0;
        if leak == 0.0 || !play.seals || state.open {
            return;
        }
        let [Side::Volume(a), Side::Volume(b)] = self.arm.layout.openings[o].sides else {
            return;
        };
        let (pa, pb) = (self.places.pressure[a as usize], self.places.pressure[b as usize]);
        let (from, low) = if pa >= pb { (a, pb) } else { (b, pa) };
        let difference = (pa - pb).abs();
        if from == OUTSIDE || difference == 0.0 || !self.feeds(a) || !self.feeds(b) {
            return;
        }
        self.leak_from[o] = from;
        self.leak_lost[o] = low < ACROSS.max(self.arm.layout.ambient + 1e-9);
        let pressures = if pa >= pb { (pa, pb) } else { (pb, pa) };
        self.leak_rate[o] = self.seal_leak(o, from as usize, pressures);
    }

    /// Books all leaks up to now: openings and shells.
    pub(super) fn settle_all_leaks(&mut self) {
        self.settle_unfed();
        for o in 0..self.leak_rate.len() {
            self.settle_leak(o);
        }
        let dt = self.now - self.shell_since;
        self.shell_since = self.now;
        for e in 0..self.arm.elements.len() {
            let rate = self.arm.elements[e].leak.of(&self.v);
            let cabin = self.arm.layout.elements[e].cabin as usize;
            if rate > 0.0 && dt > 0.0 && self.feeds(cabin as u16) {
                let gas = self.gas.mix[cabin].split(rate * dt);
                self.gas.draw(cabin, gas);
                let e = Entry { port: NONE, contingency: false, planned: false };
                self.gas.lose(GasCause::Leak, gas, e);
            }
        }
        self.watch_stores();
    }

    /// Suit vented by a row: what leaves is oxygen (rule 25: after purge a suit holds O2 only).
    pub(super) fn vent_suit(&mut self, s: usize, from: f64, to: f64, e: Entry) {
        if from <= to {
            return;
        }
        let gas = self.suit_gas(s, from - to, Mix::OXYGEN);
        self.gas.suit[s] = self.gas.suit[s] - gas;
        self.gas.lose(GasCause::SuitVent, gas, e);
    }

    /// Suit filled by a row from the store behind a volume.
    pub(super) fn fill_suit(&mut self, s: usize, from: f64, to: f64, volume: usize) {
        if to <= from {
            return;
        }
        let gas = self.suit_gas(s, to - from, self.gas.mix[volume]);
        self.gas.suit[s] += gas;
        self.gas.draw(volume, gas);
    }

    fn suit_gas(&self, s: usize, rise: f64, mix: Mix) -> GasMass {
        let kind = &self.m.suits[self.arm.layout.suits[s].kind as usize];
        let cabin = self.arm.layout.elements[0].cabin as usize;
        let t = self.arm.volumes[cabin].temperature.of(&self.v);
        crate::physics::gas::content(rise, kind.gas_volume.of(&self.v), mix, t)
    }

    /// Purge: oxygen flows through the suit for `dt`; the nitrogen in it leaves, mole for mole replaced
    /// by oxygen that stays.
    pub(super) fn purge(&mut self, s: usize, dt: f64, volume: usize, outside: bool, e: Entry) {
        let kind = &self.m.suits[self.arm.layout.suits[s].kind as usize];
        let flow = GasMass::of_oxygen(kind.purge_flow.of(&self.v) * dt);
        let n2 = GasMass { oxygen: 0.0, nitrogen: self.gas.suit[s].nitrogen };
        let stays = GasMass::of_oxygen(n2.moles() * crate::physics::gas::OXYGEN_MOLAR_MASS);
        self.gas.suit[s] = self.gas.suit[s] - n2 + stays;
        let leaves = flow - stays + n2;
        if outside {
            self.gas.draw(volume, flow);
            self.gas.lose(GasCause::Purge, leaves, e);
        } else {
            // It goes into a volume that the store holds at pressure: only the exchange counts.
            self.gas.draw(volume, stays - n2);
        }
    }
}
