//! What a row means, one file per verb: whether its result already holds, why it cannot be done
//! (rule 2), what it changes of the places. The dry walk and play use the same functions. Gas, dust,
//! time and luck are not their business.

mod berth;
mod dress;
mod pass;
mod pressure;
mod stage;
mod suit;
mod swing;

use super::{Broken, Crew, Layout, On, Places, Row, Spread, each_of};
use crate::scenario::Action;

pub use pressure::deprived;

/// What a row is asked and done with: the layout it stands in, who does it, who is who.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cast<'a> {
    /// The layout.
    pub(super) l: &'a Layout,
    /// The row.
    pub(super) row: &'a Row,
    /// Those who do it.
    pub(super) who: Crew,
    /// The groups that person words pick from.
    pub(super) g: &'a Spread,
}

/// Does the result of the row hold already (rule 9)?
pub fn already(places: &Places, l: &Layout, row: &Row, who: Crew) -> bool {
    let cast = Cast { l, row, who, g: &Spread::default() };
    match row.action {
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

/// Why `who` cannot do the row now, or `None`. A row whose result already holds is never broken.
pub fn broken(places: &Places, l: &Layout, row: &Row, who: Crew, g: &Spread) -> Option<Broken> {
    let cast = Cast { l, row, who, g };
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
pub fn act(places: &mut Places, l: &Layout, row: &Row, who: Crew, g: &Spread) {
    let cast = Cast { l, row, who, g };
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
        Action::Doff => each_of(who).for_each(|p| dress::doff(places, l, p)),
        Action::LeakCheck => suit::check(places, cast),
        Action::Travel => stage::leave(places, cast),
    }
}
