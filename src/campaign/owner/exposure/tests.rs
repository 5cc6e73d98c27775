//! The fast exposure against one that works out every window, on random histories (fixed seed).
//!
//! The reference keeps its own stocks and events and shares only the closed form of one bin with
//! the product, which `tests/evidence/published/dust.rs` and `physics::mixed` check by other means.

mod histories;

use super::*;
use crate::campaign::owner::room_law::{RoomLaw, RoomTable};
use crate::physics::mixed::{Mixed, Rates, Stock};
use histories::{config, history, law};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

const VOLUMES: u16 = 3;
const PERSONS: u16 = 3;
const LAWS: u16 = 4;
const LIMIT: f64 = 3e-7;

#[derive(Clone, Copy, Debug)]
enum Op {
    Arrive(u16, [f64; 2], f64),
    Exchange(u16, u16, f64),
    Track(u16, u16, f64),
    Evacuate(u16, f64),
    Pressurise(u16, u16),
    Clean(u16, f64),
    Enter(u16, Option<u16>),
    Mark,
}

/// Stocks of one volume from a moment on.
#[derive(Clone, Copy)]
struct State {
    at: f64,
    order: usize,
    fine: [Stock; 2],
    law: Option<u16>,
}

/// Where somebody is from a moment on.
#[derive(Clone, Copy)]
struct Place {
    since: f64,
    order: usize,
    room: Option<u16>,
}

/// Every state of every volume and every place of every person, since the start.
struct Reference {
    laws: Vec<RoomLaw>,
    states: Vec<Vec<State>>,
    /// Times at which something was done to a volume, whoever was there.
    jumps: Vec<Vec<f64>>,
    places: Vec<Vec<Place>>,
    end: f64,
    /// Number of operations so far: it tells what came first at one time.
    order: usize,
}

impl Reference {
    fn new(laws: Vec<RoomLaw>) -> Self {
        let state = State { at: 0.0, order: 0, fine: Default::default(), law: Some(0) };
        let place = Place { since: 0.0, order: 0, room: None };
        Self {
            laws,
            states: vec![vec![state]; usize::from(VOLUMES)],
            jumps: vec![Vec::new(); usize::from(VOLUMES)],
            places: vec![vec![place]; usize::from(PERSONS)],
            end: 0.0,
            order: 0,
        }
    }

    /// Stocks `dt` after a state, with the exposure of the time between.
    fn follow(&self, state: State, dt: f64) -> ([Stock; 2], f64) {
        let Some(law) = state.law else {
            return (state.fine, 0.0);
        };
        let law = &self.laws[usize::from(law)];
        let step = |i: usize| law.bins()[i].after(state.fine[i], dt);
        let airborne = step(0).airborne + step(1).airborne;
        ([step(0).stock, step(1).stock], airborne * law.per_volume())
    }

    fn concentration(&self, state: State, dt: f64) -> f64 {
        let Some(law) = state.law else { return 0.0 };
        let (fine, _) = self.follow(state, dt);
        (fine[0].air + fine[1].air) * self.laws[usize::from(law)].per_volume()
    }

    fn change(&mut self, v: u16, t: f64, change: impl FnOnce(&mut State)) {
        let last = *self.states[usize::from(v)].last().unwrap();
        let (fine, _) = self.follow(last, t - last.at);
        let mut state = State { at: t, order: self.order, fine, ..last };
        change(&mut state);
        self.states[usize::from(v)].push(state);
        self.jumps[usize::from(v)].push(t);
    }

    fn now(&self, v: u16, t: f64) -> State {
        let last = *self.states[usize::from(v)].last().unwrap();
        State { at: t, fine: self.follow(last, t - last.at).0, ..last }
    }

