//! What a strike does, how it becomes known, how it is undone.

use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{Demands, Part};
use crate::outcome::mode_bit;
use crate::plan::{OpeningId, Stuck};
use crate::scenario::{Effect, Noticed};

impl World<'_> {
    /// A mode strikes.
    pub(in crate::campaign) fn strike(&mut self, pm: usize) {
        self.strike_seen(pm, true);
    }

    /// A mode strikes; what is not `seen` stays hidden until the part is used, whenever the mode is
    /// noticed. One that leaves nothing behind is renewed at once.
    #[cold]
    pub(in crate::campaign) fn strike_seen(&mut self, pm: usize, seen: bool) {
        let part = self.arm.part_modes[pm].part;
        let mode = self.arm.part_modes[pm].mode;
        self.book_strike(part, mode);
        self.forced_strike(pm, mode);
        let effect = self.arm.modes[mode as usize].effect;
        self.acts_unasked(mode, effect);
        let factor = self.numbers.modes[mode as usize].factor;
        let holds = self.arm.modes[mode as usize].holds;
        let lasting = match (effect, part) {
            (Effect::StuckShut | Effect::StuckOpen, Part::Opening(o)) => self.stick(pm, o, effect),
            (Effect::Leak, Part::Opening(o)) => {
                self.faults.leaks(o, factor, (!holds).then_some(pm as u16));
                self.read_seal(o);
                self.settle_all_leaks();
                true
            }
            (Effect::Slower, Part::Opening(o)) => {
                self.faults.slows(o, factor);
                true
            }
            (_, Part::Pump(p)) => self.faults.pump(p as usize, effect, factor, pm as u16),
            (_, Part::Stage(s)) => self.faults.stage(s as usize, effect, factor, pm as u16),
            (Effect::SuitUnusable, Part::Suit(s)) => {
                self.faults.set_suit(s, Some(pm as u16));
                true
            }
            (Effect::CannotTravel, Part::Element(e)) => {
                self.rovers.set_stuck(e, true);
                true
            }
            (Effect::ElementLost, Part::Element(e)) => {
                self.lose_element(e);
                true
            }
            _ => false,
        };
        // That an element is lost nobody fails to see.
        let at_once = seen && self.arm.modes[mode as usize].noticed == Noticed::AtOnce;
        let seen = at_once || effect == Effect::ElementLost;
        self.tell_strike(pm, lasting && !seen);
        if !lasting {
            return self.renew(pm);
        }
        self.parts.strike(pm);
        if self.arm.modes[mode as usize].adds_up {
            self.renew(pm);
        }
        if seen {
            self.find(pm);
        }
    }

    fn tell_strike(&mut self, pm: usize, hidden: bool) {
        self.say_link(None, |s| {
            let m = s.mode_of(pm);
            let hidden = if hidden { " (not noticed yet)" } else { "" };
            format!("{} strikes {}{hidden}", m.name, s.part_path(s.arm.part_modes[pm].part))
        });
    }

    /// Path of a part, for stories.
    pub(in crate::campaign) fn part_path(&self, part: Part) -> String {
        let l = &self.arm.layout;
        match part {
            Part::Opening(o) => l.openings[o].path.clone(),
            Part::Pump(p) => l.pumps[p as usize].path.clone(),
            Part::Stage(s) => l.stages[s as usize].path.clone(),
            Part::Suit(s) => l.suits[s].path.clone(),
            Part::Element(e) => l.elements[e as usize].name.clone(),
        }
    }

    pub(in crate::campaign) fn book_strike(&mut self, part: Part, mode: u16) {
        self.books.out.record.modes |= mode_bit(mode);
        let effect = self.arm.modes[mode as usize].effect;
        let fact = match (part, effect) {
            (Part::Opening(_), Effect::Leak) => Fact::SealFailures,
            (Part::Opening(_), _) => Fact::HatchFailures,
            (Part::Pump(_), _) => Fact::PumpFailures,
            (Part::Suit(_), _) => Fact::SuitFailures,
            _ => return,
        };
        self.books.out.facts.add(fact, 1.0);
    }

    /// A second stuck state of the same part is dropped (rule 9).
    pub(in crate::campaign) fn stick(&mut self, pm: usize, o: OpeningId, effect: Effect) -> bool {
        if self.places.opening[o].stuck != Stuck::Free {
            return false;
        }
        self.places.opening[o].stuck =
            if effect == Effect::StuckShut { Stuck::Shut } else { Stuck::Open };
        self.places.opening[o].known = false;
        self.faults.stick(o, pm as u16);
        true
    }

    fn lose_element(&mut self, e: u16) {
        self.settle_all_leaks();
        self.rovers.set_lost(e, true);
        self.feeding_changed();
    }

    /// A new threshold for a mode.
    pub(in crate::campaign) fn renew(&mut self, pm: usize) {
        self.parts.renew(pm);
        self.draw_threshold(pm);
    }

    /// A strike becomes known: the part is known stuck (or lost), and a repair job is opened.
    #[cold]
    pub(in crate::campaign) fn find(&mut self, pm: usize) {
        if !self.parts.find(pm) {
            return;
        }
        self.books.out.record.met |= mode_bit(self.arm.part_modes[pm].mode);
        match self.arm.part_modes[pm].part {
            Part::Opening(o) if self.faults.stuck_by(o) == Some(pm as u16) => {
                self.places.opening[o].known = true;
            }
            Part::Suit(s) => self.places.suit[s].usable = false,
            _ => {}
        }
        self.open_job(pm);
    }

    /// What a mended part mode was, undone. `as_new` renews every mode of the part.
    pub(in crate::campaign) fn mend(&mut self, pm: usize, as_new: bool) {
        let part = self.arm.part_modes[pm].part;
        if self.parts.struck(pm) {
            self.undo(pm, part);
        }
        if let Part::Opening(o) = part {
            self.wipe_seal(o);
        }
        if as_new {
            for i in 0..self.arm.part_modes.len() {
                if self.arm.part_modes[i].part == part {
                    if self.parts.struck(i) && i != pm {
                        self.undo(i, part);
                        self.cancel_job(i as u16);
                    }
                    self.parts.rejuvenate(i);
                    self.renew(i);
                }
            }
        } else {
            self.renew(pm);
        }
    }

    pub(in crate::campaign) fn undo(&mut self, pm: usize, part: Part) {
        let strikes = self.parts.mend(pm);
        let mode = self.arm.part_modes[pm].mode as usize;
        let effect = self.arm.modes[mode].effect;
        let factor = self.numbers.modes[mode].factor.powi(strikes as i32);
        match part {
            Part::Opening(o) => self.undo_opening(pm, o, effect, factor),
            Part::Pump(p) => self.faults.mend_pump(p as usize, effect, factor),
            Part::Stage(s) => self.faults.mend_stage(s as usize, effect, factor),
            Part::Suit(s) => {
                self.faults.set_suit(s, None);
                self.places.suit[s].usable = true;
            }
            Part::Element(e) => {
                if effect == Effect::CannotTravel {
                    self.rovers.set_stuck(e, false);
                } else {
                    self.settle_all_leaks();
                    self.rovers.set_lost(e, false);
                    self.feeding_changed();
                }
            }
        }
    }

    pub(in crate::campaign) fn undo_opening(
        &mut self,
        pm: usize,
        o: OpeningId,
        effect: Effect,
        factor: f64,
    ) {
        match effect {
            Effect::StuckShut | Effect::StuckOpen => {
                self.places.opening[o].stuck = Stuck::Free;
                self.places.opening[o].known = false;
                self.faults.free(o);
            }
            Effect::Leak => {
                self.faults.seals(o, factor, pm as u16);
                self.read_seal(o);
            }
            Effect::Slower => self.faults.quickens(o, factor),
            _ => {}
        }
    }

    /// A row uses a part: what is lost of it or slow is known from now on. Stuck openings and leaks are
    /// found by the rows that they stop.
    #[cold]
    pub(in crate::campaign) fn find_by_use(&mut self, demands: &Demands) {
        let (first, end) = demands.all();
        for pm in first..end {
            let pm = pm as usize;
            let lost = matches!(
                self.mode_of(pm).effect,
                Effect::PumpLost | Effect::StageLost | Effect::Slower
            );
            if lost && self.parts.struck(pm) {
                self.find(pm);
            }
        }
    }

    /// Finds hidden failures whose time is the inspection.
    pub(in crate::campaign) fn find_at_inspection(&mut self) {
        for pm in 0..self.arm.part_modes.len() {
            let hidden = self.parts.struck(pm) && !self.parts.known(pm);
            if hidden && self.mode_of(pm).noticed == Noticed::NextInspection {
                self.find(pm);
            }
        }
    }
}
