//! What is done at a place and changes no place: `clean`, `recharge`; and `travel`, of which only the
//! ascent vehicle takes people away.

use super::Cast;
use crate::plan::{Broken, OUTSIDE, On, OpeningId, Places, Side, VolumeId, Where, each_of};
use crate::scenario::{Action, By};

/// Whoever uses a stage, panel or umbilical is where it is; a seal is cleaned from a volume that the
/// opening borders. Joined volumes count as one.
pub(super) fn cannot_use(places: &Places, cast: &Cast) -> Option<Broken> {
    match (cast.row.action, cast.row.on) {
        (_, On::Stage(s)) => away_from_stage(places, cast, cast.l.stages[s as usize].within),
        (Action::Clean, On::Opening(o, n)) => away_from_seal(places, cast, (o, n)),
        _ => None,
    }
}

fn away_from_stage(places: &Places, cast: &Cast, within: VolumeId) -> Option<Broken> {
    let l = cast.l;
    let there = |p: usize| match places.person[p].at() {
        Where::Volume(v) => v == within || within != OUTSIDE && places.joined(l, v, within),
        Where::Berth(b) => l.berths[b].outer == within || within != OUTSIDE,
        Where::Gone => false,
    };
    each_of(cast.who).find(|p| !there(*p)).map(|_| Broken::NotThere)
}

fn away_from_seal(places: &Places, cast: &Cast, (o, n): (OpeningId, u8)) -> Option<Broken> {
    let l = cast.l;
    let near = |p: usize, v: VolumeId| match places.person[p].at() {
        Where::Volume(w) => w == v || w != OUTSIDE && v != OUTSIDE && places.joined(l, w, v),
        Where::Berth(_) | Where::Gone => false,
    };
    let there = |p: usize| {
        let o = places.opening_for(l, o, n, p);
        l.openings[o].sides.iter().any(|s| matches!(s, Side::Volume(v) if near(p, *v)))
    };
    each_of(cast.who).find(|p| !there(*p)).map(|_| Broken::NotThere)
}

/// The ascent vehicle takes no more people than its supply covers.
pub(super) fn cannot_leave(cast: &Cast) -> Option<Broken> {
    match cast.row.on {
        On::Element(e) if cast.row.by == By::Ascent => {
            let most = u32::from(cast.l.elements[e as usize].haven_people);
            (cast.who.count_ones() > most).then_some(Broken::NoSupply)
        }
        _ => None,
    }
}

pub(super) fn leave(places: &mut Places, cast: &Cast) {
    if cast.row.by == By::Ascent {
        each_of(cast.who).for_each(|p| places.stand(p, Where::Gone));
    }
}
