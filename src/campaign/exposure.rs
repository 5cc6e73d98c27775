//! What each person breathes: 24-hour average, peak, and time above the limit.
//!
//! E(t) is the integral of the concentration below 10 um in the room a person is in, nothing in a suit
//! or outside. The integral belongs to the room; a person keeps only its value at entry, so that
//! nothing per person happens until somebody changes rooms.
//!
//! **The window set is a definition.** The average reported is the greatest (E(t) - E(t - 24 h))/24 h
//! over window ends t in {e, e + 24 h, end}, where e runs over the events of this person: each change of
//! place, and each change of stocks or pressure of the room while they are in it. E is 0 before the
//! start. This is not the maximum over all t: the concentration jumps *at* an event, so the average
//! still rises after it, until it falls back to what it was 24 h before. The true maximum lies between
//! two window ends and can be higher; a comparison with a fine grid of times has to allow for that.
//!
//! **Windows are looked at only where they can matter.** E never falls, so E(now) less the last known
//! value at or before the earliest window start bounds all windows that ended since the last
//! [`mark`](Exposure::mark). If that beats the worst so far, each window is bounded by the stored values
//! on either side, and worked out only if that still beats it. The result does not depend on when
//! marks are taken (to rounding); old logs are kept until every window that needs them is closed.

use super::rooms::{Moment, Rooms};

/// Width of the averaging window, s.
pub const WINDOW: f64 = 86_400.0;

/// Stays and marks beyond which old ones are dropped.
const KEEP: usize = 128;

/// Worst values of one person over a campaign.
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
    worst: Worst,
    /// Highest window so far, kg s/m3.
    dose: f64,
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
    /// Times of the marks, s, and every person's exposure at each, person by person.
    marks: Vec<f64>,
    totals: Vec<f64>,
}

impl Exposure {
    /// For a crew of at most 64.
    pub fn new(people: usize) -> Self {
        assert!(
            people <= 64,
            "exposure is kept for at most 64 persons, not {people}"
        );
        let person = || Person {
            stays: Vec::new(),
            worst: Worst::default(),
            dose: 0.0,
        };
        let people = (0..people).map(|_| person()).collect();
        let mut all = Self {
            people,
            marks: Vec::new(),
            totals: Vec::new(),
        };
        all.reset();
        all
    }

    /// Back to the start: everybody is in no volume until they [`enter`](Self::enter) one.
    pub fn reset(&mut self) {
        for person in &mut self.people {
            person.stays.clear();
            person.stays.push(Stay::BEFORE);
            person.worst = Worst::default();
            person.dose = 0.0;
        }
        self.marks.clear();
        self.marks.push(f64::NEG_INFINITY);
        self.totals.clear();
        self.totals.resize(self.people.len(), 0.0);
    }

    /// `person` is in `place` from time `t` on: in a volume and breathing its air, or `None` in a suit
    /// or outside. To stay where one is costs nothing and is no event.
    pub fn enter(&mut self, rooms: &mut Rooms, person: u16, place: Option<u16>, t: f64) {
        let left = self.people[usize::from(person)].stay().room;
        if left == place {
            return;
        }
        let bit = 1u64 << person;
        if let Some(v) = left {
            rooms.advance(v, t);
            self.tell_peak(rooms, v);
        }
        let was = &mut self.people[usize::from(person)];
        let total = was.total(rooms);
        if let Some(v) = left {
            was.worst.over_limit += rooms.reading(v).over - was.stay().over;
            rooms.set_people(v, rooms.people(v) & !bit);
            self.set_known(rooms, v);
        }
        let mut stay = Stay {
            since: t,
            room: place,
            total,
            ..Stay::BEFORE
        };
        if let Some(v) = place {
            rooms.advance(v, t);
            // Those already here are told first: what happened before is not the newcomer's.
            self.tell_peak(rooms, v);
            rooms.set_people(v, rooms.people(v) | bit);
            let worst = &mut self.people[usize::from(person)].worst;
            worst.peak = worst.peak.max(rooms.concentration(v));
            self.set_known(rooms, v);
            let now = rooms.reading(v);
            stay = Stay {
                entered: now.breathed,
                over: now.over,
                entry: now.entry,
                ..stay
            };
        }
        self.people[usize::from(person)].stays.push(stay);
    }

