//! Dust in the air and on the floor of every volume, between events in closed form.
//!
//! The two fine bins float, settle, are filtered and return from the floor; the two coarse ones are
//! on the floor as soon as they arrive. In vacuum nothing moves. Who breathes the air is the matter
//! of [`exposure`](crate::campaign::owner::exposure); this module only keeps, per volume, what persons read there:
//! the exposure integral, the highest concentration and the time above the limit.
//!
//! All times are seconds from campaign start. Every operation first brings its volumes to its time,
//! and panics when that lies before the time of the volume: mass would appear later out of nothing.
//! Operations at one time act in the order they are called. Not here: dust on suits, in stages and
//! outside; they belong to whoever moves persons.

pub(in crate::campaign) use self::room::{Moment, Reading};
use self::room::{Room, VACUUM, concentration, note, watch};
use crate::campaign::owner::room_law::{RoomLaw, RoomTable};
use crate::physics::dust::{BINS, FINE};

mod room;

/// Entries of a volume's log beyond which old ones are looked for and dropped; few in tests, so
/// that their short histories drop some.
const LOG: usize = if cfg!(test) { 3 } else { 128 };

/// Where the dust of one volume came from and went, kg per bin, since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RoomBooks {
    /// From persons, suits and stages.
    pub arrived: [f64; BINS],
    /// From other volumes, less what went to them.
    pub moved: [f64; BINS],
    /// In the filter.
    pub filter: [f64; BINS],
    /// Cleaned from the floor.
    pub cleaned: [f64; BINS],
    /// Gone with evacuated gas.
    pub lost: [f64; BINS],
}

/// One side of the books against the other, kg per bin.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    /// Arrived, and moved in less moved out.
    pub came: [f64; BINS],
    /// In air, on floor, in filter, cleaned and lost.
    pub found: [f64; BINS],
}

/// Fine dust that crossed an opening, kg per bin: from the first volume named, and from the second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Crossed {
    /// First to second.
    pub forth: [f64; FINE],
    /// Second to first.
    pub back: [f64; FINE],
}

/// All volumes of one architecture; reset in place for every campaign.
#[derive(Clone, Debug, Default)]
pub struct Rooms {
    laws: Vec<RoomLaw>,
    limit: f64,
    rooms: Vec<Room>,
    updates: u64,
}

impl Rooms {
    /// No volumes yet: [`reset`](Self::reset) lays them out.
    pub fn new() -> Self {
        Self::default()
    }

    /// Back to the start of a campaign with the laws of `table`: all volumes clean, nobody
    /// anywhere. Keeps its memory, so that nothing is allocated once the largest campaign has been
    /// played.
    pub fn reset(&mut self, table: &RoomTable) {
        let known = |law: &Option<u16>| law.is_none_or(|i| usize::from(i) < table.laws.len());
        assert!(
            table.start.iter().all(known),
            "a volume starts with a law that is not in the table"
        );
        assert!(table.limit > 0.0, "the dust limit must be above zero");
        self.laws.clone_from(&table.laws);
        self.limit = table.limit;
        self.updates = 0;
        self.rooms.resize_with(table.start.len(), || Room::fresh(None, Vec::new()));
        for (room, law) in self.rooms.iter_mut().zip(&table.start) {
            *room = Room::fresh(*law, std::mem::take(&mut room.log));
        }
    }

    /// Brings volume `v` to time `t`, s. Costs next to nothing where it is empty or in vacuum.
    #[inline]
    pub fn advance(&mut self, v: u16, t: f64) {
        let room = &mut self.rooms[usize::from(v)];
        let dt = t - room.at;
        assert!(dt >= 0.0, "volume {v} is at {} s and was asked for {t} s", room.at);
        if dt == 0.0 {
            return;
        }
        room.at = t;
        if !room.still() {
            self.flow(v, dt);
        }
    }

    /// What floats in a volume settles, comes up again, is filtered and breathed for `dt` s.
    #[inline(never)]
    fn flow(&mut self, v: u16, dt: f64) {
        let room = &mut self.rooms[usize::from(v)];
        self.updates += 1;
        let law = &self.laws[usize::from(room.law)];
        let before = room.fine;
        let (fine, airborne) = law.after(&before, dt);
        room.fine = fine;
        for (book, mass) in room.books.filter.iter_mut().zip(law.filtered(airborne)) {
            *book += mass;
        }
        room.breathed += law.per_volume() * (airborne[0] + airborne[1]);
        if room.people != 0 {
            watch(room, law, &before, dt, self.limit);
        }
    }

