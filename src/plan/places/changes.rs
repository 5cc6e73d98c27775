//! The verbs by which a state changes: who stands where, which suit is kept where, what pressure is where,
//! what stands open.
//! What others keep of it (who is in a volume, what hangs at a berth) is kept here, and nowhere searched.

use super::{
    BerthId, Kept, Layout, NONE, OUTSIDE, OpeningId, Places, Side, SuitId, VolumeId, Where,
};

impl Places {
    /// A person is somewhere else from now on, and so is the suit they wear.
    #[inline]
    pub fn stand(&mut self, person: usize, at: Where) {
        let was = std::mem::replace(&mut self.person[person].at, at);
        if let Where::Volume(v) = was {
            self.inside[v] &= !(1 << person);
        }
        if let Where::Volume(v) = at {
            self.inside[v] |= self.crew & 1 << person;
        }
        let worn = self.person[person].suit;
        if worn.is_some() && self.suit[worn].kept == Kept::Worn(person as u8) {
            self.hangs(worn, berth_of(was), berth_of(at));
        }
    }

    /// A suit is kept somewhere else from now on.
    #[inline]
    pub fn keep(&mut self, suit: SuitId, kept: Kept) {
        let was = std::mem::replace(&mut self.suit[suit].kept, kept);
        self.hangs(suit, self.berth_kept(was), self.berth_kept(kept));
    }

    /// A suit comes to a pressure, Pa.
    #[inline]
    pub fn press_suit(&mut self, suit: SuitId, pressure: f64) {
        let suit = &mut self.suit[suit];
        let was = std::mem::replace(&mut suit.pressure, pressure);
        suit.moved |= was != pressure;
    }

    /// A volume comes to a pressure, Pa.
    #[inline]
    pub fn press(&mut self, volume: VolumeId, pressure: f64) {
        let was = std::mem::replace(&mut self.pressure[volume], pressure);
        if was == pressure {
            return;
        }
        for (outer, suit) in self.outer.iter().zip(&self.hanging) {
            if *outer == volume
                && let Some(suit) = self.suit.get_mut(*suit)
            {
                suit.moved = true;
            }
        }
    }

    /// Something changed that the suit of a person sees and that does not stand here.
    #[inline]
    pub fn look_at_suit_of(&mut self, person: usize) {
        if let Some(suit) = self.suit.get_mut(self.person[person].suit) {
            suit.moved = true;
        }
    }

    /// Opens or closes; what is left of a small difference equalises to the outer or cabin side.
    pub fn set_open(&mut self, l: &Layout, o: OpeningId, open: bool) {
        let was = std::mem::replace(&mut self.opening[o].open, open);
        if was || !open {
            return;
        }
        if let [Side::Volume(a), Side::Volume(b)] = l.openings[o].sides {
            if self.pressure(a) == self.pressure(b) {
                return;
            }
            let drains = [a, b].map(|v| self.open_to_outside(l, v, o));
            // A volume that stands open to outside holds its pressure, then one without a port (a cabin).
            let (hold, give) = if drains[0] != drains[1] {
                if drains[0] { (a, b) } else { (b, a) }
            } else if l.volumes[a].port == NONE && a != OUTSIDE && b != OUTSIDE {
                (a, b)
            } else if b == OUTSIDE || l.volumes[b].port == NONE {
                (b, a)
            } else if a == OUTSIDE || self.pressure(a) < self.pressure(b) {
                (a, b)
            } else {
                (b, a)
            };
            self.press(give, self.pressure(hold));
        }
    }

    /// Stands the volume open to outside by another opening?
    fn open_to_outside(&self, l: &Layout, v: VolumeId, but: OpeningId) -> bool {
        let open = |o: OpeningId| o != but && self.opening[o].open;
        v == OUTSIDE
            || l.volumes[v].openings.iter().any(|o| open(*o) && l.across(*o, v) == Some(OUTSIDE))
    }

    /// Has anything changed that a suit where it hangs sees (its place, pressures) since this was asked
    /// last?
    #[inline]
    pub fn suit_moved(&mut self, suit: SuitId) -> bool {
        std::mem::take(&mut self.suit[suit].moved)
    }