    /// Looks at all windows that ended since the last mark. To be called now and then, such as at the
    /// end of each ingress; rarely called, logs grow; never called, [`finish`](Self::finish) does all.
    pub fn mark(&mut self, rooms: &mut Rooms, t: f64) {
        let last = *self.marks.last().expect("there is a mark before the start");
        assert!(t >= last, "a mark at {t} s after one at {last} s");
        let crew = self.people.len();
        // Last mark before every window start that counts now.
        let old = self
            .marks
            .partition_point(|mark| *mark <= last - WINDOW)
            .saturating_sub(1);
        for i in 0..crew {
            let person = &self.people[i];
            if let Some(v) = person.stay().room {
                rooms.advance(v, t);
            }
            let total = person.total(rooms);
            if total - self.totals[old * crew + i] > person.dose {
                self.people[i].dose = Windows::new(person, rooms, last, t, total).worst();
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
        for person in &mut self.people {
            person.worst.average = person.dose / WINDOW;
        }
    }

    /// Worst values of one person; complete after [`finish`](Self::finish).
    pub fn of(&self, person: u16) -> Worst {
        self.people[usize::from(person)].worst
    }

    /// The worst of all persons, each value by itself. `None` where there is nobody.
    pub fn worst(&self) -> Option<Worst> {
        self.people
            .iter()
            .map(|person| person.worst)
            .reduce(|a, b| Worst {
                average: a.average.max(b.average),
                peak: a.peak.max(b.peak),
                over_limit: a.over_limit.max(b.over_limit),
            })
    }

    /// Credits everybody in `v` with the highest concentration since they were last told.
    fn tell_peak(&mut self, rooms: &mut Rooms, v: u16) {
        let (peak, known) = rooms.take_recent(v);
        if peak <= known {
            return;
        }
        for i in bits(rooms.people(v)) {
            let worst = &mut self.people[i].worst;
            worst.peak = worst.peak.max(peak);
        }
    }

    /// Tells the room what its people have all met already.
    fn set_known(&self, rooms: &mut Rooms, v: u16) {
        let met = bits(rooms.people(v)).map(|i| self.people[i].worst.peak);
        rooms.set_known(v, met.fold(f64::INFINITY, f64::min));
    }

    /// The campaign is over for this person: the end is a window end like any event.
    fn enter_nothing(&mut self, rooms: &mut Rooms, person: usize, t: f64) {
        if self.people[person].stay().room.is_some() {
            self.enter(rooms, person as u16, None, t);
        } else {
            let total = self.people[person].stay().total;
            self.people[person].stays.push(Stay {
                since: t,
                total,
                ..Stay::BEFORE
            });
        }
    }

    /// Drops what no later window needs: what ended at or before `cut`.
    fn trim(&mut self, rooms: &mut Rooms, cut: f64) {
        rooms.trim(cut);
        for person in self
            .people
            .iter_mut()
            .filter(|person| person.stays.len() > KEEP)
        {
            let old = person
                .stays
                .partition_point(|stay| stay.since < cut)
                .saturating_sub(1);
            person.stays.drain(..old);
        }
        if self.marks.len() > KEEP {
            let old = self
                .marks
                .partition_point(|mark| *mark <= cut)
                .saturating_sub(1);
            self.marks.drain(..old);
            self.totals.drain(..old * self.people.len());
        }
    }
}

/// Numbers of the bits that are set.
fn bits(mut mask: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let lowest = mask.trailing_zeros() as usize;
        mask &= mask.wrapping_sub(1);
        (lowest < 64).then_some(lowest)
    })
}

/// All windows of one person that end from one mark to the next.
///
/// Two cursors walk the person's events, one a window's width behind the other. A window begins or
/// ends at an event, where E is stored; at its other side E lies between two stored values.
struct Windows<'a> {
    history: History<'a>,
    begin: Cursor,
    end: Cursor,
    worst: f64,
}

/// What a person's exposure can be read from at any time.
struct History<'a> {
    stays: &'a [Stay],
    rooms: &'a Rooms,
    now: f64,
    total: f64,
}

/// An event of a person: `entry` of the room's log is in force from `at` on.
#[derive(Clone, Copy)]
struct Cursor {
    stay: usize,
    /// Index into the kept part of the room's log; without meaning outside.
    entry: usize,
    /// Time of the event and exposure then.
    total: f64,
    /// The same for the next event, or now where there is none.
    next: Next,
}

/// The event after another.
#[derive(Clone, Copy)]
struct Next {
    at: f64,
    total: f64,
    /// It belongs to the same stay.
    same_stay: bool,
}

