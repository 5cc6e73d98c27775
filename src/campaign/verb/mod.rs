//! What a row does, one file per verb: how long physics takes, what is asked of parts and stores, what
//! becomes of gas, dust and breath. What it means for places (may it be done, who is where
//! then) stands in [`crate::plan::step`]: the dry walk has nothing else.

pub(in crate::campaign) mod berth;
pub(in crate::campaign) mod dress;
pub(in crate::campaign) mod empty;
pub(in crate::campaign) mod fill;
pub(in crate::campaign) mod leak_check;
pub(in crate::campaign) mod pass;
pub(in crate::campaign) mod prebreathe;
pub(in crate::campaign) mod stage;
pub(in crate::campaign) mod suit;
pub(in crate::campaign) mod swing;
pub(in crate::campaign) mod travel;

use crate::campaign::walk::failed::Failure;
use crate::campaign::walk::rows::Line;
use crate::campaign::world::World;
use crate::physics::gas::GasMass;
use crate::plan::step::{self, Cast};
use crate::plan::{Crew, On, Spread, VolumeId, each_of};
use crate::scenario::{Action, Trigger};
use std::ops::Deref;

/// A row as a task: the team, its line, who does it on what.
#[derive(Clone, Copy)]
pub(in crate::campaign) struct Task<'a> {
    /// The team.
    pub(in crate::campaign) k: usize,
    /// The line of the team's list.
    pub(in crate::campaign) line: Line<'a>,
    /// The row and those who do it.
    pub(in crate::campaign) cast: Cast<'a>,
}

impl<'a> Deref for Task<'a> {
    type Target = Cast<'a>;

    fn deref(&self) -> &Cast<'a> {
        &self.cast
    }
}

impl<'m> World<'m> {
    /// A row as the task of those who do it, with the berths that are kept now.
    #[inline]
    pub(in crate::campaign) fn task<'a>(
        &self,
        k: usize,
        line: Line<'a>,
        who: Crew,
        g: &'a Spread,
    ) -> Task<'a>
    where
        'm: 'a,
    {
        let arm: &'m crate::model::Arm = self.arm;
        Task { k, line, cast: Cast::new(&self.places, &arm.layout, line.row, who, g) }
    }

    /// Least time of a row by physics, s: what its law says may be longer.
    pub(in crate::campaign) fn physics_time(&self, t: &Task) -> f64 {
        match t.row.action {
            Action::Depress => self.depress_time(t),
            Action::Vent => self.vent_time(t),
            Action::Repress if t.row.on == On::Suit => self.suit_fill_time(t),
            Action::Repress => self.fill_time(t),
            Action::Prebreathe => self.prebreathe_time(t.row, t.who),
            Action::Travel => self.travel_time(t),
            _ => 0.0,
        }
    }

    /// Asks the failure modes that listen to a row, and whether what it needs works.
    #[inline(always)] // once a row
    pub(in crate::campaign) fn row_asks(&mut self, t: &Task) -> Result<(), Failure> {
        match t.row.action {
            Action::Open => self.ask_openings(t, Trigger::Opening),
            Action::Close => self.ask_openings(t, Trigger::Closing),
            Action::Mate => self.ask_openings(t, Trigger::Mating),
            Action::Unmate => self.ask_openings(t, Trigger::Unmating),
            Action::Depress => return self.ask_depress(t),
            Action::Vent => return self.ask_vent(t),
            Action::Repress => return self.ask_holding(t),
            Action::Clean | Action::Recharge => return self.ask_stage(t),
            Action::Travel => return self.ask_travel(t),
            Action::LeakCheck => return self.check_leaks(t),
            Action::Prepare
            | Action::Wait
            | Action::Purge
            | Action::Prebreathe
            | Action::Pass
            | Action::Don
            | Action::SuitUp
            | Action::Doff => {}
        }
        Ok(())
    }

    /// Does the store hold what a row fills volumes with, puts into suits, through them or into a stage, or
    /// what is breathed from it in a prebreathe (rule 26)?
    #[inline(always)] // once a row
    pub(in crate::campaign) fn store_gives(&mut self, t: &Task) -> Result<(), Failure> {
        match t.row.action {
            Action::Repress if t.row.on != On::Suit => self.store_fills_all(t),
            Action::Clean | Action::Purge | Action::Prebreathe | Action::Repress => {
                self.store_serves(t)
            }
            _ => Ok(()),
        }
    }

    /// Does the store hold what a row puts into suits, through them or into a stage, or gives to breathe?
    #[inline(never)]
    fn store_serves(&mut self, t: &Task) -> Result<(), Failure> {
        let need = self.row_takes_gas(t);
        if need == GasMass::NONE {
            return Ok(());
        }
        let s = self.air.gas.store_of(self.host_cabin(t.k));
        self.settle_leaks_for(s, need);
        if self.air.gas.holds(s, need) { Ok(()) } else { Err(Failure::Store) }
    }

    /// What a row takes from the store for suits, through them, into a stage or to breathe, kg.
    pub(in crate::campaign) fn row_takes_gas(&mut self, t: &Task) -> GasMass {
        match (t.row.action, t.row.on) {
            (Action::Clean, On::Stage(s)) => self.stage_gas(t.k, s as usize, t.who.count_ones()),
            (Action::Repress, On::Suit) | (Action::Purge, _) => self.suits_take(t),
            (Action::Prebreathe, _) => {
                let each = each_of(t.who).map(|p| self.breathed_before_egress(t.k, p));
                GasMass::of_oxygen(each.sum())
            }
            _ => GasMass::NONE,
        }
    }

    /// Does the row: places first, then the books of gas, dust and breath.
    #[inline(always)] // once a row
    pub(in crate::campaign) fn act(&mut self, t: &Task) {
        match t.row.action {
            Action::Open => self.open(t),
            Action::Close => self.close(t),
            Action::Pass => self.pass(t),
            Action::Depress | Action::Vent | Action::Repress if t.row.on == On::Suit => {
                self.change_suits(t)
            }
            Action::Depress | Action::Vent => self.empty(t),
            Action::Repress => self.fill(t),
            Action::Purge => self.purge_suits(t),
            Action::Prebreathe => self.prebreathe(t),
            Action::Mate => self.mate(t),
            Action::Unmate => self.unmate(t),
            Action::Don | Action::SuitUp => self.don(t),
            Action::Doff => self.doff(t),
            Action::LeakCheck => step::suit::check(&mut self.places, &t.cast),
            Action::Clean => self.clean(t),
            Action::Recharge => self.hang_on(t),
            Action::Travel => self.travel(t),
            Action::Wait => self.set_to_work(t.k),
            Action::Prepare => {}
        }
    }

    /// Cabin of the element the team's port stands on.
    pub(in crate::campaign) fn host_cabin(&self, k: usize) -> VolumeId {
        let e = self.arm.layout.ports[self.teams[k].port as usize].element;
        self.arm.layout.elements[e as usize].cabin
    }
}