    fn act(&mut self, op: Op, t: f64) {
        self.end = t;
        self.order += 1;
        match op {
            Op::Arrive(v, mass, share) => self.change(v, t, |state| {
                let share = if state.law.is_some() { share } else { 0.0 };
                for (stock, mass) in state.fine.iter_mut().zip(mass) {
                    stock.air += share * mass;
                    stock.floor += (1.0 - share) * mass;
                }
            }),
            Op::Exchange(a, b, share) => {
                let (one, two) = (self.now(a, t), self.now(b, t));
                let none = [one, two].iter().all(|s| s.fine.iter().all(|f| f.air == 0.0));
                if none || one.law.is_none() || two.law.is_none() {
                    return;
                }
                for (v, other) in [(a, two), (b, one)] {
                    self.change(v, t, |state| {
                        for (stock, other) in state.fine.iter_mut().zip(other.fine) {
                            stock.air += share * (other.air - stock.air);
                        }
                    });
                }
            }
            Op::Track(a, b, share) => {
                let source = self.now(a, t);
                if source.fine.iter().all(|f| f.floor == 0.0) {
                    return;
                }
                self.change(a, t, |s| s.fine.iter_mut().for_each(|f| f.floor *= 1.0 - share));
                self.change(b, t, |state| {
                    for (stock, from) in state.fine.iter_mut().zip(source.fine) {
                        stock.floor += share * from.floor;
                    }
                });
            }
            Op::Evacuate(v, removed) => self.change(v, t, |state| {
                state.law = None;
                for stock in &mut state.fine {
                    stock.floor += (1.0 - removed) * stock.air;
                    stock.air = 0.0;
                }
            }),
            Op::Pressurise(v, law) => self.change(v, t, |state| state.law = Some(law)),
            Op::Clean(v, f) => {
                self.change(v, t, |s| s.fine.iter_mut().for_each(|stock| stock.floor *= 1.0 - f))
            }
            Op::Enter(person, room) => {
                let places = &mut self.places[usize::from(person)];
                if places.last().unwrap().room != room {
                    places.push(Place { since: t, order: self.order, room });
                }
            }
            Op::Mark => {}
        }
    }

    /// Pieces (state, from, to) of the time a person was in a room, none of them with a jump
    /// inside.
    fn pieces(&self, person: usize, until: f64) -> Vec<(State, f64, f64)> {
        let places = &self.places[person];
        let mut pieces = Vec::new();
        for (i, place) in places.iter().enumerate() {
            let Some(v) = place.room else { continue };
            let (left, left_order) =
                places.get(i + 1).map_or((self.end, usize::MAX), |next| (next.since, next.order));
            let states = &self.states[usize::from(v)];
            for (k, state) in states.iter().enumerate() {
                let (next, next_order) =
                    states.get(k + 1).map_or((f64::INFINITY, usize::MAX), |s| (s.at, s.order));
                let from = place.since.max(state.at);
                let to = left.min(until).min(next);
                // A state that ended before somebody came, at the same time, was not met by them.
                let met = place.order < next_order && state.order < left_order;
                if met && from <= to {
                    pieces.push((*state, from - state.at, to - state.at));
                }
            }
        }
        pieces
    }

    fn exposure(&self, person: usize, t: f64) -> f64 {
        let part = |(state, from, to): (State, f64, f64)| {
            self.follow(state, to).1 - self.follow(state, from).1
        };
        self.pieces(person, t).into_iter().map(part).sum()
    }

    /// Largest integral of a room over the whole time.
    fn breathed(&self) -> f64 {
        let room = |states: &Vec<State>| {
            let end = State { at: self.end, ..states[0] };
            let nexts = states[1..].iter().chain([&end]);
            states.iter().zip(nexts).map(|(a, b)| self.follow(*a, b.at - a.at).1).sum::<f64>()
        };
        self.states.iter().map(room).fold(0.0, f64::max)
    }

    /// Every window of the definition, one by one.
    fn average(&self, person: usize) -> f64 {
        let places = &self.places[person];
        let mut ends = vec![self.end];
        for (i, place) in places.iter().enumerate() {
            let left = places.get(i + 1).map_or(self.end, |next| next.since);
            ends.push(place.since);
            let jumps = place.room.map_or(&[][..], |v| &self.jumps[usize::from(v)]);
            ends.extend(jumps.iter().filter(|t| place.since <= **t && **t <= left));
        }
        let later: Vec<f64> = ends.iter().map(|t| t + WINDOW).filter(|t| *t <= self.end).collect();
        ends.extend(later);
        let dose = |t: f64| self.exposure(person, t) - self.exposure(person, t - WINDOW);
        ends.into_iter().map(dose).fold(0.0, f64::max) / WINDOW
    }

