//! Demands of failure modes, thresholds drawn anew, common cause that crosses (rules 29, 30). What parts
//! have left is [`crate::campaign::owner::parts`], what strikes leave behind [`crate::campaign::owner::faults`].

use crate::campaign::agenda::Event;
use crate::campaign::owner::parts::{Answer, Demand, Dust, Occasion};
use crate::campaign::world::World;
use crate::model::{Demands, Mode, Part, Purpose, cause};
use crate::outcome::{group_bit, mode_bit};
use crate::plan::{BerthId, OpeningId, Stuck, each_of};
use crate::scenario::{Effect, Trigger};

impl World<'_> {
    pub(in crate::campaign) fn begin_parts(&mut self) {
        self.parts.reset();
        self.faults.clear();
        for pm in 0..self.arm.part_modes.len() {
            if self.never(self.arm.part_modes[pm].mode) {
                self.parts.exempt(pm);
            }
            self.draw_threshold(pm);
        }
        for g in 0..self.arm.groups.len() {
            self.draw_group(g);
        }
    }

    pub(in crate::campaign) fn mode_of(&self, pm: usize) -> &Mode {
        &self.arm.modes[self.arm.part_modes[pm].mode as usize]
    }

    pub(in crate::campaign) fn draw_threshold(&mut self, pm: usize) {
        let hash = self.arm.part_modes[pm].hash;
        let occasion = u64::from(self.parts.renewal(pm));
        let u = self.draw_at(hash, occasion, Purpose::Life);
        let left = self.threshold(self.arm.part_modes[pm].mode, -u.ln());
        self.parts.set_left(pm, left);
        let m = self.mode_of(pm);
        if m.outdoors {
            self.renewed_outdoors(pm);
        } else if m.trigger == Trigger::Hour {
            self.plan_calendar_failure(pm);
        }
    }

    /// Calendar-time modes: the crossing is known when the threshold is drawn.
    pub(in crate::campaign) fn plan_calendar_failure(&mut self, pm: usize) {
        let wait = self.parts.wait(pm, &self.numbers.hazards[pm]);
        if wait.is_finite() && self.now + wait < self.m.horizon {
            let event = Event::PartFails(pm as u16, self.parts.renewal(pm));
            self.plan(self.now + wait, event);
        }
    }

    pub(in crate::campaign) fn draw_group(&mut self, g: usize) {
        let occasion = u64::from(self.parts.group_renewal(g));
        let hash = self.arm.groups[g].hash;
        let u = self.draw_at(hash, occasion, Purpose::Group);
        let left = self.group_threshold(g, -u.ln());
        self.parts.set_group(g, left);
        let Some(mode) = self.first_of_group(g) else { return };
        if let Some(rate) = self.numbers.modes[mode as usize].common {
            let wait = left / rate;
            if wait.is_finite() && self.now + wait < self.m.horizon {
                self.plan(self.now + wait, Event::GroupFails(g as u16));
            }
        }
    }

    pub(in crate::campaign) fn part_fails(&mut self, pm: usize, renewal: u32) {
        let again = self.mode_of(pm).adds_up;
        if self.parts.renewal(pm) != renewal || self.parts.struck(pm) && !again {
            return;
        }
        if self.mode_of(pm).outdoors && !self.outdoor_failure_due(pm) {
            return;
        }
        self.parts.cross(pm, &self.numbers.hazards[pm]);
        self.strike(pm);
    }

    /// A group crosses by calendar time: nobody uses a member, so each is noticed as its mode says.
    pub(in crate::campaign) fn group_fails(&mut self, g: usize) {
        self.cross_group(g, None);
    }

    /// Asks every mode of a part that listens to `trigger`, in file order; what crosses its threshold strikes.
    /// Whether a row can be done after that is asked of what the strikes have left behind.
    #[inline(never)]
    pub(in crate::campaign) fn demand(
        &mut self,
        demands: &Demands,
        trigger: Trigger,
        exposure: f64,
        occasion: Occasion,
        dust: Dust,
    ) {
        self.demand_here(demands, trigger, exposure, occasion, dust);
    }

    /// The same for openings, which are asked most.
    #[inline(always)]
    pub(in crate::campaign) fn demand_here(
        &mut self,
        demands: &Demands,
        trigger: Trigger,
        exposure: f64,
        occasion: Occasion,
        dust: Dust,
    ) {
        let (first, end) = demands.of[trigger as usize];
        self.books.counts.demands += u64::from(end - first);
        let demand = Demand { exposure, occasion, dust };
        for pm in first..end {
            if self.crosses(pm as usize, demand) {
                self.met_mode(pm as usize);
            }
        }
    }

    /// A mode whose threshold is used up strikes.
    #[cold]
    fn met_mode(&mut self, pm: usize) {
        self.books.out.record.met |= mode_bit(self.arm.part_modes[pm].mode);
        self.strike(pm);
    }

    /// Asks one mode of a part.
    #[inline(always)]
    fn crosses(&mut self, pm: usize, demand: Demand) -> bool {
        match self.parts.ask(pm, &self.numbers.hazards[pm], demand) {
            Answer::Holds => false,
            Answer::Strikes => true,
            Answer::Common(g) => self.common_crosses(pm, g, demand),
        }
    }

    /// A common cause that crosses strikes before the part's own share is asked.
    #[cold]
    fn common_crosses(&mut self, pm: usize, g: u16, demand: Demand) -> bool {
        self.cross_group(g as usize, Some(self.arm.part_modes[pm].part));
        self.parts.ask_own(pm, &self.numbers.hazards[pm], demand) == Answer::Strikes
    }

    /// A common cause fails all members. Those that are not the part in use are found when they are
    /// used: until then nobody knows, ways by them are open and no repair begins.
    fn cross_group(&mut self, g: usize, used: Option<Part>) {
        self.books.out.record.groups |= group_bit(g);
        self.forced_group(g);
        self.say_link(None, |s| format!("common cause: {}", s.arm.groups[g].name));
        for i in 0..self.arm.groups[g].members.len() {
            let pm = self.arm.groups[g].members[i] as usize;
            if self.never(self.arm.part_modes[pm].mode) {
                continue;
            }
            if !self.parts.struck(pm) || self.mode_of(pm).adds_up {
                self.strike_seen(pm, used.is_none_or(|x| x == self.arm.part_modes[pm].part));
            }
        }
        self.parts.renew_group(g);
        self.draw_group(g);
    }

    /// Every yes/no of play goes through here (rule 34). Nothing is drawn for 0 and 1.
    pub(in crate::campaign) fn chance(
        &mut self,
        address: (u64, u64),
        what: Purpose,
        p: f64,
    ) -> bool {
        if p <= 0.0 {
            return false;
        }
        if p >= 1.0 {
            return true;
        }
        self.draw_at(address.0, address.1, what) < p
    }

    /// The uniform number at an address (rule 33).
    #[inline]
    pub(in crate::campaign) fn draw_at(&self, path: u64, occasion: u64, what: Purpose) -> f64 {
        what.draw_kept(&self.draws.kept, self.draws.campaign, path, occasion)
    }

    /// The cause of lost hours behind a known stuck opening of a port or a lost element.
    pub(in crate::campaign) fn port_trouble(&self, port: u16) -> Option<u16> {
        let p = &self.arm.layout.ports[port as usize];
        if self.rovers.lost(p.element) {
            let lost = (0..self.arm.part_modes.len())
                .find(|i| self.parts.struck(*i) && self.mode_of(*i).effect == Effect::ElementLost);
            return Some(lost.map_or(0, |i| self.mode_of(i).cause));
        }
        let berths = &p.berths;
        for o in &p.openings {
            let state = &self.places.opening[*o];
            if !state.known || state.stuck == Stuck::Free || self.is_without(*o) {
                continue;
            }
            let of_berth = berths.iter().any(|b| {
                let b = &self.arm.layout.berths[*b];
                [b.interface, b.port_hatch, b.suit_hatch].contains(o)
            });
            if !of_berth {
                let by = self.faults.stuck_by(*o);
                return Some(by.map_or(cause::INTERLOCK, |pm| self.mode_of(pm as usize).cause));
            }
        }
        None
    }

    /// Berths of a port with a usable suit and nothing known stuck.
    pub(in crate::campaign) fn berths_ready(&self, port: u16) -> u32 {
        let l = &self.arm.layout;
        let ready = |b: &&BerthId| {
            let berth = &l.berths[**b];
            let free = |o: OpeningId| {
                let s = &self.places.opening[o];
                !(s.known && s.stuck != Stuck::Free)
            };
            let suit = self.places.suit_at(**b).is_some_and(|s| self.places.suit[s].usable);
            suit && free(berth.interface) && free(berth.port_hatch) && free(berth.suit_hatch)
        };
        l.ports[port as usize].berths.iter().filter(ready).count() as u32
    }

    /// Mode of a hurt person's cause, or the first known trouble among persons.
    pub(in crate::campaign) fn hurt_cause(&self, crew: u16) -> Option<u16> {
        each_of(crew & self.people.hurt).next().map(|p| {
            let mode = self.people.crew[p].hurt_mode;
            self.arm.modes[mode as usize].cause
        })
    }
}
