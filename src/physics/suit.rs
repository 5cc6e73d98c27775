//! What a suited person uses, and how long the suit keeps them alive.
//!
//! All from the metabolic power, taken as heat in full: work done on the surroundings, at most a
//! tenth of it, is left out (on the safe side for cooling).

use super::Relation;
use super::gas::OXYGEN_MOLAR_MASS;

/// Density of oxygen at 0 degC and 1 atm, kg/m3 (handbook, common practice).
pub const OXYGEN_STPD_DENSITY: f64 = 1.429;
/// Molar mass of carbon dioxide, kg/mol.
pub const CARBON_DIOXIDE_MOLAR_MASS: f64 = 44.0095e-3;
/// Heat of vaporisation of water near 0 degC, J/kg (handbook, common practice).
pub const VAPORISATION_HEAT: f64 = 2.5e6;

/// Energy per volume of oxygen on fat alone (respiratory quotient [`FAT_QUOTIENT`]), J/m3 STPD:
/// 4.686 kcal/L (Lusk's table, from memory).
const FAT_ENERGY: f64 = 4.686 * 4.184e6;
/// The same on carbohydrate alone (respiratory quotient 1): 5.047 kcal/L (Lusk, from memory).
const CARBOHYDRATE_ENERGY: f64 = 5.047 * 4.184e6;
/// Respiratory quotient of fat (Lusk, from memory).
const FAT_QUOTIENT: f64 = 0.707;

/// Energy released per volume of oxygen used, J/m3 at 0 degC and 1 atm.
///
/// `e = e_fat + (e_carb - e_fat)(RQ - 0.707)/(1 - 0.707)`, RQ respiratory quotient. Source: Lusk's
/// table of non-protein quotients, from memory; gives 20.3 kJ/L at 0.84. Limits: RQ 0.7 to 1.0;
/// outside it the line simply continues. Protein neglected (about 1 %).
pub fn energy_per_oxygen(respiratory_quotient: f64) -> f64 {
    debug_assert!((0.6..=1.2).contains(&respiratory_quotient));
    let share = (respiratory_quotient - FAT_QUOTIENT) / (1.0 - FAT_QUOTIENT);
    FAT_ENERGY + (CARBOHYDRATE_ENERGY - FAT_ENERGY) * share
}

/// Oxygen used by a person, kg/s: `m' = rho P/e`.
///
/// P metabolic power (W), e energy per oxygen volume (J/m3, [`energy_per_oxygen`]), rho 1.429
/// kg/m3. Source: indirect calorimetry (common practice). Limits: steady state, no oxygen debt;
/// the suit's leak comes on top.
pub fn oxygen_flow(power: f64, energy_per_volume: f64) -> f64 {
    debug_assert!(power >= 0.0 && energy_per_volume > 0.0);
    OXYGEN_STPD_DENSITY * power / energy_per_volume
}

/// Carbon dioxide made, kg/s: `m'_CO2 = RQ m'_O2 M_CO2/M_O2`.
///
/// Source: definition of the respiratory quotient (moles of CO2 per mole of O2). Limits: steady
/// state.
pub fn carbon_dioxide_flow(oxygen_flow: f64, respiratory_quotient: f64) -> f64 {
    respiratory_quotient * oxygen_flow * CARBON_DIOXIDE_MOLAR_MASS / OXYGEN_MOLAR_MASS
}

/// Cooling water evaporated, kg/s: `m' = Q/h`, Q heat load (W: metabolic, equipment, environment),
/// h heat of vaporisation 2.5 MJ/kg.
///
/// Source: energy balance (common practice). Limits: evaporation carries the whole load; no
/// radiator, no leak through the suit wall.
pub fn cooling_water_flow(heat: f64) -> f64 {
    debug_assert!(heat >= 0.0);
    heat / VAPORISATION_HEAT
}

/// Primary life support at another power, s: `t = t_ref P_ref/P`.
///
/// t_ref duration at power P_ref (W). Source: consumables go with metabolic power; two published
/// design points (7 h at 1000, 8 h at 850 Btu/h) agree to 3 %. Limits: leak and electronics, which
/// do not scale, neglected.
pub fn primary_duration(primary: f64, primary_at: f64, power: f64) -> f64 {
    debug_assert!(primary >= 0.0 && primary_at > 0.0 && power > 0.0);
    primary * primary_at / power
}

/// What is left of a suit's life support: primary by energy and battery, then secondary by time.
///
/// Primary lasts `min(E/P, battery)`, E energy (J), P metabolic power (W); then secondary in
/// seconds, whatever the power. Source: definition of the clock. Limits: carbon dioxide removal
/// and water count with the primary, which is given as a duration at a power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LifeSupport {
    /// Metabolic energy the primary still covers, J.
    pub primary: f64,
    /// Battery time left, s; infinite if the suit names no such limit.
    pub battery: f64,
    /// Secondary left, s; negative: so long ago everything ended.
    pub secondary: f64,
}

impl LifeSupport {
    /// A suit just recharged: `primary` s at `primary_at` W, `battery` s if it is a limit of its
    /// own, `secondary` s.
    pub fn full(primary: f64, primary_at: f64, battery: Option<f64>, secondary: f64) -> Self {
        debug_assert!(primary >= 0.0 && primary_at > 0.0 && secondary >= 0.0);
        Self { primary: primary * primary_at, battery: battery.unwrap_or(f64::INFINITY), secondary }
    }

    /// Primary left at this power (W), s.
    pub fn primary_left(self, power: f64) -> f64 {
        debug_assert!(power > 0.0);
        (self.primary / power).min(self.battery)
    }

    /// Time until everything ends at this power (W), s; negative: it ended so long ago.
    pub fn left(self, power: f64) -> f64 {
        self.primary_left(power) + self.secondary
    }