    /// Peak and time above the limit on a fine grid, each crossing between grid points halved down.
    fn peak_and_over(&self, person: usize) -> (f64, f64) {
        const GRID: usize = 400;
        let (mut peak, mut over) = (0.0_f64, 0.0);
        for (state, from, to) in self.pieces(person, self.end) {
            // Dense at the start of a piece, where the air moves fastest.
            let at = |k: usize| from + (to - from) * (k as f64 / GRID as f64).powi(4);
            for k in 0..GRID {
                let (mut low, mut high) = (at(k), at(k + 1));
                let (one, two) = (self.concentration(state, low), self.concentration(state, high));
                peak = peak.max(one).max(two);
                if (one > LIMIT) == (two > LIMIT) {
                    over += if one > LIMIT { high - low } else { 0.0 };
                    continue;
                }
                let (start, end) = (low, high);
                for _ in 0..50 {
                    let middle = 0.5 * (low + high);
                    let same = (self.concentration(state, middle) > LIMIT) == (one > LIMIT);
                    if same { low = middle } else { high = middle }
                }
                over += if one > LIMIT { low - start } else { end - low };
            }
        }
        (peak, over)
    }
}

/// Worst values of each person. Windows and peaks are kept for all together: those of one are from a play in
/// which nobody else breathes.
fn play(laws: &[RoomLaw], history: &[(f64, Op)], marks: bool) -> Vec<Worst> {
    let all = played(laws, history, marks, |_| true);
    let of = |person: u16| {
        let alone = played(laws, history, marks, |other| other == person);
        Worst { over_limit: all.people[usize::from(person)].over, ..alone.worst().unwrap() }
    };
    (0..PERSONS).map(of).collect()
}

/// Plays a history of those who `breathe` through the product; `marks` says whether its marks are kept.
fn played(
    laws: &[RoomLaw],
    history: &[(f64, Op)],
    marks: bool,
    breathe: impl Fn(u16) -> bool,
) -> Exposure {
    let start = vec![Some(0); usize::from(VOLUMES)];
    let mut rooms = Rooms::new();
    rooms.reset(&RoomTable { laws: laws.to_vec(), start, limit: LIMIT });
    let mut exposure = Exposure::new(usize::from(PERSONS));
    for &(t, op) in history {
        match op {
            Op::Arrive(v, mass, share) => {
                rooms.arrive(v, t, [mass[0], mass[1], 0.0, 0.0], share);
            }
            Op::Exchange(a, b, share) => {
                rooms.exchange(a, b, t, share);
            }
            Op::Track(a, b, share) => {
                rooms.track_in(a, b, t, share);
            }
            Op::Evacuate(v, removed) => {
                rooms.evacuate(v, t, removed);
            }
            Op::Pressurise(v, law) => rooms.pressurise(v, t, law),
            Op::Clean(v, fraction) => {
                rooms.clean_floor(v, t, fraction);
            }
            Op::Enter(person, place) if breathe(person) => {
                exposure.enter(&mut rooms, person, place, t);
            }
            Op::Enter(..) => {}
            Op::Mark if marks => exposure.mark(&mut rooms, t),
            Op::Mark => {}
        }
    }
    let end = history.last().map_or(0.0, |last| last.0);
    exposure.finish(&mut rooms, end);
    exposure
}

