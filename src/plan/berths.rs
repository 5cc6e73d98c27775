//! Which berth a person keeps through a list.

use super::*;

impl Layout {
    /// Is what a row of a port's list acts on at the berths of that port?
    pub(super) fn at_berths(&self, port: u16, on: On) -> bool {
        let mut berths = self.ports[port as usize].berths.iter().map(|b| &self.berths[*b]);
        match on {
            On::Opening(o, _) => {
                berths.any(|b| [b.interface, b.port_hatch, b.suit_hatch].contains(&o))
            }
            On::BerthVolume(..) => berths.next().is_some(),
            On::Volumes([v, ..], 1) => berths.any(|b| b.gap == v),
            _ => false,
        }
    }
}

impl Places {
    /// Gives each of `who` a berth of `port` to keep through the list, if the port has berths. Those
    /// in a suit at a berth keep that; those without a suit take a berth with a usable suit; the
    /// others a free one that is not known stuck.
    pub fn keep_berths(&mut self, l: &Layout, port: u16, who: Crew, stuck: bool) -> Option<Broken> {
        let berths = &l.ports[port as usize].berths;
        for p in each_of(who) {
            if self.person[p].berth.is_some() {
                continue;
            }
            let found = match self.person[p].at() {
                Where::Berth(b) => Some(b),
                _ => {
                    let fits = |b: &&BerthId| self.suits_person(l, **b, p, false);
                    let mut good = berths.iter().filter(fits);
                    let ready = good.clone().find(|b| !self.charging_at(**b));
                    ready
                        .or_else(|| good.next())
                        .or_else(|| {
                            berths.iter().find(|b| stuck && self.suits_person(l, **b, p, true))
                        })
                        .copied()
                }
            };
            match found {
                Some(b) => self.person[p].berth = b,
                None => return Some(Broken::NoBerth),
            }
        }
        None
    }

    /// The empty suit that hangs at a berth.
    pub(super) fn empty_at(&self, berth: BerthId) -> Option<SuitId> {
        self.suit_at(berth).filter(|s| self.suit[*s].kept() == Kept::Berth(berth))
    }

    /// The suit at a berth is still on recharge.
    fn charging_at(&self, berth: BerthId) -> bool {
        self.suit_at(berth).is_some_and(|s| self.suit[s].charging)
    }

    /// Could a person use a berth: one with a usable suit for somebody without, else an empty one; one
    /// that is known stuck only where it is to be freed.
    pub(super) fn suits_person(
        &self,
        l: &Layout,
        berth: BerthId,
        person: usize,
        stuck: bool,
    ) -> bool {
        if self.person.iter().take(l.crew).any(|q| q.berth == berth) {
            return false;
        }
        if !self.berth_intact(l, berth) && !stuck {
            return false;
        }
        if self.person[person].suit.is_none() {
            return self.empty_at(berth).is_some_and(|s| self.suit[s].usable);
        }
        self.suit_at(berth).is_none()
    }

    /// Nothing of the berth is known stuck: interface, hatch in the wall, hatch of the suit.
    pub fn berth_intact(&self, l: &Layout, berth: BerthId) -> bool {
        let b = &l.berths[berth];
        [b.interface, b.port_hatch, b.suit_hatch].iter().all(|o| {
            let s = &self.opening[*o];
            !s.known || s.stuck == Stuck::Free
        })
    }

    /// No suit hangs there and nobody keeps it.
    pub fn berth_empty(&self, l: &Layout, berth: BerthId) -> bool {
        let kept = self.person.iter().take(l.crew).any(|q| q.berth == berth);
        self.suit_at(berth).is_none() && !kept
    }

    /// Empty and intact.
    pub fn berth_free(&self, l: &Layout, berth: BerthId) -> bool {
        self.berth_empty(l, berth) && self.berth_intact(l, berth)
    }

    /// An empty suit that lies outside is hung at a berth.
    pub fn hang_outside(&mut self, l: &Layout, s: SuitId, b: BerthId) {
        let berth = l.berths[b];
        self.opening[berth.interface].mated = true;
        self.press(berth.gap, self.pressure(berth.outer));
        self.keep(s, Kept::Berth(b));
    }
}
