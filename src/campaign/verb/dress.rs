//! `don`, `suit up`, `doff`: dust falls off, the suit takes its gas from around or gives it back, its
//! wearer breathes what is there.

use super::Task;
use crate::campaign::world::World;
use crate::model::DustPath;
use crate::physics::gas::GasMass;
use crate::plan::{Crew, Kept, MAX_CREW, OUTSIDE, SuitId, Where, each_of, step};
use crate::scenario::Action;

impl World<'_> {
    /// Into suits.
    pub(in crate::campaign) fn don(&mut self, t: &Task) {
        self.change(t, t.row.action == Action::Don);
    }

    /// Out of suits; a casualty is treated from now on.
    pub(in crate::campaign) fn doff(&mut self, t: &Task) {
        self.dust_of_doff(t.who);
        self.change(t, true);
        self.treated(t.k, t.who);
    }

    /// Who changes has moved, by the back of a suit, where `moves` says so.
    fn change(&mut self, t: &Task, moves: bool) {
        let mut worn = [SuitId::NONE; MAX_CREW];
        each_of(t.who).for_each(|p| worn[p] = self.places.person[p].suit);
        step::act(&mut self.places, &t.cast);
        self.gas_of_suits_worn(t.who, worn);
        if moves {
            self.gas_of_moves(t);
        }
        each_of(t.who).for_each(|p| self.breathe_here(p));
        let now = self.now;
        each_of(t.who).for_each(|p| self.turn_oxygen(p, false, now));
        self.refresh_parked();
    }

    /// Doffing sheds a share into the volume where it happens. Through the back the suit stays outside;
    /// its interface has passed its share.
    fn dust_of_doff(&mut self, who: Crew) {
        for p in each_of(who) {
            let s = self.places.person[p].suit;
            if let Where::Volume(v) = self.places.person[p].at()
                && s.is_some()
            {
                let share = self.numbers.suits[s].doff_sheds;
                self.shed(s, v, share, DustPath::Doff);
            }
        }
    }

    /// Donned, a suit holds the gas around, which the store makes up; doffed, it stands open and what
    /// was in it mixes with the gas around. A stowed suit is not in the books.
    fn gas_of_suits_worn(&mut self, who: Crew, was: [SuitId; MAX_CREW]) {
        for p in each_of(who).filter(|p| was[*p] != self.places.person[*p].suit) {
            let now = self.places.person[p].suit;
            let s = if now.is_none() { was[p] } else { now };
            let l = &self.arm.layout;
            let berthed = matches!(l.suits[s].home, Kept::Berth(_));
            let (volume, stowed) = match (self.places.suit[s].kept(), self.places.person[p].at()) {
                (Kept::Berth(b), _) | (Kept::Worn(_), Where::Berth(b)) => {
                    (l.berths[b].cabin, false)
                }
                (Kept::Volume(v), _) => (v, !berthed),
                (Kept::Worn(_), Where::Volume(v)) => (v, false),
                (Kept::Worn(_), Where::Gone) => continue,
            };
            let holds = match stowed || volume == OUTSIDE {
                true => GasMass::NONE,
                false => self.suit_gas(s, self.places.suit[s].pressure(), self.air.gas.mix(volume)),
            };
            let more = self.air.gas.suit_holds(s, holds);
            self.air.gas.draw(volume, more);
        }
    }
}
