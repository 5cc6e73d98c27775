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

/// What a suit can run out of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Supply {
    /// Primary life support as a whole, given as a duration at a power.
    Primary,
    /// Oxygen tank.
    Oxygen,
    /// Cooling water.
    Water,
    /// Room for carbon dioxide in the canister.
    CarbonDioxide,
    /// Battery.
    Battery,
}

/// How many clocks a suit has.
pub const CLOCKS: usize = 5;

/// What is left of a suit's life support: the clocks of the primary, then secondary by time.
///
/// Clock i lasts `S/(a + b P)`: S stock, a used per second whatever the wearer does (leak, heat of
/// the electronics, battery), b per joule of metabolic power P. The primary ends with the first of
/// them; then secondary in seconds, whatever the power. Source: balance of each consumable
/// (common practice). Limits: power constant between events; nothing is regenerated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LifeSupport {
    /// S by [`Supply`]: J, kg, kg, kg, s; infinite where the suit names no such limit.
    pub stock: [f64; CLOCKS],
    /// a by [`Supply`], stock per s.
    pub fixed: [f64; CLOCKS],
    /// b by [`Supply`], stock per J.
    pub per_energy: [f64; CLOCKS],
    /// Secondary left, s; negative: so long ago everything ended.
    pub secondary: f64,
}

impl LifeSupport {
    /// A suit just recharged: `primary` s at `primary_at` W, `battery` s if it is a limit of its
    /// own, `secondary` s; tanks and canister are added by [`LifeSupport::with`].
    pub fn full(primary: f64, primary_at: f64, battery: Option<f64>, secondary: f64) -> Self {
        debug_assert!(primary >= 0.0 && primary_at > 0.0 && secondary >= 0.0);
        let none = f64::INFINITY;
        Self {
            stock: [primary * primary_at, none, none, none, battery.unwrap_or(none)],
            fixed: [0.0, 0.0, 0.0, 0.0, 1.0],
            per_energy: [1.0, 0.0, 0.0, 0.0, 0.0],
            secondary,
        }
    }

    /// One more limit: stock (kg), used per s and per J.
    pub fn with(mut self, clock: Supply, stock: f64, fixed: f64, per_energy: f64) -> Self {
        debug_assert!(stock >= 0.0 && fixed >= 0.0 && per_energy >= 0.0);
        let i = clock as usize;
        (self.stock[i], self.fixed[i], self.per_energy[i]) = (stock, fixed, per_energy);
        self
    }

    /// Nothing left and nothing used.
    pub fn empty() -> Self {
        Self::full(0.0, 1.0, None, 0.0)
    }

    /// Use of a clock per second at this power (W).
    fn rate(&self, i: usize, power: f64) -> f64 {
        self.fixed[i] + self.per_energy[i] * power
    }

    /// Primary left at this power (W), s.
    pub fn primary_left(&self, power: f64) -> f64 {
        debug_assert!(power > 0.0);
        (0..CLOCKS).fold(f64::INFINITY, |t, i| {
            // A clock that is no limit has an infinite stock; one over nothing would be no number.
            if self.stock[i] == f64::INFINITY {
                t
            } else {
                t.min(self.stock[i] / self.rate(i, power))
            }
        })
    }

    /// Time until everything ends at this power (W), s; negative: it ended so long ago.
    pub fn left(&self, power: f64) -> f64 {
        self.primary_left(power) + self.secondary
    }

    /// What is left after `dt` (s) at this power (W). Exact for piecewise constant power.
    pub fn after(mut self, power: f64, dt: f64) -> Self {
        self.live(power, dt);
        self
    }

    /// Somebody lives on it for `dt` (s) at this power (W).
    pub(crate) fn live(&mut self, power: f64, dt: f64) {
        debug_assert!(dt >= 0.0);
        let primary_left = self.primary_left(power);
        if dt < primary_left {
            for i in 0..CLOCKS {
                self.stock[i] -= self.rate(i, power) * dt;
            }
            return;
        }
        // Whichever ended the primary, what is left of the others is of no use after it.
        self.stock[Supply::Primary as usize] = 0.0;
        self.secondary -= dt - primary_left;
    }

    /// Work that the primary leaves time for, s, and the clock that says so:
    /// `t = min (S - sum r(Pj) tj)/r(P)`, `r(P) = a + b P`.
    ///
    /// `before` the other legs as (power W, time s), `work` the power at work (W). Source: balance
    /// as in [`LifeSupport`], solved for the time at work, exact. Negative: the other legs alone
    /// use more than there is.
    pub fn work_left(&self, before: &[(f64, f64)], work: f64) -> (f64, Supply) {
        use Supply::*;
        const ALL: [Supply; CLOCKS] = [Primary, Oxygen, Water, CarbonDioxide, Battery];
        let mut best = (f64::INFINITY, Supply::Primary);
        for clock in ALL {
            let i = clock as usize;
            if self.stock[i] == f64::INFINITY {
                continue;
            }
            let used = |s: f64, leg: &(f64, f64)| s - self.rate(i, leg.0) * leg.1;
            let t = before.iter().fold(self.stock[i], used) / self.rate(i, work);
            if t < best.0 {
                best = (t, clock);
            }
        }
        best
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
        name: "life-support clock",
        functions: &[
            "suit::full",
            "suit::with",
            "suit::empty",
            "suit::primary_left",
            "suit::left",
            "suit::after",
        ],
        formula: "left = min over clocks S/(a + b P) + secondary; S falls by (a + b P) dt",
        symbols: "left, secondary s; S stock of energy J, O2, water, CO2 room kg, battery s; a per s, \
                  b per J; P W metabolic",
        source: "balance of each consumable (common practice)",
        limits: "secondary does not depend on power; power constant between events",
    },
    Relation {
        name: "time at work that a suit leaves",
        functions: &["suit::work_left"],
        formula: "t = min over clocks (S - sum r(Pj) tj)/r(P); r(P) = a + b P",
        symbols: "t s; S, a, b as in the clock; Pj W and tj s of the ways, ingress and reserve; P W",
        source: "life-support clock solved for the time at work, exact",
        limits: "mean times of the rows still to come",
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
        assert_eq!(later.primary_left(293.0), 0.0);
        assert_eq!(later.left(450.0), 900.0);
    }

    #[test]
    fn each_tank_can_end_first_and_says_so() {
        let suit = LifeSupport::full(8.0 * 3600.0, 300.0, None, 0.0);
        // 0.5 kg at 1e-5 kg/s and 1e-7 kg/J: 0.5/(1e-5 + 3e-5) = 12 500 s at 300 W.
        let oxygen = suit.with(Supply::Oxygen, 0.5, 1e-5, 1e-7);
        assert_near(oxygen.left(300.0), 12_500.0, 1e-14);
        assert_eq!(oxygen.work_left(&[], 300.0).1, Supply::Oxygen);
        // An hour at 200 W first: (0.5 - 3600 x 3e-5)/4e-5 = 9800 s at work.
        let (work, which) = oxygen.work_left(&[(200.0, 3600.0)], 300.0);
        assert_near(work, 9800.0, 1e-13);
        assert_eq!(which, Supply::Oxygen);
        // At rest the leak alone: the energy lasts for ever, the tank does not.
        assert!(suit.with(Supply::Water, 3.6, 0.0, 0.0).left(300.0) == suit.left(300.0));
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
            let suit = LifeSupport::full(energy / 300.0, 300.0, Some(battery), secondary)
                .with(Supply::Oxygen, 0.6, 1e-6, 7e-8);
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
