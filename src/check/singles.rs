//! Single failures that leave no way back: for each port, each part that a failure mode of the file can
//! put out of order (an opening that sticks or does not hold, a pump, the element itself) fails once, the
//! ingress list is walked dry until it stops, and the ways back are walked from there. What is found holds
//! for a whole team without a casualty, everything else in order. A way back that works the failed part
//! itself helps only sometimes; where nothing else does, it is told apart.

use super::compat::impossible;
use super::failures::{strikes, strikes_element, strikes_pump};
use super::starts::start;
use super::walks::steps_out;
use super::{Arm, Sayer, rules};
use crate::plan::walk::{self, Group};
use crate::plan::{
    Asked, Condition, Layout, List, OUTSIDE, On, OpeningId, Places, Side, Stuck, VolumeId, Where,
    each_of,
};
use crate::scenario::{Action, At, Effect, ElementKind, Vocabulary};

/// A single failure after which no way back leads in.
#[derive(Clone, Debug)]
pub struct Single {
    /// Port by which people come back.
    pub port: u16,
    /// The part, by its path.
    pub part: String,
    /// What happened to it.
    pub effect: Effect,
    /// The failure mode of the file.
    pub mode: String,
    /// A way back helps if it frees the part itself.
    pub freed: bool,
    /// Where the part was written.
    pub at: At,
}

/// What is out of order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fault {
    /// An opening cannot be opened.
    Shut(OpeningId),
    /// An opening cannot be closed.
    Open(OpeningId),
    /// A closed opening does not hold pressure.
    Leaks(OpeningId),
    /// A pump moves nothing.
    Pump(usize),
    /// An element is lost.
    Element(u16),
}

/// Looks for them and warns of each.
pub(super) fn singles(a: &Arm, team: u32, say: &mut Sayer) -> Vec<Single> {
    let mut out = Vec::new();
    for port in 0..a.l.ports.len() as u16 {
        for single in of_port(a, port, team) {
            if !single.freed {
                say.rule(&rules::SINGLE_POINT, single.at, single.words(a.l));
            }
            out.push(single);
        }
    }
    out
}

impl Single {
    /// In a sentence.
    pub fn words(&self, l: &Layout) -> String {
        let end = if self.freed { " but freeing it" } else { "" };
        format!(
            "`{}` {} (`{}`) leaves no contingency ingress path{end} to those who went out by \
            port `{}`",
            self.part,
            self.effect.word(),
            self.mode,
            l.ports[self.port as usize].name
        )
    }
}

fn of_port(a: &Arm, port: u16, team: u32) -> Vec<Single> {
    let p = &a.l.ports[port as usize];
    let lists = (a.l.lists.get(p.egress as usize), a.l.lists.get(p.ingress as usize));
    let (Some(egress), Some(ingress)) = lists else { return Vec::new() };
    let most = [egress, ingress].map(|list| walk::holds(a.l, list));
    let team = walk::first_batch((1 << team.min(a.l.crew as u32)) - 1, 0, most[0].min(most[1]));
    let g = Group { team, hurt: 0, rescuers: 0 };
    let mut outside = start(a.l, port, team.count_ones());
    if walk::walk(a.l, &mut outside, egress, 0, g).is_err() {
        return Vec::new(); // the dry walk tells why
    }
    walk::release_berths(&mut outside, team);
    let mut out: Vec<Single> = Vec::new();
    for (fault, mode, effect) in faults(a) {
        let walker = Walker { a, fault, freeing: false };
        if walker.leads_in(&outside, ingress, g) {
            continue;
        }
        let freed = Walker { freeing: true, ..walker }.leads_in(&outside, ingress, g);
        let (part, at) = walker.part();
        // One mode of a kind is enough: the part fails the same way.
        if !out.iter().any(|s| s.part == part && s.effect == effect) {
            out.push(Single { port, part, effect, mode, freed, at });
        }
    }
    out
}

/// Every single failure that the modes of the file can bring about.
fn faults(a: &Arm) -> Vec<(Fault, String, Effect)> {
    let mut out = Vec::new();
    for f in &a.spec.failures {
        let effect = f.it.effect.it;
        let of = |fits: &dyn Fn(&str) -> bool| f.it.on.iter().any(|on| fits(&on.it));
        let strikes = |o: &OpeningId| of(&|on| strikes(a.l, on, &a.l.openings[*o]));
        let openings = || a.l.openings.ids().filter(strikes);
        let found: Vec<Fault> = match effect {
            Effect::StuckShut => openings().map(Fault::Shut).collect(),
            Effect::StuckOpen => openings().map(Fault::Open).collect(),
            Effect::Leak if !f.it.holds.it => openings().map(Fault::Leaks).collect(),
            Effect::PumpLost => {
                let all = 0..a.l.pumps.len();
                let struck = |i: &usize| of(&|on| strikes_pump(a.l, on, &a.l.pumps[*i]));
                all.filter(struck).map(Fault::Pump).collect()
            }
            Effect::ElementLost => {
                let all = 0..a.l.elements.len() as u16;
                let struck = |e: &u16| of(&|on| strikes_element(on, &a.l.elements[*e as usize]));
                all.filter(struck).map(Fault::Element).collect()
            }
            Effect::Slower
            | Effect::Leak
            | Effect::StageLost
            | Effect::SuitUnusable
            | Effect::ReturnNow
            | Effect::CrewIncapacitated
            | Effect::CannotTravel => Vec::new(),
        };
        out.extend(found.into_iter().map(|fault| (fault, f.name.clone(), effect)));
    }
    out
}

