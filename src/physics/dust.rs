//! Dust grains in air: settling, removal, single puffs, cleaning in series, size fractions.
//!
//! Sources named below: Hinds, *Aerosol Technology* (2nd ed. 1999, from memory) for slip, settling
//! and stirred settling; the worked values are checked in `tests/evidence/published/dust.rs`. What is left
//! out everywhere: charge, agglomeration, and anything that is not well mixed, such as the air
//! close to a dusty suit. Published grams per sortie, suit loading and suit-to-cabin shares were
//! not found: they are inputs, and a ranking of access systems by dust is largely a ranking of
//! them.
//!
//! "Below 10 um" is read as geometric diameter throughout.
//! An aerodynamic diameter would be larger: about 15 to 18 um for a 10 um grain of 3100 kg/m3.

use super::Relation;

/// Number of size bins: < 2.5, 2.5-10, 10-50, > 50 um.
pub const BINS: usize = 4;

/// Number of fine bins, the first ones: they float, and only they count towards a limit.
pub const FINE: usize = 2;

/// Diameter that stands for each bin that settles, m: 1.2, 5 and 22 um. Grains above 50 um fall out
/// at once and have none. One diameter reproduces the mean time in the air of a bin whose mass is
/// uniform in ln d within 1.5 % (first bin) and 3 % (second); the third is 10 to 30 % low, which
/// does not matter as it leaves the air within minutes. With the mass at the coarse end of the
/// second bin 5 um overstates its time in the air by about 16 % at one air change an hour.
pub const DIAMETERS: [f64; 3] = [1.2e-6, 5.0e-6, 22.0e-6];

/// Sutherland temperature of air, K (common practice).
const SUTHERLAND: f64 = 110.4;

/// What a grain is made of and how it is shaped; the size is given apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grain {
    /// Density of the material, kg/m3.
    pub density: f64,
    /// Dynamic shape factor: 1 for spheres, 1.2 to 1.8 for lunar grains.
    pub shape: f64,
}

/// Air a grain moves in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, K.
    pub temperature: f64,
    /// Pressure, Pa, above zero.
    pub pressure: f64,
}

/// Dynamic viscosity of air, Pa s.
///
/// `mu = 1.716e-5 (T/273.15)^1.5 (273.15 + 110.4)/(T + 110.4)`, T in K. Source: Sutherland's law
/// with the usual constants (common practice). Limits: good from about 200 to 400 K; pressure does
/// not enter; air enriched to 34 % oxygen is about 2 % above it, which is neglected.
pub fn viscosity(temperature: f64) -> f64 {
    let ratio = temperature / 273.15;
    1.716e-5 * ratio * ratio.sqrt() * (273.15 + SUTHERLAND) / (temperature + SUTHERLAND)
}

/// Mean free path in air, m.
///
/// `L = 66.4e-9 (T/293.15)(101325/P)(1 + 110.4/293.15)/(1 + 110.4/T)`, T in K, P in Pa. Source:
/// Willeke's form with a Sutherland correction (from memory). Limits: air of ordinary composition.
pub fn mean_free_path(air: Air) -> f64 {
    let Air { temperature, pressure } = air;
    let warm = (1.0 + SUTHERLAND / 293.15) / (1.0 + SUTHERLAND / temperature);
    66.4e-9 * (temperature / 293.15) * (101_325.0 / pressure) * warm
}

/// Slip correction Cc of a grain of `diameter` m at a mean free path in m; never below 1.
///
/// `Cc = 1 + Kn (1.257 + 0.400 exp(-1.10/Kn))`, `Kn = 2 L/d`. Source: Davies 1945, constants as
/// handbooks quote them (from memory). Limits: two other handbook fits agree within 2.7 %.
pub fn slip_correction(mean_free_path: f64, diameter: f64) -> f64 {
    let knudsen = 2.0 * mean_free_path / diameter;
    1.0 + knudsen * (1.257 + 0.400 * (-1.10 / knudsen).exp())
}

