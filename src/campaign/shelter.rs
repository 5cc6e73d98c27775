//! Who is out of a shelter while an event lasts that asks for one (solar particles): person hours from its
//! onset, by event.

use super::play::Play;
use super::trace::Level;
use crate::layout::{NONE, OUTSIDE, Where};

impl Play<'_> {
    /// An event that asks for a shelter begins.
    pub(super) fn onset(&mut self, e: usize) {
        self.stop_services();
        self.look_at_shelter();
        self.sky[e].on = true;
        self.look_at_shelter();
        self.say(Level::Event, None, |s| {
            let out = (0..s.arm.layout.crew).filter(|p| s.unsheltered[*p].is_finite());
            let names: Vec<&str> = out.map(|p| s.m.crew.names[p].as_str()).collect();
            let who = if names.is_empty() { "nobody".into() } else { names.join(" and ") };
            format!("{} begins; out of a shelter: {who}", s.m.events[e].name)
        });
    }

    /// Is a person in the cabin of an element that shelters?
    fn sheltered(&self, p: usize) -> bool {
        let Where::Volume(v) = self.places.person[p].at else {
            return self.gone & 1 << p != 0;
        };
        let volume = &self.arm.layout.volumes[v as usize];
        v != OUTSIDE && volume.port == NONE && self.arm.elements[volume.element as usize].shelter
    }

    /// Books the time out of a shelter up to now and notes who is out of one.
    pub(super) fn look_at_shelter(&mut self) {
        let on = self.sky.iter().any(|s| s.on);
        for p in 0..self.arm.layout.crew {
            let hours = (self.now - self.unsheltered[p]) / 3600.0;
            if hours > 0.0 {
                self.book_unsheltered(hours);
            }
            self.unsheltered[p] = if on && !self.sheltered(p) { self.now } else { f64::INFINITY };
        }
    }

    fn book_unsheltered(&mut self, hours: f64) {
        let asks = self.sky.iter().zip(&self.m.events).filter(|(_, e)| e.shelter);
        for (row, (s, _)) in (self.arm.blocks.unsheltered..).zip(asks) {
            if s.on {
                self.out.breakdown[row] += hours;
            }
        }
    }
}
