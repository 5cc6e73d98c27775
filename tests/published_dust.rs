//! Dust: published values and worked checks, row by row.
//!
//! "source" rows are tied to a number somebody published, "formula" rows pin the code to its
//! equation and prove nothing about nature, "identity" rows follow from the mathematics alone.
//! Where the value was not read in its source, the row says "from memory".

use vestibule::physics::dust::{self, Air, FineDust, Grain, Sizes};
use vestibule::physics::mixed::{Mixed, Rates, Stock};

const HOUR: f64 = 3600.0;
const MG: f64 = 1e-6;
const UM: f64 = 1e-6;

/// Room air of the handbook tables.
const ROOM: Air = Air { temperature: 293.15, pressure: 101_325.0 };
/// Air of a cabin at 56.5 kPa.
const CABIN: Air = Air { temperature: 293.15, pressure: 56_500.0 };
const MOON: f64 = 1.62;
const MARS: f64 = 3.71;
/// Spheres of unit density.
const UNIT: Grain = Grain { density: 1000.0, shape: 1.0 };
/// Lunar grains taken as spheres.
const LUNAR: Grain = Grain { density: 3100.0, shape: 1.0 };

/// One line of a table: what, ours, expected, relative tolerance, where the expected value is from.
type Row = (String, f64, f64, f64, &'static str);

fn row(what: &str, got: f64, expected: f64, tolerance: f64, from: &'static str) -> Row {
    (what.to_string(), got, expected, tolerance, from)
}

/// Fails with every line that is off, not only the first.
fn check(rows: &[Row]) {
    let off: Vec<String> = rows
        .iter()
        .filter(|(_, got, expected, tolerance, _)| {
            let close = (got - expected).abs() <= tolerance * expected.abs();
            !close
        })
        .map(|(what, got, expected, tolerance, from)| {
            format!("{what}: {got} against {expected} within {tolerance} ({from})")
        })
        .collect();
    assert!(off.is_empty(), "\n{}", off.join("\n"));
}

fn fall(grain: Grain, diameter_um: f64, gravity: f64, air: Air) -> f64 {
    dust::settling_speed(grain, diameter_um * UM, gravity, air)
}

#[test]
fn air() {
    let formula = "formula";
    let slip = |d: f64| dust::slip_correction(dust::mean_free_path(CABIN), d * UM);
    let slip_room = |d: f64| dust::slip_correction(dust::mean_free_path(ROOM), d * UM);
    let mut rows = vec![
        row("C1 viscosity, Pa s", dust::viscosity(293.15), 1.8133e-5, 1e-3, formula),
        row("C1 viscosity, Pa s", dust::viscosity(293.15), 1.81e-5, 5e-3, "handbook, from memory"),
        row(
            "viscosity at 0 C",
            dust::viscosity(273.15),
            1.7218e-5,
            5e-3,
            "a printed tabulation of air viscosity (title not kept)",
        ),
        row(
            "viscosity at 25 C",
            dust::viscosity(298.15),
            1.8447e-5,
            5e-3,
            "a printed tabulation of air viscosity (title not kept)",
        ),
        row("C2 mean free path, m", dust::mean_free_path(CABIN), 119.08e-9, 1e-3, formula),
        row(
            "mean free path at 293 K, 1 atm",
            dust::mean_free_path(ROOM),
            0.066e-6,
            1e-2,
            "source: University of Florida aerosol course, section 6",
        ),
        row("C3b slip, 1 um, 1 atm", slip_room(1.0), 1.155, 2e-2, "Hinds, from memory"),
        row(
            "C3b slip, 1 um, 1 atm",
            slip_room(1.0),
            1.15,
            2e-2,
            "source: University of Florida aerosol course, section 6",
        ),
        row("C3c slip, 1 um, 56.5 kPa", slip(1.0), 1.3003, 1e-3, formula),
    ];
    let table = [
        (0.1, 2.85),
        (0.2, 1.865),
        (0.5, 1.326),
        (1.0, 1.164),
        (2.0, 1.082),
        (5.0, 1.032),
        (10.0, 1.016),
    ];
    rows.extend(table.map(|(d, expected)| {
        let got = dust::slip_correction(65.1e-9, d * UM);
        let from = "source: Seinfeld & Pandis Table 9.3, as quoted on a course page";
        row(&format!("C3a slip, {d} um"), got, expected, 1.5e-2, from)
    }));
    check(&rows);
}

#[test]
fn settling() {
    let table = "source: National Academies, Clearing the Air (2000), App. A p. 409-414";
    let hinds = "Hinds, from memory";
    // The 5 um entry lost its exponent in the copy that was read; it is taken as 1e-4.
    let speeds = [
        (0.2, 2.2e-6, table),
        (0.5, 1.0e-5, table),
        (1.0, 3.5e-5, table),
        (5.0, 7.8e-4, table),
        (10.0, 3.06e-3, hinds),
        (20.0, 0.012, table),
        (30.0, 0.027, table),
        (50.0, 0.075, table),
    ];
    let mut rows: Vec<Row> = speeds
        .map(|(d, v, from)| {
            row(&format!("C4a speed, {d} um"), fall(UNIT, d, 9.81, ROOM), v, 4e-2, from)
        })
        .to_vec();
    let times = [
        (0.2, 5.3 * 24.0 * HOUR),
        (0.5, 28.0 * HOUR),
        (1.0, 7.9 * HOUR),
        (5.0, 21.0 * 60.0),
        (10.0, 330.0),
        (20.0, 83.0),
        (30.0, 37.0),
        (50.0, 13.0),
    ];
    rows.extend(times.map(|(d, t)| {
        row(&format!("C4b time for 1 m, {d} um"), 1.0 / fall(UNIT, d, 9.81, ROOM), t, 5e-2, table)
    }));
    let moon = [(1.0, 2.0007e-5), (2.5, 1.0768e-4), (5.0, 4.0768e-4), (10.0, 1.5847e-3)];
    rows.extend(moon.map(|(d, v)| {
        row(&format!("C5a speed, {d} um"), fall(LUNAR, d, MOON, CABIN), v, 1e-3, "formula")
    }));
    let ratio = fall(LUNAR, 5.0, MARS, CABIN) / fall(LUNAR, 5.0, MOON, CABIN);
    rows.push(row("C5b Mars over Moon", ratio, 3.71 / 1.62, 1e-9, "formula"));
    let fifty = dust::reynolds(fall(LUNAR, 50.0, MOON, CABIN), 50.0 * UM, CABIN);
    rows.push(row("Reynolds number, 50 um", fifty, 0.07, 5e-2, "formula"));
    let aerodynamic = dust::aerodynamic_diameter(LUNAR, 10.0 * UM) / UM;
    // Printed to five digits: half of the last one is 2.8e-5.
    rows.push(row("C19 aerodynamic diameter, um", aerodynamic, 17.607, 3e-5, "formula"));
    let exact = 10.0 * 3.1_f64.sqrt();
    rows.push(row("C19 aerodynamic diameter, um", aerodynamic, exact, 1e-12, "formula"));
    check(&rows);
}

/// Removal rate of 5 um grains in the room of C6, 1/s.
fn room_rate() -> f64 {
    let deposit = dust::deposition_rate(fall(LUNAR, 5.0, MOON, CABIN), 2.2, 1.0);
    deposit + dust::filter_rate(0.9997, 300.0 / HOUR, 60.0)
}

#[test]
fn one_puff() {
    let from = "formula";
    let deposit = dust::deposition_rate(fall(LUNAR, 5.0, MOON, CABIN), 2.2, 1.0);
    let k = room_rate();
    let day = 24.0 * HOUR;
    let mean = |hours: f64| dust::puff_exposure(100.0 * MG, 60.0, k, 0.0, hours * HOUR);
    let start = dust::puff_concentration(100.0 * MG, 60.0, k, 0.0);
    check(&[
        row("C6 settling, 1/h", deposit * HOUR, 0.6671, 1e-3, from),
        row("C6 removal, 1/h", k * HOUR, 5.6656, 1e-3, from),
        row("C6 half-life, min", 2_f64.ln() / k / 60.0, 7.341, 1e-3, from),
        row("C7 start, mg/m3", start / MG, 1.66667, 1e-3, from),
        row("C7 8 h average", mean(8.0) / (8.0 * HOUR) / MG, 0.036772, 1e-3, from),
        row("C7 24 h average", mean(24.0) / day / MG, 0.012257, 1e-3, from),
        row("C7 min above", dust::puff_time_above(start, k, 0.3 * MG) / 60.0, 18.160, 1e-3, from),
        row("C7 max, mg", dust::largest_release(0.3 * MG, 60.0, k, day) / MG, 2447.5, 1e-3, from),
    ]);
}

#[test]
fn several_puffs() {
    let from = "formula";
    let mean = |hours: f64| dust::puff_exposure(1.0, 1.0, 3.0, 0.0, hours) / hours;
    let long_run = dust::periodic_puffs(1.0, 1.0, 2.0);
    let k = 0.4 / HOUR;
    let starts = [0.0, 6.0, 30.0];
    let second_day: f64 = starts
        .map(|at: f64| {
            let since = (24.0 - at).max(0.0) * HOUR;
            dust::puff_exposure(100.0 * MG, 50.0, k, since, (48.0 - at) * HOUR)
        })
        .iter()
        .sum();
    let at_30: f64 = starts
        .map(|at| dust::puff_concentration(100.0 * MG, 50.0, k, (30.0 - at) * HOUR))
        .iter()
        .sum();
    let day = 24.0 * HOUR;
    let bins = [(20.0, 4.05), (180.0, 4.70)];
    let two: f64 =
        bins.iter().map(|(m, k)| dust::puff_exposure(m * MG, 50.0, k / HOUR, 0.0, day)).sum();
    let lock = dust::puff_exposure(2500.0 * MG, 10.0, 20.0 / HOUR, 0.0, 0.5 * HOUR);
    check(&[
        row("C8 1 h", mean(1.0), 0.316737644, 1e-8, from),
        row("C8 8 h", mean(8.0), 0.0416666667, 1e-8, from),
        row("C8 24 h", mean(24.0), 0.0138888889, 1e-8, from),
        row("C9 peak", long_run.peak, 1.156517643, 1e-8, from),
        row("C9 trough", long_run.trough, 0.156517643, 1e-8, from),
        row("C9 mean", long_run.mean, 0.5, 1e-8, from),
        row("C10 second day, mg/m3", second_day / day / MG, 0.20834743, 1e-6, from),
        row("C10 at 30 h, mg/m3", at_30 / MG, 2.00014775, 1e-6, from),
        row("C11 two bins, mg/m3", two / day / MG, 0.036030, 1e-4, from),
        row("C21 doffing, mg h/m3", lock / MG / HOUR, 12.4994, 1e-4, from),
        row("C21 share of the day, mg/m3", lock / MG / day, 0.5208, 1e-4, from),
    ]);
}

#[test]
fn air_and_floor() {
    let rates = |clean: f64| Rates { filter: 5.0, deposit: 0.69, resuspend: 1e-3, clean };
    let start = Stock { air: 100.0, floor: 0.0 };
    let closed = Mixed::new(rates(0.0));
    let cleaned = Mixed::new(rates(0.05));
    let (a, b) = (closed.after(start, 10.0), cleaned.after(start, 10.0));
    // Long after all is gone; the slow root of the uncleaned room is about 8.8e-4.
    let (a_end, b_end) = (closed.after(start, 1e6), cleaned.after(start, 1e6));
    let rk4 = "formula, checked by Runge-Kutta steps";
    check(&[
        row("C12 air, c = 0", a.stock.air, 2.11316411e-3, 1e-7, rk4),
        row("C12 floor, c = 0", a.stock.floor, 12.0220471, 1e-7, rk4),
        row("C12 air, c = 0.05", b.stock.air, 1.30454134e-3, 1e-7, rk4),
        row("C12 floor, c = 0.05", b.stock.floor, 7.35646823, 1e-7, rk4),
        row("C12 integral of A, c = 0.05", b.airborne, 17.5909396, 1e-7, rk4),
        row("C13 c = 0: all is filtered", a_end.airborne, 20.0, 1e-9, "identity"),
        row("C13 c = 0.05", b_end.airborne, 17.6165803, 1e-8, "identity, as printed"),
        row(
            "C13 c = 0.05",
            b_end.airborne,
            100.0 / (5.0 + 0.69 * 0.05 / (0.001 + 0.05)),
            1e-9,
            "identity",
        ),
    ]);
}

#[test]
fn stages_limits_and_sizes() {
    let left = dust::after_stages([100.0; 4], &[[0.5; 4], [0.8; 4], [0.6; 4]]);
    let dwell = dust::puff_concentration(1.0, 1.0, 30.0 / HOUR, 600.0);
    let manganese = |limit: f64| dust::limit_by_constituent(limit, 0.0038);
    let romoser = "source: Romoser, Ryder, McCoy, SMACs for manganese compounds in Mars dust";
    let sizes = Sizes::from_fraction(70.0 * UM, 20.0 * UM, 0.15).expect("a distribution");
    let break_even = |k: f64| {
        let dust = [FineDust { mass: 2.0 * 50e-3 * 0.10, rate: k }];
        dust::break_even_fraction(0.3 * MG, 60.0, 24.0 * HOUR, 0.25, &dust).expect("dust comes")
    };
    let slow = room_rate() - dust::filter_rate(0.9997, 240.0 / HOUR, 60.0);
    check(&[
        row("C14 left of 100 g", left[0], 4.0, 1e-9, "formula"),
        row("C14 dwell factor", dwell, 0.006737947, 1e-9, "formula"),
        row("C15 1000 d, mg/m3", manganese(0.0079), 2.0, 5e-2, romoser),
        row("C15 1 h, mg/m3", manganese(3.0), 790.0, 1e-2, romoser),
        row("C15 1 h, mg/m3", manganese(3.0), 789.5, 1e-4, "formula"),
        row("C20 geometric standard deviation", sizes.gsd(), 3.349, 1e-2, "formula"),
        row("C20 finer than 10 um", sizes.finer(10.0 * UM), 0.0537, 1e-2, "formula"),
        row("C20 finer than 2.5 um", sizes.finer(2.5 * UM), 0.0029, 1e-2, "formula"),
        row("break-even, 5 air changes", break_even(room_rate()), 0.98, 1e-2, "formula"),
        row("break-even, 1 air change", break_even(slow), 0.29, 1e-2, "formula"),
    ]);
    assert_eq!(dust::break_even_fraction(1.0, 1.0, 1.0, 0.5, &[]), None);
}
