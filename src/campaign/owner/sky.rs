//! The sky: which events are announced, which of them last and ask for a shelter, and since when each
//! person is out of one.

use crate::plan::MAX_CREW;

/// One event of the environment.
#[derive(Clone, Copy, Debug, Default)]
struct State {
    /// Announced and not over.
    active: bool,
    /// It lasts, and people are to be in a shelter.
    on: bool,
    /// How many so far.
    count: u32,
}

/// All events, and who is out of a shelter.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Sky {
    events: Vec<State>,
    /// One of them lasts for which people are to be in a shelter.
    asked: bool,
    /// Out of a shelter since, s; infinite where that does not count.
    unsheltered: [f64; MAX_CREW],
}

impl Sky {
    /// A clear sky with so many kinds of event.
    pub(in crate::campaign) fn new(events: usize) -> Sky {
        let unsheltered = [f64::INFINITY; MAX_CREW];
        Sky { events: vec![State::default(); events], asked: false, unsheltered }
    }

    /// Clear again.
    pub(in crate::campaign) fn clear(&mut self) {
        self.events.fill(State::default());
        self.asked = false;
        self.unsheltered.fill(f64::INFINITY);
    }

    /// An event is announced.
    pub(in crate::campaign) fn announce(&mut self, e: usize) {
        self.events[e].active = true;
        self.events[e].count += 1;
    }

    /// An event begins, or ends, for which people are to be in a shelter.
    pub(in crate::campaign) fn asks_for_shelter(&mut self, e: usize, on: bool) {
        self.events[e].on = on;
        self.asked = self.events.iter().any(|s| s.on);
    }

    /// An event is over.
    pub(in crate::campaign) fn over(&mut self, e: usize) {
        self.events[e].active = false;
    }

    /// How often an event was announced.
    pub(in crate::campaign) fn times(&self, e: usize) -> u64 {
        u64::from(self.events[e].count)
    }

    /// The first event that is announced and not over.
    pub(in crate::campaign) fn announced(&self) -> Option<usize> {
        self.events.iter().position(|s| s.active)
    }

    /// Does an event last for which people are to be in a shelter?
    pub(in crate::campaign) fn shelters_for(&self, e: usize) -> bool {
        self.events[e].on
    }

    /// Does any?
    #[inline]
    pub(in crate::campaign) fn shelter_asked(&self) -> bool {
        self.asked
    }

    /// A person is looked at: how long they were out of a shelter up to now, s (less than nothing where
    /// they were not); from now on they are `out` or not.
    pub(in crate::campaign) fn look_at(&mut self, p: usize, now: f64, out: bool) -> f64 {
        let since = std::mem::replace(&mut self.unsheltered[p], f64::INFINITY);
        if out {
            self.unsheltered[p] = now;
        }
        now - since
    }

    /// Was a person out of a shelter when they were looked at last?
    pub(in crate::campaign) fn is_out(&self, p: usize) -> bool {
        self.unsheltered[p].is_finite()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_is_announced_lasts_and_is_over() {
        let mut s = Sky::new(2);
        assert!(s.announced().is_none() && !s.shelter_asked());
        s.announce(1);
        s.asks_for_shelter(1, true);
        assert_eq!((s.announced(), s.times(1), s.times(0)), (Some(1), 1, 0));
        assert!(s.shelter_asked() && s.shelters_for(1) && !s.shelters_for(0));
        s.over(1);
        s.asks_for_shelter(1, false);
        assert!(s.announced().is_none() && !s.shelter_asked());
        s.clear();
        assert_eq!(s.times(1), 0);
    }

    #[test]
    fn hours_out_of_a_shelter_count_from_look_to_look() {
        let mut s = Sky::new(1);
        assert!(s.look_at(0, 10.0, true) < 0.0 && s.is_out(0) && !s.is_out(1));
        assert_eq!(s.look_at(0, 30.0, true), 20.0);
        assert_eq!(s.look_at(0, 35.0, false), 5.0);
        assert!(s.look_at(0, 40.0, false) < 0.0 && !s.is_out(0));
    }
}
