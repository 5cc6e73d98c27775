//! Suits that are not where they belong (rule 15): carried home from a joined element, named until then.
//!
//! Who crosses carries what was left; else somebody free inside does before the next slot. It costs
//! upkeep and keeps nobody from anything else (assumed).

use super::person::Busy;
use super::play::Play;
use super::trace::Level;
use crate::layout::{Kept, NONE, OUTSIDE, each_of};
use crate::model::UpkeepCause;

/// Crew time to carry a suit to the element it belongs to, s (assumed).
const CARRY: f64 = 600.0;

impl Play<'_> {
    /// The element that a suit belongs to.
    fn belongs_to(&self, s: usize) -> u16 {
        let l = &self.arm.layout;
        match l.suits[s].home {
            Kept::Volume(v) => l.volumes[v as usize].element,
            Kept::Berth(b) => l.ports[l.berths[b as usize].port as usize].element,
            Kept::Worn(_) => NONE,
        }
    }

    /// Where an empty suit lies that is not where it belongs: in another element, or outside.
    fn astray_at(&self, s: usize) -> Option<u16> {
        let l = &self.arm.layout;
        let Kept::Volume(v) = self.places.suit[s].kept else { return None };
        let here = self.put_down(s) == v || l.suits[s].home == Kept::Volume(v);
        let own = v != OUTSIDE && l.volumes[v as usize].element == self.belongs_to(s);
        (!here && !own).then_some(v)
    }

    /// Where a suit is put in its own element: its place, or where one that belongs at a berth is
    /// taken out to it; the cabin if one does not get there.
    fn put_down(&self, s: usize) -> u16 {
        let l = &self.arm.layout;
        let cabin = l.elements[self.belongs_to(s) as usize].cabin;
        let there = match l.suits[s].home {
            Kept::Volume(v) => v,
            Kept::Berth(b) => l.ports[l.berths[b as usize].port as usize].out_from,
            Kept::Worn(_) => NONE,
        };
        let gets_there = there != NONE && self.shirt_sleeve(cabin, there);
        if gets_there { there } else { cabin }
    }

    /// Suits left in a joined element are carried home: by those who cross now, or by somebody free.
    pub(super) fn carry_suits(&mut self, crossing: bool) {
        for s in 0..self.arm.layout.suits.len() {
            let Some(v) = self.astray_at(s).filter(|v| *v != OUTSIDE) else { continue };
            let l = &self.arm.layout;
            let (home, e) = (self.belongs_to(s), l.volumes[v as usize].element);
            let cabin = l.elements[home as usize].cabin;
            let near = self.shirt_sleeve(cabin, v)
                || self.docked(e, home) && self.docked(home, e) && self.places.is_habitable(l, v);
            let inside = self.inside_of_element(home) | self.inside_of_element(e);
            let free = each_of(inside).any(|p| self.crew[p].busy == Busy::Free);
            if !near || !free && !crossing {
                continue;
            }
            let to = self.put_down(s);
            self.places.suit[s].kept = Kept::Volume(to);
            self.places.suit[s].pressure = self.places.pressure[to as usize];
            self.suit_astray[s] = None;
            self.upkeep(UpkeepCause::SuitCarried, CARRY);
            self.say(Level::Event, None, |x| {
                let l = &x.arm.layout;
                format!("{} is carried to {}", l.suits[s].path, l.volumes[to as usize].path)
            });
        }
    }

    /// Tells where a suit that a team wore is left, if it does not belong there.
    pub(super) fn tell_left(&mut self, s: usize) {
        let Some(v) = self.astray_at(s) else { return };
        self.say(Level::Event, None, |x| {
            let l = &x.arm.layout;
            format!("{} is left in {}", l.suits[s].path, l.volumes[v as usize].path)
        });
    }
}