    /// Dust arrives from outside the books, kg per bin; `airborne` of the fine part goes to the
    /// air, the rest to the floor. In vacuum all of it lies on the floor.
    pub fn arrive(&mut self, v: u16, t: f64, mass: [f64; BINS], airborne: f64) {
        self.advance(v, t);
        let room = &mut self.rooms[usize::from(v)];
        let airborne = if room.law == VACUUM { 0.0 } else { airborne };
        let mut floor = mass;
        for i in 0..FINE {
            room.fine.air[i] += airborne * mass[i];
            floor[i] = (1.0 - airborne) * mass[i];
        }
        room.lay(floor);
        add(&mut room.books.arrived, mass, 1.0);
        self.jumped(v);
    }

    /// Air is exchanged through an opening between two different volumes at equal pressure: `share`
    /// of the airborne stock of either side crosses. Nothing moves where either is in vacuum.
    pub fn exchange(&mut self, a: u16, b: u16, t: f64, share: f64) -> Crossed {
        self.advance(a, t);
        self.advance(b, t);
        let [from, to] = self.pair(a, b);
        let idle = from.air() == [0.0; FINE] && to.air() == [0.0; FINE];
        if idle || from.law == VACUUM || to.law == VACUUM {
            return Crossed::default();
        }
        let crossed = Crossed {
            forth: from.air().map(|mass| share * mass),
            back: to.air().map(|mass| share * mass),
        };
        for i in 0..FINE {
            let net = crossed.forth[i] - crossed.back[i];
            // Written so that a share of 1 or 0 leaves no rounding behind.
            from.fine.air[i] = from.fine.air[i] - crossed.forth[i] + crossed.back[i];
            to.fine.air[i] = to.fine.air[i] - crossed.back[i] + crossed.forth[i];
            from.books.moved[i] -= net;
            to.books.moved[i] += net;
        }
        self.jumped(a);
        self.jumped(b);
        crossed
    }

    /// Boots carry `share` of the floor stock of `from` to the floor of `to`; returns kg per bin.
    pub fn track_in(&mut self, from: u16, to: u16, t: f64, share: f64) -> [f64; BINS] {
        self.advance(from, t);
        self.advance(to, t);
        let [source, target] = self.pair(from, to);
        if source.floor() == [0.0; BINS] {
            return [0.0; BINS];
        }
        let carried = source.lift_floor(share);
        target.lay(carried);
        add(&mut source.books.moved, carried, -1.0);
        add(&mut target.books.moved, carried, 1.0);
        self.jumped(from);
        self.jumped(to);
        carried
    }

    /// The volume is emptied of gas: airborne dust goes with the fraction of gas that was
    /// `removed`, the rest settles, and from now on nothing moves. Returns what went, kg per bin.
    pub fn evacuate(&mut self, v: u16, t: f64, removed: f64) -> [f64; BINS] {
        self.advance(v, t);
        let room = &mut self.rooms[usize::from(v)];
        let mut gone = [0.0; BINS];
        for (i, went) in gone.iter_mut().take(FINE).enumerate() {
            let air = std::mem::take(&mut room.fine.air[i]);
            *went = removed * air;
            room.fine.floor[i] += (1.0 - removed) * air;
        }
        add(&mut room.books.lost, gone, 1.0);
        room.law = VACUUM;
        self.jumped(v);
        gone
    }

    /// A fraction of the gas is `removed` and the rest stays: airborne dust goes with what is removed.
    /// Returns what went, kg per bin.
    pub fn thin(&mut self, v: u16, t: f64, removed: f64) -> [f64; BINS] {
        self.advance(v, t);
        let room = &mut self.rooms[usize::from(v)];
        let mut gone = [0.0; BINS];
        for (i, went) in gone.iter_mut().take(FINE).enumerate() {
            *went = removed * room.fine.air[i];
            room.fine.air[i] -= *went;
        }
        add(&mut room.books.lost, gone, 1.0);
        self.jumped(v);
        gone
    }

    /// The volume is at the pressure of another law from now on. Dust in the air stays there.
    pub fn pressurise(&mut self, v: u16, t: f64, law: u16) {
        assert!(usize::from(law) < self.laws.len(), "there is no law {law}");
        self.advance(v, t);
        self.rooms[usize::from(v)].law = law;
        self.jumped(v);
    }

    /// `fraction` of the floor stock is cleaned away; returns kg per bin.
    pub fn clean_floor(&mut self, v: u16, t: f64, fraction: f64) -> [f64; BINS] {
        self.advance(v, t);
        let room = &mut self.rooms[usize::from(v)];
        let taken = room.lift_floor(fraction);
        add(&mut room.books.cleaned, taken, 1.0);
        self.jumped(v);
        taken
    }

    /// Volumes brought to a later time with dust in them, since the start of the campaign.
    pub fn updates(&self) -> u64 {
        self.updates
    }

    /// Number of volumes.
    pub fn len(&self) -> usize {
        self.rooms.len()
    }

    /// True where no volume was laid out.
    pub fn is_empty(&self) -> bool {
        self.rooms.is_empty()
    }

    /// Time to which volume `v` was last brought, s; the getters below speak of that time.
    pub fn at(&self, v: u16) -> f64 {
        self.room(v).at
    }

