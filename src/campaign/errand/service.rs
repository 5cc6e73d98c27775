//! Service cycles and suit maintenance (rule 15): planned lists with conditions, not begun through an
//! opening known stuck; whoever maintains suits is busy, in that volume, and breathes there.

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase, TEAMS};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::UpkeepCause;
use crate::plan::{Crew, NONE, OUTSIDE, On, Row, Stuck, VolumeId, Where, WhoSel, each_of};
use crate::scenario::{Action, Who};

/// An errand that was given up is begun again after this, s.
const ERRAND_AGAIN: f64 = 86_400.0;

impl World<'_> {
    /// Could a service list of a port be begun as things are known: no opening of it stuck, nobody in
    /// a volume that it empties?
    pub(in crate::campaign) fn service_passable(&self, list: u16) -> bool {
        let l = &self.arm.layout;
        let rows = l.lists.get(list as usize).map_or(&[][..], |x| &x.rows);
        rows.iter().all(|r| match (r.action, r.on) {
            (Action::Open | Action::Close | Action::Pass, On::Opening(o, n)) => {
                o.run(n.max(1)).all(|o| {
                    let state = &self.places.opening[o];
                    !state.known || state.stuck == Stuck::Free
                })
            }
            (Action::Vent | Action::Depress, On::Volumes(v, n)) => {
                let own = |v: VolumeId| l.volumes[v].port == NONE;
                let mut emptied = v[..n as usize].iter().filter(|v| own(**v));
                emptied.all(|v| !self.at_service().any(|p| self.place_of(p) == Some(*v)))
            }
            _ => true,
        })
    }

    /// Would a list that so many of an element begin empty a volume while somebody who stays in it is not in a
    /// suit, and no row before puts one on them, or too few are at hand (rules 14, 15)?
    pub(in crate::campaign) fn bares_somebody(&self, list: u16, team: u32) -> bool {
        let l = &self.arm.layout;
        let Some(x) = l.lists.get(list as usize) else { return false };
        let cabin = l.elements[l.ports[x.port as usize].element as usize].cabin;
        let bare = |v: VolumeId| {
            let here = each_of(self.places.persons_in(v));
            here.filter(|p| self.places.person[*p].suit.is_none()).fold(0, |c: Crew, p| c | 1 << p)
        };
        x.rows.iter().enumerate().any(|(i, r)| {
            let (Action::Vent | Action::Depress, On::Volumes(vs, n)) = (r.action, r.on) else {
                return false;
            };
            let full = |v: &&VolumeId| self.places.pressure(**v) > l.level(r, **v);
            vs[..n as usize].iter().filter(full).any(|v| {
                let (here, go) = (bare(*v), if *v == cabin { team } else { 0 });
                let stay = here.count_ones().saturating_sub(go);
                let suited = x.rows[..i].iter().any(puts_suits_on_all);
                let suits = self.places.stowed(l, *v).count() as u32;
                stay > 0 && (!suited || here & self.people.hurt != 0 || suits < go + stay)
            })
        })
    }

    /// Do the conditions of a service list hold for a team?
    pub(in crate::campaign) fn service_needs(&self, k: usize, list: u16) -> bool {
        let needs = &self.arm.layout.lists[list as usize].needs;
        needs.iter().all(|c| self.met(*c, k, self.arm.layout.lists[list as usize].port))
    }

    /// Would they hold for somebody who goes alone?
    pub(in crate::campaign) fn service_open_to(&mut self, p: usize, list: u16) -> bool {
        let idle = (0..TEAMS).find(|k| self.teams[*k].phase == Phase::Idle);
        let Some(k) = idle else { return false };
        self.teams[k].members = 1 << p;
        let open = self.service_needs(k, list);
        self.teams[k].members = 0;
        open
    }

    /// The store holds what fills the volumes of a service list, and the largest way back beside it
    /// (rule 26).
    pub(in crate::campaign) fn spares_gas_for(&self, list: u16) -> bool {
        let l = &self.arm.layout;
        let port = &l.ports[l.lists[list as usize].port as usize];
        let s = l.elements[port.element as usize].store;
        let Some(held) = self.arm.held_back.get(s as usize) else { return true };
        let fills = self.arm.lists[list as usize].fills;
        let has = self.air.gas.store(s as usize);
        has.oxygen - fills[0] >= held[0] && has.nitrogen - fills[1] >= held[1]
    }

    /// An errand was given up: it is not begun again for a day, or until something is mended.
    pub(in crate::campaign) fn errand_given_up(&mut self, k: usize) {
        let t = &self.teams[k];
        if t.errand == Errand::Return
            && t.trip.distance <= 0.0
            && (t.back.aborted || t.back.way != NONE)
        {
            let (port, after) = (t.home_port, self.now + ERRAND_AGAIN);
            self.ports.errand_later(port, after);
            self.plan(after, Event::Look);
        }
    }

    fn place_of(&self, p: usize) -> Option<VolumeId> {
        match self.places.person[p].at() {
            Where::Volume(v) => Some(v),
            _ => None,
        }
    }

    /// Somebody maintains suits in a volume of a port: nobody leaves by it meanwhile.
    pub(in crate::campaign) fn served_in(&self, port: u16) -> bool {
        let own = &self.arm.layout.ports[port as usize].volumes;
        self.at_service().any(|p| self.place_of(p).is_some_and(|v| own.contains(&v)))
    }

    fn at_service(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.arm.layout.crew).filter(|p| self.people.crew[*p].busy == Busy::Service)
    }

    /// Somebody of those who came in works on a suit in `v` for so long; with nobody able the hours are
    /// booked at once.
    pub(in crate::campaign) fn serve(&mut self, (from, takes): (VolumeId, f64), crew: Crew) {
        let idle = |p: &usize| self.able(*p) && self.people.crew[*p].busy == Busy::Free;
        let Some(p) = each_of(crew).find(idle) else {
            return self.upkeep(UpkeepCause::Suit, takes);
        };
        let until = self.now + takes;
        self.suits.begin_work(p, self.now, until);
        self.people.crew[p].busy = Busy::Service;
        if from != OUTSIDE && self.place_of(p) != Some(from) {
            self.move_person(p, from);
        }
        self.plan(until, Event::Served(p as u8));
    }

    /// The time of somebody's maintenance is over.
    pub(in crate::campaign) fn served(&mut self, p: usize) {
        if self.people.crew[p].busy == Busy::Service && self.suits.work_over(p, self.now) {
            self.end_service(p);
            self.look_around();
            self.wake();
        }
    }

    /// Trouble: whoever maintains suits leaves that at once and goes home; the rest is not made up.
    pub(in crate::campaign) fn stop_services(&mut self) {
        for p in 0..self.arm.layout.crew {
            if self.people.crew[p].busy == Busy::Service {
                self.say(Level::Event, None, |s| {
                    format!("{} leaves the maintenance of suits", s.m.crew.names[p])
                });
                self.end_service(p);
            }
        }
    }

    /// The campaign is over: what was worked on suits up to now is booked.
    pub(in crate::campaign) fn book_services(&mut self) {
        for p in 0..self.arm.layout.crew {
            if self.people.crew[p].busy == Busy::Service {
                let spent = self.suits.worked_up_to_end(p, self.now);
                self.upkeep(UpkeepCause::Suit, spent.max(0.0));
            }
        }
    }

    fn end_service(&mut self, p: usize) {
        let spent = self.suits.worked_up_to_end(p, self.now);
        self.upkeep(UpkeepCause::Suit, spent);
        self.people.crew[p].busy = Busy::Free;
        self.look_home(p);
    }
}

/// A row in which everybody inside puts a suit on.
fn puts_suits_on_all(r: &Row) -> bool {
    let dresses = matches!(r.action, Action::SuitUp | Action::Don);
    let inside = match r.who {
        WhoSel::Word(w) | WhoSel::Narrowed(w) => matches!(w, Who::Inside | Who::All),
        WhoSel::InsideOf(_) => true,
    };
    dresses && inside
}
