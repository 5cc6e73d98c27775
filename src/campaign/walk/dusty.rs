//! Dust on suits and through openings (rule 27). What happens in a room is [`crate::campaign::owner::rooms`].

use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{DustPath, Purpose};
use crate::physics::gas::GasMass;
use crate::plan::{Crew, MAX_CREW, NONE, OUTSIDE, On, Row, Side, Where, each_of, ends};
use crate::scenario::{Action, Each, StageKind};

impl World<'_> {
    /// Tells the exposure where a person breathes: in a room, or in a suit or behind a mask.
    pub(in crate::campaign) fn breathe_here(&mut self, p: usize) {
        let room = match self.places.person[p].at {
            Where::Volume(v) if v != OUTSIDE && self.places.person[p].suit == NONE => {
                let volume = &self.arm.volumes[v as usize];
                if volume.mask { NONE } else { volume.room }
            }
            _ => NONE,
        };
        let place = (room != NONE).then_some(room);
        self.dust.exposure.enter(&mut self.dust.rooms, p as u16, place, self.now);
    }

    /// Room of a volume that has gas in it.
    fn room(&self, v: u16) -> Option<u16> {
        if v == OUTSIDE || self.places.pressure[v as usize] <= self.vacuum() {
            return None;
        }
        let room = self.arm.volumes[v as usize].room;
        (room != NONE).then_some(room)
    }

    /// Dust arrives in a volume, gas or no gas.
    fn arrive(&mut self, v: u16, mass: [f64; 4], path: DustPath) {
        if v == OUTSIDE {
            for (b, m) in mass.iter().enumerate() {
                self.dust.dust_books.outside[b] += m;
            }
            return;
        }
        let room = self.arm.volumes[v as usize].room;
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

    fn book_arrival(&mut self, v: u16, kg: f64, path: DustPath) {
        let grams = kg * 1e3;
        if self.arm.volumes[v as usize].cabin {
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
            let d = self.suits.dust(usize::from(s));
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
    fn dust_of_hours(&mut self, k: usize) -> [Option<u16>; MAX_CREW] {
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
            if s == NONE {
                continue;
            }
            let (number, role) = (u64::from(slot.number), slot.role(p));
            let kg = activity
                .dust
                .value(&self.v, || self.draw_at(activity.hash, number, Purpose::Dust { role }))
                * share;
            for b in 0..4 {
                let m = kg * self.numbers.body.dust_bins[b];
                self.suits.settles(usize::from(s), b, m);
                self.dust.dust_books.picked[b] += m;
            }
            suits[p] = Some(s);
        }
        suits
    }

    /// A stage removes a share per bin; what it removes outside is gone, inside it is held.
    pub(in crate::campaign) fn dust_of_stage(&mut self, k: usize, row: &Row, who: Crew) {
        let On::Stage(s) = row.on else { return };
        let stage = &self.arm.layout.stages[s as usize];
        let play = self.numbers.stages[s as usize];
        if stage.kind != StageKind::Cleaning || self.faults.stage_lost(s as usize).is_some() {
            return;
        }
        let skipped = matches!(row.incapacitated, Some(crate::scenario::Incapacitated::Skip));
        if skipped && who & self.people.hurt != 0 && row.each == Each::Team {
            return; // done once for all, it is skipped for all, as its time is
        }
        let clean = if skipped { who & !self.people.hurt } else { who };
        for p in each_of(clean) {
            let suit = self.places.person[p].suit;
            if suit == NONE {
                continue;
            }
            let mut missed = [0.0; 4];
            for (b, missed) in missed.iter_mut().enumerate() {
                let removed = self.suits.cleaned(usize::from(suit), b, play.removes[b]);
                if stage.within == OUTSIDE {
                    self.dust.dust_books.outside[b] += removed;
                } else {
                    let held = removed * play.captures[b];
                    self.dust.dust_books.stages[b] += held;
                    *missed = removed - held;
                }
            }
            if missed != [0.0; 4] {
                self.arrive(stage.within, missed, DustPath::Stage);
            }
        }
        self.stage_costs(k, s as usize, clean.count_ones());
    }

    /// Gas of the host cabin that a stage uses up, kg.
    pub(in crate::campaign) fn stage_gas(&self, k: usize, s: usize, uses: u32) -> GasMass {
        let (row, tries) = (self.teams[k].leg.row as u16, self.teams[k].leg.tries);
        let (path, occasion) = self.row_address(k);
        let one = |rank: u32| {
            let what = Purpose::StageGas { row, tries, rank: rank as u8 };
            self.arm.stages[s].gas.value(&self.v, || self.draw_at(path, occasion, what))
        };
        let gas: f64 = (0..uses).map(one).sum();
        self.air.gas.split(self.host_cabin(k), gas)
    }

    fn stage_costs(&mut self, k: usize, s: usize, uses: u32) {
        let lost = self.stage_gas(k, s, uses);
        let (row, tries) = (self.teams[k].leg.row as u16, self.teams[k].leg.tries);
        let (path, occasion) = self.row_address(k);
        let what = Purpose::StageUpkeep { row, tries };
        let upkeep =
            self.arm.stages[s].upkeep.value(&self.v, || self.draw_at(path, occasion, what));
        if lost != GasMass::NONE {
            let cabin = self.host_cabin(k);
            let e = self.entry(k);
            self.air.gas.draw(cabin, lost);
            self.air.gas.lose(crate::model::GasCause::Stage, lost, e);
        }
        if upkeep > 0.0 {
            self.upkeep(crate::model::UpkeepCause::Stage, upkeep);
        }
    }

    /// Doffing sheds a share into the volume where it happens.
    pub(in crate::campaign) fn dust_of_doff(&mut self, row: &Row, who: Crew) {
        for p in each_of(who) {
            let s = self.places.person[p].suit;
            if s == NONE {
                continue;
            }
            let v = match self.places.person[p].at {
                Where::Volume(v) => v,
                // Through the back: the suit stays outside; its interface has passed its share.
                Where::Berth(_) => continue,
                Where::Gone => continue,
            };
            let _ = row;
            let share = self.numbers.suits[s as usize].doff_sheds;
            self.shed(s as usize, v, share, DustPath::Doff);
        }
    }

    /// A share of a suit's dust falls off in a volume.
    pub(in crate::campaign) fn shed(&mut self, s: usize, v: u16, share: f64, path: DustPath) {
        if let Some(mass) = self.suits.sheds(s, share) {
            self.arrive(v, mass, path);
        }
    }

    /// A suit's back that opens inward passes the interface's share; at a closing air crosses, and a dirty
    /// one leaves dust on the seal.
    pub(in crate::campaign) fn dust_of_swing(
        &mut self,
        k: usize,
        row: &Row,
        who: Crew,
        opens: bool,
    ) {
        let On::Opening(base, n) = row.on else { return };
        let arm = self.arm;
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let o = self.places.opening_for(&arm.layout, base, n, p) as usize;
            if self.places.opening[o].open == opens {
                continue;
            }
            let hatch = arm.openings[o].suit_hatch_of;
            if opens && hatch != NONE {
                self.dust_of_back(hatch);
                continue;
            }
            if !opens {
                self.cross(o);
                self.dirty_seal(k, o);
            }
        }
    }

    /// The back of a suit opens: its interface's share of the suit's load falls into the cabin side.
    fn dust_of_back(&mut self, berth: u16) {
        let b = self.arm.layout.berths[berth as usize];
        let Some(s) = self.places.suit_at(berth) else {
            return;
        };
        self.settle_parked(s);
        let share = self.numbers.openings[b.interface as usize].dust_share;
        self.shed(s, b.cabin, share, DustPath::Interface);
    }

    /// Air crosses an opening at one pressure.
    fn cross(&mut self, o: usize) {
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

    /// Each pass: air crosses; inward, dust of the outer floor is tracked in.
    pub(in crate::campaign) fn dust_of_pass(&mut self, row: &Row, who: Crew) {
        let On::Opening(base, n) = row.on else { return };
        let arm = self.arm;
        for p in each_of(who) {
            let o = self.places.opening_for(&arm.layout, base, n, p) as usize;
            self.cross(o);
            let Some((near, far)) = ends(&arm.layout, o as u16, row.direction) else {
                continue;
            };
            let inward = row.direction == crate::plan::Direction::Inward;
            let share = self.numbers.openings[o].floor_share;
            if !inward || share <= 0.0 {
                continue;
            }
            let (Some(x), Some(y)) = (self.room(near), self.room(far)) else {
                continue;
            };
            let tracked = self.dust.rooms.track_in(x, y, self.now, share);
            self.book_arrival(far, tracked.iter().sum(), DustPath::Tracked);
        }
    }

    /// Evacuating takes airborne dust out with the gas; the rest settles.
    pub(in crate::campaign) fn dust_of_vent(&mut self, row: &Row, who: Crew) {
        if row.on == On::Suit || !matches!(row.action, Action::Depress | Action::Vent) {
            return;
        }
        let l = &self.arm.layout;
        let (vols, n) = self.places.row_volumes(l, row, who);
        for v in &vols[..n] {
            let room = self.arm.volumes[*v as usize].room;
            let from = self.places.pressure[*v as usize];
            let to = self.arm.layout.level(row, *v);
            if room == NONE || from <= to {
                continue;
            }
            let share = 1.0 - to / from;
            let lost = if to <= self.vacuum() {
                self.dust.rooms.evacuate(room, self.now, share)
            } else {
                self.dust.rooms.thin(room, self.now, share)
            };
            for (b, m) in lost.iter().enumerate() {
                self.dust.dust_books.outside[b] += m;
            }
        }
    }

    /// A volume is filled again: its air moves dust from now on.
    pub(in crate::campaign) fn dust_of_fill(&mut self, v: usize) {
        let room = self.arm.volumes[v].room;
        if room != NONE {
            let law = self.law_of_room(room);
            self.dust.rooms.pressurise(room, self.now, law);
        }
    }
}
