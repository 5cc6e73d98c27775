//! What each person breathes: 24-hour average, peak, and time above the limit.
//!
//! E(t) is the integral of the concentration below 10 um in the room a person is in, nothing in a
//! suit or outside. The integral belongs to the room; a person keeps only its value at entry, so
//! that nothing per person happens until somebody changes rooms.
//!
//! **The window set is a definition.** The average reported is the greatest
//! (E(t) - E(t - 24 h))/24 h over window ends t in {e, e + 24 h, end}, where e runs over the events
//! of this person: each change of place, and each arrival, crossing, tracking, cleaning, emptying or
//! change of pressure in the room while they are in it (a crossing or tracking with nothing to move
//! is none). E is 0 before the start. This is not the maximum over all t: the concentration jumps
//! *at* an event, so the average still rises after it, until it falls back to what it was 24 h
//! before. The true maximum lies between two window ends and can be higher; a comparison with a fine
//! grid of times has to allow for that.
//!
//! **Windows are looked at only where they can matter.** E never falls, so E(now) less the last
//! known value at or before the earliest window start bounds all windows that ended since the last
//! [`mark`](Exposure::mark). If that beats the worst of anybody so far, each window is bounded by the stored
//! values on either side, and worked out only if that still beats it. The result does not depend on
//! when marks are taken (to rounding); old logs are kept until every window that needs them is
//! closed.

use self::windows::Met;
use crate::campaign::owner::rooms::Rooms;

mod windows;

/// Width of the averaging window, s.
pub const WINDOW: f64 = 86_400.0;

/// Stays and marks beyond which old ones are dropped; few in tests, as for the logs of the rooms.
const KEEP: usize = if cfg!(test) { 3 } else { 128 };

/// Worst values over a campaign.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worst {
    /// Highest 24-hour average over the defined windows, kg/m3.
    pub average: f64,
    /// Highest concentration met at any moment, kg/m3.
    pub peak: f64,
    /// Time above the limit, s.
    pub over_limit: f64,
}

/// A time spent in one place.
#[derive(Clone, Copy, Debug)]
struct Stay {
    since: f64,
    /// `None` in a suit or outside.
    room: Option<u16>,
    /// The room's integral and time above the limit at entry.
    entered: f64,
    over: f64,
    /// Log entry of the room in force at entry.
    entry: usize,
    /// Exposure of the person at entry, kg s/m3.
    total: f64,
}

impl Stay {
    /// Before the campaign: nowhere, nothing breathed.
    const BEFORE: Self = Self {
        since: f64::NEG_INFINITY,
        room: None,
        entered: 0.0,
        over: 0.0,
        entry: 0,
        total: 0.0,
    };
}

/// One person's history, as far back as windows need it.
#[derive(Clone, Debug)]
struct Person {
    stays: Vec<Stay>,
    /// Time above the limit so far, s.
    over: f64,
}

impl Person {
    fn stay(&self) -> &Stay {
        self.stays.last().expect("a person is always somewhere")
    }

    /// Exposure now; the room must have been brought to the present time.
    fn total(&self, rooms: &Rooms) -> f64 {
        let stay = self.stay();
        match stay.room {
            Some(v) => stay.total + (rooms.breathed(v) - stay.entered),
            None => stay.total,
        }
    }
}

/// Exposure of all persons of a campaign; reset in place.
#[derive(Clone, Debug)]
pub struct Exposure {
    people: Vec<Person>,
    /// Highest window of anybody so far, kg s/m3.
    dose: f64,
    /// Highest concentration that anybody has met, kg/m3.
    peak: f64,
    /// Times of the marks, s, and every person's exposure at each, person by person.
    marks: Vec<f64>,
    totals: Vec<f64>,
}

impl Exposure {
    /// For a crew of at most 64.
    pub fn new(people: usize) -> Self {
        assert!(people <= 64, "exposure is kept for at most 64 persons, not {people}");
        let person = || Person { stays: Vec::new(), over: 0.0 };
        let people = (0..people).map(|_| person()).collect();
        let (marks, totals) = (Vec::new(), Vec::new());
        let mut all = Self { people, dose: 0.0, peak: 0.0, marks, totals };
        all.reset();
        all
    }

    /// Back to the start: everybody is in no volume until they [`enter`](Self::enter) one.
    pub fn reset(&mut self) {
        for person in &mut self.people {
            person.stays.clear();
            person.stays.push(Stay::BEFORE);
            person.over = 0.0;
        }
        (self.dose, self.peak) = (0.0, 0.0);
        self.marks.clear();
        self.marks.push(f64::NEG_INFINITY);
        self.totals.clear();
        self.totals.resize(self.people.len(), 0.0);
    }