/// Settling speed of a grain, m/s, at `gravity` m/s2.
///
/// `v = rho d^2 g Cc/(18 mu chi)`, rho density (kg/m3), d geometric diameter (m), mu viscosity
/// (Pa s), chi shape factor. Source: Stokes' law with slip (common practice). Limits: holds while
/// the Reynolds number stays below about 0.1, on the Moon at 56.5 kPa up to 50 um; the density of the gas
/// is neglected.
pub fn settling_speed(grain: Grain, diameter: f64, gravity: f64, air: Air) -> f64 {
    let slip = slip_correction(mean_free_path(air), diameter);
    grain.density * diameter * diameter * gravity * slip
        / (18.0 * viscosity(air.temperature) * grain.shape)
}

/// Rate at which a filter takes dust from the air of a stirred volume, 1/s: `eta Q/V` with the
/// efficiency eta (bypass included), the flow Q in m3/s and the volume V in m3. Source: mass
/// balance (common practice). Limits: well mixed; the efficiency does not change with load.
pub fn filter_rate(efficiency: f64, flow: f64, volume: f64) -> f64 {
    efficiency * flow / volume
}

/// Rate of settling in a stirred volume, 1/s: `n v/H` with the settling speed v in m/s, the height
/// H (volume over floor area) in m and n = 1 to 2.6 for up-facing area of furniture. Source:
/// stirred settling, Hinds (from memory); upper n Thatcher et al., Atmos. Environ. 36, 2002.
/// Limits: wall losses neglected; in *stirred* air the loss is exponential with this rate, the
/// fixed time H/v is the bound for still air.
pub fn deposition_rate(speed: f64, height: f64, deposition: f64) -> f64 {
    deposition * speed / height
}

/// What is left in stirred air of `mass` kg after `dt` s at the removal rate `rate`, kg, and the
/// integral of the airborne mass over this time, kg s.
///
/// `m exp(-k t)`, `m (1 - exp(-k t))/k`. Source: mass balance of a stirred volume (common practice).
/// Limits: return from floors neglected.
pub fn puff(mass: f64, rate: f64, dt: f64) -> (f64, f64) {
    let left = mass * (-rate * dt).exp();
    let integral = if rate * dt < 1e-9 { mass * dt } else { (mass - left) / rate };
    (left, integral)
}

