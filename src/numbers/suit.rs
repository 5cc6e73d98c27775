//! Suits: those of one kind have the same numbers.

use crate::model::{P, SuitKind};
use crate::physics::suit::{self, LifeSupport, Supply};

/// A suit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suit {
    /// Working pressure, Pa.
    pub pressure: f64,
    /// Greatest difference of pressure that it goes through a port at, Pa.
    pub port_limit: Option<f64>,
    /// Width, m.
    pub width: f64,
    /// Gas volume around a person, m3.
    pub gas_volume: f64,
    /// Flow of a purge, kg/s.
    pub purge_flow: f64,
    /// Mole fraction of oxygen after a purge.
    pub purity: f64,
    /// Leak at working pressure, kg/s.
    pub leak: f64,
    /// Heat of its electronics, W.
    pub equipment: f64,
    /// Metabolic energy per volume of oxygen, J/m3.
    pub per_oxygen: f64,
    /// Respiratory quotient.
    pub quotient: f64,
    /// Share of its dust that is shed when it is doffed.
    pub doff_sheds: f64,
    /// The same at maintenance.
    pub maintenance_sheds: f64,
    /// Dust that settles on it parked outdoors, kg/s.
    pub parked_dust: f64,
    /// Sorties between two maintenances.
    pub maintenance_every: Option<u32>,
    /// Partners can live on its secondary supply.
    pub shares_secondary: bool,
    /// What it holds when it has been recharged.
    pub full: Full,
}

/// Supplies of a suit just recharged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Full {
    /// Primary supply, s.
    pub primary: f64,
    /// Power at which it lasts that long, W.
    pub primary_at: f64,
    /// Secondary supply, s.
    pub secondary: f64,
    /// Battery, s.
    pub battery: Option<f64>,
    /// Oxygen, kg.
    pub oxygen: Option<f64>,
    /// Cooling water, kg.
    pub water: Option<f64>,
    /// Carbon dioxide that its canister takes, kg.
    pub carbon_dioxide: Option<f64>,
}

impl Suit {
    pub(super) fn of(x: &SuitKind, v: &[f64]) -> Suit {
        let of = |p: P| p.of(v);
        let quotient = of(x.respiratory_quotient);
        Suit {
            pressure: x.pressure,
            port_limit: x.port_limit.map(of),
            width: of(x.width),
            gas_volume: of(x.gas_volume),
            purge_flow: of(x.purge_flow),
            purity: of(x.purity),
            leak: of(x.leak),
            equipment: of(x.equipment),
            per_oxygen: suit::energy_per_oxygen(quotient),
            quotient,
            doff_sheds: of(x.doff_sheds),
            maintenance_sheds: of(x.maintenance_sheds),
            parked_dust: of(x.parked_dust),
            maintenance_every: x.maintenance_every,
            shares_secondary: x.shares_secondary,
            full: Full {
                primary: of(x.primary),
                primary_at: of(x.primary_at),
                secondary: of(x.secondary),
                battery: x.battery.map(of),
                oxygen: x.oxygen.map(of),
                water: x.water.map(of),
                carbon_dioxide: x.carbon_dioxide.map(of),
            },
        }
    }
    /// Life support of a suit just recharged, with the tanks and canister that its file names.
    pub fn recharged(&self) -> LifeSupport {
        let full = &self.full;
        let mut all =
            LifeSupport::full(full.primary, full.primary_at, full.battery, full.secondary);
        let oxygen = suit::oxygen_flow(1.0, self.per_oxygen);
        if let Some(tank) = full.oxygen {
            all = all.with(Supply::Oxygen, tank, self.leak, oxygen);
        }
        if let Some(water) = full.water {
            let electronics = suit::cooling_water_flow(self.equipment);
            all = all.with(Supply::Water, water, electronics, suit::cooling_water_flow(1.0));
        }
        if let Some(canister) = full.carbon_dioxide {
            let made = suit::carbon_dioxide_flow(oxygen, self.quotient);
            all = all.with(Supply::CarbonDioxide, canister, 0.0, made);
        }
        all
    }
}
