//! Gas books (rule 25): what is in each volume and suit, what the stores hold, what went outside by
//! port, cause and species.

use crate::base::ids::Table;
use crate::model::{Arm, GAS_CAUSES, GasCause, Model};
use crate::numbers::Volume;
use crate::physics::gas::{self, GasMass, Mix};
use crate::plan::{OUTSIDE, SuitId, VolumeId};

/// Where the difference of a volume's content goes or comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fate {
    /// To or from the store.
    Transfer,
    /// Outside.
    Lost(GasCause),
    /// Outside: share that a lost pump should have moved.
    Vented(f64),
    /// Through the pump: share recovered.
    Pumped(f64),
}

/// A volume in the numbers of one parameter set, and what it holds.
#[derive(Clone, Copy, Debug)]
struct Space {
    mix: Mix,
    /// Mass share of oxygen.
    share: f64,
    numbers: Volume,
    /// Its store; [`NONE`](crate::plan::NONE) if none.
    store: u16,
    /// Gas in it, kg.
    content: f64,
    /// Its pressure when a store ran dry last, Pa.
    held: f64,
}

/// A store.
#[derive(Clone, Copy, Debug)]
struct Store {
    gas: GasMass,
    /// Cooling water, kg: infinite where none is given; below zero what suits still lack of their last
    /// filling.
    water: f64,
    /// It holds nothing any more.
    dry: bool,
    /// When somebody will look whether it has run dry, s.
    looked_at: f64,
}

/// Books of one campaign.
#[derive(Clone, Debug)]
pub struct GasBooks {
    spaces: Table<VolumeId, Space>,
    stores: Vec<Store>,
    /// What is in suits by rows (`repress suit`, purge), kg.
    suits: Table<SuitId, GasMass>,
    /// Lost by port (last: elsewhere) and cause.
    lost: Vec<[GasMass; GAS_CAUSES.len()]>,
    /// Breathed in suits, kg O2.
    breathed: f64,
    /// Losses of planned cycles, kg.
    planned: f64,
    /// Vented and suit terms by port (last: elsewhere).
    vented: Vec<Vented>,
    /// All there was at the start, and what came since.
    start: GasMass,
    came: GasMass,
}

/// What went outside by venting and from suits, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vented {
    /// All of it.
    pub all: f64,
    /// In planned cycles.
    pub planned: f64,
    /// Of all, what left through the filter of a pump or valve.
    pub filtered: f64,
    /// Of the planned cycles, the same.
    pub filtered_planned: f64,
}

/// How a loss is booked.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Port; [`NONE`](crate::plan::NONE): elsewhere.
    pub port: u16,
    /// Contingency: booked under ways back.
    pub contingency: bool,
    /// A planned cycle.
    pub planned: bool,
}

impl GasBooks {
    /// Books of an architecture, still empty.
    pub fn new(m: &Model, arm: &Arm) -> Self {
        let l = &arm.layout;
        GasBooks {
            spaces: Table::default(),
            stores: Vec::with_capacity(m.stores.len()),
            suits: vec![GasMass::NONE; l.suits.len()].into(),
            lost: vec![Default::default(); l.ports.len() + 1],
            breathed: 0.0,
            planned: 0.0,
            vented: vec![Vented::default(); l.ports.len() + 1],
            start: GasMass::NONE,
            came: GasMass::NONE,
        }
    }

    /// New books with full stores, in the numbers of a parameter set. Nothing is in volumes and suits yet.
    pub fn reset(&mut self, m: &Model, arm: &Arm, numbers: &Table<VolumeId, Volume>, v: &[f64]) {
        let places = arm.layout.volumes.iter().zip(&arm.volumes).zip(numbers);
        self.spaces.refill(places.map(|((place, play), numbers)| {
            let mix = Mix { oxygen: place.oxygen };
            Space {
                mix,
                share: mix.oxygen_share(),
                numbers: *numbers,
                store: play.store,
                content: 0.0,
                held: 0.0,
            }
        }));
        self.stores.clear();
        self.stores.extend(m.stores.iter().map(|s| Store {
            gas: GasMass { oxygen: s.oxygen.of(v), nitrogen: s.nitrogen.of(v) },
            water: s.water.map_or(f64::INFINITY, |w| w.of(v)),
            dry: false,
            looked_at: f64::INFINITY,
        }));
        self.suits.fill(GasMass::NONE);
        self.lost.iter_mut().for_each(|l| *l = [GasMass::NONE; GAS_CAUSES.len()]);
        self.breathed = 0.0;
        self.planned = 0.0;
        self.vented.fill(Vented::default());
        self.came = GasMass::NONE;
    }

