//! The world of one campaign of one architecture, and its loop.

use crate::base::calendar::Calendar;
use crate::base::stream::{Kept, Luck};
use crate::campaign::agenda::Event;
use crate::campaign::forced::Forced;
use crate::campaign::owner::doorstep::Doorstep;
use crate::campaign::owner::drawn::Drawn;
use crate::campaign::owner::duty::Outings;
use crate::campaign::owner::exposure::Exposure;
use crate::campaign::owner::faults::Faults;
use crate::campaign::owner::filters::{Filter, filters_of};
use crate::campaign::owner::gas::GasBooks;
use crate::campaign::owner::jobs::Jobs;
use crate::campaign::owner::leaks::Leaks;
use crate::campaign::owner::parked::Parked;
use crate::campaign::owner::parts::Parts;
use crate::campaign::owner::person::{Busy, Clock, Crewmate};
use crate::campaign::owner::ports::Ports;
use crate::campaign::owner::room_law::RoomTable;
use crate::campaign::owner::rooms::Rooms;
use crate::campaign::owner::rovers::Rovers;
use crate::campaign::owner::seals::Seals;
use crate::campaign::owner::sky::Sky;
use crate::campaign::owner::suits::Suits;
use crate::campaign::owner::team::{TEAMS, Team};
use crate::campaign::trace::Story;
use crate::model::{Arm, Model};
use crate::numbers::Numbers;
use crate::outcome::Outcome;
use crate::plan::{Crew, MAX_CREW, OUTSIDE, Places, Where};

/// More events than any campaign can have: a campaign that reaches this goes in circles, which is a
/// defect of the engine and must not be waited for.
const EVENTS: u64 = 5_000_000;

/// The trouble that ends a campaign.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Ending {
    /// When it began, s.
    pub(in crate::campaign) at: f64,
    /// Cause of the hours lost from then on.
    pub(in crate::campaign) cause: u16,
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

/// Luck of a campaign, as it is drawn.
#[derive(Debug)]
pub(in crate::campaign) struct Draws {
    /// Numbers by address, with the blocks drawn last; lent while it plays.
    pub(in crate::campaign) kept: Kept,
    /// Index of the campaign.
    pub(in crate::campaign) campaign: u64,
    /// Values drawn once per sortie.
    pub(in crate::campaign) drawn: Drawn,
}

/// People: who is where in their day, hurt or gone.
#[derive(Debug)]
pub(in crate::campaign) struct People {
    /// Everybody, by index.
    pub(in crate::campaign) crew: [Crewmate; MAX_CREW],
    /// Those who are incapacitated.
    pub(in crate::campaign) hurt: Crew,
    /// Those who live on suit supply: whose clocks are open.
    pub(in crate::campaign) on_clock: Crew,
    /// Those whose clock or oxygen was turned since what they breathe was worked out.
    pub(in crate::campaign) turned: Crew,
    /// Somebody may be safe in a chamber for the time being; looked at and put right when it matters.
    pub(in crate::campaign) in_chambers: bool,
    /// Those who are lost, or left on the ascent vehicle.
    pub(in crate::campaign) gone: Crew,
    /// Hours outside and overhead by person.
    pub(in crate::campaign) outings: Outings,
    /// Illnesses so far, by person.
    pub(in crate::campaign) ill_count: [u32; MAX_CREW],
}

impl People {
    /// A person lives on suit supply from now on.
    pub(in crate::campaign) fn open_clock(&mut self, p: usize) -> &mut Clock {
        self.on_clock |= 1 << p;
        self.turned |= 1 << p;
        let clock = &mut self.crew[p].clock;
        (clock.open, clock.paused) = (true, false);
        clock
    }

    /// They do not any more.
    pub(in crate::campaign) fn close_clock(&mut self, p: usize) {
        self.on_clock &= !(1 << p);
        self.turned |= 1 << p;
        let clock = &mut self.crew[p].clock;
        (clock.open, clock.paused) = (false, false);
    }
}

/// Gas in volumes, stores and suits, and what leaks out of them.
#[derive(Debug)]
pub(in crate::campaign) struct Air {
    /// Gas books.
    pub(in crate::campaign) gas: GasBooks,
    /// What flows out through seals and shells.
    pub(in crate::campaign) leaks: Leaks,
    /// Dust on seals.
    pub(in crate::campaign) seals: Seals,
    /// Suits that hang at berths.
    pub(in crate::campaign) parked: Parked,
}

