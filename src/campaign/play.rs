//! The world of one campaign of one architecture, and its loop.

use super::doorstep::Doorstep;
use super::drawn::Drawn;
use super::duty::Outings;
use super::exposure::Exposure;
use super::faults::Faults;
use super::filters::{Filter, filters_of};
use super::forced::Forced;
use super::gas::GasBooks;
use super::jobs::Jobs;
use super::leaks::Leaks;
use super::parked::Parked;
use super::parts::Parts;
use super::person::{Busy, Crewmate};
use super::ports::Ports;
use super::room_law::RoomTable;
use super::rooms::Rooms;
use super::rovers::Rovers;
use super::seals::Seals;
use super::sky::Sky;
use super::suits::Suits;
use super::team::{TEAMS, Team};
use super::trace::Story;
use crate::engine::Calendar;
use crate::layout::{Crew, MAX_CREW, OUTSIDE, Places, Where};
use crate::model::{Arm, Model};
use crate::numbers::Numbers;
use crate::outcome::Outcome;
use crate::stream::{Kept, Luck};

/// Something on the calendar.
#[derive(Clone, Copy, Debug)]
pub(super) enum Event {
    /// Slot by index.
    Slot(u32),
    /// Team and ticket.
    Team(u8, u32),
    /// Somebody in a haven elsewhere looks whether to go home.
    GoHome(u8),
    /// A repair job ends: slot in the table and ticket.
    Repair(u16, u32),
    /// A part fails by calendar time: part mode and renewal.
    PartFails(u16, u32),
    /// A common-cause group crosses by calendar time.
    GroupFails(u16),
    /// An environment event is announced.
    Announce(u16),
    /// One that asks for a shelter begins.
    Onset(u16),
    /// It is over.
    Over(u16),
    /// A person falls ill.
    Ill(u8),
    /// Somebody's maintenance of suits is over.
    Served(u8),
    /// Crew may be back on duty: look at repairs and ports.
    Look,
    /// A resupply flight: store and flight.
    Resupply(u16, u16),
    /// A store may have run dry.
    Dry(u16),
    /// Inspection.
    Inspect,
    /// Parts that a mode strikes are replaced by plan.
    Replace(u16),
    /// Floor cleaning of an element.
    Clean(u16),
    /// Floor cleaning of a volume of an access system.
    CleanVolume(u16),
    /// Daily look at filters that load.
    Filters,
    /// A traverse departs.
    Depart(u16),
    /// The rover has come back (or has to wait).
    ComeHome(u16),
    /// Another day of a traverse: the rover drives on.
    Roam(u16),
    /// The planned end.
    End,
}

/// Priority of events at the same time, low first: what ends comes before what begins.
mod rank {
    pub(super) const END: u8 = 0;
    pub(super) const WORLD: u8 = 1;
    pub(super) const TEAM: u8 = 2;
    pub(super) const SLOT: u8 = 3;
}

/// More events than any campaign can have: a campaign that reaches this goes in circles, which is a
/// defect of the engine and must not be waited for.
const EVENTS: u64 = 5_000_000;

/// The trouble that ends a campaign.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ending {
    /// When it began, s.
    pub(super) at: f64,
    /// Cause of the hours lost from then on.
    pub(super) cause: u16,
}

/// How much work campaigns were, for benches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Step rows begun.
    pub rows: u64,
    /// Uniforms of legs drawn.
    pub draws: u64,
    /// Demands made of failure modes.
    pub demands: u64,
    /// Volumes brought to a time.
    pub volume_updates: u64,
    /// Events of the calendar.
    pub events: u64,
}

