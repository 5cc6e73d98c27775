//! What a row means, one file per verb: whether its result already holds, why it cannot be done
//! (rule 2), what it changes of the places. The dry walk and play use the same functions. Gas, dust,
//! time and luck are not their business.

mod berth;
mod dress;
pub(crate) mod pass;
pub(crate) mod pressure;
mod stage;
pub(crate) mod suit;
pub(crate) mod swing;

use super::{Broken, Crew, Layout, On, OpeningId, Places, Row, Sites, Spread, VolumeId, each_of};
use crate::scenario::Action;

pub use pressure::deprived;

/// What a row is asked and done with: the layout it stands in, who does it on what, who is who.
#[derive(Clone, Copy, Debug)]
pub struct Cast<'a> {
    /// The layout.
    pub l: &'a Layout,
    /// The row.
    pub row: &'a Row,
    /// Those who do it.
    pub who: Crew,
    /// The groups that person words pick from.
    pub g: &'a Spread,
    /// The openings or volumes it acts on.
    pub at: Sites,
}

impl<'a> Cast<'a> {
    /// The cast of a row, with the berths that are kept now.
    #[inline]
    pub fn new(places: &Places, l: &'a Layout, row: &'a Row, who: Crew, g: &'a Spread) -> Self {
        Cast { l, row, who, g, at: places.sites(l, row, who) }
    }

    /// The openings it acts on; none where it acts on anything else.
    #[inline]
    pub fn openings(&self) -> impl Iterator<Item = OpeningId> {
        let any = matches!(self.row.on, On::Opening(..));
        self.at.openings().filter(move |_| any)
    }

    /// The volumes it acts on; none where it acts on anything else.
    #[inline]
    pub fn volumes(&self) -> impl Iterator<Item = VolumeId> {
        let any = matches!(self.row.on, On::Volumes(..) | On::BerthVolume(..));
        self.at.volumes().filter(move |_| any)
    }
}

/// Does the result of the row hold already (rule 9)?
#[inline(always)]
pub fn already(places: &Places, cast: &Cast) -> bool {
    match cast.row.action {
        Action::Open | Action::Close => swing::already(places, cast),
        Action::Depress | Action::Vent | Action::Repress => pressure::already(places, cast),
        Action::Mate | Action::Unmate => berth::already(places, cast),
        Action::Don | Action::SuitUp | Action::Doff => dress::already(places, cast),
        Action::Prepare
        | Action::Wait
        | Action::Purge
        | Action::Prebreathe
        | Action::Pass
        | Action::LeakCheck
        | Action::Clean
        | Action::Recharge
        | Action::Travel => false,
    }
}

/// Why the row cannot be done now, or `None`. A row whose result already holds is never broken.
#[inline(always)]
pub fn broken(places: &Places, cast: &Cast) -> Option<Broken> {
    let (row, who) = (cast.row, cast.who);
    match row.action {
        Action::Prepare | Action::Wait | Action::Purge | Action::Prebreathe => None,
        Action::Travel => stage::cannot_leave(cast),
        Action::Open => swing::cannot_open(places, cast),
        Action::Close => swing::cannot_close(places, cast),
        Action::Pass => pass::broken(places, cast),
        Action::Depress | Action::Vent | Action::Repress if row.on == On::Suit => {
            suit::cannot_change(places, cast)
        }
        Action::Depress | Action::Vent => pressure::cannot_empty(places, cast),
        Action::Repress => pressure::cannot_fill(places, cast),
        Action::Mate => each_of(who).find_map(|p| berth::cannot_mate(places, cast, p)),
        Action::Unmate => each_of(who).find_map(|p| berth::cannot_unmate(places, cast, p)),
        Action::Don | Action::SuitUp => {
            each_of(who).find_map(|p| dress::cannot_don(places, cast, p))
        }
        Action::Doff => each_of(who).find_map(|p| dress::cannot_doff(places, cast, p)),
        Action::LeakCheck => suit::cannot_check(places, cast),
        Action::Clean | Action::Recharge => stage::cannot_use(places, cast),
    }
}

/// Does the row; legal only if [`broken`] says `None`.
pub fn act(places: &mut Places, cast: &Cast) {
    let (row, who) = (cast.row, cast.who);
    match row.action {
        Action::Prepare
        | Action::Wait
        | Action::Purge
        | Action::Prebreathe
        | Action::Clean
        | Action::Recharge => {}
        Action::Open | Action::Close => swing::act(places, cast),
        Action::Pass => pass::act(places, cast),
        Action::Depress | Action::Vent | Action::Repress if row.on == On::Suit => {
            suit::change(places, cast);
        }
        Action::Depress | Action::Vent | Action::Repress => pressure::act(places, cast),
        Action::Mate => each_of(who).for_each(|p| berth::mate(places, cast, p)),
        Action::Unmate => each_of(who).for_each(|p| berth::unmate(places, cast, p)),
        Action::Don | Action::SuitUp => each_of(who).for_each(|p| dress::don(places, cast, p)),
        Action::Doff => each_of(who).for_each(|p| dress::doff(places, cast.l, p)),
        Action::LeakCheck => suit::check(places, cast),
        Action::Travel => stage::leave(places, cast),
    }
}
