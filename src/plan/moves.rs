//! What a row changes of the places: openings, pressures, persons, suits.

use super::*;
use crate::scenario::Action;

impl Clone for Places {
    fn clone(&self) -> Self {
        Places {
            person: self.person,
            suit: self.suit.clone(),
            pressure: self.pressure.clone(),
            opening: self.opening.clone(),
        }
    }

    /// Without asking for memory: play copies one state over another.
    fn clone_from(&mut self, other: &Self) {
        self.person = other.person;
        self.suit.clone_from(&other.suit);
        self.pressure.clone_from(&other.pressure);
        self.opening.clone_from(&other.opening);
    }
}

impl Places {
    /// Does the row; legal only if [`Places::broken`] says `None`. Gas, dust, time and luck are not
    /// its business.
    pub fn act(&mut self, l: &Layout, row: &Row, who: Crew, g: &Spread) {
        use Action::*;
        match row.action {
            Prepare | Wait | Purge | Prebreathe | Clean | Recharge => {}
            Open | Close => self.swing(l, row, who),
            Pass => self.walk_through(l, row, who),
            Depress | Vent | Repress => self.set_pressures(l, row, who, g),
            Mate => each_of(who).for_each(|p| self.mate(l, row, p, g)),
            Unmate => each_of(who).for_each(|p| self.unmate(l, row, p, g)),
            Don | SuitUp => each_of(who).for_each(|p| self.don(l, row, p)),
            Doff => each_of(who).for_each(|p| self.doff(l, p)),
            LeakCheck => {
                if row.on == On::Suit {
                    each_of(who).for_each(|p| self.check_suit(p));
                }
            }
            Travel => {
                if row.by == crate::scenario::By::Ascent {
                    each_of(who).for_each(|p| self.person[p].at = Where::Gone);
                }
            }
        }
    }

    pub(super) fn check_suit(&mut self, p: usize) {
        let s = self.person[p].suit;
        if s != NONE {
            self.suit[s as usize].checked = true;
        }
    }

    pub(super) fn swing(&mut self, l: &Layout, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let open = row.action == Action::Open;
        if n < 2 {
            return self.set_open(l, o, open);
        }
        for p in each_of(who) {
            let o = self.opening_for(l, o, n, p);
            self.set_open(l, o, open);
        }
    }

    /// Opens or closes; what is left of a small difference equalises to the outer or cabin side.
    pub fn set_open(&mut self, l: &Layout, o: OpeningId, open: bool) {
        let drains = l.openings[o as usize].sides.map(|s| match s {
            Side::Volume(v) => open && self.open_to_outside(l, v),
            Side::Suit(_) => false,
        });
        let was = std::mem::replace(&mut self.opening[o as usize].open, open);
        if was || !open {
            return;
        }
        if let [Side::Volume(a), Side::Volume(b)] = l.openings[o as usize].sides {
            // A volume that stands open to outside holds its pressure, then one without a port (a cabin).
            let (hold, give) = if drains[0] != drains[1] {
                if drains[0] { (a, b) } else { (b, a) }
            } else if l.volumes[a as usize].port == NONE && a != OUTSIDE && b != OUTSIDE {
                (a, b)
            } else if b == OUTSIDE || l.volumes[b as usize].port == NONE {
                (b, a)
            } else if a == OUTSIDE || self.pressure[a as usize] < self.pressure[b as usize] {
                (a, b)
            } else {
                (b, a)
            };
            self.pressure[give as usize] = self.pressure[hold as usize];
        }
    }

    /// Stands the volume open to outside?
    fn open_to_outside(&self, l: &Layout, v: VolumeId) -> bool {
        v == OUTSIDE
            || l.volumes[v as usize]
                .openings
                .iter()
                .any(|o| self.opening[*o as usize].open && l.across(*o, v) == Some(OUTSIDE))
    }

    pub(super) fn walk_through(&mut self, l: &Layout, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        for p in each_of(who) {
            let o = self.opening_for(l, o, n, p);
            if let Some((_, far)) = ends(l, o, row.direction) {
                self.person[p].at = Where::Volume(far);
            }
        }
    }

