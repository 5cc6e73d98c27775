//! Dust on suits and through openings (rule 27). What happens in a room is [`crate::campaign::owner::rooms`].

use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{DustPath, Purpose};
use crate::plan::{MAX_CREW, NONE, OUTSIDE, OpeningId, Side, SuitId, VolumeId, Where, each_of};

impl World<'_> {
    /// Tells the exposure where a person breathes: in a room, or in a suit or behind a mask.
    pub(in crate::campaign) fn breathe_here(&mut self, p: usize) {
        let room = match self.places.person[p].at() {
            Where::Volume(v) if v != OUTSIDE && self.places.person[p].suit.is_none() => {
                let volume = &self.arm.volumes[v];
                if volume.mask { NONE } else { volume.room }
            }
            _ => NONE,
        };
        let place = (room != NONE).then_some(room);
        self.dust.exposure.enter(&mut self.dust.rooms, p as u16, place, self.now);
    }

    /// Room of a volume that has gas in it.
    pub(in crate::campaign) fn room(&self, v: VolumeId) -> Option<u16> {
        if v == OUTSIDE || self.places.pressure(v) <= self.vacuum() {
            return None;
        }
        let room = self.arm.volumes[v].room;
        (room != NONE).then_some(room)
    }

    /// Dust arrives in a volume, gas or no gas.
    pub(in crate::campaign) fn arrive(&mut self, v: VolumeId, mass: [f64; 4], path: DustPath) {
        if v == OUTSIDE {
            for (b, m) in mass.iter().enumerate() {
                self.dust.dust_books.outside[b] += m;
            }
            return;
        }
        let room = self.arm.volumes[v].room;
        if room == NONE {
            for (b, m) in mass.iter().enumerate() {
                self.dust.dust_books.stages[b] += m;
            }
            return;
        }
        let airborne = self.numbers.body.dust_airborne;
        self.dust.rooms.arrive(room, self.now, mass, airborne);
        self.book_arrival(v, mass.iter().sum(), path);
    }

    pub(in crate::campaign) fn book_arrival(&mut self, v: VolumeId, kg: f64, path: DustPath) {
        let grams = kg * 1e3;
        if self.arm.volumes[v].cabin {
            self.books.out.facts.add(Fact::DustToCabin, grams);
            self.books.out.breakdown[self.arm.blocks.dust + path as usize] += grams;
        } else {
            self.books.out.facts.add(Fact::DustInLock, grams);
        }
    }

    /// Dust picked up outside by the team: grams of the law, scaled by hours done (rule 27).
    pub(in crate::campaign) fn pick_up_dust(&mut self, k: usize) {
        if self.teams[k].out.dusted || !self.dust_settles_on(k) {
            return;
        }
        self.teams[k].out.dusted = true;
        let host = self.arm.layout.ports[self.teams[k].home_port as usize].element as usize;
        for s in self.dust_of_hours(k).into_iter().flatten() {
            let airborne = self.numbers.body.dust_airborne;
            let d = self.suits.dust(s);
            self.dust.doorsteps[host].comes(self.now, [airborne * d[0], airborne * d[1]]);
        }
    }

    /// The planned end comes while they are outside: what the hours so far have put on their suits.
    pub(in crate::campaign) fn pick_up_dust_so_far(&mut self, k: usize) {
        if !self.teams[k].out.dusted && self.dust_settles_on(k) {
            self.dust_of_hours(k);
        }
    }

    fn dust_settles_on(&self, k: usize) -> bool {
        let t = &self.teams[k];
        t.slot != u32::MAX && (t.books || t.out.done > 0.0)
    }

    /// Dust of the hours outside that are not on the suits yet; gives the suits.
    fn dust_of_hours(&mut self, k: usize) -> [Option<SuitId>; MAX_CREW] {
        let t = &self.teams[k];
        let slot = self.m.slots[t.slot as usize];
        let activity = &self.m.activities[slot.activity as usize];
        let hours = t.out.done - t.out.dusty_for;
        let share = if activity.nominal_hours > 0.0 { hours / activity.nominal_hours } else { 0.0 };
        let members = t.members;
        self.teams[k].out.dusty_for = self.teams[k].out.done;
        let mut suits = [None; MAX_CREW];
        for p in each_of(members) {
            let s = self.places.person[p].suit;
            if s.is_none() {
                continue;
            }
            let (number, role) = (u64::from(slot.number), slot.role(p));
            let kg = activity
                .dust
                .value(&self.v, || self.draw_at(activity.hash, number, Purpose::Dust { role }))
                * share;
            for b in 0..4 {
                let m = kg * self.numbers.body.dust_bins[b];
                self.suits.settles(s, b, m);
                self.dust.dust_books.picked[b] += m;
            }
            suits[p] = Some(s);
        }
        suits
    }

    /// A share of a suit's dust falls off in a volume.
    pub(in crate::campaign) fn shed(&mut self, s: SuitId, v: VolumeId, share: f64, path: DustPath) {
        if let Some(mass) = self.suits.sheds(s, share) {
            self.arrive(v, mass, path);
        }
    }

    /// Air crosses an opening at one pressure.
    pub(in crate::campaign) fn cross(&mut self, o: OpeningId) {
        let [Side::Volume(a), Side::Volume(b)] = self.arm.layout.openings[o].sides else {
            return;
        };
        let (Some(x), Some(y)) = (self.room(a), self.room(b)) else {
            return;
        };
        let share = self.numbers.openings[o].air_share;
        if share <= 0.0 {
            return;
        }
        let c = self.dust.rooms.exchange(x, y, self.now, share);
        let (forth, back) = (c.forth.iter().sum::<f64>(), c.back.iter().sum::<f64>());
        if forth > 0.0 {
            self.book_arrival(b, forth, DustPath::Air);
        }
        if back > 0.0 {
            self.book_arrival(a, back, DustPath::Air);
        }
    }
}
