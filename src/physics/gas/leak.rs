//! Pressure of a volume whose gains and losses are linear in pressure: leaks to neighbours at
//! constant pressure, with or without a pump. One closed form serves all of them.

use super::{GAS_CONSTANT, Mix};
use crate::physics::Relation;

/// A path between a volume and a neighbour held at constant pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Flow (pressure x volume per time) per pressure difference, m3/s. A pump of speed S is a
    /// path of conductance S to pressure 0.
    pub conductance: f64,
    /// Pressure on the far side, Pa.
    pub pressure: f64,
}

/// Conductance (m3/s) of a leak given as a mass rate: `c = q R T/(M dp)`.
///
/// q leak (kg/s) at difference dp (Pa), M molar mass of the gas that flows (kg/mol), T its
/// temperature (K). Source: ideal gas law. Limits: a leak linear in the pressure difference.
pub fn conductance(leak: f64, leak_at: f64, mix: Mix, temperature: f64) -> f64 {
    debug_assert!(leak >= 0.0 && leak_at > 0.0);
    leak * GAS_CONSTANT * temperature / (mix.molar_mass() * leak_at)
}

/// How the pressure of a volume relaxes: `p(t) = p_e + (p0 - p_e) exp(-k t)`.
///
/// Solves `V dp/dt = sum c_i (p_i - p)`: `k = sum c_i/V`, `p_e = sum c_i p_i/sum c_i`; without
/// any conductance the pressure stays.
///
/// V volume (m3), c_i, p_i as in [`Path`]. Source: linear differential equation, exact. Limits:
/// isothermal; the neighbours keep their pressure over the interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relaxation {
    /// Pressure in the end, Pa (meaningless, and unused, while `rate` is 0).
    pub level: f64,
    /// Rate k, 1/s.
    pub rate: f64,
}

impl Relaxation {
    /// Relaxation of a volume (m3) with these paths.
    pub fn of(volume: f64, paths: &[Path]) -> Self {
        debug_assert!(volume > 0.0);
        let total: f64 = paths.iter().map(|p| p.conductance).sum();
        let weighted: f64 = paths.iter().map(|p| p.conductance * p.pressure).sum();
        let level = if total > 0.0 { weighted / total } else { 0.0 };
        Self { level, rate: total / volume }
    }

    /// Pressure (Pa) after `dt` (s) from `start` (Pa).
    pub fn after(self, start: f64, dt: f64) -> f64 {
        debug_assert!(dt >= 0.0);
        start + (start - self.level) * (-self.rate * dt).exp_m1()
    }

    /// Exact integral of the pressure over `dt`, Pa s.
    pub fn integral(self, start: f64, dt: f64) -> f64 {
        if self.rate == 0.0 {
            return start * dt;
        }
        let spent = -(-self.rate * dt).exp_m1() / self.rate;
        self.level * dt + (start - self.level) * spent
    }

    /// Gas that came in through one path over `dt`, Pa m3 (negative: it went out):
    /// `c (p_path dt - integral of p)`. Its mass is `Q M/(R T)` of the gas on the upstream side.
    pub fn inflow(self, path: Path, start: f64, dt: f64) -> f64 {
        path.conductance * (path.pressure * dt - self.integral(start, dt))
    }
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "conductance of a leak",
        functions: &["leak::conductance"],
        formula: "c = q R T/(M dp)",
        symbols: "c m3/s; q kg/s leak at difference dp Pa; M kg/mol; T K",
        source: "ideal gas law; leak proportional to pressure difference (common practice)",
        limits: "a viscous leak grows faster than the difference, a choked one with the pressure",
    },
    Relation {
        name: "pressure of a leaking volume",
        functions: &["leak::of", "leak::after", "leak::integral", "leak::inflow"],
        formula: "p(t) = pe + (p0 - pe) exp(-k t); k = sum c/V; pe = sum(c p)/sum c",
        symbols: "p Pa; k 1/s; V m3; c m3/s and p Pa of every neighbour (a pump: its speed, 0 Pa)",
        source: "linear differential equation, exact",
        limits: "isothermal; neighbours keep their pressure; a real pump slows near its stop",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    #[test]
    fn without_paths_the_pressure_stays() {
        let still = Relaxation::of(4.0, &[]);
        assert_eq!(still.after(5e4, 1e9), 5e4);
        assert_eq!(still.integral(5e4, 10.0), 5e5);
    }

    #[test]
    fn pump_against_a_leak_stops_at_the_balance() {
        let pump = Path { conductance: 0.4 / 60.0, pressure: 0.0 };
        let hatch = Path { conductance: 0.1 / 60.0, pressure: 5e4 };
        let both = Relaxation::of(4.0, &[pump, hatch]);
        // Balance: 0.1 x 50 kPa = 0.5 p, so 10 kPa.
        assert_near(both.level, 1e4, 1e-14);
        assert_near(both.after(5e4, 1e6), 1e4, 1e-12);
        let alone = Relaxation::of(4.0, &[pump]);
        assert!(alone.after(5e4, 600.0) < both.after(5e4, 600.0), "a leak makes pumping longer");
    }

    #[test]
    fn slow_leak_loses_what_a_constant_one_would() {
        // 0.0011 kg/d at 56.5 kPa out of 60 m3: after a day the pressure has hardly moved.
        let mix = Mix { oxygen: 0.34 };
        let c = conductance(0.0011 / 86400.0, 56.5e3, mix, 294.26);
        let path = Path { conductance: c, pressure: 0.0 };
        let out = -Relaxation::of(60.0, &[path]).inflow(path, 56.5e3, 86400.0);
        let lost = out * mix.molar_mass() / (GAS_CONSTANT * 294.26);
        assert_near(lost, 0.0011, 1e-4);
        assert!(lost < 0.0011);
    }

    proptest! {
        #![proptest_config(properties())]

        /// What came in through all paths is what the volume gained.
        #[test]
        fn inflows_balance_the_gain(
            v in 0.03f64..100.0, c in prop::array::uniform3(1e-9f64..1e-2),
            p in prop::array::uniform3(0.0f64..1e5), p0 in 0.0f64..1e5, t in 0.0f64..1e6,
        ) {
            let paths = [0, 1, 2].map(|i| Path { conductance: c[i], pressure: p[i] });
            let r = Relaxation::of(v, &paths);
            let gain: f64 = paths.iter().map(|path| r.inflow(*path, p0, t)).sum();
            let seen = v * (r.after(p0, t) - p0);
            // Rounding scales with the gas that went through, not with the net gain.
            let through: f64 = c.iter().sum::<f64>() * t * 1e5 + v * 1e5;
            prop_assert!((gain - seen).abs() <= 1e-13 * through, "{gain} {seen}");
        }

        /// Two steps are one step: events in between change nothing.
        #[test]
        fn steps_join(p0 in 0.0f64..1e5, level in 0.0f64..1e5, a in 0.0f64..1e5, b in 0.0f64..1e5) {
            let r = Relaxation::of(3.0, &[Path { conductance: 1e-4, pressure: level }]);
            let once = r.after(p0, a + b);
            prop_assert!((r.after(r.after(p0, a), b) - once).abs() <= 1e-9);
        }
    }
}
