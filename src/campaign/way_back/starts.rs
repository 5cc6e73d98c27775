//! Where a way back can start, and from which row a list is taken up again.

use crate::campaign::world::World;
use crate::plan::walk::{self, Group};
use crate::plan::{
    Layout, List, NONE, OUTSIDE, On, OpeningId, Places, Row, VolumeId, Where, each_of,
};
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
        let frees = |r: &Row, o: OpeningId| {
            r.action == Action::Open && r.on == On::Opening(o, 1) && r.frees
        };
        let leads_out =
            |o: &&OpeningId| self.places.opening[**o].open && l.across(**o, v) == Some(OUTSIDE);
        let mut ajar = l.volumes[v].openings.iter().filter(leads_out);
        let low = self.places.pressure(v) <= self.vacuum();
        low && ajar.any(|o| !list.rows.iter().any(|r| frees(r, *o)))
    }

    /// The first of some rows from which the rest of a list could be walked; where there is none, the first from
    /// which people get through that pass over rows after whose failure they go on.
    pub(in crate::campaign) fn taken_up_from(
        &mut self,
        k: usize,
        list: u16,
        rows: impl Iterator<Item = usize> + Clone,
    ) -> Option<usize> {
        let dry = rows.clone().find(|i| self.dry_from(k, list, *i));
        dry.or_else(|| rows.clone().find(|i| self.gets_through_from(k, list, *i)))
    }

    /// Could the rest of a list be walked from here, nothing more failing?
    pub(in crate::campaign) fn dry_from(&mut self, k: usize, list: u16, row: usize) -> bool {
        self.rest_is_walked(k, list, row, |l, p, list, i, g| walk::walk(l, p, list, i, g).is_ok())
    }

    /// The same, passing over rows after whose failure they go on.
    pub(in crate::campaign) fn gets_through_from(
        &mut self,
        k: usize,
        list: u16,
        row: usize,
    ) -> bool {
        self.rest_is_walked(k, list, row, walk::gets_through)
    }

    fn rest_is_walked(
        &mut self,
        k: usize,
        list: u16,
        row: usize,
        walks: impl Fn(&Layout, &mut Places, &List, usize, Group) -> bool,
    ) -> bool {
        let t = &self.teams[k];
        let mut group = Group { team: t.members, hurt: self.people.hurt, rescuers: t.rescuers };
        if row == 0 {
            group.team = walk::first_batch(t.members, self.people.hurt, self.list_holds(list));
        }
        let l = &self.arm.layout;
        self.scratch.clone_from(&self.places);
        walk::make_ready(l, &mut self.scratch, &l.lists[list as usize], row);
        walks(l, &mut self.scratch, &l.lists[list as usize], row, group)
            && walk::all_in(l, &self.scratch, group.team)
    }
}
