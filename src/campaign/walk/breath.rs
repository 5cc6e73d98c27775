//! What people breathe, from cabin to mask to suit, and how long a prebreathe takes. The 360-minute
//! tissue of each person follows the pressure and composition around them, row by row.

use crate::campaign::owner::metabolic::Doing;
use crate::campaign::world::World;
use crate::physics::{prebreathe, suit};
use crate::plan::{Crew, NONE, On, Row, Side, Where, each_of};
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
        let (around, mix) = match self.places.person[p].at {
            Where::Gone => return c.breathed,
            Where::Volume(v) => (self.places.pressure[v as usize], self.air.gas.mix(v as usize)),
            Where::Berth(b) => {
                let cabin = self.arm.layout.berths[b as usize].cabin as usize;
                let s = self.places.person[p].suit;
                let inside = match s {
                    NONE => self.places.pressure[cabin],
                    s => self.places.suit[s as usize].pressure,
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

    /// The tissue goes on from time `t` with what is breathed now.
    pub(in crate::campaign) fn breathe_as_is(&mut self, p: usize, t: f64) {
        let n2 = self.nitrogen(p);
        if n2 != self.people.crew[p].breathed {
            self.people.crew[p].breathe(t, n2);
        }
    }

    /// Oxygen (of the suit or a mask) goes on or off.
    pub(in crate::campaign) fn turn_oxygen(&mut self, p: usize, on: bool, t: f64) {
        let c = &mut self.people.crew[p];
        c.oxygen = on;
        c.prebreathe.turn(on, t);
        self.breathe_as_is(p, t);
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
                    if self.people.crew[p].oxygen && self.places.person[p].suit == NONE {
                        self.turn_oxygen(p, false, start);
                    }
                }
            }
            _ => {}
        }
    }

    /// After a row has acted: who breathes something else now?
    pub(in crate::campaign) fn breath_after(&mut self, row: &Row, who: Crew) {
        let now = self.now;
        match row.action {
            Action::Purge => each_of(who).for_each(|p| self.turn_oxygen(p, true, now)),
            Action::Don | Action::SuitUp | Action::Doff => {
                each_of(who).for_each(|p| self.turn_oxygen(p, false, now));
            }
            Action::Pass | Action::Mate | Action::Unmate => {
                each_of(who).for_each(|p| self.breathe_as_is(p, now));
            }
            Action::Depress | Action::Vent | Action::Repress if row.on == On::Suit => {
                each_of(who).for_each(|p| self.breathe_as_is(p, now));
            }
            Action::Depress | Action::Vent | Action::Repress => {
                let (vols, n) = self.places.row_volumes(&self.arm.layout, row, who);
                vols[..n].iter().for_each(|v| self.breathe_in(*v));
            }
            Action::Open => {
                let On::Opening(o, 1) = row.on else { return };
                for side in self.arm.layout.openings[o as usize].sides {
                    if let Side::Volume(v) = side {
                        self.breathe_in(v);
                    }
                }
            }
            _ => {}
        }
    }

    /// Oxygen breathed in a prebreathe row, from a mask or from the suit before it is on its own supply: the
    /// store gives it, at the metabolic rate of rest. A mask has the respiratory quotient of the first
    /// suit of the architecture.
    pub(in crate::campaign) fn oxygen_of_prebreathe(&mut self, k: usize, who: Crew) {
        let cabin = self.host_cabin(k);
        for p in each_of(who) {
            let oxygen = self.breathed_before_egress(k, p);
            self.air.gas.breathe(cabin, oxygen);
        }
    }

    /// What a person breathes in the prebreathe row under way, kg of O2; nothing on their suit's supply.
    pub(in crate::campaign) fn breathed_before_egress(&mut self, k: usize, p: usize) -> f64 {
        if self.people.crew[p].clock.open {
            return 0.0;
        }
        let seconds = self.teams[k].leg.end - self.teams[k].leg.t;
        let first = self.numbers.suits.first();
        let Some(kind) = self.suit_kind(p).map(|s| s.1).or(first) else { return 0.0 };
        let per_oxygen = kind.per_oxygen;
        let power = self.metabolic(k, p, Doing::Rest);
        suit::oxygen_flow(power, per_oxygen) * seconds
    }

    /// The pressure of a volume has changed: everybody in it breathes something else.
    pub(in crate::campaign) fn breathe_in(&mut self, v: u16) {
        let now = self.now;
        for p in each_of(self.places.persons_in(&self.arm.layout, v)) {
            self.breathe_as_is(p, now);
        }
    }

    /// Time of a prebreathe row by physics and protocol, s: the longest of the persons.
    ///
    /// Each: until the tissue meets the ratio at the pressure of their suit, at least the protocol
    /// minimum. Where a prebreathe was broken off, what was still to do and the penalty for the break
    /// count instead of the minimum, if that is less than beginning anew. A mask alone has no target:
    /// its row takes what it says.
    pub(in crate::campaign) fn prebreathe_time(&self, row: &Row, who: Crew) -> f64 {
        if row.on == On::Nothing {
            return 0.0;
        }
        let rules = &self.numbers.rules;
        each_of(who).fold(0.0, |longest: f64, p| {
            let Some((_, kind)) = self.suit_kind(p) else {
                return longest;
            };
            let around = self.ambient_of(p).max(kind.pressure);
            let breathed = prebreathe::breathed_nitrogen(around, kind.purity);
            let wanted = prebreathe::Wanted {
                ratio: rules.prebreathe_ratio,
                suit_pressure: kind.pressure,
                half_time: prebreathe::SLOW_HALF_TIME,
            };
            let now = self.now.max(self.people.crew[p].tissue_at);
            let tissue = self.people.crew[p].tissue_now(now);
            // The check refuses a mask or suit whose nitrogen alone is above the ratio.
            let need = prebreathe::required_time(tissue, breathed, wanted).unwrap_or(0.0);
            let anew = prebreathe::planned_time(need, self.protocol_least(p));
            let owed = self.people.crew[p].prebreathe.owed(now, rules.prebreathe_break);
            longest.max(match owed {
                Some(owed) if owed < anew => need.max(owed),
                _ => anew,
            })
        })
    }

    /// Protocol minimum of a prebreathe in the element where a person is, s.
    fn protocol_least(&self, p: usize) -> f64 {
        let l = &self.arm.layout;
        let v = match self.places.person[p].at {
            Where::Volume(v) => v,
            Where::Berth(b) => l.berths[b as usize].cabin,
            Where::Gone => return 0.0,
        };
        let e = l.volumes[v as usize].element;
        self.numbers.elements.get(e as usize).map_or(0.0, |e| e.prebreathe_least)
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
