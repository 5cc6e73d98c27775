//! Ideal gas of oxygen and nitrogen: how much is in a volume, split by species.
//!
//! Water vapour and carbon dioxide are left out of the composition: at 56.5 kPa and 50 % relative
//! humidity water is about 2 % of the molecules and 0.8 % of the mass (handbook vapour pressure,
//! common practice). Compressibility is taken as 1; at cabin pressures it differs by < 0.1 %.
//! How gas moves is in [`pump`], [`vent`] and [`leak`].

pub mod leak;
pub mod pump;
pub mod vent;

use super::Relation;
use std::ops::{Add, AddAssign, Mul, Sub};

/// Molar gas constant, J/(mol K) (exact in the SI of 2019).
pub const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar mass of oxygen, kg/mol.
pub const OXYGEN_MOLAR_MASS: f64 = 31.998e-3;
/// Molar mass of nitrogen, kg/mol.
pub const NITROGEN_MOLAR_MASS: f64 = 28.0134e-3;
/// Water vapour pressure in the lungs, Pa: 47 mmHg at 37 degC (common practice), rounded.
pub const LUNG_WATER: f64 = 6.3e3;
/// Least inspired oxygen of a habitable place, Pa (assumed).
pub const HABITABLE_OXYGEN: f64 = 13.3e3;
/// Largest rate of pressure rise for the crew, Pa/s: 13.5 psi/min (NASA-STD-3001 Vol 2, from
/// memory, not confirmed).
pub const PRESSURE_RISE_LIMIT: f64 = 93.1e3 / 60.0;

/// Mass of each species, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GasMass {
    /// Oxygen, kg.
    pub oxygen: f64,
    /// Nitrogen, kg.
    pub nitrogen: f64,
}

impl GasMass {
    /// No gas.
    pub const NONE: Self = Self { oxygen: 0.0, nitrogen: 0.0 };

    /// Oxygen only, kg.
    pub const fn of_oxygen(oxygen: f64) -> Self {
        Self { oxygen, nitrogen: 0.0 }
    }

    /// A mass (kg) of which this share is oxygen, the rest nitrogen.
    pub fn of_share(share: f64, mass: f64) -> Self {
        let oxygen = mass * share;
        Self { oxygen, nitrogen: mass - oxygen }
    }

    /// Both species together, kg.
    pub fn total(self) -> f64 {
        self.oxygen + self.nitrogen
    }

    /// Amount of substance, mol: `n = m_O2/M_O2 + m_N2/M_N2`.
    pub fn moles(self) -> f64 {
        self.oxygen / OXYGEN_MOLAR_MASS + self.nitrogen / NITROGEN_MOLAR_MASS
    }

    /// Composition of this gas; none if there is no gas.
    pub fn mix(self) -> Option<Mix> {
        let moles = self.moles();
        (moles > 0.0).then(|| Mix { oxygen: self.oxygen / OXYGEN_MOLAR_MASS / moles })
    }
}

impl Add for GasMass {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { oxygen: self.oxygen + other.oxygen, nitrogen: self.nitrogen + other.nitrogen }
    }
}

impl AddAssign for GasMass {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for GasMass {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl Mul<f64> for GasMass {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self { oxygen: self.oxygen * factor, nitrogen: self.nitrogen * factor }
    }
}

/// Composition of a breathing gas: oxygen and nitrogen only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// Mole fraction of oxygen, 0 to 1; the rest is nitrogen.
    pub oxygen: f64,
}

impl Mix {
    /// Pure oxygen.
    pub const OXYGEN: Self = Self { oxygen: 1.0 };

    /// Mean molar mass, kg/mol: `M = x M_O2 + (1 - x) M_N2`, x mole fraction of oxygen.
    ///
    /// Source: definition. Limits: water vapour, carbon dioxide and argon neglected.
    pub fn molar_mass(self) -> f64 {
        debug_assert!((0.0..=1.0).contains(&self.oxygen));
        self.oxygen * OXYGEN_MOLAR_MASS + (1.0 - self.oxygen) * NITROGEN_MOLAR_MASS
    }

    /// Specific gas constant, J/(kg K): `Rs = R/M`.
    pub fn specific_constant(self) -> f64 {
        GAS_CONSTANT / self.molar_mass()
    }

    /// Mass share of oxygen: `x M_O2/M`.
    pub fn oxygen_share(self) -> f64 {
        self.oxygen * OXYGEN_MOLAR_MASS / self.molar_mass()
    }

    /// A mass (kg) of this mix split by species: mass share of oxygen `x M_O2/M`.
    pub fn split(self, mass: f64) -> GasMass {
        GasMass::of_share(self.oxygen_share(), mass)
    }
}

