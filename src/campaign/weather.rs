//! What comes from outside the crew's plans: environment events, illness, resupply, inspections,
//! housekeeping, rover traverses, going home from a haven elsewhere.

use crate::base::stream::fnv1a64;
use crate::campaign::agenda::Event;
use crate::campaign::owner::team::Phase;
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::{OpeningPlay, Purpose, UpkeepCause, cause};
use crate::physics::gas::GasMass;
use crate::plan::NONE;
use crate::scenario::EnvironmentEffect;

/// How long somebody in a haven elsewhere waits before looking again whether to go home, s.
pub(in crate::campaign) const LOOK_AGAIN: f64 = 6.0 * 3600.0;

impl World<'_> {
    pub(in crate::campaign) fn begin_weather(&mut self) {
        for e in 0..self.m.events.len() {
            self.plan_announcement(e);
        }
        for p in 0..self.arm.layout.crew {
            self.plan_illness(p, 0);
        }
        for s in 0..self.m.stores.len() {
            for i in 0..self.m.stores[s].resupply.len() {
                self.plan_resupply(s, i);
            }
        }
    }

    pub(in crate::campaign) fn plan_announcement(&mut self, e: usize) {
        if self.never_event(e) {
            return;
        }
        let ev = &self.m.events[e];
        let n = self.sky.times(e);
        if ev.effect == EnvironmentEffect::Dark {
            return; // nothing is announced: the sun is looked up
        }
        if let Some((first, every)) = ev.calendar {
            return self.plan_onset(e, first + n as f64 * every);
        }
        let rate = ev.rate.of(&self.v);
        let u = self.draw_at(ev.hash, n, Purpose::WeatherWait);
        let at = in_season(self.now, -u.ln() / rate, ev.season);
        if at < self.m.horizon {
            self.plan(at, Event::Announce(e as u16));
        }
    }

    /// What comes by the calendar is announced its warning before the onset.
    fn plan_onset(&mut self, e: usize, onset: f64) {
        let ev = &self.m.events[e];
        let n = self.sky.times(e);
        let draw = || self.draw_at(ev.hash, n, Purpose::WeatherWarning);
        let at = (onset - ev.warning.value(&self.v, draw)).max(self.now);
        if at < self.m.horizon {
            self.plan(at, Event::Announce(e as u16));
        }
    }

    /// The cause of the darkness at a time, if it is dark.
    pub(in crate::campaign) fn dark(&self, t: f64) -> Option<u16> {
        self.nights()
            .find(|(first, every, lasts, _)| t >= *first && (t - first).rem_euclid(*every) < *lasts)
            .map(|(.., cause)| cause)
    }

    /// The next onset of darkness after `t`, and its cause.
    pub(in crate::campaign) fn next_dark(&self, t: f64) -> Option<(f64, u16)> {
        let onset = |first: f64, every: f64| match t < first {
            true => first,
            false => first + (((t - first) / every).floor() + 1.0) * every,
        };
        self.nights()
            .map(|(first, every, _, cause)| (onset(first, every), cause))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    }

    fn nights(&self) -> impl Iterator<Item = (f64, f64, f64, u16)> + '_ {
        let dark = self.m.events.iter().filter(|e| e.effect == EnvironmentEffect::Dark);
        dark.filter_map(|e| {
            let (first, every) = e.calendar?;
            Some((first, every, e.lasts.mean(), e.cause))
        })
    }

    pub(in crate::campaign) fn announce(&mut self, e: usize) {
        let ev = &self.m.events[e];
        let n = self.sky.times(e);
        let draw = |what| self.draw_at(ev.hash, n, what);
        let warning = ev.warning.value(&self.v, || draw(Purpose::WeatherWarning));
        let lasts = ev.lasts.value(&self.v, || draw(Purpose::WeatherLasts));
        self.books.out.record.hazards |= crate::outcome::hazard_bit(e);
        self.sky.announce(e);
        self.say(Level::Event, None, |s| {
            let days = (warning + lasts) / 86_400.0;
            format!("{} announced, over in {days:.1} days", s.m.events[e].name)
        });
        self.plan(self.now + warning + lasts, Event::Over(e as u16));
        if self.m.events[e].shelter {
            self.plan(self.now + warning, Event::Onset(e as u16));
        }
        self.call_back(self.m.events[e].effect, self.m.events[e].cause);
        self.recall_rovers(e);
    }

    pub(in crate::campaign) fn weather_over(&mut self, e: usize) {
        self.sky.over(e);
        if self.sky.shelters_for(e) {
            self.look_at_shelter();
            self.sky.asks_for_shelter(e, false);
            self.look_at_shelter();
        }
        self.plan_announcement(e);
    }

    pub(in crate::campaign) fn plan_illness(&mut self, p: usize, from: u64) {
        let Some(rate) = self.m.crew.illness.filter(|_| !self.never_ill()) else {
            return;
        };
        let hash = self.m.crew.hashes[p];
        let u = self.draw_at(hash, from, Purpose::IllnessWait);
        let wait = -u.ln() / rate.of(&self.v);
        if wait.is_finite() && self.now + wait < self.m.horizon {
            self.plan(self.now + wait, Event::Ill(p as u8));
        }
    }

    pub(in crate::campaign) fn falls_ill(&mut self, p: usize) {
        self.books.out.record.hazards |= crate::outcome::ILLNESS_BIT;
        let n = self.people.ill_count[p];
        self.people.ill_count[p] += 1;
        let hash = self.m.crew.hashes[p];
        let draw = || self.draw_at(hash, u64::from(n), Purpose::IllnessLasts);
        let lasts = self.m.crew.illness_lasts.value(&self.v, draw);
        let back = self.now + lasts;
        if self.people.gone & 1 << p == 0 && self.people.crew[p].off_until < back {
            self.people.crew[p].off_until = back;
            self.people.crew[p].off_cause = cause::ILL;
            self.say(Level::Event, None, |s| {
                format!("{} is ill for {:.1} days", s.m.crew.names[p], lasts / 86_400.0)
            });
        }
        self.plan(back.min(self.m.horizon), Event::Look);
        let now = self.now;
        self.now = back;
        self.plan_illness(p, u64::from(n) + 1);
        self.now = now;
    }

    pub(in crate::campaign) fn plan_resupply(&mut self, s: usize, i: usize) {
        let r = &self.m.stores[s].resupply[i];
        let draw = |what| self.draw_at(r.hash, 0, what);
        let mut at = r.at.value(&self.v, || draw(Purpose::FlightAt));
        let on_time = r.on_time.of(&self.v);
        if on_time < 1.0 && draw(Purpose::FlightLate) >= on_time {
            at += r.slip.value(&self.v, || draw(Purpose::FlightSlip));
        }
        if at < self.m.horizon {
            self.plan(at, Event::Resupply(s as u16, i as u16));
        }
    }

    pub(in crate::campaign) fn resupply(&mut self, s: usize, i: usize) {
        let r = &self.m.stores[s].resupply[i];
        let gas = GasMass { oxygen: r.oxygen.of(&self.v), nitrogen: r.nitrogen.of(&self.v) };
        self.settle_all_leaks();
        self.air.gas.comes(s, gas, r.water.of(&self.v));
        self.feed_again(s);
        for (kind, n) in &r.spares {
            self.jobs.bring(*kind, *n);
        }
        self.say(Level::Event, None, |x| format!("resupply reaches store {}", x.m.stores[s].name));
        self.look_around();
    }

    pub(in crate::campaign) fn inspect(&mut self) {
        let Some(every) = self.m.rules.inspection_every else {
            return;
        };
        let (path, occasion) = (fnv1a64("campaign/inspection"), self.now as u64);
        let draw = |path| self.draw_at(path, occasion, Purpose::Inspection);
        let hours = self.m.rules.inspection_hours.value(&self.v, || draw(path));
        let look = |o: &OpeningPlay| o.inspection.value(&self.v, || draw(o.hash));
        let openings: f64 = self.arm.openings.iter().map(look).sum();
        self.upkeep(UpkeepCause::Inspection, hours + openings);
        self.find_at_inspection();
        // Seals are wiped when they are looked at.
        self.wipe_all_seals();
        self.next(every.of(&self.v), Event::Inspect);
        self.look_around();
    }

    pub(in crate::campaign) fn clean_floor(&mut self, e: usize) {
        let play = &self.arm.elements[e];
        let Some(every) = play.cleaning_every else {
            return;
        };
        let cabin = self.arm.layout.elements[e].cabin;
        let path = fnv1a64(&self.arm.layout.volumes[cabin].path);
        let draw = || self.draw_at(path, self.now as u64, Purpose::Cleaning);
        let takes = play.cleaning_takes.value(&self.v, draw);
        let removes = self.numbers.elements[e].cleaning_removes;
        let room = self.arm.volumes[cabin].room;
        if self.places.is_habitable(&self.arm.layout, cabin) && room != NONE {
            self.dust.rooms.clean_floor(room, self.now, removes);
            self.upkeep(UpkeepCause::Cleaning, takes);
        }
        self.next(every.of(&self.v), Event::Clean(e as u16));
    }

    /// Plans the successor of something that recurs.
    pub(in crate::campaign) fn next(&mut self, every: f64, event: Event) {
        if self.now + every < self.m.horizon && self.course.ending.is_none() {
            self.plan(self.now + every, event);
        }
    }

    pub(in crate::campaign) fn weather_now(&self) -> bool {
        self.sky.announced().is_some()
    }

    /// Waiting sorties stand down when the campaign is ending.
    pub(in crate::campaign) fn drop_waiting(&mut self) {
        for k in 0..self.teams.len() {
            if self.teams[k].phase == Phase::WaitPort {
                let slot = self.teams[k].slot;
                let cause = self.course.ending.map_or(cause::LEFT, |e| e.cause);
                self.free_members(k);
                self.teams[k].clear();
                self.cancel(slot, cause);
            }
        }
    }
}

