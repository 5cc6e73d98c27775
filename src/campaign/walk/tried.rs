//! Before a row acts: where its draws stand, whether a casualty can be brought through it, whether tools
//! free what is stuck.

use crate::campaign::owner::parts::Occasion;
use crate::campaign::verb::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::{IncapacitatedPlay, P, Purpose};
use crate::plan::{ListKind, OpeningId};
use crate::scenario::{Action, During};

impl World<'_> {
    /// The chance of a row with a casualty among those who do it (rule 10).
    #[inline(always)] // once a row
    pub(in crate::campaign) fn casualty_chance(&mut self, t: &Task) -> Result<(), Failure> {
        match t.who & self.people.hurt {
            0 => Ok(()),
            _ => self.brings_casualty(t),
        }
    }

    #[cold]
    fn brings_casualty(&mut self, t: &Task) -> Result<(), Failure> {
        let p = match t.line.play.incapacitated.as_deref() {
            Some(
                IncapacitatedPlay::Takes(_, Some(p))
                | IncapacitatedPlay::Adds(_, Some(p))
                | IncapacitatedPlay::Times(_, Some(p)),
            ) => p.of(&self.v),
            _ => return Ok(()),
        };
        let address = self.row_address(t.k);
        let what =
            Purpose::CasualtyWorks { row: t.line.i as u16, tries: self.teams[t.k].leg.tries };
        if self.chance(address, what, p) { Ok(()) } else { Err(Failure::Casualty) }
    }

    /// Path and occasion of what the rows of a team's list draw: list and errand.
    pub(in crate::campaign) fn row_address(&self, k: usize) -> (u64, u64) {
        let t = &self.teams[k];
        (self.arm.lists[t.leg.list as usize].hash ^ t.leg.path.rotate_left(21), t.leg.occasion)
    }

    /// A try that can clear a stuck state or a seal that does not hold (`frees`); tools wipe the seal.
    #[inline(always)] // once a row
    pub(in crate::campaign) fn free_stuck(&mut self, t: &Task) {
        if let Some(p) = t.line.play.frees {
            self.works_at_stuck(t, p);
        }
    }

    fn works_at_stuck(&mut self, t: &Task, p: P) {
        let arm = self.arm;
        // A planned check first has to find the leak; in a way back one knows why one is there.
        let checks = matches!(t.row.action, Action::Repress | Action::LeakCheck);
        let planned = t.line.kind != ListKind::WayBack;
        if checks && planned && self.teams[t.k].leg.tries == 0 {
            return;
        }
        let p = p.of(&self.v);
        for o in t.openings() {
            self.try_to_free(t, o, p);
        }
        for v in t.volumes() {
            for o in &arm.layout.volumes[v].openings {
                self.try_to_free(t, *o, p);
            }
        }
    }

    fn try_to_free(&mut self, t: &Task, o: OpeningId, p: f64) {
        self.wipe_seal(o);
        let Some(pm) = self.faults.stuck_by(o).or(self.faults.not_holding(o)) else {
            return;
        };
        let (path, occasion) = self.row_address(t.k);
        let path = path ^ self.arm.part_modes[pm as usize].hash;
        let what = Purpose::Frees { row: t.line.i as u16, tries: self.teams[t.k].leg.tries };
        if self.chance((path, occasion), what, p) {
            self.cancel_job(pm);
            self.mend(pm as usize, false);
            self.say_link(self.slot_of(t.k), |s| {
                format!("{} is freed", s.arm.layout.openings[o].path)
            });
        }
    }

    /// What the demands of a row count as: which way, of which sortie.
    pub(in crate::campaign) fn occasion(&self, k: usize) -> Occasion {
        let t = &self.teams[k];
        let kind = self.arm.layout.lists[t.leg.list as usize].kind;
        let (part, during) = match kind {
            ListKind::Egress => (1, During::Egress),
            ListKind::ServiceOut => (3, During::Egress),
            ListKind::Ingress => (2, During::Ingress),
            ListKind::ServiceIn => (4, During::Ingress),
            ListKind::WayBack | ListKind::Restore => (2, During::WayBack),
            ListKind::Undock => (1, During::Egress),
            ListKind::Dock => (2, During::Ingress),
        };
        Occasion { id: (u64::from(t.slot.wrapping_add(1)) + 1) * 8 + part, during }
    }
}
