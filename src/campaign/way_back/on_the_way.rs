//! `travel` in a way back: people set out and arrive.

use crate::campaign::owner::metabolic::Doing;
use crate::campaign::world::World;
use crate::plan::{Crew, Row};
use crate::scenario::{Action, By, Who};

impl World<'_> {
    /// What a `travel` row does: the ascent vehicle takes everybody aboard, others are at the element.
    pub(in crate::campaign) fn travelled(&mut self, k: usize, row: &Row, who: Crew) {
        if row.by == By::Ascent {
            return;
        }
        if who & self.teams[k].members != 0 {
            let hurt = self.teams[k].members & self.people.hurt;
            self.teams[k].trip.lifted |= hurt;
            self.teams[k].trip.lies = 0.0;
        }
        self.set_doing(k, who & !self.people.hurt, Doing::Work);
    }

    /// A `travel` row begins: everybody works as hard as the way asks.
    pub(in crate::campaign) fn set_out(&mut self, k: usize, row: &Row, who: Crew) {
        if row.by == By::Ascent {
            return;
        }
        let hurt = (who | self.teams[k].members) & self.people.hurt;
        let doing = match Self::going(row.by) {
            Doing::Walk if hurt != 0 => Doing::Carry,
            going => going,
        };
        self.set_doing(k, who & !self.people.hurt, doing);
        self.set_doing(k, hurt, Doing::Rest);
        let list = &self.arm.layout.lists[self.teams[k].leg.list as usize];
        let fetches = |r: &Row| {
            r.action == Action::Travel && r.who == crate::plan::WhoSel::Word(Who::Rescuers)
        };
        if fetches(row) && !list.rows[..self.teams[k].leg.row].iter().any(fetches) {
            self.draw_rescuer_hits(k, who & self.teams[k].rescuers);
        }
    }
}
