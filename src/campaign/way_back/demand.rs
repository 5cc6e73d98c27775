//! Demands and clocks (rules 17 to 21): when a person begins to live on suit supply, when they are
//! safe, how the demand ends.

use crate::campaign::owner::gas::Entry;
use crate::campaign::owner::metabolic::Doing;
use crate::campaign::owner::person::Prebreathe;
use crate::campaign::trace::Level;
use crate::campaign::verb::Task;
use crate::campaign::way_back::shut_in::Provisional;
use crate::campaign::world::{Ending, World};
use crate::measure::Fact;
use crate::model::GasCause;
use crate::numbers::Suit;
use crate::physics::gas::GasMass;
use crate::physics::suit;
use crate::plan::{Crew, NONE, OUTSIDE, Row, VolumeId, Where, each_of, step};
use crate::scenario::{Action, OpeningKind};

/// How a demand is met.
#[derive(Clone, Copy, Debug)]
pub struct Met {
    /// Way back of the architecture's order; [`NONE`] for the planned list.
    pub(in crate::campaign) way: u16,
    /// Margin, min.
    pub(in crate::campaign) minutes: f64,
}

impl World<'_> {
    /// Starts the clocks that a row starts: it takes element pressure away from where people are.
    pub(in crate::campaign) fn start_clocks(&mut self, t: &Task) {
        if matches!(t.row.action, Action::Unmate | Action::Depress | Action::Vent) {
            for p in each_of(step::deprived(&self.places, &t.cast)) {
                self.start_clock(t.k, p);
            }
        }
    }

    fn start_clock(&mut self, k: usize, p: usize) {
        let start = self.teams[k].leg.t;
        let again = self.no_longer_safe(p, start);
        if self.people.crew[p].clock.open {
            return;
        }
        let Some((_, kind)) = self.suit_kind(p) else {
            return;
        };
        let support = again.unwrap_or_else(|| kind.recharged());
        let t = &self.teams[k];
        let mine = (t.members | t.rescuers) & 1 << p != 0;
        let rescuer = t.rescuers & 1 << p != 0;
        let power = self.metabolic(k, p, if mine { Doing::Work } else { Doing::Rest });
        let clock = self.people.open_clock(p);
        clock.support = support;
        clock.power = power;
        clock.since = start;
        clock.started = start;
        clock.spent = 0.0;
        clock.ran = 0.0;
        if rescuer {
            // Prebreathe is waived for who goes out to help, and counted.
            let ratio = self.tissue_ratio(1 << p);
            let f = &mut self.books.out.facts.value[Fact::PrebreatheRatioMax as usize];
            *f = f.max(ratio);
        }
        self.clock_of_parked(p);
        self.turn_oxygen(p, true, start);
        self.people.crew[p].prebreathe = Prebreathe::NONE;
        if again.is_none() {
            self.books.out.facts.add(Fact::HavenDemands, 1.0);
        }
    }

    /// Closes the demands of all who are safe after a row.
    #[inline]
    pub(in crate::campaign) fn close_demands(&mut self, k: usize, row: &Row) {
        let anybody = self.people.on_clock != 0 || self.people.in_chambers;
        if anybody && changes_safety(row.action) {
            self.close_safe(k, row);
        }
    }

    #[inline(never)]
    fn close_safe(&mut self, k: usize, row: &Row) {
        let on_clock = self.people.on_clock;
        // A look at chambers does not change who is on the clock; what it finds may.
        if on_clock != 0 {
            self.share_if_short(k);
        }
        if self.in_chambers() {
            self.look_at_chambers();
        }
        for p in each_of(on_clock) {
            if !self.people.crew[p].clock.open || self.leaves_from(p) {
                continue;
            }
            if self.is_safe(p, row) {
                self.close_demand(k, p);
            }
            self.resume_clock(p, row);
        }
    }

    /// Is anybody safe in a chamber for the time being?
    fn in_chambers(&mut self) -> bool {
        if self.people.in_chambers {
            let mut crew = self.people.crew[..self.arm.layout.crew].iter();
            self.people.in_chambers = crew.any(|c| c.provisional.is_some());
        }
        debug_assert!(
            self.people.in_chambers || self.people.crew.iter().all(|c| c.provisional.is_none())
        );
        self.people.in_chambers
    }

    fn is_safe(&self, p: usize, row: &Row) -> bool {
        if self.places.person[p].at() == Where::Gone {
            return self.people.gone & 1 << p == 0 && row.action == Action::Travel;
        }
        self.safe_here(p)
    }

    /// In, or open to, a closed habitable volume that holds its pressure and whose days are not over.
    pub(in crate::campaign) fn safe_here(&self, p: usize) -> bool {
        let safe = self.places.safe(&self.arm.layout, p) && self.pressure_holds(p);
        safe && !self.in_spent_haven(p)
    }

    /// The volume a person is in, or open to, has no known or hidden leak that fails its check.
    pub(in crate::campaign) fn pressure_holds(&self, p: usize) -> bool {
        let l = &self.arm.layout;
        let v = match self.places.person[p].at() {
            Where::Volume(v) => v,
            Where::Berth(b) => l.berths[b].cabin,
            Where::Gone => return true,
        };
        l.volumes[v].openings.iter().all(|o| {
            let fails = self.faults.not_holding(*o).is_some() && self.seals_now(*o)
                || self.leaks_too_much(*o);
            let low = l.across(*o, v).is_some_and(|w| self.places.pressure(w) <= self.vacuum());
            let kind = l.openings[*o].kind;
            !(fails && low && kind != OpeningKind::DustDoor)
        })
    }

    /// An umbilical ends where its person leaves the volume.
    fn resume_clock(&mut self, p: usize, row: &Row) {
        let now = self.now;
        let clock = &mut self.people.crew[p].clock;
        let leaves = matches!(row.action, Action::Pass | Action::Unmate);
        if clock.open && clock.paused && leaves && self.teams_row_of(p) {
            let clock = &mut self.people.crew[p].clock;
            clock.since = now;
            clock.paused = false;
        }
    }

    fn teams_row_of(&self, p: usize) -> bool {
        self.teams.iter().any(|t| t.leg.who & 1 << p != 0 && t.members & 1 << p != 0)
    }

    /// A person is safe: the demand ends by the planned list or the way in use.
    pub(in crate::campaign) fn close_demand(&mut self, k: usize, p: usize) {
        let now = self.now;
        let way = self.teams[k].back.way;
        self.people.crew[p].clock.advance(now);
        let minutes = self.worth(p) / 60.0;
        let late = minutes < 0.0;
        let support = self.people.crew[p].clock.support;
        self.stop_clock(k, p);
        let met = Met { way, minutes };
        let outcome = self.outcome_of(met);
        // In a chamber that is for the time being, until they can walk on.
        self.people.crew[p].provisional = None;
        if late || !self.in_chamber(p) {
            self.end_demand(met);
        } else {
            self.people.crew[p].provisional = Some(Provisional::new(now, support, met));
            self.people.in_chambers = true;
            // Each way is tried at most once per demand.
            let tried = self.teams[k].back.tried;
            self.people.crew[p].provisional.iter_mut().for_each(|x| x.tried = tried);
        }
        if self.people.hurt & 1 << p != 0 && !self.people.crew[p].rescued {
            self.people.crew[p].rescued = true;
            let minutes = (now - self.people.crew[p].hurt_at) / 60.0;
            self.books.out.facts.add(Fact::Rescues, 1.0);
            self.books.out.facts.add(Fact::RescueMinutes, minutes);
        }
        if late {
            self.tell_end(k, p, Some(-minutes));
        }
        if way != NONE || late {
            self.say(Level::Event, self.slot_of(k), |s| s.safe_words(p, outcome, minutes));
        }
        if late {
            self.lose_person(k, p);
        }
        if self.places.person[p].at() == Where::Gone {
            self.ascend(k);
        }
    }

    /// Index of how a demand ends.
    fn outcome_of(&self, met: Met) -> usize {
        match met.way {
            _ if met.minutes < 0.0 => self.arm.layout.ways_back.len() + 1,
            NONE => 0,
            way => 1 + way as usize,
        }
    }

    /// A demand ends as it was met.
    pub(in crate::campaign) fn end_demand(&mut self, met: Met) {
        self.book_margin(met.way != NONE, met.minutes);
        let fact = match met.way {
            _ if met.minutes < 0.0 => Fact::HavenLate,
            NONE => Fact::HavenPlanned,
            _ => Fact::HavenWayBack,
        };
        let reached = f64::from(u8::from(fact != Fact::HavenLate));
        self.books.out.facts.add(fact, 1.0);
        self.books.out.facts.add(Fact::HavenReached, reached);
        let outcome = self.outcome_of(met);
        self.books.out.havens[outcome] += 1.0;
    }

    fn book_margin(&mut self, contingency: bool, minutes: f64) {
        let fact = if contingency { Fact::MarginContingency } else { Fact::Margin };
        let f = &mut self.books.out.facts.value[fact as usize];
        *f = f.min(minutes);
    }

    /// The clock stops: what was breathed, leaked and evaporated is booked. Who stands in a chamber
    /// breathes the oxygen of the suit until it is doffed; at a berth the hatches are open.
    pub(in crate::campaign) fn stop_clock(&mut self, k: usize, p: usize) {
        let port = self.teams[k].home_port;
        self.book_supply(p, port);
        self.people.close_clock(p);
        self.people.crew[p].spent = None;
        self.clock_of_parked(p);
        if self.places.person[p].suit.is_some() {
            let berth = matches!(self.places.person[p].at(), Where::Berth(_));
            self.turn_oxygen(p, !berth, self.now);
        }
    }

    /// Books what a suit has given to breathe, leaked and evaporated since its clock started, or since
    /// this was booked last.
    pub(in crate::campaign) fn book_supply(&mut self, p: usize, port: u16) {
        let now = self.now;
        self.people.crew[p].clock.advance(now);
        let Some(kind) = self.supplies(p) else { return };
        let (per_oxygen, equipment, leak) = (kind.per_oxygen, kind.equipment, kind.leak);
        let clock = self.people.crew[p].clock;
        let oxygen = suit::oxygen_flow(clock.spent, per_oxygen);
        let heat = clock.spent + equipment * clock.ran;
        let water = suit::cooling_water_flow(heat);
        let leak = leak * (now - clock.started);
        let volume = self.home_volume(p);
        self.air.gas.breathe(volume, oxygen);
        self.air.gas.draw(volume, GasMass::of_oxygen(leak));
        let e = Entry { port, contingency: false, planned: true };
        self.air.gas.lose(GasCause::SuitLeak, GasMass::of_oxygen(leak), e);
        self.books.out.facts.add(Fact::WaterUsed, water);
        self.air.gas.draw_water(volume, water);
        let clock = &mut self.people.crew[p].clock;
        (clock.spent, clock.ran, clock.started) = (0.0, 0.0, now);
    }

    /// The kind of suit whose supply a person lives on: worn, or at hand in a haven whose days are over.
    pub(in crate::campaign) fn supplies(&self, p: usize) -> Option<&Suit> {
        let at_hand = || Some(&self.numbers.suits[self.people.crew[p].spent?.suit]);
        self.suit_kind(p).map(|(_, kind)| kind).or_else(at_hand)
    }

    /// The volume whose store a person's suit is refilled from.
    fn home_volume(&self, p: usize) -> VolumeId {
        let l = &self.arm.layout;
        match self.places.person[p].at() {
            Where::Volume(v) if v != OUTSIDE => v,
            Where::Berth(b) => l.berths[b].cabin,
            _ => l.elements[self.people.crew[p].home as usize].cabin,
        }
    }

    /// Treatment is counted to doffing (rule 19).
    pub(in crate::campaign) fn treated(&mut self, k: usize, who: Crew) {
        for p in each_of(who & self.people.hurt) {
            if self.now > self.people.crew[p].treat_by {
                self.books.out.facts.add(Fact::RescueLate, 1.0);
                self.say(Level::Event, self.slot_of(k), |s| {
                    format!("{} is treated after the limit", s.m.crew.names[p])
                });
            }
        }
    }

    /// Somebody was late or missed: loss of crew. The campaign ends when the other demands are closed.
    pub(in crate::campaign) fn lose_person(&mut self, k: usize, p: usize) {
        self.people.gone |= 1 << p;
        self.people.hurt &= !(1 << p);
        self.people.crew[p].busy = crate::campaign::owner::person::Busy::Gone;
        self.remember_lost(k, p);
        self.books.out.facts.value[Fact::CampaignHavenMissed as usize] = 1.0;
        let cause = self.teams[k].back.trouble;
        self.end_campaign(cause);
    }

    /// Ends the campaign for a cause, once.
    pub(in crate::campaign) fn end_campaign(&mut self, cause: u16) {
        if self.course.ending.is_none() {
            self.course.ending = Some(Ending { at: self.now, cause });
            self.books.out.facts.value[Fact::CampaignCutShort as usize] = 1.0;
            self.say(Level::Event, None, |s| {
                format!("the campaign ends: {}", s.m.causes[cause as usize])
            });
            self.stop_services();
            self.stop_repairs();
            self.drop_waiting();
        }
    }

    fn ascend(&mut self, k: usize) {
        let cause = self.teams[k].back.trouble;
        self.end_campaign(cause);
    }

    /// The clock of somebody who could not get in has ended: missed.
    pub(in crate::campaign) fn miss(&mut self, k: usize, p: usize) {
        self.people.crew[p].clock.advance(self.now);
        self.people.crew[p].provisional = None;
        self.stop_clock(k, p);
        let missed = self.arm.layout.ways_back.len() + 2;
        self.books.out.havens[missed] += 1.0;
        self.books.out.facts.add(Fact::HavenMissed, 1.0);
        self.book_margin(true, f64::NEG_INFINITY);
        self.tell_end(k, p, None);
        self.say(Level::Event, self.slot_of(k), |s| {
            format!("{} did not reach a haven before life support ended", s.m.crew.names[p])
        });
        let was = self.places.person[p].at();
        self.places.stand(p, Where::Gone);
        self.displaced(was);
        self.teams[k].members &= !(1 << p);
        self.teams[k].batch &= !(1 << p);
        self.lose_person(k, p);
        self.breathe_here(p);
    }
}

/// Can a row change who is safe?
fn changes_safety(a: Action) -> bool {
    matches!(
        a,
        Action::Open
            | Action::Close
            | Action::Repress
            | Action::Pass
            | Action::Travel
            | Action::Doff
            | Action::Unmate
            | Action::Recharge
    )
}
