//! `don`, `suit up`, `doff`: in and out of a suit, where one can breathe; through the back of a suit at
//! its berth.

use super::Cast;
use crate::plan::{
    BerthId, Broken, Kept, Layout, On, OpeningId, Places, SuitId, VolumeId, Where, each_of,
};
use crate::scenario::Action;

/// All wear one, or none does.
pub(super) fn already(places: &Places, cast: &Cast) -> bool {
    let on = cast.row.action != Action::Doff;
    each_of(cast.who).all(|p| places.person[p].suit.is_some() == on)
}

pub(super) fn cannot_don(places: &Places, cast: &Cast, p: usize) -> Option<Broken> {
    if places.person[p].suit.is_some() {
        return None;
    }
    let Where::Volume(v) = places.person[p].at() else {
        return Some(Broken::NotThere);
    };
    if !places.is_habitable(cast.l, v) {
        return Some(Broken::NotHabitable);
    }
    match cast.row.on {
        On::Opening(..) => {
            let b = places.person[p].berth;
            if b.is_none() || places.suit_at(b).is_none_or(|s| !places.suit[s].usable) {
                return Some(Broken::NoSuit);
            }
            through_the_back(places, cast.l, b, v)
        }
        _ => {
            let none = places.suited(cast.l, cast.row, p, v).next().is_none();
            none.then_some(Broken::NoSuit)
        }
    }
}

/// Both hatches of the berth open and the person on its cabin side.
fn through_the_back(places: &Places, l: &Layout, b: BerthId, v: VolumeId) -> Option<Broken> {
    let berth = &l.berths[b];
    let open = |o: OpeningId| places.opening[o].open;
    if !open(berth.port_hatch) || !open(berth.suit_hatch) {
        return Some(Broken::BerthHatch);
    }
    (v != berth.cabin).then_some(Broken::NotThere)
}

pub(super) fn cannot_doff(places: &Places, cast: &Cast, p: usize) -> Option<Broken> {
    if places.person[p].suit.is_none() {
        return None;
    }
    let l = cast.l;
    match (cast.row.on, places.person[p].at()) {
        (On::Opening(..), Where::Berth(b)) => {
            let cabin = l.berths[b].cabin;
            if !places.is_habitable(l, cabin) {
                return Some(Broken::NotHabitable);
            }
            through_the_back(places, l, b, cabin)
        }
        (On::Opening(..), _) => Some(Broken::NotThere),
        (_, Where::Volume(v)) if places.is_habitable(l, v) => None,
        (_, Where::Volume(_)) => Some(Broken::NotHabitable),
        _ => Some(Broken::NotThere),
    }
}

pub(super) fn don(places: &mut Places, cast: &Cast, p: usize) {
    if places.person[p].suit.is_some() {
        return;
    }
    let Where::Volume(v) = places.person[p].at() else {
        return;
    };
    let suit = match cast.row.on {
        On::Opening(..) => places.suit_at(places.person[p].berth),
        _ => places.choice(cast.l, cast.row, p, v),
    };
    let Some(s) = suit else { return };
    if let Kept::Berth(b) = places.suit[s].kept() {
        places.stand(p, Where::Berth(b));
    } else {
        places.press_suit(s, places.pressure(v));
    }
    places.keep(s, Kept::Worn(p as u8));
    places.suit[s].checked = false;
    places.suit[s].worn += 1;
    places.person[p].suit = s;
}

pub(super) fn doff(places: &mut Places, l: &Layout, p: usize) {
    let s = places.person[p].suit;
    if s.is_none() {
        return;
    }
    places.person[p].suit = SuitId::NONE;
    places.suit[s].checked = false;
    match places.person[p].at() {
        Where::Berth(b) => {
            places.keep(s, Kept::Berth(b));
            places.stand(p, Where::Volume(l.berths[b].cabin));
        }
        Where::Volume(v) => {
            places.keep(s, Kept::Volume(v));
            places.press_suit(s, places.pressure(v));
        }
        Where::Gone => {}
    }
}
