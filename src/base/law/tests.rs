//! Checks of the laws against tables, against `statrs` and against each other.

use super::*;
use proptest::prelude::*;
use statrs::distribution::{Beta, ContinuousCDF, Gamma, LogNormal, Normal, Triangular, Weibull};

// Laws by their numbers in the order of the file keys, so that the tables below stay readable.
fn triangular(low: f64, mode: f64, high: f64) -> Law {
    Law::Triangular { low, mode, high }
}
fn log_triangular(low: f64, mode: f64, high: f64) -> Law {
    Law::LogTriangular { low, mode, high }
}
fn uniform(low: f64, high: f64) -> Law {
    Law::Uniform { low, high }
}
fn log_uniform(low: f64, high: f64) -> Law {
    Law::LogUniform { low, high }
}
fn normal(mean: f64, sd: f64) -> Law {
    Law::Normal { mean, sd }
}
fn lognormal(median: f64, error_factor: f64) -> Law {
    Law::Lognormal { median, error_factor }
}
fn weibull(life: f64, shape: f64) -> Law {
    Law::Weibull { life, shape }
}
fn exponential(rate: f64) -> Law {
    Law::Exponential { rate }
}
fn bernoulli(probability: f64) -> Law {
    Law::Bernoulli { probability }
}
fn evidence(failures: f64, demands: f64) -> Law {
    Law::Evidence { failures, demands }
}
fn rate_evidence(events: f64, exposure: f64) -> Law {
    Law::RateEvidence { events, exposure }
}

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found}, not {expected}");
}

#[test]
fn the_registry_covers_every_law() {
    for (place, entry) in LAWS.iter().enumerate() {
        assert_eq!(entry.example.entry().name, entry.name);
        assert_eq!(entry.example.check(), Ok(()), "{}", entry.name);
        assert!(LAWS[place + 1..].iter().all(|other| other.name != entry.name));
        let (formula, mean, units) = (entry.formula, entry.mean, entry.units);
        for text in [entry.written, formula, mean, units, entry.meaning, entry.source, entry.limits]
        {
            assert!(!text.is_empty(), "{}", entry.name);
        }
    }
}

/// The documentation of every kind of law says what the registry says.
#[test]
fn registry_and_documentation_say_the_same() {
    let docs: String = include_str!("../law.rs")
        .lines()
        .filter_map(|line| line.trim_start().strip_prefix("///"))
        .flat_map(str::split_whitespace)
        .collect::<Vec<_>>()
        .join(" ");
    for entry in LAWS {
        let (formula, mean, units) = (entry.formula, entry.mean, entry.units);
        for text in [
            format!("Value: `{formula}`. Mean: `{mean}`. Units: {units}."),
            format!("Source: {}. Limits: {}.", entry.source, entry.limits),
        ] {
            assert!(docs.contains(&text), "{}: law.rs does not say: {text}", entry.name);
        }
    }
}

/// Mean in closed form against the integral of the quantile over u, with u = 1/(1 + exp(-2 s)),
/// s = (pi/2) sinh t, so that the tails are resolved (double exponential rule; common practice).
#[test]
fn means_are_integrals_of_quantiles() {
    let more = [
        Law::Fixed(7.0),
        log_triangular(2.0, 2.0, 3.0),
        log_triangular(1.0, 1.01, 1.01),
        normal(0.5, 4.0),
        weibull(10.0, 0.7),
        lognormal(2.0, 10.0),
        evidence(0.0, 100.0),
        rate_evidence(0.0, 1_000.0),
    ];
    let laws = LAWS.iter().map(|e| e.example).chain(more);
    for law in laws.filter(|l| !matches!(l, Law::Bernoulli { .. })) {
        let prepared = Prepared::new(law);
        let step = 1.0 / 512.0;
        let mut sum = 0.0;
        for i in -1_536..=1_536 {
            let t = f64::from(i) * step;
            let s = std::f64::consts::PI * t.sinh();
            let u = 1.0 / (1.0 + (-s).exp());
            let slope = std::f64::consts::PI * t.cosh() * u / (1.0 + s.exp());
            if u > 0.0 && u < 1.0 {
                sum += prepared.quantile(u) * slope * step;
            }
        }
        near(sum, law.mean(), 2e-6);
    }
    assert_eq!(bernoulli(0.3).mean(), 0.3);
}

