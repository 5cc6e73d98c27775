//! Persons: what keeps them busy, their life-support clock, their tissue.

use crate::campaign::way_back::shut_in::Provisional;
use crate::physics::suit::LifeSupport;
use crate::plan::{NONE, SuitId};
use crate::scenario::Severity;

/// What keeps a person busy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Busy {
    /// Nothing.
    Free,
    /// A team.
    Team(u8),
    /// A repair job.
    Repair(u16),
    /// Maintaining suits.
    Service,
    /// On a traverse, between sorties.
    Traverse,
    /// In a haven elsewhere, waiting to go home.
    Elsewhere,
    /// Lost, or left on the ascent vehicle.
    Gone,
}

/// The life-support clock of rule 18.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    /// A demand is open.
    pub open: bool,
    /// Runs on an umbilical or panel: stands still.
    pub paused: bool,
    /// What is left, as of `since`.
    pub support: LifeSupport,
    /// Metabolic power, W.
    pub power: f64,
    /// Time of the last change, s.
    pub since: f64,
    /// Time it started, s.
    pub started: f64,
    /// Metabolic energy spent on suit supply, J.
    pub spent: f64,
    /// Time on suit supply, s.
    pub ran: f64,
}

impl Clock {
    /// Not running.
    pub fn off() -> Clock {
        Clock {
            open: false,
            paused: false,
            support: LifeSupport::empty(),
            power: 1.0,
            since: 0.0,
            started: 0.0,
            spent: 0.0,
            ran: 0.0,
        }
    }

    /// Brings it to time `t`.
    pub fn advance(&mut self, t: f64) {
        let dt = t - self.since;
        debug_assert!(dt >= -1e-6, "a clock at {} s asked for {t} s", self.since);
        if dt > 0.0 && !self.paused {
            self.spent += self.power * dt;
            self.ran += dt;
            self.support.live(self.power, dt);
        }
        self.since = t;
    }

    /// Changes the power from `t` on.
    pub fn set_power(&mut self, t: f64, power: f64) {
        if self.open {
            self.advance(t);
            self.power = power;
        }
    }

    /// When it ends at the present power, s.
    pub fn end(&self) -> f64 {
        if self.paused { f64::INFINITY } else { self.since + self.support.left(self.power) }
    }

    /// Is it over at `t`? The secondary alone often says that it is not.
    #[inline]
    pub fn over(&self, t: f64) -> bool {
        t - self.since >= self.support.secondary - 1.0 && self.end() < t
    }

    /// Has it come to its end by `t`, to a microsecond? The secondary alone often says that it has not.
    pub fn ended(&self, t: f64) -> bool {
        t - self.since >= self.support.secondary - 1.0 && self.end() <= t + 1e-6
    }

    /// Seconds left at `t`; negative when over.
    pub fn left(&self, t: f64) -> f64 {
        if self.paused { f64::INFINITY } else { self.end() - t }
    }
}

/// A prebreathe under way or broken off.
#[derive(Clone, Copy, Debug)]
pub struct Prebreathe {
    /// Its whole time as planned when it began, s.
    pub planned: f64,
    /// Oxygen breathed of it before `since`, s.
    pub done: f64,
    /// Breathing oxygen since, or without it since, s.
    pub since: f64,
    /// Oxygen now.
    pub on: bool,
}

impl Prebreathe {
    /// None begun.
    pub const NONE: Prebreathe = Prebreathe { planned: 0.0, done: 0.0, since: 0.0, on: false };

    /// What is still owed of it at `t`, s: the rest as planned and `factor` times the interruption;
    /// `None` if none was begun.
    pub fn owed(&self, t: f64, factor: f64) -> Option<f64> {
        (self.planned > 0.0).then(|| {
            let (done, pause) = if self.on { (t - self.since, 0.0) } else { (0.0, t - self.since) };
            (self.planned - self.done - done).max(0.0) + factor * pause
        })
    }

    /// A prebreathe row of `row` s begins at `t`; `least` s is the protocol minimum of the whole.
    /// After a break or a mask it is the rest of the one begun before.
    pub fn begin(&mut self, t: f64, row: f64, least: f64) {
        if self.planned > 0.0 {
            let done = self.done + if self.on { t - self.since } else { 0.0 };
            self.planned = done + row;
        } else {
            *self = Prebreathe { planned: row.max(least), done: 0.0, since: t, on: true };
        }
    }

    /// Oxygen goes on or off at `t`.
    pub fn turn(&mut self, on: bool, t: f64) {
        if self.planned > 0.0 && self.on != on {
            if self.on {
                self.done += t - self.since;
            }
            (self.on, self.since) = (on, t);
        }
    }
}