    /// Dust in the air, kg per fine bin.
    pub fn air(&self, v: u16) -> [f64; FINE] {
        self.room(v).air()
    }

    /// Dust on the floor and other surfaces, kg per bin.
    pub fn floor(&self, v: u16) -> [f64; BINS] {
        self.room(v).floor()
    }

    /// Concentration below 10 um, kg/m3; 0 in vacuum, where nothing is airborne.
    pub fn concentration(&self, v: u16) -> f64 {
        let room = self.room(v);
        concentration(room, &self.laws)
    }

    /// Integral of the concentration below 10 um since the start, kg s/m3.
    pub fn breathed(&self, v: u16) -> f64 {
        self.room(v).breathed
    }

    /// Where the dust of volume `v` came from and went.
    pub fn books(&self, v: u16) -> &RoomBooks {
        &self.room(v).books
    }

    /// Both sides of the books of volume `v`; they agree but for rounding.
    pub fn balance(&self, v: u16) -> Balance {
        let room = self.room(v);
        let books = &room.books;
        let mut balance = Balance { came: books.arrived, found: room.floor() };
        add(&mut balance.came, books.moved, 1.0);
        for part in [books.filter, books.cleaned, books.lost] {
            add(&mut balance.found, part, 1.0);
        }
        for (found, stock) in balance.found.iter_mut().zip(room.air()) {
            *found += stock;
        }
        balance
    }

    fn room(&self, v: u16) -> &Room {
        &self.rooms[usize::from(v)]
    }

    fn pair(&mut self, a: u16, b: u16) -> [&mut Room; 2] {
        self.rooms
            .get_disjoint_mut([usize::from(a), usize::from(b)])
            .expect("two different volumes of this architecture")
    }

    /// After stocks or the law of a volume changed: persons here meet a new concentration.
    #[inline]
    fn jumped(&mut self, v: u16) {
        let room = &mut self.rooms[usize::from(v)];
        if room.people != 0 {
            room.recent = room.recent.max(concentration(room, &self.laws));
            note(room);
        }
    }
}

/// What [`exposure`](crate::campaign::owner::exposure) reads and tells.
impl Rooms {
    /// Bits of the persons who breathe in volume `v`.
    pub(in crate::campaign) fn people(&self, v: u16) -> u64 {
        self.room(v).people
    }

    /// Sets who breathes in volume `v` from now on.
    pub(in crate::campaign) fn set_people(&mut self, v: u16, people: u64) {
        let room = &mut self.rooms[usize::from(v)];
        let first = room.people == 0;
        room.people = people;
        if first && people != 0 {
            note(room);
        }
    }

    /// Highest concentration since this was last asked; counts from the present one again.
    pub(in crate::campaign) fn take_recent(&mut self, v: u16) -> f64 {
        let room = &mut self.rooms[usize::from(v)];
        let now = concentration(room, &self.laws);
        std::mem::replace(&mut room.recent, now).max(now)
    }

    /// Somebody has met this concentration, here or elsewhere.
    pub(in crate::campaign) fn set_known(&mut self, v: u16, known: f64) {
        self.rooms[usize::from(v)].known = known;
    }

    /// What a person reads who is there now.
    #[inline]
    pub(in crate::campaign) fn reading(&self, v: u16) -> Reading {
        let room = self.room(v);
        let entry = room.dropped + room.log.len().saturating_sub(1);
        Reading { breathed: room.breathed, over: room.over, entry }
    }

    /// Kept part of the log of volume `v` and how many entries were dropped before it.
    #[inline]
    pub(in crate::campaign) fn log(&self, v: u16) -> (&[Moment], usize) {
        let room = self.room(v);
        (&room.log, room.dropped)
    }

    /// Exposure integral of a volume at time `t`, not before `moment` and not after the next one.
    pub(in crate::campaign) fn breathed_after(&self, moment: &Moment, t: f64) -> f64 {
        if moment.law == VACUUM {
            return moment.breathed;
        }
        let law = &self.laws[usize::from(moment.law)];
        let (_, airborne) = law.after(&moment.fine, t - moment.at);
        moment.breathed + law.per_volume() * (airborne[0] + airborne[1])
    }

    /// Drops log entries that end at or before `cut`, where a log has grown long.
    pub(in crate::campaign) fn trim(&mut self, cut: f64) {
        for room in self.rooms.iter_mut().filter(|room| room.log.len() > LOG) {
            let old = room.log.partition_point(|moment| moment.at < cut).saturating_sub(1);
            room.log.drain(..old);
            room.dropped += old;
        }
    }
}

fn add(to: &mut [f64; BINS], mass: [f64; BINS], sign: f64) {
    for (to, mass) in to.iter_mut().zip(mass) {
        *to += sign * mass;
    }
}

#[cfg(test)]
mod tests;
