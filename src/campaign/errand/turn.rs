//! Whose turn it is among waiting repairs (rule 31): a crew behind the hatch comes first.

use crate::campaign::errand::repair::What;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::Phase;
use crate::campaign::world::World;
use crate::model::Part;
use crate::plan::{Crew, OUTSIDE, OpeningId, Where, each_of};

/// The last of the turns: what keeps nobody.
pub(in crate::campaign) const LAST_TURN: u8 = 2;

impl World<'_> {
    /// How soon a repair has its turn: first what somebody on suit supply, or shut in, is behind; then what else
    /// is wrong with a port before which somebody is stranded; then all others, in order of finding.
    pub(in crate::campaign) fn turn(&self, what: What) -> u8 {
        let What::Part(pm) = what else { return LAST_TURN };
        let Part::Opening(o) = self.arm.part_modes[pm as usize].part else {
            return LAST_TURN;
        };
        let stranded = || self.teams.iter().filter(|t| t.phase == Phase::Stranded);
        let behind = stranded().any(|t| each_of(t.members).any(|p| self.is_behind(p, o)));
        if behind || self.shuts_somebody_in(what) {
            return 0;
        }
        let port = self.arm.layout.openings[o].port;
        if stranded().any(|t| t.home_port == port) { 1 } else { LAST_TURN }
    }

    /// An opening between somebody on suit supply, at a berth or in a chamber, and what lies inward.
    fn is_behind(&self, p: usize, o: OpeningId) -> bool {
        let l = &self.arm.layout;
        if !self.people.crew[p].clock.open {
            return false;
        }
        match self.places.person[p].at() {
            Where::Berth(b) => {
                let gap = l.berths[b].gap;
                l.volumes[gap].openings.contains(&o) && o != l.berths[b].interface
            }
            Where::Volume(v) if v != OUTSIDE => {
                let inward = l.across(o, v).is_some_and(|w| w != OUTSIDE);
                l.volumes[v].openings.contains(&o) && inward
            }
            _ => false,
        }
    }

    /// With too few free for what somebody is behind, those who are at a repair inside that can wait leave it
    /// off. True if there are enough then.
    pub(in crate::campaign) fn leave_off_for(
        &mut self,
        what: What,
        e: u16,
        free: Crew,
        need: u32,
    ) -> bool {
        if self.turn(what) != 0 {
            return false;
        }
        let waits = |p: &usize| match self.people.crew[*p].busy {
            Busy::Repair(j) => {
                let other = self.jobs.job(usize::from(j)).what;
                let inside = self.repair_of(other).is_some_and(|r| !r.outside);
                inside && self.turn(other) > 0
            }
            _ => false,
        };
        let reach = self.helpers_inside(e) | self.who_get_there(what, e);
        let could = each_of(reach & !free).filter(waits).fold(0, |c: Crew, p| c | 1 << p);
        if (free | could).count_ones() < need {
            return false;
        }
        let mut missing = need - free.count_ones();
        for p in each_of(could) {
            if missing == 0 {
                break;
            }
            self.leave_repair(p);
            missing -= 1;
        }
        true
    }
}
