//! One volume: its stocks, what persons read there, and its log.

use super::RoomBooks;
use crate::campaign::owner::room_law::{Fine, RoomLaw};
use crate::physics::dust::{BINS, FINE};

/// Law index of a volume in vacuum.
pub(super) const VACUUM: u16 = u16::MAX;

/// A moment of a volume with its stocks: what follows until the next one is known in closed form.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Moment {
    pub(in crate::campaign) at: f64,
    /// Integral of the fine concentration since the start, kg s/m3.
    pub(in crate::campaign) breathed: f64,
    pub(super) fine: Fine,
    pub(super) law: u16,
}

/// What persons read of the volume they are in, since the start of the campaign.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Reading {
    /// Integral of the fine concentration, kg s/m3.
    pub(in crate::campaign) breathed: f64,
    /// Time above the limit while somebody was here, s.
    pub(in crate::campaign) over: f64,
    /// Entry of the log in force, counted from the first ever made.
    pub(in crate::campaign) entry: usize,
}

/// One volume.
#[derive(Clone, Debug)]
pub(super) struct Room {
    pub(super) at: f64,
    pub(super) law: u16,
    pub(super) fine: Fine,
    pub(super) coarse: [f64; BINS - FINE],
    pub(super) breathed: f64,
    /// Bits of the persons who breathe here.
    pub(super) people: u64,
    /// Highest concentration since the persons here were last told, kg/m3.
    pub(super) recent: f64,
    /// Somebody has met this, kg/m3, when people came in last: rises below it need no search.
    pub(super) known: f64,
    pub(super) over: f64,
    pub(super) books: RoomBooks,
    /// Jumps while somebody was here.
    pub(super) log: Vec<Moment>,
    /// Entries dropped before the first one of the log.
    pub(super) dropped: usize,
}

impl Room {
    /// An empty volume that keeps an old log's memory.
    pub(super) fn fresh(law: Option<u16>, mut log: Vec<Moment>) -> Self {
        log.clear();
        Self {
            at: 0.0,
            law: law.unwrap_or(VACUUM),
            fine: Default::default(),
            coarse: Default::default(),
            breathed: 0.0,
            people: 0,
            recent: 0.0,
            known: 0.0,
            over: 0.0,
            books: RoomBooks::default(),
            log,
            dropped: 0,
        }
    }

    /// Nothing can change here by itself.
    #[inline]
    pub(super) fn still(&self) -> bool {
        self.law == VACUUM || self.fine.is_none()
    }

    pub(super) fn floor(&self) -> [f64; BINS] {
        [self.fine.floor[0], self.fine.floor[1], self.coarse[0], self.coarse[1]]
    }

    pub(super) fn air(&self) -> [f64; FINE] {
        self.fine.air
    }

    /// Takes a share of what lies on the floor; returns it.
    pub(super) fn lift_floor(&mut self, share: f64) -> [f64; BINS] {
        let taken = self.floor().map(|mass| share * mass);
        self.lay(taken.map(|mass| -mass));
        taken
    }

    /// Adds to the floor.
    pub(super) fn lay(&mut self, mass: [f64; BINS]) {
        for (stock, mass) in self.fine.floor.iter_mut().zip(mass) {
            *stock += mass;
        }
        for (stock, mass) in self.coarse.iter_mut().zip(&mass[FINE..]) {
            *stock += mass;
        }
    }
}

/// Writes the present moment to the log; a second jump at one time replaces the first.
pub(super) fn note(room: &mut Room) {
    let moment = Moment { at: room.at, breathed: room.breathed, fine: room.fine, law: room.law };
    match room.log.last_mut() {
        Some(last) if last.at == room.at => *last = moment,
        _ => room.log.push(moment),
    }
}

pub(super) fn concentration(room: &Room, laws: &[RoomLaw]) -> f64 {
    match room.law {
        VACUUM => 0.0,
        law => laws[usize::from(law)].per_volume() * (room.fine.air[0] + room.fine.air[1]),
    }
}

/// Highest concentration and time above the limit over the `dt` s since `before`, for those here.
///
/// Bounds first: each bin is at least the lower of its ends and at most what its floor can give.
/// Nearly always they settle both questions without a search.
#[inline]
pub(super) fn watch(room: &mut Room, law: &RoomLaw, before: &Fine, dt: f64, limit: f64) {
    let most = law.most(before);
    if most > limit.min(room.recent.max(room.known)) {
        look_closer(room, law, before, dt, limit, most);
    }
}

/// The part of [`watch`] that is seldom needed.
fn look_closer(room: &mut Room, law: &RoomLaw, before: &Fine, dt: f64, limit: f64, most: f64) {
    let curve = law.curve(before);
    if most > room.recent.max(room.known) && !curve.only_falls() {
        room.recent = room.recent.max(curve.peak(dt));
    }
    let ends = before.air.iter().zip(&room.fine.air);
    let least = law.per_volume() * ends.map(|(start, end)| start.min(*end)).sum::<f64>();
    if least > limit {
        room.over += dt;
    } else if most > limit {
        room.over += curve.time_above(limit, dt);
    }
}
