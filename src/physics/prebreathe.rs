//! Prebreathe: nitrogen in body tissue and how long to breathe oxygen before a lower pressure.
//!
//! One compartment that exchanges nitrogen exponentially. Nitrogen pressures are dry (no water
//! vapour term), because the dry form reproduces the published 40-minute tissue tension. The
//! ratio of tissue nitrogen to suit pressure is a planning rule, not a probability of sickness:
//! exercise, bubbles and the person are outside it.

use super::Relation;

/// Half-time of the slow tissue, s: 360 min (Conkin et al., Aviat Space Environ Med 1996;67:176).
pub const SLOW_HALF_TIME: f64 = 360.0 * 60.0;
/// Time owed per time of interruption: "twice the number of minutes than was the interruption"
/// (station systems book p. 299).
pub const BREAK_FACTOR: f64 = 2.0;

/// Breathed nitrogen pressure, Pa, which is also the saturated tissue: `Pa = P (1 - x)`.
///
/// P ambient pressure (Pa), x oxygen mole fraction of what is breathed. Source: definition, dry
/// gas. Limits: water vapour and carbon dioxide in the lungs neglected.
pub fn breathed_nitrogen(pressure: f64, oxygen: f64) -> f64 {
    debug_assert!(pressure >= 0.0 && (0.0..=1.0).contains(&oxygen));
    pressure * (1.0 - oxygen)
}

/// Tissue nitrogen after a time at constant breathing, Pa: `P = Pa + (P0 - Pa) 2^(-t/T)`.
///
/// P0 tissue, Pa breathed nitrogen (Pa), t time, T half-time (s). Source: Conkin et al., ASEM
/// 1996;67:176 (the 360 min compartment). Limits: one compartment; breathing changes at once;
/// exercise, which speeds the exchange, neglected.
pub fn tissue_after(tissue: f64, breathed: f64, dt: f64, half_time: f64) -> f64 {
    debug_assert!(dt >= 0.0 && half_time > 0.0);
    breathed + (tissue - breathed) * (-dt / half_time).exp2()
}

/// Tissue ratio: `R = P_N2/P_suit`, both Pa.
///
/// Source: Conkin et al. as in [`tissue_after`]. Limits: a planning number; the same paper finds
/// that it predicts sickness less well than forms with fitted constants.
pub fn ratio(tissue: f64, suit_pressure: f64) -> f64 {
    debug_assert!(suit_pressure > 0.0);
    tissue / suit_pressure
}

/// A prebreathe still to be done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Largest tissue ratio allowed at suit pressure.
    pub ratio: f64,
    /// Suit pressure, Pa.
    pub suit_pressure: f64,
    /// Half-time of the tissue, s ([`SLOW_HALF_TIME`]).
    pub half_time: f64,
}

/// Time to breathe until the ratio is met, s: `t = T log2((P0 - Pa)/(R Ps - Pa))`.
///
/// 0 if it already is; none if the breathed nitrogen keeps the tissue above it for ever.
/// P0 tissue, Pa breathed nitrogen, Ps suit pressure (Pa), R allowed ratio, T half-time (s).
/// Source: [`tissue_after`] solved for time, exact. Limits: as there.
pub fn required_time(tissue: f64, breathed: f64, wanted: Wanted) -> Option<f64> {
    debug_assert!(wanted.ratio > 0.0 && wanted.suit_pressure > 0.0);
    let target = wanted.ratio * wanted.suit_pressure;
    if tissue <= target {
        return Some(0.0);
    }
    (breathed < target)
        .then(|| wanted.half_time * ((tissue - breathed) / (target - breathed)).log2())
}

