//! Who is out of a shelter while an event lasts that asks for one (solar particles): person hours from its
//! onset, by event.

use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::plan::{NONE, OUTSIDE, Where};

impl World<'_> {
    /// An event that asks for a shelter begins.
    pub(in crate::campaign) fn onset(&mut self, e: usize) {
        self.stop_services();
        self.look_at_shelter();
        self.sky.asks_for_shelter(e, true);
        self.look_at_shelter();
        self.say(Level::Event, None, |s| {
            let out = (0..s.arm.layout.crew).filter(|p| s.sky.is_out(*p));
            let names: Vec<&str> = out.map(|p| s.m.crew.names[p].as_str()).collect();
            let who = if names.is_empty() { "nobody".into() } else { names.join(" and ") };
            format!("{} begins; outside a shelter: {who}", s.m.events[e].name)
        });
    }

    /// Is a person in the cabin of an element that shelters?
    fn sheltered(&self, p: usize) -> bool {
        let Where::Volume(v) = self.places.person[p].at() else {
            return self.people.gone & 1 << p != 0;
        };
        let volume = &self.arm.layout.volumes[v];
        v != OUTSIDE && volume.port == NONE && self.arm.elements[volume.element as usize].shelter
    }

    /// Books the time out of a shelter up to now and notes who is out of one.
    pub(in crate::campaign) fn look_at_shelter(&mut self) {
        let on = self.sky.shelter_asked();
        for p in 0..self.arm.layout.crew {
            let out = on && !self.sheltered(p);
            let hours = self.sky.look_at(p, self.now, out) / 3600.0;
            if hours > 0.0 {
                self.book_unsheltered(hours);
            }
        }
    }

    fn book_unsheltered(&mut self, hours: f64) {
        let asks = self.m.events.iter().enumerate().filter(|(_, e)| e.shelter);
        for (row, (e, _)) in (self.arm.blocks.unsheltered..).zip(asks) {
            if self.sky.shelters_for(e) {
                self.books.out.breakdown[row] += hours;
            }
        }
    }
}