    /// What is there now is what there was at the start.
    pub fn open(&mut self) {
        self.start = self.everything();
    }

    /// Mix of a volume.
    #[inline]
    pub fn mix(&self, volume: VolumeId) -> Mix {
        self.spaces[volume].mix
    }

    /// Gas of a volume by species.
    #[inline]
    pub(in crate::campaign) fn split(&self, volume: VolumeId, kg: f64) -> GasMass {
        GasMass::of_share(self.spaces[volume].share, kg)
    }

    /// Temperature of a volume, K.
    #[inline]
    pub fn temperature(&self, volume: VolumeId) -> f64 {
        self.spaces[volume].numbers.temperature
    }

    /// Store of a volume; [`NONE`](crate::plan::NONE) if none.
    #[inline]
    pub(in crate::campaign) fn store_of(&self, volume: VolumeId) -> u16 {
        self.spaces[volume].store
    }

    /// Content of a volume when it was settled last, kg.
    #[inline]
    pub(in crate::campaign) fn content(&self, volume: VolumeId) -> f64 {
        self.spaces[volume].content
    }

    /// Free gas volume with persons in it, m3.
    #[inline]
    pub fn room(&self, volume: VolumeId, persons: u32) -> f64 {
        self.spaces[volume].numbers.free(persons)
    }

    /// Does it matter to the gas of a volume who is in it? Not to the gap of a berth, nor outside.
    #[inline]
    pub(in crate::campaign) fn displaced_in(&self, volume: VolumeId) -> bool {
        self.spaces[volume].numbers.person != 0.0
    }

    /// Gas that a volume holds at a pressure, with persons in it, kg.
    #[inline]
    pub fn content_at(&self, volume: VolumeId, pressure: f64, persons: u32) -> f64 {
        if volume == OUTSIDE || pressure <= 0.0 {
            return 0.0;
        }
        let s = &self.spaces[volume];
        gas::density(pressure, s.mix, s.numbers.temperature) * self.room(volume, persons)
    }

    /// Notes the content of a volume; the difference is booked by the caller.
    pub fn note_content(&mut self, volume: VolumeId, content: f64) {
        self.spaces[volume].content = content;
    }

    /// Notes the pressures at which volumes were held, Pa.
    pub(in crate::campaign) fn hold(&mut self, pressure: &Table<VolumeId, f64>) {
        self.spaces.iter_mut().zip(pressure).for_each(|(s, p)| s.held = *p);
    }

    /// Pressure at which a volume was held when a store ran dry last, Pa.
    pub(in crate::campaign) fn held(&self, volume: VolumeId) -> f64 {
        self.spaces[volume].held
    }

    /// What is in a suit.
    #[inline]
    pub fn suit(&self, s: SuitId) -> GasMass {
        self.suits[s]
    }

    /// A suit holds something else now; what it holds more than before.
    pub fn suit_holds(&mut self, s: SuitId, gas: GasMass) -> GasMass {
        let more = gas - self.suits[s];
        self.suits[s] = gas;
        more
    }

    /// What all suits hold.
    pub(in crate::campaign) fn suits(&self) -> &[GasMass] {
        &self.suits
    }

    /// Oxygen is breathed, kg, out of the store of a volume.
    pub fn breathe(&mut self, volume: VolumeId, oxygen: f64) {
        self.breathed += oxygen;
        self.draw(volume, GasMass::of_oxygen(oxygen));
    }

    /// A volume that a store holds at pressure has lost gas by a leak, kg.
    #[inline]
    pub(in crate::campaign) fn leak(&mut self, volume: VolumeId, port: u16, kg: f64) {
        let gas = self.split(volume, kg);
        self.draw(volume, gas);
        let row = (port as usize).min(self.lost.len() - 1);
        self.lost[row][GasCause::Leak as usize] += gas;
    }

