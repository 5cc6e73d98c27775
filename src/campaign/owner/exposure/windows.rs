//! The 24-hour windows of one person, walked from one mark to the next.

use super::{Stay, WINDOW};
use crate::campaign::owner::rooms::{Moment, Rooms};

/// All windows of one person that end from one mark to the next.
///
/// Two cursors walk the person's events, one a window's width behind the other. A window begins or
/// ends at an event, where E is stored; at its other side E lies between two stored values.
struct Windows<'a> {
    history: History<'a>,
    met: &'a mut Met,
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

/// Highest window of a person with these stays, kg s/m3, not below the worst `before`: of those that have
/// ended from the mark at `last` on until `now`, when their exposure is `total`.
pub(super) fn worst(
    (stays, [last, now], total): (&[Stay], [f64; 2], f64),
    (rooms, met): (&Rooms, &mut Met),
    before: f64,
) -> f64 {
    let history = History { stays, rooms, now, total };
    // Events at the last mark itself may have come after it, hence strictly before.
    let begin = history.before(last - WINDOW);
    if total - begin.total <= before {
        return before;
    }
    let end = history.before(last);
    Windows { history, met, begin, end, worst: before }.worst()
}

/// Exposure integrals of rooms asked for at one mark: who sit in one room ask for the same.
#[derive(Debug, Default)]
pub(super) struct Met {
    /// Room, log entry, time and integral of each; a few, so that looking costs less than working out.
    known: [(u16, usize, f64, f64); 8],
    /// How many there were so far.
    count: usize,
}

impl Met {
    /// The integral of a room `v` at `t`, which is not before its log entry `entry` and not after the next.
    fn breathed(&mut self, rooms: &Rooms, v: u16, entry: usize, t: f64) -> f64 {
        let known = &self.known[..self.count.min(self.known.len())];
        if let Some(same) = known.iter().find(|k| (k.2, k.1, k.0) == (t, entry, v)) {
            return same.3;
        }
        let breathed = rooms.breathed_after(&rooms.log(v).0[entry], t);
        self.known[self.count % self.known.len()] = (v, entry, t, breathed);
        self.count += 1;
        breathed
    }
}

impl Windows<'_> {
    fn worst(mut self) -> f64 {
        loop {
            let (ends, begins) = (self.end.next.at, self.begin.next.at + WINDOW);
            // No window that is left begins before this event, and E never falls.
            let most = self.history.total - self.begin.total;
            if ends.min(begins) > self.history.now || most <= self.worst {
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
            let dose = self.end.total - self.history.total_at(self.met, self.begin, t - WINDOW);
            self.worst = self.worst.max(dose);
        }
    }

    /// E is known at the beginning of the window; its end lies before the event after `end`.
    fn begins_at_event(&mut self, t: f64) {
        if self.end.next.total - self.begin.total > self.worst {
            let dose = self.history.total_at(self.met, self.end, t) - self.begin.total;
            self.worst = self.worst.max(dose);
        }
    }
}

impl History<'_> {
    /// Last event before `t`.
    fn before(&self, t: f64) -> Cursor {
        let later = self.stays.iter().rev().take_while(|stay| stay.since >= t).count();
        let stay = (self.stays.len() - later).saturating_sub(1);
        let here = &self.stays[stay];
        let mut entry = self.first_entry(here);
        if let Some(v) = here.room {
            let (log, _) = self.rooms.log(v);
            entry += log[entry + 1..].partition_point(|moment| moment.at < t);
        }
        let total = self.total_in(here, entry);
        Cursor { stay, entry, total, next: self.next(stay, entry) }
    }

    /// The event after this one.
    fn after(&self, cursor: Cursor) -> Cursor {
        let Next { total, same_stay, .. } = cursor.next;
        let (stay, entry) = if same_stay {
            (cursor.stay, cursor.entry + 1)
        } else {
            (cursor.stay + 1, self.stays.get(cursor.stay + 1).map_or(0, |s| self.first_entry(s)))
        };
        Cursor { stay, entry, total, next: self.next(stay, entry) }
    }

    /// What comes after log entry `entry` of stay number `stay`.
    fn next(&self, stay: usize, entry: usize) -> Next {
        let here = &self.stays[stay];
        let (until, total) = match self.stays.get(stay + 1) {
            Some(left) => (left.since, left.total),
            None => (f64::INFINITY, self.total),
        };
        match here.room.and_then(|v| self.rooms.log(v).0.get(entry + 1)) {
            Some(jump) if jump.at < until => {
                Next { at: jump.at, total: within(here, jump), same_stay: true }
            }
            _ => Next { at: until, total, same_stay: false },
        }
    }

    /// Kept log entry in force when a stay began, or the oldest one kept.
    fn first_entry(&self, stay: &Stay) -> usize {
        stay.room.map_or(0, |v| stay.entry.saturating_sub(self.rooms.log(v).1))
    }

    /// Exposure at the event that `entry` makes in `stay`: its own time, but not before the stay.
    fn total_in(&self, stay: &Stay, entry: usize) -> f64 {
        let moment = stay.room.map(|v| &self.rooms.log(v).0[entry]);
        moment.map_or(stay.total, |moment| within(stay, moment).max(stay.total))
    }

    /// Exposure at `t`, from the event of the cursor to the next one.
    fn total_at(&self, met: &mut Met, cursor: Cursor, t: f64) -> f64 {
        let stay = &self.stays[cursor.stay];
        let Some(v) = stay.room else {
            return stay.total;
        };
        stay.total + (met.breathed(self.rooms, v, cursor.entry, t) - stay.entered)
    }
}

/// Exposure of a person at a jump of the room while they are in it.
fn within(stay: &Stay, moment: &Moment) -> f64 {
    stay.total + (moment.breathed - stay.entered)
}
