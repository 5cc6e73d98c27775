//! How long a row takes: the longer of its law and of physics, and what a casualty does to it.

use crate::campaign::verb::Task;
use crate::campaign::walk::rows::Line;
use crate::campaign::world::World;
use crate::model::{IncapacitatedPlay, Purpose, RowPlay, Vary, row_time};
use crate::numbers::Suit;
use crate::plan::{ACROSS, Crew, ListKind, NONE, On, SuitId, each_of};
use crate::scenario::Action;

impl World<'_> {
    /// Time of a row for those who do it, s: the longer of its law and of physics.
    pub(in crate::campaign) fn row_time(&mut self, t: &Task) -> f64 {
        let takes = self.shared_time(t) * self.slowness(t);
        match t.row.action {
            Action::Wait => self.wait_time(t, takes),
            _ => {
                let least = self.physics_time(t);
                if least > takes { least } else { takes }
            }
        }
    }

    /// Once, person after person, or side by side in waves where there are fewer instances.
    fn shared_time(&self, t: &Task) -> f64 {
        let (k, Line { i, play, .. }) = (t.k, t.line);
        let Some(takes) = &play.takes else {
            return self.casualty_alone(k, play, i, t.who);
        };
        if t.who & self.people.hurt != 0 {
            return self.shared_with_casualty(t, takes);
        }
        let first = play.draw as usize;
        let ranks = each_of(t.who).enumerate().map(|(rank, _)| rank);
        row_time::shared(t.row.each, ranks, row_time::instances(t.row), |rank| {
            self.draw(k, takes, first + rank.unwrap_or(0))
        })
    }

    /// The same where somebody of those who do it is hurt.
    #[cold]
    fn shared_with_casualty(&self, t: &Task, takes: &Vary) -> f64 {
        let (k, who, Line { i, play, .. }) = (t.k, t.who, t.line);
        let (first, hurt) = (play.draw as usize, who & self.people.hurt);
        let ranks = each_of(who).enumerate().map(|(rank, _)| rank);
        row_time::shared(t.row.each, ranks, row_time::instances(t.row), |rank| {
            let one = self.draw(k, takes, first + rank.unwrap_or(0));
            let hurt = rank.map_or(hurt, |rank| hurt & nth(who, rank));
            self.with_casualty(k, play, i, hurt, one)
        })
    }

    /// Slowness of the stage, or largest of the openings, of a row.
    fn slowness(&self, t: &Task) -> f64 {
        if let On::Stage(s) = t.row.on {
            return self.faults.slow_stage(s as usize);
        }
        t.openings().fold(1.0, |x: f64, o| x.max(self.faults.slow(o)))
    }

    /// A duration of the leg; a row tried again draws elsewhere.
    #[inline(always)] // once a row and person
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
    fn casualty_alone(&self, k: usize, play: &RowPlay, i: usize, who: Crew) -> f64 {
        self.with_casualty(k, play, i, who & self.people.hurt, 0.0)
    }

    /// Time of one share of a row when `hurt` of it is incapacitated.
    fn with_casualty(&self, k: usize, play: &RowPlay, i: usize, hurt: Crew, base: f64) -> f64 {
        if hurt == 0 {
            return base;
        }
        let (law, add) = match play.incapacitated.as_deref() {
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

    /// The suit a person wears and its numbers.
    #[inline]
    pub(in crate::campaign) fn suit_kind(&self, p: usize) -> Option<(SuitId, &Suit)> {
        let s = self.places.person[p].suit.some()?;
        Some((s, &self.numbers.suits[s]))
    }

    /// Pressure around a person: of their volume, or of the cabin behind their berth, Pa.
    pub(in crate::campaign) fn ambient_of(&self, p: usize) -> f64 {
        use crate::plan::Where;
        match self.places.person[p].at() {
            Where::Volume(v) => self.places.pressure(v),
            Where::Berth(b) => {
                let s = self.places.person[p].suit;
                let _ = b;
                if s.is_none() { 0.0 } else { self.places.suit[s].pressure() }
            }
            Where::Gone => 0.0,
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
            sum + match r.incapacitated.as_deref() {
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
