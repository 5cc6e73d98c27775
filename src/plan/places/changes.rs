//! The verbs by which a state changes: who stands where, which suit is kept where, what pressure is where.
//! What others keep of it (who is in a volume, what hangs at a berth) is kept here, and nowhere searched.

use super::{BerthId, Kept, NONE, Places, SuitId, VolumeId, Where};

impl Places {
    /// A person is somewhere else from now on, and so is the suit they wear.
    #[inline]
    pub fn stand(&mut self, person: usize, at: Where) {
        let was = std::mem::replace(&mut self.person[person].at, at);
        if let Where::Volume(v) = was {
            self.inside[usize::from(v)] &= !(1 << person);
        }
        if let Where::Volume(v) = at {
            self.inside[usize::from(v)] |= self.crew & 1 << person;
        }
        let worn = self.person[person].suit;
        if worn != NONE && self.suit[usize::from(worn)].kept == Kept::Worn(person as u8) {
            self.hangs(worn, berth_of(was), berth_of(at));
        }
    }

    /// A suit is kept somewhere else from now on.
    #[inline]
    pub fn keep(&mut self, suit: usize, kept: Kept) {
        let was = std::mem::replace(&mut self.suit[suit].kept, kept);
        self.hangs(suit as SuitId, self.berth_kept(was), self.berth_kept(kept));
    }

    /// A suit comes to a pressure, Pa.
    #[inline]
    pub fn press_suit(&mut self, suit: usize, pressure: f64) {
        let suit = &mut self.suit[suit];
        let was = std::mem::replace(&mut suit.pressure, pressure);
        suit.moved |= was != pressure;
    }

    /// A volume comes to a pressure, Pa.
    #[inline]
    pub fn press(&mut self, volume: VolumeId, pressure: f64) {
        let was = std::mem::replace(&mut self.pressure[usize::from(volume)], pressure);
        if was == pressure {
            return;
        }
        for (outer, suit) in self.outer.iter().zip(&self.hanging) {
            if *outer == volume
                && let Some(suit) = self.suit.get_mut(usize::from(*suit))
            {
                suit.moved = true;
            }
        }
    }

    /// Something changed that the suit of a person sees and that does not stand here.
    #[inline]
    pub fn look_at_suit_of(&mut self, person: usize) {
        if let Some(suit) = self.suit.get_mut(usize::from(self.person[person].suit)) {
            suit.moved = true;
        }
    }

    /// Has anything changed that a suit where it hangs sees (its place, pressures) since this was asked
    /// last?
    #[inline]
    pub fn suit_moved(&mut self, suit: usize) -> bool {
        std::mem::take(&mut self.suit[suit].moved)
    }

    /// The suit that hangs at a berth, worn or empty.
    #[inline]
    pub fn suit_at(&self, berth: BerthId) -> Option<usize> {
        let s = self.hanging[berth];
        (s != NONE).then_some(usize::from(s))
    }

    /// A suit hangs at another berth, or at none.
    #[inline]
    fn hangs(&mut self, suit: SuitId, was: BerthId, is: BerthId) {
        self.suit[usize::from(suit)].moved |= was != BerthId::NONE || is != BerthId::NONE;
        if was == is {
            return;
        }
        if let Some(at) = self.hanging.get_mut(was)
            && *at == suit
        {
            *at = NONE;
        }
        if let Some(at) = self.hanging.get_mut(is) {
            *at = suit;
        }
    }

    /// The berth at which a suit hangs that is kept so; [`NONE`] if at none.
    #[inline]
    fn berth_kept(&self, kept: Kept) -> BerthId {
        match kept {
            Kept::Berth(b) => b,
            Kept::Worn(p) => berth_of(self.person[usize::from(p)].at),
            Kept::Volume(_) => BerthId::NONE,
        }
    }
}

/// The berth at which somebody is; [`NONE`] if at none.
#[inline]
fn berth_of(at: Where) -> BerthId {
    match at {
        Where::Berth(b) => b,
        Where::Volume(_) | Where::Gone => BerthId::NONE,
    }
}
