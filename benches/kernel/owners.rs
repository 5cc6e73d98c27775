//! The owners of the product that effects act on, of one architecture.

use crate::script::{Script, home};
use vestibule::base::calendar::Calendar;
use vestibule::base::ids::Table;
use vestibule::base::stream::{Kept, fnv1a64};
use vestibule::campaign::owner::doorstep::Doorstep;
use vestibule::campaign::owner::exposure::Exposure;
use vestibule::campaign::owner::gas::GasBooks;
use vestibule::campaign::owner::leaks::Leaks;
use vestibule::campaign::owner::parts::Parts;
use vestibule::campaign::owner::person::Crewmate;
use vestibule::campaign::owner::room_law::{RoomConditions, RoomLaw, RoomTable};
use vestibule::campaign::owner::rooms::Rooms;
use vestibule::campaign::owner::seals::Seals;
use vestibule::campaign::owner::suits::Suits;
use vestibule::model::{Arm, LEG_DRAWS, Model, P, Purpose};
use vestibule::numbers::Numbers;
use vestibule::physics::dust::{Air, Grain};
use vestibule::physics::prebreathe::breathed_nitrogen;
use vestibule::plan::{ACROSS, NONE, Places, VolumeId};

/// Events that are pending at any time.
const PENDING: u32 = 8;

/// Everything that effects act on, and what they are.
pub struct Owners<'m> {
    pub model: &'m Model,
    pub arm: &'m Arm,
    /// Of what is drawn by itself.
    pub path: u64,
    pub script: Script,
    pub values: Vec<f64>,
    pub numbers: Numbers,
    pub rest: Table<VolumeId, f64>,
    pub pressure: Table<VolumeId, f64>,
    pub calendar: Calendar<u32>,
    pub uniforms: [f64; LEG_DRAWS],
    pub parts: Parts,
    pub gas: GasBooks,
    pub leaks: Leaks,
    pub seals: Seals,
    pub suits: Suits,
    pub table: RoomTable,
    pub rooms: Rooms,
    pub exposure: Exposure,
    pub doors: Vec<Doorstep>,
    pub people: Vec<Crewmate>,
    /// Dust that is on nobody's floor, kg per bin.
    pub outside: [f64; 4],
    /// What effects give and nobody else keeps, so that none is left out by the compiler.
    pub sum: f64,
    /// Volume updates of all campaigns.
    pub updates: u64,
}

