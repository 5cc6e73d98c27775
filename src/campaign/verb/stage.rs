//! `clean` and `recharge`: stages, panels and umbilicals, what they remove, use up and cost.

use super::Task;
use crate::campaign::owner::parts::Dust;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::{DustPath, GasCause, Purpose, UpkeepCause};
use crate::physics::gas::GasMass;
use crate::plan::{OUTSIDE, On, each_of};
use crate::scenario::{Action, Each, Incapacitated, StageKind, Trigger};

impl World<'_> {
    /// Asks the stage; a panel or umbilical that is lost is found.
    pub(in crate::campaign) fn ask_stage(&mut self, t: &Task) -> Result<(), Failure> {
        let On::Stage(s) = t.row.on else { return Ok(()) };
        let s = s as usize;
        let d = &self.arm.on_stage[s];
        if self.faults.stage_lost(s).is_some() || self.faults.slow_stage(s) != 1.0 {
            self.find_by_use(d);
        }
        let o = self.occasion(t.k);
        self.demand(d, Trigger::Start, 1.0, o, Dust::None);
        match self.faults.stage_lost(s) {
            Some(pm) if t.row.action == Action::Recharge => {
                self.find(pm as usize);
                Err(Failure::Lost(pm))
            }
            _ => Ok(()),
        }
    }

    /// Suits through a stage, or the seal of an opening wiped.
    pub(in crate::campaign) fn clean(&mut self, t: &Task) {
        self.dust_of_stage(t);
        t.openings().for_each(|o| self.wipe_seal(o));
    }

    /// A stage removes a share per bin; what it removes outside is gone, inside it is held.
    fn dust_of_stage(&mut self, t: &Task) {
        let On::Stage(s) = t.row.on else { return };
        let stage = &self.arm.layout.stages[s as usize];
        let play = self.numbers.stages[s as usize];
        if stage.kind != StageKind::Cleaning || self.faults.stage_lost(s as usize).is_some() {
            return;
        }
        let skipped = matches!(t.row.written.incapacitated, Some(Incapacitated::Skip));
        if skipped && t.who & self.people.hurt != 0 && t.row.each == Each::Team {
            return; // done once for all, it is skipped for all, as its time is
        }
        let clean = if skipped { t.who & !self.people.hurt } else { t.who };
        for p in each_of(clean) {
            let suit = self.places.person[p].suit;
            if suit.is_none() {
                continue;
            }
            let mut missed = [0.0; 4];
            for (b, missed) in missed.iter_mut().enumerate() {
                let removed = self.suits.cleaned(suit, b, play.removes[b]);
                if stage.within == OUTSIDE {
                    self.dust.dust_books.outside[b] += removed;
                } else {
                    let held = removed * play.captures[b];
                    self.dust.dust_books.stages[b] += held;
                    *missed = removed - held;
                }
            }
            if missed != [0.0; 4] {
                self.arrive(stage.within, missed, DustPath::Stage);
            }
        }
        self.stage_costs(t.k, s as usize, clean.count_ones());
    }

    /// Gas of the host cabin that a stage uses up, kg.
    pub(in crate::campaign) fn stage_gas(&self, k: usize, s: usize, uses: u32) -> GasMass {
        let (row, tries) = (self.teams[k].leg.row as u16, self.teams[k].leg.tries);
        let (path, occasion) = self.row_address(k);
        let one = |rank: u32| {
            let what = Purpose::StageGas { row, tries, rank: rank as u8 };
            self.arm.stages[s].gas.value(&self.v, || self.draw_at(path, occasion, what))
        };
        let gas: f64 = (0..uses).map(one).sum();
        self.air.gas.split(self.host_cabin(k), gas)
    }

    fn stage_costs(&mut self, k: usize, s: usize, uses: u32) {
        let lost = self.stage_gas(k, s, uses);
        let (row, tries) = (self.teams[k].leg.row as u16, self.teams[k].leg.tries);
        let (path, occasion) = self.row_address(k);
        let what = Purpose::StageUpkeep { row, tries };
        let upkeep =
            self.arm.stages[s].upkeep.value(&self.v, || self.draw_at(path, occasion, what));
        if lost != GasMass::NONE {
            let cabin = self.host_cabin(k);
            let e = self.entry(k);
            self.air.gas.draw(cabin, lost);
            self.air.gas.lose(GasCause::Stage, lost, e);
        }
        if upkeep > 0.0 {
            self.upkeep(UpkeepCause::Stage, upkeep);
        }
    }

    /// Who hangs on a panel or umbilical does not live on the suit.
    pub(in crate::campaign) fn hang_on(&mut self, t: &Task) {
        let On::Stage(s) = t.row.on else { return };
        let now = self.now;
        let most = t.l.stages[s as usize].serves as usize;
        for p in each_of(t.who).take(most) {
            let clock = &mut self.people.crew[p].clock;
            if clock.open {
                clock.advance(now);
                clock.paused = true;
            }
        }
    }
}
