//! The dry walk (rule 3): lists walked by their rows alone, nothing failing, no time.
//!
//! Used by `check` on every list, and in play to ask whether the rest of a list could still be
//! walked from where people are (rule 23).

use super::places::{ACROSS, Places, Where, each_of};
use super::step::{Cast, act, broken};
use super::*;
use crate::scenario::{Action, IfFails, OpeningKind, OpeningRest, Who};

/// Walks `list` from row `from` to its end; stops at the first row that is broken.
pub fn walk(
    l: &Layout,
    p: &mut Places,
    list: &List,
    from: usize,
    group: Group,
) -> Result<(), (usize, Broken)> {
    for i in from..list.rows.len() {
        step(l, p, list, i, group)?;
    }
    Ok(())
}

/// As [`walk()`], for people who are under way: do they get to the end? A row after whose failure they go on is
/// passed over where it cannot be done.
pub fn gets_through(l: &Layout, p: &mut Places, list: &List, from: usize, group: Group) -> bool {
    let goes_on = |i: usize| matches!(list.rows[i].if_fails, IfFails::GoOn);
    (from..list.rows.len()).all(|i| step(l, p, list, i, group).is_ok() || goes_on(i))
}

/// Who walks.
#[derive(Clone, Copy, Debug)]
pub struct Group {
    /// The team.
    pub team: Crew,
    /// The hurt.
    pub hurt: Crew,
    /// Those who came out to help.
    pub rescuers: Crew,
}

/// Walks one row.
pub fn step(
    l: &Layout,
    p: &mut Places,
    list: &List,
    i: usize,
    group: Group,
) -> Result<(), (usize, Broken)> {
    let row = &list.rows[i];
    let mut g = spread(l, p, list.port, row, group);
    if list.kind == ListKind::Restore {
        g.inside |= group.team; // those who restore are the ones inside
    }
    let who = row.who.pick(&g);
    if who == 0 || !row.when.iter().all(|c| assumed(*c, group)) {
        return Ok(());
    }
    if list.kind == ListKind::Restore && row.berths {
        return every_berth(l, p, list, i, who, &g);
    }
    if row.berths
        && row.suit.is_none()
        && let Some(b) = p.keep_berths(l, list.port, who, row.frees)
    {
        return Err((i, b));
    }
    let cast = Cast::new(p, l, row, who, &g);
    match broken(p, &cast) {
        Some(b) => Err((i, b)),
        None => {
            act(p, &cast);
            Ok(())
        }
    }
}

/// In a `restore` list a row acts on every berth of the port, one after the other.
fn every_berth(
    l: &Layout,
    p: &mut Places,
    list: &List,
    i: usize,
    who: Crew,
    g: &Spread,
) -> Result<(), (usize, Broken)> {
    let one = who & who.wrapping_neg();
    for b in &l.ports[list.port as usize].berths {
        each_of(one).for_each(|k| p.person[k].berth = *b);
        let row = &list.rows[i];
        // A berth whose suit is elsewhere is at rest with its gap empty.
        if p.suit_at(*b).is_some() {
            let cast = Cast::new(p, l, row, one, g);
            if let Some(why) = broken(p, &cast) {
                return Err((i, why));
            }
            act(p, &cast);
        }
    }
    release_berths(p, one);
    Ok(())
}

/// What a condition on a row is taken to be in a dry walk.
fn assumed(c: Asked, group: Group) -> bool {
    let hurt = group.hurt & group.team != 0;
    match (c.condition, c.not) {
        (Condition::Casualty, not) => hurt != not,
        (Condition::NoCasualty, not) => hurt == not,
        _ => true,
    }
}

/// Whom the person words of a row mean now.
pub fn spread(l: &Layout, p: &Places, port: u16, row: &Row, group: Group) -> Spread {
    let Group { team, hurt, rescuers } = group;
    let mut g = Spread { team, hurt, inside: 0, inside_of: 0, rescuers };
    if !row.who.asks_inside() {
        return g;
    }
    let host = l.elements[l.ports[port as usize].element as usize].cabin;
    let others = !(team | rescuers | hurt);
    let (mut joined, mut reach) = (None, None);
    for i in 0..l.crew {
        let bit = 1 << i;
        if let Where::Volume(v) = p.person[i].at()
            && v != OUTSIDE
            && others & bit != 0
        {
            let near = joined.get_or_insert_with(|| p.joined_to(l, host)).has(v)
                || reach.get_or_insert_with(|| p.in_reach(l, host)).has(v);
            g.inside |= if near { bit } else { 0 };
        }
    }
    if let WhoSel::InsideOf(v) = row.who {
        g.inside_of = p.persons_in(v) & !team & !hurt;
    }
    g
}

