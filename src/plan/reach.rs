//! Who can get where inside, without a suit (rule 23).

use super::*;
use crate::scenario::OpeningKind;

/// A set of volumes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VolumeSet(u64);

impl VolumeSet {
    /// Is a volume in it?
    pub fn has(self, v: VolumeId) -> bool {
        v.at() < 64 && self.0 & 1 << v.at() != 0
    }

    /// Adds a volume; true if it was not in it.
    fn add(&mut self, v: VolumeId) -> bool {
        let news = v.at() < 64 && !self.has(v);
        if news {
            self.0 |= 1 << v.at();
        }
        news
    }

    /// Takes out the first of them.
    fn pop(&mut self) -> Option<VolumeId> {
        let first = (self.0 != 0).then(|| VolumeId::new(self.0.trailing_zeros() as usize));
        self.0 &= self.0.wrapping_sub(1);
        first
    }
}

impl Places {
    /// Can one get from one habitable volume to another without a suit: by openings that stand open or
    /// move at equal pressure, doors opened on the way, none of them known stuck shut? Docking hatches
    /// are left out: crossing them is a transfer of its own.
    pub fn can_get(&self, l: &Layout, from: VolumeId, to: VolumeId) -> bool {
        self.is_habitable(l, to) && (from == to || self.reach(l, from, Some(to)).has(to))
    }

    /// Can somebody who is not hurt get to a habitable cabin, doors opened on the way?
    pub fn anybody_able(&self, l: &Layout, cabin: VolumeId, hurt: Crew) -> bool {
        self.is_habitable(l, cabin)
            && (0..l.crew).filter(|p| hurt & 1 << p == 0).any(|p| match self.person[p].at() {
                Where::Volume(v) => v != OUTSIDE && self.can_get(l, cabin, v),
                Where::Berth(_) | Where::Gone => false,
            })
    }

    /// All volumes that one can get to so; the one itself where it is habitable.
    pub fn in_reach(&self, l: &Layout, from: VolumeId) -> VolumeSet {
        let VolumeSet(all) = self.reach(l, from, None);
        VolumeSet(if self.is_habitable(l, from) { all } else { all & !(1 << from.at()) })
    }

    /// The volume itself and what is in reach of it, up to one that is looked for.
    fn reach(&self, l: &Layout, from: VolumeId, to: Option<VolumeId>) -> VolumeSet {
        let mut seen = VolumeSet(1 << from.at());
        let mut front = seen;
        while let Some(here) = front.pop() {
            for o in &l.volumes[here].openings {
                let Some(w) = l.across(*o, here).filter(|w| !seen.has(*w)) else { continue };
                if !self.is_habitable(l, w) || !self.moves(l, *o, here, w) || !seen.add(w) {
                    continue;
                }
                front.add(w);
                if to == Some(w) {
                    return seen;
                }
            }
        }
        seen
    }

    /// Are two volumes joined by open openings at one pressure (directly or through others)?
    pub fn joined(&self, l: &Layout, a: VolumeId, b: VolumeId) -> bool {
        a == b || self.joined_to(l, a).has(b)
    }

    /// All volumes joined to one by open openings at one pressure, and the one itself.
    pub fn joined_to(&self, l: &Layout, v: VolumeId) -> VolumeSet {
        let mut seen = VolumeSet(1 << v.at());
        let mut front = seen;
        while let Some(here) = front.pop() {
            for o in l.volumes[here].openings.iter() {
                if self.opening[*o].open
                    && let Some(w) = l.across(*o, here).filter(|w| *w != OUTSIDE)
                    && seen.add(w)
                {
                    front.add(w);
                }
            }
        }
        seen
    }

    /// A door or hatch that stands open, or that is opened at equal pressure.
    fn moves(&self, l: &Layout, o: OpeningId, here: VolumeId, there: VolumeId) -> bool {
        let (opening, state) = (&l.openings[o], &self.opening[o]);
        let door = matches!(opening.kind, OpeningKind::PressureHatch | OpeningKind::DustDoor);
        let across = self.pressure(here) - self.pressure(there);
        let stuck = state.known && state.stuck == Stuck::Shut;
        door && !opening.docking && (state.open || !stuck && across.abs() <= ACROSS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_of_volumes_holds_what_was_added() {
        let (mut s, v) = (VolumeSet(0), VolumeId::new);
        assert!(s.add(v(3)) && s.add(v(63)) && !s.add(v(3)) && !s.add(v(64)));
        assert!(s.has(v(3)) && s.has(v(63)) && !s.has(v(4)) && !s.has(v(64)));
        assert_eq!((s.pop(), s.pop(), s.pop()), (Some(v(3)), Some(v(63)), None));
    }
}
