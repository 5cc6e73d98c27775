//! Suits against ports, cabins and openings: pressure across them, width of the back plate, a way
//! indoors for maintenance.

use super::{Arm, Sayer, rules};
use crate::plan::walk::{Group, step};
use crate::plan::{
    Berth, BerthId, Condition, Kept, Layout, List, NONE, OUTSIDE, On, OpeningId, Places, SuitId,
    Where, in_element, is_at, wanted,
};
use crate::scenario::*;

const PSI: f64 = 6894.757293168;
/// Above this a suit is stiffer than those in use, Pa; common practice.
const SUIT_MOST: f64 = 8.0 * PSI;
/// Above this a cabin is not set when suits share its pressure, Pa; common practice. A little is
/// added so that 56.5 kPa written for 8.2 psi passes.
const SHARED_MOST: f64 = 8.2 * PSI + 50.0;

/// Suits by themselves, and elements that are only checked.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    let ambient = s.body.ambient.law.mean();
    for x in &s.suits {
        let across = x.it.pressure.law.mean() - ambient;
        if across > SUIT_MOST {
            let what = format!("`{}` works {:.1} psi above outside", x.name, across / PSI);
            say.rule(&rules::SUIT_PRESSURE, x.it.pressure.at, what);
        }
    }
}

/// Suits in one architecture.
pub(super) fn arm(a: &Arm, say: &mut Sayer) {
    let mut told: Vec<(u16, u16)> = Vec::new();
    for (i, suit) in a.l.suits.each() {
        let Kept::Berth(b) = suit.home else { continue };
        let berth = &a.l.berths[b];
        // Equal suits at equal berths of one port would only repeat it.
        if !told.contains(&(suit.kind, berth.port)) {
            told.push((suit.kind, berth.port));
            at_berth(a, i, b, say);
        }
    }
    for (id, p) in a.l.ports.iter().enumerate() {
        let kinds = kinds_at(a.l, id as u16);
        for list in [p.egress, p.ingress, p.service_in, p.service_out] {
            if let Some(list) = a.l.lists.get(list as usize) {
                passes(a, list, &kinds, say);
            }
        }
    }
    let outside = outside_kinds(a);
    for id in &a.l.ways_back {
        passes(a, &a.l.lists[*id as usize], &outside, say);
    }
    orbiters(a, say);
}

/// Kinds of suit that people wear who use a port: those at the port, else those of
/// the element.
pub(super) fn kinds_at(l: &Layout, port: u16) -> Vec<u16> {
    l.ports[port as usize].kinds.clone()
}

/// Suits within reach of who goes out through a port.
pub(super) fn count_at(l: &Layout, port: u16, kind: u16) -> usize {
    near(l, port).filter(|s| wanted(l, port, kind, *s)).count()
}

/// Are there none of any kind?
pub(super) fn none_at(l: &Layout, port: u16) -> bool {
    near(l, port).next().is_none()
}

fn near(l: &Layout, port: u16) -> impl Iterator<Item = SuitId> {
    let berths = super::crew::suited_at_berths(l, &l.ports[port as usize]);
    let near = move |k: Kept| match k {
        Kept::Berth(_) => berths && is_at(l, port, k),
        _ => !berths && (is_at(l, port, k) || in_element(l, port, k)),
    };
    l.suits.ids().filter(move |s| near(l.suits[*s].home))
}

