//! What a row asks before it acts: failure modes that listen to it, seals that must hold, leak checks.

use crate::campaign::owner::parts::{Dust, Occasion};
use crate::campaign::walk::failed::Failure;
use crate::campaign::walk::rows::acted;
use crate::campaign::world::World;
use crate::model::{IncapacitatedPlay, Purpose};
use crate::plan::{Broken, Crew, ListKind, NONE, On, Row, Spread, each_of};
use crate::scenario::{Action, By, During, OpeningKind, Trigger};

impl World<'_> {
    /// The chance of a row with a casualty among those who do it (rule 10).
    pub(in crate::campaign) fn casualty_chance(
        &mut self,
        k: usize,
        row: &Row,
        i: usize,
        who: Crew,
    ) -> Result<(), Failure> {
        let _ = row;
        if who & self.people.hurt == 0 {
            return Ok(());
        }
        let list = self.teams[k].leg.list as usize;
        let arm = self.arm;
        let p = match &arm.lists[list].rows[i].incapacitated {
            Some(
                IncapacitatedPlay::Takes(_, Some(p))
                | IncapacitatedPlay::Adds(_, Some(p))
                | IncapacitatedPlay::Times(_, Some(p)),
            ) => p.of(&self.v),
            _ => return Ok(()),
        };
        let address = self.row_address(k);
        let what = Purpose::CasualtyWorks { row: i as u16, tries: self.teams[k].leg.tries };
        if self.chance(address, what, p) { Ok(()) } else { Err(Failure::Casualty) }
    }

    /// Path and occasion of what the rows of a team's list draw: list and errand.
    pub(in crate::campaign) fn row_address(&self, k: usize) -> (u64, u64) {
        let t = &self.teams[k];
        (self.arm.lists[t.leg.list as usize].hash ^ t.leg.path.rotate_left(21), t.leg.occasion)
    }

    /// A try that can clear a stuck state or a seal that does not hold (`frees`); tools wipe the seal.
    pub(in crate::campaign) fn free_stuck(&mut self, k: usize, row: &Row, i: usize, who: Crew) {
        let arm = self.arm;
        let list = self.teams[k].leg.list as usize;
        let Some(p) = arm.lists[list].rows[i].frees else {
            return;
        };
        // A planned check first has to find the leak; in a way back one knows why one is there.
        let checks = matches!(row.action, Action::Repress | Action::LeakCheck);
        if checks
            && self.teams[k].leg.tries == 0
            && arm.layout.lists[list].kind != ListKind::WayBack
        {
            return;
        }
        let p = p.of(&self.v);
        match row.on {
            On::Opening(o, n) => {
                for q in each_of(if n < 2 { who & who.wrapping_neg() } else { who }) {
                    let o = self.places.opening_for(&arm.layout, o, n, q) as usize;
                    self.try_to_free(k, i, o, p);
                }
            }
            On::Volumes(..) | On::BerthVolume(..) => {
                let (v, n) = self.places.row_volumes(&arm.layout, row, who);
                for v in &v[..n] {
                    for o in &arm.layout.volumes[*v as usize].openings {
                        self.try_to_free(k, i, *o as usize, p);
                    }
                }
            }
            _ => {}
        }
    }

    pub(in crate::campaign) fn try_to_free(&mut self, k: usize, i: usize, o: usize, p: f64) {
        self.wipe_seal(o);
        let Some(pm) = self.faults.stuck_by(o).or(self.faults.not_holding(o)) else {
            return;
        };
        let (path, occasion) = self.row_address(k);
        let path = path ^ self.arm.part_modes[pm as usize].hash;
        let what = Purpose::Frees { row: i as u16, tries: self.teams[k].leg.tries };
        if self.chance((path, occasion), what, p) {
            self.cancel_job(pm);
            self.mend(pm as usize, false);
            self.say_link(self.slot_of(k), |s| {
                format!("{} is freed", s.arm.layout.openings[o].path)
            });
        }
    }

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

    /// Asks the failure modes that listen to a row.
    pub(in crate::campaign) fn row_demands(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Result<(), Failure> {
        let o = self.occasion(k);
        match (row.action, row.on) {
            (Action::Open, On::Opening(..)) => self.ask_openings(k, row, who, Trigger::Opening, o),
            (Action::Close, On::Opening(..)) => self.ask_openings(k, row, who, Trigger::Closing, o),
            (Action::Mate, On::Opening(..)) => self.ask_openings(k, row, who, Trigger::Mating, o),
            (Action::Unmate, On::Opening(..)) => {
                self.ask_openings(k, row, who, Trigger::Unmating, o)
            }
            (Action::Depress, _) => self.ask_pump(k, row, o),
            (Action::Vent, On::Volumes([v, ..], _)) => self.ask_valve(v, o),
            (Action::Repress, On::Volumes(..) | On::BerthVolume(..)) => {
                self.ask_holding(k, row, who, o)
            }
            (Action::Clean | Action::Recharge, On::Stage(s)) => {
                let arm = self.arm;
                let d = &arm.on_stage[s as usize];
                let i = s as usize;
                if self.faults.stage_lost(i).is_some() || self.faults.slow_stage(i) != 1.0 {
                    self.find_by_use(d);
                }
                acted(self.demand(d, Trigger::Start, 1.0, o, Dust::None))
            }
            (Action::Travel, On::Element(e)) if matches!(row.by, By::Rover | By::RoverOutside) => {
                self.ask_rover(k, e, o)
            }
            (Action::Don | Action::SuitUp, _) => {
                let _ = g;
                Ok(())
            }
            _ => Ok(()),
        }
    }

    pub(in crate::campaign) fn ask_openings(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        trigger: Trigger,
        o: Occasion,
    ) -> Result<(), Failure> {
        let On::Opening(base, n) = row.on else {
            return Ok(());
        };
        let arm = self.arm;
        let mut first = None;
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&arm.layout, base, n, p) as usize;
            let d = &arm.on_opening[id];
            if self.faults.slow(id) != 1.0 {
                self.find_by_use(d);
            }
            if d.listens(trigger) {
                let dirties = matches!(trigger, Trigger::Closing | Trigger::Mating);
                let dust = self.dust_on(k, id, dirties);
                first = first.or(self.demand(d, trigger, 1.0, o, dust));
            }
            if trigger == Trigger::Opening && arm.layout.openings[id].docking {
                let acts = self.demand(d, Trigger::Transfer, 1.0, o, Dust::None);
                first = first.or(acts);
            }
        }
        acted(first)
    }

    pub(in crate::campaign) fn ask_pump(
        &mut self,
        k: usize,
        row: &Row,
        o: Occasion,
    ) -> Result<(), Failure> {
        let On::Volumes([v, ..], _) = row.on else {
            return Ok(());
        };
        let pump = self.arm.volumes[v as usize].pump;
        if pump == NONE {
            return Ok(());
        }
        let arm = self.arm;
        let d = &arm.on_pump[pump as usize];
        let (lost, known) = (self.faults.pump_lost(pump as usize), self.pump_known_lost(row));
        if lost.is_some() || self.faults.slow_pump(pump as usize) != 1.0 {
            self.find_by_use(d);
        }
        if let Some(by) = lost {
            // Found by its run, it is as if it had died in it.
            return if known { Ok(()) } else { Err(Failure::PumpDied(by)) };
        }
        let ran = self.teams[k].leg.end - self.teams[k].leg.t;
        let a = self.demand(d, Trigger::Start, 1.0, o, Dust::None);
        let b = self.demand(d, Trigger::Running, ran, o, Dust::None);
        acted(a.or(b))
    }

    /// The pump of a `depress` row.
    pub(in crate::campaign) fn pump_of_row(&self, row: &Row) -> Option<usize> {
        match (row.action, row.on) {
            (Action::Depress, On::Volumes([v, ..], _)) => {
                let pump = self.arm.volumes[v as usize].pump;
                (pump != NONE).then_some(pump as usize)
            }
            _ => None,
        }
    }

    pub(in crate::campaign) fn ask_valve(&mut self, v: u16, o: Occasion) -> Result<(), Failure> {
        let valve = self.arm.volumes[v as usize].valve;
        if valve == NONE {
            return Ok(());
        }
        let arm = self.arm;
        let d = &arm.on_opening[valve as usize];
        acted(self.demand(d, Trigger::Opening, 1.0, o, Dust::None))
    }

    pub(in crate::campaign) fn ask_holding(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        o: Occasion,
    ) -> Result<(), Failure> {
        let arm = self.arm;
        let (vols, n) = self.places.row_volumes(&arm.layout, row, who);
        let mut first = None;
        for v in &vols[..n] {
            for id in &arm.layout.volumes[*v as usize].openings {
                let d = &arm.on_opening[*id as usize];
                if d.listens(Trigger::Holding) && self.seals_now(*id as usize) {
                    let dust = self.dust_on(k, *id as usize, false);
                    let acts = self.demand(d, Trigger::Holding, 1.0, o, dust);
                    first = first.or(acts);
                }
            }
        }
        acted(first)?;
        for v in &vols[..n] {
            for id in &arm.layout.volumes[*v as usize].openings {
                let fails = self.faults.not_holding(*id as usize);
                if let Some(pm) = fails.filter(|_| self.seals_now(*id as usize)) {
                    self.find(pm as usize);
                    return Err(Failure::NotHolding(pm));
                }
                if self.leaks_too_much(*id as usize) {
                    return Err(self.find_leaking(*id as usize));
                }
            }
        }
        Ok(())
    }

    /// Does the opening hold pressure as it stands: shut, and an interface with a suit on it? Without a
    /// suit the hatch behind it does.
    pub(in crate::campaign) fn seals_now(&self, o: usize) -> bool {
        let state = &self.places.opening[o];
        let back = self.arm.layout.openings[o].kind == OpeningKind::SuitInterface;
        !state.open && (!back || state.mated)
    }

    /// A pump that is lost, a valve that is stuck shut, or a stage, panel or umbilical that is lost.
    pub(in crate::campaign) fn lost_machine(
        &mut self,
        row: &Row,
        who: Crew,
    ) -> Result<(), Failure> {
        match (row.action, row.on) {
            (Action::Depress, On::Volumes(..)) => {
                let Some(lost) = self.pump_of_row(row).and_then(|p| self.faults.pump_lost(p))
                else {
                    return Ok(());
                };
                self.find(lost as usize);
                Err(Failure::Lost(lost))
            }
            (Action::Vent, On::Volumes(..) | On::BerthVolume(..)) => {
                match self.stuck_valve(row, who) {
                    Some(pm) => {
                        self.find(pm as usize);
                        Err(Failure::Lost(pm))
                    }
                    None => Ok(()),
                }
            }
            (Action::Recharge, On::Stage(s)) => {
                let Some(pm) = self.faults.stage_lost(s as usize) else {
                    return Ok(());
                };
                self.find(pm as usize);
                Err(Failure::Lost(pm))
            }
            _ => Ok(()),
        }
    }

    /// Part mode of a valve that keeps a `vent` to outside from emptying anything, whatever time the row
    /// says: the volumes have valves and none of them moves.
    fn stuck_valve(&self, row: &Row, who: Crew) -> Option<u16> {
        if row.gas != crate::plan::GasEnd::Outside {
            return None;
        }
        let (vols, n) = self.places.row_volumes(&self.arm.layout, row, who);
        let mut stuck = None;
        for v in &vols[..n] {
            let valve = self.arm.volumes[*v as usize].valve;
            if valve == NONE {
                continue;
            }
            if self.places.opening[valve as usize].stuck != crate::plan::Stuck::Shut {
                return None;
            }
            stuck = stuck.or(self.faults.stuck_by(valve as usize));
        }
        stuck
    }

    /// A stuck part that stopped a row is known from now on.
    pub(in crate::campaign) fn found_stuck(&mut self, row: &Row, who: Crew, b: Broken) {
        if !matches!(b, Broken::StuckShut | Broken::StuckOpen) {
            return;
        }
        let On::Opening(o, n) = row.on else { return };
        for p in each_of(who) {
            let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
            if let Some(pm) = self.faults.stuck_by(id) {
                self.find(pm as usize);
            }
        }
    }
}
