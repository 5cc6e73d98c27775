//! Rover traverses, and going home from a haven elsewhere (rule 24).

use super::hazard::{Dust, Occasion};
use super::person::Busy;
use super::play::{Event, Play};
use super::team::{Errand, Phase};
use super::trace::Level;
use super::weather::LOOK_AGAIN;
use crate::layout::{Crew, NONE, OUTSIDE, Where, each_of};
use crate::model::cause;
use crate::scenario::{During, Trigger};

impl Play<'_> {
    /// After a list: a person who is not at home waits in the haven until they can go (rule 24).
    pub(super) fn look_home(&mut self, p: usize) {
        if self.gone & 1 << p != 0 {
            return;
        }
        let Where::Volume(v) = self.places.person[p].at else {
            return;
        };
        let l = &self.arm.layout;
        let home = l.elements[self.crew[p].home as usize].cabin;
        if self.shirt_sleeve(home, v) {
            self.crew[p].busy = Busy::Free;
            if v != home {
                // Nobody stays in a lock or module that one can walk out of.
                self.move_person(p, home);
            }
            return;
        }
        let e = l.volumes[v as usize].element;
        if e == NONE {
            return;
        }
        if self.rovers[e as usize].traverse != NONE && self.crew[p].busy == Busy::Traverse {
            return;
        }
        self.crew[p].busy = Busy::Elsewhere;
        self.crew[p].haven_until = self.now + self.arm.elements[e as usize].haven_days.of(&self.v);
        let rest = self.m.rules.rest_least.of(&self.v);
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[e as usize].name;
            format!("{} waits in {name} to go home", s.m.crew.names[p])
        });
        // Across a docking hatch nobody needs a suit or a rest.
        let wait = if self.docked(e, self.crew[p].home) { 0.0 } else { rest };
        self.plan(self.now + wait, Event::GoHome(p as u8));
    }

    /// Goes home by docking, or like a sortie.
    pub(super) fn go_home(&mut self, p: usize) {
        if self.crew[p].busy != Busy::Elsewhere || self.ending.is_some() {
            return;
        }
        let Where::Volume(v) = self.places.person[p].at else {
            return;
        };
        let cabin = self.arm.layout.elements[self.crew[p].home as usize].cabin;
        if self.shirt_sleeve(cabin, v) {
            return self.look_home(p);
        }
        let group = self.waiting_with(v);
        let e = self.arm.layout.volumes[v as usize].element;
        let home = self.crew[p].home;
        if self.docked(e, home) && self.transfer(e) {
            return self.move_over(group, home);
        }
        let forced = self.now >= self.crew[p].haven_until;
        // At home but behind a hatch that does not open: nobody goes out for that.
        if e == home || !self.return_sortie(group, e, home, forced) {
            let again = (self.now + LOOK_AGAIN).min(self.crew[p].haven_until.max(self.now + 60.0));
            self.plan(again, Event::GoHome(p as u8));
        }
    }

    /// Able persons who wait in the same volume.
    pub(super) fn waiting_with(&self, v: u16) -> Crew {
        (0..self.arm.layout.crew)
            .filter(|q| {
                self.crew[*q].busy == Busy::Elsewhere
                    && self.places.person[*q].at == Where::Volume(v)
            })
            .fold(0, |c, q| c | 1 << q)
    }

    /// The element stands docked (or joined) where one can cross in shirt sleeves.
    pub(super) fn docked(&self, e: u16, home: u16) -> bool {
        let l = &self.arm.layout;
        let there = self.rovers[e as usize].traverse == NONE;
        let joined = l.elements[e as usize].joined == home || l.elements[home as usize].joined == e;
        let habitable = self.places.is_habitable(l, l.elements[home as usize].cabin);
        joined && there && habitable && !self.lost_element[home as usize]
    }

    /// Asks the docking openings of an element; false if one of them is stuck.
    pub(super) fn transfer(&mut self, e: u16) -> bool {
        let arm = self.arm;
        let o = Occasion { id: 0, during: During::WayBack };
        let mut fine = true;
        for (i, opening) in arm.layout.openings.iter().enumerate() {
            if opening.element == e && opening.docking {
                self.demand(arm.on_opening[i], Trigger::Transfer, 1.0, o, Dust::None);
                let stuck = self.parts.stuck_by[i];
                if stuck != u16::MAX {
                    self.find(stuck as usize);
                    fine = false;
                }
            }
        }
        fine
    }

    pub(super) fn move_over(&mut self, crew: Crew, to: u16) {
        let cabin = self.arm.layout.elements[to as usize].cabin;
        for p in each_of(crew) {
            self.move_person(p, cabin);
            self.crew[p].busy = Busy::Free;
        }
        self.look_around();
    }

    /// A person crosses in shirt sleeves.
    pub(super) fn move_person(&mut self, p: usize, cabin: u16) {
        let was = self.places.person[p].at;
        self.places.person[p].at = Where::Volume(cabin);
        let e = super::gas::Entry { port: NONE, contingency: false, planned: false };
        if let Where::Volume(v) = was {
            self.settle_volume(v as usize, super::gas::Fate::Transfer, e);
        }
        self.settle_volume(cabin as usize, super::gas::Fate::Transfer, e);
        self.breathe_as_is(p, self.now);
        self.breathe_here(p);
    }

    /// Returns like a sortie: out by a port of the haven, in by a port at home.
    pub(super) fn return_sortie(&mut self, crew: Crew, e: u16, home: u16, forced: bool) -> bool {
        let l = &self.arm.layout;
        let able = each_of(crew).filter(|p| self.able(*p)).fold(0, |c: Crew, p| c | 1 << p);
        if able == 0 {
            return false;
        }
        let fine = |p: &u16| self.port_trouble(*p).is_none() && !self.astray[*p as usize];
        let of =
            |x: u16| (0..l.ports.len() as u16).filter(move |p| l.ports[*p as usize].element == x);
        let out = of(e).find(|p| {
            l.ports[*p as usize].egress != NONE
                && fine(p)
                && self.port_user[*p as usize] == u8::MAX
                && self.egress_list(*p, able.count_ones()) != NONE
        });
        let into = of(home).filter(|p| l.ports[*p as usize].ingress != NONE);
        let good = into.clone().find(|p| fine(p) && self.accepts(*p, able.count_ones()));
        let target = good.or(if forced { into.clone().next() } else { None });
        let (Some(out), Some(target)) = (out, target) else {
            return false;
        };
        if self.weather_now() && !forced {
            return false;
        }
        let Some(k) = self.new_team(Errand::Return, able) else {
            return false;
        };
        let distance =
            (self.rovers[e as usize].distance - self.rovers[home as usize].distance).abs();
        let t = &mut self.teams[k];
        t.contingency = true;
        t.home_port = target;
        t.distance = distance;
        t.path = crate::stream::fnv1a64("return");
        t.occasion = self.now as u64;
        let list = self.egress_list(out, able.count_ones());
        self.hold_port(k, out);
        each_of(able).for_each(|p| self.crew[p].duty_start = self.now);
        self.say(Level::Event, None, |s| format!("{} set out for home", s.names(able)));
        self.begin_out(k, list);
        self.resume(k);
        true
    }

    /// Suits of some berths are indoors while others hang outside: no team could leave together. One
    /// person takes an indoor suit out by the service list and hangs it back (contingency, assumed
    /// procedure).
    pub(super) fn hang_suits_back(&mut self) {
        for port in 0..self.arm.layout.ports.len() as u16 {
            let p = &self.arm.layout.ports[port as usize];
            let (list, e, berths) = (p.service_out, p.element, p.berths.len());
            let indoor = self.indoor_suits(port).count();
            let mixed = indoor > 0 && indoor < berths;
            if list == NONE || !mixed || !self.quiet(port) || !self.accepts(port, 1) {
                continue;
            }
            let rested = |q: &usize| {
                let c = &self.crew[*q];
                c.busy == Busy::Free && self.now - c.last_end >= self.m.rules.rest_least.of(&self.v)
            };
            let inside = self.inside_of_element(e);
            match each_of(inside).find(rested) {
                Some(q) if inside.count_ones() >= 2 => self.hang_back(port, list, q),
                _ => self.look_again(),
            }
        }
    }

    /// Plans one look around after a while, unless one is planned already: every look that finds
    /// nobody free would add another one for ever.
    pub(super) fn look_again(&mut self) {
        if self.next_look <= self.now {
            self.next_look = self.now + LOOK_AGAIN;
            self.plan(self.next_look, Event::Look);
        }
    }

    /// Nobody uses the port or is out by it, nothing of it is known stuck, no weather.
    pub(super) fn quiet(&self, port: u16) -> bool {
        let out = self.teams.iter().any(|t| t.phase != Phase::Idle && t.home_port == port);
        let free = self.port_user[port as usize] == u8::MAX && !self.astray[port as usize];
        free && !out && self.port_trouble(port).is_none() && !self.weather_now()
    }

    pub(super) fn hang_back(&mut self, port: u16, list: u16, q: usize) {
        let Some(k) = self.new_team(Errand::Return, 1 << q) else { return };
        let t = &mut self.teams[k];
        t.contingency = true;
        t.home_port = port;
        t.distance = 0.0;
        t.path = crate::stream::fnv1a64("hang a suit back");
        t.occasion = self.now as u64;
        self.hold_port(k, port);
        self.crew[q].duty_start = self.now;
        self.say(Level::Event, None, |s| {
            format!("{} takes a suit out to hang it back on its berth", s.m.crew.names[q])
        });
        self.begin_out(k, list);
        self.resume(k);
    }

    /// A port with berths takes as many as are free.
    pub(super) fn accepts(&self, port: u16, persons: u32) -> bool {
        let l = &self.arm.layout;
        let berths = &l.ports[port as usize].berths;
        let free = berths.iter().filter(|b| self.places.berth_free(l, **b)).count();
        berths.is_empty() || free >= persons as usize
    }

    /// After egress from the haven: the walk home.
    pub(super) fn walk_home(&mut self, k: usize) {
        let speed = self.pace(k, self.teams[k].members, crate::scenario::By::Foot);
        let members = self.teams[k].members;
        self.set_doing(k, members, super::metabolic::Doing::Walk);
        let t = &mut self.teams[k];
        t.speed = speed;
        t.back_speed = speed;
        t.far = t.distance;
        t.phase = Phase::Walking;
        t.end = self.now + if t.distance > 0.0 { t.distance / speed } else { 0.0 };
        let end = self.teams[k].end;
        if end <= self.now {
            return self.at_the_door(k);
        }
        self.plan_team(k, end);
    }

    /// A traverse departs: crew cross to the rover, it drives out.
    pub(super) fn depart(&mut self, i: usize) {
        if let Some(t) = self.m.traverses.get(i + 1) {
            self.plan(t.depart, Event::Depart((i + 1) as u16));
        }
        let t = self.m.traverses[i];
        let e = self.arm.activity_from[t.activity as usize];
        if let Some(c) = self.traverse_obstacle(i, e) {
            self.traverse_cause[i] = c;
            self.say(Level::Event, None, |s| {
                format!("traverse {} does not start: {}", i + 1, s.m.causes[c as usize])
            });
            return;
        }
        if !self.transfer(e) {
            self.traverse_cause[i] = self.element_cause(e).unwrap_or(cause::AWAY);
            return;
        }
        let cabin = self.arm.layout.elements[e as usize].cabin;
        for p in each_of(t.roster) {
            self.move_person(p, cabin);
            self.crew[p].busy = Busy::Traverse;
        }
        let drive =
            self.m.activities[t.activity as usize].rover.map_or(0.0, |r| r.drive.of(&self.v));
        self.rovers[e as usize].traverse = i as u16;
        self.drive(e, drive, drive);
        self.say(Level::Event, None, |s| {
            format!("{} set out on traverse {}, {:.0} km", s.names(t.roster), i + 1, drive / 1e3)
        });
        self.plan(t.end, Event::ComeHome(i as u16));
    }

    pub(super) fn traverse_obstacle(&self, i: usize, e: u16) -> Option<u16> {
        let t = self.m.traverses[i];
        if let Some(end) = self.ending {
            return Some(end.cause);
        }
        if let Some((_, w)) = self.sky.iter().zip(&self.m.events).find(|(s, _)| s.active) {
            return Some(w.cause);
        }
        let rover = &self.rovers[e as usize];
        if rover.stuck || self.lost_element[e as usize] {
            return Some(self.element_cause(e).unwrap_or(cause::AWAY));
        }
        if rover.traverse != NONE {
            return Some(cause::AWAY);
        }
        for p in each_of(t.roster) {
            let c = &self.crew[p];
            if self.gone & 1 << p != 0 {
                return Some(cause::LEFT);
            }
            if !self.able(p) {
                return Some(c.off_cause);
            }
            match c.busy {
                Busy::Free => {}
                Busy::Repair(_) => return Some(cause::REPAIR_WORK),
                _ => return Some(cause::BUSY),
            }
            if !matches!(self.places.person[p].at, Where::Volume(v) if v != OUTSIDE) {
                return Some(cause::AWAY);
            }
        }
        None
    }

    /// Cause behind what is known broken on an element.
    pub(super) fn element_cause(&self, e: u16) -> Option<u16> {
        (0..self.parts.struck.len()).find_map(|pm| {
            let part = self.arm.part_modes[pm];
            let here = match part.part {
                crate::model::Part::Element(x) => x == e,
                crate::model::Part::Opening(o) => self.arm.layout.openings[o as usize].element == e,
                _ => false,
            };
            (here && self.parts.struck[pm]).then(|| self.m.modes[part.mode as usize].cause)
        })
    }

    /// The rover drives; per km hazards grow. A breakdown shows itself when it happens.
    pub(super) fn drive(&mut self, e: u16, metres: f64, to: f64) {
        let o = Occasion { id: 0, during: During::Egress };
        self.demand(self.arm.on_element[e as usize], Trigger::Km, metres, o, Dust::None);
        let speed = self.arm.elements[e as usize].speed.map_or(f64::INFINITY, |s| s.of(&self.v));
        let time = if metres > 0.0 && speed.is_finite() { metres / speed } else { 0.0 };
        self.rovers[e as usize].driving = self.now + time;
        self.rovers[e as usize].distance = to;
    }

    /// The last day of a traverse is over: the rover comes home as soon as nobody is outside and it
    /// drives.
    pub(super) fn come_home(&mut self, i: usize) {
        let t = self.m.traverses[i];
        let e = self.arm.activity_from[t.activity as usize];
        if self.rovers[e as usize].traverse != i as u16 {
            return;
        }
        let driving = self.rovers[e as usize].driving;
        let out = self.teams.iter().any(|x| x.phase != Phase::Idle && x.members & t.roster != 0);
        if out || self.rovers[e as usize].stuck {
            let again = self.now + LOOK_AGAIN;
            return self.plan(again, Event::ComeHome(i as u16));
        }
        if driving > self.now {
            return self.plan(driving, Event::ComeHome(i as u16));
        }
        let far = self.rovers[e as usize].distance;
        let base = self.arm.elements[e as usize].distance.of(&self.v);
        if (far - base).abs() > 1e-9 {
            self.drive(e, (far - base).abs(), base);
            let back = self.rovers[e as usize].driving;
            return self.plan(back, Event::ComeHome(i as u16));
        }
        self.rovers[e as usize].traverse = NONE;
        self.dock(e, t.roster);
    }

    pub(super) fn dock(&mut self, e: u16, roster: Crew) {
        let cabin = self.arm.layout.elements[e as usize].cabin;
        let aboard = each_of(roster)
            .filter(|p| self.places.person[*p].at == Where::Volume(cabin))
            .fold(0, |c: Crew, p| c | 1 << p);
        if self.transfer(e) {
            for p in each_of(aboard) {
                let home = self.arm.layout.elements[self.crew[p].home as usize].cabin;
                self.move_person(p, home);
                self.crew[p].busy = Busy::Free;
            }
            self.say(Level::Event, None, |s| {
                format!("{} are back from the traverse", s.names(aboard))
            });
        } else {
            for p in each_of(aboard) {
                self.crew[p].busy = Busy::Free;
                self.look_home(p);
            }
        }
        self.look_around();
    }
}
