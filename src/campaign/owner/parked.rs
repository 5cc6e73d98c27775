//! Suits that hang empty at a berth (rule 15): they leak at the pressure they are left at; outdoors
//! dust settles on them and failures by hour outdoors age them, less where the port has a cover.
//!
//! The leak is the suit's own (given at working pressure over ambient) in proportion to the pressure
//! across it. What leaks is gas of the cabin behind the port, whose store keeps the suit at its
//! pressure. Into a chamber with air nothing is lost. Dust settles at one rate, whatever the weather.

use crate::base::ids::Table;
use crate::base::set::Set;
use crate::campaign::agenda::Event;
use crate::campaign::world::World;
use crate::model::Part;
use crate::plan::{ACROSS, BerthId, Kept, OUTSIDE, OpeningId, SuitId, Where};
use crate::scenario::Trigger;

/// Where a suit hangs, as far as its books ask.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    /// The berth; [`BerthId::NONE`] if it hangs at none.
    berth: BerthId,
    /// Somebody wears it there.
    worn: bool,
    /// Pressures outside the wall and in the suit, Pa.
    around: f64,
    inside: f64,
}

impl Place {
    const NONE: Place = Place { berth: BerthId::NONE, worn: false, around: 0.0, inside: 0.0 };
}

/// The books of one suit.
#[derive(Clone, Copy, Debug)]
struct Hung {
    place: Place,
    /// Since when its books are open, s.
    since: f64,
    /// Leak, kg/s.
    leak: f64,
    /// Dust that settles, kg/s; 0 indoors.
    dust: f64,
    /// It hangs outdoors.
    outdoors: bool,
}

impl Hung {
    const NONE: Hung =
        Hung { place: Place::NONE, since: 0.0, leak: 0.0, dust: 0.0, outdoors: false };

    /// Nothing leaks and nothing settles.
    #[inline]
    fn quiet(&self) -> bool {
        self.leak <= 0.0 && self.dust <= 0.0
    }

    /// The books are closed and opened again: what has leaked and what has settled, kg.
    #[inline]
    fn close(&mut self, now: f64) -> (f64, f64) {
        let dt = now - self.since;
        self.since = now;
        (self.leak * dt.max(0.0), self.dust * dt.max(0.0))
    }
}

/// State of all suits that have a berth for a home.
#[derive(Clone, Debug, Default)]
pub(in crate::campaign) struct Parked {
    /// Suits that can hang at a berth.
    homed: Set<SuitId>,
    /// Books, per suit.
    hung: Table<SuitId, Hung>,
    /// Suits that leak or on which something settles.
    loud: Set<SuitId>,
    /// When they were closed last, all of them, s.
    closed: f64,
    /// Per part mode: when its hours outdoors end in a failure, s, if the suit stays there.
    due: Vec<f64>,
}

impl Parked {
    pub(in crate::campaign) fn new(arm: &crate::model::Arm) -> Parked {
        let l = &arm.layout;
        let n = l.suits.len();
        let mut homed = Set::none_of(n);
        l.suits.each().for_each(|(s, suit)| homed.put(s, matches!(suit.home, Kept::Berth(_))));
        Parked {
            homed,
            hung: vec![Hung::NONE; n].into(),
            loud: Set::none_of(n),
            closed: f64::NEG_INFINITY,
            due: vec![f64::INFINITY; arm.part_modes.len()],
        }
    }

    pub(in crate::campaign) fn clear(&mut self) {
        self.hung.fill(Hung::NONE);
        self.loud.clear();
        self.closed = f64::NEG_INFINITY;
        self.due.fill(f64::INFINITY);
    }
}

