//! Where a way back can start.

use crate::campaign::world::World;
use crate::plan::{NONE, OUTSIDE, Where, each_of};

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
        each_of(self.teams[k].members).all(|p| match (self.places.person[p].at, list.from) {
            (Where::Volume(v), Some(f)) => v == f || f == OUTSIDE && self.can_step_out(v),
            (Where::Berth(b), None) => self.arm.layout.berths[b as usize].port == list.port,
            _ => false,
        })
    }

    pub(in crate::campaign) fn can_step_out(&self, v: u16) -> bool {
        let low = self.places.pressure[v as usize] <= self.vacuum();
        low && self.arm.layout.volumes[v as usize].openings.iter().any(|o| {
            self.places.opening[*o as usize].open && self.arm.layout.across(*o, v) == Some(OUTSIDE)
        })
    }
}