/// Density, kg/m3: `rho = p M/(R T)`, p pressure (Pa), M molar mass (kg/mol), T temperature (K).
///
/// Source: ideal gas law. Limits: compressibility 1, dry gas.
pub fn density(pressure: f64, mix: Mix, temperature: f64) -> f64 {
    debug_assert!(pressure >= 0.0 && temperature > 0.0);
    pressure * mix.molar_mass() / (GAS_CONSTANT * temperature)
}

/// Gas in a volume, kg by species: `m = p V M/(R T)`, V free volume (m3), else as [`density`].
pub fn content(pressure: f64, volume: f64, mix: Mix, temperature: f64) -> GasMass {
    debug_assert!(volume >= 0.0);
    mix.split(density(pressure, mix, temperature) * volume)
}

/// Free gas volume, m3: `V = V_chamber - n v - V_gear`, n persons in it, v displacement of a
/// suited person (m3), V_gear displaced by stowed things (m3).
///
/// Source: definition. Limits: zero or less means that they do not fit: the check of a
/// campaign file must refuse it, nothing is clamped here.
pub fn free_volume(chamber: f64, persons: u32, displacement: f64, gear: f64) -> f64 {
    chamber - f64::from(persons) * displacement - gear
}

/// Share of a volume's gas that goes into an evacuated reservoir: `Vr/(V + Vr)`.
///
/// V volume, Vr reservoir (m3). Source: ideal gas law at equal end pressure. Limits: isothermal,
/// the reservoir starts empty.
pub fn reservoir_share(volume: f64, reservoir: f64) -> f64 {
    debug_assert!(volume > 0.0 && reservoir >= 0.0);
    reservoir / (volume + reservoir)
}

/// Time to raise a pressure at a limited rate, s: `t = (pf - p0)/r`, 0 if already there.
///
/// p0, pf start and end (Pa), r limit (Pa/s, for example [`PRESSURE_RISE_LIMIT`]). Source:
/// definition. Limits: the supply can always feed that rate; heating by compression neglected.
pub fn repress_time(from: f64, to: f64, rate_limit: f64) -> f64 {
    debug_assert!(rate_limit > 0.0);
    (to - from).max(0.0) / rate_limit
}

/// Inspired oxygen pressure, Pa: `PIO2 = (P - 6.3 kPa) x`, P pressure (Pa), x oxygen fraction.
///
/// Source: alveolar gas practice, 47 mmHg of water vapour at body temperature (common practice).
/// Limits: P above the water vapour pressure; below it the lungs hold no inspired gas: zero.
pub fn inspired_oxygen(pressure: f64, mix: Mix) -> f64 {
    (pressure - LUNG_WATER).max(0.0) * mix.oxygen
}

