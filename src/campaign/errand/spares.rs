//! Spares: in stock, in hand, used (rule 31). An attempt takes one in hand when it begins and uses it
//! up when it ends, whether it has worked or not; where the part came free before, or the crew was
//! called away, it goes back into stock.

use crate::campaign::errand::repair::What;
use crate::campaign::world::World;
use crate::measure::Fact;

impl World<'_> {
    /// Uses up one of a kind of spare that is in stock.
    pub(in crate::campaign) fn use_spare(&mut self, kind: u16) {
        self.jobs.use_up(kind);
        self.book_spare(kind);
    }

    fn book_spare(&mut self, kind: u16) {
        let factors = self.m.mass.as_ref();
        let of = |p: Option<crate::model::P>| p.map_or(0.0, |p| p.of(&self.v));
        let mass = of(factors.and_then(|m| m.spares[kind as usize]));
        let volume = of(factors.and_then(|m| m.envelopes[kind as usize]));
        let f = &mut self.books.out.facts;
        f.add(Fact::SparesUsed, 1.0);
        f.add(Fact::SparesMass, mass);
        f.add(Fact::SparesVolume, volume);
    }

    /// May an attempt begin: a spare in hand or in stock, or a repair that can do without? A planned
    /// replacement never can.
    pub(in crate::campaign) fn spare_allows(&self, j: usize) -> bool {
        let job = self.jobs.job(j);
        let Some(r) = self.repair_of(job.what) else {
            return false;
        };
        let Some(kind) = r.spare else { return true };
        let without = r.without_spare.is_some() && !matches!(job.what, What::Renewal(_));
        job.in_hand.is_some()
            || self.jobs.in_stock(kind)
            || without
            || job.left > 0.0
            || self.shuts_somebody_in(job.what)
    }

    /// An attempt begins: one in hand, if there is one.
    pub(in crate::campaign) fn take_in_hand(&mut self, j: usize) {
        if let Some(kind) = self.repair_of(self.jobs.job(j).what).and_then(|r| r.spare) {
            self.jobs.take_in_hand(j, kind);
        }
    }

    /// An attempt has ended: what was in hand is used up. Gives the chance that the attempt worked.
    pub(in crate::campaign) fn use_in_hand(&mut self, j: usize) -> f64 {
        let used = self.jobs.use_in_hand(j);
        if let Some(kind) = used {
            self.book_spare(kind);
        }
        let Some(r) = self.repair_of(self.jobs.job(j).what) else {
            return 0.0;
        };
        let chance = match (r.spare, used) {
            (Some(_), None) if self.shuts_somebody_in(self.jobs.job(j).what) => {
                Some(r.without_spare.unwrap_or(r.success))
            }
            (Some(_), None) => r.without_spare,
            _ => Some(r.success),
        };
        chance.map_or(0.0, |p| p.of(&self.v))
    }
}
