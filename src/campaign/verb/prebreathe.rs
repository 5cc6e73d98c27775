//! `prebreathe`: how long until the tissue is ready, and the oxygen that is breathed meanwhile.

use super::Task;
use crate::campaign::owner::metabolic::Doing;
use crate::campaign::world::World;
use crate::physics::{prebreathe, suit};
use crate::plan::{Crew, On, Row, Where, each_of};

impl World<'_> {
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
    pub(in crate::campaign) fn protocol_least(&self, p: usize) -> f64 {
        let l = &self.arm.layout;
        let v = match self.places.person[p].at() {
            Where::Volume(v) => v,
            Where::Berth(b) => l.berths[b].cabin,
            Where::Gone => return 0.0,
        };
        let e = l.volumes[v].element;
        self.numbers.elements.get(e as usize).map_or(0.0, |e| e.prebreathe_least)
    }

    /// Oxygen breathed in a prebreathe row, from a mask or from the suit before it is on its own supply: the
    /// store gives it, at the metabolic rate of rest. A mask has the respiratory quotient of the first
    /// suit of the architecture.
    pub(in crate::campaign) fn prebreathe(&mut self, t: &Task) {
        let cabin = self.host_cabin(t.k);
        for p in each_of(t.who) {
            let oxygen = self.breathed_before_egress(t.k, p);
            self.air.gas.breathe(cabin, oxygen);
        }
    }

    /// What a person breathes in the prebreathe row under way, kg of O2; nothing on their suit's supply.
    pub(in crate::campaign) fn breathed_before_egress(&mut self, k: usize, p: usize) -> f64 {
        if self.people.crew[p].clock.open {
            return 0.0;
        }
        let seconds = self.row_lasts(k);
        let first = self.numbers.suits.first();
        let Some(kind) = self.suit_kind(p).map(|s| s.1).or(first) else { return 0.0 };
        let per_oxygen = kind.per_oxygen;
        let power = self.metabolic(k, p, Doing::Rest);
        suit::oxygen_flow(power, per_oxygen) * seconds
    }
}