/// Break-even transfer fraction: the share of the fine dust on suits at the door that may come in each
/// time so that the worst average just meets `limit`, where all of it makes that average `worst` kg/m3.
/// `None` where no dust comes.
///
/// `phi_max = L/worst`; for one return `L V T/(a sum_i m_i (1 - exp(-k_i T))/k_i)`, with a the airborne
/// share and T 24 h. Source: the average is linear in the share. Limits: return from floors neglected.
/// No transfer fraction is assumed, only the airborne share; above 1 all of it could come in.
pub fn break_even_fraction(limit: f64, worst: f64) -> Option<f64> {
    (worst > 0.0).then(|| limit / worst)
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "viscosity of air",
        functions: &["dust::viscosity"],
        formula: "mu = 1.716e-5 (T/273.15)^1.5 (273.15 + 110.4)/(T + 110.4)",
        symbols: "mu Pa s; T K",
        source: "Sutherland's law with the usual constants (common practice)",
        limits: "200 to 400 K; pressure does not enter; 34 % O2 is about 2 % above, neglected",
    },
    Relation {
        name: "mean free path in air",
        functions: &["dust::mean_free_path"],
        formula: "L = 66.4e-9 (T/293.15)(101325/P)(1 + 110.4/293.15)/(1 + 110.4/T)",
        symbols: "L m; T K; P Pa",
        source: "Willeke's form with a Sutherland correction, from memory",
        limits: "air of ordinary composition",
    },
    Relation {
        name: "slip correction",
        functions: &["dust::slip_correction"],
        formula: "Cc = 1 + Kn (1.257 + 0.400 exp(-1.10/Kn)); Kn = 2 L/d",
        symbols: "Cc, Kn pure; L m mean free path; d m grain diameter",
        source: "Davies 1945, constants as handbooks quote them, from memory",
        limits: "two other handbook fits agree within 2.7 %",
    },
    Relation {
        name: "settling speed",
        functions: &["dust::settling_speed"],
        formula: "v = rho d^2 g Cc/(18 mu chi)",
        symbols: "v m/s; rho kg/m3 of the grain; d m; g m/s2; Cc, chi (shape) pure; mu Pa s",
        source: "Stokes' law with slip (common practice)",
        limits: "Reynolds number below about 0.1 (on the Moon at 56.5 kPa up to 50 um); gas density neglected; \
                 no charge, no clumping",
    },
    Relation {
        name: "removal of dust from air",
        functions: &["dust::filter_rate", "dust::deposition_rate"],
        formula: "k = eta Q/V + n v/H",
        symbols: "k 1/s; eta filter efficiency, pure; Q m3/s; V m3; v m/s settling speed; H m \
                  volume over floor area; n pure, up-facing area of furniture",
        source: "mass balance of a stirred volume (common practice); n up to 2.6: Thatcher et al., \
                 Atmos. Environ. 36, 2002",
        limits: "well mixed, so not the air beside a dusty suit; wall losses neglected",
    },
    Relation {
        name: "dust that may come in",
        functions: &["dust::puff", "dust::break_even_fraction"],
        formula: "phi_max = L/worst average of all; one return: L V T/(a sum(m (1 - exp(-k T))/k))",
        symbols: "L kg/m3 limit; V m3; k 1/s; T 24 h; phi_max pure; a airborne share; m kg at the \
                  door per bin",
        source: "exposure to puffs solved for their mass, exact",
        limits: "well mixed; no return from floors; above 1 all of the dust could come in",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::{Config, RngSeed};

    fn config() -> Config {
        let rng_seed = RngSeed::Fixed(0x0d57_0001);
        Config { cases: 500, rng_seed, failure_persistence: None, ..Config::default() }
    }

    fn air() -> impl Strategy<Value = Air> {
        (250.0..330.0_f64, 2e4..1.1e5_f64)
            .prop_map(|(temperature, pressure)| Air { temperature, pressure })
    }

    fn grain() -> impl Strategy<Value = Grain> {
        (1000.0..3500.0_f64, 1.0..1.8_f64).prop_map(|(density, shape)| Grain { density, shape })
    }

    proptest! {
        #![proptest_config(config())]

        #[test]
        fn thinner_air_lets_grains_slip_and_fall_faster(
            air in air(), grain in grain(), d in 0.1e-6..50e-6_f64, less in 0.1..0.99_f64,
        ) {
            let thin = Air { pressure: less * air.pressure, ..air };
            let slip = |air| slip_correction(mean_free_path(air), d);
            prop_assert!(slip(air) > 1.0 && slip(thin) > slip(air));
            let speed = |air| settling_speed(grain, d, 1.62, air);
            prop_assert!(speed(thin) > speed(air));
        }

        #[test]
        fn less_gravity_means_slower_removal(
            air in air(), grain in grain(), d in 0.1e-6..50e-6_f64, g in 0.1..9.8_f64,
            less in 0.1..0.99_f64, filter in 0.0..1e-2_f64,
        ) {
            let rate = |g| filter + deposition_rate(settling_speed(grain, d, g, air), 2.2, 1.5);
            prop_assert!(rate(less * g) < rate(g));
        }

        #[test]
        fn puffs_in_two_steps_are_puffs_in_one(
            mass in 1e-6..1e-2_f64, rate in 0.0..1e-2_f64, a in 0.0..1e5_f64, b in 0.0..1e5_f64,
        ) {
            let (left, first) = puff(mass, rate, a);
            let (end, second) = puff(left, rate, b);
            let (at_once, whole) = puff(mass, rate, a + b);
            prop_assert!((end - at_once).abs() <= 1e-12 * mass);
            prop_assert!((first + second - whole).abs() <= 1e-6 * whole.max(1e-30));
        }
    }
}