    /// A suit that a store keeps at its pressure through a volume has lost gas, kg.
    pub fn suit_leak(&mut self, volume: VolumeId, port: u16, kg: f64) {
        let gas = self.split(volume, kg);
        self.draw(volume, gas);
        let row = (port as usize).min(self.lost.len() - 1);
        self.lost[row][GasCause::SuitLeak as usize] += gas;
        self.vented[row].all += gas.total();
    }

    /// What was breathed in suits, kg O2.
    pub(in crate::campaign) fn breathed(&self) -> f64 {
        self.breathed
    }

    /// Losses of planned cycles, kg.
    pub(in crate::campaign) fn planned(&self) -> f64 {
        self.planned
    }

    /// Lost by port (last: elsewhere) and cause.
    pub(in crate::campaign) fn lost(&self) -> &[[GasMass; GAS_CAUSES.len()]] {
        &self.lost
    }

    /// Vented and suit terms by port (last: elsewhere).
    pub(in crate::campaign) fn vented(&self) -> &[Vented] {
        &self.vented
    }

    /// Takes from (negative: gives to) the store of a volume.
    #[inline]
    pub fn draw(&mut self, volume: VolumeId, gas: GasMass) {
        if let Some(store) = self.stores.get_mut(usize::from(self.spaces[volume].store)) {
            store.gas = store.gas - gas;
        }
    }

    /// Books a loss.
    pub fn lose(&mut self, cause: GasCause, gas: GasMass, e: Entry) {
        let row = (e.port as usize).min(self.lost.len() - 1);
        let column = if e.contingency && cause != GasCause::Leak && cause != GasCause::SuitLeak {
            GasCause::WayBack
        } else {
            cause
        };
        self.lost[row][column as usize] += gas;
        if cause == GasCause::Leak {
            return;
        }
        let m = gas.total();
        let through = matches!(cause, GasCause::Pump | GasCause::Vent | GasCause::FailedPump);
        let filtered = if through { m } else { 0.0 };
        let v = &mut self.vented[row];
        v.all += m;
        v.filtered += filtered;
        if e.planned && !e.contingency {
            v.planned += m;
            v.filtered_planned += filtered;
            if cause != GasCause::SuitLeak {
                self.planned += m;
            }
        }
    }

    /// Sets the content of a volume and settles the difference.
    pub fn settle(&mut self, volume: VolumeId, content: f64, fate: Fate, e: Entry) {
        if volume == OUTSIDE {
            return;
        }
        let space = &mut self.spaces[volume];
        let diff = content - space.content;
        space.content = content;
        if diff == 0.0 {
            return;
        }
        let gas = GasMass::of_share(space.share, diff);
        match fate {
            Fate::Transfer => self.draw(volume, gas),
            Fate::Lost(cause) => self.lose(cause, gas * -1.0, e),
            Fate::Vented(failed) => {
                self.lose(GasCause::FailedPump, gas * -failed, e);
                self.lose(GasCause::Vent, gas * (failed - 1.0), e);
            }
            Fate::Pumped(recovery) => {
                self.draw(volume, gas * recovery);
                self.lose(GasCause::Pump, gas * (recovery - 1.0), e);
            }
        }
    }

    /// All that was lost.
    pub fn lost_total(&self) -> GasMass {
        self.lost.iter().flatten().fold(GasMass::NONE, |a, b| a + *b)
    }

    /// Everything the books know to be somewhere, lost and breathed included: constant but for
    /// resupply.
    pub fn everything(&self) -> GasMass {
        let mut sum = self.lost_total();
        self.spaces.iter().for_each(|s| sum += GasMass::of_share(s.share, s.content));
        self.stores.iter().for_each(|s| sum += s.gas);
        self.suits.iter().for_each(|g| sum += *g);
        sum += GasMass { oxygen: self.breathed, nitrogen: 0.0 };
        sum
    }

    /// Relative error per species (O2, N2): what was there at the start and came since, against
    /// everything that is known to be somewhere now.
    pub(in crate::campaign) fn error(&self) -> [f64; 2] {
        let (then, now) = (self.start + self.came, self.everything());
        let rel = |a: f64, b: f64| (a - b).abs() / a.abs().max(1.0);
        [rel(then.oxygen, now.oxygen), rel(then.nitrogen, now.nitrogen)]
    }
}

mod stores;
#[cfg(test)]
pub(in crate::campaign) mod tests;