/// Walks lists with one thing out of order.
#[derive(Clone, Copy)]
struct Walker<'a, 'b> {
    a: &'a Arm<'b>,
    fault: Fault,
    /// Rows that can free the part do.
    freeing: bool,
}

impl Walker<'_, '_> {
    /// The part by its path, and where it was written.
    fn part(&self) -> (String, At) {
        let l = self.a.l;
        match self.fault {
            Fault::Shut(o) | Fault::Open(o) | Fault::Leaks(o) => {
                let o = &l.openings[o];
                (o.path.clone(), o.at)
            }
            Fault::Pump(i) => (l.pumps[i].path.clone(), l.ports[l.pumps[i].port as usize].at),
            Fault::Element(e) => {
                let e = &l.elements[e as usize];
                (e.name.clone(), self.a.spec.elements[e.spec as usize].at)
            }
        }
    }

    /// Does ingress or any way back lead everybody in?
    fn leads_in(&self, outside: &Places, ingress: &List, g: Group) -> bool {
        let mut p = outside.clone();
        match self.fault {
            Fault::Shut(o) => p.opening[o].stuck = Stuck::Shut,
            Fault::Open(o) => p.opening[o].stuck = Stuck::Open,
            _ => {}
        }
        let mut broken = true;
        for i in 0..ingress.rows.len() {
            if !self.step(&mut p, ingress, i, g, broken) {
                break;
            }
        }
        // Only now it has been found.
        if let Fault::Shut(o) | Fault::Open(o) = self.fault {
            p.opening[o].known = true;
        }
        let safe = |p: &Places, k: usize| p.safe(self.a.l, k) || p.person[k].at() == Where::Gone;
        let mut left = each_of(g.team).filter(|k| !safe(&p, *k)).fold(0, |c, k| c | 1 << k);
        walk::release_berths(&mut p, left);
        // The ways back one after the other in their order, each from where the one before left people; a
        // way that brings some in is tried again for the others.
        let mut untried: Vec<u16> = self.a.l.ways_back.clone();
        let mut here = self.a.l.ports[ingress.port as usize].element;
        while left != 0 {
            let open = |w: &u16| {
                let way = &self.a.l.lists[*w as usize];
                self.reaches(way, here) && self.starts(way, &p, left)
            };
            let Some(at) = untried.iter().position(open) else { return false };
            let way = &self.a.l.lists[untried[at] as usize];
            if way.from == Some(OUTSIDE) {
                each_of(left).for_each(|k| p.stand(k, Where::Volume(OUTSIDE)));
            }
            walk::make_ready(self.a.l, &mut p, way, 0);
            let batch = walk::first_batch(left, 0, walk::holds(self.a.l, way));
            let g = Group { team: batch, hurt: 0, rescuers: 0 };
            let walked = self.walks(&mut p, way, g, &mut broken);
            walk::release_berths(&mut p, batch);
            if travels(way) {
                here = self.a.l.ports[way.port as usize].element;
            }
            match walked && walk::all_in(self.a.l, &p, batch) {
                true => left &= !batch,
                false => {
                    untried.remove(at);
                }
            }
        }
        true
    }

    /// Walks a list; a row that can free the part does, if rows may.
    fn walks(&self, p: &mut Places, way: &List, g: Group, broken: &mut bool) -> bool {
        (0..way.rows.len()).all(|i| {
            let row = &way.rows[i];
            let frees = self.freeing && row.frees;
            if frees
                && matches!((self.fault, row.on), (Fault::Leaks(o), On::Opening(x, _)) if o == x)
            {
                *broken = false;
            }
            if self.step(p, way, i, g, *broken) {
                return true;
            }
            if let (true, Fault::Shut(o) | Fault::Open(o)) = (frees, self.fault) {
                p.opening[o].stuck = Stuck::Free;
                return self.step(p, way, i, g, *broken);
            }
            false
        })
    }

    /// One row, with what is out of order in its way.
    fn step(&self, p: &mut Places, list: &List, i: usize, g: Group, broken: bool) -> bool {
        let stopped = broken && self.stops(p, list, i);
        !stopped && walk::step(self.a.l, p, list, i, g).is_ok()
    }

