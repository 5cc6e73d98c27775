//! `open` and `close`: the seal is asked, air crosses at a closing, the leaks of what stands otherwise
//! now are read anew.

use super::Task;
use crate::campaign::owner::gas::Fate;
use crate::campaign::owner::parts::Dust;
use crate::campaign::world::World;
use crate::model::{DustPath, GasCause};
use crate::plan::{BerthId, Broken, On, OpeningId, Side, step::swing};
use crate::scenario::Trigger;

impl World<'_> {
    /// Asks the openings of a row what listens to its move.
    pub(in crate::campaign) fn ask_openings(&mut self, t: &Task, trigger: Trigger) {
        let arm = self.arm;
        let o = self.occasion(t.k);
        for id in t.openings() {
            let d = &arm.on_opening[id];
            if self.faults.slow(id) != 1.0 {
                self.find_by_use(d);
            }
            if d.listens(trigger) {
                let dirties = matches!(trigger, Trigger::Closing | Trigger::Mating);
                let dust = self.dust_on(t.k, id, dirties);
                self.demand_here(d, trigger, 1.0, o, dust);
            }
            if trigger == Trigger::Opening && arm.layout.openings[id].docking {
                self.demand(d, Trigger::Transfer, 1.0, o, Dust::None);
            }
        }
    }

    /// A stuck part that stopped a row is known from now on.
    pub(in crate::campaign) fn found_stuck(&mut self, t: &Task, b: Broken) {
        if !matches!(b, Broken::StuckShut | Broken::StuckOpen) {
            return;
        }
        for o in t.openings() {
            if let Some(pm) = self.faults.stuck_by(o) {
                self.find(pm as usize);
            }
        }
    }

    /// Opens: a suit's back lets its dust in, what both sides hold is at one pressure, who is there breathes
    /// what is there.
    pub(in crate::campaign) fn open(&mut self, t: &Task) {
        for o in t.openings() {
            let hatch = self.arm.openings[o].suit_hatch_of;
            if hatch.is_some() && !self.places.opening[o].open {
                self.dust_of_back(hatch);
            }
        }
        swing::act(&mut self.places, &t.cast);
        t.openings().for_each(|o| self.equalise(t.k, o));
        if let On::Opening(o, 1) = t.row.on {
            for side in self.arm.layout.openings[o].sides {
                if let Side::Volume(v) = side {
                    self.breathe_in(v);
                }
            }
        }
    }

    /// Both sides of an opening that has been opened stand at one pressure; to outside the rest is lost.
    fn equalise(&mut self, k: usize, o: OpeningId) {
        let e = self.entry(k);
        let l = &self.arm.layout;
        let sides = l.openings[o].sides;
        let out = sides.iter().any(|s| match s {
            Side::Volume(v) => self.places.pressure(*v) <= l.ambient,
            Side::Suit(_) => false,
        });
        for s in sides {
            if let Side::Volume(v) = s {
                let fate = if out { Fate::Lost(GasCause::Rest) } else { Fate::Transfer };
                self.settle_volume(v, fate, e);
                self.refresh_if_changed(v);
            }
        }
        self.read_seal(o);
    }

    /// Closes: air crosses once more, a dirty suit leaves dust on the seal, which holds from now on.
    pub(in crate::campaign) fn close(&mut self, t: &Task) {
        for o in t.openings() {
            if self.places.opening[o].open {
                self.cross(o);
                self.dirty_seal(t.k, o);
            }
        }
        swing::act(&mut self.places, &t.cast);
        t.openings().for_each(|o| self.read_seal(o));
    }

    /// The back of a suit opens: its interface's share of the suit's load falls into the cabin side.
    fn dust_of_back(&mut self, berth: BerthId) {
        let b = self.arm.layout.berths[berth];
        let Some(s) = self.places.suit_at(berth) else {
            return;
        };
        self.settle_parked(s);
        let share = self.numbers.openings[b.interface].dust_share;
        self.shed(s, b.cabin, share, DustPath::Interface);
    }
}