/// Time of a prebreathe step, s: the longer of what the ratio asks and the protocol's minimum.
///
/// Source: common practice. Limits: the protocol minimum is an input with its own standing.
pub fn planned_time(required: f64, protocol_minimum: f64) -> f64 {
    required.max(protocol_minimum)
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "tissue nitrogen",
        functions: &["prebreathe::tissue_after", "prebreathe::breathed_nitrogen"],
        formula: "P = Pa + (P0 - Pa) 2^(-t/T); Pa = ambient (1 - x); saturated: P = Pa",
        symbols: "P, P0 tissue and Pa breathed nitrogen, ambient, all Pa; t, T s (T 360 min); x \
                  mole fraction of O2 in what is breathed",
        source: "Conkin et al., Aviat Space Environ Med 1996;67:176",
        limits: "one compartment, dry pressures, no exercise, no bubbles",
    },
    Relation {
        name: "tissue ratio",
        functions: &["prebreathe::ratio"],
        formula: "R = P/Ps",
        symbols: "R pure; P tissue nitrogen Pa; Ps suit pressure Pa",
        source: "Conkin et al., Aviat Space Environ Med 1996;67:176; target 1.65 from memory",
        limits: "a planning rule, not a probability of decompression sickness",
    },
    Relation {
        name: "prebreathe time",
        functions: &["prebreathe::required_time", "prebreathe::planned_time"],
        formula: "t = T log2((P0 - Pa)/(R Ps - Pa)), at least the protocol minimum",
        symbols: "t, T s; P0 tissue, Pa breathed nitrogen, Ps suit pressure, Pa; R allowed ratio",
        source: "tissue nitrogen solved for time, exact",
        limits: "no answer if the breathed nitrogen alone keeps the ratio above R",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    const WANTED: Wanted = Wanted { ratio: 1.65, suit_pressure: 29.6e3, half_time: SLOW_HALF_TIME };

    #[test]
    fn half_the_distance_in_one_half_time() {
        assert_eq!(tissue_after(80e3, 20e3, 3600.0, 3600.0), 50e3);
        assert_eq!(tissue_after(80e3, 20e3, 0.0, 3600.0), 80e3);
    }

    #[test]
    fn staged_cabin_asks_half_an_hour_and_exploration_none() {
        // 70.3 kPa, 26.5 %: 29 min; 56.5 kPa, 34 %: none (own arithmetic with the ratio 1.65).
        let staged = breathed_nitrogen(70.3e3, 0.265);
        let t = required_time(staged, 0.0, WANTED).expect("reachable");
        assert!((t / 60.0 - 29.0).abs() < 0.5, "{} min", t / 60.0);
        let exploration = breathed_nitrogen(56.5e3, 0.34);
        assert_eq!(required_time(exploration, 0.0, WANTED), Some(0.0));
    }

    #[test]
    fn too_much_nitrogen_in_the_mask_never_gets_there() {
        let target = WANTED.ratio * WANTED.suit_pressure;
        assert_eq!(required_time(60e3, target, WANTED), None);
        assert_eq!(required_time(60e3, target + 1.0, WANTED), None);
        assert!(required_time(60e3, target - 1.0, WANTED).is_some());
    }

    #[test]
    fn protocol_minimum_and_break() {
        assert_eq!(planned_time(0.0, 900.0), 900.0);
        assert_eq!(planned_time(1200.0, 900.0), 1200.0);
    }

    #[test]
    fn twice_the_break_more_than_makes_up_for_it() {
        let (tissue, air, pause) = (40e3, 80e3, 300.0);
        let after_break = tissue_after(tissue, air, pause, SLOW_HALF_TIME);
        let made_up = tissue_after(after_break, 0.0, BREAK_FACTOR * pause, SLOW_HALF_TIME);
        assert!(after_break > tissue && made_up < tissue);
        // At a tissue below a third of the air's nitrogen the rule no longer covers the break.
        let low = tissue_after(25e3, air, pause, SLOW_HALF_TIME);
        assert!(tissue_after(low, 0.0, BREAK_FACTOR * pause, SLOW_HALF_TIME) > 25e3);
    }

    proptest! {
        #![proptest_config(properties())]

        #[test]
        fn tissue_moves_toward_what_is_breathed(
            p0 in 0.0f64..8e4, pa in 0.0f64..8e4, t in 1.0f64..1e5, more in 1.0f64..1e4,
        ) {
            let near = |t| (tissue_after(p0, pa, t, SLOW_HALF_TIME) - pa).abs();
            prop_assert!(near(t) <= (p0 - pa).abs());
            prop_assert!(near(t + more) <= near(t));
        }

        #[test]
        fn required_time_gives_the_ratio(p0 in 5e4f64..8e4, pa in 0.0f64..4e4) {
            let t = required_time(p0, pa, WANTED).expect("target is above 4e4 Pa");
            let end = ratio(tissue_after(p0, pa, t, WANTED.half_time), WANTED.suit_pressure);
            assert_near(end, 1.65, 1e-12);
        }

        /// Prebreathe never falls when cabin nitrogen rises or the suit pressure falls.
        #[test]
        fn prebreathe_moves_the_right_way(
            n2 in 2e4f64..8e4, more in 1.0f64..5e3, suit in 2.5e4f64..4e4, less in 1.0f64..5e3,
        ) {
            let t = |n2, suit| {
                let wanted = Wanted { suit_pressure: suit, ..WANTED };
                required_time(n2, 0.0, wanted).expect("pure oxygen always gets there")
            };
            prop_assert!(t(n2 + more, suit) >= t(n2, suit));
            prop_assert!(t(n2, suit - less) >= t(n2, suit));
        }
    }
}