/// Forward through the distribution functions of an independent library.
#[test]
fn quantiles_invert_distribution_functions() {
    let uniforms = [1e-12, 1e-6, 0.01, 0.2, 0.25, 0.5, 0.75, 0.99, 1.0 - 1e-6, 1.0 - 1e-12];
    let known_triangular = Triangular::new(2.0, 8.0, 3.0).unwrap();
    let known_weibull = Weibull::new(2.5, 400.0).unwrap();
    let known_lognormal = LogNormal::new(1e-3f64.ln(), 5f64.ln() / Z95).unwrap();
    let known_beta = Beta::new(2.5, 73.5).unwrap();
    let known_gamma = Gamma::new(2.5, 1e5).unwrap();
    for u in uniforms {
        let at = |law: Law| law.quantile(u);
        let pairs = [
            known_triangular.cdf(at(triangular(2.0, 3.0, 8.0))),
            known_weibull.cdf(at(weibull(400.0, 2.5))),
            known_lognormal.cdf(at(lognormal(1e-3, 5.0))),
            known_beta.cdf(at(evidence(2.0, 75.0))),
            known_gamma.cdf(at(rate_evidence(2.0, 1e5))),
            -(-1e-4 * at(exponential(1e-4))).exp_m1(),
        ];
        for (which, back) in pairs.into_iter().enumerate() {
            assert!((back - u).abs() <= 1e-9 * u + 1e-15, "{which}: {back}, not {u}");
        }
    }
}

#[test]
fn normal_quantile_inverts_the_normal_law() {
    near(normal_quantile(0.95), Z95, 1e-15);
    near(normal_quantile(0.975), 1.959_963_984_540_054, 1e-15);
    assert_eq!(normal_quantile(0.5), 0.0);
    // Computed to 40 digits by root finding on the complementary error function.
    for (u, z) in [
        (0.3, -0.524_400_512_708_040_8),
        (5e-4, -3.290_526_731_491_895),
        (1e-6, -4.753_424_308_822_899),
        (1e-20, -9.262_340_089_798_408),
        (1e-200, -30.205_594_179_579_64),
    ] {
        near(normal_quantile(u), z, 2e-15);
    }
    // The other library's error function is good to some 1e-10 only.
    let known = Normal::standard();
    for i in 1..2_000 {
        let u = f64::from(i) / 2_000.0;
        near(normal_below(normal_quantile(u)), u, 1e-9);
        let z = known.inverse_cdf(u);
        assert!((normal_quantile(u) - z).abs() <= 1e-9, "{u}");
        assert!((normal_quantile(u) + normal_quantile(1.0 - u)).abs() <= 1e-12);
    }
    // The tails, across the borders of the three ranges.
    for exponent in 1..300 {
        let u = 10f64.powi(-exponent);
        near(normal_below(normal_quantile(u)), u, 1e-9);
    }
}

