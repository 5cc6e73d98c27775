//! How long a row takes: the longer of its law and of physics, and what a casualty does to it.

use crate::campaign::world::World;
use crate::model::{IncapacitatedPlay, Purpose, RowPlay, Vary, row_time};
use crate::numbers::Suit;
use crate::plan::{ACROSS, Aim, Crew, ListKind, NONE, On, Row, Spread, WhoSel, each_of};
use crate::scenario::{Action, By, Who};

impl World<'_> {
    /// Time of a row for those who do it, s.
    pub(in crate::campaign) fn row_time(
        &mut self,
        k: usize,
        row: &Row,
        i: usize,
        who: Crew,
        g: &Spread,
    ) -> f64 {
        let arm = self.arm;
        let play = &arm.lists[self.teams[k].leg.list as usize].rows[i];
        let takes = self.shared_time(k, row, play, i, who) * self.slowness(row, who);
        let physics = match row.action {
            Action::Depress => self.depress_time(row),
            Action::Vent => self.vent_time(row, who),
            Action::Repress => self.repress_time(row, who),
            Action::Prebreathe => self.prebreathe_time(row, who),
            Action::Travel => return takes.max(self.travel_time(k, row, who)),
            Action::Wait => return self.wait_time(k, row, takes),
            _ => 0.0,
        };
        let _ = g;
        takes.max(physics)
    }

    /// Once, person after person, or side by side in waves where there are fewer instances.
    fn shared_time(&mut self, k: usize, row: &Row, play: &RowPlay, i: usize, who: Crew) -> f64 {
        let Some(takes) = &play.takes else {
            return self.casualty_alone(k, play, i, who);
        };
        let people = who.count_ones() as usize;
        row_time::shared(row.each, people, row_time::instances(row), |rank| match rank {
            None => {
                let base = self.draw(k, takes, play.draw as usize);
                self.with_casualty(k, play, i, who & self.people.hurt, base)
            }
            Some(rank) => {
                let one = self.draw(k, takes, play.draw as usize + rank);
                self.with_casualty(k, play, i, self.people.hurt & nth(who, rank), one)
            }
        })
    }

    /// A duration of the leg; a row tried again draws elsewhere.
    fn draw(&self, k: usize, takes: &Vary, index: usize) -> f64 {
        let t = &self.teams[k];
        takes.value(&self.v, || {
            if t.leg.tries == 0 && index < t.leg.draws.len() {
                return t.leg.draws[index];
            }
            let (path, occasion) = self.row_address(k);
            self.draw_at(path, occasion, Purpose::Again { draw: index as u16, tries: t.leg.tries })
        })
    }

    /// A row without `takes` whose casualty law gives a time.
    fn casualty_alone(&mut self, k: usize, play: &RowPlay, i: usize, who: Crew) -> f64 {
        self.with_casualty(k, play, i, who & self.people.hurt, 0.0)
    }

    /// Time of one share of a row when `hurt` of it is incapacitated.
    fn with_casualty(&mut self, k: usize, play: &RowPlay, i: usize, hurt: Crew, base: f64) -> f64 {
        if hurt == 0 {
            return base;
        }
        let (law, add) = match &play.incapacitated {
            None => return base,
            Some(IncapacitatedPlay::Skip) => return 0.0,
            Some(IncapacitatedPlay::Times(x, _)) => return base * x,
            Some(IncapacitatedPlay::Takes(law, _)) => (law, 0.0),
            Some(IncapacitatedPlay::Adds(law, _)) => (law, base),
        };
        let (path, occasion) = self.row_address(k);
        // Who it is tells two casualties of one row apart.
        let rank = hurt.trailing_zeros() as u8;
        let what = Purpose::CasualtyTime { row: i as u16, tries: self.teams[k].leg.tries, rank };
        add + law.value(&self.v, || self.draw_at(path, occasion, what))
    }

    /// Slowness of the stage, or largest of the openings, of a row.
    fn slowness(&self, row: &Row, who: Crew) -> f64 {
        if let On::Stage(s) = row.on {
            return self.faults.slow_stage(s as usize);
        }
        let On::Opening(o, n) = row.on else {
            return 1.0;
        };
        each_of(who).fold(1.0, |x: f64, p| {
            let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
            x.max(self.faults.slow(id))
        })
    }

    fn depress_time(&self, row: &Row) -> f64 {
        let On::Volumes([v, ..], _) = row.on else {
            return 0.0;
        };
        let v = v as usize;
        let pump = self.arm.volumes[v].pump;
        let from = self.places.pressure[v];
        let to = self.arm.layout.level(row, v as u16);
        if pump == NONE || from <= to {
            return 0.0;
        }
        // Who knows that it is lost does not wait for it; who does not lets it run.
        if self.pump_known_lost(row) {
            return 0.0;
        }
        let play = &self.numbers.pumps[pump as usize];
        let volume = self.free_volume(v);
        let swing = row_time::pumped(volume, play.speed, play.reservoir, (from, to));
        swing * self.faults.slow_pump(pump as usize)
    }

    fn vent_time(&self, row: &Row, who: Crew) -> f64 {
        if row.on == On::Suit {
            return 0.0;
        }
        let l = &self.arm.layout;
        let (vols, n) = self.places.row_volumes(l, row, who);
        vols[..n].iter().fold(0.0, |t: f64, v| {
            let to = l.level(row, *v);
            let from = self.places.pressure[*v as usize];
            t.max(self.valve_time(*v as usize, from, to).unwrap_or(0.0))
        })
    }

    /// Through the volume's valve to outside, choked then subsonic; `None` without a valve.
    fn valve_time(&self, v: usize, from: f64, to: f64) -> Option<f64> {
        if from <= to {
            return Some(0.0); // also without a valve
        }
        let valve = self.arm.volumes[v].valve;
        let orifice = self.numbers.openings.get(valve as usize)?.orifice?;
        let t = self.air.gas.temperature(v);
        let volume = self.free_volume(v);
        let slow = self.faults.slow(valve as usize);
        let (ambient, mix) = (self.arm.layout.ambient, self.air.gas.mix(v));
        row_time::vented(volume, orifice, (from, to), ambient, mix, t).map(|t| t * slow)
    }

    fn repress_time(&self, row: &Row, who: Crew) -> f64 {
        let l = &self.arm.layout;
        let rate = self.numbers.rules.pressure_rate;
        if row.on == On::Suit {
            let Aim::Pascal(to) = row.to else { return 0.0 };
            let low = each_of(who).fold(to, |x: f64, p| {
                let s = self.places.person[p].suit;
                if s == NONE { x } else { x.min(self.places.suit[s as usize].pressure) }
            });
            return row_time::filled((low, to), rate);
        }
        let (vols, n) = self.places.row_volumes(l, row, who);
        vols[..n].iter().fold(0.0, |t: f64, v| {
            let to = l.level(row, *v);
            let from = self.places.pressure[*v as usize];
            t.max(row_time::filled((from, to), rate))
        })
    }

    /// The suit a person wears and its numbers.
    #[inline]
    pub(in crate::campaign) fn suit_kind(&self, p: usize) -> Option<(usize, &Suit)> {
        let s = self.places.person[p].suit;
        (s != NONE).then(|| (s as usize, &self.numbers.suits[s as usize]))
    }

    /// Pressure around a person: of their volume, or of the cabin behind their berth, Pa.
    pub(in crate::campaign) fn ambient_of(&self, p: usize) -> f64 {
        use crate::plan::Where;
        match self.places.person[p].at {
            Where::Volume(v) => self.places.pressure[v as usize],
            Where::Berth(b) => {
                let s = self.places.person[p].suit;
                let _ = b;
                if s == NONE { 0.0 } else { self.places.suit[s as usize].pressure }
            }
            Where::Gone => 0.0,
        }
    }

    fn travel_time(&self, k: usize, row: &Row, who: Crew) -> f64 {
        let On::Element(e) = row.on else { return 0.0 };
        if row.by == By::Ascent {
            return 0.0;
        }
        let t = &self.teams[k];
        let metres = self.metres_to(k, e) + t.trip.lies;
        // Rescuers walk out alone; everybody else goes at the pace of the slowest.
        let alone = row.who == WhoSel::Word(Who::Rescuers);
        let crew = if alone { who } else { who | t.members };
        let newly = t.members & self.people.hurt & !t.trip.lifted;
        let lift = if alone || t.trip.lies <= 0.0 { 0.0 } else { self.lift_time(k, newly) };
        lift + metres / self.pace(k, crew, row.by)
    }

    /// Distance from where a team is to an element, m: both are measured from the first habitat.
    pub(in crate::campaign) fn metres_to(&self, k: usize, e: u16) -> f64 {
        let t = &self.teams[k];
        let port = if t.home_port == NONE { t.port } else { t.home_port };
        let host = self.arm.layout.ports.get(port as usize).map_or(0, |p| p.element);
        let here = self.rovers.of(host).distance;
        (self.rovers.of(e).distance - here).abs()
    }

    fn wait_time(&self, k: usize, row: &Row, takes: f64) -> f64 {
        match row.until {
            Some(c) if self.holds(c, k) => 0.0,
            _ => takes,
        }
    }

    /// Mean time of a list on the clock for a team, travel included, s.
    pub(in crate::campaign) fn mean_time(&self, k: usize, list: u16, safe: bool) -> f64 {
        let play = &self.arm.lists[list as usize];
        let all = (self.teams[k].members.count_ones() as usize).min(play.mean_total.len() - 1);
        // One batch after the other; a way back takes one batch.
        let n = all.min(play.holds as usize);
        let last = if safe { play.mean_safe[n] } else { play.mean_total[n] };
        let kind = self.arm.layout.lists[list as usize].kind;
        let before = match kind {
            ListKind::WayBack => 0,
            _ => all.div_ceil(n.max(1)).saturating_sub(1),
        };
        let rows = match before {
            0 => last,
            b => last + b as f64 * (play.mean_total[n] + play.again),
        };
        let hurt = self.teams[k].members & self.people.hurt;
        let extra = if hurt == 0 { 0.0 } else { self.casualty_mean(list) };
        let (out, goes) = self.mean_travel(k, list);
        rows + extra + out + goes
    }

    /// Mean time that rescuers take to come out to a team, and of the way then, s.
    pub(in crate::campaign) fn mean_travel(&self, k: usize, list: u16) -> (f64, f64) {
        let play = &self.arm.lists[list as usize];
        if play.travels_to == NONE {
            return (0.0, 0.0);
        }
        let t = &self.teams[k];
        let metres = self.metres_to(k, play.travels_to) + t.trip.lies;
        let out = if play.fetches { metres / self.mean_walk(0) } else { 0.0 };
        (out, metres / self.mean_pace(k, t.members, play.travels_by))
    }

    /// Mean extra time that a casualty costs in a list, s.
    fn casualty_mean(&self, list: u16) -> f64 {
        let play = &self.arm.lists[list as usize];
        play.rows.iter().fold(0.0, |sum, r| {
            let base = r.takes.as_ref().map_or(0.0, Vary::mean);
            sum + match &r.incapacitated {
                Some(IncapacitatedPlay::Takes(law, _)) => law.mean() - base,
                Some(IncapacitatedPlay::Adds(law, _)) => law.mean(),
                Some(IncapacitatedPlay::Times(x, _)) => base * (x - 1.0),
                Some(IncapacitatedPlay::Skip) => -base,
                None => 0.0,
            }
        })
    }

    /// Ambient plus what a vent leaves.
    pub(in crate::campaign) fn vacuum(&self) -> f64 {
        self.arm.layout.ambient + ACROSS
    }
}

/// The person of a rank in a crew, as a set.
fn nth(crew: Crew, rank: usize) -> Crew {
    each_of(crew).nth(rank).map_or(0, |p| 1 << p)
}