/// What is not at rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Astray {
    /// A volume at another pressure.
    Volume(VolumeId),
    /// An opening in another state.
    Opening(OpeningId),
}

/// The first thing of `port` (or of the elements, for [`NONE`]) that is not at rest, volumes of elements
/// that the port empties included; a berth whose suit is elsewhere is at rest with its gap empty.
pub fn astray(l: &Layout, p: &Places, port: u16) -> Option<Astray> {
    let volume = |v: &VolumeId| {
        let (is, rest) = (p.pressure(*v), l.volumes[*v].rest);
        // A volume that rests at ambient is at rest with what a vent leaves.
        let empty = rest <= l.ambient && is <= l.ambient + ACROSS;
        !empty && (is - rest).abs() > 1.0 && !empty_berth(l, p, *v)
    };
    let opening = |o: &OpeningId| match l.openings[*o].rest {
        OpeningRest::Open => !p.opening[*o].open,
        OpeningRest::Shut => p.opening[*o].open,
        OpeningRest::Mated => false,
    };
    let (v, o) = match l.ports.get(port as usize) {
        Some(own) => {
            let volumes = own.volumes.iter().chain(&own.empties).filter(|v| volume(v)).min();
            (volumes.copied(), own.openings.iter().find(|o| opening(o)).copied())
        }
        None => {
            let cabins = l.volumes.each().skip(1).filter(|(_, v)| v.port == NONE).map(|(v, _)| v);
            let own = l.openings.each().filter(|(_, o)| o.port == NONE).map(|(o, _)| o);
            (cabins.into_iter().find(volume), own.into_iter().find(opening))
        }
    };
    v.map(Astray::Volume).or(o.map(Astray::Opening))
}

/// Is the volume the gap of a berth at which no suit hangs?
fn empty_berth(l: &Layout, p: &Places, v: VolumeId) -> bool {
    l.berths.each().any(|(i, b)| b.gap == v && p.suit_at(i).is_none())
}

/// Is everybody of `team` unsuited in a habitable volume, or away on the ascent vehicle?
pub fn all_in(l: &Layout, p: &Places, team: Crew) -> bool {
    each_of(team).all(|i| match p.person[i].at() {
        Where::Volume(v) => p.person[i].suit.is_none() && p.is_habitable(l, v),
        Where::Gone => true,
        Where::Berth(_) => false,
    })
}

/// The chamber that must be empty before the first row of a list that starts outside (rule 4): behind the
/// first pressure hatch of its own port that it opens or passes. [`VolumeId::NONE`] if that is a cabin,
/// or if the list's own rows empty the chamber before: then somebody inside begins.
pub fn readied(l: &Layout, list: &List) -> VolumeId {
    if list.kind != ListKind::Ingress && list.from != Some(OUTSIDE)
        || list.asks(Condition::RescuersInside)
    {
        return VolumeId::NONE; // rescuers begin inside
    }
    let empties = |v: VolumeId| {
        list.rows.iter().position(|r| match (r.action, r.on) {
            (Action::Depress | Action::Vent, On::Volumes(of, n)) => of[..n as usize].contains(&v),
            _ => false,
        })
    };
    let first = list.rows.iter().enumerate().find_map(|(i, r)| match (r.action, r.on) {
        (Action::Open | Action::Pass, On::Opening(o, 1)) => {
            let opening = &l.openings[o];
            let own = opening.port == list.port && opening.kind == OpeningKind::PressureHatch;
            own.then_some((i, opening.sides))
        }
        _ => None,
    });
    match first {
        Some((i, [Side::Volume(v), _])) if v != OUTSIDE && l.volumes[v].port != NONE => {
            if empties(v).is_some_and(|e| e < i) { VolumeId::NONE } else { v }
        }
        _ => VolumeId::NONE,
    }
}

/// Rule 4, for a list that starts outside: openings of the chamber behind its first outer hatch shut, the
/// chamber empty. Only before the first row.
pub fn make_ready(l: &Layout, p: &mut Places, list: &List, row: usize) {
    let v = if row == 0 { readied(l, list) } else { VolumeId::NONE };
    if v.is_none() || p.pressure(v) <= l.ambient + ACROSS || p.persons_in(v) != 0 {
        return;
    }
    for q in &l.volumes[v].openings {
        p.opening[*q].open = false;
    }
    p.press(v, l.ambient);
}