/// Jeffreys posteriors: method of NUREG/CR-6823 and NASA/SP-2009-569 (from memory), numbers
/// computed independently with scipy 1.17 and given to ten digits; 1e-9 is their last digit.
#[test]
fn jeffreys_posteriors() {
    let demands: [(f64, f64, f64, [f64; 3]); 6] = [
        (0.0, 100.0, 4.950495050e-3, [1.961141746e-5, 2.266429229e-3, 1.897688770e-2]),
        (1.0, 100.0, 1.485148515e-2, [1.762096254e-3, 1.178956169e-2, 3.841478809e-2]),
        (2.0, 75.0, 3.289473684e-2, [7.684324252e-3, 2.887943042e-2, 7.184491523e-2]),
        (8.0, 75.0, 1.118421053e-1, [5.908866924e-2, 1.084367163e-1, 1.762366681e-1]),
        (3.0, 1_000.0, 3.496503497e-3, [1.084443442e-3, 3.171838298e-3, 7.017642212e-3]),
        (0.0, 1_000.0, 4.995004995e-4, [1.965576612e-6, 2.273854945e-4, 1.918406712e-3]),
    ];
    let exposures: [(f64, f64, f64, [f64; 3]); 3] = [
        (0.0, 1e3, 5.0e-4, [1.966070000e-6, 2.274682116e-4, 1.920729410e-3]),
        (2.0, 1e5, 2.5e-5, [5.727381130e-6, 2.175730096e-5, 5.535248847e-5]),
        (10.0, 1e3, 1.05e-2, [5.795652604e-3, 1.016861378e-2, 1.633528667e-2]),
    ];
    let laws = demands
        .map(|(failures, demands, m, q)| (evidence(failures, demands), m, q))
        .into_iter()
        .chain(exposures.map(|(events, exposure, m, q)| (rate_evidence(events, exposure), m, q)));
    for (law, mean, quantiles) in laws {
        near(law.mean(), mean, 1e-9);
        for (u, expected) in [0.05, 0.5, 0.95].into_iter().zip(quantiles) {
            near(law.quantile(u), expected, 1e-9);
        }
    }
}

/// The quantiles of the general conjugate updates, same source.
#[test]
fn other_conjugate_posteriors() {
    near(posterior::gamma_quantile(4.5, 3_000.0, 0.05), 5.541854738e-4, 1e-9);
    near(posterior::gamma_quantile(4.5, 3_000.0, 0.95), 2.819829601e-3, 1e-9);
    near(posterior::beta_quantile(3.0, 147.0, 0.05), 5.509808498e-3, 1e-9);
    near(posterior::beta_quantile(3.0, 147.0, 0.95), 4.164864794e-2, 1e-9);
}

/// Beta(1, b) and Beta(a, 1) have closed forms: 1 - (1-u)^(1/b) and u^(1/a).
#[test]
fn posteriors_with_closed_forms() {
    for u in [1e-15f64, 1e-9, 1e-3, 0.3, 0.7, 0.999, 1.0 - 1e-9] {
        let expected = -((-u).ln_1p() / 40.0).exp_m1();
        near(posterior::beta_quantile(1.0, 40.0, u), expected, 1e-12);
        near(posterior::beta_quantile(40.0, 1.0, u), u.powf(1.0 / 40.0), 1e-12);
        near(posterior::gamma_quantile(1.0, 5.0, u), -(-u).ln_1p() / 5.0, 1e-12);
    }
}

/// Error factors (relation: common practice, from memory; numbers computed independently to nine
/// decimals).
#[test]
fn error_factors() {
    let table = [
        (3.0, 0.667908847, 1.249884458),
        (5.0, 0.978468774, 1.613975792),
        (10.0, 1.399872338, 2.663980098),
        (15.0, 1.646377621, 3.877845188),
        (30.0, 2.067781185, 8.481264161),
    ];
    for (error_factor, s, mean_over_median) in table {
        let law = lognormal(1.0, error_factor);
        near(prepared::sigma(error_factor), s, 1e-8);
        near(law.mean(), mean_over_median, 1e-8);
        near(law.quantile(0.95), error_factor, 1e-13);
        near(law.quantile(0.05), 1.0 / error_factor, 1e-13);
    }
    let law = lognormal(3.753781798e-4, 10.0);
    near(law.mean(), 1e-3, 1e-8);
    near(law.quantile(0.95), 3.753781798e-3, 1e-12);
}

/// Weibull lives (forms: common practice; numbers computed independently to ten digits): mean,
/// median or none, and the life that 10 % do not reach.
#[test]
fn weibull_lives() {
    let table = [
        (2.5, 400.0, 354.905527001, 162.603970589),
        (1.5, 8_000.0, 7_221.962343607, 1_784.604205095),
        (2.0, 1_000.0, 886.226925453, 324.592845975),
    ];
    for (shape, life, mean, b10) in table {
        let law = weibull(life, shape);
        near(law.mean(), mean, 1e-11);
        near(law.quantile(0.1), b10, 1e-11);
        near(law.quantile(-(-1f64).exp_m1()), life, 1e-14);
    }
    near(weibull(400.0, 2.5).quantile(0.5), 345.453960241, 1e-11);
    near(weibull(400.0, 2.5).quantile(3.076676552366e-2), 100.0, 1e-11);
}

