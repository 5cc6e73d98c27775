//! Shut in (rule 19): in a chamber safe is provisional until people can walk on towards a cabin. While
//! the opening does not move they work it from their side, beside those inside; after
//! `campaign.shut_in_at_most` they try ways back that start there, on what their suits hold.

use crate::campaign::agenda::Event;
use crate::campaign::errand::repair::What;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::way_back::demand::Met;
use crate::campaign::weather::LOOK_AGAIN;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{Purpose, UpkeepCause, cause};
use crate::physics::suit::LifeSupport;
use crate::plan::{Crew, Kept, NONE, OUTSIDE, OpeningId, Stuck, VolumeId, Where, each_of};
use crate::scenario::StageKind;

/// Attempts from inside the chamber have luck apart from those of the other side.
const FAR_SIDE: u64 = 1 << 40;

/// Safe for the time being in a chamber.
#[derive(Clone, Copy, Debug)]
pub struct Provisional {
    /// Since, s.
    pub since: f64,
    /// The opening towards a cabin did not move.
    pub shut: bool,
    /// They leave the chamber by a way back: the demand goes on.
    pub leaves: bool,
    /// Attempts at the opening so far; one is under way until `until`, at a part mode.
    pub attempts: u32,
    /// End of the attempt under way, s; infinite if none is.
    pub until: f64,
    /// What it mends.
    pub works_on: u16,
    /// Since when its hours are not booked, s.
    pub works_since: f64,
    /// How many people work.
    pub hands: u32,
    /// Ways back tried from here: bits of the architecture's order.
    pub tried: u64,
    /// What the suit held when it was safe.
    pub support: LifeSupport,
    /// How the demand ends if nothing more happens.
    pub(in crate::campaign) met: Met,
}

impl Provisional {
    pub(in crate::campaign) fn new(since: f64, support: LifeSupport, met: Met) -> Self {
        let until = f64::INFINITY;
        let (shut, leaves) = (false, false);
        Provisional {
            since,
            shut,
            leaves,
            attempts: 0,
            until,
            works_on: NONE,
            works_since: since,
            hands: 0,
            tried: 0,
            support,
            met,
        }
    }
}

impl Provisional {
    /// Crew seconds of the attempt under way that are not booked yet.
    fn worked(&self, now: f64) -> f64 {
        (now.min(self.until) - self.works_since).max(0.0) * f64::from(self.hands)
    }
}