/// When a wait of `wait` s that counts in the season alone is over, from `now`, s.
fn in_season(now: f64, wait: f64, season: Option<[f64; 3]>) -> f64 {
    let Some([first, lasts, every]) = season else { return now + wait };
    if !wait.is_finite() {
        return f64::INFINITY;
    }
    // Time in season before t, and the time at which so much of it has passed.
    let passed = |t: f64| match t < first {
        true => 0.0,
        false => {
            let years = ((t - first) / every).floor();
            years * lasts + (t - first - years * every).min(lasts)
        }
    };
    let want = passed(now) + wait;
    let years = (want / lasts).floor();
    first + years * every + (want - years * lasts)
}

#[cfg(test)]
mod tests {
    use super::in_season;

    #[test]
    fn a_wait_counts_in_the_season_alone() {
        let season = Some([10.0, 5.0, 100.0]);
        assert_eq!(in_season(0.0, 3.0, None), 3.0);
        assert_eq!(in_season(0.0, 3.0, season), 13.0);
        assert_eq!(in_season(12.0, 2.0, season), 14.0);
        // Three are left of this season, one comes out of the next.
        assert_eq!(in_season(12.0, 4.0, season), 111.0);
        assert_eq!(in_season(50.0, 4.0, season), 114.0);
        assert_eq!(in_season(50.0, 12.0, season), 312.0);
        assert_eq!(in_season(50.0, f64::INFINITY, season), f64::INFINITY);
    }
}
