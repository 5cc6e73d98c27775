//! The days of a haven elsewhere are over (rule 24). From that moment everybody who sits there lives on the
//! suits that are at hand: a demand opens for each. Home is tried first, then any other element with
//! room, on foot; ways back that start in the cabin; and whatever opens before the supply ends.

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Spent;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::cause;
use crate::plan::{ANY, Crew, Kept, NONE, OUTSIDE, SuitId, Where, each_of};

/// They look this often whether a way has opened, s.
const LOOK: f64 = 1800.0;

impl World<'_> {
    /// Opens the demands. Who has no suit is missed at once.
    pub(in crate::campaign) fn haven_is_over(&mut self, group: Crew, e: u16) {
        let Some(k) = self.new_team(Errand::Return, group) else {
            // All teams are busy: a little later.
            let first = group.trailing_zeros();
            return self.plan(self.now + 60.0, Event::GoHome(first as u8));
        };
        let ports = &self.arm.layout.ports;
        let home = self.people.crew[group.trailing_zeros() as usize].home;
        let port = ports.iter().position(|p| p.element == e).unwrap_or(0) as u16;
        let t = &mut self.teams[k];
        (t.back.contingency, t.home_port, t.port) = (true, port, port);
        (t.leg.path, t.leg.occasion) =
            (crate::base::stream::fnv1a64("haven is over"), self.now as u64);
        (t.leg.t, t.phase, t.back.planned_tried) = (self.now, Phase::Stranded, true);
        let broke = self.element_cause(e).or_else(|| self.element_cause(home));
        self.teams[k].back.trouble = broke.unwrap_or(cause::AWAY);
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[e as usize].name;
            format!("the days of {name} are over: {} live on the suits there", s.names(group))
        });
        let mut taken = 0u64;
        for p in each_of(group) {
            self.freed(p); // who came out of a chamber just now has met the demand before this one
            if self.people.crew[p].clock.open {
                // Sits in a suit in a cabin that was about to be emptied: has a demand already.
                let suit = self.places.person[p].suit;
                self.people.crew[p].spent = suit.some().map(|suit| Spent { haven: e, suit });
                continue;
            }
            self.books.out.facts.add(Fact::HavenDemands, 1.0);
            let Some(suit) = self.suit_at_hand(e, taken) else {
                self.miss(k, p);
                continue;
            };
            taken |= 1 << suit.at();
            let kind = &self.numbers.suits[suit];
            let support = kind.recharged();
            let power = self.metabolic(k, p, crate::campaign::owner::metabolic::Doing::Rest);
            self.people.crew[p].spent = Some(Spent { haven: e, suit });
            let clock = self.people.open_clock(p);
            clock.support = support;
            (clock.since, clock.started, clock.power) = (self.now, self.now, power);
            (clock.spent, clock.ran) = (0.0, 0.0);
            self.breathe_on(1 << p, self.now);
        }
        if self.teams[k].members == 0 {
            return self.teams[k].clear();
        }
        self.teams[k].batch = self.teams[k].members;
        self.try_ways(k);
    }

    /// A usable suit in an element, in a volume or at a berth, that is nobody's yet.
    fn suit_at_hand(&self, e: u16, taken: u64) -> Option<SuitId> {
        let l = &self.arm.layout;
        let here = |kept: Kept| match kept {
            Kept::Volume(v) => v != OUTSIDE && l.volumes[v].element == e,
            Kept::Berth(b) => l.ports[l.berths[b].port as usize].element == e,
            Kept::Worn(_) => false,
        };
        let fits = |(s, state): &(SuitId, &crate::plan::SuitState)| {
            state.usable && here(state.kept()) && s.at() < 64 && taken >> s.at() & 1 == 0
        };
        self.places.suit.each().find(fits).map(|(s, _)| s)
    }

    /// Sits in an element whose days are over: it is no haven any more.
    pub(in crate::campaign) fn in_spent_haven(&self, p: usize) -> bool {
        let Some(spent) = self.people.crew[p].spent else { return false };
        match self.places.person[p].at() {
            Where::Volume(v) => v != OUTSIDE && self.arm.layout.volumes[v].element == spent.haven,
            Where::Berth(b) => {
                let port = self.arm.layout.berths[b].port;
                self.arm.layout.ports[port as usize].element == spent.haven
            }
            Where::Gone => false,
        }
    }

    /// Are the days over that a person had in this element?
    pub(in crate::campaign) fn is_spent(&self, p: usize, e: u16) -> bool {
        self.people.crew[p].spent.is_some_and(|s| s.haven == e)
    }

    /// When a team that sits there looks again; infinite for others.
    pub(in crate::campaign) fn looks_again_at(&self, k: usize) -> f64 {
        let sits = each_of(self.teams[k].members).any(|p| self.in_spent_haven(p));
        if sits { self.now + LOOK } else { f64::INFINITY }
    }

    /// A team that sits in a spent haven crosses home, or sets out for home or the next haven that it can
    /// reach. True: they are on their way.
    pub(in crate::campaign) fn leaves_spent_haven(&mut self, k: usize) -> bool {
        let members = self.teams[k].members;
        let Some(first) = each_of(members).next() else { return false };
        let Some(Spent { haven: e, .. }) = self.people.crew[first].spent else { return false };
        if !each_of(members).all(|p| self.in_spent_haven(p)) || self.at_berths(members) != 0 {
            return false;
        }
        let home = self.people.crew[first].home;
        let beside = self.next_door(e, home);
        if beside != NONE && self.crosses_at_last(k, e, beside) {
            return true;
        }
        self.gather_inside(k, e);
        let Some(out) = self.door_out(e, members) else { return false };
        let mut next: Option<(bool, f64, u16, u16)> = None;
        for x in 0..self.arm.layout.elements.len() as u16 {
            let Some((into, metres)) = self.haven_at(x, e, home, members) else { continue };
            let this = (!self.walk_lasts(members, metres), metres, x, into);
            if next.is_none_or(|n| (this.0, this.1) < (n.0, n.1)) {
                next = Some(this);
            }
        }
        let next = next.or_else(|| self.to_a_shut_door(k, e, home));
        let Some((_, metres, x, into)) = next else { return false };
        self.ports.errand_later(out, self.now + LOOK);
        self.release_quietly(k);
        let ride = self.sent_rover(e).filter(|_| x == home).and_then(Result::ok);
        let t = &mut self.teams[k];
        (t.home_port, t.trip.distance, t.back.way, t.back.planned_tried) =
            (into, metres, NONE, false);
        (t.leg.path, t.leg.occasion) = (crate::base::stream::fnv1a64("return"), self.now as u64);
        (t.back.aborted, t.trip.rides) = (false, ride.unwrap_or(NONE));
        self.hold_port(k, out);
        for p in each_of(members) {
            self.people.crew[p].duty_start = self.now;
            self.places.person[p].kind = ANY; // whatever suit there is
        }
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[x as usize].name;
            format!("{} set out for {name}, {:.1} km", s.names(members), metres / 1e3)
        });
        let list = self.egress_list(out, members.count_ones(), ANY);
        self.begin_out(k, list);
        self.resume(k);
        true
    }

    /// Half of the supply is gone and no door is known to open: home all the same, where ways back may
    /// start at the door.
    fn to_a_shut_door(&self, k: usize, e: u16, home: u16) -> Option<(bool, f64, u16, u16)> {
        let (ports, members) = (&self.arm.layout.ports, self.teams[k].members);
        let half = |p: usize| {
            let full = self.supplies(p).map_or(0.0, |kind| kind.recharged().left(self.m.crew.work));
            self.worth(p) <= full / 2.0
        };
        let into =
            (0..ports.len()).find(|i| ports[*i].element == home && ports[*i].ingress != NONE)?;
        let [from, to] = [e, home].map(|i| self.rovers.of(i).distance);
        let goes = home != e && each_of(members).any(half);
        goes.then_some((false, (from - to).abs(), home, into as u16))
    }

    /// Suits come off and everybody is in the cabin, where the list that leads out begins.
    fn gather_inside(&mut self, k: usize, e: u16) {
        let (members, port) = (self.teams[k].members, self.teams[k].home_port);
        let cabin = self.arm.layout.elements[e as usize].cabin;
        for p in each_of(members) {
            if self.places.person[p].suit.is_some() {
                self.book_supply(p, port);
            }
        }
        self.undress(members);
        for p in each_of(members) {
            if let Where::Volume(v) = self.places.person[p].at()
                && v != cabin
                && self.shirt_sleeve(cabin, v)
            {
                self.move_person(p, cabin);
            }
        }
    }

    /// A port of the element that lets all of them out as things are known, and was not tried just now.
    fn door_out(&self, e: u16, crew: Crew) -> Option<u16> {
        let ports = &self.arm.layout.ports;
        (0..ports.len() as u16).find(|p| {
            let port = &ports[*p as usize];
            port.element == e
                && port.egress != NONE
                && self.port_trouble(*p).is_none()
                && !self.ports.stands_down(*p)
                && self.ports.free(*p)
                && self.ports.may_leave_on_errand(*p, self.now)
                && self.egress_list(*p, crew.count_ones(), ANY) != NONE
        })
    }

    /// A port into an element where all of them may stay, and how far it is. Home has room for its own.
    fn haven_at(&self, x: u16, e: u16, home: u16, crew: Crew) -> Option<(u16, f64)> {
        let l = &self.arm.layout;
        let n = crew.count_ones();
        let room = x == home || self.room_at(x) >= n as i32;
        let cabin = l.elements[x as usize].cabin;
        if x == e || !room || self.rovers.lost(x) || !self.places.is_habitable(l, cabin) {
            return None;
        }
        let into = (0..l.ports.len() as u16).find(|p| {
            let port = &l.ports[*p as usize];
            let fine = self.port_trouble(*p).is_none() && !self.ports.stands_down(*p);
            port.element == x && port.ingress != NONE && fine && self.accepts(*p, n)
        })?;
        let [from, to] = [e, x].map(|i| self.rovers.of(i).distance);
        Some((into, (from - to).abs()))
    }

    /// Does what everybody has left last for a walk at the mean rate?
    fn walk_lasts(&self, crew: Crew, metres: f64) -> bool {
        let takes = metres / self.mean_walk(crew);
        let walk = self.m.crew.walk.mean();
        each_of(crew).all(|p| self.supply(p).after(walk, takes).left(walk) > 0.0)
    }

    /// Home across the docking hatch, once it moves.
    fn crosses_at_last(&mut self, k: usize, e: u16, home: u16) -> bool {
        let members = self.teams[k].members;
        let port = self.docking_port(e);
        let free = port == NONE || self.ports.free(port) && self.port_trouble(port).is_none();
        if !free || port == NONE && !self.transfer(e) {
            return false;
        }
        if port == NONE {
            let cabin = self.arm.layout.elements[home as usize].cabin;
            each_of(members).for_each(|p| self.move_person(p, cabin));
            self.close_where_safe(k);
            self.arrive_home(k);
            return true;
        }
        // The demand goes on with those who cross.
        self.teams[k].clear();
        if !self.cross_home(e, members, home) {
            self.find_strays();
        }
        true
    }
}
