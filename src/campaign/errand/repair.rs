//! Repairs by crew who are then busy (rule 31).

use crate::campaign::agenda::Event;
use crate::campaign::errand::turn::LAST_TURN;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::Phase;
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::{Part, Purpose, Repair, UpkeepCause};
use crate::plan::{Crew, NONE, OUTSIDE, OpeningId, Side, SuitId, each_of};

/// What is mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::campaign) enum What {
    /// A mode on a part.
    Part(u16),
    /// A suit that a hazard outside has struck: suit, mode.
    Suit(SuitId, u16),
    /// A part that is replaced by plan, whether it has failed or not.
    Renewal(u16),
}

impl World<'_> {
    pub(in crate::campaign) fn repair_of(&self, what: What) -> Option<&Repair> {
        let mode = match what {
            What::Part(pm) | What::Renewal(pm) => self.arm.part_modes[pm as usize].mode,
            What::Suit(_, mode) => mode,
        };
        self.arm.modes[mode as usize].repair.as_ref()
    }

    /// Opens a job for a known strike, if the mode can be repaired.
    pub(in crate::campaign) fn open_job(&mut self, pm: usize) {
        self.add_job(What::Part(pm as u16));
    }

    /// Opens a job for a suit that a hazard outside has struck; it is unusable from now on.
    pub(in crate::campaign) fn open_suit_job(&mut self, s: SuitId, mode: u16) {
        self.places.suit[s].usable = false;
        self.add_job(What::Suit(s, mode));
    }

    pub(in crate::campaign) fn add_job(&mut self, what: What) {
        if self.repair_of(what).is_none() || self.course.ending.is_some() {
            return;
        }
        self.jobs.find(what);
        self.plan(self.now, Event::Look);
    }

    /// A job that is no longer needed (the part was freed): its crew's hours so far are booked.
    pub(in crate::campaign) fn cancel_job(&mut self, pm: u16) {
        for j in 0..self.jobs.places() {
            let job = self.jobs.job(j);
            if !job.done && job.what == What::Part(pm) {
                self.book_work_so_far(j);
                self.end_job(j);
                self.plan(self.now, Event::Look);
            }
        }
    }

    /// An attempt inside that stops before its end is booked pro rata, as it is at the planned end; one
    /// outside is booked from door to door.
    pub(in crate::campaign) fn book_work_so_far(&mut self, j: usize) {
        let job = *self.jobs.job(j);
        let outside = self.repair_of(job.what).is_some_and(|r| r.outside);
        if job.running && !outside {
            let people = f64::from(job.crew.count_ones());
            self.upkeep(UpkeepCause::Repair, (self.now - job.since) * people);
            self.jobs.booked(j, self.now);
        }
    }

    pub(in crate::campaign) fn end_job(&mut self, j: usize) {
        let crew = self.jobs.close(j);
        for p in each_of(crew) {
            if self.people.crew[p].busy == Busy::Repair(j as u16) {
                self.people.crew[p].busy = Busy::Free;
            }
        }
    }

    /// Looks whether waiting repairs can start and ports can be restored: called whenever crew may
    /// have become free.
    pub(in crate::campaign) fn look_around(&mut self) {
        self.find_strays();
        if self.course.ending.is_some() {
            return;
        }
        if self.jobs.any_waits() {
            (0..=LAST_TURN).for_each(|turn| self.start_repairs(turn));
        }
        if self.course.horizon_passed {
            return; // only what open demands ask for is still done
        }
        self.restore_ports();
        self.hang_suits_back();
        self.look_at_old_homes();
    }

    /// Waiting repairs whose turn it is begin where they can.
    fn start_repairs(&mut self, turn: u8) {
        let mut last = None;
        while let Some(j) = self.jobs.next(last, |w| self.turn(w) == turn) {
            last = Some(self.jobs.job(j).number);
            self.try_start(j);
        }
    }

    /// Could a repair of this from inside begin now, by who is free in an element?
    pub(in crate::campaign) fn can_begin(&self, what: What, e: u16) -> bool {
        let Some(r) = self.repair_of(what) else { return false };
        let spare = r.spare.is_none_or(|s| self.jobs.in_stock(s));
        let crew = self.workers(what, e).count_ones();
        r.inside && spare && self.pressure_side(what) && crew >= r.crew
    }

    /// Who could repair something of an element now: those free who can get to its cabin or to a side of the
    /// opening, hatches opened on the way, and those of its home who can come over to a rover that stands
    /// docked.
    pub(in crate::campaign) fn workers(&self, what: What, e: u16) -> Crew {
        let here = |p: &usize| {
            matches!(self.people.crew[*p].busy, Busy::Free | Busy::Traverse | Busy::Elsewhere)
        };
        let crew = |c: Crew, p: usize| c | 1 << p;
        let reach = self.inside_of_element(e) | self.who_get_there(what, e);
        let own = each_of(reach).filter(here).fold(0, crew);
        if !self.stands_docked(e) {
            return own;
        }
        let home = self.arm.layout.elements[e as usize].joined;
        let free = |p: &usize| self.people.crew[*p].busy == Busy::Free;
        each_of(self.inside_of_element(home)).filter(free).fold(own, crew)
    }

    /// Able persons who can get to the cabin of an element, or to one of an element that the opening borders.
    pub(in crate::campaign) fn who_get_there(&self, what: What, e: u16) -> Crew {
        let near = self.helpers_inside(e);
        let (What::Part(pm) | What::Renewal(pm)) = what else { return near };
        let Part::Opening(o) = self.arm.part_modes[pm as usize].part else { return near };
        let l = &self.arm.layout;
        l.openings[o].sides.iter().fold(near, |all, s| match s {
            Side::Volume(v) if l.volumes[*v].element != NONE => {
                all | self.helpers_inside(l.volumes[*v].element)
            }
            _ => all,
        })
    }

    /// A rover leaves: who works on it and does not go along leaves off.
    pub(in crate::campaign) fn leave_repairs_of(&mut self, e: u16, crew: Crew) {
        for p in (0..self.arm.layout.crew).filter(|p| crew & 1 << p == 0) {
            if let Busy::Repair(j) = self.people.crew[p].busy
                && self.element_of(self.jobs.job(j as usize).what) == e
            {
                self.leave_repair(p);
            }
        }
    }

    fn try_start(&mut self, j: usize) {
        let what = self.jobs.job(j).what;
        let Some(r) = self.repair_of(what) else {
            return;
        };
        let (need, inside, outside) = (r.crew, r.inside, r.outside);
        if !self.spare_allows(j) {
            return;
        }
        if inside && !self.pressure_side(what) {
            return self.fill_for_repair(what);
        }
        let e = self.element_of(what);
        if outside {
            return self.go_out_to_repair(j, e);
        }
        let free =
            each_of(self.workers(what, e)).take(need as usize).fold(0, |c: Crew, p| c | 1 << p);
        if free.count_ones() >= need {
            self.start_attempt(j, free);
        } else if self.leave_off_for(what, e, free, need) {
            self.try_start(j);
        }
    }

    fn start_attempt(&mut self, j: usize, crew: Crew) {
        let what = self.jobs.job(j).what;
        let arm = self.arm;
        let mode = match what {
            What::Part(pm) | What::Renewal(pm) => arm.part_modes[pm as usize].mode,
            What::Suit(_, mode) => mode,
        };
        let Some(r) = &arm.modes[mode as usize].repair else {
            return;
        };
        let takes = self.repair_takes(j, r);
        self.take_in_hand(j);
        let ticket = self.jobs.begin(j, crew, self.now, self.now + takes);
        let event = Event::Repair(j as u16, ticket);
        for p in each_of(crew) {
            if self.people.crew[p].busy == Busy::Free {
                self.people.crew[p].busy = Busy::Repair(j as u16);
            }
        }
        self.plan(self.now + takes, event);
        self.say(Level::Event, None, |s| {
            format!("{} start to repair {}", s.names(crew), s.what_words(what))
        });
    }

    /// How long the present attempt of a job takes, s.
    pub(in crate::campaign) fn repair_takes(&self, j: usize, r: &Repair) -> f64 {
        let (path, occasion) = self.job_address(j);
        let what = match self.jobs.job(j).what {
            What::Renewal(_) => Purpose::ReplaceTakes,
            What::Part(_) | What::Suit(..) => Purpose::RepairTakes,
        };
        r.takes.value(&self.v, || self.draw_at(path, occasion, what))
    }

    /// Path and occasion of an attempt: part or suit with its mode, time that it was new, attempt.
    pub(in crate::campaign) fn job_address(&self, j: usize) -> (u64, u64) {
        let job = self.jobs.job(j);
        let hash = match job.what {
            What::Part(pm) | What::Renewal(pm) => self.arm.part_modes[pm as usize].hash,
            What::Suit(s, mode) => self.arm.suit_hashes[s] ^ self.arm.modes[mode as usize].hash,
        };
        (hash, self.repair_occasion(job.what) << 20 | u64::from(job.attempt))
    }

    pub(in crate::campaign) fn repair_occasion(&self, what: What) -> u64 {
        match what {
            What::Part(pm) | What::Renewal(pm) => u64::from(self.parts.renewal(pm as usize)),
            What::Suit(s, _) => {
                u64::from(self.suits.sorties(s)) | u64::from(self.suits.services(s)) << 16
            }
        }
    }

    /// What is mended, in words.
    pub(in crate::campaign) fn what_words(&self, what: What) -> String {
        match what {
            What::Renewal(pm) => {
                self.part_path(self.arm.part_modes[pm as usize].part) + " (by plan)"
            }
            What::Part(pm) => {
                let pm = self.arm.part_modes[pm as usize];
                format!("{} ({})", self.part_path(pm.part), self.arm.modes[pm.mode as usize].name)
            }
            What::Suit(s, mode) => {
                let path = &self.arm.layout.suits[s].path;
                format!("{path} ({})", self.arm.modes[mode as usize].name)
            }
        }
    }

    fn element_of(&self, what: What) -> u16 {
        let l = &self.arm.layout;
        let of_port = |p: u16| l.ports[p as usize].element;
        let part = match what {
            What::Part(pm) | What::Renewal(pm) => self.arm.part_modes[pm as usize].part,
            What::Suit(s, _) => Part::Suit(s),
        };
        match part {
            Part::Opening(o) => l.openings[o].element,
            Part::Pump(p) => of_port(l.pumps[p as usize].port),
            Part::Stage(s) => of_port(l.stages[s as usize].port),
            Part::Element(e) => e,
            Part::Suit(s) => match self.places.suit[s].kept() {
                crate::plan::Kept::Volume(v) if v != OUTSIDE => l.volumes[v].element,
                crate::plan::Kept::Berth(b) => of_port(l.berths[b].port),
                _ => 0,
            },
        }
    }

    /// "From inside" needs pressure on the worker's side.
    fn pressure_side(&self, what: What) -> bool {
        match what {
            What::Part(pm) | What::Renewal(pm) => match self.arm.part_modes[pm as usize].part {
                Part::Opening(o) => self.side_under_pressure(o),
                Part::Suit(s) => self.suit_within_reach(s),
                _ => true,
            },
            What::Suit(s, _) => self.suit_within_reach(s),
        }
    }

    /// A lock that stands without pressure as a failed list left it: `restore` is played as far as its
    /// pressure rows, so that no repair waits for a `restore` that waits for the repair.
    fn fill_for_repair(&mut self, what: What) {
        let (What::Part(pm) | What::Renewal(pm)) = what else { return };
        let Part::Opening(o) = self.arm.part_modes[pm as usize].part else { return };
        let port = self.arm.layout.openings[o].port;
        if port != NONE {
            let why = self.arm.modes[self.arm.part_modes[pm as usize].mode as usize].cause;
            self.fill_port(port, why);
        }
    }

    /// A side of the opening that is habitable; the parts of a berth are reached from its cabin.
    fn side_under_pressure(&self, o: OpeningId) -> bool {
        let l = &self.arm.layout;
        let of_berth =
            |b: &&crate::plan::Berth| [b.interface, b.port_hatch, b.suit_hatch].contains(&o);
        if let Some(b) = l.berths.iter().find(of_berth) {
            return self.places.is_habitable(l, b.cabin);
        }
        l.openings[o].sides.iter().any(|s| match s {
            Side::Volume(v) => self.places.is_habitable(l, *v),
            Side::Suit(_) => true,
        })
    }

    fn suit_within_reach(&self, s: SuitId) -> bool {
        match self.places.suit[s].kept() {
            crate::plan::Kept::Volume(v) => self.places.is_habitable(&self.arm.layout, v),
            crate::plan::Kept::Berth(_) => true,
            crate::plan::Kept::Worn(_) => false,
        }
    }

    /// An attempt ends: it costs its hours and crew, and a spare, whether it worked or not.
    pub(in crate::campaign) fn repair_ends(&mut self, j: usize, ticket: u32) {
        let job = *self.jobs.job(j);
        if job.ticket != ticket || job.done {
            return;
        }
        let people = f64::from(job.crew.count_ones());
        self.upkeep(UpkeepCause::Repair, (job.until - job.since) * people);
        for p in each_of(job.crew) {
            if self.people.crew[p].busy == Busy::Repair(j as u16) {
                self.people.crew[p].busy = Busy::Free;
            }
        }
        self.attempt_over(j);
        self.look_around();
    }

    /// The work of an attempt is done: it has worked or not.
    pub(in crate::campaign) fn attempt_over(&mut self, j: usize) {
        let what = self.jobs.job(j).what;
        let Some(as_new) = self.repair_of(what).map(|r| r.as_new) else {
            return;
        };
        let success = self.use_in_hand(j);
        let address = self.job_address(j);
        // A sound part that is replaced by plan leaves nothing to be found out.
        let planned = matches!(what, What::Renewal(_));
        let worked = planned || self.chance(address, Purpose::RepairWorks, success);
        self.say(Level::Event, None, |s| {
            let how = if worked { "mended" } else { "the repair did not work" };
            format!("{}: {how}", s.what_words(what))
        });
        self.jobs.attempt_over(j);
        if worked {
            self.end_job(j);
            match what {
                What::Part(pm) => self.mend(pm as usize, as_new),
                What::Renewal(pm) => self.replaced(pm as usize),
                What::Suit(s, _) => self.places.suit[s].usable = true,
            }
            self.mended();
        }
    }

    /// Stranded teams may try the planned list again.
    pub(in crate::campaign) fn mended(&mut self) {
        self.ports.try_all_again();
        self.drive_home_mended();
        for t in self.teams.iter_mut().filter(|t| t.phase == Phase::Stranded) {
            (t.back.mended, t.back.again) = (true, false);
        }
        for p in 0..self.arm.layout.crew {
            if let Some(x) = self.people.crew[p].provisional.as_mut().filter(|x| x.shut) {
                x.tried = 0; // a way that failed may lead on now
                self.plan(self.now, Event::GoHome(p as u8));
            }
        }
        self.wake();
    }

    /// The campaign is ending: repairs stop and are booked pro rata.
    pub(in crate::campaign) fn stop_repairs(&mut self) {
        for j in 0..self.jobs.places() {
            if !self.jobs.job(j).done {
                self.book_work_so_far(j);
                self.end_job(j);
            }
        }
    }
}
