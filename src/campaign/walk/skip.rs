//! Rows that are not played: their result already holds, or they do not make a port ready.

use crate::campaign::verb::Task;
use crate::campaign::world::World;
use crate::plan::{On, Row, step, walk};
use crate::scenario::Action;

impl World<'_> {
    /// Before a way back only the row that shuts what stands open is played. In making a port ready only some rows are played: see [`walk::readies`] and [`walk::refills`].
    pub(in crate::campaign) fn readies(&self, k: usize, row: &Row) -> bool {
        let l = &self.arm.layout;
        if self.teams[k].leg.shuts.is_some() {
            return row.action == Action::Close
                && row.on == On::Opening(self.teams[k].leg.shuts, 1);
        }
        let port = l.lists[self.teams[k].leg.then as usize].port;
        if self.teams[k].leg.refill {
            return walk::refills(l, port, row);
        }
        walk::readies(l, port, row)
    }

    /// A row whose result already holds costs nothing and demands nothing (rule 9).
    #[inline(always)]
    pub(in crate::campaign) fn already(&self, t: &Task) -> bool {
        let empties = matches!(t.row.action, Action::Depress | Action::Vent);
        step::already(&self.places, &t.cast)
            || empties && t.row.on != On::Suit && self.left_to_vent(t.k, t.row)
    }

    /// The pump of a `depress` is known to be lost, and the next row vents what it would have pumped: it
    /// is left to that row, in no time (rule 7).
    fn left_to_vent(&self, k: usize, row: &Row) -> bool {
        let t = &self.teams[k];
        self.pump_known_lost(row)
            && self.arm.layout.vented_next(&self.arm.layout.lists[t.leg.list as usize], t.leg.row)
    }
}