/// A haven whose days are over.
#[derive(Clone, Copy, Debug)]
pub struct Spent {
    /// The element.
    pub haven: u16,
    /// The suit there whose supply they live on.
    pub suit: SuitId,
}

/// One person.
#[derive(Clone, Copy, Debug)]
pub struct Crewmate {
    /// What keeps them busy.
    pub busy: Busy,
    /// Off duty (ill or hurt) until, s.
    pub off_until: f64,
    /// Why off duty.
    pub off_cause: u16,
    /// End of the last duty day, s.
    pub last_end: f64,
    /// Start of the present duty day, s.
    pub duty_start: f64,
    /// End of their own last egress row, s.
    pub out_at: f64,
    /// Start of their own first ingress row, s.
    pub door_at: f64,
    /// Life-support clock.
    pub clock: Clock,
    /// Safe in a chamber, for the time being (rule 19).
    pub provisional: Option<Provisional>,
    /// When incapacitated, s.
    pub hurt_at: f64,
    /// Treatment limit, s (infinite if none).
    pub treat_by: f64,
    /// How bad.
    pub severity: Severity,
    /// Mode that did it.
    pub hurt_mode: u16,
    /// Safe was booked for this rescue.
    pub rescued: bool,
    /// 360-minute tissue N2, Pa, as of `tissue_at`.
    pub tissue: f64,
    /// Time of the tissue value, s.
    pub tissue_at: f64,
    /// N2 breathed since, Pa.
    pub breathed: f64,
    /// Breathes oxygen of a suit or mask rather than the gas around.
    pub oxygen: bool,
    /// The prebreathe of this egress.
    pub prebreathe: Prebreathe,
    /// Haven elsewhere whose days count; [`NONE`] if at home.
    pub haven: u16,
    /// When they are over, s.
    pub haven_until: f64,
    /// They are over, and this is what they live on.
    pub spent: Option<Spent>,
    /// Element they are at home in.
    pub home: u16,
    /// Home that is shut to them, so that they live elsewhere; [`NONE`] if none.
    pub moved_from: u16,
    /// Trouble of the team they came in with last, if it had any.
    pub astray_by: Option<u16>,
}

impl Crewmate {
    /// At the start of a campaign.
    pub fn fresh(home: u16, tissue: f64) -> Crewmate {
        Crewmate {
            busy: Busy::Free,
            off_until: f64::NEG_INFINITY,
            off_cause: 0,
            last_end: f64::NEG_INFINITY,
            duty_start: 0.0,
            out_at: 0.0,
            door_at: 0.0,
            clock: Clock::off(),
            provisional: None,
            hurt_at: 0.0,
            treat_by: f64::INFINITY,
            severity: Severity::Carried,
            hurt_mode: NONE,
            rescued: false,
            tissue,
            tissue_at: 0.0,
            breathed: tissue,
            oxygen: false,
            prebreathe: Prebreathe::NONE,
            haven: NONE,
            haven_until: f64::INFINITY,
            spent: None,
            home,
            moved_from: NONE,
            astray_by: None,
        }
    }

    /// Breathes another N2 pressure from `t` on.
    pub fn breathe(&mut self, t: f64, nitrogen: f64) {
        self.tissue = self.tissue_now(t);
        self.tissue_at = t;
        self.breathed = nitrogen;
    }

    /// Tissue N2 at `t`, Pa.
    pub fn tissue_now(&self, t: f64) -> f64 {
        use crate::physics::prebreathe::{SLOW_HALF_TIME, tissue_after};
        if self.tissue == self.breathed {
            return self.tissue;
        }
        tissue_after(self.tissue, self.breathed, t - self.tissue_at, SLOW_HALF_TIME)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_counts_energy_then_secondary() {
        let mut c = Clock::off();
        c.open = true;
        c.support = LifeSupport::full(7.0 * 3600.0, 293.0, None, 1800.0);
        c.power = 293.0;
        c.advance(3600.0);
        assert!((c.end() - (7.0 * 3600.0 + 1800.0)).abs() < 1e-6);
        c.set_power(3600.0, 2.0 * 293.0);
        assert!((c.end() - (3600.0 + 3.0 * 3600.0 + 1800.0)).abs() < 1e-6);
        c.paused = true;
        c.advance(7200.0);
        assert_eq!(c.left(7200.0), f64::INFINITY);
        assert!((c.spent - 3600.0 * 293.0).abs() < 1e-6);
    }
}