    /// Rows that the dry walk would do and that cannot be done.
    fn stops(&self, p: &Places, list: &List, i: usize) -> bool {
        let (l, row) = (self.a.l, &list.rows[i]);
        let on = |v: VolumeId| match row.on {
            On::Volumes(all, n) => all[..n as usize].contains(&v),
            On::BerthVolume(first, n) => first.run(n).any(|x| x == v),
            _ => false,
        };
        match self.fault {
            Fault::Element(e) => l.ports[list.port as usize].element == e,
            // A volume is filled against a seal that lets it out to a lower pressure.
            Fault::Leaks(o) => {
                let shut = !p.opening[o].open;
                let sides = l.openings[o].sides;
                let low = |side: Side| match side {
                    Side::Volume(v) => p.pressure(v) <= l.ambient + crate::plan::ACROSS,
                    Side::Suit(_) => false,
                };
                let filled = |side: Side| matches!(side, Side::Volume(v) if on(v));
                let out = filled(sides[0]) && low(sides[1]) || filled(sides[1]) && low(sides[0]);
                row.action == Action::Repress && shut && out
            }
            // Where the next row vents the chamber, the gas goes that way.
            Fault::Pump(pump) => {
                let v = l.pumps[pump].on;
                row.action == Action::Depress && on(v) && !l.vented_next(list, i)
            }
            Fault::Shut(_) | Fault::Open(_) => false,
        }
    }

    /// A way from outside without a `travel` row is for people at its own element.
    fn reaches(&self, way: &List, here: u16) -> bool {
        let there = self.a.l.ports[way.port as usize].element;
        if here == there || way.from != Some(OUTSIDE) || travels(way) {
            return true;
        }
        let place = |e: u16| {
            let e = &self.a.l.elements[e as usize];
            let stays = e.kind != ElementKind::Rover;
            stays.then(|| self.a.spec.elements[e.spec as usize].it.distance.law.mean())
        };
        place(here).zip(place(there)).is_some_and(|(x, y)| (x - y).abs() <= 1.0)
    }

    /// Can a way back start for these people?
    fn starts(&self, way: &List, p: &Places, team: u16) -> bool {
        let lost = matches!(self.fault, Fault::Element(e) if self.a.l.ports[way.port as usize].element == e);
        if lost
            || walk::wants_casualty(way)
            || !way.needs.iter().all(|c| self.may_hold(way.port, *c))
        {
            return false;
        }
        each_of(team).all(|k| match (p.person[k].at(), way.from) {
            (Where::Volume(v), Some(f)) => v == f || f == OUTSIDE && steps_out(self.a.l, p, v),
            (Where::Berth(b), None) => self.a.l.berths[b].port == way.port,
            _ => false,
        })
    }

    /// Can a condition of a way back hold with this out of order and nothing else astray?
    fn may_hold(&self, port: u16, asked: Asked) -> bool {
        let stuck = match self.fault {
            Fault::Shut(o) | Fault::Open(o) => Some(o),
            _ => None,
        };
        let at_fault = match self.fault {
            Fault::Leaks(o) => Some(o),
            _ => stuck,
        };
        let borders = |v: VolumeId, o: OpeningId| self.a.l.volumes[v].openings.contains(&o);
        let holds = match asked.condition {
            Condition::OpeningIntact(o, n) => n != 1 || stuck != Some(o),
            Condition::Opens(o, n) => n != 1 || self.fault != Fault::Shut(o),
            Condition::VolumeIntact(v) => !stuck.is_some_and(|o| borders(v, o)),
            Condition::OpeningStuck(o, n) => at_fault.is_some_and(|x| o.run(n).any(|y| y == x)),
            Condition::VolumeStuck(v) => at_fault.is_some_and(|o| borders(v, o)),
            Condition::ElementIntact(e) | Condition::InReach(e) | Condition::RoomAt(e)
                if self.fault == Fault::Element(e) =>
            {
                false
            }
            Condition::Leaks(o, _) => self.fault == Fault::Leaks(o),
            Condition::NoCasualty => true,
            Condition::Dirty(..) | Condition::Casualty | Condition::RescuersInside => false,
            Condition::ToleratesVacuum(_)
            | Condition::ElementIntact(_)
            | Condition::NobodyIn(_)
            | Condition::AnyoneInside
            | Condition::HelperInside
            | Condition::SuitForEveryoneInside
            | Condition::UmbilicalForEveryone
            | Condition::GasCovers(..)
            | Condition::PortFree
            | Condition::BerthFree
            | Condition::BerthEmpty
            | Condition::BerthIntact
            | Condition::TwoBerthsFree
            | Condition::PortFitsSuit
            | Condition::ClearsSuit(_)
            | Condition::InReach(_)
            | Condition::RoomAt(_)
            | Condition::RoverDrives
            | Condition::RoverManned
            | Condition::RoverRemote
            | Condition::Daylight
            | Condition::AscentVehicle
            | Condition::InTime => return impossible(self.a.l, port, asked).is_none(),
        };
        holds != asked.not
    }
}

/// Does a list lead people to another place?
fn travels(list: &List) -> bool {
    list.rows.iter().any(|r| r.action == Action::Travel)
}
