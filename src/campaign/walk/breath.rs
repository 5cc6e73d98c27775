//! What people breathe, from cabin to mask to suit, and how long a prebreathe takes. The 360-minute
//! tissue of each person follows the pressure and composition around them, row by row.

use crate::campaign::world::World;
use crate::physics::prebreathe;
use crate::plan::{Crew, Row, SuitId, VolumeId, Where, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// N2 that a person breathes as things stand, Pa; what it was where they are gone.
    ///
    /// Without a suit: the gas around, or a mask in it. In a suit: oxygen once purged or prebreathing,
    /// before that the gas it was closed in; never below the suit's working pressure. On suit supply:
    /// none (after purge a suit holds O2 only, rule 25).
    fn nitrogen(&self, p: usize) -> f64 {
        let c = &self.people.crew[p];
        if c.clock.open {
            return 0.0;
        }
        let suit = self.suit_kind(p);
        let (around, mix) = match self.places.person[p].at() {
            Where::Gone => return c.breathed,
            Where::Volume(v) => (self.places.pressure(v), self.air.gas.mix(v)),
            Where::Berth(b) => {
                let cabin = self.arm.layout.berths[b].cabin;
                let s = self.places.person[p].suit;
                let inside = match s {
                    SuitId::NONE => self.places.pressure(cabin),
                    s => self.places.suit[s].pressure(),
                };
                (inside, self.air.gas.mix(cabin))
            }
        };
        let pressure = suit.map_or(around, |(_, kind)| around.max(kind.pressure));
        let oxygen = match (c.oxygen, suit) {
            (false, _) => mix.oxygen,
            (true, Some((_, kind))) => kind.purity,
            (true, None) => self.numbers.rules.mask_oxygen,
        };
        prebreathe::breathed_nitrogen(pressure, oxygen)
    }

    /// The tissues go on from time `t` with what is breathed now, by those for whom anything has changed.
    #[inline]
    pub(in crate::campaign) fn breathe_on(&mut self, crew: Crew, t: f64) {
        let anew = crew & (self.places.touched() | self.people.turned);
        if anew != 0 {
            self.breathe_anew(anew, t);
        }
        let same = |p: usize| self.nitrogen(p) == self.people.crew[p].breathed;
        debug_assert!(each_of(crew).all(same), "somebody breathes something else unseen");
    }

    /// What these persons breathe is worked out.
    fn breathe_anew(&mut self, crew: Crew, t: f64) {
        self.places.seen(crew);
        self.people.turned &= !crew;
        for p in each_of(crew) {
            let n2 = self.nitrogen(p);
            if n2 != self.people.crew[p].breathed {
                self.people.crew[p].breathe(t, n2);
            }
        }
    }

    /// Oxygen (of the suit or a mask) goes on or off.
    pub(in crate::campaign) fn turn_oxygen(&mut self, p: usize, on: bool, t: f64) {
        let c = &mut self.people.crew[p];
        if c.oxygen != on {
            c.oxygen = on;
            self.people.turned |= 1 << p;
        }
        c.prebreathe.turn(on, t);
        self.breathe_on(1 << p, t);
    }

    /// At the start of a row: a prebreathe puts oxygen on; a mask comes off to don a suit or to pass
    /// an opening, and otherwise stays on.
    pub(in crate::campaign) fn breath_at_start(&mut self, k: usize, row: &Row, who: Crew) {
        let (start, end) = (self.teams[k].leg.t, self.teams[k].leg.end);
        match row.action {
            Action::Prebreathe => {
                for p in each_of(who) {
                    let least = self.protocol_least(p);
                    self.turn_oxygen(p, true, start);
                    self.people.crew[p].prebreathe.begin(start, end - start, least);
                }
            }
            Action::Don | Action::SuitUp | Action::Pass => {
                for p in each_of(who) {
                    if self.people.crew[p].oxygen && self.places.person[p].suit.is_none() {
                        self.turn_oxygen(p, false, start);
                    }
                }
            }
            _ => {}
        }
    }

    /// The pressure of a volume has changed: everybody in it breathes something else.
    pub(in crate::campaign) fn breathe_in(&mut self, v: VolumeId) {
        self.breathe_on(self.places.persons_in(v), self.now);
    }

    /// Highest tissue N2 over suit pressure of these persons.
    pub(in crate::campaign) fn tissue_ratio(&self, crew: Crew) -> f64 {
        each_of(crew).fold(0.0, |r: f64, p| match self.suit_kind(p) {
            Some((_, kind)) => {
                let tissue =
                    self.people.crew[p].tissue_now(self.now.max(self.people.crew[p].tissue_at));
                r.max(prebreathe::ratio(tissue, kind.pressure))
            }
            None => r,
        })
    }
}
