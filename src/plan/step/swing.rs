//! `open` and `close`: an opening swings across at most 1 kPa; a stuck one does not.

use super::Cast;
use crate::plan::places::ACROSS;
use crate::plan::{Broken, Layout, On, OpeningId, Places, Stuck, Where, each_of};
use crate::scenario::{Action, OpeningKind};

/// All of them stand as wanted.
pub(super) fn already(places: &Places, cast: &Cast) -> bool {
    let open = cast.row.action == Action::Open;
    let stands = |o: OpeningId| places.opening[o].open == open;
    matches!(cast.row.on, On::Opening(..)) && cast.openings().all(stands)
}

/// First reason by opening: the one, or that of each person's berth.
fn by_opening(cast: &Cast, test: impl Fn(OpeningId) -> Option<Broken>) -> Option<Broken> {
    cast.openings().find_map(test)
}

pub(super) fn cannot_open(places: &Places, cast: &Cast) -> Option<Broken> {
    by_opening(cast, |o| stays_shut(places, cast.l, o)).or_else(|| nobody_opens(places, cast))
}

fn stays_shut(places: &Places, l: &Layout, o: OpeningId) -> Option<Broken> {
    let state = &places.opening[o];
    if state.open {
        return None;
    }
    if state.stuck == Stuck::Shut {
        return Some(Broken::StuckShut);
    }
    if l.openings[o].kind == OpeningKind::DustDoor {
        return None;
    }
    let [a, b] = l.openings[o].sides;
    match (places.side(a), places.side(b)) {
        (Some(x), Some(y)) if (x - y).abs() <= ACROSS => None,
        (Some(_), Some(_)) => Some(Broken::PressureAcross),
        _ => Some(Broken::NoSuit),
    }
}

/// Who is incapacitated in a suit at a berth cannot open its hatches: somebody able in the cabin
/// behind it has to, be it the partner who has come in by another berth.
fn nobody_opens(places: &Places, cast: &Cast) -> Option<Broken> {
    let On::Opening(o, n) = cast.row.on else { return None };
    let (l, hurt) = (cast.l, cast.g.hurt);
    if cast.who & hurt == 0 {
        return None;
    }
    let alone = |p: usize| {
        let Where::Berth(b) = places.person[p].at() else { return false };
        let o = places.opening_for(l, o, n, p);
        let hatch = [l.berths[b].port_hatch, l.berths[b].suit_hatch];
        let shut = hatch.contains(&o) && !places.opening[o].open;
        shut && !places.anybody_able(l, l.berths[b].cabin, hurt)
    };
    each_of(cast.who & hurt).find(|p| alone(*p)).map(|_| Broken::NobodyInside)
}

pub(super) fn cannot_close(places: &Places, cast: &Cast) -> Option<Broken> {
    by_opening(cast, |o| {
        let state = &places.opening[o];
        (state.open && state.stuck == Stuck::Open).then_some(Broken::StuckOpen)
    })
}

pub(crate) fn act(places: &mut Places, cast: &Cast) {
    let open = cast.row.action == Action::Open;
    cast.openings().for_each(|o| places.set_open(cast.l, o, open));
}
