//! Whether a way back is open to a team, and what keeps it shut (rule 22).

use crate::campaign::owner::team::Phase;
use crate::campaign::world::World;
use crate::plan::{
    ACROSS, Crew, NONE, OUTSIDE, On, OpeningId, Row, Stuck, VolumeId, Where, each_of, walk,
};
use crate::scenario::Action;

/// Whether a way back is open to a team now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::campaign) enum Openness {
    Open,
    /// Only `in time` is lacking.
    TooSlow,
    /// Its port is in use.
    Busy,
    /// Its element is on its way here and arrives in time, s.
    Due(f64),
    Shut(Why),
}

/// What keeps a way back shut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::campaign) enum Why {
    /// Nobody able is there to act.
    Hands,
    /// Too few people inside could come out.
    Rescuers,
    /// Those who would come out would not last for it themselves.
    Far,
    /// It starts somewhere else.
    Place,
    /// The store does not cover its fills.
    Gas,
    /// Nobody can empty the chamber for it.
    Ready,
    /// An opening of what it empties first stands open to pressure, and nobody can shut it.
    Ajar(OpeningId),
    /// Its element is on its way here and arrives too late.
    Driving,
    /// Its element is lost.
    Lost,
    /// Its element is the haven whose days are over.
    Over,
    /// This condition is not met: its number among those written.
    Need(usize),
    /// The cabin behind its berths is not habitable, and no row fills it.
    Dead(VolumeId),
    /// Its port is in use for too long.
    Used,
}

