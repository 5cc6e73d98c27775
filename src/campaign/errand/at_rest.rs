//! Ports at rest (rule 3): which ports stand down for their state, and who puts them at rest.
//!
//! A port is looked at when the team that used it is in, lost or gone by another way. One that a team
//! is properly out by, or that another team uses, is looked at when that team is in.

use crate::campaign::agenda::Event;
use crate::campaign::errand::repair::What;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase, TEAMS};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::{Part, UpkeepCause};
use crate::plan::{Crew, NONE, each_of, walk};
use crate::scenario::ElementKind;

/// A restore list that did not put its port at rest is tried again after this, s.
const TRY_AGAIN: f64 = 86_400.0;

impl World<'_> {
    /// Team `k` is in, lost or gone: ports that nobody else uses are looked at if it left them
    /// irregularly, or if others did while they were in use.
    pub(in crate::campaign) fn look_at_ports(&mut self, k: usize) {
        let irregular = self.left_irregularly(k);
        for port in 0..self.arm.layout.ports.len() as u16 {
            if self.arm.layout.ports[usize::from(port)].dock != NONE {
                continue; // one that is away is not at rest, and need not be
            }
            let unseen = self.ports.unseen(port);
            if !irregular && unseen.is_none() {
                continue;
            }
            let why = unseen.unwrap_or_else(|| self.why_left(k, port));
            if self.used_by_others(k, port) {
                self.ports.set_unseen(port, why);
                continue;
            }
            self.ports.seen(port);
            self.look_at_port(port, why);
        }
    }

    fn look_at_port(&mut self, port: u16, why: u16) {
        let off = walk::astray(&self.arm.layout, &self.places, port).is_some();
        if self.ports.look(port, off, why) {
            self.say(Level::Event, None, |s| {
                let name = &s.arm.layout.ports[port as usize].name;
                format!("port {name} stands down: not at rest")
            });
        }
    }

    /// Can a team have left ports otherwise than its lists leave them?
    fn left_irregularly(&self, k: usize) -> bool {
        let t = &self.teams[k];
        // The port that they left by stays as it is, also where the way home is short.
        let elsewhere = t.errand == Errand::Return;
        let own = t.back.way != NONE || t.back.aborted || t.back.tried != 0 || t.back.went_on;
        // The gap behind a suit that was hung up outside is empty.
        let own = own || t.out.fetches;
        own || elsewhere || t.members == 0
    }

    /// What a port that stands down is lost to: what began the trouble of the team, else what is
    /// broken where the port stands.
    fn why_left(&self, k: usize, port: u16) -> u16 {
        if self.trouble_of(k).is_some() {
            return self.astray_why(k);
        }
        let e = self.arm.layout.ports[port as usize].element;
        self.element_cause(e).unwrap_or_else(|| self.astray_why(k))
    }

    /// Another team uses the port or is out by it.
    fn used_by_others(&self, k: usize, port: u16) -> bool {
        let out = |(i, t): (usize, &crate::campaign::owner::team::Team)| {
            i != k && !matches!(t.phase, Phase::Idle | Phase::WaitPort) && t.home_port == port
        };
        self.ports.used_by_other(port, k) || self.teams.iter().enumerate().any(out)
    }

    /// Ports that stand down are put at rest as soon as nobody is outside through them and nothing of
    /// them is known stuck.
    pub(in crate::campaign) fn restore_ports(&mut self) {
        for p in 0..self.arm.layout.ports.len() as u16 {
            if !self.ports.stands_down(p)
                || !self.ports.free(p)
                || !self.ports.may_restore(p, self.now)
            {
                continue;
            }
            let port = usize::from(p);
            let out = self.teams.iter().any(|t| {
                t.phase != Phase::Idle
                    && t.home_port == p
                    && (t.out.out_at >= 0.0 || t.phase == Phase::Stranded)
            });
            let list = self.arm.layout.ports[port].restore;
            let closed = self.port_trouble(p).is_some() || self.worked_on(p);
            if out || list == NONE || closed {
                continue;
            }
            if let Some(one) = self.who_restores(self.arm.layout.ports[port].element) {
                self.start_restore(p, list, one, false);
            }
        }
    }

    /// Somebody free inside the element, else one of its own crew on their traverse or who waits in
    /// it; a module that nobody is in is filled from the element it is joined to.
    fn who_restores(&self, e: u16) -> Option<usize> {
        let inside = self.inside_of_element(e);
        let free = |crew: Crew| each_of(crew).find(|q| self.people.crew[*q].busy == Busy::Free);
        let own = |q: &usize| matches!(self.people.crew[*q].busy, Busy::Traverse | Busy::Elsewhere);
        free(inside).or_else(|| each_of(inside).find(own)).or_else(|| {
            let l = &self.arm.layout;
            let element = &l.elements[e as usize];
            let module = element.kind != ElementKind::Rover && element.joined != NONE;
            if module { free(self.inside_of_element(element.joined)) } else { None }
        })
    }

    /// A repair of one of its openings is under way.
    fn worked_on(&self, port: u16) -> bool {
        let l = &self.arm.layout;
        self.jobs.open().filter(|(_, j)| j.running).any(|(_, j)| match j.what {
            What::Part(pm) | What::Renewal(pm) => match self.arm.part_modes[pm as usize].part {
                Part::Opening(o) => l.openings[o].port == port,
                _ => false,
            },
            What::Suit(..) => false,
        })
    }

    /// Fills a port that nobody uses or is out by as far as its `restore` goes: a repair waits for it.
    pub(in crate::campaign) fn fill_port(&mut self, port: u16, why: u16) {
        let p = port as usize;
        let used = self.used_by_others(TEAMS, port) || !self.ports.may_restore(port, self.now);
        let list = self.arm.layout.ports[p].restore;
        let off = walk::astray(&self.arm.layout, &self.places, port).is_some();
        if used || list == NONE || !off {
            return;
        }
        if let Some(one) = self.who_restores(self.arm.layout.ports[p].element) {
            self.ports.look(port, true, why);
            self.start_restore(port, list, one, true);
        }
    }

    fn start_restore(&mut self, port: u16, list: u16, one: usize, fill_only: bool) {
        let Some(k) = self.new_team(Errand::Restore, 1 << one) else {
            return;
        };
        self.teams[k].back.contingency = true;
        self.teams[k].leg.fill_only = fill_only;
        self.teams[k].leg.path = crate::base::stream::fnv1a64("restore");
        self.teams[k].leg.occasion = self.now as u64;
        self.hold_port(k, port);
        self.say(Level::Event, None, |s| {
            let path = &s.arm.layout.ports[port as usize].path;
            let how = if fill_only { "fills" } else { "puts" };
            let what = if fill_only { "for a repair" } else { "at rest" };
            format!("{} {how} {path} {what}", s.m.crew.names[one])
        });
        self.enter_list(k, list, 0);
        self.resume(k);
    }

    /// A restore list is done.
    pub(in crate::campaign) fn restored(&mut self, k: usize) {
        self.end_restore(k);
        self.look_around();
    }

    /// A row of a restore list failed: try again in a day.
    pub(in crate::campaign) fn restore_failed(&mut self, k: usize) {
        self.end_restore(k);
    }

    fn end_restore(&mut self, k: usize) {
        self.now = self.teams[k].leg.t;
        let members = self.teams[k].members;
        let people = f64::from(members.count_ones());
        let spent = self.teams[k].out.elapsed;
        self.upkeep(UpkeepCause::Restore, spent * people);
        let port = self.teams[k].port;
        self.free_members(k);
        self.release_port(k);
        self.teams[k].clear();
        each_of(members).for_each(|p| self.look_home(p));
        self.find_strays();
        let off = walk::astray(&self.arm.layout, &self.places, port).is_some();
        self.ports.set_down(port, off);
        self.say(Level::Event, None, |s| {
            let name = &s.arm.layout.ports[port as usize].name;
            let how = if off { "is still not at rest" } else { "is at rest again" };
            format!("port {name} {how}")
        });
        if off {
            self.ports.restore_later(port, self.now + TRY_AGAIN);
            self.plan(self.now + TRY_AGAIN, Event::Look);
        }
    }
}
