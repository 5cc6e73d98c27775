//! Where the dry walk of a port begins: with everybody in the cabin behind it, or before a haven.

use super::suits::none_at;
use crate::plan::{BerthId, Kept, Layout, OUTSIDE, Places, SuitId, Where, each_of, walk};

/// Everything at rest, everybody in the cabin the port opens into.
pub(super) fn start(l: &Layout, port: u16, team: u32) -> Places {
    let mut p = Places::rest(l);
    let element = &l.elements[l.ports[port as usize].element as usize];
    // A rover (nobody stays inside when its team goes out) carries its team alone.
    let aboard = if element.inside_least == 0 { team as usize } else { l.crew };
    for i in 0..aboard.min(l.crew) {
        p.stand(i, Where::Volume(element.cabin));
    }
    p
}

/// The first batch of a team in front of a port where no suit is kept within reach, a haven: they come
/// by it in suits of other ports. `None` for a port with suits of its own, or where too few are elsewhere.
pub(super) fn before_haven(l: &Layout, port: u16, team: u32) -> Option<(Places, walk::Group)> {
    let list = l.lists.get(l.ports[port as usize].ingress as usize)?;
    if !none_at(l, port) || l.suits.len() < team as usize {
        return None;
    }
    let mut p = start(l, port, team);
    let team = walk::first_batch((1 << team) - 1, 0, walk::holds(l, list));
    for (i, suit) in each_of(team).zip(l.suits.ids()) {
        take(l, &mut p, suit);
        p.keep(suit, Kept::Worn(i as u8));
        p.press_suit(suit, l.suits[suit].working);
        p.suit[suit].checked = true;
        p.person[i].suit = suit;
        p.stand(i, Where::Volume(OUTSIDE));
        p.person[i].berth = BerthId::NONE;
    }
    walk::make_ready(l, &mut p, list, 0);
    Some((p, walk::Group { team, hurt: 0, rescuers: 0 }))
}

/// A suit that hung at a berth leaves it empty.
fn take(l: &Layout, p: &mut Places, suit: SuitId) {
    if let Kept::Berth(b) = p.suit[suit].kept() {
        let berth = &l.berths[b];
        p.opening[berth.interface].mated = false;
        p.press(berth.gap, p.pressure(berth.outer));
    }
}