/// Persons that fit through a list at once: the least that the volumes hold that its `pass` rows lead
/// into; [`u32::MAX`] if none of them is limited.
pub fn holds(l: &Layout, list: &List) -> u32 {
    let into = |r: &Row| match (r.action, r.on) {
        (Action::Pass, On::Opening(o, _)) => super::ends(l, o, r.direction).map(|e| e.1),
        _ => None,
    };
    let rooms = list.rows.iter().filter_map(into).map(|v| l.volumes[v].holds);
    rooms.filter(|n| *n < u16::MAX).map(u32::from).min().unwrap_or(u32::MAX)
}

/// The first of a team that go through a list which holds `most` at once (rule 14): casualty and
/// partner first, then roster order; with a casualty and no room for two nobody is parted.
pub fn first_batch(team: Crew, hurt: Crew, most: u32) -> Crew {
    if most == 0 || team.count_ones() <= most || team & hurt != 0 && most < 2 {
        return team;
    }
    let (mut down, mut able, mut out) = (team & hurt, team & !hurt, 0);
    while out_of(out) < most && down | able != 0 {
        for pool in [&mut down, &mut able] {
            if out_of(out) < most {
                let one = *pool & pool.wrapping_neg();
                out |= one;
                *pool &= !one;
            }
        }
    }
    out
}

fn out_of(crew: Crew) -> u32 {
    crew.count_ones()
}

/// Rows of an egress list that make its port ready for people outside (rule 4): closing inner
/// hatches, emptying volumes of the port itself.
pub fn readies(l: &Layout, port: u16, row: &Row) -> bool {
    match (row.action, row.on) {
        (Action::Depress | Action::Vent, On::Volumes([v, ..], _)) => l.volumes[v].port == port,
        (Action::Close, On::Opening(o, 1)) => {
            let o = &l.openings[o];
            !o.sides.contains(&Side::Volume(OUTSIDE)) && o.kind == OpeningKind::PressureHatch
        }
        _ => false,
    }
}

/// Rows of an ingress list that bring a port back for the next batch inside (rule 14): closing,
/// filling volumes of the port itself, opening what does not lead outside.
pub fn refills(l: &Layout, port: u16, row: &Row) -> bool {
    match (row.action, row.on) {
        (Action::Repress, On::Volumes([v, ..], _)) => l.volumes[v].port == port,
        (Action::Close, On::Opening(_, 1)) => true,
        (Action::Open, On::Opening(o, 1)) => !l.openings[o].sides.contains(&Side::Volume(OUTSIDE)),
        _ => false,
    }
}

/// The last ingress row from which the rows that [`refills`] names lead to a state in which `next`
/// can walk the egress list; `None` if there is none.
pub fn refill_row(
    l: &Layout,
    start: &Places,
    (egress, ingress): (&List, &List),
    next: Group,
) -> Option<usize> {
    (0..=ingress.rows.len()).rev().find(|from| {
        let mut p = start.clone();
        refill(l, &mut p, ingress, *from, next) && walk(l, &mut p, egress, 0, next).is_ok()
    })
}

/// Plays the refilling rows of an ingress list from `from`; false if one of them is broken.
pub fn refill(l: &Layout, p: &mut Places, ingress: &List, from: usize, next: Group) -> bool {
    let g = Spread { team: next.team, inside: next.team, hurt: next.hurt, ..Spread::default() };
    for row in ingress.rows[from..].iter().filter(|r| refills(l, ingress.port, r)) {
        let cast = Cast::new(p, l, row, next.team, &g);
        if broken(p, &cast).is_some() {
            return false;
        }
        act(p, &cast);
    }
    true
}

/// Releases the berths that `team` kept through a list.
pub fn release_berths(p: &mut Places, team: Crew) {
    each_of(team).for_each(|i| p.person[i].berth = BerthId::NONE);
}

/// Row after which everybody of the team is safe, walking `list` from `start`; the last row if never.
pub fn safe_row(l: &Layout, start: &Places, list: &List, group: Group) -> usize {
    let mut p = start.clone();
    for i in 0..list.rows.len() {
        if step(l, &mut p, list, i, group).is_err() {
            break;
        }
        if each_of(group.team).all(|k| p.safe(l, k) || p.person[k].at() == Where::Gone) {
            return i;
        }
    }
    list.rows.len().saturating_sub(1)
}

/// Does the list have rows for a casualty?
pub fn wants_casualty(list: &List) -> bool {
    let of = |w: Who| matches!(w, Who::Casualty | Who::Partner);
    list.asks(Condition::Casualty)
        || list.needs.contains(&Asked { not: true, condition: Condition::NoCasualty })
        || list.rows.iter().any(|r| match r.who {
            WhoSel::Word(w) | WhoSel::Narrowed(w) => of(w),
            WhoSel::InsideOf(_) => false,
        })
}
