//! What strikes have left on things until they are mended: openings that are stuck, leak or go slowly,
//! machines that are lost or slow, suits that cannot be used. Each is told by the part mode to blame.

use crate::base::ids::Table;
use crate::plan::{Layout, OpeningId, SuitId};
use crate::scenario::Effect;

/// Faults of every opening, pump, stage and suit.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Faults {
    openings: Table<OpeningId, Opening>,
    pumps: Vec<Machine>,
    stages: Vec<Machine>,
    suits: Table<SuitId, Option<u16>>,
}

/// Faults of an opening.
#[derive(Clone, Copy, Debug)]
struct Opening {
    /// Its leak is so many times as great.
    leak: f64,
    /// Rows on it take so many times as long.
    slow: f64,
    stuck_by: Option<u16>,
    not_holding: Option<u16>,
}

/// Faults of a pump or stage.
#[derive(Clone, Copy, Debug)]
struct Machine {
    slow: f64,
    lost: Option<u16>,
}

impl Opening {
    const SOUND: Opening = Opening { leak: 1.0, slow: 1.0, stuck_by: None, not_holding: None };
}

impl Machine {
    const SOUND: Machine = Machine { slow: 1.0, lost: None };
}

impl Faults {
    pub(in crate::campaign) fn new(l: &Layout) -> Faults {
        Faults {
            openings: vec![Opening::SOUND; l.openings.len()].into(),
            pumps: vec![Machine::SOUND; l.pumps.len()],
            stages: vec![Machine::SOUND; l.stages.len()],
            suits: vec![None; l.suits.len()].into(),
        }
    }

    /// Everything is sound.
    pub(in crate::campaign) fn clear(&mut self) {
        self.openings.fill(Opening::SOUND);
        self.pumps.fill(Machine::SOUND);
        self.stages.fill(Machine::SOUND);
        self.suits.fill(None);
    }

    /// What an opening is stuck by.
    #[inline]
    pub(in crate::campaign) fn stuck_by(&self, o: OpeningId) -> Option<u16> {
        self.openings[o].stuck_by
    }

    /// By what an opening does not hold its pressure check.
    #[inline]
    pub(in crate::campaign) fn not_holding(&self, o: OpeningId) -> Option<u16> {
        self.openings[o].not_holding
    }

    /// How many times as great the leak of an opening is.
    #[inline]
    pub(in crate::campaign) fn leak(&self, o: OpeningId) -> f64 {
        self.openings[o].leak
    }

    /// How many times as long rows on an opening take.
    #[inline]
    pub(in crate::campaign) fn slow(&self, o: OpeningId) -> f64 {
        self.openings[o].slow
    }

    /// What a pump is lost by; nothing where there is none.
    #[inline]
    pub(in crate::campaign) fn pump_lost(&self, pump: usize) -> Option<u16> {
        self.pumps.get(pump).and_then(|p| p.lost)
    }

    /// How many times as long a pump takes.
    #[inline]
    pub(in crate::campaign) fn slow_pump(&self, pump: usize) -> f64 {
        self.pumps[pump].slow
    }

    /// What a stage, panel or umbilical is lost by.
    #[inline]
    pub(in crate::campaign) fn stage_lost(&self, s: usize) -> Option<u16> {
        self.stages[s].lost
    }

    /// How many times as long rows at a stage take.
    #[inline]
    pub(in crate::campaign) fn slow_stage(&self, s: usize) -> f64 {
        self.stages[s].slow
    }

    /// What a suit is unusable by, known or not.
    #[inline]
    pub(in crate::campaign) fn suit_bad(&self, s: SuitId) -> Option<u16> {
        self.suits[s]
    }

    /// An opening sticks.
    pub(in crate::campaign) fn stick(&mut self, o: OpeningId, pm: u16) {
        self.openings[o].stuck_by = Some(pm);
    }

    /// It moves again.
    pub(in crate::campaign) fn free(&mut self, o: OpeningId) {
        self.openings[o].stuck_by = None;
    }

    /// The leak of an opening grows; where it no longer holds its check, by whom.
    pub(in crate::campaign) fn leaks(&mut self, o: OpeningId, factor: f64, fails: Option<u16>) {
        let x = &mut self.openings[o];
        x.leak *= factor;
        x.not_holding = fails.or(x.not_holding);
    }

