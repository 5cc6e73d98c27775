//! Seals (rule 27): dust that closings leave on them, what it does to their leak and to
//! failure modes, pressure checks that find them, cleaning that resets them.
//!
//! Dust gets on a seal at each closing (of an interface: at each mating) by a team that has been
//! outside, as the file gives it per opening. The leak is the clean one times the multiplier of the
//! dust times that of lasting damage, and never more than the gap that dust can hold open lets
//! through. Cleaning resets the dust, never the damage.

use crate::base::ids::Table;
use crate::campaign::owner::faults::Faults;
use crate::campaign::owner::leaks::Wear;
use crate::campaign::owner::parts::Dust;
use crate::campaign::owner::team::Phase;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::P;
use crate::physics::seal;
use crate::plan::{OUTSIDE, On, OpeningId, Side, VolumeId};
use crate::scenario::{Action, Effect};

/// Load from which a seal counts as dirty for failure modes and for those who look at it, kg/m2: the
/// first band of the contamination multiplier in `physics::seal` ends at 1 g/m2 (assumed).
pub(in crate::campaign) const DIRTY: f64 = 1e-3;

/// Dust on all seals, and what is known of them.
#[derive(Clone, Debug, Default)]
pub struct Seals {
    /// Dust, kg/m2.
    load: Table<OpeningId, f64>,
    /// Leak multiplier of the dust.
    factor: Table<OpeningId, f64>,
    /// A pressure check has found it leaking.
    found: Table<OpeningId, bool>,
}

impl Seals {
    /// Clean seals, one for each opening.
    pub fn new(openings: usize) -> Seals {
        Seals {
            load: vec![0.0; openings].into(),
            factor: vec![1.0; openings].into(),
            found: vec![false; openings].into(),
        }
    }

    /// All are clean.
    pub fn clear(&mut self) {
        self.load.fill(0.0);
        self.factor.fill(1.0);
        self.found.fill(false);
    }

    /// Leak multiplier of the dust on a seal.
    #[inline]
    pub fn factor(&self, o: OpeningId) -> f64 {
        self.factor[o]
    }

    /// How worn a seal is.
    #[inline]
    pub(in crate::campaign) fn wear(&self, o: OpeningId, faults: &Faults) -> Wear {
        Wear { damage: faults.leak(o), dust: self.factor(o) }
    }

    /// Does so much lie on it that failure modes and those who look at it mind?
    fn dirty(&self, o: OpeningId) -> bool {
        self.load[o] >= DIRTY
    }

    /// So much dust lies on it now.
    pub fn carry(&mut self, o: OpeningId, load: f64) {
        self.load[o] = load;
        self.factor[o] = seal::contamination(load);
    }
}

