//! What is conserved besides gas and dust, for tests: everybody and every suit in one place, every spare.

use crate::campaign::world::World;
use crate::measure::Fact;
use crate::plan::{Kept, Where};

impl World<'_> {
    /// Persons and suits that do not agree about where they are, in words; `None` where all is well.
    pub fn misplaced(&self) -> Option<String> {
        let l = &self.arm.layout;
        for (p, person) in self.places.person.iter().take(l.crew).enumerate() {
            let name = &self.m.crew.names[p];
            if person.suit.is_some() {
                let kept = self.places.suit.get(person.suit).map(|s| s.kept());
                let hangs = matches!((person.at(), kept),
                    (Where::Berth(b), Some(Kept::Berth(hung))) if b == hung);
                if kept != Some(Kept::Worn(p as u8)) && !hangs {
                    return Some(format!(
                        "{name} wears suit {} that is {kept:?}",
                        person.suit.at()
                    ));
                }
            }
            if let Where::Volume(v) = person.at()
                && l.volumes.get(v).is_none()
            {
                return Some(format!("{name} is in no volume"));
            }
        }
        for (s, suit) in self.places.suit.each() {
            if let Kept::Worn(p) = suit.kept()
                && self.places.person[p as usize].suit != s
            {
                return Some(format!("suit {} is worn by who does not wear it", s.at()));
            }
            let berth = match suit.kept() {
                Kept::Berth(b) => Some(b),
                Kept::Worn(p) => match self.places.person[p as usize].at() {
                    Where::Berth(b) => Some(b),
                    _ => None,
                },
                Kept::Volume(_) => None,
            };
            if berth.is_some_and(|b| self.places.suit_at(b) != Some(s)) {
                return Some(format!("suit {} is not known to hang where it hangs", s.at()));
            }
            let hangs = |other: &crate::plan::SuitState| matches!((suit.kept(), other.kept()), (Kept::Berth(a), Kept::Berth(b)) if a == b);
            if self.places.suit.iter().skip(s.at() + 1).any(hangs) {
                return Some(format!("two suits hang where suit {} hangs", s.at()));
            }
        }
        None
    }

    /// Spares that were there at the start or came by resupply, less those in stock, in hand and used.
    pub fn spares_astray(&self) -> f64 {
        let start: u32 = self.m.spares.iter().map(|s| s.1).sum();
        let (have, brought) = self.jobs.spares();
        let running = if self.books.books_closed { &self.books.closed } else { &self.books.out };
        let used = running.facts.value[Fact::SparesUsed as usize];
        f64::from(start + brought) - f64::from(have) - used
    }
}
