//! Rovers that are called or sent: back before an event, to people who are stranded, home with somebody\nwho is shut in.

use crate::campaign::agenda::Event;
use crate::campaign::owner::parts::{Dust, Occasion};
use crate::campaign::trace::Level;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::{Part, cause};
use crate::plan::{Broken, NONE, VolumeId};
use crate::scenario::{Effect, EnvironmentEffect, Trigger};

impl World<'_> {
    /// A repair has worked: a rover that drives again and whose traverse is over comes home at once.
    pub(in crate::campaign) fn drive_home_mended(&mut self) {
        for e in 0..self.rovers.count() as u16 {
            let r = *self.rovers.of(e);
            if r.traverse != NONE && !r.stuck {
                self.plan(self.now, Event::ComeHome(r.traverse));
            }
        }
    }

    /// Somebody is shut in in a chamber of a rover on its traverse: who is at the wheel drives home, where
    /// there are more hands and tools.
    pub(in crate::campaign) fn bring_home_shut_in(&mut self, v: VolumeId) {
        let e = self.arm.layout.volumes[v].element;
        let i = self.rovers.traverse_of(e);
        if i == NONE || self.at_the_wheel(e) == 0 {
            return;
        }
        if self.rovers.stopped(usize::from(i)).is_none() {
            let port = self.arm.layout.volumes[v].port;
            let why = self.port_trouble(port).unwrap_or(cause::AWAY);
            self.stand_traverse_down(i as usize, why);
        }
        self.plan(self.now, Event::ComeHome(i));
    }

    /// An event turns rovers home that are on a traverse, if its entry says so.
    pub(in crate::campaign) fn recall_rovers(&mut self, event: usize) {
        let ev = &self.m.events[event];
        if ev.effect != EnvironmentEffect::StandDown || !ev.rovers_return {
            return;
        }
        let why = ev.cause;
        for e in 0..self.rovers.count() as u16 {
            let i = self.rovers.of(e).traverse;
            if i != NONE && self.rovers.stopped(usize::from(i)).is_none() {
                self.stand_traverse_down(i as usize, why);
                self.plan(self.now, Event::ComeHome(i));
            }
        }
    }

    /// A rover that drives without a crew and can fetch people from `metres` away: it sets out, and the
    /// time it arrives; `None` if there is none.
    pub(in crate::campaign) fn send_rover(&mut self, stranded: u16, metres: f64) -> Option<f64> {
        let to = self.rovers.of(stranded).distance;
        let fit = |x: &u16| {
            let (r, e) = (self.rovers.of(*x), &self.arm.elements[usize::from(*x)]);
            let far = self.numbers.elements[usize::from(*x)].range >= 2.0 * metres;
            *x != stranded && e.picks_up && e.speed.is_some() && r.idle(self.now) && far
        };
        let x = (0..self.rovers.count() as u16).find(fit)?;
        self.rovers.send(x, stranded);
        self.drive(x, metres, to);
        self.say(Level::Event, None, |s| {
            let names = &s.arm.layout.elements;
            format!("{} drives to {}", names[usize::from(x)].name, names[stranded as usize].name)
        });
        Some(self.rovers.of(x).driving)
    }

    /// The rover that was sent to an element; `Err(time)` while it drives; `None` if there is none that
    /// still drives.
    pub(in crate::campaign) fn sent_rover(&self, stranded: u16) -> Option<Result<u16, f64>> {
        let x = self.rovers.sent_to(stranded)?;
        let r = self.rovers.of(x);
        Some(if r.driving > self.now { Err(r.driving) } else { Ok(x) })
    }

    /// The rover that a team can use: the one whose port it came out by, else the first that drives and
    /// stands where that port stands.
    pub(in crate::campaign) fn rover_at_hand(&self, k: usize) -> Option<u16> {
        let t = &self.teams[k];
        let port = if t.home_port == NONE { t.port } else { t.home_port };
        let host = self.arm.layout.ports.get(port as usize)?.element;
        let drives =
            |e: u16| self.arm.elements[usize::from(e)].speed.is_some() && !self.rovers.of(e).stuck;
        if drives(host) {
            return Some(host);
        }
        let at_hand = |e: &u16| {
            let r = self.rovers.of(*e);
            let stands = self.rovers.between(*e, host) < 1e-9 && r.driving <= self.now;
            drives(*e) && r.traverse == NONE && stands
        };
        (0..self.rovers.count() as u16).find(at_hand)
    }

    /// A `travel` row by rover: the rover at hand is asked for the distance. If there is none, or it
    /// breaks down, the row fails, its time spent.
    pub(in crate::campaign) fn ask_rover(
        &mut self,
        k: usize,
        to: u16,
        o: Occasion,
    ) -> Result<(), Failure> {
        let Some(e) = self.rover_at_hand(k) else {
            return Err(Failure::Broken(Broken::NotThere));
        };
        let metres = self.metres_to(k, to) + self.teams[k].trip.lies;
        let (from, home) = (self.rovers.of(e).distance, self.rovers.of(to).distance);
        // It stops where it breaks down, to the kilometre; what is left is for those who sit on it to walk.
        let mut driven = 0.0;
        while driven < metres && !self.rovers.of(e).stuck {
            let leg = (metres - driven).min(1000.0);
            self.demand(&self.arm.on_element[usize::from(e)], Trigger::Km, leg, o, Dust::None);
            driven += leg;
        }
        if !self.rovers.of(e).stuck {
            self.rovers.ride_to(e, home);
            return Ok(());
        }
        if metres > 0.0 {
            self.rovers.ride_to(e, from + (home - from) * (driven / metres));
        }
        let stopped = |pm: &usize| {
            let part = self.arm.part_modes[*pm].part;
            let mine = matches!(part, Part::Element(x) if x == e);
            mine && self.parts.struck(*pm) && self.mode_of(*pm).effect == Effect::CannotTravel
        };
        match (0..self.arm.part_modes.len()).find(stopped) {
            Some(pm) => Err(Failure::Lost(pm as u16)),
            None => Ok(()),
        }
    }
}