    /// The suit that hangs at a berth, worn or empty.
    #[inline]
    pub fn suit_at(&self, berth: BerthId) -> Option<SuitId> {
        self.hanging[berth].some()
    }

    /// A suit hangs at another berth, or at none.
    #[inline]
    fn hangs(&mut self, suit: SuitId, was: BerthId, is: BerthId) {
        self.suit[suit].moved |= was.is_some() || is.is_some();
        if was == is {
            return;
        }
        if let Some(at) = self.hanging.get_mut(was)
            && *at == suit
        {
            *at = SuitId::NONE;
        }
        if let Some(at) = self.hanging.get_mut(is) {
            *at = suit;
        }
    }

    /// The berth at which a suit hangs that is kept so; [`BerthId::NONE`] if at none.
    #[inline]
    fn berth_kept(&self, kept: Kept) -> BerthId {
        match kept {
            Kept::Berth(b) => b,
            Kept::Worn(p) => berth_of(self.person[usize::from(p)].at),
            Kept::Volume(_) => BerthId::NONE,
        }
    }
}

/// The berth at which somebody is; [`BerthId::NONE`] if at none.
#[inline]
fn berth_of(at: Where) -> BerthId {
    match at {
        Where::Berth(b) => b,
        Where::Volume(_) | Where::Gone => BerthId::NONE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{ANY, Person, SuitState};

    const BERTH: BerthId = BerthId::new(0);
    const CABIN: VolumeId = VolumeId::new(1);
    const SUIT: SuitId = SuitId::new(0);

    /// Outside and a cabin; one berth, with a suit that hangs at it; one person indoors.
    fn places() -> Places {
        let at = Where::Volume(CABIN);
        let suit = SuitState {
            kept: Kept::Berth(BERTH),
            pressure: 30e3,
            moved: false,
            checked: false,
            usable: true,
            charging: false,
            worn: 0,
        };
        Places {
            person: [Person { at, suit: SuitId::NONE, berth: BerthId::NONE, kind: ANY };
                crate::plan::MAX_CREW],
            inside: vec![0, 1].into(),
            crew: 1,
            suit: vec![suit].into(),
            hanging: vec![SUIT].into(),
            outer: vec![OUTSIDE].into(),
            pressure: vec![0.0, 55e3].into(),
            opening: Vec::new().into(),
        }
    }

    #[test]
    fn a_suit_hangs_at_its_berth_until_its_wearer_leaves_it() {
        let mut p = places();
        p.stand(0, Where::Berth(BERTH));
        p.keep(SUIT, Kept::Worn(0));
        p.person[0].suit = SUIT;
        assert_eq!(
            (p.suit_at(BERTH), p.persons_in(CABIN), p.suit_moved(SUIT)),
            (Some(SUIT), 0, true)
        );
        p.stand(0, Where::Volume(OUTSIDE));
        assert_eq!((p.suit_at(BERTH), p.persons_in(OUTSIDE), p.suit_moved(SUIT)), (None, 1, true));
        // Elsewhere outdoors it sees nothing of a berth.
        p.keep(SUIT, Kept::Volume(OUTSIDE));
        assert!(!p.suit_moved(SUIT));
        p.keep(SUIT, Kept::Berth(BERTH));
        assert_eq!((p.suit_at(BERTH), p.suit_moved(SUIT)), (Some(SUIT), true));
    }

    #[test]
    fn a_suit_sees_its_own_pressure_and_that_in_front_of_its_berth() {
        let mut p = places();
        p.press(CABIN, 70e3);
        assert_eq!((p.pressure(CABIN), p.suit_moved(SUIT)), (70e3, false));
        p.press(OUTSIDE, 600.0);
        assert!(p.suit_moved(SUIT) && !p.suit_moved(SUIT));
        p.press(OUTSIDE, 600.0);
        p.press_suit(SUIT, 30e3);
        assert!(!p.suit_moved(SUIT), "nothing has changed");
        p.press_suit(SUIT, 25e3);
        assert!(p.suit_moved(SUIT));
    }
}