    /// What a mode did to the leak of an opening is undone.
    pub(in crate::campaign) fn seals(&mut self, o: OpeningId, factor: f64, pm: u16) {
        let x = &mut self.openings[o];
        x.leak /= factor;
        x.not_holding = x.not_holding.filter(|by| *by != pm);
    }

    /// An opening goes slowly.
    pub(in crate::campaign) fn slows(&mut self, o: OpeningId, factor: f64) {
        self.openings[o].slow *= factor;
    }

    /// Not any more.
    pub(in crate::campaign) fn quickens(&mut self, o: OpeningId, factor: f64) {
        self.openings[o].slow /= factor;
    }

    /// A pump is lost or slow.
    pub(in crate::campaign) fn pump(
        &mut self,
        pump: usize,
        effect: Effect,
        factor: f64,
        pm: u16,
    ) -> bool {
        self.pumps[pump].strike(effect, factor, pm)
    }

    /// It is mended.
    pub(in crate::campaign) fn mend_pump(&mut self, pump: usize, effect: Effect, factor: f64) {
        self.pumps[pump].mend(effect, factor);
    }

    /// A stage is lost or slow.
    pub(in crate::campaign) fn stage(
        &mut self,
        s: usize,
        effect: Effect,
        factor: f64,
        pm: u16,
    ) -> bool {
        self.stages[s].strike(effect, factor, pm)
    }

    /// It is mended.
    pub(in crate::campaign) fn mend_stage(&mut self, s: usize, effect: Effect, factor: f64) {
        self.stages[s].mend(effect, factor);
    }

    /// A suit cannot be used; `None`: it can again.
    pub(in crate::campaign) fn set_suit(&mut self, s: SuitId, by: Option<u16>) {
        self.suits[s] = by;
    }
}

impl Machine {
    /// What a mode does to it; false where that leaves nothing behind.
    fn strike(&mut self, effect: Effect, factor: f64, pm: u16) -> bool {
        match effect {
            Effect::Slower => self.slow *= factor,
            Effect::PumpLost | Effect::StageLost => self.lost = Some(pm),
            _ => return false,
        }
        true
    }

    fn mend(&mut self, effect: Effect, factor: f64) {
        match effect {
            Effect::Slower => self.slow /= factor,
            _ => self.lost = None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HATCH: OpeningId = OpeningId::new(0);
    const SUIT: SuitId = SuitId::new(0);

    fn one_each() -> Faults {
        Faults {
            openings: vec![Opening::SOUND].into(),
            pumps: vec![Machine::SOUND],
            stages: vec![Machine::SOUND],
            suits: vec![None].into(),
        }
    }

    #[test]
    fn only_the_mode_that_broke_the_seal_makes_it_hold_again() {
        let mut f = one_each();
        f.leaks(HATCH, 4.0, Some(7));
        f.leaks(HATCH, 2.0, None);
        assert_eq!((f.leak(HATCH), f.not_holding(HATCH)), (8.0, Some(7)));
        f.seals(HATCH, 2.0, 9);
        assert_eq!((f.leak(HATCH), f.not_holding(HATCH)), (4.0, Some(7)));
        f.seals(HATCH, 4.0, 7);
        assert_eq!((f.leak(HATCH), f.not_holding(HATCH)), (1.0, None));
    }

    #[test]
    fn a_machine_is_slow_or_lost_and_each_is_undone_by_itself() {
        let mut f = one_each();
        assert!(f.pump(0, Effect::Slower, 2.0, 1) && f.pump(0, Effect::PumpLost, 1.0, 2));
        assert!(!f.stage(0, Effect::ReturnNow, 1.0, 3));
        f.mend_pump(0, Effect::PumpLost, 1.0);
        assert_eq!((f.slow_pump(0), f.pump_lost(0)), (2.0, None));
        f.mend_pump(0, Effect::Slower, 2.0);
        assert_eq!(f.slow_pump(0), 1.0);
        assert_eq!(f.pump_lost(usize::from(u16::MAX)), None, "no pump, none lost");
    }

    #[test]
    fn cleared_everything_is_sound() {
        let mut f = one_each();
        f.stick(HATCH, 1);
        f.slows(HATCH, 3.0);
        f.set_suit(SUIT, Some(2));
        assert_eq!((f.stuck_by(HATCH), f.slow(HATCH), f.suit_bad(SUIT)), (Some(1), 3.0, Some(2)));
        f.clear();
        assert_eq!((f.stuck_by(HATCH), f.slow(HATCH), f.suit_bad(SUIT)), (None, 1.0, None));
    }
}