/// Dust in rooms, filters and at doors, and what people breathe of it.
#[derive(Debug)]
pub(in crate::campaign) struct Dust {
    /// Dust in the air and on the floor.
    pub(in crate::campaign) rooms: Rooms,
    /// How it moves, by volume and pressure.
    pub(in crate::campaign) room_table: RoomTable,
    /// What each person breathes.
    pub(in crate::campaign) exposure: Exposure,
    /// Dust that is on nobody's floor.
    pub(in crate::campaign) dust_books: DustBooks,
    /// Fine dust on suits at the doors of each element: for the break-even share.
    pub(in crate::campaign) doorsteps: Vec<Doorstep>,
    /// Filters and what they hold.
    pub(in crate::campaign) filters: Vec<Filter>,
}

/// How far the campaign has come.
#[derive(Debug)]
pub(in crate::campaign) struct Course {
    /// Slot begun last.
    pub(in crate::campaign) last_slot: Option<u32>,
    /// The trouble that ends it.
    pub(in crate::campaign) ending: Option<Ending>,
    /// The planned end has come.
    pub(in crate::campaign) horizon_passed: bool,
}

/// What the campaign leaves: only written to.
#[derive(Debug)]
pub(in crate::campaign) struct Books {
    /// The books as they stood at the planned end, where they were closed then.
    pub(in crate::campaign) books_closed: bool,
    /// Outcome at the planned end.
    pub(in crate::campaign) closed: Outcome,
    /// The outcome.
    pub(in crate::campaign) out: Outcome,
    /// Work done, for benches.
    pub(in crate::campaign) counts: Counts,
}

/// The world of one campaign of one architecture.
#[derive(Debug)]
pub struct World<'m> {
    pub(in crate::campaign) m: &'m Model,
    pub(in crate::campaign) arm: &'m Arm,
    pub(in crate::campaign) v: Vec<f64>,
    pub(in crate::campaign) now: f64,
    pub(in crate::campaign) calendar: Calendar<Event>,
    pub(in crate::campaign) places: Places,
    pub(in crate::campaign) rest: Places,
    pub(in crate::campaign) scratch: Places,
    pub(in crate::campaign) teams: [Team; TEAMS],
    /// The parameter set in plain numbers.
    pub(in crate::campaign) numbers: Numbers,
    pub(in crate::campaign) ports: Ports,
    pub(in crate::campaign) parts: Parts,
    pub(in crate::campaign) faults: Faults,
    pub(in crate::campaign) jobs: Jobs,
    pub(in crate::campaign) suits: Suits,
    pub(in crate::campaign) sky: Sky,
    pub(in crate::campaign) rovers: Rovers,
    pub(in crate::campaign) forced: Forced,
    pub(in crate::campaign) story: Option<Story>,
    pub(in crate::campaign) draws: Draws,
    pub(in crate::campaign) people: People,
    pub(in crate::campaign) air: Air,
    pub(in crate::campaign) dust: Dust,
    pub(in crate::campaign) course: Course,
    pub(in crate::campaign) books: Books,
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

impl Dust {
    fn of(m: &Model, arm: &Arm) -> Dust {
        let l = &arm.layout;
        Dust {
            rooms: Rooms::new(),
            room_table: RoomTable { laws: Vec::new(), start: Vec::new(), limit: m.body.dust_limit },
            exposure: Exposure::new(l.crew),
            dust_books: DustBooks::default(),
            doorsteps: vec![Doorstep::default(); l.elements.len()],
            filters: filters_of(arm),
        }
    }
}

