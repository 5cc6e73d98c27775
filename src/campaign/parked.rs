//! Suits that hang empty at a berth (rule 15): they leak at the pressure they are left at; outdoors
//! dust settles on them and failures by hour outdoors age them, less where the port has a cover.
//!
//! The leak is the suit's own (given at working pressure over ambient) in proportion to the pressure
//! across it. What leaks is gas of the cabin behind the port, whose store keeps the suit at its
//! pressure. Into a chamber with air nothing is lost. Dust settles at one rate, whatever the weather.

use super::gas::Entry;
use super::play::{Event, Play};
use crate::layout::{ACROSS, Kept, NONE, OUTSIDE, Where};
use crate::model::{GasCause, Part};
use crate::scenario::{Action, Trigger};

/// State of all suits that have a berth for a home.
#[derive(Clone, Debug, Default)]
pub(super) struct Parked {
    /// Suits that can hang at a berth.
    suits: Vec<u16>,
    /// Per suit: the berth it hangs at, empty or worn; [`NONE`] if it does not.
    berth: Vec<u16>,
    /// Since when its books are open, s.
    since: Vec<f64>,
    /// Leak, kg/s.
    leak: Vec<f64>,
    /// Dust that settles, kg/s; 0 indoors.
    dust: Vec<f64>,
    /// It hangs outdoors.
    outdoors: Vec<bool>,
    /// Per part mode: when its hours outdoors end in a failure, s, if the suit stays there.
    due: Vec<f64>,
}

impl Parked {
    pub(super) fn new(arm: &crate::model::Arm) -> Parked {
        let l = &arm.layout;
        let n = l.suits.len();
        let homed = |s: &u16| matches!(l.suits[usize::from(*s)].home, Kept::Berth(_));
        Parked {
            suits: (0..n as u16).filter(homed).collect(),
            berth: vec![NONE; n],
            since: vec![0.0; n],
            leak: vec![0.0; n],
            dust: vec![0.0; n],
            outdoors: vec![false; n],
            due: vec![f64::INFINITY; arm.part_modes.len()],
        }
    }

    pub(super) fn clear(&mut self) {
        self.berth.fill(NONE);
        self.leak.fill(0.0);
        self.dust.fill(0.0);
        self.outdoors.fill(false);
        self.due.fill(f64::INFINITY);
    }
}

