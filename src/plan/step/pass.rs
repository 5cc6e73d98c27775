//! `pass`: through an open opening, into a volume that has room, in a suit where nobody can breathe.

use super::Cast;
use crate::plan::{Broken, On, Places, Where, each_of, ends};

pub(super) fn broken(places: &Places, cast: &Cast) -> Option<Broken> {
    if !matches!(cast.row.on, On::Opening(..)) {
        return None;
    }
    let (l, who) = (cast.l, cast.who);
    for (rank, p) in each_of(who).enumerate() {
        let o = cast.at.of(rank);
        let (near, far) = ends(l, o, cast.row.direction)?;
        match places.person[p].at() {
            Where::Volume(v) if v == near => {}
            Where::Volume(v) if v == far => return Some(Broken::FarSide),
            _ => return Some(Broken::NotThere),
        }
        if !places.opening[o].open {
            return Some(Broken::Shut);
        }
        if places.person[p].suit.is_none() && !places.is_habitable(l, far) {
            return Some(Broken::Unsuited);
        }
        let holds = usize::from(l.volumes[far].holds);
        let there = || (places.persons_in(far) | who & places.persons_in(near)).count_ones();
        if holds < l.crew && there() as usize > holds {
            return Some(Broken::Full);
        }
    }
    None
}

pub(crate) fn act(places: &mut Places, cast: &Cast) {
    if !matches!(cast.row.on, On::Opening(..)) {
        return;
    }
    for (rank, p) in each_of(cast.who).enumerate() {
        let o = cast.at.of(rank);
        if let Some((_, far)) = ends(cast.l, o, cast.row.direction) {
            places.stand(p, Where::Volume(far));
        }
    }
}
