//! `depress`, `vent`, `repress` of volumes: nothing that stays at another pressure stands open to them,
//! and nobody is left bare.

use super::Cast;
use crate::plan::places::{ACROSS, habitable};
use crate::plan::{Broken, Crew, Layout, On, Places, Side, VolumeId, Where, each_of};
use crate::scenario::{Action, OpeningKind};

/// All of them are as empty, or as full, as wanted.
pub(super) fn already(places: &Places, cast: &Cast) -> bool {
    let (l, row) = (cast.l, cast.row);
    let holds = |v: VolumeId| {
        let (now, to) = (places.pressure(v), l.level(row, v));
        if row.action == Action::Repress { now >= to } else { now <= to }
    };
    matches!(row.on, On::Volumes(..) | On::BerthVolume(..)) && cast.volumes().all(holds)
}

pub(super) fn cannot_empty(places: &Places, cast: &Cast) -> Option<Broken> {
    let l = cast.l;
    for v in cast.volumes() {
        let target = l.level(cast.row, v);
        if places.pressure(v) <= target {
            continue;
        }
        for o in &l.volumes[v].openings {
            if !places.opening[*o].open {
                continue;
            }
            let [a, b] = l.openings[*o].sides;
            let other = if a == Side::Volume(v) { b } else { a };
            let inside = matches!(other, Side::Volume(w) if cast.at.has(w));
            if !inside && places.side(other).is_some_and(|p| p > target + ACROSS) {
                return Some(Broken::OpenToPressure);
            }
        }
        if !habitable(target, l.volumes[v].oxygen) && anybody_unsuited(places, v) {
            return Some(Broken::Unsuited);
        }
    }
    None
}

fn anybody_unsuited(places: &Places, v: VolumeId) -> bool {
    each_of(places.persons_in(v)).any(|p| {
        let s = places.person[p].suit;
        s.is_none() || !places.suit[s].checked
    })
}

pub(super) fn cannot_fill(places: &Places, cast: &Cast) -> Option<Broken> {
    let l = cast.l;
    for v in cast.volumes() {
        let target = l.level(cast.row, v);
        if places.pressure(v) >= target {
            continue;
        }
        for o in &l.volumes[v].openings {
            let across = l.across(*o, v).filter(|w| !cast.at.has(*w));
            let low = across.is_some_and(|w| places.pressure(w) < target - ACROSS);
            if low && places.opening[*o].open {
                return Some(Broken::OpenToVacuum);
            }
            let back = l.openings[*o].kind == OpeningKind::SuitInterface
                && l.openings[*o].sides[0] == Side::Volume(v);
            if low && back && !places.opening[*o].mated {
                return Some(Broken::OpenToVacuum);
            }
        }
    }
    None
}

pub(crate) fn act(places: &mut Places, cast: &Cast) {
    let up = cast.row.action == Action::Repress;
    for v in cast.volumes() {
        let to = cast.l.level(cast.row, v);
        let now = places.pressure(v);
        places.press(v, if up { now.max(to) } else { now.min(to) });
        empty_gaps_follow(places, cast.l, v);
    }
}

/// The gap of a berth without a suit is part of the volume the suit would hang in.
fn empty_gaps_follow(places: &mut Places, l: &Layout, volume: VolumeId) {
    for b in l.volumes[volume].berths.iter().map(|b| &l.berths[*b]) {
        if !places.opening[b.interface].mated {
            places.press(b.gap, places.pressure(volume));
        }
    }
}

/// Persons in suits from whom the row takes the pressure of an element, so that they live on suit
/// supply (rule 17): those in, or in the gap of, what is emptied, and those who leave a berth.
pub fn deprived(places: &Places, cast: &Cast) -> Crew {
    let (l, row, who) = (cast.l, cast.row, cast.who);
    let suited = |p: &usize| places.person[*p].suit.is_some();
    let set = |out: Crew, p: usize| out | 1 << p;
    match (row.action, row.on) {
        (Action::Unmate, _) | (Action::Depress | Action::Vent, On::Suit) if row.suit.is_none() => {
            each_of(who).filter(suited).fold(0, set)
        }
        (
            Action::Depress | Action::Vent | Action::Unmate,
            On::Volumes(..) | On::BerthVolume(..),
        ) => {
            let hit = |p: &usize| match places.person[*p].at() {
                Where::Volume(v) => cast.at.has(v),
                Where::Berth(b) => cast.at.has(l.berths[b].gap),
                Where::Gone => false,
            };
            (0..l.crew).filter(hit).filter(suited).fold(0, set)
        }
        _ => 0,
    }
}
