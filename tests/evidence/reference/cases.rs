//! What the library is asked, and what it says: one case per number, with the arguments that the
//! reference library needs to answer the same question.

use serde::Serialize;
use vestibule::base::law::{Law, normal_below};
use vestibule::base::stream::{Luck, fnv1a64};
use vestibule::base::units::{Dimension, parse};
use vestibule::physics::gas::{self, Mix, leak, pump, vent};
use vestibule::physics::mixed::{Mixed, Rates, Stock};
use vestibule::physics::{dust, prebreathe, suit};
use vestibule::stats::beta::{Tail, beta_quantile, binomial_at_most, binomial_quantile, student_t};
use vestibule::stats::interval;

/// One question and this library's answer.
#[derive(Serialize)]
pub struct Case {
    /// Name of the function of `formulas.py` that answers it.
    kind: &'static str,
    what: String,
    words: Vec<String>,
    numbers: Vec<f64>,
    got: f64,
}

/// Every case.
pub fn all() -> Vec<Case> {
    let mut c = Cases::default();
    density(&mut c);
    air_and_water(&mut c);
    units(&mut c);
    laws(&mut c);
    intervals(&mut c);
    pumping(&mut c);
    venting(&mut c);
    rooms(&mut c);
    tissue(&mut c);
    luck(&mut c);
    super::designs::ask(&mut c);
    c.0
}

/// Cases in the making.
#[derive(Default)]
pub struct Cases(Vec<Case>);

impl Cases {
    /// Adds a case.
    pub fn ask(&mut self, kind: &'static str, what: String, numbers: &[f64], got: f64) {
        self.0.push(Case { kind, what, words: vec![], numbers: numbers.to_vec(), got });
    }
}

/// Cabins, chambers at the pump's stop and suits, at the temperatures of a cabin.
fn density(c: &mut Cases) {
    let places = [
        ("sea-level cabin", 101.325e3, 0.209),
        ("cabin at 70.3 kPa", 70.3e3, 0.265),
        ("cabin at 56.5 kPa", 56.5e3, 0.34),
        ("chamber at the pump's stop", 13.79e3, 0.34),
        ("suit", 29.6e3, 1.0),
        ("suit that serves as at a port", 57.2e3, 1.0),
    ];
    for (name, pressure, oxygen) in places {
        for kelvin in [288.15, 294.26, 300.15] {
            let got = gas::density(pressure, Mix { oxygen }, kelvin);
            let what = format!("{name}: {pressure} Pa, O2 {oxygen}, {kelvin} K, kg/m3");
            c.ask("density", what, &[pressure, oxygen, kelvin], got);
        }
    }
}

fn air_and_water(c: &mut Cases) {
    for kelvin in [283.15, 294.26, 303.15] {
        let what = format!("viscosity of air at {kelvin} K, Pa s");
        c.ask("viscosity", what, &[kelvin], dust::viscosity(kelvin));
        for pressure in [101.325e3, 56.5e3] {
            let air = dust::Air { temperature: kelvin, pressure };
            let what = format!("mean free path in air at {kelvin} K, {pressure} Pa, m");
            c.ask("free_path", what, &[kelvin, pressure], dust::mean_free_path(air));
        }
    }
    let what = "heat of vaporisation of water at 0.01 degC, J/kg".into();
    c.ask("vaporisation", what, &[273.16], suit::VAPORISATION_HEAT);
    c.ask("gas_constant", "gas constant, J/(mol K)".into(), &[], gas::GAS_CONSTANT);
    let got = suit::OXYGEN_STPD_DENSITY;
    c.ask("density", "O2 at 0 degC and 1 atm, kg/m3".into(), &[101.325e3, 1.0, 273.15], got);
}

fn units(c: &mut Cases) {
    use Dimension::{Length, Mass, Power, Pressure, Temperature, Time, Volume};
    let asked = [
        ("psi", Pressure),
        ("mmHg", Pressure),
        ("atm", Pressure),
        ("bar", Pressure),
        ("lbm", Mass),
        ("ft3", Volume),
        ("in", Length),
        ("ft", Length),
        ("btu/h", Power),
        ("kcal/h", Power),
        ("degF", Temperature),
        ("degC", Temperature),
        ("d", Time),
    ];
    for (unit, dimension) in asked {
        let got = parse(&format!("10 {unit}"), dimension).expect("a unit of the files");
        let words = vec![unit.to_string()];
        let what = format!("10 {unit} in SI");
        c.0.push(Case { kind: "unit", what, words, numbers: vec![10.0], got });
    }
}