/// The world of one campaign of one architecture.
#[derive(Debug)]
pub struct Play<'m> {
    pub(super) m: &'m Model,
    pub(super) arm: &'m Arm,
    pub(super) luck: Luck,
    /// The same luck, with the blocks drawn last for single numbers; lent while it plays.
    pub(super) kept: Kept,
    pub(super) campaign: u64,
    pub(super) v: Vec<f64>,
    pub(super) now: f64,
    pub(super) calendar: Calendar<Event>,
    pub(super) places: Places,
    pub(super) rest: Places,
    pub(super) scratch: Places,
    pub(super) crew: [Crewmate; MAX_CREW],
    pub(super) hurt: Crew,
    pub(super) gone: Crew,
    pub(super) teams: Vec<Team>,
    /// The parameter set in plain numbers.
    pub(super) numbers: Numbers,
    pub(super) ports: Ports,
    pub(super) parts: Parts,
    pub(super) faults: Faults,
    pub(super) jobs: Jobs,
    pub(super) gas: GasBooks,
    pub(super) leaks: Leaks,
    pub(super) rooms: Rooms,
    pub(super) room_table: RoomTable,
    pub(super) exposure: Exposure,
    pub(super) suits: Suits,
    pub(super) seals: Seals,
    pub(super) outings: Outings,
    pub(super) drawn: Drawn,
    pub(super) dust_books: DustBooks,
    /// Fine dust on suits at the doors of each element: for the break-even share.
    pub(super) doorsteps: Vec<Doorstep>,
    pub(super) filters: Vec<Filter>,
    pub(super) parked: Parked,
    pub(super) sky: Sky,
    pub(super) rovers: Rovers,
    pub(super) ill_count: [u32; MAX_CREW],
    pub(super) last_slot: Option<u32>,
    pub(super) ending: Option<Ending>,
    pub(super) horizon_passed: bool,
    /// The books as they stood at the planned end, where they were closed then.
    pub(super) books_closed: bool,
    pub(super) closed: Outcome,
    pub(super) out: Outcome,
    pub(super) forced: Forced,
    pub(super) story: Option<Story>,
    pub(super) counts: Counts,
}

/// Dust that is on nobody's floor: kg per bin.
#[derive(Clone, Copy, Debug, Default)]
pub struct DustBooks {
    /// Picked up outside.
    pub picked: [f64; 4],
    /// Removed for good by stages outside and lost outside.
    pub outside: [f64; 4],
    /// Held by stages in volumes.
    pub stages: [f64; 4],
}

impl<'m> Play<'m> {
    /// A world with everything it needs allocated.
    pub fn new(m: &'m Model, arm: &'m Arm) -> Self {
        let l = &arm.layout;
        let rest = Places::rest(l);
        Play {
            m,
            arm,
            luck: Luck::new(m.seed),
            kept: Kept::lent(Luck::new(m.seed)),
            campaign: 0,
            v: Vec::new(),
            now: 0.0,
            calendar: Calendar::new(64),
            places: rest.clone(),
            scratch: rest.clone(),
            rest,
            crew: [Crewmate::fresh(0, 0.0); MAX_CREW],
            hurt: 0,
            gone: 0,
            teams: vec![Team::idle(); TEAMS],
            ports: Ports::new(l.ports.len()),
            numbers: Numbers::default(),
            parts: Parts::new(arm.part_modes.len(), arm.groups.len()),
            faults: Faults::new(l),
            jobs: Jobs::new(m.spares.len()),
            gas: GasBooks::new(m, arm),
            leaks: Leaks::new(l, m.stores.len()),
            rooms: Rooms::new(),
            room_table: RoomTable { laws: Vec::new(), start: Vec::new(), limit: m.body.dust_limit },
            exposure: Exposure::new(l.crew),
            suits: Suits::new(l.suits.len()),
            seals: Seals::new(l.openings.len()),
            outings: Outings::new(l.crew),
            drawn: Drawn::new(),
            dust_books: DustBooks::default(),
            doorsteps: vec![Doorstep::default(); l.elements.len()],
            filters: filters_of(arm),
            parked: Parked::new(arm),
            sky: Sky::new(m.events.len()),
            rovers: Rovers::new(l.elements.len(), m.traverses.len()),
            ill_count: [0; MAX_CREW],
            last_slot: None,
            ending: None,
            horizon_passed: false,
            books_closed: false,
            closed: Outcome::of(arm),
            out: Outcome::of(arm),
            forced: Forced::default(),
            story: None,
            counts: Counts::default(),
        }
    }

    /// Plays campaign `index` with the parameter set `values`; the outcome stands in `self.out`.
    pub fn campaign(&mut self, index: u64, values: &[f64]) -> &Outcome {
        self.begin(index, values);
        let mut events: u64 = 0;
        while let Some((t, event)) = self.calendar.pop() {
            events += 1;
            self.counts.events += 1;
            assert!(events < EVENTS, "campaign {index} of {} does not end", self.arm.name);
            self.now = t;
            self.happen(event);
            if self.over() {
                break;
            }
        }
        self.finish();
        &self.out
    }

    /// Outcome of the campaign played last.
    pub fn outcome(&self) -> &Outcome {
        &self.out
    }

