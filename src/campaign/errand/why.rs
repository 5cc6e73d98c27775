//! What began the state that stops a slot (rule 12): the stuck hatch that keeps the suits away, the
//! trouble that strands the crew, not the obstacle that is met first.

use crate::campaign::errand::repair::What;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::Errand;
use crate::campaign::world::World;
use crate::model::cause;
use crate::plan::{Crew, Kept, NONE, Stuck, SuitId, each_of};

impl World<'_> {
    /// What opened the trouble of a team, or cut its sortie.
    pub(in crate::campaign) fn trouble_of(&self, k: usize) -> Option<u16> {
        let t = &self.teams[k];
        let trouble = (t.back.trouble != cause::LEFT).then_some(t.back.trouble);
        trouble.or_else(|| t.back.has_cause.then_some(t.back.cause))
    }

    /// What began the errand of a team that is not simply as planned.
    fn team_why(&self, k: usize) -> Option<u16> {
        let t = &self.teams[k];
        self.trouble_of(k).or_else(|| match t.errand {
            Errand::Repair(j) => self.job_why(j as usize),
            Errand::Restore => self.ports.last_why(t.port),
            Errand::Return => each_of(t.members).find_map(|p| self.people.crew[p].astray_by),
            Errand::Sortie | Errand::Undock(_) | Errand::Dock => None,
        })
    }

    /// The failure behind a repair; none behind a replacement by plan.
    fn job_why(&self, j: usize) -> Option<u16> {
        match self.jobs.job(j).what {
            What::Part(pm) => Some(self.cause_of_part_mode(pm)),
            What::Suit(_, mode) => Some(self.arm.modes[mode as usize].cause),
            What::Renewal(_) => None,
        }
    }

    fn cause_of_part_mode(&self, pm: u16) -> u16 {
        self.arm.modes[self.arm.part_modes[pm as usize].mode as usize].cause
    }

    /// Why somebody is with a team or in a repair.
    pub(in crate::campaign) fn busy_why(&self, busy: Busy, p: usize) -> u16 {
        match busy {
            Busy::Team(k) => self.team_why(k as usize).unwrap_or(cause::BUSY),
            Busy::Repair(j) => self.job_why(j as usize).unwrap_or(cause::REPAIR_WORK),
            Busy::Service => cause::BUSY,
            Busy::Free | Busy::Traverse | Busy::Elsewhere => self.away_why(p),
            Busy::Gone => cause::LEFT,
        }
    }

    /// Why a rover is not back from a traverse whose time is over: what stood it down, or the trouble of a
    /// team that came in without it.
    pub(in crate::campaign) fn still_out_why(&self, traverse: usize) -> u16 {
        self.rovers.why_out(traverse).unwrap_or(cause::AWAY)
    }

    /// Why somebody is not at home.
    pub(in crate::campaign) fn away_why(&self, p: usize) -> u16 {
        self.people.crew[p].astray_by.unwrap_or(cause::AWAY)
    }

    /// Why nobody who is not on the roster is inside an element: what keeps the first of those who live
    /// there away; as planned, if nothing does.
    pub(in crate::campaign) fn nobody_inside_why(&self, e: u16, roster: Crew) -> u16 {
        let inside = self.inside_of_element(e);
        let missing = |p: &usize| (roster | inside | self.people.gone) & 1 << p == 0;
        let lives = |p: &usize| self.people.crew[*p].home == e;
        let why = |p: usize| {
            let c = &self.people.crew[p];
            match c.busy {
                _ if self.people.hurt & 1 << p != 0 || c.off_until > self.now => Some(c.off_cause),
                Busy::Team(k) => self.team_why(k as usize),
                _ => c.astray_by,
            }
        };
        let people = (0..self.arm.layout.crew).filter(missing).filter(lives);
        people.into_iter().find_map(why).unwrap_or(cause::NOBODY_INSIDE)
    }

    /// Why a port has too few suits: what struck the first of its own that is not there or not usable,
    /// what took it elsewhere, what holds its berth.
    pub(in crate::campaign) fn suits_why(&self, port: u16) -> u16 {
        let l = &self.arm.layout;
        let own = l.suits.ids().filter(|s| self.is_home_of(port, *s));
        own.into_iter().find_map(|s| self.suit_why(s)).unwrap_or(cause::NO_SUIT)
    }

    pub(in crate::campaign) fn is_home_of(&self, port: u16, s: SuitId) -> bool {
        let l = &self.arm.layout;
        let p = &l.ports[port as usize];
        match l.suits[s].home {
            Kept::Berth(b) => p.berths.contains(&b),
            Kept::Volume(v) => p.volumes.contains(&v) || l.elements[p.element as usize].cabin == v,
            Kept::Worn(_) => false,
        }
    }

    fn suit_why(&self, s: SuitId) -> Option<u16> {
        let l = &self.arm.layout;
        let state = &self.places.suit[s];
        if !state.usable {
            let mine = |what| matches!(what, What::Suit(x, _) if x == s);
            let job = self.jobs.open().find(|(_, j)| mine(j.what)).map(|(j, _)| j);
            let bad = self.faults.suit_bad(s);
            let part = bad.map(|pm| self.cause_of_part_mode(pm));
            return part.or_else(|| job.and_then(|j| self.job_why(j))).or(self.suits.astray_by(s));
        }
        if let Kept::Berth(b) = l.suits[s].home {
            let berth = &l.berths[b];
            for o in [berth.interface, berth.port_hatch, berth.suit_hatch] {
                let known = &self.places.opening[o];
                let stuck = known.known && known.stuck != Stuck::Free;
                if let Some(by) = self.faults.stuck_by(o).filter(|_| stuck) {
                    return Some(self.cause_of_part_mode(by));
                }
            }
        }
        let worn = match state.kept() {
            Kept::Worn(p) => match self.people.crew[p as usize].busy {
                Busy::Team(k) => self.team_why(k as usize),
                _ => self.people.crew[p as usize].astray_by,
            },
            _ => None,
        };
        worn.or(self.suits.astray_by(s))
    }

    /// Why a port is in use for longer than a plan says.
    pub(in crate::campaign) fn in_use_why(&self, port: u16) -> u16 {
        let why = self.ports.user(port).and_then(|k| self.team_why(k));
        why.unwrap_or(cause::PORT_IN_USE)
    }

    /// A team is in: who and what is not back where it belongs has been taken there by its trouble.
    pub(in crate::campaign) fn note_astray(&mut self, k: usize) {
        // Who came in as planned is back where they belong, whatever ended their work.
        let t = &self.teams[k];
        let irregular = t.back.way != NONE || t.back.aborted || t.back.tried != 0 || t.back.went_on;
        let why = self.trouble_of(k).filter(|_| irregular);
        let slot = self.m.slots.get(self.teams[k].slot as usize);
        if let Some(s) = slot {
            self.rovers.note_trouble(s.traverse, why.filter(|_| self.teams[k].back.way != NONE));
        }
        for p in each_of(self.teams[k].members | self.teams[k].rescuers) {
            self.people.crew[p].astray_by = why;
        }
        for ((s, suit), meant) in self.places.suit.each().zip(&self.arm.layout.suits) {
            match suit.kept() {
                kept if kept == meant.home => self.suits.back(s),
                Kept::Worn(_) => {}
                Kept::Volume(_) | Kept::Berth(_) => self.suits.left(s, why),
            }
        }
    }

    /// What a port that is not at rest is put down to.
    pub(in crate::campaign) fn astray_why(&self, k: usize) -> u16 {
        self.trouble_of(k).unwrap_or(cause::NOT_AT_REST)
    }
}
