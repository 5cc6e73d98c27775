//! Rows that are not played: their result already holds, or they do not make a port ready.

use crate::campaign::world::World;
use crate::plan::{Crew, NONE, On, Row, Spread, Where, each_of, walk};
use crate::scenario::Action;

impl World<'_> {
    /// Before a way back only the row that shuts what stands open is played. In making a port ready only some rows are played: see [`walk::readies`] and [`walk::refills`].
    pub(in crate::campaign) fn readies(&self, k: usize, row: &Row) -> bool {
        let l = &self.arm.layout;
        if self.teams[k].shuts != NONE {
            return row.action == Action::Close && row.on == On::Opening(self.teams[k].shuts, 1);
        }
        let port = l.lists[self.teams[k].then as usize].port;
        if self.teams[k].refill {
            return walk::refills(l, port, row);
        }
        walk::readies(l, port, row)
    }

    /// A row whose result already holds costs nothing and demands nothing (rule 9).
    pub(in crate::campaign) fn already(&self, k: usize, row: &Row, who: Crew, g: &Spread) -> bool {
        let l = &self.arm.layout;
        let p = &self.places;
        let all = |f: &dyn Fn(usize) -> bool| each_of(who).all(f);
        match (row.action, row.on) {
            (Action::Open, On::Opening(o, 1)) => p.opening[o as usize].open,
            (Action::Close, On::Opening(o, 1)) => !p.opening[o as usize].open,
            (Action::Open, On::Opening(o, n)) => {
                all(&|i| p.opening[p.opening_for(l, o, n, i) as usize].open)
            }
            (Action::Close, On::Opening(o, n)) => {
                all(&|i| !p.opening[p.opening_for(l, o, n, i) as usize].open)
            }
            (Action::Depress | Action::Vent, On::Volumes(..) | On::BerthVolume(..)) => {
                let (v, n) = p.row_volumes(l, row, who);
                v[..n].iter().all(|v| p.pressure[*v as usize] <= p.level(l, row, *v))
                    || self.left_to_vent(k, row)
            }
            (Action::Repress, On::Volumes(..) | On::BerthVolume(..)) => {
                let (v, n) = p.row_volumes(l, row, who);
                v[..n].iter().all(|v| p.pressure[*v as usize] >= p.level(l, row, *v))
            }
            (Action::Mate, _) if row.suit.is_none() => {
                all(&|i| matches!(p.person[i].at, Where::Berth(_)))
            }
            (Action::Unmate, _) if row.suit.is_none() => {
                all(&|i| !matches!(p.person[i].at, Where::Berth(_)))
            }
            (Action::Don | Action::SuitUp, _) => all(&|i| p.person[i].suit != NONE),
            (Action::Doff, _) => all(&|i| p.person[i].suit == NONE),
            _ => {
                let _ = g;
                false
            }
        }
    }

    /// The pump of a `depress` is known to be lost, and the next row vents what it would have pumped: it
    /// is left to that row, in no time (rule 7).
    fn left_to_vent(&self, k: usize, row: &Row) -> bool {
        let t = &self.teams[k];
        self.pump_known_lost(row)
            && self.arm.layout.vented_next(&self.arm.layout.lists[t.list as usize], t.row)
    }

    /// Is the pump of a `depress` row known to be lost?
    pub(in crate::campaign) fn pump_known_lost(&self, row: &Row) -> bool {
        let lost = self.pump_of_row(row).and_then(|p| self.faults.pump_lost(p));
        lost.is_some_and(|pm| self.parts.known(pm as usize))
    }
}
