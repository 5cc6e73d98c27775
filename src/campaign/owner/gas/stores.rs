//! Stores: what they hold, what comes, what is drawn, whether one has run dry.

use super::*;
use crate::plan::VolumeId;

impl GasBooks {
    /// How many stores there are.
    #[inline]
    pub fn stores(&self) -> usize {
        self.stores.len()
    }

    /// What a store holds.
    #[inline]
    pub(in crate::campaign) fn store(&self, s: usize) -> GasMass {
        self.stores[s].gas
    }

    /// Cooling water in a store, kg.
    #[inline]
    pub(in crate::campaign) fn water(&self, s: usize) -> f64 {
        self.stores[s].water
    }

    /// Does a store hold this? What is fed by no store has no end.
    #[inline]
    pub(in crate::campaign) fn holds(&self, s: u16, need: GasMass) -> bool {
        self.stores
            .get(usize::from(s))
            .is_none_or(|s| s.gas.oxygen >= need.oxygen && s.gas.nitrogen >= need.nitrogen)
    }

    /// Gas and water come to a store from elsewhere.
    #[inline]
    pub(in crate::campaign) fn comes(&mut self, s: usize, gas: GasMass, water: f64) {
        self.stores[s].gas += gas;
        self.stores[s].water += water;
        self.came += gas;
    }

    /// What a store lacks of this comes from elsewhere.
    pub(in crate::campaign) fn make_up(&mut self, s: u16, need: GasMass) {
        let Some(store) = self.stores.get(usize::from(s)) else { return };
        let lacks = GasMass {
            oxygen: (need.oxygen - store.gas.oxygen).max(0.0),
            nitrogen: (need.nitrogen - store.gas.nitrogen).max(0.0),
        };
        self.comes(usize::from(s), lacks, 0.0);
    }

    /// Gas is carried from store to store.
    pub(in crate::campaign) fn carry(&mut self, from: usize, to: usize, gas: GasMass) {
        self.stores[to].gas += gas;
        self.stores[from].gas = self.stores[from].gas - gas;
    }

    /// Water is carried from store to store.
    pub(in crate::campaign) fn carry_water(&mut self, from: usize, to: usize, water: f64) {
        self.stores[to].water += water;
        self.stores[from].water -= water;
    }

    /// Water for suits is taken from the store of a volume.
    pub fn draw_water(&mut self, volume: VolumeId, water: f64) {
        if let Some(store) = self.stores.get_mut(usize::from(self.spaces[volume].store)) {
            store.water -= water;
        }
    }

    /// Has the store run dry?
    #[inline]
    pub(in crate::campaign) fn dry(&self, s: usize) -> bool {
        self.stores[s].dry
    }

    /// A store has run dry, or feeds again.
    pub(in crate::campaign) fn set_dry(&mut self, s: usize, dry: bool) {
        self.stores[s].dry = dry;
    }

    /// When somebody will look whether a store has run dry, s.
    #[inline]
    pub(in crate::campaign) fn looked_at(&mut self, s: usize) -> &mut f64 {
        &mut self.stores[s].looked_at
    }
}