    /// What is left after `dt` (s) at this power (W). Exact for piecewise constant power.
    pub fn after(self, power: f64, dt: f64) -> Self {
        debug_assert!(dt >= 0.0);
        let primary_left = self.primary_left(power);
        if dt < primary_left {
            return Self {
                primary: self.primary - power * dt,
                battery: self.battery - dt,
                secondary: self.secondary,
            };
        }
        // Whichever of energy and battery ended the primary, both are of no use after it.
        Self { primary: 0.0, battery: 0.0, secondary: self.secondary - (dt - primary_left) }
    }
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "oxygen used by a person",
        functions: &["suit::oxygen_flow", "suit::energy_per_oxygen"],
        formula: "m' = rho P/e; e = 19.61 + 1.51 (RQ - 0.707)/0.293 MJ/m3",
        symbols: "m' kg/s; rho 1.429 kg/m3; P W metabolic; e J/m3 of O2 (STPD); RQ pure",
        source: "indirect calorimetry (common practice); Lusk's table from memory",
        limits: "RQ 0.7 to 1.0; steady state; protein neglected; suit leak not included",
    },
    Relation {
        name: "carbon dioxide made",
        functions: &["suit::carbon_dioxide_flow"],
        formula: "m'_CO2 = RQ m'_O2 M_CO2/M_O2",
        symbols: "m' kg/s; RQ pure; M_CO2 44.0095, M_O2 31.998 g/mol",
        source: "definition of the respiratory quotient",
        limits: "steady state",
    },
    Relation {
        name: "cooling water",
        functions: &["suit::cooling_water_flow"],
        formula: "m' = Q/h",
        symbols: "m' kg/s; Q W heat load; h 2.5 MJ/kg",
        source: "energy balance (common practice)",
        limits: "evaporation carries the whole load; no radiator, no heat through the suit wall",
    },
    Relation {
        name: "primary life support at a power",
        functions: &["suit::primary_duration"],
        formula: "t = t_ref P_ref/P",
        symbols: "t, t_ref s; P, P_ref W",
        source: "EVA-23 mishap report p. 40: 7 h at 1000 Btu/h or 8 h at 850, which this law \
                 gives as 8.24 h (3 % over)",
        limits: "what does not scale with power (leak, electronics) neglected",
    },
    Relation {
        name: "life-support clock",
        functions: &["suit::full", "suit::primary_left", "suit::left", "suit::after"],
        formula: "left = min(E/P, battery) + secondary; E falls by P dt",
        symbols: "left, battery, secondary s; E J; P W metabolic",
        source: "definition",
        limits: "secondary does not depend on power; power constant between events",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    #[test]
    fn energy_line_goes_through_its_anchors() {
        assert_near(energy_per_oxygen(0.707), 19.606e6, 1e-4);
        assert_near(energy_per_oxygen(1.0), 21.117e6, 1e-4);
        // 4.862 kcal/L at 0.85 in the same table (from memory).
        assert_near(energy_per_oxygen(0.85), 4.862 * 4.184e6, 1e-4);
        assert_near(energy_per_oxygen(0.84), 20.3e6, 2e-3);
    }

    #[test]
    fn one_litre_a_minute_is_86_grams_an_hour() {
        // Oxygen uptake in surface trials (Conkin et al. poster): 1.0 L(STPD)/min.
        let power = 1e-3 / 60.0 * 20.3e6;
        assert_near(oxygen_flow(power, 20.3e6) * 3600.0, 0.086, 5e-3);
    }

    #[test]
    fn battery_can_end_the_primary_first() {
        let suit = LifeSupport::full(7.0 * 3600.0, 293.0, Some(5.0 * 3600.0), 1800.0);
        assert_eq!(suit.left(293.0), 5.5 * 3600.0);
        let later = suit.after(293.0, 5.25 * 3600.0);
        assert_eq!((later.primary, later.battery), (0.0, 0.0));
        assert_eq!(later.left(450.0), 900.0);
    }

    #[test]
    fn clock_shows_how_long_ago_it_ended() {
        let suit = LifeSupport::full(3600.0, 300.0, None, 600.0);
        assert_eq!(suit.after(300.0, 5000.0).left(300.0), -800.0);
        // 30 min at double power use the whole hour of primary.
        assert_eq!(suit.after(600.0, 1800.0).left(300.0), 600.0);
    }

    proptest! {
        #![proptest_config(properties())]

        #[test]
        fn steps_join(
            energy in 0.0f64..1e7, battery in 0.0f64..4e4, secondary in 0.0f64..4e3,
            power in 100.0f64..500.0, a in 0.0f64..3e4, b in 0.0f64..3e4,
        ) {
            let suit = LifeSupport { primary: energy, battery, secondary };
            let once = suit.after(power, a + b).left(power);
            prop_assert!((suit.after(power, a).after(power, b).left(power) - once).abs() < 1e-8);
            prop_assert!((once - (suit.left(power) - a - b)).abs() < 1e-8);
        }

        /// More power never leaves more time; more secondary always leaves just so much more.
        #[test]
        fn clock_moves_the_right_way(
            p in 100.0f64..500.0, q in 0.0f64..200.0, t in 0.0f64..3e4, s in 0.0f64..3600.0,
        ) {
            let suit = LifeSupport::full(7.0 * 3600.0, 293.0, None, 1800.0);
            prop_assert!(suit.after(p + q, t).left(p) <= suit.after(p, t).left(p) + 1e-9);
            let more = LifeSupport { secondary: 1800.0 + s, ..suit };
            let gain = more.after(p, t).left(p) - suit.after(p, t).left(p);
            prop_assert!((gain - s).abs() < 1e-9);
        }
    }
}
