//! The suit as a thing that rows handle: its gas vented or filled, its leak check.

use super::Cast;
use crate::plan::{Aim, Broken, Kept, On, Places, Where, each_of};
use crate::scenario::Action;

/// A suit is vented or filled worn or at its berth with the hatch behind it shut; only at a berth is
/// there anything to fill it from.
pub(super) fn cannot_change(places: &Places, cast: &Cast) -> Option<Broken> {
    let l = cast.l;
    for p in each_of(cast.who) {
        let Some(s) = places.handled(cast.row, p, cast.g) else {
            return Some(Broken::NoSuit);
        };
        let berth = match places.suit[s].kept() {
            Kept::Berth(b) => Some(b),
            Kept::Worn(q) => match places.person[q as usize].at() {
                Where::Berth(b) => Some(b),
                _ => None,
            },
            Kept::Volume(_) => return Some(Broken::NotThere),
        };
        let hatch = berth.map(|b| l.berths[b].suit_hatch);
        if hatch.is_some_and(|h| places.opening[h].open) {
            return Some(Broken::BerthHatch);
        }
        if berth.is_none() && cast.row.action == Action::Repress {
            return Some(Broken::NotThere);
        }
    }
    None
}

pub(crate) fn change(places: &mut Places, cast: &Cast) {
    let up = cast.row.action == Action::Repress;
    for p in each_of(cast.who) {
        if let Some(s) = places.handled(cast.row, p, cast.g) {
            let to = match cast.row.to {
                Aim::Working | Aim::Rest => cast.l.suits[s].working,
                Aim::Ambient => cast.l.ambient,
                Aim::Pascal(p) => p,
            };
            let now = places.suit[s].pressure();
            places.press_suit(s, if up { now.max(to) } else { now.min(to) });
        }
    }
}

/// Whoever has no suit on has none to check.
pub(super) fn cannot_check(places: &Places, cast: &Cast) -> Option<Broken> {
    let bare = |p: &usize| places.person[*p].suit.is_none();
    match cast.row.on {
        On::Suit => each_of(cast.who).find(bare).map(|_| Broken::NoSuit),
        _ => None,
    }
}

pub(crate) fn check(places: &mut Places, cast: &Cast) {
    if cast.row.on != On::Suit {
        return;
    }
    for p in each_of(cast.who) {
        let s = places.person[p].suit;
        if s.is_some() {
            places.suit[s].checked = true;
        }
    }
}
