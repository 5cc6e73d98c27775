//! Going home from a haven elsewhere (rule 24).

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Busy;
use crate::campaign::trace::Level;
use crate::campaign::weather::LOOK_AGAIN;
use crate::campaign::world::World;
use crate::numbers::Suit;
use crate::plan::{Crew, Kept, NONE, OUTSIDE, VolumeId, Where, each_of};
use crate::scenario::ElementKind;

impl World<'_> {
    /// After a list: a person who is not at home waits in the haven until they can go (rule 24).
    pub(in crate::campaign) fn look_home(&mut self, p: usize) {
        if self.people.gone & 1 << p != 0 {
            return;
        }
        if self.shut_in(p) {
            return;
        }
        let Where::Volume(v) = self.places.person[p].at() else {
            return;
        };
        let l = &self.arm.layout;
        let home = l.elements[self.people.crew[p].home as usize].cabin;
        if self.shirt_sleeve(home, v) {
            self.people.crew[p].busy = Busy::Free;
            self.people.crew[p].haven = NONE;
            if v != home {
                // Nobody stays in a lock or module that one can walk out of.
                self.move_person(p, home);
            }
            return;
        }
        let e = l.volumes[v].element;
        if e == NONE {
            return;
        }
        if self.rovers.of(e).traverse != NONE && self.people.crew[p].busy == Busy::Traverse {
            let own = l.elements[e as usize].cabin;
            if v != own && self.shirt_sleeve(own, v) {
                self.move_person(p, own); // nor do they in that of their rover
            }
            return;
        }
        self.people.crew[p].busy = Busy::Elsewhere;
        let tried = self.people.crew[p].haven == e;
        if !tried {
            // Who did not get away does not have its days anew.
            let days = self.numbers.elements[e as usize].haven_days;
            self.people.crew[p].haven = e;
            self.people.crew[p].haven_until = self.now + days;
        }
        let rest = self.numbers.rules.rest_least;
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[e as usize].name;
            format!("{} waits in {name} to go home", s.m.crew.names[p])
        });
        // Across a docking hatch nobody needs a suit or a rest.
        let wait = match self.next_door(e, self.people.crew[p].home) != NONE {
            true if tried => 3600.0,
            true => 0.0,
            false => rest,
        };
        self.plan(self.now + wait, Event::GoHome(p as u8));
    }

    /// Goes home by docking, or like a sortie.
    pub(in crate::campaign) fn go_home(&mut self, p: usize) {
        if self.look_at_shut_in(p)
            || self.people.crew[p].busy != Busy::Elsewhere
            || self.nobody_leaves()
        {
            return;
        }
        let Where::Volume(v) = self.places.person[p].at() else {
            return;
        };
        let cabin = self.arm.layout.elements[self.people.crew[p].home as usize].cabin;
        if self.shirt_sleeve(cabin, v) {
            return self.look_home(p);
        }
        let e = self.arm.layout.volumes[v].element;
        let group = self.go_into_the_cabin(e, v);
        if self.walk_next_door(e, group) {
            return;
        }
        let home = self.people.crew[p].home;
        let until = self.people.crew[p].haven_until;
        let forced = self.now >= until;
        if self.back_on_traverse(e, group) {
            return;
        }
        // Whoever brought a rover home stays aboard while somebody is shut in in it, and works the hatch.
        if !forced && self.anybody_shut_in(e) {
            return self.plan(self.now + 3600.0, Event::GoHome(p as u8));
        }
        let door = self.next_door(e, home);
        if door != NONE && self.go_home_docked(p, group, (e, door)) {
            return;
        }
        // At home but behind a hatch that does not open: nobody goes out for that.
        if e == home {
            return self.plan(self.now + LOOK_AGAIN, Event::GoHome(p as u8));
        }
        if let Some(Err(arrives)) = self.sent_rover(e)
            && !forced
        {
            return self.plan(arrives.min(until), Event::GoHome(p as u8));
        }
        // A habitat is no place that one has to leave: they live there until their home opens.
        let lives = forced && self.arm.layout.elements[e as usize].kind == ElementKind::Habitat;
        let rested = self.rested_at(group);
        if !forced && self.now < rested {
            return self.plan(rested.min(until), Event::GoHome(p as u8));
        }
        if (!forced || lives) && self.return_sortie(group, e, home) {
            return;
        }
        if lives {
            return self.live_here(group, e);
        }
        if forced {
            return self.haven_is_over(group, e);
        }
        let next = (self.now + LOOK_AGAIN).min(until.max(self.now + 1.0));
        self.plan(next, Event::GoHome(p as u8));
    }

    /// Who waits in a module whose hatch to a habitat moves waits in the habitat.
    fn walk_next_door(&mut self, e: u16, group: Crew) -> bool {
        let l = &self.arm.layout;
        let kind = |x: u16| l.elements.get(x as usize).map(|x| x.kind);
        let to = l.elements[e as usize].joined;
        let module = kind(e) == Some(ElementKind::Module) && kind(to) == Some(ElementKind::Habitat);
        let first = each_of(group).next().map(|p| self.places.person[p].at());
        let (true, Some(Where::Volume(v))) = (module, first) else { return false };
        let cabin = l.elements[to as usize].cabin;
        if !self.shirt_sleeve(cabin, v) {
            return false;
        }
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[to as usize].name;
            format!("{} go over into {name}", s.names(group))
        });
        each_of(group).for_each(|p| self.move_person(p, cabin));
        each_of(group).for_each(|p| self.look_home(p));
        true
    }

    /// The element that people cross to from one that stands docked: their home, else the one that their rover
    /// stands at, from where there are more ways; [`NONE`] if it does not stand docked.
    pub(in crate::campaign) fn next_door(&self, e: u16, home: u16) -> u16 {
        if self.docked(e, home) {
            return home;
        }
        let element = &self.arm.layout.elements[e as usize];
        let rover = element.kind == ElementKind::Rover && element.joined != NONE;
        if rover && self.docked(e, element.joined) { element.joined } else { NONE }
    }

    /// Their home stays shut: people live in another habitat from now on.
    fn live_here(&mut self, group: Crew, e: u16) {
        for p in each_of(group) {
            let c = &mut self.people.crew[p];
            c.moved_from = if c.moved_from == NONE { c.home } else { c.moved_from };
            (c.home, c.busy, c.haven) = (e, Busy::Free, NONE);
        }
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.elements[e as usize].name;
            format!("{} live in {name} from now on: their home stays shut", s.names(group))
        });
        self.look_around();
    }

    /// Who lives elsewhere because their home was shut goes back as soon as it opens.
    pub(in crate::campaign) fn look_at_old_homes(&mut self) {
        for p in 0..self.arm.layout.crew {
            let c = &self.people.crew[p];
            if c.moved_from == NONE || c.busy != Busy::Free || !self.opens_to(c.moved_from, 1) {
                continue;
            }
            let c = &mut self.people.crew[p];
            c.home = std::mem::replace(&mut c.moved_from, NONE);
            self.say(Level::Event, None, |s| {
                let name = &s.arm.layout.elements[s.people.crew[p].home as usize].name;
                format!("{name} opens again to {}", s.m.crew.names[p])
            });
            self.look_home(p);
        }
    }

    /// A port of an element by which so many could come in: at rest, nothing of it known stuck.
    fn opens_to(&self, e: u16, persons: u32) -> bool {
        let l = &self.arm.layout;
        !self.rovers.lost(e)
            && (0..l.ports.len() as u16).any(|p| {
                let port = &l.ports[p as usize];
                let fine = self.port_trouble(p).is_none() && !self.ports.stands_down(p);
                port.element == e && port.ingress != NONE && fine && self.accepts(p, persons)
            })
    }

    /// Those who wait in a chamber of an element go into its cabin as soon as the hatches between can be
    /// opened; gives who waits with them then.
    fn go_into_the_cabin(&mut self, e: u16, v: VolumeId) -> Crew {
        let group = self.waiting_with(v);
        let own = self.arm.layout.elements[e as usize].cabin;
        if v == own || !self.shirt_sleeve(own, v) {
            return group;
        }
        each_of(group).for_each(|p| self.move_person(p, own));
        self.bring_suits_of(v, own);
        self.say(Level::Event, None, |s| {
            let path = &s.arm.layout.volumes[own].path;
            format!("{} go into {path}", s.names(group))
        });
        // Whoever was shut in there is in now.
        self.look_at_chambers();
        self.waiting_with(own)
    }

    /// Home across the docking hatch of an element that stands docked. True: they are on their way or
    /// wait; false: they have to go by a port like a sortie, because the hatch is stuck and they have
    /// rested, or the days of the haven are over.
    fn go_home_docked(&mut self, p: usize, group: Crew, (e, home): (u16, u16)) -> bool {
        if self.now >= self.people.crew[p].haven_until {
            return self.cross_home(e, group, home);
        }
        let port = self.docking_port(e);
        if port != NONE && !self.ports.free(port) {
            self.plan(self.now + 3600.0, Event::GoHome(p as u8));
            return true;
        }
        let stuck = port != NONE && self.port_trouble(port).is_some();
        let rested = self.now >= self.rested_at(1 << p);
        if stuck && rested && self.return_sortie(group, e, home) {
            return true;
        }
        if self.cross_home(e, group, home) {
            return true;
        }
        let next = (self.now + 3600.0).min(self.people.crew[p].haven_until);
        self.plan(next, Event::GoHome(p as u8));
        true
    }

    /// When the duty limit lets all of a group go out again, s.
    fn rested_at(&self, group: Crew) -> f64 {
        let ended = each_of(group).fold(f64::NEG_INFINITY, |t: f64, p| {
            t.max(self.people.crew[p].last_end) // who comes last rests last
        });
        ended + self.numbers.rules.rest_least
    }

    /// Kinds of the usable suits at hand in an element, and those that a group wears.
    fn suits_at<'a>(&'a self, e: u16, group: Crew) -> impl Iterator<Item = &'a Suit> + 'a {
        let l = &self.arm.layout;
        let here = move |k: Kept| match k {
            Kept::Volume(v) => v != OUTSIDE && l.volumes[v].element == e,
            Kept::Berth(b) => l.ports[l.berths[b].port as usize].element == e,
            Kept::Worn(q) => group & 1 << q != 0,
        };
        let all = self.places.suit.each();
        let mine = all.filter(move |(_, s)| s.usable && here(s.kept()));
        mine.map(|(s, _)| &self.numbers.suits[s])
    }

    /// Would a walk home end within the primary supply of the suits at hand, at mean rates of walking
    /// and of work, with the reserve kept?
    pub(in crate::campaign) fn walk_fits(
        &self,
        crew: Crew,
        e: u16,
        metres: f64,
        target: u16,
    ) -> bool {
        if metres <= 0.0 {
            return true;
        }
        let l = &self.arm.layout;
        let walk = metres / self.mean_walk(crew);
        let ingress = l.ports[target as usize].ingress;
        let n = (crew.count_ones() as usize).min(crate::plan::MAX_CREW);
        let inside = self.arm.lists.get(ingress as usize).map_or(0.0, |list| list.mean_safe[n]);
        let work = self.m.crew.work;
        let rows = inside + self.numbers.rules.reserve;
        let lasts = |kind: &Suit| {
            let there = kind.recharged().after(self.m.crew.walk.mean(), walk);
            there.left(work) - kind.full.secondary >= rows
        };
        self.suits_at(e, crew).all(lasts)
    }

    /// Able persons who wait in the same volume.
    pub(in crate::campaign) fn waiting_with(&self, v: VolumeId) -> Crew {
        (0..self.arm.layout.crew)
            .filter(|q| {
                self.people.crew[*q].busy == Busy::Elsewhere
                    && self.places.person[*q].at() == Where::Volume(v)
            })
            .fold(0, |c, q| c | 1 << q)
    }

    /// The element stands docked (or joined) where one can cross in shirt sleeves.
    pub(in crate::campaign) fn docked(&self, e: u16, home: u16) -> bool {
        let l = &self.arm.layout;
        let there = self.rovers.of(e).traverse == NONE;
        let joined = l.elements[e as usize].joined == home || l.elements[home as usize].joined == e;
        let habitable = self.places.is_habitable(l, l.elements[home as usize].cabin);
        joined && there && habitable && !self.rovers.lost(home)
    }
}
