//! No demand is forgotten (rules 17, 20): whoever lives on suit supply belongs to a team until they are
//! safe, late or missed.

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::cause;
use crate::plan::{Crew, ListKind, NONE, OpeningId, VolumeId, Where, each_of};

impl World<'_> {
    /// Members and rescuers of a team whose demands are open.
    pub(in crate::campaign) fn on_supply(&self, k: usize) -> Crew {
        let all = each_of(self.teams[k].members | self.teams[k].rescuers);
        all.filter(|p| self.people.crew[*p].clock.open).fold(0, |c, p| c | 1 << p)
    }

    /// A list ends where people are safe although no row said so: one that failed to take the pressure
    /// away, for instance. Their demands are met.
    pub(in crate::campaign) fn close_where_safe(&mut self, k: usize) {
        self.share_if_short(k);
        for p in 0..self.arm.layout.crew {
            if !self.people.crew[p].clock.open || self.leaves_from(p) {
                continue;
            }
            let mine = (self.teams[k].members | self.teams[k].rescuers) & 1 << p != 0;
            if (mine || self.stray(p)) && self.safe_here(p) {
                self.close_demand(k, p);
            }
        }
    }

    /// Lives on suit supply and belongs to no team.
    fn stray(&self, p: usize) -> bool {
        let bit = 1 << p;
        let of = |t: &crate::campaign::owner::team::Team| {
            t.phase != Phase::Idle && (t.members | t.rescuers) & bit != 0
        };
        self.people.crew[p].clock.open && self.people.gone & bit == 0 && !self.teams.iter().any(of)
    }

    /// Persons inside who now live on suit supply share the trouble of a stranded team: those beside them
    /// belong to it, others become a team of their own that knows the same list. Who is at a repair
    /// leaves it.
    pub(in crate::campaign) fn take_along(&mut self, k: usize) {
        let l = &self.arm.layout;
        let beside = |v: VolumeId, p: usize| match self.places.person[p].at() {
            Where::Volume(w) => self.places.joined(l, v, w),
            _ => false,
        };
        let (mut mine, mut apart): (Crew, Crew) = (0, 0);
        for p in (0..l.crew).filter(|p| self.stray(*p)) {
            let Where::Volume(v) = self.places.person[p].at() else { continue };
            match each_of(self.teams[k].members).any(|q| beside(v, q)) {
                true => mine |= 1 << p,
                false => apart |= 1 << p,
            }
        }
        for p in each_of(mine | apart) {
            self.leave_repair(p);
            self.people.crew[p].busy = Busy::Team(k as u8);
        }
        self.teams[k].members |= mine;
        if apart == 0 {
            return;
        }
        let Some(other) = self.split_team(k, apart) else {
            self.teams[k].members |= apart; // no team is free to be theirs
            return;
        };
        let t = &mut self.teams[other];
        (t.phase, t.back.tried, t.back.again, t.rescuers) = (Phase::Stranded, 0, false, 0);
        (t.leg.then, t.leg.shuts, t.leg.refill, t.parted, t.out.hit_next) =
            (NONE, OpeningId::NONE, false, false, 0);
        t.out.hits.clear();
        self.plan_team(other, self.now);
    }

    /// Whoever lives on suit supply and belongs to no team looks for a way as one of their own.
    pub(in crate::campaign) fn find_strays(&mut self) {
        let all = (0..self.arm.layout.crew).filter(|p| self.stray(*p));
        let alone = all.fold(0, |c: Crew, p| c | 1 << p);
        let counted_on = each_of(alone).filter(|p| self.counted_on(*p));
        let strays = alone & !counted_on.fold(0, |c: Crew, p| c | 1 << p);
        if strays != alone {
            self.plan(self.now + 60.0, Event::Look);
        }
        if strays == 0 {
            return;
        }
        each_of(strays).for_each(|p| self.leave_repair(p));
        let Some(k) = self.new_team(Errand::Return, strays) else {
            return self.plan(self.now + 60.0, Event::Look); // all teams are busy: a little later
        };
        let home = each_of(strays).next().map_or(0, |p| self.people.crew[p].home);
        let ports = &self.arm.layout.ports;
        let port = ports.iter().position(|p| p.element == home).unwrap_or(0) as u16;
        let t = &mut self.teams[k];
        (t.back.contingency, t.home_port, t.port) = (true, port, port);
        (t.leg.path, t.leg.occasion) = (crate::base::stream::fnv1a64("stray"), self.now as u64);
        t.leg.t = self.now;
        t.phase = Phase::Stranded;
        self.teams[k].back.trouble = self.course.ending.map_or(cause::AWAY, |e| e.cause);
        self.plan_team(k, self.now);
    }

    /// A way back under way at the element where a person sits counts on them: its rows bring them to
    /// safety, or its team takes them along when it is stranded.
    fn counted_on(&self, p: usize) -> bool {
        let l = &self.arm.layout;
        let Where::Volume(v) = self.places.person[p].at() else { return false };
        let element = l.volumes[v].element;
        self.teams.iter().any(|t| {
            let walks = matches!(t.phase, Phase::Begin | Phase::InRow);
            let list = || &l.lists[t.leg.list as usize];
            walks
                && list().kind == ListKind::WayBack
                && l.ports[list().port as usize].element == element
        })
    }

    /// Some of a team at the end of its list are not safe: they are not home. Those look for a way, alone
    /// if the others are in.
    pub(in crate::campaign) fn not_home(&mut self, k: usize) -> bool {
        self.close_where_safe(k);
        let out = self.on_supply(k);
        if out == 0 {
            return false;
        }
        self.say(Level::Event, self.slot_of(k), |s| {
            format!("{} are still on suit supply at the end of the list", s.names(out))
        });
        self.teams[k].batch = out;
        self.strand(k);
        true
    }

    /// The same for a batch, while others are still on the way.
    pub(in crate::campaign) fn batch_not_home(&mut self, k: usize) {
        self.close_where_safe(k);
        let out = self.on_supply(k) & self.teams[k].batch;
        if out == 0 || self.teams.iter().all(|t| t.phase != Phase::Idle) {
            return;
        }
        if let Some(other) = self.split_team(k, out) {
            let t = &mut self.teams[other];
            (t.phase, t.parted, t.rescuers) = (Phase::Stranded, false, 0);
            (t.leg.then, t.leg.shuts, t.leg.refill) = (NONE, OpeningId::NONE, false);
            self.plan_team(other, self.now);
        }
    }

    /// A demand is open, or provisionally met.
    pub(in crate::campaign) fn demand_open(&self) -> bool {
        let open =
            |c: &crate::campaign::owner::person::Crewmate| c.clock.open || c.provisional.is_some();
        (0..self.arm.layout.crew)
            .any(|p| open(&self.people.crew[p]) && self.people.gone & 1 << p == 0)
    }

    /// No demand is open and the outcomes of all add up (rule 20).
    pub fn demands_closed(&self) -> bool {
        let v = |f: crate::measure::Fact| self.books.out.facts.value[f as usize];
        use crate::measure::Fact::{
            HavenDemands, HavenLate, HavenMissed, HavenPlanned, HavenWayBack,
        };
        let ended = v(HavenPlanned) + v(HavenWayBack) + v(HavenLate) + v(HavenMissed);
        !self.demand_open() && ended == v(HavenDemands)
    }
}
