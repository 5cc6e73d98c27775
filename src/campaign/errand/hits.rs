//! What strikes people outside: hazards per hour and per sortie (rule 16).

use crate::campaign::owner::team::{Hit, Phase};
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{Hazard, Purpose};
use crate::plan::{Crew, each_of};
use crate::scenario::{Effect, Trigger};

impl World<'_> {
    /// Crossings of the hazards outside (rule 16): per person-hour from the end of egress until safe;
    /// per team sortie at a moment uniform over the planned time outside.
    pub(in crate::campaign) fn draw_hits(
        &mut self,
        k: usize,
        (hash, occasion): (u64, u64),
        stay: f64,
    ) {
        let members = self.teams[k].members;
        let n = members.count_ones();
        let out = self.teams[k].out.out_at;
        let horizon = stay + 24.0 * 3600.0;
        // Earlier batches drew theirs when they were out.
        let here = if self.teams[k].parted { self.teams[k].batch } else { members };
        for i in 0..self.arm.outside.len() {
            let id = self.arm.outside[i];
            let m = &self.arm.modes[id as usize];
            let path = hash ^ m.hash.rotate_left(17);
            self.forced_hit(k, (path, occasion), id, stay);
            if self.never(id) {
                continue;
            }
            match (m.trigger, m.hazard) {
                (Trigger::HourOutside, Hazard::Rate(_)) => {
                    let rate = self.numbers.modes[id as usize].hazard;
                    self.draw_rate(k, (path, occasion), id, (here, out), (rate, horizon));
                }
                (Trigger::Sortie, Hazard::Demand(_)) => {
                    let chance = self.numbers.modes[id as usize].hazard;
                    let draw = |what| self.draw_at(path, occasion, what);
                    if draw(Purpose::SortieStrikes) > 1.0 - chance {
                        let share = draw(Purpose::SortieMoment);
                        let whose = (draw(Purpose::SortieWhom) * f64::from(n)) as usize;
                        let person = each_of(members).nth(whose).unwrap_or(0) as u8;
                        self.teams[k].add_hit(Hit { at: out + share * stay, mode: id, person });
                    }
                }
                _ => {}
            }
        }
    }

    /// Crossings of one rate for those of a team who have just come out.
    pub(in crate::campaign) fn draw_rate(
        &mut self,
        k: usize,
        (path, occasion): (u64, u64),
        mode: u16,
        (here, out): (Crew, f64),
        (rate, horizon): (f64, f64),
    ) {
        let members = self.teams[k].members;
        let slot = self.m.slots.get(self.teams[k].slot as usize);
        for p in each_of(members & here) {
            // Number on the roster of the slot, or in a team that has none.
            let role = slot.map_or(members, |s| s.roster) & ((1 << p) - 1);
            let role = role.count_ones() as u8;
            let u = self.draw_at(path, occasion, Purpose::HourOutside { role });
            // Cheap first: no crossing within a day; exp(-x) is at least 1 - x.
            if u >= 1.0 - rate * horizon - 1e-12 {
                self.may_cross(k, u, (mode, p), (rate, out, horizon));
            }
        }
    }

    /// A uniform number by which a rate may cross within the horizon, for a person who has come out at a
    /// time.
    #[cold]
    fn may_cross(
        &mut self,
        k: usize,
        u: f64,
        (mode, p): (u16, usize),
        (rate, out, horizon): (f64, f64, f64),
    ) {
        if u >= (-rate * horizon).exp() {
            let at = out + -u.ln() / rate;
            self.teams[k].add_hit(Hit { at, mode, person: p as u8 });
        }
    }

    /// Hazards per hour outside run from the end of one's own egress (rule 16), also while the others
    /// are still on the way out.
    pub(in crate::campaign) fn draw_batch_hits(&mut self, k: usize, batch: Crew) {
        let slot = self.m.slots[self.teams[k].slot as usize];
        let activity = &self.m.activities[slot.activity as usize];
        let (hash, occasion) = (activity.hash, u64::from(slot.number));
        let horizon = activity.planned + 48.0 * 3600.0;
        let out = self.now;
        for i in 0..self.arm.outside.len() {
            let id = self.arm.outside[i];
            let m = &self.arm.modes[id as usize];
            if let (Trigger::HourOutside, Hazard::Rate(_), false) =
                (m.trigger, m.hazard, self.never(id))
            {
                let rate = self.numbers.modes[id as usize].hazard;
                let path = hash ^ m.hash.rotate_left(17);
                self.draw_rate(k, (path, occasion), id, (batch, out), (rate, horizon));
            }
        }
    }

    /// Hazards per hour outside of those who come out to help, from the moment they set out (rule 16).
    pub(in crate::campaign) fn draw_rescuer_hits(&mut self, k: usize, who: Crew) {
        let out = self.teams[k].leg.t;
        let horizon = 48.0 * 3600.0;
        for i in 0..self.arm.outside.len() {
            let id = self.arm.outside[i];
            let m = &self.arm.modes[id as usize];
            let (Trigger::HourOutside, Hazard::Rate(_), false) =
                (m.trigger, m.hazard, self.never(id))
            else {
                continue;
            };
            let rate = self.numbers.modes[id as usize].hazard;
            for p in each_of(who) {
                let hash = self.m.crew.hashes[p] ^ m.hash;
                let occasion = (out * 1e3) as u64;
                let u = self.draw_at(hash, occasion, Purpose::Rescuer);
                if u >= (-rate * horizon).exp() {
                    let at = out + -u.ln() / rate;
                    self.teams[k].add_hit(Hit { at, mode: id, person: p as u8 });
                }
            }
        }
    }

    /// Hits that are due strike. True if one asks for return.
    #[inline]
    pub(in crate::campaign) fn hits_due(&mut self, k: usize) -> bool {
        let mut asked = false;
        while let Some(hit) = self.teams[k].out.next_hit().filter(|h| h.at <= self.now) {
            self.teams[k].out.hit_next += 1;
            asked |= self.hit(k, hit);
        }
        asked
    }

    /// Somebody is struck. True if it asks for return.
    #[inline(never)]
    pub(in crate::campaign) fn hit(&mut self, k: usize, hit: Hit) -> bool {
        let p = hit.person as usize;
        let here = self.teams[k].members | self.teams[k].rescuers;
        if !self.people.crew[p].clock.open || here & 1 << p == 0 {
            return false;
        }
        let (effect, cause) = {
            let m = &self.arm.modes[hit.mode as usize];
            (m.effect, m.cause)
        };
        self.books.out.record.modes |= crate::outcome::mode_bit(hit.mode);
        self.books.out.record.met |= crate::outcome::mode_bit(hit.mode);
        self.say_link(self.slot_of(k), |s| {
            format!("{} strikes {}", s.arm.modes[hit.mode as usize].name, s.m.crew.names[p])
        });
        match effect {
            Effect::CrewIncapacitated => self.incapacitate(p, hit),
            Effect::SuitUnusable => self.spoil_suit(p, hit.mode),
            Effect::ReturnNow => {
                if self.arm.modes[hit.mode as usize].suit {
                    self.books.out.facts.add(Fact::SuitFailures, 1.0);
                }
            }
            _ => return false,
        }
        if effect == Effect::CrewIncapacitated {
            self.teams[k].troubled_by(cause);
        }
        if self.teams[k].out.door_at < 0.0 {
            self.teams[k].blame(cause);
            // On the way back as planned there is no work to end.
            self.teams[k].out.cut |= self.teams[k].phase != Phase::Walking;
        }
        true
    }
}
