//! What a day and a week hold (rule 13): overhead of an activity, hours outside in the last seven
//! days, suits that still recharge.

use crate::campaign::world::World;
use crate::model::{Purpose, Slot, cause};
use crate::plan::{Crew, Kept, OUTSIDE, SuitId, VolumeId, each_of, wanted};
use std::collections::VecDeque;

/// Days that the weekly ceiling counts: the present one and six before.
const WEEK: i64 = 7;

/// The day of a time, from the start of the campaign. What was begun on a day counts on it, so that
/// a slot at the same hour a week later finds a whole day free, not minutes of it.
fn day(t: f64) -> i64 {
    (t / 86_400.0) as i64
}

/// A time outside.
#[derive(Clone, Copy, Debug)]
struct Outing {
    /// The day it counts on: that of its beginning.
    day: i64,
    /// Beginning, s.
    begin: f64,
    /// End, s; infinite while they are out.
    end: f64,
}

/// Times outside per person, as far back as a week reaches.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Outings {
    times: Vec<VecDeque<Outing>>,
}

impl Outings {
    /// Of so many persons.
    pub(in crate::campaign) fn new(crew: usize) -> Outings {
        Outings { times: vec![VecDeque::with_capacity(16); crew] }
    }

    /// Nobody has been out.
    pub(in crate::campaign) fn reset(&mut self) {
        self.times.iter_mut().for_each(VecDeque::clear);
    }

    /// A person is out from `t` on.
    pub(in crate::campaign) fn begin(&mut self, p: usize, t: f64) {
        let (mine, today) = (&mut self.times[p], day(t));
        let old = |o: &Outing| o.end.is_finite() && o.day <= today - WEEK;
        while mine.front().is_some_and(old) {
            mine.pop_front();
        }
        if mine.back().is_none_or(|o| o.end.is_finite()) {
            mine.push_back(Outing { day: today, begin: t, end: f64::INFINITY });
        }
    }

    /// A person who is out begins to come in at `t`.
    pub(in crate::campaign) fn end(&mut self, p: usize, t: f64) {
        if let Some(o) = self.times[p].back_mut().filter(|o| o.end == f64::INFINITY) {
            o.end = t.max(o.begin);
        }
    }

    /// Seconds outside up to `t`, of what was begun on its day and the six before.
    pub(in crate::campaign) fn in_week(&self, p: usize, t: f64) -> f64 {
        let before = day(t) - WEEK;
        let counts = self.times[p].iter().filter(|o| o.day > before);
        counts.map(|o| (o.end.min(t) - o.begin).max(0.0)).sum()
    }
}

