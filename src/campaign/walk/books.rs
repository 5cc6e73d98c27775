//! Gas and leak bookkeeping of play: contents after a row, flows through seals between events.

use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::owner::team::Errand;
use crate::campaign::world::{Air, World};
use crate::physics::gas::GasMass;
use crate::plan::{OUTSIDE, OpeningId, VolumeId};

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

    /// Settles a volume if its pressure or persons have changed.
    #[inline]
    pub(in crate::campaign) fn settle_volume(&mut self, v: VolumeId, fate: Fate, e: Entry) {
        if v == OUTSIDE || !self.places.has_stirred(v) {
            let same = || v == OUTSIDE || self.air.gas.content(v) == self.content_now(v);
            debug_assert!(same(), "the gas of a volume has changed unseen");
            return;
        }
        let content = self.content_now(v);
        self.air.gas.settle(v, content, fate, e);
    }

    /// Re-reads the flows of all openings of a volume whose pressure has changed.
    #[inline]
    pub(in crate::campaign) fn refresh_if_changed(&mut self, v: VolumeId) {
        if self.air.leaks.pressure_moved(v, self.places.pressure(v)) {
            self.read_seals_around(v);
        }
    }

    #[inline(never)]
    fn read_seals_around(&mut self, v: VolumeId) {
        let Air { leaks, gas, seals, .. } = &mut self.air;
        let (openings, seals, faults) = (&self.places.opening, &*seals, &self.faults);
        let as_it_is = |o: OpeningId| (!openings[o].open, seals.wear(o, faults));
        leaks.read_around(v, as_it_is, self.places.pressures(), gas, self.now);
    }

    /// Books what has leaked through an opening, which goes on as things stand.
    pub(in crate::campaign) fn read_seal(&mut self, o: OpeningId) {
        let Air { leaks, gas, seals, .. } = &mut self.air;
        let as_it_is = || (!self.places.opening[o].open, seals.wear(o, &self.faults));
        leaks.read(o, as_it_is, self.places.pressures(), gas, self.now);
    }

    /// Books all leaks up to now: openings and shells.
    pub(in crate::campaign) fn settle_all_leaks(&mut self) {
        self.settle_unfed();
        self.air.leaks.book_all(&mut self.air.gas, self.now);
        self.watch_stores();
        self.air.leaks.note_booked(&self.air.gas, self.now);
    }

    /// Books all leaks up to now, unless what is wanted of a store is there without a doubt and all stores
    /// last.
    pub(in crate::campaign) fn settle_leaks_for(&mut self, store: u16, need: GasMass) {
        let need_of = |s: usize| if s == usize::from(store) { need } else { GasMass::NONE };
        let end = self.m.horizon.max(self.now);
        let sure = |s: usize| self.air.leaks.surely_holds(s, need_of(s), &self.air.gas, end);
        if !(0..self.air.gas.stores()).all(sure) {
            self.settle_all_leaks();
        }
    }
}
