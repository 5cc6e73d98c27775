//! Getting from element to element without a suit: docking and crossing.
//!
//! An element with a port that has `list.dock` and `list.undock` crosses by their rows: hatches are
//! opened and shut, the space between them is filled and, when the element leaves, vented; time is
//! upkeep. Without such a port the docking hatches of the element are asked once per transfer and
//! nothing else happens.

use crate::campaign::owner::gas::{Entry, Fate};
use crate::campaign::owner::parts::{Dust, Occasion};
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::Errand;
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::{GasCause, UpkeepCause, cause};
use crate::physics::gas::GasMass;
use crate::plan::{Crew, NONE, VolumeId, Where, each_of};
use crate::scenario::{During, Trigger};

impl World<'_> {
    /// The port by which an element docks; [`NONE`] if it crosses without rows.
    pub(in crate::campaign) fn docking_port(&self, e: u16) -> u16 {
        let ports = &self.arm.layout.ports;
        let docks = ports.iter().position(|p| p.element == e && p.dock != NONE);
        docks.map_or(NONE, |p| p as u16)
    }

    /// A crew begins to cross by the rows of a docking port; false if it is in use, or, on the
    /// way out, known stuck or not to be walked from here. On the way home rows are tried as far as they go.
    pub(in crate::campaign) fn begin_crossing(
        &mut self,
        errand: Errand,
        crew: Crew,
        (port, list): (u16, u16),
        address: (u64, u64),
    ) -> bool {
        // Who wants to come home tries a stuck hatch again; nobody leaves through one.
        let sound = errand == Errand::Dock || self.port_trouble(port).is_none();
        if !self.ports.free(port) || !sound || crew == 0 {
            return false;
        }
        if errand == Errand::Dock && !self.gas_for(list) {
            self.host_gives(self.arm.layout.ports[port as usize].element);
        }
        let before = each_of(crew).next().map_or(Busy::Free, |p| self.people.crew[p].busy);
        let Some(k) = self.new_team(errand, crew) else { return false };
        if errand != Errand::Dock && !self.dry_from(k, list, 0) {
            each_of(crew).for_each(|p| self.people.crew[p].busy = before);
            self.teams[k].clear();
            return false;
        }
        let t = &mut self.teams[k];
        (t.leg.path, t.leg.occasion) = address;
        t.home_port = port;
        self.hold_port(k, port);
        self.enter_list(k, list, 0);
        self.resume(k);
        true
    }

    /// The store of an element that has come back does not fill its tunnel: whoever is at home opens the lines
    /// between the two before anybody crosses.
    fn host_gives(&mut self, e: u16) {
        let l = &self.arm.layout;
        let host = l.host(e).map(|cabin| l.volumes[cabin].element);
        if host.is_some_and(|host| self.helpers_inside(host) != 0) {
            self.top_up(e);
        }
    }

    /// The rows of a crossing are done: whoever crossed is where they wanted to be.
    pub(in crate::campaign) fn crossed(&mut self, k: usize) {
        self.now = self.teams[k].leg.t;
        let (errand, members) = (self.teams[k].errand, self.teams[k].members);
        let e = self.arm.layout.ports[self.teams[k].port as usize].element;
        self.book_crossing(k);
        self.free_members(k);
        self.release_port(k);
        self.teams[k].clear();
        match errand {
            Errand::Undock(i) => {
                self.carry_suits(true);
                self.part_from_host(e);
                self.set_off(i as usize, e);
                self.look_around();
            }
            _ => {
                self.say(Level::Event, None, |s| {
                    let name = &s.arm.layout.elements[e as usize].name;
                    format!("{} come over from {name}", s.names(members))
                });
                self.top_up(e);
                self.carry_suits(true);
                each_of(members).for_each(|p| self.look_home(p));
                self.look_around();
            }
        }
    }

    /// The hatches part: what is left between them goes.
    fn part_from_host(&mut self, e: u16) {
        let port = self.docking_port(e);
        let l = &self.arm.layout;
        let entry = Entry { port, contingency: false, planned: false };
        for v in &l.ports[port as usize].volumes {
            self.places.press(*v, l.ambient);
            self.settle_volume(*v, Fate::Lost(GasCause::Rest), entry);
            self.refresh_if_changed(*v);
        }
    }

    pub(in crate::campaign) fn book_crossing(&mut self, k: usize) {
        let t = &self.teams[k];
        let spent = t.out.elapsed * f64::from(t.members.count_ones());
        self.upkeep(UpkeepCause::Docking, spent);
    }

    /// A crossing was given up: a traverse does not start. People are where they were left; those who
    /// are not at home look for their way later.
    pub(in crate::campaign) fn crossing_over(&mut self, k: usize) {
        match self.teams[k].errand {
            Errand::Undock(i) => {
                let t = &self.teams[k];
                let why = if t.back.has_cause { t.back.cause } else { cause::AWAY };
                self.rovers.stop(usize::from(i), why);
                self.say(Level::Event, None, |s| {
                    format!("traverse {} does not start: {}", i + 1, s.m.causes[why as usize])
                });
            }
            Errand::Dock => {}
            _ => return,
        }
        self.book_crossing(k);
    }

    /// Crossing home from an element that stands docked; true if people are on their way or over.
    pub(in crate::campaign) fn cross_home(&mut self, e: u16, group: Crew, home: u16) -> bool {
        let port = self.docking_port(e);
        if port == NONE {
            let fine = self.transfer(e);
            if fine {
                self.move_over(group, home);
            }
            return fine;
        }
        let list = self.arm.layout.ports[port as usize].dock;
        let address = (crate::base::stream::fnv1a64("dock"), self.now as u64);
        self.begin_crossing(Errand::Dock, group, (port, list), address)
    }

    /// Asks the docking openings of an element; false if one of them is stuck.
    pub(in crate::campaign) fn transfer(&mut self, e: u16) -> bool {
        let arm = self.arm;
        let o = Occasion { id: 0, during: During::WayBack };
        let mut fine = true;
        for (i, opening) in arm.layout.openings.each() {
            if opening.element == e && opening.docking {
                self.demand(&arm.on_opening[i], Trigger::Transfer, 1.0, o, Dust::None);
                if let Some(pm) = self.faults.stuck_by(i) {
                    self.find(pm as usize);
                    fine = false;
                }
            }
        }
        fine
    }

    pub(in crate::campaign) fn move_over(&mut self, crew: Crew, to: u16) {
        let cabin = self.arm.layout.elements[to as usize].cabin;
        for p in each_of(crew) {
            self.move_person(p, cabin);
            self.people.crew[p].busy = Busy::Free;
            if self.people.crew[p].home != to {
                self.look_home(p);
            }
        }
        self.look_around();
    }

    /// Somebody has come to a place or left it without a row: persons displace gas, the store behind the
    /// volume makes up the difference.
    pub(in crate::campaign) fn displaced(&mut self, place: Where) {
        if let Where::Volume(v) = place {
            let e = Entry { port: NONE, contingency: false, planned: false };
            self.settle_volume(v, Fate::Transfer, e);
        }
    }

    /// A person crosses in shirt sleeves, without rows.
    pub(in crate::campaign) fn move_person(&mut self, p: usize, cabin: VolumeId) {
        let was = self.places.person[p].at();
        self.places.stand(p, Where::Volume(cabin));
        self.displaced(was);
        self.displaced(Where::Volume(cabin));
        if self.sky.shelter_asked() {
            self.look_at_shelter();
        }
        self.breathe_on(1 << p, self.now);
        self.breathe_here(p);
    }

    /// The element is back: its crew cross by docking, or wait aboard to come home like a sortie.
    pub(in crate::campaign) fn dock(&mut self, e: u16, roster: Crew) {
        let aboard = self.at_the_wheel(e) & roster;
        each_of(aboard).for_each(|p| self.people.crew[p].busy = Busy::Free);
        let Some(first) = each_of(aboard).next() else { return self.look_around() };
        let home = self.people.crew[first].home;
        self.say(Level::Event, None, |s| format!("{} are back from the traverse", s.names(aboard)));
        if self.anybody_shut_in(e) {
            // They stay and work the hatch from this side.
        } else if self.docking_port(e) == NONE {
            if self.transfer(e) {
                self.top_up(e);
                self.move_over(aboard, home);
            }
        } else if self.cross_home(e, aboard, home) {
            return;
        }
        each_of(aboard).for_each(|p| self.look_home(p));
        self.look_around();
    }

    /// A store that is filled from another one gets back what it held at the start, as far as the other
    /// has it. A transfer is no loss.
    pub(in crate::campaign) fn top_up(&mut self, e: u16) {
        let s = self.arm.layout.elements[e as usize].store;
        let Some(store) = self.m.stores.get(s as usize) else { return };
        let Some(from) = store.filled_from else { return };
        self.settle_all_leaks();
        let full =
            GasMass { oxygen: store.oxygen.of(&self.v), nitrogen: store.nitrogen.of(&self.v) };
        let (from, to) = (usize::from(from), usize::from(s));
        let (has, other) = (self.air.gas.store(to), self.air.gas.store(from));
        let give = |full: f64, has: f64, other: f64| (full - has).min(other).max(0.0);
        let gas = GasMass {
            oxygen: give(full.oxygen, has.oxygen, other.oxygen),
            nitrogen: give(full.nitrogen, has.nitrogen, other.nitrogen),
        };
        self.air.gas.carry(from, to, gas);
        self.feed_again(to);
        if let Some(full) = store.water {
            // Suits may owe it some: it is below zero then. The other may hold no end of it.
            let water = give(full.of(&self.v), self.air.gas.water(to), self.air.gas.water(from));
            self.air.gas.carry_water(from, to, water);
        }
        self.say(Level::Event, None, |x| {
            let kg = gas.oxygen + gas.nitrogen;
            format!("store {} takes {kg:.1} kg of gas", x.m.stores[to].name)
        });
    }
}
