//! Gas that a row takes from a store before it acts, and whether the store has it.

use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::physics::gas::GasMass;
use crate::plan::{Crew, NONE, On, Row, Spread, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// What must be looked at before a row acts: gas for a fill.
    pub(in crate::campaign) fn before_act(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Result<(), Failure> {
        let fills = row.action == Action::Repress && row.on != On::Suit;
        if !fills {
            return self.store_gives(k, row, who, g);
        }
        self.settle_all_leaks();
        let (vols, n) = self.places.row_volumes(&self.arm.layout, row, who);
        for v in &vols[..n] {
            if !self.store_fills(*v as usize, self.arm.layout.level(row, *v)) {
                return Err(Failure::Store);
            }
        }
        Ok(())
    }

    /// Does the store hold what a row puts into suits, through them or into a stage, or what is breathed
    /// from it in a prebreathe (rule 26)?
    pub(in crate::campaign) fn store_gives(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Result<(), Failure> {
        let need = self.row_takes_gas(k, row, who, g);
        if need == GasMass::NONE {
            return Ok(());
        }
        self.settle_all_leaks();
        let s = self.air.gas.store_of(self.host_cabin(k));
        if self.air.gas.holds(s, need) { Ok(()) } else { Err(Failure::Store) }
    }

    /// What a row takes from the store for suits, through them, into a stage or to breathe, kg.
    pub(in crate::campaign) fn row_takes_gas(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> GasMass {
        match (row.action, row.on) {
            (Action::Clean, On::Stage(s)) => self.stage_gas(k, s as usize, who.count_ones()),
            (Action::Repress, On::Suit) | (Action::Purge, _) => self.suits_take(k, row, who, g),
            (Action::Prebreathe, _) => {
                let each = each_of(who).map(|p| self.breathed_before_egress(k, p));
                GasMass::of_oxygen(each.sum())
            }
            _ => GasMass::NONE,
        }
    }

    /// Does the store hold what brings a volume from its pressure to `to`?
    pub(in crate::campaign) fn store_fills(&self, v: usize, to: f64) -> bool {
        let s = self.air.gas.store_of(v);
        s == NONE || self.air.gas.holds(s, self.fill_of(v, to))
    }

    /// What brings a volume from its pressure to `to`, kg.
    pub(in crate::campaign) fn fill_of(&self, v: usize, to: f64) -> GasMass {
        let rise = (to - self.places.pressure[v]).max(0.0);
        let (mix, t) = (self.air.gas.mix(v), self.air.gas.temperature(v));
        crate::physics::gas::content(rise, self.free_volume(v), mix, t)
    }
}
