//! What a supply is worth on a way (rules 18, 21, 22): what is left is a quantity, and how long it
//! lasts is reckoned at the power of what its wearer would do: walk, carry, work, wait at rest.

use crate::campaign::owner::metabolic::Doing;
use crate::campaign::owner::team::{Phase, Team};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::physics::suit::LifeSupport;
use crate::plan::{Crew, MAX_CREW, NONE, OUTSIDE, VolumeId, Where, each_of};
use crate::scenario::By;

/// A walk of more than this needs a margin, m (assumed).
const FAR: f64 = 2000.0;

/// Mean times of a way up to safety, s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(in crate::campaign) struct Stretches {
    /// Waiting: for a port, for who comes out to help, in `wait` rows.
    pub(in crate::campaign) waits: f64,
    /// Going to the element of the way, on foot or riding.
    pub(in crate::campaign) goes: f64,
    /// Rows.
    pub(in crate::campaign) works: f64,
}

impl World<'_> {
    /// Supply of a person on the clock, as of now; a pause has stopped it.
    pub(in crate::campaign) fn supply(&self, p: usize) -> LifeSupport {
        let mut clock = self.people.crew[p].clock;
        clock.advance(self.now.max(clock.since));
        clock.support
    }

    /// What a margin is told in (rule 21): primary left at the mean of `crew.work`, and secondary, s.
    /// Negative: it ended so long ago.
    pub(in crate::campaign) fn worth(&self, p: usize) -> f64 {
        self.supply(p).left(self.m.crew.work)
    }

    /// Does what everybody of a team on the clock has left last for a list up to safety, after `wait` s
    /// at rest? Each at their own power; partners whose suits are joined count together.
    /// A walk of kilometres has to fit with a margin: nobody is sent so far on the mean alone.
    pub(in crate::campaign) fn lasts(&self, k: usize, list: u16, wait: f64) -> bool {
        self.suffices(k, list, self.stretches(k, list, wait))
    }

    /// The same after `work` s of other work.
    pub(in crate::campaign) fn lasts_after(&self, k: usize, list: u16, work: f64) -> bool {
        let mut way = self.stretches(k, list, 0.0);
        way.works += work;
        self.suffices(k, list, way)
    }

    fn suffices(&self, k: usize, list: u16, mut way: Stretches) -> bool {
        way.goes *= 1.0 + self.margin_of_walk(k, list);
        let leaves = self.arm.lists[list as usize].leaves;
        let (mut short, mut spare) = (0.0, 0.0);
        for p in each_of(self.teams[k].members).filter(|p| self.people.crew[*p].clock.open) {
            if self.people.crew[p].clock.paused && !leaves {
                continue; // all of it is done on the umbilical
            }
            let then = self.after_way(k, p, list, way);
            let left = then.left(self.m.crew.work);
            if self.shares(p) && left > 0.0 {
                spare += left.min(then.secondary);
            } else if self.shares(p) {
                short -= left;
            } else if left <= 0.0 {
                return false;
            }
        }
        short == 0.0 || short < spare
    }

    /// Share of a walk that is to be left over: none of a short one, or of a ride.
    pub(in crate::campaign) fn margin_of_walk(&self, k: usize, list: u16) -> f64 {
        let play = &self.arm.lists[list as usize];
        let walks = matches!(play.travels_by, By::Foot | By::Stretcher);
        if play.travels_to == NONE || !walks {
            return 0.0;
        }
        let metres = self.metres_to(k, play.travels_to) + self.teams[k].trip.lies;
        if metres > FAR { self.numbers.rules.walk_margin } else { 0.0 }
    }

    /// Least of what anybody of a team on the clock has left, as a margin is told, s.
    pub(in crate::campaign) fn least_worth(&self, k: usize) -> f64 {
        let all = each_of(self.teams[k].members).filter(|p| self.people.crew[*p].clock.open);
        all.fold(f64::INFINITY, |least, p| least.min(self.worth(p)))
    }

    /// The same once they are through a list on the mean; negative where it does not last.
    pub(in crate::campaign) fn least_after(&self, k: usize, list: u16) -> f64 {
        let way = self.stretches(k, list, 0.0);
        let all = each_of(self.teams[k].members).filter(|p| self.people.crew[*p].clock.open);
        let after = |p: usize| self.after_way(k, p, list, way).left(self.m.crew.work);
        all.fold(f64::INFINITY, |least, p| least.min(after(p)))
    }

    /// Mean times of a list for a team, up to safety, after `wait` s.
    fn stretches(&self, k: usize, list: u16, wait: f64) -> Stretches {
        let waits = self.arm.lists[list as usize].mean_waits;
        let (out, goes) = self.mean_travel(k, list);
        let all = self.mean_time(k, list, true);
        let works = (all - waits - out - goes).max(0.0);
        Stretches { waits: wait + waits + out, goes, works }
    }

    /// What a person of team `k` has left after a way. Incapacitated persons are at rest all along.
    fn after_way(&self, k: usize, p: usize, list: u16, way: Stretches) -> LifeSupport {
        let rest = self.metabolic(k, p, Doing::Rest);
        let supply = self.supply(p).after(rest, way.waits);
        if self.people.hurt & 1 << p != 0 {
            return supply.after(rest, way.goes + way.works);
        }
        let with = self.teams[k].members & self.people.hurt != 0;
        let goes = match Self::going(self.arm.lists[list as usize].travels_by) {
            Doing::Walk if with => Doing::Carry,
            going => going,
        };
        let goes = self.metabolic(k, p, goes);
        let works = self.metabolic(k, p, Doing::Work);
        supply.after(goes, way.goes).after(works, way.works)
    }

    /// The list now played at a port in use and the mean time to its end, s; `None` where that cannot
    /// be told: its user waits for help.
    fn busy_for(&self, user: usize) -> Option<f64> {
        let t = &self.teams[user];
        match t.phase {
            Phase::Stranded => None,
            Phase::Begin | Phase::InRow if t.leg.list != NONE => Some(self.mean_rest(t, user)),
            _ => Some(0.0),
        }
    }

    /// Mean time to the end of what a team plays, s.
    fn mean_rest(&self, t: &Team, k: usize) -> f64 {
        let play = &self.arm.lists[t.leg.list as usize];
        let n = (t.batch.count_ones() as usize).min(play.mean_total.len() - 1);
        let spent = if t.phase == Phase::InRow { self.now - t.leg.t } else { 0.0 };
        let rows = play.rows.iter().skip(t.leg.row).map(|r| r.means[n]);
        let mut left = rows.take(play.on_clock.saturating_sub(t.leg.row)).sum::<f64>() - spent;
        if t.leg.then != NONE {
            left += self.mean_time(k, t.leg.then, false);
        } else if t.parted {
            let others = (t.members & !t.batch).count_ones().div_ceil(play.holds.max(1));
            left += f64::from(others) * (play.mean_total[n] + play.again);
        }
        left.max(0.0)
    }

    /// Mean time of another try of the row that a team is at, its cleaning included, s.
    pub(in crate::campaign) fn mean_try(&self, k: usize) -> f64 {
        let t = &self.teams[k];
        let play = &self.arm.lists[t.leg.list as usize];
        let n = (t.batch.count_ones() as usize).min(play.mean_total.len() - 1);
        let from = self.cleaned_before(t.leg.list, t.leg.row).unwrap_or(t.leg.row);
        play.rows[from..=t.leg.row].iter().map(|r| r.means[n]).sum()
    }

    /// A port in use is waited for when what everybody has left lasts at rest until it is free and then
    /// for the list (rule 22).
    pub(in crate::campaign) fn wait_fits(&self, k: usize, user: usize, list: u16) -> bool {
        self.busy_for(user).is_some_and(|wait| self.lasts(k, list, wait))
    }

    /// They set to work on a list: those who can at the rate of work, the others at rest.
    pub(in crate::campaign) fn set_to_work(&mut self, k: usize) {
        let members = self.teams[k].members;
        self.set_doing(k, members & !self.people.hurt, Doing::Work);
        self.set_doing(k, members & self.people.hurt, Doing::Rest);
    }

    /// Is a person's suit on its own supply and made to share it?
    fn shares(&self, p: usize) -> bool {
        let c = &self.people.crew[p].clock;
        c.open && !c.paused && self.suit_kind(p).is_some_and(|(_, kind)| kind.shares_secondary)
    }

    /// Shares if the supply of somebody of a team has ended.
    #[inline(always)]
    pub(in crate::campaign) fn share_if_short(&mut self, k: usize) {
        let now = self.now;
        let short = |p: usize| self.people.crew[p].clock.over(now);
        if each_of(self.teams[k].members & self.people.on_clock).any(short) {
            self.share_secondary(k);
        }
    }

    /// Partners whose suits can be joined share what is left of their secondary supplies while they are
    /// together: minutes go to whoever has least life support left, until the ends are equal or
    /// the giver has none to give. The sum of the minutes stays what it was.
    pub(in crate::campaign) fn share_secondary(&mut self, k: usize) {
        if !self.m.suits.iter().any(|s| s.shares_secondary) {
            return;
        }
        let all = each_of(self.teams[k].members).filter(|p| self.shares(*p));
        let mut rest = all.fold(0, |c: Crew, p| c | 1 << p);
        while rest != 0 {
            let here = self.stands(rest.trailing_zeros() as usize);
            let near = each_of(rest).filter(|p| self.stands(*p) == here);
            let together = near.fold(0, |c: Crew, p| c | 1 << p);
            rest &= !together;
            let had = self.secondaries(together);
            self.share_among(together);
            self.tell_shared(k, together, had);
        }
    }

    /// Secondary supply of each, s.
    fn secondaries(&self, crew: Crew) -> [f64; MAX_CREW] {
        let mut out = [0.0; MAX_CREW];
        each_of(crew).for_each(|p| out[p] = self.people.crew[p].clock.support.secondary);
        out
    }

    /// Who has got something from a partner, from a minute on.
    fn tell_shared(&mut self, k: usize, together: Crew, had: [f64; MAX_CREW]) {
        if self.story.is_none() {
            return;
        }
        let has = self.secondaries(together);
        let most = |c: Crew, p: usize| c | 1 << p;
        let givers = each_of(together).filter(|p| had[*p] - has[*p] >= 60.0).fold(0, most);
        for p in each_of(together).filter(|p| has[*p] - had[*p] >= 60.0) {
            let minutes = (has[p] - had[p]) / 60.0;
            self.say(Level::Event, self.slot_of(k), |s| {
                let (who, by) = (s.names(1 << p), s.names(givers));
                format!("{who} gets {minutes:.0} min of secondary supply from {by}")
            });
        }
    }

    /// The volume a person stands in; at a berth they are beside those before it.
    fn stands(&self, p: usize) -> VolumeId {
        match self.places.person[p].at() {
            Where::Volume(v) => v,
            Where::Berth(b) => self.arm.layout.berths[b].outer,
            Where::Gone => OUTSIDE,
        }
    }

    fn share_among(&mut self, together: Crew) {
        let now = self.now;
        each_of(together).for_each(|p| self.people.crew[p].clock.advance(now));
        // Each round makes one pair equal or one supply empty; a fraction of a second is left over.
        for _ in 0..32 {
            let left = |p: &usize| self.people.crew[*p].clock.left(now);
            let gives = |p: &usize| self.people.crew[*p].clock.support.secondary > 0.0;
            let poor = each_of(together).min_by(|a, b| left(a).total_cmp(&left(b)));
            let rich = each_of(together).filter(gives).max_by(|a, b| left(a).total_cmp(&left(b)));
            let (Some(poor), Some(rich)) = (poor, rich) else { return };
            let gap = left(&rich) - left(&poor);
            let give = (gap / 2.0).min(self.people.crew[rich].clock.support.secondary);
            if give <= 1e-6 {
                return;
            }
            self.people.crew[rich].clock.support.secondary -= give;
            self.people.crew[poor].clock.support.secondary += give;
        }
    }
}
