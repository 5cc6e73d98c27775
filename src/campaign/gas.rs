//! Gas books (rule 25): what is in each volume and suit, what the stores hold, what went outside by
//! port, cause and species.

use crate::layout::{NONE, OUTSIDE};
use crate::model::{GAS_CAUSES, GasCause};
use crate::physics::gas::{GasMass, Mix};

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

/// Books of one campaign.
#[derive(Clone, Debug, Default)]
pub struct GasBooks {
    /// Content of each volume, kg.
    pub content: Vec<f64>,
    /// Mix of each volume.
    pub mix: Vec<Mix>,
    /// Store of each volume; [`NONE`] if none.
    pub store_of: Vec<u16>,
    /// What stores hold.
    pub store: Vec<GasMass>,
    /// Cooling water in stores, kg: infinite where none is given; below zero what suits still lack
    /// of their last filling.
    pub water: Vec<f64>,
    /// What is in suits by rows (`repress suit`, purge), kg.
    pub suit: Vec<GasMass>,
    /// Lost by port (last: elsewhere) and cause.
    pub lost: Vec<[GasMass; GAS_CAUSES.len()]>,
    /// Breathed in suits, kg O2.
    pub breathed: f64,
    /// Losses of planned cycles, kg.
    pub planned: f64,
    /// Vented and suit terms by port (last: elsewhere).
    pub vented: Vec<Vented>,
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
    /// Port; [`NONE`]: elsewhere.
    pub port: u16,
    /// Contingency: booked under ways back.
    pub contingency: bool,
    /// A planned cycle.
    pub planned: bool,
}

impl GasBooks {
    /// Empties the books; sizes stay.
    pub fn clear(&mut self) {
        self.lost.iter_mut().for_each(|l| *l = [GasMass::NONE; GAS_CAUSES.len()]);
        self.breathed = 0.0;
        self.planned = 0.0;
        self.vented.fill(Vented::default());
    }

    /// Takes from (negative: gives to) the store of a volume.
    pub fn draw(&mut self, volume: usize, gas: GasMass) {
        let s = self.store_of[volume];
        if s != NONE {
            self.store[s as usize] = self.store[s as usize] - gas;
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
    pub fn settle(&mut self, volume: usize, content: f64, fate: Fate, e: Entry) {
        if volume == OUTSIDE as usize {
            return;
        }
        let diff = content - self.content[volume];
        self.content[volume] = content;
        let gas = self.mix[volume].split(diff);
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
        for (v, c) in self.content.iter().enumerate() {
            sum += self.mix[v].split(*c);
        }
        self.store.iter().chain(&self.suit).for_each(|g| sum += *g);
        sum += GasMass { oxygen: self.breathed, nitrogen: 0.0 };
        sum
    }
}