impl<'m> World<'m> {
    /// A world with everything it needs allocated.
    pub fn new(m: &'m Model, arm: &'m Arm) -> Self {
        let l = &arm.layout;
        let rest = Places::rest(l);
        World {
            m,
            arm,
            v: Vec::new(),
            now: 0.0,
            calendar: Calendar::new(64),
            places: rest.clone(),
            scratch: rest.clone(),
            rest,
            teams: std::array::from_fn(|_| Team::idle()),
            numbers: Numbers::default(),
            ports: Ports::new(l.ports.len()),
            parts: Parts::new(arm.part_modes.len(), arm.groups.len()),
            faults: Faults::new(l),
            jobs: Jobs::new(m.spares.len()),
            suits: Suits::new(l.suits.len()),
            sky: Sky::new(m.events.len()),
            rovers: Rovers::new(l.elements.len(), m.traverses.len()),
            forced: Forced::default(),
            story: None,
            draws: Draws { kept: Kept::lent(Luck::new(m.seed)), campaign: 0, drawn: Drawn::new() },
            people: People {
                crew: [Crewmate::fresh(0, 0.0); MAX_CREW],
                hurt: 0,
                on_clock: 0,
                turned: Crew::MAX,
                in_chambers: false,
                gone: 0,
                outings: Outings::new(l.crew),
                ill_count: [0; MAX_CREW],
            },
            air: Air {
                gas: GasBooks::new(m, arm),
                leaks: Leaks::new(l, m.stores.len()),
                seals: Seals::new(l.openings.len()),
                parked: Parked::new(arm),
            },
            dust: Dust::of(m, arm),
            course: Course { last_slot: None, ending: None, horizon_passed: false },
            books: Books {
                books_closed: false,
                closed: Outcome::of(arm),
                out: Outcome::of(arm),
                counts: Counts::default(),
            },
        }
    }

    /// Plays campaign `index` with the parameter set `values`; the outcome stands in `self.out`.
    pub fn campaign(&mut self, index: u64, values: &[f64]) -> &Outcome {
        self.begin(index, values);
        let mut events: u64 = 0;
        while let Some((t, event)) = self.calendar.pop() {
            events += 1;
            self.books.counts.events += 1;
            assert!(events < EVENTS, "campaign {index} of {} does not end", self.arm.name);
            self.now = t;
            self.happen(event);
            if self.over() {
                break;
            }
        }
        self.finish();
        &self.books.out
    }

    /// Outcome of the campaign played last.
    pub fn outcome(&self) -> &Outcome {
        &self.books.out
    }

    /// Work done by all campaigns so far.
    pub fn counts(&self) -> Counts {
        self.books.counts
    }

    /// Keeps a story of the next campaign.
    pub(in crate::campaign) fn listen(&mut self) {
        self.story = Some(Story::default());
    }

    /// The story kept, in order of time.
    pub(in crate::campaign) fn told(&mut self) -> Story {
        let mut story = self.story.take().unwrap_or_default();
        story.lines.sort_by(|a, b| a.time.total_cmp(&b.time));
        story
    }

    /// Nothing more can happen: the planned end (or the trouble that ends the campaign) has come and
    /// nobody is on the way.
    pub(in crate::campaign) fn over(&self) -> bool {
        if !self.course.horizon_passed && self.course.ending.is_none() {
            return false;
        }
        use crate::campaign::owner::team::Phase;
        !self.teams.iter().any(|t| t.phase != Phase::Idle) && !self.demand_open()
    }

    /// Is this person able: not hurt, not off duty, not gone?
    pub(in crate::campaign) fn able(&self, p: usize) -> bool {
        let bit = 1 << p;
        (self.people.hurt | self.people.gone) & bit == 0
            && self.people.crew[p].off_until <= self.now
    }

    /// Able persons in volumes joined to the cabin of an element and not in a team.
    pub(in crate::campaign) fn inside_of_element(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let (mut out, mut near) = (0, None);
        for p in 0..l.crew {
            let Where::Volume(v) = self.places.person[p].at() else {
                continue;
            };
            if v == OUTSIDE || !self.able(p) || matches!(self.people.crew[p].busy, Busy::Team(_)) {
                continue;
            }
            let joined = || self.places.joined_to(l, cabin);
            let near = v == cabin || near.get_or_insert_with(joined).has(v);
            if near && self.places.is_habitable(l, v) {
                out |= 1 << p;
            }
        }
        out
    }

    /// Able persons not in a team who can get to the cabin of an element, doors opened on the way
    /// (rule 23).
    pub(in crate::campaign) fn helpers_inside(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let reach = self.places.in_reach(l, cabin);
        (0..l.crew)
            .filter(|p| match self.places.person[*p].at() {
                Where::Volume(v) => reach.has(v),
                Where::Berth(_) | Where::Gone => false,
            })
            .filter(|p| self.able(*p) && !matches!(self.people.crew[*p].busy, Busy::Team(_)))
            .fold(0, |c, p| c | 1 << p)
    }

    /// Names of a set of persons.
    pub(in crate::campaign) fn names(&self, crew: Crew) -> String {
        let all: Vec<&str> =
            crate::plan::each_of(crew).map(|p| self.m.crew.names[p].as_str()).collect();
        if all.is_empty() { "nobody".into() } else { all.join(" and ") }
    }
}
