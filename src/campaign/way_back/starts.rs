//! Where a way back can start.

use crate::campaign::world::World;
use crate::plan::{List, NONE, OUTSIDE, On, Row, VolumeId, Where, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// `from` is where the people are; those in a volume at outside pressure with its opening to
    /// outside open may step out first (rule 22).
    pub(in crate::campaign) fn starts_here(&self, k: usize, id: u16) -> bool {
        let list = &self.arm.layout.lists[id as usize];
        let host = self.arm.layout.ports[list.port as usize].element;
        let walks = self.arm.lists[id as usize].travels_to != NONE;
        let metres = self.metres_to(k, host) + self.teams[k].trip.lies;
        if list.from == Some(OUTSIDE) && !walks && metres > 1.0 {
            return false; // a way without a walk is for people at its own element
        }
        each_of(self.teams[k].members).all(|p| match (self.places.person[p].at(), list.from) {
            (Where::Volume(v), Some(f)) => v == f || f == OUTSIDE && self.can_step_out(v, list),
            (Where::Berth(b), None) => self.arm.layout.berths[b].port == list.port,
            _ => false,
        })
    }

    /// An opening of the volume to outside stands open. A way that frees that very opening is for those
    /// before it to whom it does not open: nobody steps out for it.
    fn can_step_out(&self, v: VolumeId, list: &List) -> bool {
        let l = &self.arm.layout;
        let frees = |r: &Row, o: u16| {
            r.action == Action::Open && r.on == On::Opening(o, 1) && r.frees.is_some()
        };
        let leads_out =
            |o: &&u16| self.places.opening[**o as usize].open && l.across(**o, v) == Some(OUTSIDE);
        let mut ajar = l.volumes[v].openings.iter().filter(leads_out);
        let low = self.places.pressure(v) <= self.vacuum();
        low && ajar.any(|o| !list.rows.iter().any(|r| frees(r, *o)))
    }
}
