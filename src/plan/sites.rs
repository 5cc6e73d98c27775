//! What a row acts on, by number: its openings or volumes, worked out once for those who do it.

use super::{Crew, Layout, MAX_CREW, NONE, On, Places, Row, each_of};

/// The openings of a row, one for each person where each has that of their berth, or its volumes, each
/// once. Empty for rows on anything else.
#[derive(Clone, Copy, Debug)]
pub struct Sites {
    ids: [u16; MAX_CREW],
    n: u8,
    /// One opening for all.
    shared: bool,
}

impl Sites {
    const NONE: Sites = Sites { ids: [NONE; MAX_CREW], n: 0, shared: false };

    fn push(&mut self, id: u16) {
        self.ids[usize::from(self.n)] = id;
        self.n += 1;
    }

    /// All of them: one opening, those of each person, or the volumes.
    #[inline]
    pub fn all(&self) -> &[u16] {
        &self.ids[..usize::from(self.n)]
    }

    /// The opening of the person of a rank among those who do the row.
    #[inline]
    pub fn of(&self, rank: usize) -> u16 {
        self.ids[if self.shared { 0 } else { rank }]
    }

    /// Is a volume among them?
    #[inline]
    pub fn has(&self, id: u16) -> bool {
        self.all().contains(&id)
    }
}

impl Places {
    /// What a row acts on when `who` do it: berths as they are kept now.
    #[inline]
    pub fn sites(&self, l: &Layout, row: &Row, who: Crew) -> Sites {
        let mut out = Sites::NONE;
        match row.on {
            On::Opening(o, n) if n < 2 => {
                out.shared = true;
                out.push(o);
            }
            On::Opening(o, n) => {
                each_of(who).for_each(|p| out.push(self.opening_for(l, o, n, p)));
            }
            On::Volumes(v, n) => v[..usize::from(n)].iter().for_each(|v| out.push(*v)),
            On::BerthVolume(base, n) => {
                for p in each_of(who) {
                    let v = self.volume_for(l, base, n, p);
                    if !out.has(v) {
                        out.push(v);
                    }
                }
            }
            On::Nothing | On::Suit | On::Stage(_) | On::Element(_) => {}
        }
        out
    }
}
