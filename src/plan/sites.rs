//! What a row acts on, by number: its openings or volumes, worked out once for those who do it.

use crate::base::ids::Id;

use super::{Crew, Layout, MAX_CREW, NONE, On, OpeningId, Places, Row, VolumeId, each_of};

/// The openings of a row, one for each person where each has that of their berth, or its volumes, each
/// once. Empty for rows on anything else.
#[derive(Clone, Copy, Debug)]
#[repr(align(8))] // copied in whole words
pub struct Sites {
    /// The ids where the row names them; else the first of several equal ones.
    ids: [u16; 3],
    /// How many there are.
    n: u8,
    /// What the row names is there once for each berth.
    by_berth: bool,
    /// Then which of them, in the order of those who do the row.
    berth: [u8; MAX_CREW],
}

impl Sites {
    const NONE: Sites = Sites { ids: [NONE; 3], n: 0, by_berth: false, berth: [0; MAX_CREW] };

    /// The id at a place in the order.
    #[inline]
    fn at(&self, i: usize) -> u16 {
        match self.by_berth {
            true => self.ids[0] + u16::from(self.berth[i]),
            false => self.ids[i],
        }
    }

    /// All of them, for a row on openings: one, or those of each person.
    #[inline]
    pub fn openings(&self) -> impl Iterator<Item = OpeningId> {
        (0..usize::from(self.n)).map(|i| OpeningId::within(self.at(i).into()))
    }

    /// All of them, for a row on volumes.
    #[inline]
    pub fn volumes(&self) -> impl Iterator<Item = VolumeId> {
        (0..usize::from(self.n)).map(|i| VolumeId::within(self.at(i).into()))
    }

    /// The opening of the person of a rank among those who do the row.
    #[inline]
    pub fn of(&self, rank: usize) -> OpeningId {
        let at = if self.by_berth { self.at(rank) } else { self.ids[0] };
        OpeningId::within(at.into())
    }

    /// Is a volume among them?
    #[inline]
    pub fn has(&self, volume: VolumeId) -> bool {
        self.volumes().any(|v| v == volume)
    }
}

/// The bare number of an index.
#[inline]
fn number(id: impl Id) -> u16 {
    id.at() as u16
}

impl Places {
    /// What a row acts on when `who` do it: berths as they are kept now.
    #[inline]
    pub fn sites(&self, l: &Layout, row: &Row, who: Crew) -> Sites {
        match row.on {
            On::Opening(o, n) if n < 2 => {
                Sites { ids: [number(o), NONE, NONE], n: 1, ..Sites::NONE }
            }
            On::Volumes(of, n) => Sites { ids: of.map(number), n, ..Sites::NONE },
            On::Opening(o, n) => self.openings_of_berths(l, (o, n), who),
            On::BerthVolume(base, n) => self.volumes_of_berths(l, (base, n), who),
            On::Nothing | On::Suit | On::Stage(_) | On::Element(_) => Sites::NONE,
        }
    }

    /// The opening of each person's berth.
    fn openings_of_berths(&self, l: &Layout, (o, n): (OpeningId, u8), who: Crew) -> Sites {
        let mut out = Sites { ids: [number(o), NONE, NONE], by_berth: true, ..Sites::NONE };
        for p in each_of(who) {
            out.berth[usize::from(out.n)] = self.ordinal(l, n, p) as u8;
            out.n += 1;
        }
        out
    }

    /// The volumes of the berths of all, each once.
    fn volumes_of_berths(&self, l: &Layout, (base, n): (VolumeId, u8), who: Crew) -> Sites {
        let mut out = Sites { ids: [number(base), NONE, NONE], by_berth: true, ..Sites::NONE };
        for p in each_of(who) {
            let berth = self.ordinal(l, n, p) as u8;
            if !out.berth[..usize::from(out.n)].contains(&berth) {
                out.berth[usize::from(out.n)] = berth;
                out.n += 1;
            }
        }
        out
    }
}
