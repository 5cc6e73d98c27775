//! Leaks of seals: clean rate, what dust does to it, what damage does to it, and two upper bounds.
//!
//! Face seals do not wear out by rubbing (by Archard's law a thousand cycles take a quarter of a
//! micrometre off); dust between the faces decides.
//! Tests of dusty seals disagree by three decades, so the multiplier is an assumption with a
//! stated band, and results that hang on it are only as good as that.

use super::Relation;
use super::gas::vent;

/// Gas lost through a seal over a time, kg: `m = q (dp/dp_ref) t`.
///
/// q leak (kg/s) at the difference dp_ref (Pa), dp difference (Pa, 0 or more), t (s). Source: leak
/// in proportion to the pressure difference (common practice). Limits: constant difference; a
/// viscous leak toward vacuum goes with the square of the pressure, a choked one with the pressure.
pub fn leaked_mass(leak: f64, leak_at: f64, difference: f64, dt: f64) -> f64 {
    debug_assert!(leak >= 0.0 && leak_at > 0.0 && difference >= 0.0 && dt >= 0.0);
    leak * (difference / leak_at) * dt
}

/// A thin slit, for example where a grain lifts a seal off its face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slit {
    /// Width across the flow (length of lifted seal), m.
    pub width: f64,
    /// Height of the gap, m.
    pub gap: f64,
    /// Length along the flow, m.
    pub path: f64,
}

/// Viscous flow through a slit, kg/s: `q = w h^3 (p1^2 - p2^2)/(24 mu L Rs T)`.
///
/// w width, h gap, L path (m), p1, p2 pressures (Pa), mu viscosity (Pa s), Rs (J/(kg K)), T (K).
/// Source: plane Poiseuille flow of an ideal gas (common practice). Limits: laminar, isothermal,
/// h much smaller than w and L, far from choking and from free molecular flow; bound it by
/// [`choked_leak`] of the area w h.
pub fn slit_leak(
    slit: Slit,
    (high, low): (f64, f64),
    viscosity: f64,
    specific_constant: f64,
    temperature: f64,
) -> f64 {
    debug_assert!(high >= low && viscosity > 0.0 && slit.path > 0.0);
    slit.width * slit.gap.powi(3) * (high * high - low * low)
        / (24.0 * viscosity * slit.path * specific_constant * temperature)
}

/// Upper bound of the leak through an area, kg/s: choked flow `A p f` with Cd = 1.
///
/// A area (m2), p pressure (Pa), f as in [`vent::choked_flux`]. Source: as there. Limits: no
/// leak through this area can be larger; most are far smaller.
pub fn choked_leak(area: f64, pressure: f64, specific_constant: f64, temperature: f64) -> f64 {
    debug_assert!(area >= 0.0 && pressure >= 0.0);
    area * pressure * vent::choked_flux(specific_constant, temperature)
}

/// Dust on a seal (kg/m2) and the leak multiplier there (assumed). The bands behind them, also
/// assumed, for loads under 1, of 1 to 10, and over 10 g/m2: 1 to 3, 1 to 1000, 10 to 10000, each
/// uniform in the logarithm. The middle anchors are the geometric middles of a band placed at
/// the middle of its decade of load; below the first anchor a seal counts as clean.
const CONTAMINATION: [(f64, f64); 4] = [
    (1e-4, 1.0),
    (1e-3, 3.0),
    (3.162_277_660_168_38e-3, 31.622_776_601_683_79),
    (3.162_277_660_168_38e-2, 316.227_766_016_837_9),
];

/// Leak multiplier of a seal that carries dust: piecewise linear in ln load and ln multiplier.
///
/// Anchors (g/m2: multiplier) 0.1: 1, 1: 3, 3.16: 31.6, 31.6: 316; constant outside them. Source:
/// assumed; tests disagree (perfluoroelastomer sealed at 9 g/m2: ProSPA seal study; silicone
/// failed: ASCE Earth and Space 2014). Limits: a factor of 30 either way above 1 g/m2; cleaning
/// sets the load to zero, so the multiplier returns to 1, as cleaning did in tests.
pub fn contamination(load: f64) -> f64 {
    debug_assert!(load >= 0.0);
    let above = CONTAMINATION.partition_point(|anchor| anchor.0 <= load);
    if above == 0 || above == CONTAMINATION.len() {
        return CONTAMINATION[above.saturating_sub(1)].1;
    }
    let ((x0, y0), (x1, y1)) = (CONTAMINATION[above - 1], CONTAMINATION[above]);
    let share = (load / x0).ln() / (x1 / x0).ln();
    y0 * (y1 / y0).powf(share)
}