impl<'a> Windows<'a> {
    fn new(person: &'a Person, rooms: &'a Rooms, last: f64, now: f64, total: f64) -> Self {
        let history = History {
            stays: &person.stays,
            rooms,
            now,
            total,
        };
        // Events at the last mark itself may have come after it, hence strictly before.
        let begin = history.before(last - WINDOW);
        let end = history.before(last);
        Self {
            history,
            begin,
            end,
            worst: person.dose,
        }
    }

    /// Highest window, kg s/m3, not below the worst before.
    fn worst(mut self) -> f64 {
        loop {
            let (ends, begins) = (self.end.next.at, self.begin.next.at + WINDOW);
            if ends.min(begins) > self.history.now {
                return self.worst;
            }
            if ends <= begins {
                self.end = self.history.after(self.end);
                self.ends_at_event(ends);
            } else {
                self.begin = self.history.after(self.begin);
                self.begins_at_event(begins);
            }
        }
    }

    /// E is known at the end of the window; its beginning lies after the event `begin`.
    fn ends_at_event(&mut self, t: f64) {
        if self.end.total - self.begin.total > self.worst {
            let dose = self.end.total - self.history.total_at(self.begin, t - WINDOW);
            self.worst = self.worst.max(dose);
        }
    }

    /// E is known at the beginning of the window; its end lies before the event after `end`.
    fn begins_at_event(&mut self, t: f64) {
        if self.end.next.total - self.begin.total > self.worst {
            let dose = self.history.total_at(self.end, t) - self.begin.total;
            self.worst = self.worst.max(dose);
        }
    }
}

impl History<'_> {
    /// Last event before `t`.
    fn before(&self, t: f64) -> Cursor {
        let later = self
            .stays
            .iter()
            .rev()
            .take_while(|stay| stay.since >= t)
            .count();
        let stay = (self.stays.len() - later).saturating_sub(1);
        let here = &self.stays[stay];
        let mut entry = self.first_entry(here);
        if let Some(v) = here.room {
            let (log, _) = self.rooms.log(v);
            entry += log[entry + 1..].partition_point(|moment| moment.at < t);
        }
        let total = self.total_in(here, entry);
        Cursor {
            stay,
            entry,
            total,
            next: self.next(stay, entry),
        }
    }

    /// The event after this one.
    fn after(&self, cursor: Cursor) -> Cursor {
        let Next {
            total, same_stay, ..
        } = cursor.next;
        let (stay, entry) = if same_stay {
            (cursor.stay, cursor.entry + 1)
        } else {
            (
                cursor.stay + 1,
                self.stays
                    .get(cursor.stay + 1)
                    .map_or(0, |s| self.first_entry(s)),
            )
        };
        Cursor {
            stay,
            entry,
            total,
            next: self.next(stay, entry),
        }
    }

    /// What comes after log entry `entry` of stay number `stay`.
    fn next(&self, stay: usize, entry: usize) -> Next {
        let here = &self.stays[stay];
        let (until, total) = match self.stays.get(stay + 1) {
            Some(left) => (left.since, left.total),
            None => (f64::INFINITY, self.total),
        };
        match here.room.and_then(|v| self.rooms.log(v).0.get(entry + 1)) {
            Some(jump) if jump.at < until => Next {
                at: jump.at,
                total: within(here, jump),
                same_stay: true,
            },
            _ => Next {
                at: until,
                total,
                same_stay: false,
            },
        }
    }

    /// Kept log entry in force when a stay began, or the oldest one kept.
    fn first_entry(&self, stay: &Stay) -> usize {
        stay.room
            .map_or(0, |v| stay.entry.saturating_sub(self.rooms.log(v).1))
    }

    /// Exposure at the event that `entry` makes in `stay`: its own time, but not before the stay.
    fn total_in(&self, stay: &Stay, entry: usize) -> f64 {
        let moment = stay.room.map(|v| &self.rooms.log(v).0[entry]);
        moment.map_or(stay.total, |moment| within(stay, moment).max(stay.total))
    }

    /// Exposure at `t`, from the event of the cursor to the next one.
    fn total_at(&self, cursor: Cursor, t: f64) -> f64 {
        let stay = &self.stays[cursor.stay];
        let Some(v) = stay.room else {
            return stay.total;
        };
        let breathed = self
            .rooms
            .breathed_after(&self.rooms.log(v).0[cursor.entry], t);
        stay.total + (breathed - stay.entered)
    }
}

/// Exposure of a person at a jump of the room while they are in it.
fn within(stay: &Stay, moment: &Moment) -> f64 {
    stay.total + (moment.breathed - stay.entered)
}

#[cfg(test)]
mod tests;
