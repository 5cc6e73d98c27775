//! Which volumes one could ever walk between without a suit.

use crate::base::ids::Table;
use crate::plan::{Layout, OUTSIDE, Opening, Side, VolumeId};
use crate::scenario::OpeningKind;

/// Volumes by what doors and hatches lead to if all of them are opened: docking hatches and outside left
/// out, as for [`Places::can_get`](crate::plan::Places::can_get). Whoever stands in another group need not
/// be looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doors {
    /// By volume, the least volume of its group.
    group: Table<VolumeId, VolumeId>,
}

impl Doors {
    /// As the openings of an architecture are laid out.
    pub fn new(l: &Layout) -> Doors {
        let door = |o: &Opening| match (o.kind, o.sides) {
            (
                OpeningKind::PressureHatch | OpeningKind::DustDoor,
                [Side::Volume(a), Side::Volume(b)],
            ) => (!o.docking && a != OUTSIDE && b != OUTSIDE).then_some((a, b)),
            _ => None,
        };
        Doors::between(l.volumes.len(), l.openings.iter().filter_map(door))
    }

    fn between(volumes: usize, doors: impl Iterator<Item = (VolumeId, VolumeId)>) -> Doors {
        let mut group: Table<VolumeId, VolumeId> = (0..volumes).map(VolumeId::new).collect();
        for (a, b) in doors {
            let (a, b) = (group[a], group[b]);
            group.iter_mut().filter(|g| **g == a.max(b)).for_each(|g| *g = a.min(b));
        }
        Doors { group }
    }

    /// Could one walk from one volume to another if every door opened?
    #[inline]
    pub fn lead(&self, from: VolumeId, to: VolumeId) -> bool {
        self.group[from] == self.group[to]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doors_lead_on_through_others_in_any_order() {
        let v = VolumeId::new;
        let pairs = [(5, 4), (1, 2), (4, 2)].map(|(a, b)| (v(a), v(b)));
        let doors = Doors::between(7, pairs.into_iter());
        let group = |a| (0..7).filter(|b| doors.lead(v(a), v(*b))).collect::<Vec<_>>();
        assert_eq!((group(5), group(1)), (vec![1, 2, 4, 5], vec![1, 2, 4, 5]));
        assert_eq!((group(0), group(3), group(6)), (vec![0], vec![3], vec![6]));
    }
}