fn kinds(l: &Layout, near: impl Fn(Kept) -> bool) -> Vec<u16> {
    let mut out: Vec<u16> = l.suits.iter().filter(|s| near(s.home)).map(|s| s.kind).collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Kinds that planned sorties take outside.
pub(super) fn outside_kinds(a: &Arm) -> Vec<u16> {
    let ports = a.s.activities.iter().flat_map(|x| &x.it.ports);
    let ids = ports.filter_map(|p| a.l.port(&p.it));
    let mut out: Vec<u16> = ids.flat_map(|p| kinds_at(a.l, p)).collect();
    out.extend(a.s.activities.iter().filter_map(|x| super::crew::kind(a.s, &x.it)));
    out.sort_unstable();
    out.dedup();
    out
}

/// A suit that hangs at a berth.
fn at_berth(a: &Arm, suit: SuitId, berth: BerthId, say: &mut Sayer) {
    let (l, kind) = (a.l, &a.s.suits[a.l.suits[suit].kind as usize]);
    let b = &l.berths[berth];
    let port = &l.ports[b.port as usize];
    let Some(limit) = kind.it.port_limit else {
        let what = format!("`{}` hangs at port `{}` and has no `port_limit`", kind.name, port.name);
        return say.rule(&rules::NO_PORT_LIMIT, port.at, what);
    };
    let e = &a.spec.elements[l.elements[port.element as usize].spec as usize].it;
    let pressure = e.pressure.law.mean();
    let across = at_port(a, suit, b);
    if across > limit.law.mean() {
        let (x, most) = (across / 1000.0, limit.law.mean() / 1000.0);
        let what = format!(
            "`{}` is allowed {most:.1} kPa and sees {x:.1} kPa at port `{}`",
            kind.name, port.name
        );
        say.rule(&rules::PORT_LIMIT, e.pressure.at, what);
    }
    let shares = b.outer == OUTSIDE && l.volumes[b.gap].rest > l.ambient;
    if shares && pressure > SHARED_MOST {
        let what = format!("the cabin at port `{}` is set at {:.1} psi", port.name, pressure / PSI);
        say.rule(&rules::SHARED_PRESSURE, e.pressure.at, what);
    }
    let indoors = port.service_in != NONE && port.service_out != NONE;
    if b.outer == OUTSIDE && kind.it.maintenance_every.is_some() && !indoors {
        let what = format!(
            "`{}` is maintained indoors, and port `{}` has no service lists",
            kind.name, port.name
        );
        say.rule(&rules::SUIT_SERVICE, port.at, what);
    }
}

/// Largest difference across a suit that hangs at a berth, Pa, with the cabin at the top of its control
/// band.
pub(super) fn at_port(a: &Arm, suit: SuitId, b: &Berth) -> f64 {
    let port = &a.l.ports[b.port as usize];
    let e = &a.spec.elements[a.l.elements[port.element as usize].spec as usize].it;
    across(a, suit, b, e.pressure.law.mean()) + e.band.law.mean()
}

/// Largest difference across a suit at its berth, Pa. In the open that is the cabin's; in a chamber
/// it depends on what the chamber does while the suit hangs there, so the lists are walked.
fn across(a: &Arm, suit: SuitId, b: &Berth, cabin: f64) -> f64 {
    if b.outer == OUTSIDE {
        return cabin - a.l.ambient;
    }
    let l = a.l;
    let port = &l.ports[b.port as usize];
    let mut p = Places::rest(l);
    let host = l.elements[port.element as usize].cabin;
    (0..l.crew).for_each(|q| p.stand(q, Where::Volume(host)));
    let mut most = difference(&p, suit, b);
    let (team, hurt, rescuers) = (1, 0, 0);
    let group = Group { team, hurt, rescuers };
    for list in [port.egress, port.ingress].map(|id| l.lists.get(id as usize)) {
        let Some(list) = list else { return most };
        for i in 0..list.rows.len() {
            if step(l, &mut p, list, i, group).is_err() {
                return most; // the dry walk tells why
            }
            most = most.max(difference(&p, suit, b));
        }
        crate::plan::walk::release_berths(&mut p, team);
    }
    most
}

/// Difference across a suit that hangs at a berth now: its own gas or that in the gap behind it.
fn difference(p: &Places, suit: SuitId, b: &Berth) -> f64 {
    if !p.opening[b.interface].mated {
        return 0.0;
    }
    let inside = p.suit[suit].pressure().max(p.pressure(b.gap));
    inside - p.pressure(b.outer)
}

/// Openings that somebody passes in a suit, against the widths of the suits.
fn passes(a: &Arm, list: &List, kinds: &[u16], say: &mut Sayer) {
    passed(list).into_iter().for_each(|o| plate(a, o, kinds, say));
}

/// Openings that somebody passes in a suit, but those that a condition keeps to suits that fit.
fn passed(list: &List) -> Vec<OpeningId> {
    use Action::*;
    let mut out = Vec::new();
    let mut suited = !matches!(list.rows.first().map(|r| r.egress), Some(true));
    let guarded = |o| list.asks(Condition::ClearsSuit(o));
    for r in &list.rows {
        match (r.action, r.on) {
            (Don | SuitUp, _) => suited = true,
            (Doff, _) => suited = false,
            // The condition keeps suits that are too wide from starting the list.
            (Pass, On::Opening(o, _)) if suited && !guarded(o) => out.push(o),
            _ => {}
        }
    }
    out
}

/// The narrowest opening that a kind of suit is worn through, elements that are only checked included:
/// its name and clear width, m.
pub(super) fn narrowest(a: &Arm, kind: u16) -> Option<(String, f64)> {
    let l = a.l;
    let mut found: Vec<(String, f64)> = Vec::new();
    let mut add = |list: &List| {
        for o in passed(list) {
            let name = l.openings[o].path.clone();
            found.extend(clear(a, o).map(|n| (name, n.law.mean())));
        }
    };
    for (id, p) in l.ports.iter().enumerate() {
        if kinds_at(l, id as u16).contains(&kind) {
            let own = [p.egress, p.ingress, p.service_in, p.service_out];
            own.iter().filter_map(|id| l.lists.get(*id as usize)).for_each(&mut add);
        }
    }
    if outside_kinds(a).contains(&kind) {
        l.ways_back.iter().for_each(|id| add(&l.lists[*id as usize]));
    }
    for e in a.spec.elements.iter().filter(|e| !e.it.played.it) {
        for o in e.it.openings.iter().filter(|o| o.it.kind.it == OpeningKind::PressureHatch) {
            found.extend(o.it.clear.map(|n| (format!("{}/{}", e.name, o.name), n.law.mean())));
        }
    }
    found.into_iter().min_by(|x, y| x.1.total_cmp(&y.1))
}

/// Clear width of an opening, as written.
fn clear(a: &Arm, o: OpeningId) -> Option<Num> {
    let opening = &a.l.openings[o];
    match opening.port {
        NONE => {
            let e = &a.spec.elements[a.l.elements[opening.element as usize].spec as usize];
            e.it.openings[opening.spec as usize].it.clear
        }
        port => {
            let access = a.l.ports[port as usize].access;
            a.s.access[access as usize].it.openings[opening.spec as usize].it.clear
        }
    }
}

fn plate(a: &Arm, o: OpeningId, kinds: &[u16], say: &mut Sayer) {
    let opening = &a.l.openings[o];
    match clear(a, o) {
        Some(n) => kinds.iter().for_each(|k| narrow(a, *k, n, &opening.name, say)),
        None => {
            let what = format!("`{}` has no `clear`", opening.name);
            say.rule(&rules::CLEAR_MISSING, opening.at, what);
        }
    }
}

fn narrow(a: &Arm, kind: u16, clear: Num, opening: &str, say: &mut Sayer) {
    let suit = &a.s.suits[kind as usize];
    let (width, clear_m) = (suit.it.width.law.mean(), clear.law.mean());
    if width > clear_m {
        let what =
            format!("`{}` is {width:.2} m wide and `{opening}` {clear_m:.2} m clear", suit.name);
        say.rule(&rules::SUIT_PLATE, clear.at, what);
    }
}

/// Every suit of the architecture fits the hatches of elements that are only checked.
fn orbiters(a: &Arm, say: &mut Sayer) {
    let all = kinds(a.l, |_| true);
    for e in a.spec.elements.iter().filter(|e| !e.it.played.it) {
        for o in e.it.openings.iter().filter(|o| o.it.kind.it == OpeningKind::PressureHatch) {
            let name = format!("{}.{}", e.name, o.name);
            match o.it.clear {
                Some(n) => all.iter().for_each(|k| narrow(a, *k, n, &name, say)),
                None => {
                    let what = format!("`{name}` has no `clear`");
                    say.rule(&rules::CLEAR_MISSING, o.at, what);
                }
            }
        }
    }
}
