//! Dust grains in air: settling, removal, single puffs, cleaning in series, size fractions.
//!
//! Sources named below: Hinds, *Aerosol Technology* (2nd ed. 1999, from memory) for slip, settling
//! and stirred settling; the worked values are checked in `tests/published/dust.rs`. What is left
//! out everywhere: charge, agglomeration, and anything that is not well mixed, such as the air
//! close to a dusty suit. Published grams per sortie, suit loading and suit-to-cabin shares were
//! not found: they are inputs, and a ranking of access systems by dust is largely a ranking of
//! them.
//!
//! "Below 10 um" is read as geometric diameter throughout. A 10 um grain of 3100 kg/m3 has an
//! aerodynamic diameter of about 15 to 18 um ([`aerodynamic_diameter`]).

use super::Relation;
use statrs::distribution::{ContinuousCDF, Normal};

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
/// [`reynolds`] stays below about 0.1, on the Moon at 56.5 kPa up to 50 um; the density of the gas
/// is neglected.
pub fn settling_speed(grain: Grain, diameter: f64, gravity: f64, air: Air) -> f64 {
    let slip = slip_correction(mean_free_path(air), diameter);
    grain.density * diameter * diameter * gravity * slip
        / (18.0 * viscosity(air.temperature) * grain.shape)
}

/// Reynolds number of a grain falling at `speed` m/s: `rho_gas v d/mu`, with `rho_gas = P/(Rs T)`
/// and Rs = 287.05 J/(kg K) for air. It says whether [`settling_speed`] may be believed. Source:
/// definition. Limits: air.
pub fn reynolds(speed: f64, diameter: f64, air: Air) -> f64 {
    let density = air.pressure / (287.05 * air.temperature);
    density * speed * diameter / viscosity(air.temperature)
}

/// Aerodynamic diameter, m: `d sqrt(rho/(1000 chi))`. Source: definition (common practice).
/// Limits: slip neglected, good above about 1 um.
pub fn aerodynamic_diameter(grain: Grain, diameter: f64) -> f64 {
    diameter * (grain.density / (1000.0 * grain.shape)).sqrt()
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

/// Concentration a time `t` s after a puff of `mass` kg in `volume` m3: `(m/V) exp(-k t)`, kg/m3,
/// with the removal rate k in 1/s. Source: linear differential equation, exact. Limits: well mixed;
/// no return from surfaces.
pub fn puff_concentration(mass: f64, volume: f64, rate: f64, t: f64) -> f64 {
    mass / volume * (-rate * t).exp()
}

/// Exposure between `from` and `to` s after a puff (0 <= from <= to), kg s/m3:
/// `(m/V)(exp(-k from) - exp(-k to))/k`. Puffs add, as the system is linear; over `to - from` it is
/// the time-weighted average.
pub fn puff_exposure(mass: f64, volume: f64, rate: f64, from: f64, to: f64) -> f64 {
    let start = puff_concentration(mass, volume, rate, from);
    let span = to - from;
    // expm1 keeps the digits where k (to - from) is small, and k = 0 is a plain rectangle.
    if rate == 0.0 { start * span } else { -start * (-rate * span).exp_m1() / rate }
}

/// Time a puff stays above a limit, s: `ln(C0/L)/k` if C0 > L, otherwise 0. Infinite at k = 0.
pub fn puff_time_above(start: f64, rate: f64, limit: f64) -> f64 {
    if start > limit { (start / limit).ln() / rate } else { 0.0 }
}

/// What equal puffs at equal spacing lead to in the long run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Periodic {
    /// Just after a puff, kg/m3.
    pub peak: f64,
    /// Just before the next one, kg/m3.
    pub trough: f64,
    /// Mean, kg/m3.
    pub mean: f64,
}

/// Long-run concentration of puffs that each add `step` kg/m3 every `spacing` s: peak
/// `C0/(1 - exp(-k tau))`, trough = peak exp(-k tau), mean `C0/(k tau)`. Source: geometric series,
/// exact. Limits: equal puffs, equal spacing, no return from surfaces.
pub fn periodic_puffs(step: f64, rate: f64, spacing: f64) -> Periodic {
    let peak = -step / (-rate * spacing).exp_m1();
    Periodic { peak, trough: peak * (-rate * spacing).exp(), mean: step / (rate * spacing) }
}

/// Concentration under a constant source of `source` kg/s, kg/m3:
/// `(S/(V k))(1 - exp(-k t)) + C(0) exp(-k t)`.
pub fn source_concentration(start: f64, source: f64, volume: f64, rate: f64, t: f64) -> f64 {
    let gone = -(-rate * t).exp_m1();
    start * (1.0 - gone) + source / (volume * rate) * gone
}