/// Quantiles in both tails, and the mean, of every law of a campaign file.
fn laws(c: &mut Cases) {
    let (low, mode, high) = (20.0, 30.0, 75.0);
    let laws: &[(&str, Law, &[f64])] = &[
        ("triangular", Law::Triangular { low, mode, high }, &[low, mode, high]),
        ("triangular", Law::Triangular { low: 1.0, mode: 1.0, high: 4.0 }, &[1.0, 1.0, 4.0]),
        ("log_triangular", Law::LogTriangular { low, mode, high }, &[low, mode, high]),
        (
            "log_triangular",
            Law::LogTriangular { low: 10.0, mode: 50.0, high: 250.0 },
            &[10.0, 50.0, 250.0],
        ),
        ("uniform", Law::Uniform { low, high }, &[low, high]),
        ("log_uniform", Law::LogUniform { low: 0.01, high: 0.1 }, &[0.01, 0.1]),
        ("cut_normal", Law::Normal { mean: 10.0, sd: 8.0 }, &[10.0, 8.0]),
        ("cut_normal", Law::Normal { mean: 30.0, sd: 2.0 }, &[30.0, 2.0]),
        ("lognormal", Law::Lognormal { median: 6.2e-4, error_factor: 5.0 }, &[6.2e-4, 5.0]),
        ("lognormal", Law::Lognormal { median: 3.75e-6, error_factor: 10.0 }, &[3.75e-6, 10.0]),
        ("weibull", Law::Weibull { life: 2000.0, shape: 1.5 }, &[2000.0, 1.5]),
        ("weibull", Law::Weibull { life: 500.0, shape: 0.7 }, &[500.0, 0.7]),
        ("exponential", Law::Exponential { rate: 1e-4 }, &[1e-4]),
        ("jeffreys_beta", Law::Evidence { failures: 1.0, demands: 956.0 }, &[1.0, 956.0]),
        ("jeffreys_beta", Law::Evidence { failures: 0.0, demands: 30.0 }, &[0.0, 30.0]),
        ("jeffreys_beta", Law::Evidence { failures: 14.0, demands: 239.0 }, &[14.0, 239.0]),
        ("jeffreys_gamma", Law::RateEvidence { events: 0.0, exposure: 3107.0 }, &[0.0, 3107.0]),
        ("jeffreys_gamma", Law::RateEvidence { events: 12.0, exposure: 1553.5 }, &[12.0, 1553.5]),
    ];
    for (name, law, numbers) in laws {
        let words = vec![name.to_string()];
        let mut numbers = numbers.to_vec();
        let what = format!("mean of {name} {numbers:?}");
        let (words2, numbers2) = (words.clone(), numbers.clone());
        c.0.push(Case { kind: "mean", what, words: words2, numbers: numbers2, got: law.mean() });
        for u in [1e-6, 0.01, 0.05, 0.3, 0.5, 0.7, 0.95, 0.99, 1.0 - 1e-6] {
            let what = format!("quantile {u} of {name} {numbers:?}");
            numbers.push(u);
            let (words, numbers2) = (words.clone(), numbers.clone());
            let got = law.quantile(u);
            c.0.push(Case { kind: "quantile", what, words, numbers: numbers2, got });
            numbers.pop();
        }
    }
    for z in [-8.0, -3.0, -0.1, 0.0, 1.96, 5.0] {
        c.ask("normal_below", format!("standard normal below {z}"), &[z], normal_below(z));
    }
}

