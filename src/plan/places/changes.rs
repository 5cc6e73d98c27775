//! The verbs by which a state changes: who stands where, which suit is kept where, what pressure is where,
//! what stands open.
//! What others keep of it (who is in a volume, what hangs at a berth) is kept here, and nowhere searched.

use super::{
    BerthId, Crew, Kept, Layout, NONE, OUTSIDE, OpeningId, Person, Places, Side, SuitId, VolumeId,
    Where,
};

impl Places {
    /// A person is somewhere else from now on, and so is the suit they wear.
    #[inline]
    pub fn stand(&mut self, person: usize, at: Where) {
        let was = std::mem::replace(&mut self.person[person].at, at);
        self.touched |= 1 << person;
        match at {
            Where::Berth(_) => self.at_berths |= 1 << person,
            Where::Volume(_) | Where::Gone => self.at_berths &= !(1 << person),
        }
        if let Where::Volume(v) = was {
            let inside = &mut self.inside[v];
            (inside.crew, inside.stirred) = (inside.crew & !(1 << person), true);
        }
        if let Where::Volume(v) = at {
            let inside = &mut self.inside[v];
            (inside.crew, inside.stirred) = (inside.crew | self.crew & 1 << person, true);
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
        self.touched |= wearer(was) | wearer(kept);
        self.hangs(suit, self.berth_kept(was), self.berth_kept(kept));
    }

    /// A suit comes to a pressure, Pa.
    #[inline]
    pub fn press_suit(&mut self, suit: SuitId, pressure: f64) {
        let was = std::mem::replace(&mut self.suit[suit].pressure, pressure);
        if was != pressure {
            let kept = self.suit[suit].kept;
            self.touched |= wearer(kept);
            if self.berth_kept(kept).is_some() {
                self.moved.put(suit, true);
            }
        }
    }

    /// A volume comes to a pressure, Pa.
    #[inline]
    pub fn press(&mut self, volume: VolumeId, pressure: f64) {
        let was = std::mem::replace(&mut self.pressure[volume], pressure);
        if was == pressure {
            return;
        }
        let inside = &mut self.inside[volume];
        inside.stirred = true;
        self.touched |= inside.crew | self.at_berths;
        for (outer, suit) in self.outer.iter().zip(&self.hanging) {
            if *outer == volume && suit.is_some() {
                self.moved.put(*suit, true);
            }
        }
    }

    /// Something changed that the suit of a person sees and that does not stand here.
    #[inline]
    pub fn look_at_suit_of(&mut self, person: usize) {
        let Person { at, suit, .. } = self.person[person];
        if suit.is_some() && berth_of(at).is_some() {
            self.moved.put(suit, true);
        }
    }

    /// Those of whom something has changed that they breathe by (where they are, pressures around them and
    /// in their suits) since this was said last of each.
    #[inline]
    pub fn touched(&self) -> Crew {
        self.touched
    }

    /// What has changed for these persons has been seen.
    #[inline]
    pub fn seen(&mut self, crew: Crew) {
        self.touched &= !crew;
    }

    /// Has the pressure of a volume, or who is in it, changed since this was asked last?
    #[inline]
    pub fn has_stirred(&mut self, volume: VolumeId) -> bool {
        std::mem::take(&mut self.inside[volume].stirred)
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

    /// The next suit that sees something else where it hangs (its place, pressures) than when this was
    /// said of it last.
    #[inline]
    pub fn next_moved(&mut self) -> Option<SuitId> {
        self.moved.pop()
    }

    /// The suit that hangs at a berth, worn or empty.
    #[inline]
    pub fn suit_at(&self, berth: BerthId) -> Option<SuitId> {
        self.hanging[berth].some()
    }

    /// A suit hangs at another berth, or at none.
    #[inline]
    fn hangs(&mut self, suit: SuitId, was: BerthId, is: BerthId) {
        if was.is_some() || is.is_some() {
            self.moved.put(suit, true);
        }
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

/// Who wears a suit that is kept so, as a set.
#[inline]
fn wearer(kept: Kept) -> Crew {
    match kept {
        Kept::Worn(p) => 1 << p,
        Kept::Berth(_) | Kept::Volume(_) => 0,
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
    use crate::base::set::Set;
    use crate::plan::places::Inside;
    use crate::plan::{ANY, SuitState};

    const BERTH: BerthId = BerthId::new(0);
    const CABIN: VolumeId = VolumeId::new(1);
    const SUIT: SuitId = SuitId::new(0);

    /// Outside and a cabin; one berth, with a suit that hangs at it; one person indoors.
    fn places() -> Places {
        let at = Where::Volume(CABIN);
        let suit = SuitState {
            kept: Kept::Berth(BERTH),
            pressure: 30e3,
            checked: false,
            usable: true,
            charging: false,
            worn: 0,
        };
        Places {
            person: [Person { at, suit: SuitId::NONE, berth: BerthId::NONE, kind: ANY };
                crate::plan::MAX_CREW],
            inside: [0, 1].map(|crew| Inside { crew, stirred: false }).to_vec().into(),
            crew: 1,
            at_berths: 0,
            touched: 0,
            suit: vec![suit].into(),
            moved: Set::none_of(1),
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
            (p.suit_at(BERTH), p.persons_in(CABIN), p.next_moved()),
            (Some(SUIT), 0, Some(SUIT))
        );
        p.stand(0, Where::Volume(OUTSIDE));
        let seen = (p.suit_at(BERTH), p.persons_in(OUTSIDE), p.next_moved());
        assert_eq!(seen, (None, 1, Some(SUIT)));
        // Elsewhere outdoors it sees nothing of a berth.
        p.keep(SUIT, Kept::Volume(OUTSIDE));
        assert_eq!(p.next_moved(), None);
        p.keep(SUIT, Kept::Berth(BERTH));
        assert_eq!((p.suit_at(BERTH), p.next_moved()), (Some(SUIT), Some(SUIT)));
    }

    #[test]
    fn a_volume_stirs_with_its_pressure_and_with_who_is_in_it() {
        let mut p = places();
        p.press(CABIN, 55e3);
        assert!(!p.has_stirred(CABIN), "nothing has changed");
        p.press(CABIN, 56e3);
        assert!(p.has_stirred(CABIN) && !p.has_stirred(CABIN));
        p.stand(0, Where::Volume(OUTSIDE));
        assert!(p.has_stirred(CABIN) && p.has_stirred(OUTSIDE));
        p.stand(0, Where::Berth(BERTH));
        assert!(!p.has_stirred(CABIN) && p.has_stirred(OUTSIDE));
    }

    #[test]
    fn a_person_is_touched_by_what_changes_around_them_and_in_their_suit() {
        let mut p = places();
        p.press(OUTSIDE, 600.0);
        p.press_suit(SUIT, 25e3);
        assert_eq!(p.touched(), 0, "nothing of theirs");
        let mut touched = |change: fn(&mut Places)| {
            change(&mut p);
            let touched = p.touched();
            p.seen(1);
            (touched, p.touched())
        };
        assert_eq!(touched(|p| p.press(CABIN, 56e3)), (1, 0));
        assert_eq!(touched(|p| p.stand(0, Where::Berth(BERTH))), (1, 0));
        // What is behind and before the berth is around them.
        assert_eq!(touched(|p| p.press(CABIN, 55e3)), (1, 0));
        assert_eq!(touched(|p| p.keep(SUIT, Kept::Worn(0))), (1, 0));
        assert_eq!(touched(|p| p.press_suit(SUIT, 30e3)), (1, 0));
        assert_eq!(touched(|p| p.press_suit(SUIT, 30e3)), (0, 0), "nothing has changed");
        assert_eq!(touched(|p| p.keep(SUIT, Kept::Volume(CABIN))), (1, 0));
    }

    #[test]
    fn a_suit_sees_its_own_pressure_and_that_in_front_of_its_berth() {
        let mut p = places();
        p.press(CABIN, 70e3);
        assert_eq!((p.pressure(CABIN), p.next_moved()), (70e3, None));
        p.press(OUTSIDE, 600.0);
        assert_eq!((p.next_moved(), p.next_moved()), (Some(SUIT), None));
        p.press(OUTSIDE, 600.0);
        p.press_suit(SUIT, 30e3);
        assert_eq!(p.next_moved(), None, "nothing has changed");
        p.press_suit(SUIT, 25e3);
        assert_eq!(p.next_moved(), Some(SUIT));
    }
}