    /// `person` is in `place` from time `t` on: in a volume and breathing its air, or `None` in a
    /// suit or outside. To stay where one is costs nothing and is no event.
    #[inline]
    pub fn enter(&mut self, rooms: &mut Rooms, person: u16, place: Option<u16>, t: f64) {
        let left = self.people[usize::from(person)].stay().room;
        if left != place {
            self.moves(rooms, person, [left, place], t);
        }
    }

    /// A person goes from one place to another.
    fn moves(&mut self, rooms: &mut Rooms, person: u16, [left, place]: [Option<u16>; 2], t: f64) {
        let bit = 1u64 << person;
        if let Some(v) = left {
            rooms.advance(v, t);
            self.tell_peak(rooms, v);
        }
        let was = &mut self.people[usize::from(person)];
        let total = was.total(rooms);
        if let Some(v) = left {
            was.over += rooms.reading(v).over - was.stay().over;
            rooms.set_people(v, rooms.people(v) & !bit);
        }
        let mut stay = Stay { since: t, room: place, total, ..Stay::BEFORE };
        if let Some(v) = place {
            rooms.advance(v, t);
            // Those already here are told first: what happened before is not the newcomer's.
            self.tell_peak(rooms, v);
            rooms.set_people(v, rooms.people(v) | bit);
            self.peak = self.peak.max(rooms.concentration(v));
            rooms.set_known(v, self.peak);
            let now = rooms.reading(v);
            stay = Stay { entered: now.breathed, over: now.over, entry: now.entry, ..stay };
        }
        self.people[usize::from(person)].stays.push(stay);
    }

    /// Looks at all windows that ended since the last mark. To be called now and then, such as at
    /// the end of each ingress; rarely called, logs grow; never called, [`finish`](Self::finish)
    /// does all.
    pub fn mark(&mut self, rooms: &mut Rooms, t: f64) {
        let last = *self.marks.last().expect("there is a mark before the start");
        assert!(t >= last, "a mark at {t} s after one at {last} s");
        let crew = self.people.len();
        // Last mark before every window start that counts now.
        let old = self.marks.partition_point(|mark| *mark <= last - WINDOW).saturating_sub(1);
        let mut met = Met::default();
        for i in 0..crew {
            let person = &self.people[i];
            if let Some(v) = person.stay().room {
                rooms.advance(v, t);
            }
            let total = person.total(rooms);
            if total - self.totals[old * crew + i] > self.dose {
                let windows = (person.stays.as_slice(), [last, t], total);
                self.dose = windows::worst(windows, (rooms, &mut met), self.dose);
            }
            self.totals.push(total);
        }
        self.marks.push(t);
        self.trim(rooms, t - WINDOW);
    }

    /// Ends the campaign at `t_end`: closes the last windows and all stays.
    pub fn finish(&mut self, rooms: &mut Rooms, t_end: f64) {
        for i in 0..self.people.len() {
            self.enter_nothing(rooms, i, t_end);
        }
        self.mark(rooms, t_end);
    }

    /// The worst of all persons, each value by itself; complete after [`finish`](Self::finish). `None` where
    /// there is nobody.
    pub fn worst(&self) -> Option<Worst> {
        let over_limit = self.people.iter().map(|person| person.over).reduce(f64::max)?;
        Some(Worst { average: self.dose / WINDOW, peak: self.peak, over_limit })
    }

    /// Credits those in `v`, if there is anybody, with the highest concentration since this was done last.
    fn tell_peak(&mut self, rooms: &mut Rooms, v: u16) {
        let peak = rooms.take_recent(v);
        if rooms.people(v) != 0 {
            self.peak = self.peak.max(peak);
        }
    }

    /// The campaign is over for this person: the end is a window end like any event.
    fn enter_nothing(&mut self, rooms: &mut Rooms, person: usize, t: f64) {
        if self.people[person].stay().room.is_some() {
            self.enter(rooms, person as u16, None, t);
        } else {
            let total = self.people[person].stay().total;
            self.people[person].stays.push(Stay { since: t, total, ..Stay::BEFORE });
        }
    }

    /// Drops what no later window needs: what ended at or before `cut`.
    fn trim(&mut self, rooms: &mut Rooms, cut: f64) {
        rooms.trim(cut);
        for person in self.people.iter_mut().filter(|person| person.stays.len() > KEEP) {
            let old = person.stays.partition_point(|stay| stay.since < cut).saturating_sub(1);
            person.stays.drain(..old);
        }
        if self.marks.len() > KEEP {
            let old = self.marks.partition_point(|mark| *mark <= cut).saturating_sub(1);
            self.marks.drain(..old);
            self.totals.drain(..old * self.people.len());
        }
    }
}

#[cfg(test)]
mod tests;