fn intervals(c: &mut Cases) {
    for (seen, n) in [(0.0, 1000.0), (1.0, 1000.0), (14.0, 239.0), (999.0, 1000.0), (3.0, 1e6)] {
        let (low, high) = interval::clopper_pearson(seen, n, 0.05);
        for (side, got) in [("low", low), ("high", high)] {
            let what = format!("Clopper-Pearson {side} of {seen} in {n}");
            c.ask(if side == "low" { "exact_low" } else { "exact_high" }, what, &[seen, n], got);
        }
    }
    for (seen, n) in [(2_u64, 50_u64), (14, 239)] {
        let (low, high) = interval::wilson(seen, n, 0.05);
        let numbers = [seen as f64, n as f64];
        c.ask("wilson_low", format!("Wilson low of {seen} in {n}"), &numbers, low);
        c.ask("wilson_high", format!("Wilson high of {seen} in {n}"), &numbers, high);
    }
    for (a, b) in [(0.5, 30.5), (3.0, 98.0), (50.5, 999_950.5), (14.5, 225.5)] {
        for p in [1e-6, 0.025, 0.5, 0.975] {
            let (lower, upper) =
                (beta_quantile(a, b, p, Tail::Lower).0, beta_quantile(a, b, p, Tail::Upper).0);
            c.ask("beta_lower", format!("beta({a}, {b}) with {p} below"), &[a, b, p], lower);
            c.ask("beta_upper", format!("beta({a}, {b}) with {p} above"), &[a, b, p], upper);
        }
    }
    for freedom in [1.0, 9.0, 999.0, 1e6] {
        let got = student_t(freedom, 0.05);
        c.ask("student", format!("Student t, {freedom} degrees, 0.05 outside"), &[freedom], got);
    }
    for seen in [0_u64, 1, 20] {
        let (low, high) = interval::garwood(seen, 0.05);
        c.ask("poisson_low", format!("Poisson mean low, {seen} seen"), &[seen as f64], low);
        c.ask("poisson_high", format!("Poisson mean high, {seen} seen"), &[seen as f64], high);
    }
    for (n, q, k) in [(1000_u64, 0.05, 40_u64), (12_345, 0.5, 6200)] {
        let numbers = [n as f64, q, k as f64];
        let what = format!("binomial({n}, {q}) at most {k}");
        c.ask("binomial", what, &numbers, binomial_at_most(n, q, k));
        let got = binomial_quantile(n, q, 0.975) as f64;
        c.ask("binomial_rank", format!("binomial({n}, {q}) rank of 0.975"), &numbers, got);
    }
}

/// A pump, and what leaks in or out between events.
fn pumping(c: &mut Cases) {
    let speed = 0.40 / 60.0;
    let tight = pump::time(3.85, speed, 70.3e3, 13.79e3);
    let numbers = [3.85, speed, 0.0, 0.0, 70.3e3, 13.79e3];
    c.ask("pump_down", "pump-down, tight, s".into(), &numbers, tight);
    for (k1, k2) in [(2e-6, 5e-6), (3e-4, 1e-4)] {
        let paths = [
            leak::Path { conductance: k1, pressure: 70.3e3 },
            leak::Path { conductance: k2, pressure: 0.0 },
        ];
        let r = leak::Relaxation::of(4.0, &paths);
        let numbers = [4.0, k1, 70.3e3, k2, 0.0, 30e3, 6.0 * 3600.0];
        let what = format!("pressure after 6 h between leaks of {k1} and {k2} m3/s, Pa");
        c.ask("relax_pressure", what, &numbers, r.after(30e3, 6.0 * 3600.0));
        let what = format!("gas lost in 6 h between leaks of {k1} and {k2} m3/s, Pa m3");
        c.ask("relax_loss", what, &numbers, -r.inflow(paths[1], 30e3, 6.0 * 3600.0));
    }
}

/// Valves, choked alone, choked then subsonic, subsonic alone.
fn venting(c: &mut Cases) {
    let mix = Mix { oxygen: 0.34 };
    let runs = [
        ("cabin, vacuum", 60.0, 0.05, 56.5e3, 1e3, 0.0),
        ("cabin, Mars", 60.0, 0.05, 56.5e3, 1.7e3, 700.0),
        ("chamber, Mars, choked then subsonic", 4.25, 0.025, 56.5e3, 0.75e3, 700.0),
        ("chamber into another at 10 kPa", 4.25, 0.025, 70.3e3, 10.1e3, 10e3),
        ("subsonic alone", 4.25, 0.025, 1.2e3, 0.71e3, 700.0),
    ];
    for (name, volume, diameter, from, to, ambient) in runs {
        let hole = vent::Orifice::round(diameter, 0.8);
        let got = vent::time(volume, hole, (from, to), ambient, mix, 294.26).expect("reached");
        let numbers = [volume, diameter, 0.8, from, to, ambient, 0.34, 294.26];
        c.ask("vent", format!("venting: {name}: {from} to {to} Pa, s"), &numbers, got);
    }
}