/// Whether a place is habitable: [`inspired_oxygen`] of at least [`HABITABLE_OXYGEN`] (assumed).
pub fn habitable(pressure: f64, mix: Mix) -> bool {
    inspired_oxygen(pressure, mix) >= HABITABLE_OXYGEN
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "composition of a gas",
        functions: &[
            "gas::molar_mass",
            "gas::specific_constant",
            "gas::split",
            "gas::oxygen_share",
            "gas::of_share",
            "gas::mix",
            "gas::moles",
            "gas::total",
            "gas::of_oxygen",
        ],
        formula: "M = x M_O2 + (1 - x) M_N2; Rs = R/M; m_O2/m = x M_O2/M",
        symbols: "x mole fraction of O2; M kg/mol; Rs J/(kg K); m kg; M_O2 31.998 and M_N2 28.0134 \
                  g/mol",
        source: "definition; molar masses from standard atomic weights (common practice)",
        limits: "oxygen and nitrogen only: water vapour, CO2, argon neglected (below 2 % of mass)",
    },
    Relation {
        name: "gas in a volume",
        functions: &["gas::density", "gas::content"],
        formula: "m = p V M/(R T)",
        symbols: "m kg; p Pa; V m3 free volume; M kg/mol; R 8.314462618 J/(mol K); T K",
        source: "ideal gas law (common practice)",
        limits: "compressibility 1 (within 0.1 % at cabin pressures), dry gas, one temperature",
    },
    Relation {
        name: "free gas volume",
        functions: &["gas::free_volume"],
        formula: "V = V_chamber - n v - V_gear",
        symbols: "V m3; n persons inside; v m3 displaced by one suited; V_gear m3 of stowed things",
        source: "definition",
        limits: "gas inside the suits is booked with the suit, not here",
    },
    Relation {
        name: "joined volumes",
        functions: &["gas::reservoir_share"],
        formula: "p = (p1 V1 + p2 V2)/(V1 + V2); stored share Vr/(V + Vr)",
        symbols: "p common pressure, p1, p2 before, Pa; V, V1, V2 m3; Vr m3 of a reservoir that \
                  starts empty; share pure",
        source: "ideal gas law (common practice)",
        limits: "isothermal; waits until the pressures are equal",
    },
    Relation {
        name: "repressurisation time",
        functions: &["gas::repress_time"],
        formula: "t = (pf - p0)/r",
        symbols: "t s; p0, pf Pa; r Pa/s limit on the rate of pressure rise",
        source: "definition; where a file gives no r of its own, 13.5 psi/min: NASA-STD-3001 Vol \
                 2, from memory, not confirmed",
        limits: "the supply feeds the full rate; heating by compression neglected",
    },
    Relation {
        name: "inspired oxygen",
        functions: &["gas::inspired_oxygen", "gas::habitable"],
        formula: "PIO2 = (P - Pw) x, Pw = 6.3 kPa; habitable where PIO2 is 13.3 kPa or more",
        symbols: "PIO2, P ambient, Pw water vapour in the lungs, Pa; x mole fraction of O2",
        source: "Pw 47 mmHg at 37 degC (6.27 kPa, rounded): common practice; 13.3 kPa assumed",
        limits: "zero below the water vapour pressure; acclimatisation not modelled",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    #[test]
    fn masses_and_mix_go_back_and_forth() {
        let mix = Mix { oxygen: 0.34 };
        let gas = content(56.5e3, 4.25, mix, 294.26);
        assert_near(gas.mix().expect("there is gas").oxygen, 0.34, 1e-14);
        // p V = n R T
        let pressure = gas.moles() * GAS_CONSTANT * 294.26 / 4.25;
        assert_near(pressure, 56.5e3, 1e-14);
        assert!(GasMass::NONE.mix().is_none());
        assert_eq!((gas - gas).total(), 0.0);
    }

    #[test]
    fn suited_crew_and_gear_displace_gas() {
        assert_near(free_volume(4.25, 2, 0.15, 0.05), 3.9, 1e-15);
        // Nothing is clamped: a chamber too small for its crew shows as a negative volume.
        assert!(free_volume(0.2, 2, 0.15, 0.0) < 0.0);
    }

    #[test]
    fn reservoir_takes_what_the_common_pressure_leaves() {
        let share = reservoir_share(4.0, 36.0);
        assert_eq!(share, 0.9);
        // Joined, the gas of 4 m3 fills 40: a tenth of the pressure is left.
        let left = 56.5e3 * 4.0 / (4.0 + 36.0) / 56.5e3;
        assert_near(1.0 - left, share, 1e-15);
    }

    #[test]
    fn repress_takes_no_time_when_already_there() {
        assert_eq!(repress_time(57e3, 56e3, 1.0), 0.0);
        // 14.7 psi at 13.5 psi/min: 1.09 min, derived from a limit from memory.
        assert_near(repress_time(0.0, 101.35e3, PRESSURE_RISE_LIMIT) / 60.0, 1.09, 2e-3);
    }

    #[test]
    fn habitable_needs_oxygen_and_pressure() {
        assert!(habitable(56.5e3, Mix { oxygen: 0.34 }));
        assert!(!habitable(56.5e3, Mix { oxygen: 0.21 }));
        assert!(!habitable(5.0e3, Mix::OXYGEN));
        assert_eq!(inspired_oxygen(5.0e3, Mix::OXYGEN), 0.0);
    }

    proptest! {
        #![proptest_config(properties())]

        #[test]
        fn more_free_volume_holds_more_gas(
            p in 1.0f64..1.1e5, v in 0.01f64..100.0, more in 1.001f64..10.0, x in 0.0f64..=1.0,
        ) {
            let mix = Mix { oxygen: x };
            let small = content(p, v, mix, 294.26).total();
            prop_assert!(content(p, v * more, mix, 294.26).total() > small);
        }

        #[test]
        fn split_keeps_the_mass(m in 0.0f64..1e3, x in 0.0f64..=1.0) {
            let gas = Mix { oxygen: x }.split(m);
            prop_assert!((gas.total() - m).abs() <= 1e-15 * m);
            prop_assert!(gas.oxygen >= 0.0 && gas.nitrogen >= -1e-15 * m);
        }

        #[test]
        fn bigger_reservoir_stores_more(v in 0.1f64..100.0, r in 0.0f64..100.0) {
            let share = reservoir_share(v, r);
            prop_assert!((0.0..1.0).contains(&share));
            prop_assert!(reservoir_share(v, r + 1.0) > share);
        }
    }
}