impl World<'_> {
    /// An opening that keeps the first row of a list that empties a volume from being done (rule 2): it
    /// stands open to a volume that stays pressurised and no row before shuts it. Only openings as `wanted`.
    pub(in crate::campaign) fn stands_open(
        &self,
        k: usize,
        id: u16,
        wanted: impl Fn(OpeningId) -> bool,
    ) -> Option<OpeningId> {
        let l = &self.arm.layout;
        let rows = &l.lists[id as usize].rows;
        let empties = |r: &Row| {
            let lets_out = matches!(r.action, Action::Depress | Action::Vent);
            lets_out && matches!(r.on, On::Volumes(..))
        };
        let first = rows.iter().position(empties)?;
        let On::Volumes(v, n) = rows[first].on else { return None };
        let volumes = &v[..n as usize];
        // Of equal openings each of the team shuts that of their own berth.
        let members = self.teams[k].members;
        let mine = |on: On, o: OpeningId| match on {
            On::Opening(base, n) if n < 2 => base == o,
            On::Opening(base, n) => {
                each_of(members).any(|p| self.places.opening_for(l, base, n, p) == o)
            }
            _ => false,
        };
        let shut = |o: OpeningId| {
            rows[..first].iter().any(|r: &Row| r.action == Action::Close && mine(r.on, o))
        };
        volumes.iter().find_map(|v| {
            let target = l.level(&rows[first], *v);
            let full = self.places.pressure(*v) > target;
            let stays = |o: OpeningId| {
                l.across(o, *v).is_some_and(|w| {
                    !volumes.contains(&w) && self.places.pressure(w) > target + ACROSS
                })
            };
            let mut all = l.volumes[*v].openings.iter().copied().filter(|_| full);
            all.find(|o| self.places.opening[*o].open && stays(*o) && !shut(*o) && wanted(*o))
        })
    }

    /// The cabin behind the berths that a list mates at, where it is not habitable and no row of the list
    /// fills it: no hatch opens into it (rule 2).
    pub(in crate::campaign) fn dead_behind(&self, id: u16) -> Option<VolumeId> {
        let l = &self.arm.layout;
        let list = &l.lists[id as usize];
        if !list.rows.iter().any(|r| r.action == Action::Mate) {
            return None;
        }
        let fills = |r: &Row, v: VolumeId| {
            let on = |vs: &[VolumeId]| vs.contains(&v);
            r.action == Action::Repress
                && matches!(&r.on, On::Volumes(vs, n) if on(&vs[..*n as usize]))
        };
        let berths = &l.ports[list.port as usize].berths;
        let mut cabins = berths.iter().map(|b| l.berths[*b].cabin);
        cabins.find(|v| {
            let filled = list.rows.iter().any(|r| fills(r, *v));
            !filled && !self.places.is_habitable(l, *v)
        })
    }

    /// Another try of a row would take what the ways that are open now still need, and they fit now: the
    /// next of them is taken at once (rule 22).
    pub(in crate::campaign) fn last_moment(&self, k: usize) -> bool {
        let t = &self.teams[k];
        let inward =
            !self.arm.layout.lists[t.leg.list as usize].kind.goes_out() && t.leg.then == NONE;
        let runs = |p: usize| self.people.crew[p].clock.open && !self.people.crew[p].clock.paused;
        if !inward || !each_of(t.members).any(runs) {
            return false;
        }
        let again = self.mean_try(k);
        let open = |i: &usize| {
            let untried = t.back.tried & 1 << *i == 0 && !self.forced.barred(*i);
            untried && self.openness(k, *i) == Openness::Open
        };
        let ways = &self.arm.layout.ways_back;
        let other = |i: &usize| !self.same_trouble(k, ways[*i]);
        let mut open = (0..ways.len()).filter(other).filter(open).peekable();
        open.peek().is_some() && !open.any(|i| self.lasts_after(k, ways[i], again))
    }

    /// A way moves the same opening as the row that fails now, with no more than what failed: no other
    /// way out of the trouble.
    fn same_trouble(&self, k: usize, way: u16) -> bool {
        let (l, leg) = (&self.arm.layout, &self.teams[k].leg);
        let row = &l.lists[leg.list as usize].rows[leg.row];
        let again = |r: &Row| r.action == row.action && r.on == row.on && !r.frees;
        matches!(row.on, On::Opening(..)) && l.lists[way as usize].rows.iter().any(again)
    }

    /// Somebody there can shut an opening, as far as anybody knows, and a list says how.
    pub(in crate::campaign) fn can_shut(&self, k: usize, o: OpeningId) -> bool {
        let state = &self.places.opening[o];
        let jams = state.known && state.stuck == Stuck::Open;
        !jams && self.who_shuts(k, o) != 0 && self.closing_row(k, o).is_some()
    }

    /// Who can shut an opening from inside: everybody who can get to it, and those of the team who stand
    /// beside it.
    pub(in crate::campaign) fn who_shuts(&self, k: usize, o: OpeningId) -> Crew {
        let l = &self.arm.layout;
        let sides = l.volumes.each().skip(1);
        let sides = sides.filter(|(_, v)| v.openings.contains(&o)).map(|(v, _)| v);
        sides.fold(0, |who, v| {
            let beside = self.places.persons_in(v) & self.teams[k].members & !self.people.hurt;
            let e = l.volumes[v].element;
            who | beside | if e == NONE { 0 } else { self.suited_inside(e) }
        })
    }

    /// The row of a list that shuts an opening: one of the team's port first, on the way in before others.
    fn closing_row(&self, k: usize, o: OpeningId) -> Option<(u16, usize)> {
        let l = &self.arm.layout;
        let shuts = |r: &Row| r.action == Action::Close && r.on == On::Opening(o, 1);
        let apart = |i: usize| (l.lists[i].port != self.teams[k].port, !l.lists[i].kind.comes_in());
        let row = |i: usize| Some((i, l.lists[i].rows.iter().position(shuts)?));
        let all = (0..l.lists.len()).filter_map(row);
        all.min_by_key(|(i, _)| apart(*i)).map(|(i, row)| (i as u16, row))
    }

    /// Before a way back: somebody shuts what stands open behind the volume that it empties first. True if
    /// that is under way.
    pub(in crate::campaign) fn shut_first(&mut self, k: usize, id: u16) -> bool {
        let Some(o) = self.stands_open(k, id, |_| true) else { return false };
        let Some((list, row)) = self.closing_row(k, o) else { return false };
        let port = self.teams[k].port;
        self.enter_list(k, list, row);
        let t = &mut self.teams[k];
        (t.port, t.leg.then, t.leg.shuts) = (port, id, o);
        true
    }

    /// After a row of that: once it is shut the next one, then the way itself.
    pub(in crate::campaign) fn shut_so_far(&mut self, k: usize, id: u16) {
        if self.places.opening[self.teams[k].leg.shuts].open {
            return;
        }
        let t = &mut self.teams[k];
        (t.leg.then, t.leg.shuts) = (NONE, OpeningId::NONE);
        self.now = self.teams[k].leg.t;
        if !self.shut_first(k, id) {
            self.enter_ready(k, id);
        }
    }

    /// What was to be shut first did not shut: the way itself was not begun, and is open again once that is
    /// mended.
    pub(in crate::campaign) fn not_begun(&mut self, k: usize) {
        let t = &mut self.teams[k];
        if t.leg.shuts.is_some() && t.back.way != NONE {
            t.back.tried &= !(1 << t.back.way);
            t.back.way = NONE;
        }
        t.leg.shuts = OpeningId::NONE;
    }

    /// A port is free for a team that lives on suit supply: nobody uses it, or those who do are at their
    /// berths, open to the cabin, with rows left that concern nobody else (rule 23).
    pub(in crate::campaign) fn port_open_to(&self, k: usize, port: u16) -> bool {
        // Who only waits for their turn waits for the whole list.
        let turn = !self.teams[k].back.planned_tried;
        self.ports.user(port).is_none_or(|u| u == k || !turn && self.yields(u, port))
    }

    /// A row of those at their berths is done: whoever is stranded may have the port now.
    pub(in crate::campaign) fn yields_now(&mut self, k: usize) {
        let t = &self.teams[k];
        let list = &self.arm.layout.lists[t.leg.list as usize];
        let alone = |r: &Row| matches!(r.action, Action::Doff | Action::Recharge | Action::Close);
        if !t.holds || !list.kind.comes_in() || !list.rows.get(t.leg.row).is_none_or(alone) {
            return;
        }
        let waits = self.teams.iter().any(|t| t.phase == Phase::Stranded);
        if waits && self.yields(k, t.port) {
            self.wake_others(k);
        }
    }

    fn yields(&self, j: usize, port: u16) -> bool {
        let (l, t) = (&self.arm.layout, &self.teams[j]);
        let walks = matches!(t.phase, Phase::Begin | Phase::InRow) && t.leg.then == NONE;
        let Some(list) = l.lists.get(t.leg.list as usize).filter(|x| walks && x.kind.comes_in())
        else {
            return false;
        };
        let at_berth = |p: usize| match self.places.person[p].at() {
            Where::Berth(b) => l.berths[b].port == port && self.places.safe(l, p),
            Where::Volume(v) => {
                v != OUTSIDE && l.volumes[v].port != port && walk::all_in(l, &self.places, 1 << p)
            }
            Where::Gone => false,
        };
        let alone = |r: &Row| match (r.action, r.on) {
            (Action::Doff | Action::Recharge, _) => true,
            (Action::Close, _) => r.berths && list.port == port,
            _ => false,
        };
        !t.parted
            && each_of(t.members | t.rescuers).all(at_berth)
            && list.rows[t.leg.row..].iter().all(alone)
    }

    /// Those who need a port no more let go of it for a team in trouble.
    pub(in crate::campaign) fn let_go_for(&mut self, k: usize, port: u16) {
        if let Some(user) = self.ports.user(port).filter(|u| *u != k) {
            self.teams[user].holds = false;
            self.ports.let_go(port, user);
        }
    }

    /// Takes a port for a team in trouble, from those who need it no more.
    pub(in crate::campaign) fn take_over(&mut self, k: usize, port: u16) {
        self.let_go_for(k, port);
        self.hold_port(k, port);
    }
}
