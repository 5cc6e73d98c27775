//! What belongs where, never by the order of a file: people to elements (rule 1), kinds of suit to
//! ports (rule 15), volumes of elements to the ports that empty them (rule 3).

use super::*;
use crate::scenario::{Action, ElementKind, Scenario};

/// Fills what follows from the rest of a layout, and says where people have no one home.
pub(super) fn settle(s: &Scenario, l: &mut Layout) -> Vec<Complaint> {
    rank_suits(l);
    for p in 0..l.ports.len() {
        l.ports[p].kinds = kinds(l, p as u16);
        l.ports[p].empties = empties(l, p as u16);
        l.ports[p].out_from = out_from(l, p as u16);
    }
    homes(s, l)
}

/// Order of suits by name: ties between suits fall to it, not to the file.
fn rank_suits(l: &mut Layout) {
    let mut order: Vec<SuitId> = l.suits.ids().collect();
    order.sort_by(|a, b| l.suits[*a].path.cmp(&l.suits[*b].path));
    for (rank, s) in order.into_iter().enumerate() {
        l.suits[s].rank = rank as u16;
    }
}

/// Kinds of suit that people put on to leave by a port: those placed there, else those in the cabin of
/// its element or of one that is joined to it.
fn kinds(l: &Layout, port: u16) -> Vec<u16> {
    let own = of_suits(l, |k| is_at(l, port, k));
    if own.is_empty() { of_suits(l, |k| in_element(l, port, k)) } else { own }
}

fn of_suits(l: &Layout, near: impl Fn(Kept) -> bool) -> Vec<u16> {
    let mut out: Vec<u16> = l.suits.iter().filter(|s| near(s.home)).map(|s| s.kind).collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Is something kept at a berth or in a volume of a port?
pub fn is_at(l: &Layout, port: u16, kept: Kept) -> bool {
    match kept {
        Kept::Berth(b) => l.berths[b].port == port,
        Kept::Volume(v) => l.volumes[v].port == port,
        Kept::Worn(_) => false,
    }
}

/// In the element of the port, or in one that is joined to it?
pub fn in_element(l: &Layout, port: u16, kept: Kept) -> bool {
    let Kept::Volume(v) = kept else { return false };
    let (host, e) = (l.ports[port as usize].element, l.volumes[v].element);
    let joined = |a: u16, b: u16| l.elements.get(a as usize).is_some_and(|x| x.joined == b);
    v != OUTSIDE && (e == host || joined(e, host) || joined(host, e))
}

/// Volumes of elements that rows of a port's lists empty: a module used as a lock.
fn empties(l: &Layout, port: u16) -> Vec<VolumeId> {
    let rows = l.lists.iter().filter(|x| x.port == port).flat_map(|x| &x.rows);
    let mut out: Vec<VolumeId> = rows
        .filter(|r| matches!(r.action, Action::Depress | Action::Vent))
        .filter_map(|r| match r.on {
            On::Volumes(v, n) => Some(v[..n as usize].to_vec()),
            _ => None,
        })
        .flatten()
        .filter(|v| *v != OUTSIDE && l.volumes[*v].port == NONE)
        .collect();
    out.sort_unstable();
    out.dedup();
    // A module with a port of its own that empties it is that port's to fill.
    let host = l.ports[port as usize].element;
    let theirs = |v: VolumeId| {
        let e = l.volumes[v].element;
        e != host && l.ports.iter().any(|p| p.element == e && !p.ways.is_empty())
    };
    out.retain(|v| !theirs(*v));
    out
}

/// Where people stand when `service-out` puts them into suits that are indoors.
fn out_from(l: &Layout, port: u16) -> VolumeId {
    let p = &l.ports[port as usize];
    let mut at = l.elements[p.element as usize].cabin;
    for r in l.lists.get(p.service_out as usize).map_or(&[][..], |x| &x.rows) {
        match (r.action, r.on) {
            (Action::Don, On::Suit) => return at,
            (Action::Pass, On::Opening(o, 1)) => {
                at = ends(l, o, r.direction).map_or(at, |e| e.1);
            }
            _ => {}
        }
    }
    VolumeId::NONE
}

/// Where everybody lives: the element of their activity; those of several or of none in `crew.home`,
/// by default the only habitat. A traverse is no home: its crew live where the rover is joined to.
fn homes(s: &Scenario, l: &mut Layout) -> Vec<Complaint> {
    let shared = shared_home(s, l);
    let mut said = Vec::new();
    l.homes = (0..l.crew)
        .map(|p| match (own_home(s, l, p), shared) {
            (Some(e), _) => e,
            (None, Ok(e)) => e,
            (None, Err(())) => {
                said.push(s.crew.names[p].clone());
                0
            }
        })
        .collect();
    let Some(first) = said.first() else { return Vec::new() };
    let (at, what) = match &s.crew.home {
        Some(h) => (h.at, format!("`{}` is no element of this architecture", h.it)),
        None => (first.at, no_home(first.it.as_str(), said.len())),
    };
    let known = build::names(l.elements.iter().map(|e| &e.name));
    let remedy = format!("write `home` in `[crew]`; {known}");
    vec![Complaint { rule: "crew-home", at, what, remedy }]
}

fn no_home(name: &str, count: usize) -> String {
    let others = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
    format!("{name}{others} go out from no element or several, and there is no one habitat")
}

/// The element that the activities of a person start from, if it is one.
fn own_home(s: &Scenario, l: &Layout, p: usize) -> Option<u16> {
    let name = &s.crew.names[p].it;
    let mine = s.activities.iter().filter(|a| {
        let crew = &a.it.crew;
        a.it.traverse.is_none() && (crew.is_empty() || crew.iter().any(|c| c.it == *name))
    });
    let mut from: Vec<u16> = mine.filter_map(|a| l.element(&a.it.from.it)).collect();
    from.sort_unstable();
    from.dedup();
    if let [one] = from[..] { Some(one) } else { None }
}

/// The element of `crew.home`; without it the only habitat, else the only element that does not drive.
fn shared_home(s: &Scenario, l: &Layout) -> Result<u16, ()> {
    if let Some(h) = &s.crew.home {
        return l.element(&h.it).ok_or(());
    }
    let only = |which: &dyn Fn(&Element) -> bool| {
        let mut all = (0..l.elements.len()).filter(|e| which(&l.elements[*e]));
        all.next().filter(|_| all.next().is_none()).map(|e| e as u16)
    };
    let habitats = l.elements.iter().filter(|e| e.kind == ElementKind::Habitat).count();
    match habitats {
        0 => only(&|e| e.kind != ElementKind::Rover).or_else(|| only(&|_| true)).ok_or(()),
        _ => only(&|e| e.kind == ElementKind::Habitat).ok_or(()),
    }
}