/// Dust between air and floor, from the size of a grain to what is breathed.
fn rooms(c: &mut Cases) {
    let habitat = |diameter: f64, resuspend: f64| {
        let grain = dust::Grain { density: 3100.0, shape: 1.4 };
        let air = dust::Air { temperature: 294.26, pressure: 70.3e3 };
        let speed = dust::settling_speed(grain, diameter, 1.62, air);
        let deposit = dust::deposition_rate(speed, 2.2, 1.5);
        let filter = dust::filter_rate(0.9997, 300.0 / 3600.0, 80.0);
        Rates { filter, deposit, resuspend, clean: 0.0 }
    };
    let cases = [
        ("fine bin of a habitat", habitat(1.2e-6, 1e-5 / 3600.0)),
        ("second bin of a habitat", habitat(5e-6, 1e-3 / 3600.0)),
        ("no return", habitat(5e-6, 0.0)),
        ("much return, no filter", Rates { filter: 0.0, ..habitat(5e-6, 1e-3) }),
        ("with cleaning", Rates { clean: 2e-5, ..habitat(5e-6, 1e-4) }),
    ];
    let start = Stock { air: 2e-3, floor: 30e-3 };
    for (name, rates) in cases {
        let m = Mixed::new(rates);
        for hours in [0.1, 1.0, 24.0, 24.0 * 30.0] {
            let dt = hours * 3600.0;
            let step = m.after(start, dt);
            let Rates { filter, deposit, resuspend, clean } = rates;
            let numbers = [filter, deposit, resuspend, clean, start.air, start.floor, dt];
            let says = |part: &str| format!("{name}, {hours} h: {part}");
            c.ask("room_air", says("air, kg"), &numbers, step.stock.air);
            c.ask("room_floor", says("surfaces, kg"), &numbers, step.stock.floor);
            c.ask("room_breathed", says("integral of air, kg s"), &numbers, step.airborne);
        }
    }
    let rates = Rates { filter: 5e-4, deposit: 0.0, resuspend: 0.0, clean: 0.0 };
    let until = |t| Mixed::new(rates).after(Stock { air: 2e-3, floor: 0.0 }, t).airborne / 80.0;
    let got = until(86_400.0) - until(600.0);
    let numbers = [2e-3, 80.0, 5e-4, 600.0, 86_400.0];
    c.ask("puff", "exposure after a puff, kg s/m3".into(), &numbers, got);
}

fn tissue(c: &mut Cases) {
    let saturated = prebreathe::breathed_nitrogen(101.325e3, 0.209);
    let half = prebreathe::SLOW_HALF_TIME;
    for minutes in [40.0, 240.0] {
        let got = prebreathe::tissue_after(saturated, 3.0e3, minutes * 60.0, half);
        let what = format!("tissue N2 after {minutes} min at 3 kPa breathed, Pa");
        c.ask("tissue", what, &[saturated, 3.0e3, minutes * 60.0, half], got);
    }
    let wanted = prebreathe::Wanted { ratio: 1.65, suit_pressure: 29.6e3, half_time: half };
    let got = prebreathe::required_time(saturated, 3.0e3, wanted).expect("reached");
    let numbers = [saturated, 3.0e3, 1.65 * 29.6e3, half];
    c.ask("tissue_time", "prebreathe to a ratio of 1.65, s".into(), &numbers, got);
}

/// Uniform numbers by address. Words of 64 bits travel as text.
fn luck(c: &mut Cases) {
    let path = fnv1a64("habitat/main/outer/stuck shut");
    let addresses = [
        (20_261_125_u64, 0_u64, path, 0_u64, 1_u32),
        (1, 4711, path, 17, 3),
        (u64::MAX, u64::MAX, u64::MAX, u64::MAX, u32::MAX),
        (7, 0, 0, 0, 0),
    ];
    for (seed, campaign, path, occasion, purpose) in addresses {
        let luck = Luck::new(seed);
        for index in [0, 3, 6] {
            let got = luck.uniform(campaign, path, occasion, purpose, index);
            let words = [seed, campaign, path, occasion, u64::from(purpose)];
            let words = words.map(|w| w.to_string()).to_vec();
            let what = format!("uniform {index} at seed {seed}, campaign {campaign}");
            c.0.push(Case {
                kind: "random_numbers",
                what,
                words,
                numbers: vec![f64::from(index)],
                got,
            });
        }
    }
}