impl World<'_> {
    /// In a volume of an access system that is not open to any cabin.
    pub(in crate::campaign) fn in_chamber(&self, p: usize) -> bool {
        let l = &self.arm.layout;
        let Where::Volume(v) = self.places.person[p].at() else { return false };
        let chamber = v != OUTSIDE && l.volumes[v].port != NONE;
        let to_cabin = || {
            let joined = self.places.joined_to(l, v);
            l.elements.iter().any(|e| joined.has(e.cabin))
        };
        chamber && !to_cabin()
    }

    /// A row has moved something: who was provisionally safe may be in.
    pub(in crate::campaign) fn look_at_chambers(&mut self) {
        for p in 0..self.arm.layout.crew {
            let stays = self.people.crew[p].provisional.as_ref().is_some_and(|x| !x.leaves);
            if stays && !self.in_chamber(p) {
                self.freed(p);
            }
        }
    }

    /// The opening has moved: the demand ends as it was met.
    pub(in crate::campaign) fn freed(&mut self, p: usize) {
        let Some(x) = self.people.crew[p].provisional.take() else { return };
        if x.shut {
            self.book_shut_in(p, &x);
            if self.people.crew[p].busy == Busy::Elsewhere {
                self.plan(self.now, Event::GoHome(p as u8));
            }
        }
        self.end_demand(x.met);
    }

    fn book_shut_in(&mut self, p: usize, x: &Provisional) {
        self.upkeep(UpkeepCause::Repair, x.worked(self.now));
        let hours = (self.now - x.since) / 3600.0;
        self.books.out.facts.add(Fact::ShutIn, hours);
        self.say(Level::Event, None, |s| {
            format!("{} was shut in for {hours:.1} h", s.m.crew.names[p])
        });
    }

    /// An opening did not move: the provisionally safe of a team behind it are shut in.
    pub(in crate::campaign) fn did_not_move(&mut self, crew: Crew) {
        for p in each_of(crew) {
            if let Some(x) = &mut self.people.crew[p].provisional {
                x.shut = true;
            }
        }
    }

    /// A list is over and a person stands in a chamber. True if they are shut in there; false if they can
    /// walk on.
    pub(in crate::campaign) fn shut_in(&mut self, p: usize) -> bool {
        if self.people.crew[p].provisional.is_none() {
            return false;
        }
        let Where::Volume(v) = self.places.person[p].at() else { return false };
        let l = &self.arm.layout;
        let cabin = l.elements[l.volumes[v].element as usize].cabin;
        if !self.in_chamber(p) || self.shirt_sleeve(cabin, v) {
            self.freed(p);
            return false;
        }
        let fresh = self.people.crew[p].busy != Busy::Elsewhere;
        self.people.crew[p].busy = Busy::Elsewhere;
        self.did_not_move(1 << p);
        if fresh {
            self.say(Level::Event, None, |s| {
                let volume = &s.arm.layout.volumes[v].path;
                format!("{} is shut in in {volume}", s.m.crew.names[p])
            });
            self.plan(self.now, Event::GoHome(p as u8));
            self.plan(self.now, Event::Look);
            self.bring_home_shut_in(v);
        }
        true
    }

    /// Those shut in in one volume.
    fn shut_in_with(&self, v: VolumeId) -> Crew {
        let here = |p: &usize| {
            self.places.person[*p].at() == Where::Volume(v)
                && self.people.crew[*p].provisional.is_some_and(|x| x.shut && !x.leaves)
                && self.people.crew[*p].busy == Busy::Elsewhere
        };
        (0..self.arm.layout.crew).filter(here).fold(0, |c, p| c | 1 << p)
    }

    /// Somebody shut in looks whether the opening moves, works it, or leaves by another way. True if they
    /// are shut in.
    pub(in crate::campaign) fn look_at_shut_in(&mut self, p: usize) -> bool {
        let Some(x) = self.people.crew[p].provisional.filter(|x| x.shut && !x.leaves) else {
            return false;
        };
        let Where::Volume(v) = self.places.person[p].at() else { return false };
        if self.people.crew[p].busy != Busy::Elsewhere {
            return false;
        }
        if !self.shut_in(p) {
            self.look_home(p);
            return true;
        }
        let crew = self.shut_in_with(v);
        let lead = crew.trailing_zeros() as usize;
        let last = x.since + self.numbers.rules.shut_in_at_most;
        if self.now >= last {
            self.leave_chamber(v, crew);
            return true;
        }
        let mut next = last.min(self.now + LOOK_AGAIN);
        if p == lead {
            next = next.min(self.work_from_within(lead, v, crew));
        }
        self.plan(next, Event::GoHome(p as u8));
        true
    }

    /// The known stuck opening of a chamber that leads further in, and the mode that holds it.
    fn holds_them(&self, v: VolumeId) -> Option<u16> {
        let l = &self.arm.layout;
        let inward = |o: &&OpeningId| {
            let s = &self.places.opening[**o];
            let stuck = s.known && s.stuck == Stuck::Shut && !s.open;
            stuck && l.across(**o, v).is_some_and(|w| w != OUTSIDE)
        };
        let o = *l.volumes[v].openings.iter().find(inward)?;
        let by = self.faults.stuck_by(o);
        by.filter(|pm| self.repair_of(What::Part(*pm)).is_some())
    }

    /// Is somebody shut in in a chamber of an element?
    pub(in crate::campaign) fn anybody_shut_in(&self, e: u16) -> bool {
        (0..self.arm.layout.crew).any(|p| match self.places.person[p].at() {
            Where::Volume(v) if v != OUTSIDE => {
                let shut = self.people.crew[p].provisional.is_some_and(|x| x.shut && !x.leaves);
                shut && self.arm.layout.volumes[v].element == e
            }
            _ => false,
        })
    }

    /// Does what is to be mended shut somebody in? Then it is worked with spares or without.
    pub(in crate::campaign) fn shuts_somebody_in(&self, what: What) -> bool {
        let What::Part(pm) = what else { return false };
        (0..self.arm.layout.crew).any(|p| match self.places.person[p].at() {
            Where::Volume(v) if v != OUTSIDE => {
                let shut = self.people.crew[p].provisional.is_some_and(|x| x.shut && !x.leaves);
                shut && self.holds_them(v) == Some(pm)
            }
            _ => false,
        })
    }

    /// Attempts at the opening from the chamber's side, one after the other; gives when to look next.
    fn work_from_within(&mut self, lead: usize, v: VolumeId, crew: Crew) -> f64 {
        let Some(x) = self.people.crew[lead].provisional else { return f64::INFINITY };
        let able = each_of(crew).filter(|p| self.able(*p)).count();
        let Some(pm) = self.holds_them(v).filter(|_| able > 0) else { return f64::INFINITY };
        let renewal = u64::from(self.parts.renewal(pm as usize));
        let hash = self.arm.part_modes[pm as usize].hash;
        let Some(r) = self.repair_of(What::Part(pm)) else { return f64::INFINITY };
        let (chance, as_new) = (r.without_spare.unwrap_or(r.success).of(&self.v), r.as_new);
        let mut x = x;
        if x.until <= self.now && x.works_on == pm {
            let occasion = FAR_SIDE | renewal << 8 | u64::from(x.attempts);
            x.attempts += 1;
            self.upkeep(UpkeepCause::Repair, x.worked(self.now));
            (x.until, x.hands) = (f64::INFINITY, 0);
            let worked = self.chance((hash, occasion), Purpose::RepairWorks, chance);
            self.people.crew[lead].provisional = Some(x);
            self.say(Level::Event, None, |s| {
                let how = if worked { "moves" } else { "still does not move" };
                format!("{} worked from the chamber {how}", s.what_words(What::Part(pm)))
            });
            if worked {
                self.cancel_job(pm);
                self.mend(pm as usize, as_new);
                self.mended();
                return self.now;
            }
        }
        if x.works_on == pm && x.until.is_finite() && x.until > self.now {
            return x.until;
        }
        let occasion = FAR_SIDE | renewal << 8 | u64::from(x.attempts);
        let draw = || self.draw_at(hash, occasion, Purpose::RepairTakes);
        let takes = self.repair_of(What::Part(pm)).map_or(0.0, |r| r.takes.value(&self.v, draw));
        (x.until, x.works_on) = (self.now + takes.max(60.0), pm);
        (x.works_since, x.hands) = (self.now, able as u32);
        self.people.crew[lead].provisional = Some(x);
        x.until
    }

    /// The planned end comes: hours of the attempt from within up to now.
    pub(in crate::campaign) fn book_work_from_within(&mut self, p: usize) {
        if let Some(x) = &mut self.people.crew[p].provisional {
            let worked = x.worked(self.now);
            x.works_since = self.now;
            self.upkeep(UpkeepCause::Repair, worked);
        }
    }

    /// Long enough: they put their suits on and try the ways back that start here. The demand goes on
    /// with what the suits held; with no way it ends as missed.
    fn leave_chamber(&mut self, v: VolumeId, crew: Crew) {
        let Some(k) = self.new_team(Errand::Return, crew) else {
            let first = crew.trailing_zeros();
            return self.plan(self.now + 60.0, Event::GoHome(first as u8));
        };
        let port = self.arm.layout.volumes[v].port;
        let t = &mut self.teams[k];
        (t.back.contingency, t.home_port, t.port) = (true, port, port);
        (t.leg.path, t.leg.occasion) = (crate::base::stream::fnv1a64("shut in"), self.now as u64);
        (t.leg.t, t.phase, t.back.planned_tried) = (self.now, Phase::Stranded, true);
        self.teams[k].back.trouble = self.port_trouble(port).unwrap_or(cause::INTERLOCK);
        let recharged = self.panel_works(port);
        let before = |p: usize| self.people.crew[p].provisional.map_or(0, |x| x.tried);
        self.teams[k].back.tried = each_of(crew).fold(0, |all, p| all | before(p));
        for p in each_of(crew) {
            self.put_on(p, v);
            let Some(mut x) = self.people.crew[p].provisional else { continue };
            self.book_shut_in(p, &x);
            x.hands = 0;
            (x.shut, x.leaves, x.tried) = (false, true, self.teams[k].back.tried);
            let full = match self.suit_kind(p) {
                Some((_, kind)) if recharged => kind.recharged(),
                _ => x.support,
            };
            self.people.crew[p].provisional = Some(x);
            let clock = self.people.open_clock(p);
            // The chamber holds pressure: the supply stands still until a row takes it away.
            (clock.paused, clock.support) = (true, full);
            (clock.since, clock.started) = (self.now, self.now);
            (clock.spent, clock.ran) = (0.0, 0.0);
        }
        self.say(Level::Event, None, |s| {
            format!("{} put their suits on to leave the chamber another way", s.names(crew))
        });
        self.try_ways(k);
    }

    /// A suit that lies in the chamber is put on.
    fn put_on(&mut self, p: usize, v: VolumeId) {
        let here = |s: &crate::plan::SuitState| s.usable && s.kept() == Kept::Volume(v);
        if self.places.person[p].suit.is_some() {
            return;
        }
        if let Some(s) = self.places.suit.find(here) {
            self.places.keep(s, Kept::Worn(p as u8));
            self.places.suit[s].checked = true;
            self.places.person[p].suit = s;
            self.turn_oxygen(p, true, self.now);
            self.breathe_here(p);
        }
    }

    fn panel_works(&self, port: u16) -> bool {
        self.arm.layout.stages.iter().enumerate().any(|(i, s)| {
            let panel = s.port == port && s.kind == StageKind::Panel;
            panel && self.faults.stage_lost(i).is_none()
        })
    }

    /// Of a team that leaves a chamber and finds no way that can start: missed at that moment. Where a way
    /// was tried and has left them in the filled chamber, they are shut in anew. True: the team is done.
    pub(in crate::campaign) fn no_way_out(&mut self, k: usize) -> bool {
        let leaving = |p: &usize| self.people.crew[*p].provisional.is_some_and(|x| x.leaves);
        let members = self.teams[k].members;
        let stay = each_of(members).filter(leaving).fold(0, |c: Crew, p| c | 1 << p);
        if stay == 0 {
            return false;
        }
        let tried = self.teams[k].back.tried;
        let fails = |p: usize| self.people.crew[p].provisional.is_some_and(|x| x.tried != tried);
        let safe = |p: usize| self.places.safe(&self.arm.layout, p) && self.pressure_holds(p);
        if stay == members && each_of(stay).all(|p| fails(p) && safe(p)) {
            for p in each_of(stay) {
                let support = self.people.crew[p].clock.support;
                self.stop_clock(k, p);
                let Some(x) = self.people.crew[p].provisional else { continue };
                let fresh = Provisional::new(self.now, support, x.met);
                let attempts = x.attempts;
                self.people.crew[p].provisional =
                    Some(Provisional { shut: true, tried, attempts, ..fresh });
            }
            self.stay_inside(k);
            return true;
        }
        each_of(stay).for_each(|p| self.miss(k, p));
        if self.teams[k].members == 0 {
            self.arrive_home(k);
            return true;
        }
        false
    }

    /// Is about to leave the chamber that they were shut in in?
    pub(in crate::campaign) fn leaves_from(&self, p: usize) -> bool {
        self.people.crew[p].provisional.as_ref().is_some_and(|x| x.leaves) && self.in_chamber(p)
    }

    /// A row takes the pressure away from somebody who was provisionally safe: the same demand goes on.
    /// Gives what their suit held then; none if they were not.
    pub(in crate::campaign) fn no_longer_safe(
        &mut self,
        p: usize,
        start: f64,
    ) -> Option<LifeSupport> {
        let x = self.people.crew[p].provisional.take()?;
        if x.shut {
            self.book_shut_in(p, &x);
        }
        let clock = &mut self.people.crew[p].clock;
        if clock.open {
            (clock.paused, clock.since, clock.started) = (false, start, start);
        }
        Some(x.support)
    }
}
