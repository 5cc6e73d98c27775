//! Letting gas out through a valve: choked, then subsonic flow through an orifice, and the time
//! to empty a volume. Isothermal in the volume, adiabatic in the orifice, gamma = 1.4, which makes
//! both phases closed forms.

use super::Mix;
use crate::physics::Relation;

/// Ratio of specific heats of oxygen, nitrogen and their mixes.
pub const GAMMA: f64 = 1.4;
/// Flow is choked while ambient/upstream pressure is at most this: `(2/(g + 1))^(g/(g - 1))`.
pub const CRITICAL_RATIO: f64 = 0.528_281_787_717_174;

/// A valve or hole that gas leaves through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Orifice {
    /// Opening area, m2.
    pub area: f64,
    /// Discharge coefficient, 0 to 1.
    pub discharge: f64,
}

impl Orifice {
    /// A round opening of this diameter (m).
    pub fn round(diameter: f64, discharge: f64) -> Self {
        debug_assert!(diameter > 0.0 && discharge > 0.0);
        Self { area: std::f64::consts::PI / 4.0 * diameter * diameter, discharge }
    }

    /// Effective area, m2: area times discharge coefficient.
    fn effective(self) -> f64 {
        self.area * self.discharge
    }
}

/// Choked mass flux per upstream pressure, kg/(s m2 Pa):
/// `sqrt(g/(Rs T)) (2/(g + 1))^((g + 1)/(2 (g - 1)))`.
///
/// Rs specific gas constant (J/(kg K)), T upstream temperature (K), g = 1.4, so that the second
/// factor is (5/6)^3. Source: one-dimensional isentropic flow (common practice). Limits: ideal
/// gas, no friction (that is what the discharge coefficient is for).
pub fn choked_flux(specific_constant: f64, temperature: f64) -> f64 {
    debug_assert!(specific_constant > 0.0 && temperature > 0.0);
    (GAMMA / (specific_constant * temperature)).sqrt() * (5.0_f64 / 6.0).powi(3)
}

/// Mass flow out of an orifice, kg/s.
///
/// Choked: `Cd A p f`, f as in [`choked_flux`]. Subsonic, r = pa/p:
/// `Cd A p sqrt(2 g/((g - 1) Rs T)) r^(1/g) sqrt(1 - r^((g - 1)/g))`.
/// p upstream, pa ambient pressure (Pa); zero if the upstream is not above ambient. Source: as
/// [`choked_flux`]. Limits: Cd taken the same in both regimes.
pub fn flow(orifice: Orifice, pressure: f64, ambient: f64, mix: Mix, temperature: f64) -> f64 {
    if pressure <= ambient {
        return 0.0;
    }
    let rs = mix.specific_constant();
    let ratio = ambient / pressure;
    let flux = if ratio <= CRITICAL_RATIO {
        choked_flux(rs, temperature)
    } else {
        let power = ratio.powf((GAMMA - 1.0) / GAMMA);
        (7.0 / (rs * temperature)).sqrt() * ratio.powf(1.0 / GAMMA) * (1.0 - power).sqrt()
    };
    orifice.effective() * pressure * flux
}