/// Largest single airborne release that keeps the average over `period` s at `limit` kg/m3, kg:
/// `L V k T/(1 - exp(-k T))`. Source: the exposure to one puff solved for its mass, exact. Limits:
/// the air is clean before; no return from surfaces.
pub fn largest_release(limit: f64, volume: f64, rate: f64, period: f64) -> f64 {
    let kt = rate * period;
    limit * volume * kt / -(-kt).exp_m1()
}

/// Fine dust of one bin that stands at the door in one period, and how fast the air loses it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FineDust {
    /// kg on all suits per period.
    pub mass: f64,
    /// Removal rate of this bin in the cabin (filter and settling), 1/s.
    pub rate: f64,
}

/// Break-even transfer fraction: the share of the fine dust on suits at the door that could come in
/// every `period` s before the long-run average reaches `limit` kg/m3. `None` where no dust comes.
///
/// `phi_max = L V T/(a sum_i m_i/k_i)`, with a the airborne share; with one bin L V k T/(m a).
/// Source: the exact mean of equal puffs at spacing T ([`periodic_puffs`]). Limits: return from
/// floors neglected. No transfer fraction is assumed, only the airborne share; above 1 all of it
/// could come in.
pub fn break_even_fraction(
    limit: f64,
    volume: f64,
    period: f64,
    airborne: f64,
    dust: &[FineDust],
) -> Option<f64> {
    let per_share: f64 = airborne * dust.iter().map(|d| d.mass / d.rate).sum::<f64>();
    (per_share > 0.0).then(|| limit * volume * period / per_share)
}

/// Mass left per bin after stages in series: `m prod(1 - e_i)`, each `removes[i]` per bin. Source:
/// definition of the fraction removed. Limits: a stage does not know what the one before removed.
pub fn after_stages(mass: [f64; BINS], removes: &[[f64; BINS]]) -> [f64; BINS] {
    removes.iter().fold(mass, |left, e| std::array::from_fn(|bin| left[bin] * (1.0 - e[bin])))
}

/// Limit on whole dust that follows from the limit on one constituent alone: `limit/share`. Source:
/// proportion. Limits: says nothing of what else the dust does.
pub fn limit_by_constituent(limit: f64, share: f64) -> f64 {
    limit / share
}

/// Lognormal mass distribution over diameter.
///
/// `F(d) = Phi(ln(d/median)/ln(gsd))`: share of the mass in grains finer than d. Source: lognormal
/// sizes (common practice). Limits: a fit of two published numbers; its fine tail is extrapolated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    median: f64,
    ln_gsd: f64,
}

impl Sizes {
    /// From the mass median (m) and the share of mass `finer` (0 to 0.5, exclusive) than `diameter`
    /// (below the median). `None` where these do not describe a distribution.
    pub fn from_fraction(median: f64, diameter: f64, finer: f64) -> Option<Self> {
        let sensible = finer > 0.0 && finer < 0.5 && diameter > 0.0 && diameter < median;
        sensible.then(|| Self {
            median,
            ln_gsd: (diameter / median).ln() / Normal::standard().inverse_cdf(finer),
        })
    }

    /// Geometric standard deviation, above 1.
    pub fn gsd(&self) -> f64 {
        self.ln_gsd.exp()
    }

