//! Errands with suits (rule 15): somebody free hangs a suit back on its berth, or fetches one that was
//! left outside, where no team could leave the port otherwise. In the working day and by light, never
//! from a rover that is away, never with nobody else inside.

use crate::campaign::agenda::Event;
use crate::campaign::errand::suits_left::FETCH;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::weather::LOOK_AGAIN;
use crate::campaign::world::World;
use crate::model::UpkeepCause;
use crate::plan::walk::{self, Group};
use crate::plan::{Kept, NONE, OUTSIDE, Where, each_of};
use crate::scenario::ElementKind;

/// Crew time to go over to a rover that stands docked, s (assumed).
const GO_OVER: f64 = 600.0;
/// An errand whose list cannot be walked is thought of again after this, s.
const NOT_NOW: f64 = 86_400.0;

impl World<'_> {
    /// Suits of some berths are indoors while others hang outside, or one lies outside, and no team could
    /// leave: one person takes an indoor suit out by the service list and hangs it back, or goes out for
    /// the one that lies there (contingency, assumed procedure).
    pub(in crate::campaign) fn hang_suits_back(&mut self) {
        let l = &self.arm.layout;
        let (mut outside, mut indoors) = (false, false);
        for (suit, state) in l.suits.iter().zip(&self.places.suit) {
            match state.kept() {
                Kept::Volume(OUTSIDE) => outside = true,
                Kept::Volume(_) => indoors |= matches!(suit.home, Kept::Berth(_)),
                Kept::Berth(_) | Kept::Worn(_) => {}
            }
        }
        if !outside && !indoors {
            return;
        }
        for port in 0..self.arm.layout.ports.len() as u16 {
            let Some((list, fetches)) = self.errand_of(port, outside) else { continue };
            let e = self.arm.layout.ports[port as usize].element;
            if let Some(wait) = self.errand_waits(port, list) {
                self.look_again_in(wait);
                continue;
            }
            match self.who_runs_errand(e) {
                Some(q) if self.service_open_to(q, list) => {
                    self.begin_errand(port, list, q, fetches);
                }
                Some(_) => {}
                None => self.look_again(),
            }
        }
    }

    /// The list by which somebody could see to a suit of a port, and whether it lies outside, where any
    /// suit lies at all.
    fn errand_of(&self, port: u16, outside: bool) -> Option<(u16, bool)> {
        let p = &self.arm.layout.ports[port as usize];
        let some = || (1..p.berths.len()).contains(&self.indoor_suits(port).count());
        let hangs = p.service_out != NONE && some();
        let (list, fetches) = match hangs && self.accepts(port, 1) {
            true => (p.service_out, false),
            false if outside && self.lies_outside(port) && self.keeps_teams_in(port) => {
                (self.egress_list(port, 1, NONE), true)
            }
            false => return None,
        };
        let may = list != NONE
            && self.ports.may_leave_on_errand(port, self.now)
            && self.spares_gas_for(list)
            && self.service_passable(list)
            && !self.bares_somebody(list, 1)
            && self.quiet(port);
        may.then_some((list, fetches))
    }

    /// A suit of the port lies outside, and a person who leaves by it could hang it up (beside the berth
    /// that they leave empty) or bring it in.
    fn lies_outside(&self, port: u16) -> bool {
        self.arm.layout.suits.ids().any(|s| self.could_fetch(port, 0, s))
    }

    /// No team of an activity that leaves by the port finds suits there.
    fn keeps_teams_in(&self, port: u16) -> bool {
        let all = self.m.activities.iter().zip(&self.arm.activity_ports);
        let mut mine = all.filter(|(_, ports)| ports.contains(&port)).map(|(a, _)| a).peekable();
        mine.peek().is_some() && mine.all(|a| self.egress_list(port, a.team, a.suit) == NONE)
    }

    /// How long an errand has to wait for light and the working day, if it does: from the earliest hour that
    /// an activity names, as long as the duty day.
    fn errand_waits(&self, port: u16, list: u16) -> Option<f64> {
        let ingress = self.arm.layout.ports[port as usize].ingress;
        let back = self.arm.lists.get(ingress as usize).map_or(0.0, |x| x.mean_total[1]);
        let takes = self.arm.lists[list as usize].mean_total[1] + FETCH + back;
        let falls = self.next_dark(self.now).is_some_and(|(at, _)| at < self.now + takes);
        if falls || self.dark(self.now).is_some() {
            return Some(LOOK_AGAIN);
        }
        let [day, first] = self.m.working?;
        let into = (self.now - first + 1.0).rem_euclid(day);
        let last = (self.numbers.rules.duty_day - takes).max(3600.0);
        (into > last).then_some(day - into + 1.0)
    }

    /// Somebody rested and free in an element, with somebody else inside; of a rover that stands docked
    /// with nobody aboard, somebody of the element it is docked to. Nobody of one that is away.
    fn who_runs_errand(&self, e: u16) -> Option<usize> {
        if self.rovers.of(e).traverse != NONE {
            return None;
        }
        let mut inside = self.inside_of_element(e);
        if self.at_the_wheel(e) & !inside != 0 {
            return None; // somebody there is hurt or busy
        }
        if self.stands_docked(e) {
            inside |= self.inside_of_element(self.arm.layout.elements[e as usize].joined);
        }
        let rested = |q: &usize| {
            let c = &self.people.crew[*q];
            let idle = matches!(c.busy, Busy::Free | Busy::Elsewhere);
            idle && self.now - c.last_end >= self.numbers.rules.rest_least
        };
        each_of(inside).find(rested).filter(|_| inside.count_ones() >= 2)
    }

    /// A rover stands docked, and nothing keeps people from going over.
    pub(in crate::campaign) fn stands_docked(&self, e: u16) -> bool {
        let element = &self.arm.layout.elements[e as usize];
        let rover = element.kind == ElementKind::Rover && element.joined != NONE;
        let port = self.docking_port(e);
        let free = port == NONE || self.ports.free(port) && self.port_trouble(port).is_none();
        rover
            && free
            && self.docked(e, element.joined)
            && self.places.is_habitable(&self.arm.layout, element.cabin)
    }

    /// Plans one look around after a while, unless one is planned already: every look that finds
    /// nobody free would add another one for ever.
    pub(in crate::campaign) fn look_again(&mut self) {
        self.look_again_in(LOOK_AGAIN);
    }

    /// The same after a wait of its own; one that is planned for later does not count.
    fn look_again_in(&mut self, wait: f64) {
        let at = self.now + wait;
        if self.ports.wants_look(self.now, at) {
            self.plan(at, Event::Look);
        }
    }

    /// Nobody uses the port or is out by it, nothing of it is known stuck, no weather.
    pub(in crate::campaign) fn quiet(&self, port: u16) -> bool {
        let out = self.teams.iter().any(|t| t.phase != Phase::Idle && t.home_port == port);
        let free = self.ports.free(port) && !self.ports.stands_down(port);
        free && !out && self.port_trouble(port).is_none() && !self.weather_now()
    }

    fn begin_errand(&mut self, port: u16, list: u16, q: usize, fetches: bool) {
        let (was, at) = (self.people.crew[q].busy, self.places.person[q].at());
        let l = &self.arm.layout;
        let (e, cabin) = {
            let e = l.ports[port as usize].element;
            (e, l.elements[e as usize].cabin)
        };
        let over = self.inside_of_element(e) & 1 << q == 0;
        let Some(k) = self.new_team(Errand::Return, 1 << q) else { return };
        self.scratch.clone_from(&self.places);
        if over {
            self.scratch.stand(q, Where::Volume(cabin));
        }
        let group = Group { team: 1 << q, hurt: self.people.hurt, rescuers: 0 };
        let l = &self.arm.layout;
        if walk::walk(l, &mut self.scratch, &l.lists[list as usize], 0, group).is_err() {
            self.people.crew[q].busy = was;
            self.teams[k].clear();
            self.ports.errand_later(port, self.now + NOT_NOW);
            return self.look_again_in(NOT_NOW);
        }
        debug_assert!(at != Where::Volume(OUTSIDE), "who is inside runs errands");
        let what = if fetches { "fetch a suit" } else { "hang a suit back" };
        let t = &mut self.teams[k];
        t.back.contingency = true;
        t.home_port = port;
        t.trip.distance = 0.0;
        t.leg.path = crate::base::stream::fnv1a64(what);
        t.leg.occasion = self.now as u64;
        self.hold_port(k, port);
        self.people.crew[q].duty_start = self.now;
        if over {
            self.move_person(q, cabin);
            self.upkeep(UpkeepCause::Docking, GO_OVER);
        }
        self.say(Level::Event, None, |s| {
            let name = &s.m.crew.names[q];
            let over = match over {
                true => format!(" goes over to {} and", s.arm.layout.elements[e as usize].name),
                false => String::new(),
            };
            match fetches {
                true => format!("{name}{over} goes out to fetch a suit that lies outside"),
                false => format!("{name}{over} takes a suit out to hang it back on its berth"),
            }
        });
        self.begin_out(k, list);
        self.resume(k);
    }
}
