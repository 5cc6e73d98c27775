//! `mate` and `unmate`: a suit, worn or empty, at its berth.

use super::Cast;
use crate::plan::places::ACROSS;
use crate::plan::{BerthId, Broken, Kept, OpeningId, Places, Stuck, SuitId, Where, each_of};
use crate::scenario::Action;

/// All hang at a berth, or none does; not asked of the empty suit of somebody else.
pub(super) fn already(places: &Places, cast: &Cast) -> bool {
    let hangs = |p: usize| matches!(places.person[p].at(), Where::Berth(_));
    let mates = cast.row.action == Action::Mate;
    cast.row.suit.is_none() && each_of(cast.who).all(|p| hangs(p) == mates)
}

pub(super) fn cannot_mate(places: &Places, cast: &Cast, p: usize) -> Option<Broken> {
    let b = places.person[p].berth;
    if b.is_none() {
        return Some(Broken::NoBerth);
    }
    if places.person[p].at() == Where::Berth(b) {
        return None;
    }
    let berth = &cast.l.berths[b];
    if places.handled(cast.row, p, cast.g).is_none() {
        return Some(Broken::NoSuit);
    }
    let o = &places.opening[berth.interface];
    if o.stuck == Stuck::Open {
        return Some(Broken::StuckOpen);
    }
    if places.person[p].at() != Where::Volume(berth.outer) {
        return Some(Broken::NotThere);
    }
    if o.mated {
        return Some(Broken::NoBerth);
    }
    places.opening[berth.port_hatch].open.then_some(Broken::BerthHatch)
}

/// The berth that a handled suit hangs at, worn by `p` or empty.
fn hangs_at(places: &Places, s: SuitId, p: usize) -> Option<BerthId> {
    match (places.suit[s].kept(), places.person[p].at()) {
        (Kept::Berth(b), _) | (Kept::Worn(_), Where::Berth(b)) => Some(b),
        _ => None,
    }
}

pub(super) fn cannot_unmate(places: &Places, cast: &Cast, p: usize) -> Option<Broken> {
    let Some(s) = places.handled(cast.row, p, cast.g) else {
        return Some(Broken::NoSuit);
    };
    let berth = &cast.l.berths[hangs_at(places, s, p)?];
    if places.opening[berth.interface].stuck == Stuck::Shut {
        return Some(Broken::StuckShut);
    }
    let open = |o: OpeningId| places.opening[o].open;
    if open(berth.port_hatch) || open(berth.suit_hatch) {
        return Some(Broken::BerthHatch);
    }
    let outside = places.pressure(berth.outer);
    if (places.pressure(berth.gap) - outside).abs() > ACROSS {
        return Some(Broken::BerthPressure);
    }
    let wrong = (places.suit[s].pressure() - cast.l.suits[s].working).abs() > ACROSS;
    wrong.then_some(Broken::BerthPressure)
}

pub(super) fn mate(places: &mut Places, cast: &Cast, p: usize) {
    let b = places.person[p].berth;
    if places.person[p].at() == Where::Berth(b) {
        return;
    }
    let Some(s) = places.handled(cast.row, p, cast.g) else {
        return;
    };
    let berth = cast.l.berths[b];
    places.opening[berth.interface].mated = true;
    places.press(berth.gap, places.pressure(berth.outer));
    if cast.row.suit.is_some() {
        places.keep(s, Kept::Berth(b));
    } else {
        places.stand(p, Where::Berth(b));
    }
}

pub(super) fn unmate(places: &mut Places, cast: &Cast, p: usize) {
    let Some(s) = places.handled(cast.row, p, cast.g) else {
        return;
    };
    let Some(b) = hangs_at(places, s, p) else { return };
    let berth = cast.l.berths[b];
    places.opening[berth.interface].mated = false;
    places.press(berth.gap, places.pressure(berth.outer));
    match places.suit[s].kept() {
        Kept::Berth(_) => {
            // The empty suit is taken off: whoever kept the berth does not need it any more.
            places.keep(s, Kept::Volume(berth.outer));
            places.person.iter_mut().filter(|q| q.berth == b).for_each(|q| q.berth = BerthId::NONE);
        }
        _ => places.stand(p, Where::Volume(berth.outer)),
    }
}
