//! `mate` and `unmate`: the suit that comes to its berth, or leaves it with what the gap still holds.

use super::Task;
use crate::campaign::owner::gas::Fate;
use crate::campaign::world::World;
use crate::model::GasCause;
use crate::plan::{On, OpeningId, Side, Where, each_of, step};
use crate::scenario::{Action, OpeningKind};

impl World<'_> {
    /// A suit comes to its berth.
    pub(in crate::campaign) fn mate(&mut self, t: &Task) {
        self.dirty_interfaces(t);
        step::act(&mut self.places, &t.cast);
        self.gas_of_moves(t);
        each_of(t.who).for_each(|p| self.breathe_here(p));
        self.breathe_at_berth(t);
    }

    /// A suit leaves its berth.
    pub(in crate::campaign) fn unmate(&mut self, t: &Task) {
        step::act(&mut self.places, &t.cast);
        // Who has taken off an empty suit keeps no berth any more.
        let at = self.places.sites(t.l, t.row, t.who);
        self.gas_of_moves(&Task { cast: step::Cast { at, ..t.cast }, ..*t });
        self.breathe_at_berth(t);
    }

    fn breathe_at_berth(&mut self, t: &Task) {
        self.breathe_on(t.who, self.now);
        self.refresh_parked();
    }

    /// The seals of the interfaces that a row mates.
    fn dirty_interfaces(&mut self, t: &Task) {
        if !matches!(t.row.on, On::Opening(..)) {
            return;
        }
        for (rank, p) in each_of(t.who).enumerate() {
            if t.row.suit.is_some() || !matches!(self.places.person[p].at(), Where::Berth(_)) {
                self.dirty_seal(t.k, t.at.of(rank));
            }
        }
    }

    /// Persons displace gas: those who have moved change what both volumes hold. What the gap of a berth
    /// still holds when its suit leaves is lost.
    pub(in crate::campaign) fn gas_of_moves(&mut self, t: &Task) {
        if !matches!(t.row.on, On::Opening(..)) {
            return;
        }
        let arm = self.arm;
        let e = self.entry(t.k);
        let mut settled = OpeningId::NONE;
        for (rank, p) in each_of(t.who).enumerate() {
            let id = t.at.of(rank);
            // All have moved: what the first settles is settled.
            if id != settled {
                let unmates = t.row.action == Action::Unmate;
                let gap = unmates.then(|| arm.layout.berth_of(id)).flatten();
                for s in arm.layout.openings[id].sides {
                    if let Side::Volume(v) = s {
                        let opens = gap.is_some_and(|b| b.gap == v);
                        let fate = if opens { Fate::Lost(GasCause::Rest) } else { Fate::Transfer };
                        self.settle_volume(v, fate, e);
                    }
                }
            }
            settled = id;
            let berth = self.places.person[p].berth;
            if berth.is_some() && arm.layout.openings[id].kind == OpeningKind::SuitInterface {
                let b = &arm.layout.berths[berth];
                // The gap of a berth without a suit is empty: nothing leaks from it any more.
                self.refresh_if_changed(b.gap);
                self.settle_volume(b.cabin, Fate::Transfer, e);
            }
        }
    }
}