#[test]
fn bernoulli_happens_with_its_chance() {
    let law = bernoulli(0.25);
    assert_eq!((law.quantile(0.7499), law.quantile(0.7501)), (0.0, 1.0));
    let (never, always) = (bernoulli(0.0), bernoulli(1.0));
    let greatest = 1.0 - f64::EPSILON / 2.0;
    assert_eq!((never.quantile(greatest), always.quantile(1e-300)), (0.0, 1.0));
}

#[test]
fn laws_without_spread_are_fixed() {
    for law in [
        triangular(2.0, 2.0, 2.0),
        log_triangular(2.0, 2.0, 2.0),
        uniform(2.0, 2.0),
        log_uniform(2.0, 2.0),
        normal(2.0, 0.0),
    ] {
        assert_eq!(law.check(), Ok(()));
        assert_eq!((law.fixed(), law.mean()), (Some(2.0), 2.0));
        assert_eq!((law.least(), law.greatest(), law.quantile(0.3)), (2.0, 2.0, 2.0));
    }
    assert_eq!(exponential(0.0).quantile(0.5), f64::INFINITY);
    assert!(Law::Fixed(f64::INFINITY).check().is_ok());
    assert!(LAWS[1..].iter().all(|e| !e.example.is_fixed()));
}

#[test]
fn what_is_no_law_is_refused() {
    let nan = f64::NAN;
    let refused = [
        Law::Fixed(nan),
        triangular(2.0, 1.0, 3.0),
        triangular(1.0, nan, 3.0),
        triangular(1.0, 2.0, f64::INFINITY),
        log_triangular(0.0, 1.0, 2.0),
        uniform(2.0, 1.0),
        log_uniform(-1.0, 1.0),
        normal(1.0, -1.0),
        normal(-1.0, 1.0),
        lognormal(0.0, 3.0),
        lognormal(1.0, 1.0),
        weibull(1.0, 0.0),
        weibull(nan, 1.0),
        exponential(-1.0),
        bernoulli(1.01),
        bernoulli(nan),
        evidence(3.0, 2.0),
        evidence(-1.0, 2.0),
        evidence(0.0, 0.0),
        rate_evidence(1.0, 0.0),
        rate_evidence(nan, 1.0),
    ];
    for law in refused {
        let said = law.check().expect_err(law.entry().name).to_string();
        assert!(said.contains(law.entry().name), "{said}");
    }
    let said = triangular(2.0, 1.0, 3.0).check().unwrap_err();
    assert_eq!(said.to_string(), "triangular law: `low` is above `mode`; write `low` <= `mode`");
    let said = lognormal(1.0, 0.5).check().unwrap_err();
    assert_eq!(said.to_string(), "lognormal law: `error_factor` must be above 1");
}

proptest! {
    /// Every quantile grows with u and stays within the bounds that the law states.
    #[test]
    fn quantiles_are_monotone(u in 1e-9..1.0f64, v in 1e-9..1.0f64, which in 0..12usize) {
        let law = LAWS[which].example;
        let (low, high) = (law.quantile(u.min(v)), law.quantile(u.max(v)));
        // Iterated inversion is monotone to its last digits.
        let slack = if which >= 10 { 1e-12 * high } else { 0.0 };
        prop_assert!(low <= high + slack);
        prop_assert!(law.least() <= low && high <= law.greatest());
    }

    /// A triangle anywhere, also with its mode at an end, passes its mode at the knee.
    #[test]
    fn triangles_bend_at_the_mode(low in -5.0..5.0f64, rise in 0.0..3.0f64, fall in 0.0..3.0f64) {
        let law = triangular(low, low + rise, low + rise + fall);
        prop_assert_eq!(law.check(), Ok(()));
        let knee = rise / (rise + fall);
        if knee > 0.0 && knee < 1.0 {
            prop_assert!((law.quantile(knee) - low - rise).abs() <= 1e-7);
        }
    }
}