impl World<'_> {
    /// What failure modes of an opening meet when they are asked: dust that lies on the seal, or that
    /// gets on it at this closing.
    pub(in crate::campaign) fn dust_on(&self, k: usize, o: OpeningId, closes: bool) -> Dust {
        if self.air.seals.dirty(o) {
            Dust::Carried
        } else if closes
            && self.teams[k].out.out_at >= 0.0
            && self.numbers.openings[o].seal_dust > 0.0
        {
            Dust::Added
        } else {
            Dust::None
        }
    }

    /// A closing, or a mating, by a team that has been outside leaves dust on the seal.
    pub(in crate::campaign) fn dirty_seal(&mut self, k: usize, o: OpeningId) {
        if self.teams[k].out.out_at < 0.0 {
            return;
        }
        let dust = self.numbers.openings[o].seal_dust;
        if dust > 0.0 {
            self.set_seal(o, self.air.seals.load[o] + dust);
        }
    }

    /// Cleans a seal: its dust is gone, and the leak that only dust had made.
    pub(in crate::campaign) fn wipe_seal(&mut self, o: OpeningId) {
        if self.air.seals.load[o] > 0.0 {
            self.set_seal(o, 0.0);
        }
        self.air.seals.found[o] = false;
    }

    /// Leaks are booked up to now with the old load, and go on with the new one.
    fn set_seal(&mut self, o: OpeningId, load: f64) {
        self.settle_unfed();
        self.air.seals.carry(o, load);
        self.read_seal(o);
    }

    /// Leak of a seal as it is, kg/s, at a difference between two pressures, Pa; the gas is that of
    /// volume `v`.
    pub(in crate::campaign) fn seal_leak(
        &self,
        o: OpeningId,
        v: VolumeId,
        pressures: (f64, f64),
    ) -> f64 {
        self.air.leaks.passes(
            o,
            (v, &self.air.gas),
            pressures,
            self.air.seals.wear(o, &self.faults),
        )
    }

    /// Does the seal of an opening that holds pressure now leak more than its pressure check allows?
    /// It is compared at `leak_at` over vacuum, where the allowed leak is given.
    #[inline(always)]
    pub(in crate::campaign) fn leaks_too_much(&self, o: OpeningId) -> bool {
        let allowed = self.arm.openings[o].leak_allowed;
        allowed.is_some_and(|most| self.seals_now(o) && self.leaks_above(o, most))
    }

    #[inline(never)]
    fn leaks_above(&self, o: OpeningId, allowed: P) -> bool {
        let play = &self.arm.openings[o];
        let v = self.arm.layout.openings[o].sides.iter().find_map(|s| match s {
            Side::Volume(v) if *v != OUTSIDE => Some(*v),
            _ => None,
        });
        let at = play.leak_at.of(&self.v);
        v.is_some_and(|v| self.seal_leak(o, v, (at, 0.0)) > allowed.of(&self.v))
    }

    /// A pressure check meets a seal that leaks too much: it is known from now on, and lasting damage of
    /// it is put on the list of repairs.
    pub(in crate::campaign) fn find_leaking(&mut self, o: OpeningId) -> Failure {
        self.air.seals.found[o] = true;
        let (first, end) = self.arm.on_opening[o].all();
        for pm in first..end {
            let pm = pm as usize;
            if self.parts.struck(pm) && self.mode_of(pm).effect == Effect::Leak {
                self.find(pm);
            }
        }
        Failure::Leaking(o)
    }

    /// Condition `X leaks`: a check has found that it does not hold, and nothing was done about it.
    pub(in crate::campaign) fn known_leak(&self, o: OpeningId) -> bool {
        let fails = self.faults.not_holding(o);
        self.air.seals.found[o] || fails.is_some_and(|pm| self.parts.known(pm as usize))
    }

    /// Condition `X dirty`: whoever looks at the seal sees the dust.
    pub(in crate::campaign) fn looks_dirty(&self, o: OpeningId) -> bool {
        self.air.seals.dirty(o)
    }

    /// At an inspection every seal is wiped.
    pub(in crate::campaign) fn wipe_all_seals(&mut self) {
        self.air.seals.load.ids().for_each(|o| self.wipe_seal(o));
    }

    /// A row is tried again, with the cleaning of an opening right before it.
    pub(in crate::campaign) fn try_again(&mut self, k: usize) {
        let (list, row) = (self.teams[k].leg.list, self.teams[k].leg.row);
        let back = self.cleaned_before(list, row);
        let t = &mut self.teams[k];
        t.leg.tries += 1;
        if let Some(before) = back {
            (t.leg.check_row, t.leg.check_tries) = (row, t.leg.tries);
            t.leg.row = before;
        }
        t.leg.t = t.leg.end;
        t.phase = Phase::Begin;
    }

    /// The row to which a failed check goes back: a `clean` of an opening right before it is done again
    /// as part of trying again.
    pub(in crate::campaign) fn cleaned_before(&self, list: u16, row: usize) -> Option<usize> {
        let rows = &self.arm.layout.lists[list as usize].rows;
        let before = row.checked_sub(1)?;
        let cleans =
            rows[before].action == Action::Clean && matches!(rows[before].on, On::Opening(..));
        cleans.then_some(before)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OTHER: OpeningId = OpeningId::new(0);
    const THIS: OpeningId = OpeningId::new(1);

    #[test]
    fn dust_counts_until_it_is_wiped() {
        let mut seals = Seals::new(2);
        seals.carry(THIS, 0.9 * DIRTY);
        assert!(!seals.dirty(THIS) && seals.factor(THIS) > 1.0);
        seals.carry(THIS, DIRTY);
        assert!(seals.dirty(THIS) && !seals.dirty(OTHER));
        assert!((seals.factor(THIS) - 3.0).abs() < 1e-12);
        seals.clear();
        assert!(!seals.dirty(THIS) && seals.factor(THIS) == 1.0);
    }
}