    pub(super) fn set_pressures(&mut self, l: &Layout, row: &Row, who: Crew, g: &Spread) {
        let up = row.action == Action::Repress;
        if row.on == On::Suit {
            for p in each_of(who) {
                if let Some(s) = self.handled(l, row, p, g) {
                    let to = self.suit_level(l, row, s);
                    let now = self.suit[s].pressure;
                    self.suit[s].pressure = if up { now.max(to) } else { now.min(to) };
                }
            }
            return;
        }
        let (vols, n) = self.volumes_of(l, row, who);
        for v in &vols[..n] {
            let to = self.level(l, row, *v);
            let now = self.pressure[*v as usize];
            self.pressure[*v as usize] = if up { now.max(to) } else { now.min(to) };
            self.empty_gaps_follow(l, *v);
        }
    }

    /// The gap of a berth without a suit is part of the volume the suit would hang in.
    pub(super) fn empty_gaps_follow(&mut self, l: &Layout, volume: VolumeId) {
        for b in &l.berths {
            if b.outer == volume && !self.opening[b.interface as usize].mated {
                self.pressure[b.gap as usize] = self.pressure[volume as usize];
            }
        }
    }

    pub(super) fn mate(&mut self, l: &Layout, row: &Row, p: usize, g: &Spread) {
        let b = self.person[p].berth;
        if self.person[p].at == Where::Berth(b) {
            return;
        }
        let Some(s) = self.handled(l, row, p, g) else {
            return;
        };
        let berth = l.berths[b as usize];
        self.opening[berth.interface as usize].mated = true;
        self.pressure[berth.gap as usize] = self.pressure[berth.outer as usize];
        if row.suit.is_some() {
            self.suit[s].kept = Kept::Berth(b);
        } else {
            self.person[p].at = Where::Berth(b);
        }
    }

    /// An empty suit that lies outside is hung at a berth.
    pub fn hang_outside(&mut self, l: &Layout, s: usize, b: BerthId) {
        let berth = l.berths[b as usize];
        self.opening[berth.interface as usize].mated = true;
        self.pressure[berth.gap as usize] = self.pressure[berth.outer as usize];
        self.suit[s].kept = Kept::Berth(b);
    }

    pub(super) fn unmate(&mut self, l: &Layout, row: &Row, p: usize, g: &Spread) {
        let Some(s) = self.handled(l, row, p, g) else {
            return;
        };
        let b = match (self.suit[s].kept, self.person[p].at) {
            (Kept::Berth(b), _) => b,
            (Kept::Worn(_), Where::Berth(b)) => b,
            _ => return,
        };
        let berth = l.berths[b as usize];
        self.opening[berth.interface as usize].mated = false;
        self.pressure[berth.gap as usize] = self.pressure[berth.outer as usize];
        match self.suit[s].kept {
            Kept::Berth(_) => {
                // The empty suit is taken off: whoever kept the berth does not need it any more.
                self.suit[s].kept = Kept::Volume(berth.outer);
                self.person.iter_mut().filter(|q| q.berth == b).for_each(|q| q.berth = NONE);
            }
            _ => self.person[p].at = Where::Volume(berth.outer),
        }
    }

    pub(super) fn don(&mut self, l: &Layout, row: &Row, p: usize) {
        if self.person[p].suit != NONE {
            return;
        }
        let Where::Volume(v) = self.person[p].at else {
            return;
        };
        let suit = match row.on {
            On::Opening(..) => self.suit_at(self.person[p].berth),
            _ => self.choice(l, row, p, v).map(usize::from),
        };
        let Some(s) = suit else { return };
        if let Kept::Berth(b) = self.suit[s].kept {
            self.person[p].at = Where::Berth(b);
        } else {
            self.suit[s].pressure = self.pressure[v as usize];
        }
        self.suit[s].kept = Kept::Worn(p as u8);
        self.suit[s].checked = false;
        self.suit[s].worn += 1;
        self.person[p].suit = s as u16;
    }

    pub(super) fn doff(&mut self, l: &Layout, p: usize) {
        let s = self.person[p].suit;
        if s == NONE {
            return;
        }
        self.person[p].suit = NONE;
        self.suit[s as usize].checked = false;
        match self.person[p].at {
            Where::Berth(b) => {
                self.suit[s as usize].kept = Kept::Berth(b);
                self.person[p].at = Where::Volume(l.berths[b as usize].cabin);
            }
            Where::Volume(v) => {
                self.suit[s as usize].kept = Kept::Volume(v);
                self.suit[s as usize].pressure = self.pressure[v as usize];
            }
            Where::Gone => {}
        }
    }
}