impl World<'_> {
    /// Closes the books of each suit and opens them as things stand.
    pub(in crate::campaign) fn refresh_parked(&mut self) {
        self.settle_all_parked();
        while let Some(s) = self.places.next_moved() {
            if self.air.parked.homed.has(s) {
                self.hang(s, self.hangs_at(s));
            }
        }
        let parked = &self.air.parked;
        let same = |s: SuitId| !parked.homed.has(s) || parked.hung[s].place == self.hangs_at(s);
        debug_assert!(parked.hung.ids().all(same), "a suit hangs otherwise unseen");
    }

    /// Where a suit hangs now.
    #[inline]
    fn hangs_at(&self, s: SuitId) -> Place {
        let suit = &self.places.suit[s];
        let (berth, worn) = match suit.kept() {
            Kept::Berth(b) => (b, false),
            Kept::Worn(p) => (self.worn_at_berth(usize::from(p)), true),
            Kept::Volume(_) => return Place::NONE,
        };
        match self.arm.layout.berths.get(berth) {
            Some(b) => {
                let around = self.places.pressure(b.outer);
                Place { berth, worn, around, inside: suit.pressure() }
            }
            None => Place::NONE,
        }
    }

    /// A suit may hang otherwise than before; its books are closed up to now.
    #[inline(never)]
    fn hang(&mut self, s: SuitId, place: Place) {
        if place == self.air.parked.hung[s].place {
            return;
        }
        let berth = self.arm.layout.berths.get(place.berth);
        let outdoors = !place.worn && berth.is_some_and(|b| b.outer == OUTSIDE);
        let was = self.air.parked.hung[s].outdoors;
        if was && !outdoors {
            self.take_indoors(s);
        }
        let (leak, dust) = match place.worn {
            true => (self.worn_rate(s, place), 0.0),
            false => self.parked_rates(s, place, outdoors),
        };
        let hung = &mut self.air.parked.hung[s];
        *hung = Hung { place, since: self.now, leak, dust, outdoors };
        let loud = !hung.quiet();
        self.air.parked.loud.put(s, loud);
        if outdoors && !was {
            self.hang_outdoors(s);
        }
    }

    /// The berth at which somebody stands in a suit that does not live on its own supply: its leak is in no
    /// other book. [`BerthId::NONE`] if there is none.
    fn worn_at_berth(&self, p: usize) -> BerthId {
        match self.places.person[p].at() {
            Where::Berth(b) if !self.people.crew[p].clock.open => b,
            _ => BerthId::NONE,
        }
    }

    /// A worn suit at a berth leaks at its working rate where nothing is around it (rule 15), kg/s.
    fn worn_rate(&self, s: SuitId, place: Place) -> f64 {
        let l = &self.arm.layout;
        if place.around <= l.ambient + ACROSS { self.numbers.suits[s].leak } else { 0.0 }
    }

    /// The clock of a person starts or stops: a suit at a berth leaks on its own supply, or no longer.
    pub(in crate::campaign) fn clock_of_parked(&mut self, p: usize) {
        self.places.look_at_suit_of(p);
        self.refresh_parked();
    }

    /// Leak and settling dust of a suit that hangs at a berth, kg/s.
    fn parked_rates(&self, s: SuitId, place: Place, outdoors: bool) -> (f64, f64) {
        let l = &self.arm.layout;
        let Some(b) = l.berths.get(place.berth) else { return (0.0, 0.0) };
        let kind = &self.numbers.suits[s];
        let across = place.inside - place.around;
        let leak = if place.around <= l.ambient + ACROSS && across > 0.0 {
            kind.leak * (across / (kind.pressure - l.ambient))
        } else {
            0.0
        };
        let cover = |o: OpeningId| self.arm.openings[o].cover_dust.of(&self.v);
        let dust = if outdoors { kind.parked_dust * cover(b.interface) } else { 0.0 };
        (leak, dust)
    }

    /// Books what has leaked from a parked suit and settled on it up to now.
    pub(in crate::campaign) fn settle_parked(&mut self, s: SuitId) {
        let (leaked, settled) = self.air.parked.hung[s].close(self.now);
        if leaked > 0.0 {
            let b = &self.arm.layout.berths[self.air.parked.hung[s].place.berth];
            self.air.gas.suit_leak(b.cabin, b.port, leaked);
        }
        if settled > 0.0 {
            for bin in 0..4 {
                let m = settled * self.numbers.body.dust_bins[bin];
                self.suits.settles(s, bin, m);
                self.dust.dust_books.picked[bin] += m;
            }
        }
    }

    /// The same of all that leak or on which something settles.
    pub(in crate::campaign) fn settle_all_parked(&mut self) {
        if std::mem::replace(&mut self.air.parked.closed, self.now) == self.now {
            return;
        }
        let mut from = 0;
        while let Some(s) = self.air.parked.loud.first_from(from) {
            self.settle_parked(s);
            from = s.at() + 1;
        }
    }

    /// Part modes of a suit that count hours outdoors.
    fn outdoor_modes(&self, s: SuitId) -> impl Iterator<Item = usize> + use<> {
        let (first, end) = self.arm.on_suit[s].of[Trigger::Hour as usize];
        usize::from(first)..usize::from(end)
    }

    fn hang_outdoors(&mut self, s: SuitId) {
        for pm in self.outdoor_modes(s) {
            if self.mode_of(pm).outdoors && !self.parts.struck(pm) {
                self.plan_outdoor_failure(pm, s);
            }
        }
    }

    /// The suit leaves the open air: its hours there have used up part of the thresholds.
    fn take_indoors(&mut self, s: SuitId) {
        for pm in self.outdoor_modes(s) {
            if self.mode_of(pm).outdoors && !self.parts.struck(pm) {
                let left = (self.air.parked.due[pm] - self.now) * self.outdoor_rate(pm, s);
                if self.air.parked.due[pm].is_finite() {
                    self.parts.set_left(pm, left);
                }
                self.air.parked.due[pm] = f64::INFINITY;
            }
        }
    }

    /// Rate of failures by hour outdoors under the cover of the berth, 1/s.
    fn outdoor_rate(&self, pm: usize, s: SuitId) -> f64 {
        let b = &self.arm.layout.berths[self.air.parked.hung[s].place.berth];
        let sun = self.arm.openings[b.interface].cover_sun.of(&self.v);
        self.parts.rate(pm, &self.numbers.hazards[pm], sun)
    }

    fn plan_outdoor_failure(&mut self, pm: usize, s: SuitId) {
        let due = self.now + self.parts.left(pm) / self.outdoor_rate(pm, s);
        self.air.parked.due[pm] = due;
        if due < self.m.horizon {
            let event = Event::PartFails(pm as u16, self.parts.renewal(pm));
            self.plan(due, event);
        }
    }

    /// A mode that counts hours outdoors has a new threshold: its suit may hang there now.
    pub(in crate::campaign) fn renewed_outdoors(&mut self, pm: usize) {
        self.air.parked.due[pm] = f64::INFINITY;
        if let Part::Suit(s) = self.arm.part_modes[pm].part
            && self.air.parked.hung[s].outdoors
        {
            self.plan_outdoor_failure(pm, s);
        }
    }

    /// Is this the failure that is due, or an old event of a suit that was taken in since?
    pub(in crate::campaign) fn outdoor_failure_due(&self, pm: usize) -> bool {
        self.air.parked.due[pm] == self.now
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn books_of_a_suit_are_closed_up_to_now() {
        let mut hung = Hung { since: 100.0, leak: 2e-7, dust: 3e-9, ..Hung::NONE };
        let (leaked, settled) = hung.close(1100.0);
        assert!((leaked - 2e-4).abs() < 1e-15 && (settled - 3e-6).abs() < 1e-17);
        assert_eq!(hung.close(1100.0), (0.0, 0.0));
        assert!(!hung.quiet());
        hung = Hung::NONE;
        assert!(hung.quiet());
        assert_eq!(hung.close(1e9), (0.0, 0.0));
    }
}