proptest! {
    #![proptest_config(config(300))]

    /// Averages agree to 1e-12 of the integrals they are differences of, with and without marks.
    #[test]
    fn windows_are_those_of_the_slow_reference(
        laws in prop::collection::vec(law(), usize::from(LAWS)),
        history in history(150),
    ) {
        let mut slow = Reference::new(laws.clone());
        history.iter().for_each(|(t, op)| slow.act(*op, *t));
        let scale = slow.breathed() / WINDOW;
        for marks in [true, false] {
            let most = (0..usize::from(PERSONS)).map(|i| slow.average(i)).fold(0.0, f64::max);
            let all = played(&laws, &history, marks, |_| true).worst().unwrap();
            prop_assert!((all.average - most).abs() <= 1e-12 * scale, "{all:?} against {most}");
            for (i, fast) in play(&laws, &history, marks).iter().enumerate() {
                let expected = slow.average(i);
                prop_assert!(
                    (fast.average - expected).abs() <= 1e-12 * scale,
                    "person {i}: {} against {expected}, marks {marks}", fast.average
                );
            }
        }
    }

    /// The peak is never below the grid and hardly above; the time above the limit is that of the
    /// grid but for a double crossing within one of its cells.
    #[test]
    fn peaks_and_hours_are_those_of_a_fine_grid(
        laws in prop::collection::vec(law(), usize::from(LAWS)),
        history in history(40),
    ) {
        let mut slow = Reference::new(laws.clone());
        history.iter().for_each(|(t, op)| slow.act(*op, *t));
        let all = played(&laws, &history, true, |_| true).worst().unwrap();
        let most = (0..usize::from(PERSONS)).map(|i| slow.peak_and_over(i).0).fold(0.0, f64::max);
        prop_assert!(all.peak >= most * (1.0 - 1e-12) && all.peak <= most * (1.0 + 1e-3));
        for (i, fast) in play(&laws, &history, true).iter().enumerate() {
            let (peak, over) = slow.peak_and_over(i);
            prop_assert!(fast.peak >= peak * (1.0 - 1e-12), "person {i}: {} < {peak}", fast.peak);
            prop_assert!(fast.peak <= peak * (1.0 + 1e-3), "person {i}: {} > {peak}", fast.peak);
            let allowed = 1e-9 * slow.end + 1e-6;
            prop_assert!(
                (fast.over_limit - over).abs() <= allowed,
                "person {i}: {} s against {over} s", fast.over_limit
            );
        }
    }

    /// What nobody brings in nobody breathes; one arrival less never raises anything.
    #[test]
    fn less_dust_never_exposes_more(
        laws in prop::collection::vec(law(), usize::from(LAWS)),
        history in history(60),
        which in any::<prop::sample::Index>(),
    ) {
        let arrivals: Vec<usize> = (0..history.len())
            .filter(|i| matches!(history[*i].1, Op::Arrive(..)))
            .collect();
        prop_assume!(!arrivals.is_empty());
        let mut fewer = history.clone();
        if let Op::Arrive(_, mass, _) = &mut fewer[*which.get(&arrivals)].1 {
            *mass = [0.0; 2];
        }
        for (with, without) in play(&laws, &history, true).iter().zip(play(&laws, &fewer, true)) {
            prop_assert!(without.average <= with.average * (1.0 + 1e-9) + 1e-25);
            prop_assert!(without.peak <= with.peak * (1.0 + 1e-9) + 1e-25);
            prop_assert!(without.over_limit <= with.over_limit + 1e-6);
        }
    }
}

/// A stay of a day in a constant room: the average is the concentration, and no more than the peak.
#[test]
fn a_day_in_still_dusty_air() {
    let still = Mixed::new(Rates { filter: 0.0, deposit: 0.0, resuspend: 0.0, clean: 0.0 });
    let laws = [RoomLaw::from_bins(50.0, [still, still])];
    let history = [
        (0.0, Op::Enter(0, Some(0))),
        (0.0, Op::Arrive(0, [1e-5, 2e-5], 1.0)),
        (WINDOW, Op::Enter(0, None)),
        (2.0 * WINDOW, Op::Enter(1, Some(0))),
    ];
    let worst = play(&laws, &history, true);
    for value in [worst[0].average, worst[0].peak, worst[1].peak] {
        assert!((value - 6e-7).abs() < 1e-18, "{value}");
    }
    assert_eq!(worst[0].over_limit, WINDOW);
    assert_eq!((worst[1].average, worst[2]), (0.0, Worst::default()));
}