impl<'m> Owners<'m> {
    /// Everything allocated.
    pub fn new(model: &'m Model, arm: &'m Arm, script: Script) -> Owners<'m> {
        let l = &arm.layout;
        let rest = Places::rest(l).pressures().clone();
        Owners {
            model,
            arm,
            path: fnv1a64(&arm.name),
            script,
            values: Vec::new(),
            numbers: Numbers::default(),
            pressure: rest.clone(),
            rest,
            calendar: Calendar::new(64),
            uniforms: [0.5; LEG_DRAWS],
            parts: Parts::new(arm.part_modes.len(), arm.groups.len()),
            gas: GasBooks::new(model, arm),
            leaks: Leaks::new(l, model.stores.len()),
            seals: Seals::new(l.openings.len()),
            suits: Suits::new(l.suits.len()),
            table: RoomTable { limit: model.body.dust_limit, ..RoomTable::default() },
            rooms: Rooms::new(),
            exposure: Exposure::new(l.crew),
            doors: vec![Doorstep::default(); l.elements.len()],
            people: vec![Crewmate::fresh(0, 0.0); l.crew],
            outside: [0.0; 4],
            sum: 0.0,
            updates: 0,
        }
    }

    /// The start of a campaign, as the engine does it.
    pub fn begin(&mut self, campaign: u64, values: &[f64], kept: &Kept) {
        self.values.clear();
        self.values.extend_from_slice(values);
        self.numbers.realise(self.model, self.arm, values);
        self.pressure.copy_from_slice(&self.rest);
        self.calendar.clear();
        for i in 0..PENDING {
            self.calendar.schedule(f64::from(i) * 1e4, 0, i);
        }
        self.begin_gas();
        self.begin_dust();
        self.begin_parts(campaign, kept);
    }

    fn begin_gas(&mut self) {
        self.gas.reset(self.model, self.arm, &self.numbers.volumes, &self.values);
        self.leaks.reset(self.arm, &self.pressure, &self.values);
        self.seals.clear();
        self.suits.clear();
        for v in self.pressure.ids().skip(1) {
            let content = self.gas.content_at(v, self.pressure[v], 0);
            self.gas.note_content(v, content);
        }
        self.gas.open();
    }

    fn begin_dust(&mut self) {
        let l = &self.arm.layout;
        self.table.laws.clear();
        self.table.start.clear();
        for v in l.volumes.ids().skip(1) {
            let room = self.arm.volumes[v].room;
            if room != NONE {
                self.table.laws.push(self.room_law(v));
                let full = self.pressure[v] > l.ambient + ACROSS;
                self.table.start.push(full.then_some(room));
            }
        }
        self.rooms.reset(&self.table);
        self.exposure.reset();
        self.outside = [0.0; 4];
        for p in 0..l.crew {
            let cabin = l.elements[usize::from(l.homes[p])].cabin;
            let volume = &l.volumes[cabin];
            let n2 = breathed_nitrogen(volume.rest, volume.oxygen);
            self.people[p] = Crewmate::fresh(l.homes[p], n2);
            self.exposure.enter(&mut self.rooms, p as u16, Some(home(self.arm, p)), 0.0);
        }
        for (door, element) in self.doors.iter_mut().zip(&l.elements) {
            let room = self.arm.volumes[element.cabin].room;
            let bins = self.table.laws[usize::from(room)].bins();
            door.reset([0, 1].map(|i| bins[i].rates().filter + bins[i].rates().deposit));
        }
    }

    fn room_law(&self, v: VolumeId) -> RoomLaw {
        let (play, body) = (&self.arm.volumes[v], &self.model.body);
        let l = &self.arm.layout;
        let value = |p: P| p.of(&self.values);
        let cabin = l.elements[usize::from(l.volumes[v].element)].cabin;
        let rest = |v: VolumeId| l.volumes[v].rest;
        let full = rest(v) > l.ambient + ACROSS;
        RoomLaw::new(&RoomConditions {
            volume: value(play.gas),
            height: value(play.height),
            deposition: value(play.deposition),
            filter_flow: value(play.filter_flow),
            filter_efficiency: value(play.filter_efficiency),
            resuspension: value(play.resuspension),
            gravity: value(body.gravity),
            grain: Grain { density: value(body.dust_density), shape: value(body.dust_shape) },
            air: Air {
                temperature: value(play.temperature),
                pressure: if full { rest(v) } else { rest(cabin) },
            },
        })
    }

    /// Thresholds; ten times as far as drawn, so that nearly nothing strikes: what would follow is
    /// not played.
    fn begin_parts(&mut self, campaign: u64, kept: &Kept) {
        self.parts.reset();
        for (pm, part) in self.arm.part_modes.iter().enumerate() {
            let u = Purpose::Life.draw_kept(kept, campaign, part.hash, 0);
            self.parts.set_left(pm, -10.0 * u.ln());
        }
        for (g, group) in self.arm.groups.iter().enumerate() {
            let u = Purpose::Group.draw_kept(kept, campaign, group.hash, 0);
            self.parts.set_group(g, -10.0 * u.ln());
        }
    }

    /// The end of a campaign: what stands open is closed, and something read of everybody.
    pub fn finish(&mut self, now: f64) -> f64 {
        self.leaks.book_all(&mut self.gas, now);
        self.exposure.finish(&mut self.rooms, now);
        for room in 0..self.rooms.len() {
            self.rooms.advance(room as u16, now);
        }
        self.updates += self.rooms.updates();
        let doors: f64 = self.doors.iter_mut().map(Doorstep::worst).sum();
        let worst = self.exposure.worst().map_or(0.0, |w| w.average + w.peak + w.over_limit);
        self.sum + doors + worst + self.gas.lost_total().total()
    }
}
