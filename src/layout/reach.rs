//! Who can get where inside, without a suit (rule 23).

use super::*;
use crate::scenario::OpeningKind;

impl Places {
    /// Can one get from one habitable volume to another without a suit: by openings that stand open or
    /// move at equal pressure, doors opened on the way, none of them known stuck shut? Docking hatches
    /// are left out: crossing them is a transfer of its own.
    pub fn can_get(&self, l: &Layout, from: VolumeId, to: VolumeId) -> bool {
        let mut seen: u64 = 1 << from;
        let mut front = seen;
        while front != 0 {
            let here = front.trailing_zeros() as u16;
            front &= front - 1;
            if here == to {
                return self.is_habitable(l, to);
            }
            for o in &l.volumes[here as usize].openings {
                let Some(w) = l.across(*o, here).filter(|w| *w < 64) else { continue };
                let ways = self.moves(l, *o, here, w) && self.is_habitable(l, w);
                if ways && seen & 1 << w == 0 {
                    seen |= 1 << w;
                    front |= 1 << w;
                }
            }
        }
        false
    }

    /// A door or hatch that stands open, or that is opened at equal pressure.
    fn moves(&self, l: &Layout, o: OpeningId, here: VolumeId, there: VolumeId) -> bool {
        let (opening, state) = (&l.openings[o as usize], &self.opening[o as usize]);
        let door = matches!(opening.kind, OpeningKind::PressureHatch | OpeningKind::DustDoor);
        let across = self.pressure[here as usize] - self.pressure[there as usize];
        let stuck = state.known && state.stuck == Stuck::Shut;
        door && !opening.docking && (state.open || !stuck && across.abs() <= ACROSS)
    }
}