    /// Work done by all campaigns so far.
    pub fn counts(&self) -> Counts {
        self.counts
    }

    /// Keeps a story of the next campaign.
    pub(super) fn listen(&mut self) {
        self.story = Some(Story::default());
    }

    /// The story kept, in order of time.
    pub(super) fn told(&mut self) -> Story {
        let mut story = self.story.take().unwrap_or_default();
        story.lines.sort_by(|a, b| a.time.total_cmp(&b.time));
        story
    }

    /// Nothing more can happen: the planned end (or the trouble that ends the campaign) has come and
    /// nobody is on the way.
    pub(super) fn over(&self) -> bool {
        if !self.horizon_passed && self.ending.is_none() {
            return false;
        }
        use super::team::Phase;
        !self.teams.iter().any(|t| t.phase != Phase::Idle) && !self.demand_open()
    }

    pub(super) fn happen(&mut self, event: Event) {
        match event {
            Event::Slot(i) => {
                self.last_slot = Some(i);
                self.slot(i);
            }
            Event::Team(k, ticket) => self.team_event(k as usize, ticket),
            Event::GoHome(p) => self.go_home(p as usize),
            Event::Repair(j, ticket) => self.repair_ends(j as usize, ticket),
            Event::PartFails(pm, renewal) => self.part_fails(pm as usize, renewal),
            Event::GroupFails(g) => self.group_fails(g as usize),
            Event::Announce(e) => self.announce(e as usize),
            Event::Onset(e) => self.onset(e as usize),
            Event::Over(e) => self.weather_over(e as usize),
            Event::Ill(p) => self.falls_ill(p as usize),
            Event::Served(p) => self.served(p as usize),
            Event::Look => self.look_around(),
            Event::Resupply(s, i) => self.resupply(s as usize, i as usize),
            Event::Dry(s) => self.look_at_store(s as usize),
            Event::Inspect => self.inspect(),
            Event::Replace(mode) => self.replacement_due(mode as usize),
            Event::Clean(e) => self.clean_floor(e as usize),
            Event::CleanVolume(v) => self.clean_volume(v as usize),
            Event::Filters => self.look_at_filters(),
            Event::Depart(i) => self.depart(i as usize),
            Event::ComeHome(i) => self.come_home(i as usize),
            Event::Roam(i) => self.roam(i as usize),
            Event::End => self.planned_end(),
        }
    }

    /// Puts an event on the calendar with the priority of its kind.
    pub(super) fn plan(&mut self, time: f64, event: Event) {
        let priority = match event {
            Event::End => rank::END,
            Event::Team(..) => rank::TEAM,
            Event::Slot(_) => rank::SLOT,
            _ => rank::WORLD,
        };
        self.calendar.schedule(time, priority, event);
    }

    /// Is this person able: not hurt, not off duty, not gone?
    pub(super) fn able(&self, p: usize) -> bool {
        let bit = 1 << p;
        (self.hurt | self.gone) & bit == 0 && self.crew[p].off_until <= self.now
    }

    /// Able persons in volumes joined to the cabin of an element and not in a team.
    pub(super) fn inside_of_element(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let (mut out, mut joined) = (0, None);
        for p in 0..l.crew {
            let Where::Volume(v) = self.places.person[p].at else {
                continue;
            };
            if v == OUTSIDE || !self.able(p) || matches!(self.crew[p].busy, Busy::Team(_)) {
                continue;
            }
            let near = joined.get_or_insert_with(|| self.places.joined_to(l, cabin));
            if near.has(v) && self.places.is_habitable(l, v) {
                out |= 1 << p;
            }
        }
        out
    }

    /// Able persons not in a team who can get to the cabin of an element, doors opened on the way
    /// (rule 23).
    pub(super) fn helpers_inside(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let reach = self.places.in_reach(l, cabin);
        (0..l.crew)
            .filter(|p| match self.places.person[*p].at {
                Where::Volume(v) => reach.has(v),
                Where::Berth(_) | Where::Gone => false,
            })
            .filter(|p| self.able(*p) && !matches!(self.crew[*p].busy, Busy::Team(_)))
            .fold(0, |c, p| c | 1 << p)
    }

    /// Names of a set of persons.
    pub(super) fn names(&self, crew: Crew) -> String {
        let all: Vec<&str> =
            crate::layout::each_of(crew).map(|p| self.m.crew.names[p].as_str()).collect();
        if all.is_empty() { "nobody".into() } else { all.join(" and ") }
    }
}
