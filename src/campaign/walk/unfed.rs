//! Volumes that no store holds at pressure (rule 25): those written so, those of an element that is
//! lost, and all of a store that has run dry. They decay exponentially.

use crate::campaign::agenda::Event;
use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::owner::leaks::{Way, Ways};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::GasCause;
use crate::physics::gas::leak::{self, Path, Relaxation};
use crate::physics::gas::{self, GasMass};
use crate::plan::{ACROSS, NONE, OUTSIDE, VolumeId};

/// A store that would last no longer than this is dry, s.
const MOMENT: f64 = 1e-3;

impl World<'_> {
    /// Is the volume held at set pressure by a store (or by something that never ends)?
    pub(in crate::campaign) fn feeds(&self, v: VolumeId) -> bool {
        self.air.leaks.feeds(v)
    }

    /// Which volumes nothing holds at pressure, as bits.
    fn unfed_now(&self) -> u64 {
        let fed = |v: VolumeId| {
            let play = &self.arm.volumes[v];
            let element = self.arm.layout.volumes[v].element;
            let store = play.store == NONE || !self.air.gas.dry(play.store as usize);
            play.fed && store && !self.rovers.lost(element)
        };
        let all = self.arm.volumes.ids().skip(1);
        all.filter(|v| !fed(*v)).fold(0, |bits, v| bits | 1 << v.at())
    }

    /// Other volumes are fed than before: every seal is read again. Leaks must be settled before the
    /// change.
    pub(in crate::campaign) fn feeding_changed(&mut self) {
        self.air.leaks.set_unfed(self.unfed_now());
        for o in self.arm.openings.ids() {
            self.read_seal(o);
        }
    }

    /// Looks when each store will have run dry at the present leaks; puts it on the calendar.
    pub(in crate::campaign) fn watch_stores(&mut self) {
        for s in 0..self.air.gas.stores() {
            if self.air.gas.dry(s) {
                continue;
            }
            let left = self.air.leaks.lasts(s, &self.air.gas);
            if left <= MOMENT {
                self.run_dry(s);
            } else if self.now + left < self.air.gas.looked_at(s).min(self.m.horizon) {
                *self.air.gas.looked_at(s) = self.now + left;
                self.plan(self.now + left, Event::Dry(s as u16));
            }
        }
    }

    /// A store may be dry now: leaks are settled, which looks again.
    pub(in crate::campaign) fn look_at_store(&mut self, s: usize) {
        *self.air.gas.looked_at(s) = f64::INFINITY;
        self.settle_all_leaks();
    }

    fn run_dry(&mut self, s: usize) {
        self.air.gas.set_dry(s, true);
        self.air.gas.hold(self.places.pressures());
        self.say(Level::Event, None, |x| format!("store {} has run dry", x.m.stores[s].name));
        self.feeding_changed();
    }

    /// Gas has come to a store that was dry: it brings what decayed back to where it was, if it can.
    pub(in crate::campaign) fn feed_again(&mut self, s: usize) {
        let has = self.air.gas.store(s);
        if !self.air.gas.dry(s) || has.oxygen <= 0.0 || has.nitrogen <= 0.0 {
            return;
        }
        self.air.gas.set_dry(s, false);
        let unfed = self.unfed_now();
        let e = Entry { port: NONE, contingency: false, planned: false };
        for v in self.arm.volumes.ids().skip(1) {
            let (now, held) = (self.places.pressure(v), self.air.gas.held(v));
            let decayed = now > self.vacuum() && now < held;
            let mine = self.air.gas.store_of(v) as usize == s && unfed >> v.at() & 1 == 0;
            if decayed && mine && self.store_fills(v, held) {
                self.places.press(v, held);
                self.settle_volume(v, Fate::Transfer, e);
                self.breathe_in(v);
            }
        }
        self.feeding_changed();
    }

    /// Unfed volumes relax towards their neighbours through their seals (rule 25); exact while the
    /// neighbours hold their pressures. Volumes that stand open to each other are one.
    #[inline]
    pub(in crate::campaign) fn settle_unfed(&mut self) {
        let dt = self.air.leaks.unfed_for(self.now);
        if self.air.leaks.unfed() != 0 && dt > 0.0 {
            self.decay(dt);
        }
    }

    fn decay(&mut self, dt: f64) {
        let mut left = self.air.leaks.unfed();
        while left != 0 {
            let v = VolumeId::new(left.trailing_zeros() as usize);
            let group = self.standing_open(v);
            left &= !(group | 1 << v.at());
            // What stands open to outside has no gas; what stands open to a fed volume is held.
            if group & !self.air.leaks.unfed() == 0 {
                self.relax(v, group, dt);
            }
        }
    }

    /// Volumes joined with `v` by openings that stand open, outside included, as bits.
    fn standing_open(&self, v: VolumeId) -> u64 {
        let l = &self.arm.layout;
        let mut group: u64 = 1 << v.at();
        loop {
            let before = group;
            for w in l.volumes.ids().skip(1).filter(|w| before >> w.at() & 1 != 0) {
                for o in &l.volumes[w].openings {
                    if self.places.opening[*o].open {
                        group |= l.across(*o, w).map_or(0, |x| 1 << x.at());
                    }
                }
            }
            if group == before {
                return group;
            }
        }
    }

    fn relax(&mut self, v: VolumeId, group: u64, dt: f64) {
        let mut ways = self.air.leaks.take_ways();
        self.relax_by(v, group, dt, &mut ways);
        self.air.leaks.keep_ways(ways);
    }

    fn relax_by(&mut self, v: VolumeId, group: u64, dt: f64, (leaks, paths): &mut Ways) {
        let mut volume = 0.0;
        for w in self.arm.volumes.ids().skip(1).filter(|w| group >> w.at() & 1 != 0) {
            volume += self.free_volume(w);
            self.leaks_of(w, group, leaks);
        }
        if leaks.is_empty() {
            return;
        }
        paths.extend(leaks.iter().map(|leak| leak.path));
        let before = self.places.pressure(v);
        let relaxation = Relaxation::of(volume, paths);
        let after = relaxation.after(before, dt);
        let mix = self.air.gas.mix(v);
        let t = self.air.gas.temperature(v);
        let per_pascal = gas::density(1.0, mix, t);
        let (mut rest, mut widest) = (GasMass::NONE, (0.0, 0));
        for (i, leak) in leaks.iter().enumerate() {
            let moved = mix.split(relaxation.inflow(leak.path, before, dt) * per_pascal);
            self.book_relaxed(leak, moved);
            rest += moved;
            if moved.total().abs() > widest.0 {
                widest = (moved.total().abs(), i);
            }
        }
        for w in self.arm.volumes.ids().skip(1).filter(|w| group >> w.at() & 1 != 0) {
            self.places.press(w, after);
            let has = self.content_now(w);
            rest += self.air.gas.split(w, self.air.gas.content(w) - has);
            self.air.gas.note_content(w, has);
            self.breathe_in(w);
        }
        // Volumes that stand open to each other may differ in mixture and temperature: what that makes
        // of the whole goes the widest way.
        self.book_relaxed(&leaks[widest.1], rest * -1.0);
    }

    /// Books what came in by a leak of an unfed group (negative: what went out).
    fn book_relaxed(&mut self, leak: &Way, moved: GasMass) {
        let low = self.places.pressure(leak.to);
        if low < ACROSS.max(self.arm.layout.ambient + 1e-9) {
            let e = Entry { port: leak.port, contingency: false, planned: false };
            self.air.gas.lose(GasCause::Leak, moved * -1.0, e);
        } else {
            self.air.gas.draw(leak.to, moved);
        }
    }

    /// Adds the leaks of one volume: shut seals to other groups and the shell of a cabin. Between two
    /// unfed groups nothing flows (left out: it would take both at once).
    fn leaks_of(&self, w: VolumeId, group: u64, leaks: &mut Vec<Way>) {
        let arm = self.arm;
        let (mix, t) = (self.air.gas.mix(w), self.air.gas.temperature(w));
        for o in &arm.layout.volumes[w].openings {
            let id = *o;
            let play = &arm.openings[id];
            let (leak, at) = (play.leak.of(&self.v), play.leak_at.of(&self.v));
            let Some(x) = arm.layout.across(*o, w) else { continue };
            let tight = self.places.opening[id].open || leak == 0.0 || !play.seals;
            if tight || group >> x.at() & 1 != 0 || !self.feeds(x) {
                continue;
            }
            let (here, there) = (self.places.pressure(w), self.places.pressure(x));
            let (high, low) = (here.max(there), here.min(there));
            // The gap's limit is not linear: it is taken as it stands at these pressures.
            let bound = if play.gap.is_some() && high > low {
                self.seal_leak(id, w, (high, low)) * (at / (high - low))
            } else {
                f64::INFINITY
            };
            let rate = (leak * self.faults.leak(id) * self.air.seals.factor(id)).min(bound);
            let conductance = leak::conductance(rate, at, mix, t);
            let path = Path { conductance, pressure: there };
            leaks.push(Way { path, to: x, port: arm.layout.openings[id].port });
        }
        let volume = &arm.layout.volumes[w];
        if arm.volumes[w].cabin {
            let leak = arm.elements[volume.element as usize].leak.of(&self.v);
            let ambient = arm.layout.ambient;
            if leak > 0.0 {
                let conductance = leak::conductance(leak, volume.rest - ambient, mix, t);
                let path = Path { conductance, pressure: ambient };
                leaks.push(Way { path, to: OUTSIDE, port: NONE });
            }
        }
    }
}