impl World<'_> {
    /// Overhead of a person of a slot's roster, s: drawn per person and sortie.
    pub(in crate::campaign) fn overhead_of(&self, slot: &Slot, p: usize) -> f64 {
        let what = Purpose::Overhead { role: slot.role(p) };
        let law = &self.arm.overheads[slot.activity as usize];
        let hash = self.m.activities[slot.activity as usize].hash;
        self.draws.value(law, &self.v, (hash, u64::from(slot.number)), what)
    }

    /// Half of the overhead of a person who is with a team, s; nothing without a slot.
    pub(in crate::campaign) fn half_overhead(&self, k: usize, p: usize) -> f64 {
        match self.m.slots.get(self.teams[k].slot as usize) {
            Some(slot) if slot.roster & 1 << p != 0 => self.overhead_of(slot, p) / 2.0,
            _ => 0.0,
        }
    }

    /// Overhead of a sortie whose books are closed, s: both halves, the second for those who are here,
    /// unless the planned end comes before it.
    pub(in crate::campaign) fn activity_overhead(&self, slot: &Slot) -> f64 {
        each_of(slot.roster).fold(0.0, |sum, p| {
            let half = self.overhead_of(slot, p) / 2.0;
            let here = self.people.gone & 1 << p == 0 && !self.course.horizon_passed;
            sum + if here { 2.0 * half } else { half }
        })
    }

    /// What is left of the weekly ceiling of a person now, s.
    pub(in crate::campaign) fn week_left(&self, p: usize, now: f64) -> f64 {
        let most = self.numbers.rules.eva_week_most;
        most - self.people.outings.in_week(p, now)
    }

    /// The week of somebody on the roster holds no time for work beside the nominal travel.
    pub(in crate::campaign) fn week_obstacle(&self, slot: &Slot) -> Option<u16> {
        let travel = self.m.activities[slot.activity as usize].travel;
        let used_up = each_of(slot.roster).any(|p| self.week_left(p, self.now) <= travel);
        used_up.then_some(cause::WEEK)
    }

    /// A suit is back from outside: it recharges.
    pub(in crate::campaign) fn recharge_from_now(&mut self, s: SuitId) {
        let kind = &self.m.suits[self.arm.layout.suits[s].kind as usize];
        let hash = self.arm.suit_hashes[s];
        let occasion = u64::from(self.suits.trips(s));
        let draw = || self.draw_at(hash, occasion, Purpose::Recharge);
        let takes = kind.recharge_elapsed.value(&self.v, draw);
        self.places.suit[s].charging = self.suits.recharges(s, self.now, takes);
    }

    /// Suits whose recharge is over by now may be donned again.
    pub(in crate::campaign) fn look_at_recharge(&mut self) {
        if !self.suits.recharge_over(self.now) {
            return;
        }
        for (s, suit) in self.places.suit.each_mut() {
            suit.charging = self.suits.charging(s, self.now);
        }
    }

    /// Suits enough for the team are at a port or within reach indoors, but not charged.
    pub(in crate::campaign) fn still_recharging(&self, port: u16, team: u32, kind: u16) -> bool {
        if !self.places.suit.iter().any(|s| s.charging) {
            return false;
        }
        let l = &self.arm.layout;
        let p = &l.ports[port as usize];
        let reach = self.places.in_reach(l, l.elements[p.element as usize].cabin);
        let near = |v: VolumeId| v != OUTSIDE && (p.volumes.contains(&v) || reach.has(v));
        let here = |kept: Kept| match kept {
            Kept::Berth(b) => p.berths.contains(&b),
            Kept::Volume(v) => near(v),
            Kept::Worn(_) => false,
        };
        let all = self.places.suit.each().filter(|(_, s)| s.usable && here(s.kept()));
        let usable = all.filter(|(s, _)| wanted(l, port, kind, *s));
        let count = |(n, c), s: &crate::plan::SuitState| (n + 1, c + u32::from(s.charging));
        let (all, charging) = usable.fold((0, 0), |sum, (_, s)| count(sum, s));
        charging > 0 && all >= team && all - charging < team
    }

    /// People begin to come in: their time outside is over.
    pub(in crate::campaign) fn outing_over(&mut self, crew: Crew) {
        let now = self.now;
        each_of(crew).for_each(|p| self.people.outings.end(p, now));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: f64 = 3600.0;
    const DAY: f64 = 24.0 * HOUR;

    #[test]
    fn a_week_is_the_present_day_and_six_before() {
        let mut o = Outings::new(2);
        assert_eq!(o.in_week(0, 0.0), 0.0);
        o.begin(0, DAY + 10.0 * HOUR);
        o.end(0, DAY + 16.0 * HOUR);
        o.begin(0, 3.0 * DAY);
        assert_eq!(o.in_week(0, 3.0 * DAY + HOUR), 7.0 * HOUR);
        o.end(0, 3.0 * DAY + 2.0 * HOUR);
        assert_eq!(o.in_week(0, 8.0 * DAY - 1.0), 8.0 * HOUR);
        assert_eq!(o.in_week(0, 8.0 * DAY), 2.0 * HOUR);
        assert_eq!(o.in_week(0, 10.0 * DAY), 0.0);
        assert_eq!(o.in_week(1, 3.0 * DAY), 0.0);
    }

    #[test]
    fn what_has_begun_is_not_begun_again_nor_ended_twice() {
        let mut o = Outings::new(1);
        o.begin(0, 0.0);
        o.begin(0, HOUR);
        o.end(0, 2.0 * HOUR);
        o.end(0, 3.0 * HOUR);
        assert_eq!(o.in_week(0, DAY), 2.0 * HOUR);
    }
}
