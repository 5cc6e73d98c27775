//! Conditions (rule 8) as they hold for a team now, with what has been found.

use crate::campaign::world::World;
use crate::physics::gas::GasMass;
use crate::plan::{
    Asked, BerthId, Condition, Crew, Layout, NONE, OUTSIDE, OpeningId, Places, Stuck, VolumeId,
    Where, each_of,
};
use crate::scenario::ElementKind;

impl World<'_> {
    /// Is a condition met as it was written, for a team at a port?
    pub(in crate::campaign) fn met(&self, c: Asked, k: usize, port: u16) -> bool {
        self.condition(c.condition, k, port) != c.not
    }

    /// Does a condition hold for a team at a port, with what has been found?
    pub(in crate::campaign) fn condition(&self, c: Condition, k: usize, port: u16) -> bool {
        let l = &self.arm.layout;
        let host = l.ports[port as usize].element;
        let members = self.teams[k].members;
        match c {
            Condition::ToleratesVacuum(e) => l.elements[e as usize].tolerates_vacuum,
            Condition::OpeningIntact(o, n) => {
                self.instances(o, n, k, port).any(|o| self.opening_intact(o))
            }
            Condition::VolumeIntact(v) => {
                l.volumes[v].openings.iter().all(|o| self.opening_intact(*o))
            }
            Condition::OpeningStuck(o, n) => {
                self.instances(o, n, k, port).any(|o| self.opening_stuck(o))
            }
            Condition::VolumeStuck(v) => {
                l.volumes[v].openings.iter().any(|o| self.opening_stuck(*o))
            }
            Condition::ElementIntact(e) => !self.rovers.lost(e),
            Condition::Opens(o, n) => self.instances(o, n, k, port).any(|o| self.opens(o)),
            Condition::Leaks(o, n) => o.run(n).any(|o| self.known_leak(o)),
            Condition::Dirty(o, n) => o.run(n).any(|o| self.looks_dirty(o)),
            Condition::NobodyIn(v) => self.places.persons_in(v) == 0,
            Condition::AnyoneInside => self.anyone_inside(host) & !members != 0,
            Condition::HelperInside => self.helpers_inside(host) & !members != 0,
            Condition::RescuersInside => self.rescuers_ready(host) >= 2,
            Condition::SuitForEveryoneInside => self.suits_for_inside(host, members),
            Condition::UmbilicalForEveryone => self.umbilicals(port) >= members.count_ones(),
            Condition::GasCovers(v, n) => self.covers(&v[..n as usize]),
            Condition::PortFree => self.port_open_to(k, port) && self.port_trouble(port).is_none(),
            Condition::BerthFree => self.berths_that(port, Places::berth_free) >= 1,
            Condition::BerthEmpty => self.berths_that(port, Places::berth_empty) >= 1,
            Condition::BerthIntact => self.berths_that(port, Places::berth_intact) >= 1,
            Condition::TwoBerthsFree => self.berths_that(port, Places::berth_free) >= 2,
            Condition::PortFitsSuit => self.port_fits(port, members),
            Condition::ClearsSuit(o) => self.clears(o, members),
            Condition::InReach(e) => !self.rovers.lost(e) && self.rovers.of(e).traverse == NONE,
            Condition::RoomAt(e) => self.room_at(e) > 0,
            Condition::RoverDrives => self.rover_at_hand(k).is_some(),
            Condition::RoverManned => l.elements.iter().enumerate().any(|(e, x)| {
                x.kind == ElementKind::Rover && self.inside_of_element(e as u16) != 0
            }),
            Condition::RoverRemote => {
                let rovers = l.elements.iter().zip(self.rovers.all());
                rovers.filter(|x| x.0.kind == ElementKind::Rover).any(|x| !x.1.stuck)
            }
            Condition::Casualty => members & self.people.hurt != 0,
            Condition::NoCasualty => members & self.people.hurt == 0,
            Condition::Daylight => self.dark(self.now).is_none(),
            Condition::AscentVehicle => {
                l.elements.iter().zip(self.rovers.all()).any(|(x, r)| x.ascent && !r.lost)
            }
            Condition::InTime => true,
        }
    }

    pub(in crate::campaign) fn opening_intact(&self, o: OpeningId) -> bool {
        let s = &self.places.opening[o];
        !(s.known && s.stuck != Stuck::Free)
    }

    /// Nothing known keeps it shut.
    fn opens(&self, o: OpeningId) -> bool {
        let s = &self.places.opening[o];
        !(s.known && s.stuck == Stuck::Shut)
    }

    /// Known stuck, or known not to hold.
    fn opening_stuck(&self, o: OpeningId) -> bool {
        !self.opening_intact(o) || self.known_leak(o)
    }

    /// The instances of an opening that a condition speaks of: those of the berths where the team
    /// hangs, else all of them.
    fn instances(
        &self,
        o: OpeningId,
        n: u8,
        k: usize,
        port: u16,
    ) -> impl Iterator<Item = OpeningId> {
        let berths = &self.arm.layout.ports[port as usize].berths;
        let mut mine = 0_u64;
        if n > 1 {
            for p in each_of(self.teams[k].members) {
                match self.places.person[p].at() {
                    Where::Berth(b) if berths.contains(&b) => {
                        mine |= 1 << (b.at() - berths[0].at())
                    }
                    _ => {}
                }
            }
        }
        let kept = move |i: &u16| mine == 0 || mine & 1 << i != 0;
        (0..u16::from(n)).filter(kept).map(move |i| o.nth(i))
    }

    pub(in crate::campaign) fn anyone_inside(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        (0..l.crew)
            .filter(|p| {
                matches!(self.places.person[*p].at(), Where::Volume(v) if v != OUTSIDE && self.places.joined(l, cabin, v))
            })
            .fold(0, |c, p| c | 1 << p)
    }

    /// Everybody inside can reach a usable suit; a person incapacitated there cannot put one on.
    pub(in crate::campaign) fn suits_for_inside(&self, e: u16, members: Crew) -> bool {
        let l = &self.arm.layout;
        let inside = self.anyone_inside(e) & !members;
        let unsuited: Crew = each_of(inside)
            .filter(|p| self.places.person[*p].suit.is_none())
            .fold(0, |c, p| c | 1 << p);
        if unsuited & self.people.hurt != 0 {
            return false;
        }
        let suits = self.places.stowed(l, l.elements[e as usize].cabin).count();
        suits >= unsuited.count_ones() as usize
    }

    /// Persons that the umbilicals of a port serve which work.
    fn umbilicals(&self, port: u16) -> u32 {
        let works = |i: usize, s: &crate::plan::Stage| {
            s.port == port
                && s.kind == crate::scenario::StageKind::Umbilical
                && !self.known_lost(self.faults.stage_lost(i))
        };
        let stages = self.arm.layout.stages.iter().enumerate();
        stages.filter(|(i, s)| works(*i, s)).fold(0, |n: u32, (_, s)| n.saturating_add(s.serves))
    }

    /// What was lost of a part (its part mode, or none) is known.
    fn known_lost(&self, by: Option<u16>) -> bool {
        by.is_some_and(|pm| self.parts.known(pm as usize))
    }

    /// The port of a list can be made ready (rule 4): nobody is in the chamber that is emptied, and somebody
    /// inside closes what stands open behind it.
    pub(in crate::campaign) fn can_ready(&self, id: u16) -> bool {
        let l = &self.arm.layout;
        let ready = self.arm.lists[id as usize].ready;
        if ready.is_none() || self.places.pressure(ready) <= self.vacuum() {
            return true;
        }
        let behind = |o: &OpeningId| {
            let inner = l.across(*o, ready).is_some_and(|v| v != OUTSIDE);
            inner && self.places.opening[*o].open
        };
        let e = l.ports[l.lists[id as usize].port as usize].element;
        let closed = !l.volumes[ready].openings.iter().any(behind);
        self.places.persons_in(ready) == 0 && (closed || self.suited_inside(e) != 0)
    }

    /// The stores fill all these volumes from ambient to their pressures at rest.
    pub(in crate::campaign) fn covers(&self, volumes: &[VolumeId]) -> bool {
        let l = &self.arm.layout;
        let need = |v: VolumeId| {
            let rise = l.volumes[v].rest - l.ambient;
            let t = self.numbers.volumes[v].temperature;
            let free = self.numbers.volumes[v].gas;
            crate::physics::gas::content(rise, free, self.air.gas.mix(v), t)
        };
        volumes.iter().all(|v| {
            let s = self.air.gas.store_of(*v);
            if s == NONE {
                return true;
            }
            let fed = volumes.iter().filter(|w| self.air.gas.store_of(**w) == s);
            let (oxygen, nitrogen) = fed.fold((0.0, 0.0), |sum, w| {
                let x = need(*w);
                (sum.0 + x.oxygen, sum.1 + x.nitrogen)
            });
            self.air.gas.holds(s, GasMass { oxygen, nitrogen })
        })
    }

    /// How many berths of a port are as asked.
    fn berths_that(&self, port: u16, is: impl Fn(&Places, &Layout, BerthId) -> bool) -> usize {
        let l = &self.arm.layout;
        l.ports[port as usize].berths.iter().filter(|b| is(&self.places, l, **b)).count()
    }

    /// The suits of a team can mate here: they have a back for it that is not too wide, and take the
    /// pressure.
    pub(in crate::campaign) fn port_fits(&self, port: u16, members: Crew) -> bool {
        let l = &self.arm.layout;
        let cabin = l.elements[l.ports[port as usize].element as usize].cabin;
        let difference = l.volumes[cabin].rest - l.ambient;
        let berths = &l.ports[port as usize].berths;
        if berths.is_empty() {
            return true;
        }
        let wide = |b: &BerthId| self.clears(l.berths[*b].interface, members);
        berths.iter().any(wide)
            && each_of(members).all(|p| match self.suit_kind(p) {
                Some((_, kind)) => kind.port_limit.is_some_and(|x| x >= difference),
                None => true,
            })
    }

    pub(in crate::campaign) fn clears(&self, o: OpeningId, members: Crew) -> bool {
        let Some(clear) = self.arm.openings[o].clear else {
            return true;
        };
        let clear = clear.of(&self.v);
        each_of(members).all(|p| match self.suit_kind(p) {
            Some((_, kind)) => kind.width <= clear,
            None => true,
        })
    }

    /// Haven places of an element less the people now in it.
    pub(in crate::campaign) fn room_at(&self, e: u16) -> i32 {
        let l = &self.arm.layout;
        i32::from(l.elements[e as usize].haven_people)
            - self.places.persons_in(l.elements[e as usize].cabin).count_ones() as i32
    }
}
