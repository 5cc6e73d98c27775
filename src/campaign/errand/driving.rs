//! Rover traverses: days away with sorties from the rover's own ports, kilometres and range, and what
//! happens when the rover breaks down.
//!
//! A rover that breaks down stays where it is. Its crew mend it if they can; after `repair_within` they
//! leave it: another rover that drives without a crew fetches them (they ride outside), or they walk as
//! soon as a suit's primary supply covers the way, or they wait; when the days of the haven are over
//! they set out all the same. An abandoned rover stays out for the rest of the campaign (assumed).

use crate::campaign::agenda::Event;
use crate::campaign::owner::parts::{Dust, Occasion};
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::weather::LOOK_AGAIN;
use crate::campaign::world::World;
use crate::model::{Purpose, cause};
use crate::plan::{Crew, Kept, NONE, OUTSIDE, VolumeId, Where, each_of};
use crate::scenario::{During, Trigger};

/// Hazards per kilometre grow in legs of this length, m: a breakdown lies at the end of its leg.
const LEG: f64 = 1000.0;

impl World<'_> {
    /// A traverse departs: crew cross to the rover, it drives out.
    pub(in crate::campaign) fn depart(&mut self, i: usize) {
        if let Some(t) = self.m.traverses.get(i + 1) {
            self.plan(t.depart, Event::Depart((i + 1) as u16));
        }
        let t = self.m.traverses[i];
        let e = self.arm.activity_from[t.activity as usize];
        if let Some(c) = self.traverse_obstacle(i, e) {
            return self.stand_traverse_down(i, c);
        }
        let port = self.docking_port(e);
        if port == NONE {
            if !self.transfer(e) {
                let why = self.element_cause(e).unwrap_or(cause::AWAY);
                return self.stand_traverse_down(i, why);
            }
            let cabin = self.arm.layout.elements[e as usize].cabin;
            each_of(t.roster).for_each(|p| self.move_person(p, cabin));
            return self.set_off(i, e);
        }
        let list = self.arm.layout.ports[port as usize].undock;
        let hash = self.m.activities[t.activity as usize].hash;
        let address = (hash ^ crate::base::stream::fnv1a64("undock"), u64::from(t.number));
        if !self.begin_crossing(Errand::Undock(i as u16), t.roster, (port, list), address) {
            let why = self.port_trouble(port).unwrap_or(cause::PORT_IN_USE);
            self.stand_traverse_down(i, why);
        }
    }

    /// A traverse does not take place, or no further.
    pub(in crate::campaign) fn stand_traverse_down(&mut self, i: usize, why: u16) {
        self.rovers.stop(i, why);
        self.say(Level::Event, None, |s| {
            format!("traverse {} stands down: {}", i + 1, s.m.causes[why as usize])
        });
    }

    /// Everybody is aboard: the rover drives out.
    pub(in crate::campaign) fn set_off(&mut self, i: usize, e: u16) {
        let t = self.m.traverses[i];
        each_of(t.roster).for_each(|p| self.people.crew[p].busy = Busy::Traverse);
        self.leave_repairs_of(e, t.roster);
        let plan = self.m.activities[t.activity as usize].rover.as_ref();
        let drive = plan.map_or(0.0, |r| r.drive.of(&self.v));
        self.rovers.set_out(e, i as u16);
        self.drive(e, drive, drive);
        self.say(Level::Event, None, |s| {
            format!("{} set out on traverse {}, {:.0} km", s.names(t.roster), i + 1, drive / 1e3)
        });
        self.plan(t.end, Event::ComeHome(i as u16));
        if plan.is_some_and(|r| r.each_day.mean() > 0.0) && t.depart + t.local_day < t.end {
            self.plan(t.depart + t.local_day, Event::Roam(i as u16));
        }
    }

    pub(in crate::campaign) fn traverse_obstacle(&self, i: usize, e: u16) -> Option<u16> {
        let t = self.m.traverses[i];
        if let Some(end) = self.course.ending {
            return Some(end.cause);
        }
        if let Some(w) = self.weather_cause() {
            return Some(w);
        }
        let rover = self.rovers.of(e);
        if rover.stuck || self.rovers.lost(e) {
            return Some(self.element_cause(e).unwrap_or(cause::AWAY));
        }
        if rover.traverse != NONE {
            return Some(self.still_out_why(rover.traverse as usize));
        }
        for p in each_of(t.roster) {
            let c = &self.people.crew[p];
            if self.people.gone & 1 << p != 0 {
                return Some(cause::LEFT);
            }
            if !self.able(p) {
                return Some(c.off_cause);
            }
            match c.busy {
                Busy::Free => {}
                busy => return Some(self.busy_why(busy, p)),
            }
            let l = &self.arm.layout;
            let at = |x: u16, v| x != NONE && self.shirt_sleeve(l.elements[x as usize].cabin, v);
            let joined = l.elements[e as usize].joined;
            let near = |v: VolumeId| joined == NONE || at(joined, v) || at(e, v);
            if !matches!(self.places.person[p].at(), Where::Volume(v) if v != OUTSIDE && near(v)) {
                return Some(self.away_why(p));
            }
        }
        None
    }

    /// Cause behind what is known broken on an element.
    pub(in crate::campaign) fn element_cause(&self, e: u16) -> Option<u16> {
        (0..self.arm.part_modes.len()).find_map(|pm| {
            let part = self.arm.part_modes[pm];
            let here = match part.part {
                crate::model::Part::Element(x) => x == e,
                crate::model::Part::Opening(o) => self.arm.layout.openings[o].element == e,
                _ => false,
            };
            (here && self.parts.struck(pm)).then(|| self.arm.modes[part.mode as usize].cause)
        })
    }

    /// Another day of a traverse: the rover drives on, as far from home as before, unless what is left
    /// of its range is needed for the way back: then it turns home.
    pub(in crate::campaign) fn roam(&mut self, i: usize) {
        let t = self.m.traverses[i];
        let e = self.arm.activity_from[t.activity as usize];
        let Some(plan) = self.m.activities[t.activity as usize].rover.as_ref() else { return };
        let away = self.rovers.of(e).traverse == i as u16;
        if !away || self.rovers.stopped(i).is_some() {
            return;
        }
        if self.now + t.local_day < t.end {
            self.plan(self.now + t.local_day, Event::Roam(i as u16));
        }
        let rover = *self.rovers.of(e);
        if rover.stuck || rover.driving > self.now || self.anybody_out(t.roster) {
            return; // it stays where it is today
        }
        let hash = self.m.activities[t.activity as usize].hash;
        let day = ((self.now - t.depart) / t.local_day).round();
        let what = Purpose::Drive { day: day as u16 };
        let draw = || self.draw_at(hash, u64::from(t.number), what);
        let metres = plan.each_day.value(&self.v, draw);
        let back = (rover.distance - self.numbers.elements[e as usize].distance).abs();
        let range = self.numbers.elements[e as usize].range;
        if rover.driven + metres + back > range {
            self.stand_traverse_down(i, cause::RANGE);
            return self.plan(self.now, Event::ComeHome(i as u16));
        }
        self.drive(e, metres, rover.distance);
        if self.rovers.of(e).stuck {
            return; // that it broke down is told
        }
        let km = self.rovers.of(e).driven / 1e3;
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[e as usize].name;
            format!("{name} drives on, {km:.0} km since it set out")
        });
    }

    /// Somebody of a crew is with a team that is on its way.
    fn anybody_out(&self, crew: Crew) -> bool {
        self.teams.iter().any(|x| x.phase != Phase::Idle && x.members & crew != 0)
    }

    /// The rover drives; hazards per kilometre grow leg by leg. Where it breaks down it stays.
    pub(in crate::campaign) fn drive(&mut self, e: u16, metres: f64, to: f64) {
        let o = Occasion { id: 0, during: During::Egress };
        let from = self.rovers.of(e).distance;
        let mut gone = 0.0;
        while gone < metres && !self.rovers.of(e).stuck {
            let leg = if metres - gone < LEG * 1.001 { metres - gone } else { LEG };
            self.demand(&self.arm.on_element[e as usize], Trigger::Km, leg, o, Dust::None);
            gone = if leg < LEG { metres } else { gone + leg };
        }
        let speed = self.numbers.elements[e as usize].speed.unwrap_or(f64::INFINITY);
        let time = if gone > 0.0 && speed.is_finite() { gone / speed } else { 0.0 };
        let share = if metres > 0.0 { gone / metres } else { 1.0 };
        let until = self.now + time;
        let stands = if share < 1.0 { from + (to - from) * share } else { to };
        self.rovers.drive(e, gone, until, stands);
        if self.rovers.broke_down(e, until) {
            self.broke_down(e);
        }
    }

    /// A rover has broken down on a traverse: its crew have some time to mend it.
    fn broke_down(&mut self, e: u16) {
        let i = self.rovers.of(e).traverse;
        let t = self.m.traverses[i as usize];
        let plan = self.m.activities[t.activity as usize].rover.as_ref();
        let within = plan.map_or(0.0, |r| r.repair_within.of(&self.v));
        let at = self.rovers.of(e).broken_at;
        self.say(Level::Event, None, |s| {
            let r = s.rovers.of(e);
            let name = &s.arm.layout.elements[e as usize].name;
            format!("{name} breaks down {:.0} km from home", r.distance / 1e3)
        });
        self.plan(at + within, Event::ComeHome(i));
    }

    /// The rover comes home as soon as nobody is outside and it drives. One that does not drive is left
    /// when its crew have had their time to mend it.
    pub(in crate::campaign) fn come_home(&mut self, i: usize) {
        let t = self.m.traverses[i];
        let e = self.arm.activity_from[t.activity as usize];
        let rover = *self.rovers.of(e);
        if rover.traverse != i as u16 || self.course.ending.is_some() {
            return;
        }
        let ours = self.at_the_wheel(e) & t.roster;
        if self.anybody_out(t.roster) {
            let again = self.now + LOOK_AGAIN.min(3600.0);
            return self.plan(again, Event::ComeHome(i as u16));
        }
        let base = self.numbers.elements[e as usize].distance;
        let back = (rover.distance - base).abs() <= 1e-9 && rover.driving <= self.now;
        if ours == 0 && !back && !self.arm.elements[e as usize].picks_up {
            return self.stays_out(e); // nobody to drive it
        }
        if rover.stuck && !back {
            return self.wait_or_leave(i, e, ours);
        }
        if self.now < t.end && self.rovers.stopped(i).is_none() {
            return; // mended in time: the traverse goes on
        }
        if rover.driving > self.now {
            return self.plan(rover.driving, Event::ComeHome(i as u16));
        }
        if !back {
            self.drive(e, (rover.distance - base).abs(), base);
            let back = self.rovers.of(e).driving;
            return self.plan(back, Event::ComeHome(i as u16));
        }
        self.rovers.back(e);
        self.dock(e, t.roster);
    }

    /// Persons in the volumes of an element who can get into its cabin.
    pub(in crate::campaign) fn at_the_wheel(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let here = |p: &usize| match self.places.person[*p].at() {
            Where::Volume(v) if v != OUTSIDE && l.volumes[v].element == e => {
                v == cabin || self.shirt_sleeve(cabin, v)
            }
            _ => false,
        };
        (0..l.crew).filter(here).fold(0, |c: Crew, p| c | 1 << p)
    }

    /// Its crew came home without it, or cannot get to its wheel: told once for each traverse.
    fn stays_out(&mut self, e: u16) {
        if !self.rovers.stays_out(e) {
            return;
        }
        let km = self.rovers.of(e).distance / 1e3;
        self.say(Level::Event, None, |s| {
            let l = &s.arm.layout;
            let name = &l.elements[e as usize].name;
            let there = |kept: Kept| match kept {
                Kept::Volume(v) => v != OUTSIDE && l.volumes[v].element == e,
                Kept::Berth(b) => l.ports[l.berths[b].port as usize].element == e,
                Kept::Worn(_) => false,
            };
            let suits = s.places.suit.iter().filter(|x| there(x.kept())).count();
            format!(
                "{name} stays out, {km:.0} km from home with {suits} suits: nobody can drive it"
            )
        });
    }

    /// Who was shut in in a chamber of their rover, or left it for broken down, is at its wheel again: the
    /// traverse goes on, or they drive home. False if it is none of theirs, or does not drive.
    pub(in crate::campaign) fn back_on_traverse(&mut self, e: u16, group: Crew) -> bool {
        let rover = *self.rovers.of(e);
        let Some(t) = self.m.traverses.get(rover.traverse as usize) else { return false };
        let crew = group & t.roster & self.at_the_wheel(e);
        if rover.stuck || crew == 0 {
            return false;
        }
        for p in each_of(crew) {
            self.people.crew[p].busy = Busy::Traverse;
            self.people.crew[p].haven = NONE;
        }
        self.plan(self.now, Event::ComeHome(rover.traverse));
        self.plan(self.now, Event::Look);
        true
    }

    /// A rover that does not drive: its crew go on trying for a while, then look for their way home.
    fn wait_or_leave(&mut self, i: usize, e: u16, crew: Crew) {
        let t = self.m.traverses[i];
        let plan = self.m.activities[t.activity as usize].rover.as_ref();
        let within = plan.map_or(0.0, |r| r.repair_within.of(&self.v));
        let broken = self.rovers.of(e).broken_at;
        if self.now + 1e-6 < broken + within {
            return self.plan(broken + within, Event::ComeHome(i as u16));
        }
        let why = self.element_cause(e).unwrap_or(cause::AWAY);
        if self.rovers.stopped(i).is_none() {
            self.stand_traverse_down(i, why);
        }
        let days = self.numbers.elements[e as usize].haven_days;
        for p in each_of(crew) {
            if self.people.crew[p].busy == Busy::Traverse {
                self.people.crew[p].busy = Busy::Elsewhere;
                self.people.crew[p].haven = e;
                self.people.crew[p].haven_until = broken + days;
                self.plan(self.now, Event::GoHome(p as u8));
            }
        }
        // They may still get it to drive while they wait.
        self.plan(self.now + LOOK_AGAIN, Event::ComeHome(i as u16));
    }
}