/// Time to let a volume down from `from` to `to` through an orifice, s; none if `to` is below
/// ambient, or 0 Pa in vacuum, which takes for ever. 0 if already there.
///
/// With `B = V/(Cd A sqrt(Rs T))`: choked down to pa/0.5283, `t = B ln(p0/p1)/0.68473`; subsonic
/// `t = B sqrt(7) (G(x1) - G(xf))`, `G(x) = x + 2 x^3/3 + x^5/5`, `x = sqrt((p/pa)^(2/7) - 1)`.
///
/// V free volume (m3), p0, pf start and end, pa ambient pressure (Pa), T (K). Source: integral of
/// [`flow`] over the mass balance of an isothermal volume; the substitution
/// `(pa/p)^(2/7) = cos^2 a` turns the subsonic integrand into `sec^6 a`. Limits: walls keep the
/// gas at T (a fast vent cools it and takes less gas out, so this time is on the long side).
pub fn time(
    volume: f64,
    orifice: Orifice,
    (from, to): (f64, f64),
    ambient: f64,
    mix: Mix,
    temperature: f64,
) -> Option<f64> {
    debug_assert!(volume > 0.0 && ambient >= 0.0);
    if from <= to {
        return Some(0.0);
    }
    if to < ambient || to <= 0.0 {
        return None;
    }
    let rs = mix.specific_constant();
    let scale = volume / (orifice.effective() * (rs * temperature).sqrt());
    let turn = (ambient / CRITICAL_RATIO).clamp(to, from);
    let choked = (from / turn).ln() / choked_flux(1.0, 1.0);
    let subsonic = if turn > to {
        7.0_f64.sqrt() * (subsonic_integral(turn / ambient) - subsonic_integral(to / ambient))
    } else {
        0.0
    };
    Some(scale * (choked + subsonic))
}