/// Leak multiplier of lasting damage: `2^n`, n damages since the seal was replaced.
///
/// Source: assumed (each damage doubles the clean leak). Limits: cleaning does not undo it.
pub fn damage(damages: u32) -> f64 {
    f64::from(damages).exp2()
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "gas leaked through a seal",
        functions: &["seal::leaked_mass"],
        formula: "m = q (dp/dp_ref) t",
        symbols: "m kg; q kg/s at difference dp_ref Pa; dp Pa; t s",
        source: "leak in proportion to pressure difference (common practice)",
        limits: "constant difference; a viscous leak to vacuum goes with the square of pressure",
    },
    Relation {
        name: "leak through a thin slit",
        functions: &["seal::slit_leak"],
        formula: "q = w h^3 (p1^2 - p2^2)/(24 mu L Rs T)",
        symbols: "q kg/s; w, h, L m width, gap, path; p1, p2 Pa; mu Pa s; Rs J/(kg K); T K",
        source: "plane Poiseuille flow of an ideal gas (common practice)",
        limits: "laminar, isothermal, h far below w and L; bounded by the choked leak",
    },
    Relation {
        name: "largest leak through an area",
        functions: &["seal::choked_leak"],
        formula: "q = A p sqrt(g/(Rs T)) (5/6)^3",
        symbols: "q kg/s; A m2; p Pa; g 1.4; Rs J/(kg K); T K",
        source: "one-dimensional isentropic flow (common practice)",
        limits: "an upper bound: discharge coefficient 1",
    },
    Relation {
        name: "leak multiplier of a dusty seal",
        functions: &["seal::contamination"],
        formula: "f: straight lines in ln w and ln f through (w, f) = (0.1, 1), (1, 3), (3.16, \
                  31.6), (31.6, 316); constant outside",
        symbols: "w dust on the seal, here in g/m2 (the code takes kg/m2); f pure",
        source: "assumed; tests disagree by three decades: sealed at 9 g/m2 (ProSPA seal study), \
                 leaked too much to measure (ASCE Earth and Space 2014)",
        limits: "a factor of 30 either way above 1 g/m2; cleaning resets it",
    },
    Relation {
        name: "leak multiplier of a damaged seal",
        functions: &["seal::damage"],
        formula: "2^n; leak now = q f(w) 2^n, at most what the gap lets through",
        symbols: "n damages since replacement; q clean leak kg/s; w kg/m2; f leak \
                  multiplier of a dusty seal",
        source: "assumed",
        limits: "cleaning does not undo damage, a new seal does",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    /// Standard air, as the formulas of the dust reference have it.
    const AIR: f64 = 287.05;
    const DAY: f64 = 86_400.0;

    #[test]
    fn lifted_arc_and_choked_bound() {
        // Dust table C17: 30 mm of seal lifted by 10 um over 5 mm, 56.5 kPa to vacuum (formula).
        let slit = Slit { width: 0.03, gap: 10e-6, path: 5e-3 };
        let leak = slit_leak(slit, (56.5e3, 0.0), 1.8133e-5, AIR, 293.15);
        assert_near(leak * DAY, 0.045_19, 2e-3);
        assert_near(choked_leak(1.0, 56.5e3, AIR, 293.15), 133.37, 2e-3);
        // The slit formula is used inside its bound.
        assert!(leak < choked_leak(slit.width * slit.gap, 56.5e3, AIR, 293.15));
    }

    #[test]
    fn anchors_and_ends_of_the_multiplier() {
        for (load, multiplier) in CONTAMINATION {
            assert_near(contamination(load), multiplier, 1e-14);
        }
        assert_eq!(contamination(0.0), 1.0);
        assert_eq!(contamination(9e-5), 1.0);
        assert_eq!(contamination(1.0), contamination(3.2e-2));
        // Middle of a band at the middle of its decade of load.
        assert_near(contamination(10f64.powf(-3.5)), 3f64.sqrt(), 1e-12);
        assert_near(contamination(1e-2), 100.0, 1e-12);
    }

    #[test]
    fn cleaning_resets_contamination_and_not_damage() {
        let leak = |load| 1e-8 * contamination(load) * damage(2);
        let (dirty, cleaned) = (leak(5e-3), leak(0.0));
        assert!(cleaned < dirty);
        assert_eq!(cleaned, 4e-8);
    }

    proptest! {
        #![proptest_config(properties())]

        /// More dust never seals better, and every value lies in the stated band of its load.
        #[test]
        fn multiplier_rises_inside_its_band(exponent in -6.0f64..0.0, step in 0.0f64..1.0) {
            let load = 10f64.powf(exponent);
            let (low, high) = match load {
                l if l < 1e-3 => (1.0, 3.0),
                l if l <= 1e-2 => (1.0, 1e3),
                _ => (10.0, 1e4),
            };
            let here = contamination(load);
            prop_assert!((low..=high * (1.0 + 1e-12)).contains(&here));
            prop_assert!(contamination(load * (1.0 + step)) >= here * (1.0 - 1e-15));
        }

        #[test]
        fn leaks_scale_with_difference_and_time(dp in 0.0f64..1e5, t in 0.0f64..1e7) {
            let base = leaked_mass(1.3e-8, 56.5e3, dp, t);
            prop_assert!((leaked_mass(1.3e-8, 56.5e3, 2.0 * dp, t) - 2.0 * base).abs() <= 1e-15);
            prop_assert!((leaked_mass(1.3e-8, 56.5e3, dp, 2.0 * t) - 2.0 * base).abs() <= 1e-15);
        }
    }
}
