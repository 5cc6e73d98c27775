//! The walk or ride home from another element.

use crate::campaign::agenda::Event;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::plan::{ANY, Crew, NONE, each_of};
use crate::scenario::By;

impl World<'_> {
    /// Returns like a sortie: out by a port of the haven, in by a port at home.
    pub(in crate::campaign) fn return_sortie(&mut self, crew: Crew, e: u16, home: u16) -> bool {
        let l = &self.arm.layout;
        let able = each_of(crew).filter(|p| self.able(*p)).fold(0, |c: Crew, p| c | 1 << p);
        if able == 0 {
            return false;
        }
        let fine = |p: &u16| self.port_trouble(*p).is_none() && !self.ports.stands_down(*p);
        let of =
            |x: u16| (0..l.ports.len() as u16).filter(move |p| l.ports[*p as usize].element == x);
        let out = of(e).find(|p| {
            l.ports[*p as usize].egress != NONE
                && fine(p)
                && self.ports.free(*p)
                && self.egress_list(*p, able.count_ones(), ANY) != NONE
        });
        let mut into = of(home).filter(|p| l.ports[*p as usize].ingress != NONE);
        let target = into.find(|p| fine(p) && self.accepts(*p, able.count_ones()));
        let (Some(out), Some(target)) = (out, target) else {
            return false;
        };
        if self.weather_now() {
            return false;
        }
        let distance = self.rovers.between(e, home);
        let ride = match self.sent_rover(e) {
            Some(Ok(x)) => x,
            _ => NONE,
        };
        if ride == NONE && !self.walk_fits(able, e, distance, target) {
            self.call_rover(e, distance, able);
            return false;
        }
        let Some(k) = self.new_team(Errand::Return, able) else {
            return false;
        };
        let t = &mut self.teams[k];
        t.trip.rides = ride;
        t.back.contingency = true;
        t.home_port = target;
        t.trip.distance = distance;
        t.leg.path = crate::base::stream::fnv1a64("return");
        t.leg.occasion = self.now as u64;
        let list = self.egress_list(out, able.count_ones(), ANY);
        self.hold_port(k, out);
        for p in each_of(able) {
            self.people.crew[p].duty_start = self.now;
            self.places.person[p].kind = ANY; // whatever suit there is
        }
        self.say(Level::Event, None, |s| format!("{} set out for home", s.names(able)));
        self.begin_out(k, list);
        self.resume(k);
        true
    }

    /// Too far to walk: a rover that drives without a crew is sent, if there is one.
    pub(in crate::campaign) fn call_rover(&mut self, e: u16, metres: f64, crew: Crew) {
        if self.rovers.of(e).traverse == NONE || self.sent_rover(e).is_some() {
            return;
        }
        if let Some(arrives) = self.send_rover(e, metres) {
            each_of(crew).for_each(|p| self.plan(arrives, Event::GoHome(p as u8)));
        }
    }

    /// A port with berths takes as many as are free.
    pub(in crate::campaign) fn accepts(&self, port: u16, persons: u32) -> bool {
        let l = &self.arm.layout;
        let berths = &l.ports[port as usize].berths;
        let free = berths.iter().filter(|b| self.places.berth_free(l, **b)).count();
        berths.is_empty() || free >= persons as usize
    }

    /// The rover that fetches people drives home with them outside on it: their mean speed, m/s. If it
    /// breaks down they walk the rest.
    pub(in crate::campaign) fn ride_home(&mut self, x: u16, metres: f64, walk: f64) -> f64 {
        let base = self.numbers.elements[x as usize].distance;
        let began = self.rovers.of(x).driven;
        self.drive(x, metres, base);
        self.rovers.has_fetched(x);
        let r = self.rovers.of(x);
        let ridden = r.driven - began;
        let time = r.driving - self.now + (metres - ridden) / walk;
        if time > 0.0 { metres / time } else { walk }
    }

    /// After egress from the haven: the way home.
    pub(in crate::campaign) fn walk_home(&mut self, k: usize) {
        use crate::campaign::owner::metabolic::Doing;
        let members = self.teams[k].members;
        let walk = self.pace(k, members, By::Foot);
        let (speed, doing) = match self.teams[k].trip.rides {
            NONE => (walk, Doing::Walk),
            x => (self.ride_home(x, self.teams[k].trip.distance, walk), Doing::Ride),
        };
        self.set_doing(k, members, doing);
        let t = &mut self.teams[k];
        t.trip.speed = speed;
        t.trip.back_speed = speed;
        t.trip.far = t.trip.distance;
        t.phase = Phase::Walking;
        t.leg.end = self.now + if t.trip.distance > 0.0 { t.trip.distance / speed } else { 0.0 };
        let end = self.teams[k].leg.end;
        if end <= self.now {
            return self.at_the_door(k);
        }
        self.plan_team(k, end);
    }
}