/// `G(x)` of [`time`] at a pressure ratio p/pa of at least 1.
fn subsonic_integral(ratio: f64) -> f64 {
    let square = (ratio.powf((GAMMA - 1.0) / GAMMA) - 1.0).max(0.0);
    square.sqrt() * (1.0 + square * (2.0 / 3.0 + square / 5.0))
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "choked flow",
        functions: &["vent::choked_flux"],
        formula: "m'/(A p) = sqrt(g/(Rs T)) (2/(g + 1))^((g + 1)/(2 (g - 1)))",
        symbols: "m' kg/s; A m2; p Pa upstream; g 1.4; Rs J/(kg K); T K",
        source: "one-dimensional isentropic flow (common practice)",
        limits: "ideal gas; friction only through a discharge coefficient; ambient/p <= 0.5283",
    },
    Relation {
        name: "flow through an orifice",
        functions: &["vent::flow", "vent::round"],
        formula: "choked as above times Cd; below: Cd A p sqrt(7/(Rs T)) r^(5/7) sqrt(1 - r^(2/7))",
        symbols: "Cd discharge coefficient; A m2; p Pa upstream; r = ambient/p; Rs J/(kg K); T K",
        source: "one-dimensional isentropic flow, gamma 1.4 (common practice)",
        limits: "same discharge coefficient in both regimes; no flow inward",
    },
    Relation {
        name: "venting time",
        functions: &["vent::time"],
        formula: "t = B (ln(p0/p1)/0.68473 + sqrt(7)(G(x1) - G(xf))); B = V/(Cd A sqrt(Rs T)); \
                  G = x + 2x^3/3 + x^5/5; x = sqrt((p/pa)^(2/7) - 1)",
        symbols: "t s; V m3; p0, pf, pa Pa start, end, ambient; p1 = pa/0.5283; Rs J/(kg K); T K",
        source: "exact integral of the orifice flow over an isothermal volume",
        limits: "walls keep the gas at T; none below ambient; valve open at once",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::gas::density;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    const MIX: Mix = Mix { oxygen: 0.34 };
    const T: f64 = 294.26;

    /// Time by Simpson's rule over ln p of the mass balance: an independent way to the same number.
    fn time_by_quadrature(volume: f64, hole: Orifice, from: f64, to: f64, ambient: f64) -> f64 {
        let steps = 20_000;
        let h = (from / to).ln() / f64::from(steps);
        let slowness = |i: i32| {
            let p = to * (h * f64::from(i)).exp();
            density(p, MIX, T) * volume / flow(hole, p, ambient, MIX, T)
        };
        let inner: f64 = (1..steps).map(|i| slowness(i) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
        (slowness(0) + inner + slowness(steps)) * h / 3.0
    }

    #[test]
    fn constants_are_what_they_say() {
        assert_near(CRITICAL_RATIO, (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0)), 1e-15);
        let power = (GAMMA + 1.0) / (2.0 * (GAMMA - 1.0));
        let general = GAMMA.sqrt() * (2.0 / (GAMMA + 1.0)).powf(power);
        assert_near(choked_flux(1.0, 1.0), general, 1e-15);
    }

    #[test]
    fn flow_is_continuous_where_it_stops_choking() {
        let hole = Orifice::round(0.05, 0.8);
        let turn = 1e4 / CRITICAL_RATIO;
        let above = flow(hole, turn * (1.0 + 1e-9), 1e4, MIX, T);
        let below = flow(hole, turn * (1.0 - 1e-9), 1e4, MIX, T);
        assert_near(above, below, 1e-8);
        assert_eq!(flow(hole, 1e4, 1e4, MIX, T), 0.0);
    }

    #[test]
    fn closed_form_agrees_with_quadrature_in_every_regime() {
        let hole = Orifice::round(0.05, 0.8);
        // (from, to, ambient): vacuum; choked then subsonic; subsonic only; far into the tail.
        for (from, to, ambient) in [
            (56.5e3, 1e3, 0.0),
            (56.5e3, 1.7e3, 700.0),
            (1.2e3, 1.01e3, 1e3),
            (101.3e3, 1.001e3, 1e3),
        ] {
            let exact = time(60.0, hole, (from, to), ambient, MIX, T).expect("reachable");
            let other = time_by_quadrature(60.0, hole, from, to, ambient);
            // Simpson meets a kink at the turn: a few parts in 1e8 with these steps.
            assert_near(exact, other, 1e-6);
        }
    }

    #[test]
    fn a_cabin_takes_a_quarter_of_an_hour() {
        // 60 m3 at 56.5 kPa to 1 kPa through 50 mm, Cd 0.8: about 13 min (own arithmetic).
        let hole = Orifice::round(0.05, 0.8);
        let t = time(60.0, hole, (56.5e3, 1e3), 0.0, MIX, T).expect("reachable");
        assert_near(t / 60.0, 13.0, 0.01);
    }

    #[test]
    fn below_ambient_is_never_reached() {
        let hole = Orifice::round(0.05, 0.8);
        assert_eq!(time(4.0, hole, (5e4, 500.0), 700.0, MIX, T), None);
        assert_eq!(time(4.0, hole, (5e4, 0.0), 0.0, MIX, T), None);
        assert_eq!(time(4.0, hole, (500.0, 1e3), 0.0, MIX, T), Some(0.0));
        // Ambient itself is reached in finite time, because the flow falls as a square root.
        assert!(time(4.0, hole, (5e4, 700.0), 700.0, MIX, T).expect("finite").is_finite());
    }

    proptest! {
        #![proptest_config(properties())]

        #[test]
        fn times_add_up(
            pa in 0.0f64..1e4, a in 1.0f64..3.0, b in 1.0f64..3.0, c in 1.0f64..3.0,
        ) {
            let hole = Orifice::round(0.02, 0.7);
            let low = (pa + 10.0) * a;
            let (middle, high) = (low * b, low * b * c);
            let t = |from, to| time(4.0, hole, (from, to), pa, MIX, T).expect("reachable");
            let whole = t(high, low);
            prop_assert!((t(high, middle) + t(middle, low) - whole).abs() <= 1e-11 * (1.0 + whole));
        }

        /// More volume or ambient pressure takes longer, a wider valve is faster.
        #[test]
        fn time_moves_the_right_way(pa in 0.0f64..900.0, v in 0.03f64..100.0, d in 0.005f64..0.1) {
            let t = |v, d, pa| {
                time(v, Orifice::round(d, 0.8), (6e4, 1e3), pa, MIX, T).expect("reachable")
            };
            let base = t(v, d, pa);
            prop_assert!(t(v * 1.1, d, pa) > base && t(v, d * 1.1, pa) < base);
            prop_assert!(t(v, d, pa + 50.0) >= base);
        }
    }
}
