//! The start of a campaign: everything back to rest, first things on the calendar.

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Crewmate;
use crate::campaign::owner::room_law::{RoomConditions, RoomLaw};
use crate::campaign::owner::team::Team;
use crate::campaign::world::{DustBooks, World};
use crate::measure::Fact;
use crate::physics::dust::{Air, Grain};
use crate::physics::gas::{self, GasMass};
use crate::plan::{Crew, NONE, SuitId, VolumeId, Where};

impl World<'_> {
    pub(in crate::campaign) fn begin(&mut self, index: u64, values: &[f64]) {
        self.draws.campaign = index;
        self.v.clear();
        self.v.extend_from_slice(values);
        self.numbers.realise(self.m, self.arm, values);
        self.now = 0.0;
        self.calendar.clear();
        self.places.clone_from(&self.rest);
        self.people.hurt = 0;
        self.people.on_clock = 0;
        self.people.turned = Crew::MAX;
        self.people.in_chambers = false;
        self.people.gone = 0;
        self.teams.iter_mut().for_each(Team::clear);
        self.ports.clear();
        self.course.ending = None;
        self.course.horizon_passed = false;
        self.books.books_closed = false;
        self.books.out.clear();
        self.books.out.facts.value[Fact::Margin as usize] = f64::INFINITY;
        self.books.out.facts.value[Fact::MarginContingency as usize] = f64::INFINITY;
        self.course.last_slot = None;
        self.begin_people();
        self.begin_gas();
        self.begin_dust();
        self.begin_things();
        self.begin_parts();
        self.begin_without();
        self.feeding_changed();
        self.begin_calendar();
        self.watch_stores();
        self.refresh_parked();
    }

    pub(in crate::campaign) fn begin_people(&mut self) {
        let l = &self.arm.layout;
        for p in 0..l.crew {
            let home = l.homes[p];
            let cabin = l.elements[home as usize].cabin;
            let volume = &l.volumes[cabin];
            let n2 = crate::physics::prebreathe::breathed_nitrogen(volume.rest, volume.oxygen);
            self.people.crew[p] = Crewmate::fresh(home, n2);
            self.places.stand(p, Where::Volume(cabin));
        }
        self.people.ill_count = [0; crate::plan::MAX_CREW];
    }

    pub(in crate::campaign) fn begin_gas(&mut self) {
        self.air.gas.reset(self.m, self.arm, &self.numbers.volumes, &self.v);
        self.air.leaks.reset(self.arm, self.places.pressures(), &self.v);
        self.air.parked.clear();
        self.air.seals.clear();
        for v in self.arm.layout.volumes.ids().skip(1) {
            self.air.gas.note_content(v, self.content_now(v));
        }
        for s in self.arm.layout.suits.ids() {
            self.air.gas.suit_holds(s, self.suit_at_rest(s));
        }
        self.air.gas.open();
    }

    /// A suit that hangs at a berth is full of cabin gas; a stowed one is not in the books.
    pub(in crate::campaign) fn suit_at_rest(&self, s: SuitId) -> GasMass {
        let suit = &self.arm.layout.suits[s];
        let crate::plan::Kept::Berth(b) = suit.home else {
            return GasMass::NONE;
        };
        let cabin = self.arm.layout.berths[b].cabin;
        let volume = self.numbers.suits[s].gas_volume;
        let t = self.air.gas.temperature(cabin);
        gas::content(self.places.suit[s].pressure(), volume, self.air.gas.mix(cabin), t)
    }

    /// Free gas volume of a volume with the persons now in it, m3.
    pub(in crate::campaign) fn free_volume(&self, v: VolumeId) -> f64 {
        self.air.gas.room(v, self.displacing(v))
    }

    /// How many persons are in a volume, where that matters to its gas.
    fn displacing(&self, v: VolumeId) -> u32 {
        match self.air.gas.displaced_in(v) {
            true => self.places.persons_in(v).count_ones(),
            false => 0,
        }
    }

    /// Gas in a volume as it stands, kg.
    pub(in crate::campaign) fn content_now(&self, v: VolumeId) -> f64 {
        let p = self.places.pressure(v);
        if p <= 0.0 { 0.0 } else { self.air.gas.content_at(v, p, self.displacing(v)) }
    }

    pub(in crate::campaign) fn begin_dust(&mut self) {
        self.dust.room_table.laws.clear();
        self.dust.room_table.start.clear();
        for v in self.arm.layout.volumes.ids().skip(1) {
            let play = &self.arm.volumes[v];
            if play.room == NONE {
                continue;
            }
            let law = self.room_law(v, 1.0);
            self.dust.room_table.laws.push(law);
            let full = self.places.pressure(v) > self.arm.layout.ambient + crate::plan::ACROSS;
            self.dust.room_table.start.push(if full { Some(play.room) } else { None });
        }
        self.begin_filters();
        self.dust.rooms.reset(&self.dust.room_table);
        self.dust.exposure.reset();
        for p in 0..self.arm.layout.crew {
            self.breathe_here(p);
        }
        self.dust.dust_books = DustBooks::default();
        for e in 0..self.dust.doorsteps.len() {
            let room = self.arm.volumes[self.arm.layout.elements[e].cabin].room;
            let bins = self.dust.room_table.laws[room as usize].bins();
            let rate = [0, 1].map(|i| bins[i].rates().filter + bins[i].rates().deposit);
            self.dust.doorsteps[e].reset(rate);
        }
    }

    /// Law of a volume at its pressure; `filters` scales what its filter takes.
    pub(in crate::campaign) fn room_law(&self, v: VolumeId, filters: f64) -> RoomLaw {
        let play = &self.arm.volumes[v];
        let value = |p: crate::model::P| p.of(&self.v);
        let rest = self.arm.layout.volumes[v].rest;
        let cabin = self.arm.layout.elements[self.arm.layout.volumes[v].element as usize].cabin;
        let pressure = if rest > self.arm.layout.ambient + crate::plan::ACROSS {
            rest
        } else {
            self.arm.layout.volumes[cabin].rest
        };
        RoomLaw::new(&RoomConditions {
            volume: value(play.gas),
            height: value(play.height),
            deposition: value(play.deposition),
            filter_flow: value(play.filter_flow) * filters,
            filter_efficiency: value(play.filter_efficiency),
            resuspension: value(play.resuspension),
            gravity: value(self.m.body.gravity),
            grain: Grain {
                density: value(self.m.body.dust_density),
                shape: value(self.m.body.dust_shape),
            },
            air: Air { temperature: value(play.temperature), pressure },
        })
    }

    pub(in crate::campaign) fn begin_things(&mut self) {
        self.jobs.clear(self.m.spares.iter().map(|s| s.1));
        self.sky.clear();
        self.suits.clear();
        self.people.outings.reset();
        self.draws.drawn.clear();
        self.rovers.clear(self.numbers.elements.iter().map(|e| e.distance));
    }

    pub(in crate::campaign) fn begin_calendar(&mut self) {
        self.plan(self.m.horizon, Event::End);
        if !self.m.slots.is_empty() {
            self.plan(self.m.slots[0].time, Event::Slot(0));
        }
        if !self.m.traverses.is_empty() {
            self.plan(self.m.traverses[0].depart, Event::Depart(0));
        }
        self.begin_weather();
        if let Some(every) = self.numbers.rules.inspection_every {
            self.plan(every, Event::Inspect);
        }
        for mode in 0..self.arm.modes.len() {
            self.plan_replacement(mode);
        }
        for e in 0..self.arm.elements.len() {
            if let Some(every) = self.numbers.elements[e].cleaning_every {
                self.plan(every, Event::Clean(e as u16));
            }
        }
        for v in self.arm.volumes.ids().skip(1) {
            if let Some((every, ..)) = &self.arm.volumes[v].cleaning {
                self.plan(every.of(&self.v), Event::CleanVolume(v));
            }
        }
        self.plan_filters();
    }
}