    /// Share of the mass finer than `diameter` m.
    pub fn finer(&self, diameter: f64) -> f64 {
        Normal::standard().cdf((diameter / self.median).ln() / self.ln_gsd)
    }
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
        functions: &["dust::settling_speed", "dust::reynolds"],
        formula: "v = rho d^2 g Cc/(18 mu chi); Re = P v d/(Rs T mu)",
        symbols: "v m/s; rho kg/m3 of the grain; d m; g m/s2; Cc, chi (shape), Re pure; mu Pa s; \
                  P Pa; Rs 287.05 J/(kg K); T K",
        source: "Stokes' law with slip (common practice)",
        limits: "Re below about 0.1 (on the Moon at 56.5 kPa up to 50 um); gas density neglected; \
                 no charge, no clumping",
    },
    Relation {
        name: "aerodynamic diameter",
        functions: &["dust::aerodynamic_diameter"],
        formula: "d_ae = d sqrt(rho/(1000 chi))",
        symbols: "d_ae, d m; rho kg/m3; chi shape factor, pure",
        source: "definition (common practice)",
        limits: "slip neglected: above about 1 um; limits on dust are read as geometric diameter",
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
        name: "dust in air after a puff",
        functions: &[
            "dust::puff_concentration",
            "dust::puff_exposure",
            "dust::puff_time_above",
            "dust::source_concentration",
        ],
        formula: "C = (m/V) exp(-k t); exposure (m/V)(exp(-k a) - exp(-k b))/k; above a limit for \
                  ln(C0/L)/k; under a source (S/(V k))(1 - exp(-k t)) + C0 exp(-k t)",
        symbols: "C, C0, L kg/m3; m kg; V m3; k 1/s; t, a, b s; S kg/s; exposure kg s/m3",
        source: "linear differential equation, exact",
        limits: "well mixed; no return from surfaces (see air and floor of a room)",
    },
    Relation {
        name: "equal puffs at equal spacing",
        functions: &["dust::periodic_puffs"],
        formula: "peak C0/(1 - exp(-k tau)); trough = peak exp(-k tau); mean C0/(k tau)",
        symbols: "C0 kg/m3 that each puff adds; k 1/s; tau s",
        source: "geometric series, exact",
        limits: "in the long run; no return from surfaces",
    },
    Relation {
        name: "how much dust may come in",
        functions: &["dust::largest_release", "dust::break_even_fraction"],
        formula: "m_max = L V k T/(1 - exp(-k T)); phi_max = L V T/(a sum(m/k))",
        symbols: "m_max kg; L kg/m3 limit; V m3; k 1/s; T s averaging time or spacing; phi_max \
                  pure; a airborne share; m kg per period and bin",
        source: "exposure to puffs solved for their mass, exact",
        limits: "well mixed; no return from floors; above 1 all of the dust could come in",
    },
    Relation {
        name: "stages in series",
        functions: &["dust::after_stages"],
        formula: "m_out = m_in product(1 - e)",
        symbols: "m kg per size bin; e fraction a stage removes, per bin, pure",
        source: "definition of the fraction removed",
        limits: "a stage does not know what the one before removed; e below 10 um mostly assumed",
    },
    Relation {
        name: "limit by one constituent",
        functions: &["dust::limit_by_constituent"],
        formula: "limit on dust = limit on constituent/share",
        symbols: "limits kg/m3 (any unit of concentration); share by mass, pure",
        source: "proportion",
        limits: "says nothing of what else the dust does",
    },
    Relation {
        name: "sizes of dust",
        functions: &["dust::from_fraction", "dust::gsd", "dust::finer"],
        formula: "F(d) = Phi(ln(d/median)/ln(gsd)); ln(gsd) = ln(d1/median)/z(F1)",
        symbols: "F share of mass finer than d, pure; d, d1, median m; gsd pure; z normal quantile",
        source: "lognormal sizes (common practice); median and share are inputs",
        limits: "a fit of two published numbers: the share below 2.5 um is extrapolated",
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
        fn average_is_below_peak_and_both_grow_with_the_mass(
            mass in 1e-6..1e-2_f64, volume in 1.0..300.0_f64, rate in 1e-6..1e-2_f64,
            period in 1.0..1e6_f64,
        ) {
            let peak = puff_concentration(mass, volume, rate, 0.0);
            let exposure = |mass| puff_exposure(mass, volume, rate, 0.0, period);
            prop_assert!(exposure(mass) / period <= peak);
            prop_assert!((exposure(2.0 * mass) / exposure(mass) - 2.0).abs() < 1e-12);
            let release = largest_release(exposure(mass) / period, volume, rate, period);
            prop_assert!((release / mass - 1.0).abs() < 1e-9);
        }

        #[test]
        fn break_even_brings_the_long_run_average_to_the_limit(
            fine in prop::collection::vec((1e-6..1e-2_f64, 1e-5..1e-2_f64), 1..3),
            volume in 1.0..300.0_f64, airborne in 0.05..0.6_f64,
        ) {
            let day = 86_400.0;
            let dust: Vec<_> = fine.iter().map(|&(mass, rate)| FineDust { mass, rate }).collect();
            let phi = break_even_fraction(3e-7, volume, day, airborne, &dust).unwrap();
            let mean = |d: &FineDust| {
                periodic_puffs(phi * airborne * d.mass / volume, d.rate, day).mean
            };
            let average: f64 = dust.iter().map(mean).sum();
            prop_assert!((average / 3e-7 - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn sizes_refuse_what_is_no_distribution() {
        assert!(Sizes::from_fraction(70e-6, 20e-6, f64::NAN).is_none());
        assert!(Sizes::from_fraction(70e-6, 80e-6, 0.15).is_none());
        assert!(Sizes::from_fraction(70e-6, 20e-6, 0.5).is_none());
    }

    #[test]
    fn a_constant_source_levels_off() {
        assert_eq!(source_concentration(2.0, 3.0, 5.0, 0.1, 0.0), 2.0);
        assert!((source_concentration(2.0, 3.0, 5.0, 0.1, 1e4) - 6.0).abs() < 1e-12);
    }
}
