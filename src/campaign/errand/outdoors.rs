//! Repairs that need a team outside, and parts that are replaced by plan before they fail (rule 31).
//!
//! The team works at the outer side of the part, by the door: no walk, and no dust law of its own.

use crate::campaign::agenda::Event;
use crate::campaign::errand::repair::What;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::Errand;
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::UpkeepCause;
use crate::plan::{Crew, NONE, each_of};
use crate::scenario::By;

impl World<'_> {
    /// A team goes out for a repair, if enough rested people can and a port lets them out and in.
    pub(in crate::campaign) fn go_out_to_repair(&mut self, j: usize, e: u16) {
        let what = self.jobs.job(j).what;
        let Some(need) = self.repair_of(what).map(|r| r.crew) else {
            return;
        };
        let Some((crew, port)) = self.able_to_go(e, need) else {
            return self.look_again();
        };
        let Some(k) = self.new_team(Errand::Repair(j as u16), crew) else {
            return;
        };
        let (hash, _) = self.job_address(j);
        if self.jobs.job(j).left <= 0.0 {
            let takes = self.repair_of(what).map_or(0.0, |r| self.repair_takes(j, r));
            self.jobs.takes(j, takes);
            self.take_in_hand(j);
        }
        self.jobs.begin_outside(j, crew, self.now);
        let t = &mut self.teams[k];
        t.back.contingency = true;
        t.home_port = port;
        t.leg.path = hash;
        t.leg.occasion = self.now as u64;
        each_of(crew).for_each(|p| self.people.crew[p].duty_start = self.now);
        self.hold_port(k, port);
        self.say(Level::Event, None, |s| {
            format!("{} go out to repair {}", s.names(crew), s.what_words(what))
        });
        let list = self.egress_list(port, need, NONE);
        self.enter_list(k, list, 0);
        self.resume(k);
    }

    /// Rested people of an element, as many as are needed beside those who must stay, and a port.
    fn able_to_go(&self, e: u16, need: u32) -> Option<(Crew, u16)> {
        let l = &self.arm.layout;
        let inside = self.inside_of_element(e);
        let least = u32::from(l.elements[e as usize].inside_least);
        if need == 0 || inside.count_ones() < need + least || self.weather_now() {
            return None;
        }
        let rested = |p: &usize| {
            let c = &self.people.crew[*p];
            let rest = self.numbers.rules.rest_least;
            c.busy == Busy::Free && self.now - c.last_end >= rest
        };
        let able = each_of(inside).filter(rested).take(need as usize);
        let crew = able.fold(0, |c: Crew, p| c | 1 << p);
        let opens = |p: &u16| {
            let port = &l.ports[*p as usize];
            port.element == e
                && port.egress != NONE
                && port.ingress != NONE
                && self.quiet(*p)
                && self.gas_for(port.ingress)
                && self.egress_list(*p, need, NONE) != NONE
        };
        let port = (0..l.ports.len() as u16).find(opens)?;
        (crew.count_ones() == need).then_some((crew, port))
    }

    /// Is the job still this team's?
    fn works_on(&self, k: usize) -> Option<usize> {
        let Errand::Repair(j) = self.teams[k].errand else { return None };
        let job = self.jobs.job(j as usize);
        let mine = job.running && job.crew & self.teams[k].members != 0;
        (mine && !job.done).then_some(j as usize)
    }

    /// The end of egress for a repair: the work lasts as long as it takes or as the suits and the duty
    /// day allow.
    pub(in crate::campaign) fn start_outside_work(&mut self, k: usize) {
        let wanted = self.works_on(k).map_or(0.0, |j| self.jobs.job(j).left);
        let (work, _) = self.stay(k, wanted, 0.0, By::Foot);
        let t = &mut self.teams[k];
        t.out.work_end = self.now + work;
        let (path, occasion) = (t.leg.path, t.leg.occasion);
        self.draw_hits(k, (path, occasion), work);
        if work <= 0.0 {
            return self.at_the_door(k);
        }
        self.teams[k].phase = crate::campaign::owner::team::Phase::Outside;
        self.plan_outside(k);
    }

    /// The work outside is over, done or not; what is left of it waits for another time out.
    pub(in crate::campaign) fn outside_work_over(&mut self, k: usize) {
        let Some(j) = self.works_on(k) else { return };
        let done = self.teams[k].out.done;
        if self.jobs.work(j, done) {
            self.attempt_over(j);
        }
    }

    /// The team of a repair is home: hours from door to door are upkeep.
    pub(in crate::campaign) fn errand_over(&mut self, k: usize) {
        let Errand::Repair(j) = self.teams[k].errand else { return };
        let people = f64::from((self.teams[k].members).count_ones());
        let spent = self.now - self.teams[k].out.started;
        self.upkeep(UpkeepCause::Repair, spent * people);
        if self.works_on(k).is_some() {
            self.jobs.wait(usize::from(j));
        }
    }

    /// The time has come to replace the parts that a mode strikes.
    pub(in crate::campaign) fn replacement_due(&mut self, mode: usize) {
        for pm in 0..self.arm.part_modes.len() {
            if self.arm.part_modes[pm].mode as usize != mode {
                continue;
            }
            let what = What::Renewal(pm as u16);
            let waits = self.jobs.open().any(|(_, j)| j.what == what);
            // A part that is known to have failed has a repair of its own.
            let failed = self.parts.struck(pm) && self.parts.known(pm);
            if !waits && !failed {
                self.add_job(what);
            }
        }
        self.plan_replacement(mode);
    }

    /// Puts the next planned replacement of a mode's parts on the calendar.
    pub(in crate::campaign) fn plan_replacement(&mut self, mode: usize) {
        let repair = self.arm.modes[mode].repair.as_ref();
        let Some(every) = repair.and_then(|r| r.replace_every) else { return };
        let at = self.now + every.of(&self.v);
        if at < self.m.horizon {
            self.plan(at, Event::Replace(mode as u16));
        }
    }

    /// A replaced part is new, whatever a repair would renew.
    pub(in crate::campaign) fn replaced(&mut self, pm: usize) {
        self.cancel_job(pm as u16);
        self.mend(pm, true);
    }
}