impl Play<'_> {
    /// Looks at all suits with a berth after a row that can have changed what they hang in.
    pub(super) fn look_at_parked(&mut self, action: Action) {
        use Action::*;
        let moves =
            matches!(action, Don | SuitUp | Doff | Mate | Unmate | Vent | Repress | Depress);
        if moves && !self.parked.suits.is_empty() {
            self.refresh_parked();
        }
    }

    /// Closes the books of each suit and opens them as things stand.
    pub(super) fn refresh_parked(&mut self) {
        for i in 0..self.parked.suits.len() {
            let s = self.parked.suits[i] as usize;
            self.settle_parked(s);
            let (berth, worn) = match self.places.suit[s].kept {
                Kept::Berth(b) => (b, false),
                Kept::Worn(p) => (self.worn_at_berth(usize::from(p)), true),
                Kept::Volume(_) => (NONE, false),
            };
            let outdoors =
                berth != NONE && !worn && self.arm.layout.berths[berth as usize].outer == OUTSIDE;
            let was = self.parked.outdoors[s];
            if was && !outdoors {
                self.take_indoors(s);
            }
            self.parked.berth[s] = berth;
            self.parked.outdoors[s] = outdoors;
            (self.parked.leak[s], self.parked.dust[s]) = match worn {
                true => (self.worn_rate(s, berth), 0.0),
                false => self.parked_rates(s, berth, outdoors),
            };
            if outdoors && !was {
                self.hang_outdoors(s);
            }
        }
    }

    /// The berth at which somebody stands in a suit that does not live on its own supply: its leak is in no
    /// other book. [`NONE`] if there is none.
    fn worn_at_berth(&self, p: usize) -> u16 {
        match self.places.person[p].at {
            Where::Berth(b) if !self.crew[p].clock.open => b,
            _ => NONE,
        }
    }

    /// A worn suit at a berth leaks at its working rate where nothing is around it (rule 15), kg/s.
    fn worn_rate(&self, s: usize, berth: u16) -> f64 {
        let l = &self.arm.layout;
        let Some(b) = l.berths.get(berth as usize) else { return 0.0 };
        let around = self.places.pressure[b.outer as usize];
        let kind = &self.m.suits[l.suits[s].kind as usize];
        if around <= l.ambient + ACROSS { kind.leak.of(&self.v) } else { 0.0 }
    }

    /// A clock starts or stops: a suit at a berth leaks on its own supply, or no longer.
    pub(super) fn clock_of_parked(&mut self) {
        if !self.parked.suits.is_empty() {
            self.refresh_parked();
        }
    }

    /// Leak and settling dust of a suit that hangs at a berth, kg/s.
    fn parked_rates(&self, s: usize, berth: u16, outdoors: bool) -> (f64, f64) {
        if berth == NONE {
            return (0.0, 0.0);
        }
        let l = &self.arm.layout;
        let b = &l.berths[berth as usize];
        let kind = &self.m.suits[l.suits[s].kind as usize];
        let around = self.places.pressure[b.outer as usize];
        let across = self.places.suit[s].pressure - around;
        let leak = if around <= l.ambient + ACROSS && across > 0.0 {
            kind.leak.of(&self.v) * (across / (kind.pressure - l.ambient))
        } else {
            0.0
        };
        let cover = self.arm.openings[b.interface as usize].cover_dust.of(&self.v);
        let dust = if outdoors { kind.parked_dust.of(&self.v) * cover } else { 0.0 };
        (leak, dust)
    }

    /// Books what has leaked from a parked suit and settled on it up to now.
    pub(super) fn settle_parked(&mut self, s: usize) {
        let dt = self.now - self.parked.since[s];
        self.parked.since[s] = self.now;
        let berth = self.parked.berth[s];
        if berth == NONE || dt <= 0.0 {
            return;
        }
        let b = self.arm.layout.berths[berth as usize];
        let leaked = self.parked.leak[s] * dt;
        if leaked > 0.0 {
            let cabin = b.cabin as usize;
            let gas = self.gas.mix[cabin].split(leaked);
            self.gas.draw(cabin, gas);
            let e = Entry { port: b.port, contingency: false, planned: false };
            self.gas.lose(GasCause::SuitLeak, gas, e);
        }
        let settled = self.parked.dust[s] * dt;
        if settled > 0.0 {
            for bin in 0..4 {
                let m = settled * self.m.body.dust_bins[bin].of(&self.v);
                self.suits.settles(s, bin, m);
                self.dust_books.picked[bin] += m;
            }
        }
    }

    pub(super) fn settle_all_parked(&mut self) {
        for i in 0..self.parked.suits.len() {
            self.settle_parked(self.parked.suits[i] as usize);
        }
    }

    /// Part modes of a suit that count hours outdoors.
    fn outdoor_modes(&self, s: usize) -> impl Iterator<Item = usize> + use<> {
        let (first, end) = self.arm.on_suit[s].of[Trigger::Hour as usize];
        usize::from(first)..usize::from(end)
    }

    fn hang_outdoors(&mut self, s: usize) {
        for pm in self.outdoor_modes(s) {
            if self.mode_of(pm).outdoors && !self.parts.struck(pm) {
                self.plan_outdoor_failure(pm, s);
            }
        }
    }

    /// The suit leaves the open air: its hours there have used up part of the thresholds.
    fn take_indoors(&mut self, s: usize) {
        for pm in self.outdoor_modes(s) {
            if self.mode_of(pm).outdoors && !self.parts.struck(pm) {
                let left = (self.parked.due[pm] - self.now) * self.outdoor_rate(pm, s);
                if self.parked.due[pm].is_finite() {
                    self.parts.set_left(pm, left);
                }
                self.parked.due[pm] = f64::INFINITY;
            }
        }
    }

    /// Rate of failures by hour outdoors under the cover of the berth, 1/s.
    fn outdoor_rate(&self, pm: usize, s: usize) -> f64 {
        let b = &self.arm.layout.berths[self.parked.berth[s] as usize];
        let sun = self.arm.openings[b.interface as usize].cover_sun.of(&self.v);
        self.parts.rate(pm, &self.numbers.hazards[pm], sun)
    }

    fn plan_outdoor_failure(&mut self, pm: usize, s: usize) {
        let due = self.now + self.parts.left(pm) / self.outdoor_rate(pm, s);
        self.parked.due[pm] = due;
        if due < self.m.horizon {
            let event = Event::PartFails(pm as u16, self.parts.renewal(pm));
            self.plan(due, event);
        }
    }

    /// A mode that counts hours outdoors has a new threshold: its suit may hang there now.
    pub(super) fn renewed_outdoors(&mut self, pm: usize) {
        self.parked.due[pm] = f64::INFINITY;
        if let Part::Suit(s) = self.arm.part_modes[pm].part
            && self.parked.outdoors[s as usize]
        {
            self.plan_outdoor_failure(pm, s as usize);
        }
    }

    /// Is this the failure that is due, or an old event of a suit that was taken in since?
    pub(super) fn outdoor_failure_due(&self, pm: usize) -> bool {
        self.parked.due[pm] == self.now
    }
}
