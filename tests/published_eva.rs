//! Published values of the trade against the physical relations.
//!
//! Each row names its source and its standing:
//! *published* - the figure stood in the text that was read;
//! *from memory* - part of the expected value was recalled, not read;
//! *own arithmetic* - pins our formula to a number worked out apart from it, proves nothing about
//! nature.
//! The check numbers (C1 ..) are those of the reference table of the project.

use vestibule::physics::gas::{self, Mix, leak, pump, vent};
use vestibule::physics::prebreathe::{self, SLOW_HALF_TIME, Wanted};
use vestibule::physics::{seal, suit};

/// Pascal per pound-force per square inch (definition).
const PSI: f64 = 6_894.757_293_168;
/// Pascal per millimetre of mercury (definition).
const MMHG: f64 = 133.322_387_415;
/// Kilograms per pound (definition).
const LBM: f64 = 0.453_592_37;
/// Metres per inch and cubic metres per cubic foot (definition).
const INCH: f64 = 0.0254;
const CUBIC_FOOT: f64 = 0.304_8 * 0.304_8 * 0.304_8;
/// Watt per Btu/h (international table Btu, definition).
const BTU_PER_HOUR: f64 = 1_055.055_852_62 / 3_600.0;
const MINUTE: f64 = 60.0;
const HOUR: f64 = 3_600.0;
const DAY: f64 = 86_400.0;
/// 70 degF, K: the temperature of the gas masses below.
const ROOM: f64 = 294.26;

const SEA_LEVEL: Mix = Mix { oxygen: 0.21 };
const STAGED: Mix = Mix { oxygen: 0.265 };
const EXPLORATION: Mix = Mix { oxygen: 0.34 };

/// How firmly an expected value stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Standing {
    Published,
    FromMemory,
    OwnArithmetic,
}
use Standing::{FromMemory, OwnArithmetic, Published};

/// One expected value.
struct Check {
    what: &'static str,
    found: f64,
    expected: f64,
    tolerance: f64,
    standing: Standing,
    source: &'static str,
}

/// A tolerance relative to the expected value.
fn share(expected: f64, relative: f64) -> f64 {
    expected.abs() * relative
}

/// A table of checks, one row each: `what: found => expected, tolerance, standing, source;`.
macro_rules! checks {
    ($($what:literal: $found:expr => $expected:expr, $tolerance:expr, $standing:ident,
       $source:expr;)+) => {
        assert_all(&[$(Check {
            what: $what,
            found: $found,
            expected: $expected,
            tolerance: $tolerance,
            standing: $standing,
            source: $source,
        }),+])
    };
}

/// Compares all rows and reports every miss at once.
#[track_caller]
fn assert_all(checks: &[Check]) {
    let misses: Vec<String> = checks
        .iter()
        .filter(|c| {
            let miss = (c.found - c.expected).abs();
            miss > c.tolerance || miss.is_nan()
        })
        .map(|c| {
            format!(
                "{}: found {}, expected {} +- {} ({:?}, {})",
                c.what, c.found, c.expected, c.tolerance, c.standing, c.source
            )
        })
        .collect();
    assert!(misses.is_empty(), "\n{}", misses.join("\n"));
    assert!(checks.iter().all(|c| !c.source.is_empty()));
}

/// Tissue nitrogen (Pa) after a history of (breathed nitrogen in Pa, minutes).
fn tissue(start: f64, half_time: f64, history: &[(f64, f64)]) -> f64 {
    history.iter().fold(start, |p, &(breathed, minutes)| {
        prebreathe::tissue_after(p, breathed, minutes * MINUTE, half_time)
    })
}

/// Slow-tissue ratio at a 4.3 psia suit.
fn suit_ratio(history: &[(f64, f64)]) -> f64 {
    prebreathe::ratio(tissue(11.6 * PSI, SLOW_HALF_TIME, history), 4.3 * PSI)
}

/// C1 to C3: three protocols of one programme come out at one ratio, which is the reason to trust
/// the 360-minute form at all.
#[test]
fn staged_and_unstaged_protocols_meet_one_ratio() {
    let staged = prebreathe::breathed_nitrogen(10.2 * PSI, 0.265);
    let day = [(0.0, 60.0), (staged, 24.0 * 60.0), (0.0, 40.0)];
    let half_day = [(0.0, 60.0), (staged, 12.0 * 60.0), (0.0, 75.0)];
    let steps = |n: usize| tissue(11.6 * PSI, SLOW_HALF_TIME, &day[..n]) / PSI;
    let (c1, c2) = (suit_ratio(&day), suit_ratio(&half_day));
    let schedule = "staged protocol: PubMed 10902932 and agency teacher page; ratio from memory";
    checks! {
        "C1 tissue after 60 min of oxygen, psia": steps(1) => 10.33, 0.005, OwnArithmetic, schedule;
        "C1 tissue after 24 h at 10.2 psia, psia": steps(2)
            => 7.674, 0.0005, OwnArithmetic, schedule;
        "C1 tissue after 40 min in the suit, psia": steps(3)
            => 7.105, 0.0005, OwnArithmetic, schedule;
        "C1 ratio, 24 h stage and 40 min": c1 => 1.65, 0.01, FromMemory, schedule;
        "C2 ratio, 12 h stage and 75 min": c2
            => 1.65, 0.01, FromMemory, "shuttle flight rules, 75 min from memory";
        "C3 ratio, 4 h unstaged": suit_ratio(&[(0.0, 240.0)])
            => 1.70, 0.01, FromMemory, "4 h: press on the STS-5 flight; ratio own arithmetic";
    }
    // The two staged protocols were made to be equivalent.
    assert!((c1 - c2).abs() < 0.005, "{c1} {c2}");
}

/// C4 and C5: published tissue tensions of a 40-minute compartment (NTRS 20090010093).
///
/// C5 misses its published 4.39 psia by +1.8 % and keeps that miss: 16.4 minutes instead of the
/// stated 15 would fit, so the source probably counts part of the purge as prebreathe. The model
/// errs to more nitrogen, the safe side. The tolerance is loose for this reason, not tuned away.
#[test]
fn forty_minute_tissue_tensions() {
    let fast = 40.0 * MINUTE;
    let c4 = tissue(
        prebreathe::breathed_nitrogen(10.2 * PSI, 0.265),
        fast,
        &[(prebreathe::breathed_nitrogen(10.2 * PSI, 0.95), 40.0)],
    ) / PSI;
    let c5 = tissue(
        prebreathe::breathed_nitrogen(8.0 * PSI, 0.32),
        fast,
        &[(prebreathe::breathed_nitrogen(6.0 * PSI, 0.80), 15.0)],
    ) / PSI;
    let source = "NTRS 20090010093: 4.39 vs 4.00 psia";
    checks! {
        "C4 40 min at 95 % oxygen and 10.2 psia, psia": c4 => 4.00, 0.01, Published, source;
        "C5 15 min at 80 % oxygen and 6.0 psia, psia (known miss)": c5
            => 4.39, share(4.39, 0.025), Published, source;
        "C5 the model's own value, so that the miss cannot drift unseen, psia": c5
            => 4.469, 0.001, OwnArithmetic, source;
    }
}

/// Prebreathe in the exploration atmosphere: ratios worked out from the published pressures.
#[test]
fn exploration_atmosphere_starts_low() {
    let start = prebreathe::breathed_nitrogen(8.2 * PSI, 0.34);
    let after = tissue(start, SLOW_HALF_TIME, &[(0.0, 15.0)]);
    let wanted = Wanted { ratio: 1.223, suit_pressure: 4.3 * PSI, half_time: SLOW_HALF_TIME };
    let back = prebreathe::required_time(start, 0.0, wanted).expect("pure oxygen reaches it");
    let source = "pressures: NTRS 20230015380; ratios own arithmetic";
    checks! {
        "ratio at 8.2 psia, 34 %, without prebreathe": prebreathe::ratio(start, 4.3 * PSI)
            => 1.259, 0.0005, OwnArithmetic, source;
        "ratio after 15 min of oxygen": prebreathe::ratio(after, 4.3 * PSI)
            => 1.223, 0.0005, OwnArithmetic, source;
        "minutes asked for that ratio": back / MINUTE => 15.0, 0.3, OwnArithmetic, source;
        "minutes owed for a break of 5": prebreathe::break_owed(5.0 * MINUTE) / MINUTE
            => 10.0, 0.0, Published, "station systems book p. 299: twice the interruption";
    }
}

/// C6 and C7: inspired oxygen of three cabins.
#[test]
fn inspired_oxygen_of_published_cabins() {
    let inspired = |psi: f64, mix| gas::inspired_oxygen(psi * PSI, mix) / MMHG;
    let earlier = Mix { oxygen: 0.32 };
    checks! {
        "C6 inspired oxygen at 8.2 psia, 34 %, mmHg": inspired(8.2, EXPLORATION)
            => 128.0, 0.5, Published, "NTRS 20150021491; Wessel et al., AMHP 2018;89(9):792";
        "C6 inspired oxygen at 10.2 psia, 26.5 %, mmHg": inspired(10.2, STAGED)
            => 127.0, 0.5, Published, "Wessel et al., AMHP 2018;89(9):792";
        "C7 gain from 8.0 psia, 32 %, mmHg (published: 11 in the alveoli)":
            inspired(8.2, EXPLORATION) - inspired(8.0, earlier)
            => 11.0, 0.5, Published, "NTRS 20150021491: increase alveolar O2 pressure by 11 mmHg";
        "C7 8.0 psia, mmHg": 8.0 * PSI / MMHG
            => 414.0, 0.5, Published,
            "Scheuring et al., IAA 2007, NTRS 20070032076 (pins the unit factors here)";
        "C7 oxygen pressure at 8.0 psia, 32 %, mmHg": 8.0 * earlier.oxygen * PSI / MMHG
            => 132.0, 0.5, Published,
            "Scheuring et al., IAA 2007, NTRS 20070032076 (pins the unit factors here)";
    }
    for (psi, mix) in [(8.2, EXPLORATION), (10.2, STAGED), (8.0, earlier)] {
        assert!(gas::habitable(psi * PSI, mix));
    }
}

/// C8 and C9: a lock of published dimensions and the gas it holds in three atmospheres.
#[test]
fn gas_in_a_lock_of_published_size() {
    let volume = std::f64::consts::PI / 4.0 * (63.0 * INCH).powi(2) * (83.0 * INCH);
    let lock = 150.0 * CUBIC_FOOT;
    let held = |psi: f64, mix| gas::content(psi * PSI, lock, mix, ROOM).total();
    // No recovery of what is pumped counts here: only what the vent loses.
    let rest = |stop: f64| {
        let parts = pump::split(14.7 * PSI, stop * PSI, lock, 1.0, SEA_LEVEL, ROOM);
        assert_eq!(parts.unrecovered.total(), 0.0);
        parts.rest.total()
    };
    let masses = "ideal gas at 70 degF; pump stops: agency partner page (3 psi), press (2 psi)";
    checks! {
        "C8 cylinder of 63 by 83 in, ft3 (pins the unit factors here)": volume / CUBIC_FOOT
            => 150.0, share(150.0, 0.005), Published,
            "shuttle reference text: the airlock's volume is 150 cubic feet";
        "C9 full dump at 14.7 psia, kg": held(14.7, SEA_LEVEL)
            => 5.076, share(5.076, 0.005), OwnArithmetic, masses;
        "C9 full dump at 10.2 psia, kg": held(10.2, STAGED)
            => 3.549, share(3.549, 0.005), OwnArithmetic, masses;
        "C9 full dump at 8.2 psia, kg": held(8.2, EXPLORATION)
            => 2.883, share(2.883, 0.005), OwnArithmetic, masses;
        "C9 pumped to 3 psi, then dumped, kg": rest(3.0)
            => 1.036, share(1.036, 0.005), OwnArithmetic, masses;
        "C9 pumped to 2 psi, then dumped, kg": rest(2.0)
            => 0.691, share(0.691, 0.005), OwnArithmetic, masses;
        "share left at 3 psi": rest(3.0) / held(14.7, SEA_LEVEL)
            => 0.204, share(0.204, 0.005), OwnArithmetic, masses;
        "share left at 2 psi": rest(2.0) / held(14.7, SEA_LEVEL)
            => 0.136, share(0.136, 0.005), OwnArithmetic, masses;
    }
}

/// C10 and its neighbours: consumables at published metabolic design points.
#[test]
fn suit_consumables_at_design_points() {
    let power = 1000.0 * BTU_PER_HOUR;
    let hourly = suit::oxygen_flow(power, 20.3e6) * HOUR;
    // The same through the respiratory quotient, in the range usual for such work.
    let by_quotient = suit::oxygen_flow(power, suit::energy_per_oxygen(0.85)) * HOUR;
    let carbon = |rq| suit::carbon_dioxide_flow(1.0, rq);
    let mishap = "1000 Btu/h for 7 h or 850 Btu/h for 8 h: EVA-23 mishap report p. 40";
    checks! {
        "C10 1000 Btu/h, W": power => 293.1, share(293.1, 0.001), OwnArithmetic, mishap;
        "C10 oxygen, kg/h": hourly => 0.0743, share(0.0743, 0.03), FromMemory, mishap;
        "C10 oxygen in 7 h, kg": 7.0 * hourly => 0.520, share(0.520, 0.03), FromMemory, mishap;
        "C10 oxygen in 7 h, lb": 7.0 * hourly / LBM => 1.15, share(1.15, 0.03), FromMemory, mishap;
        "C10 by RQ 0.85, kg/h": by_quotient => 0.0743, share(0.0743, 0.03), FromMemory, mishap;
        "oxygen uptake in surface trials, kg/h at 1.0 L(STPD)/min":
            suit::oxygen_flow(1e-3 / MINUTE * 20.3e6, 20.3e6) * HOUR
            => 0.086, share(0.086, 0.01), Published,
            "Conkin et al. poster: about 1.0 L(STPD)/min; mass own arithmetic";
        "primary of 7 h at 1000 Btu/h lasts at 850 Btu/h, h":
            suit::primary_duration(7.0 * HOUR, power, 850.0 * BTU_PER_HOUR) / HOUR
            => 8.0, share(8.0, 0.03), Published, mishap;
        "cooling water at 293 W, kg/h": suit::cooling_water_flow(power) * HOUR
            => 0.42, share(0.42, 0.01), OwnArithmetic,
            "heat of vaporisation 2.5 MJ/kg (common practice)";
        "CO2 per O2 at RQ 0.875, kg/kg": carbon(0.875)
            => 1.2, share(1.2, 0.01), OwnArithmetic, "stoichiometry";
    }
    // The tank of that suit holds about 1.2 lb (from memory): the use must fit in it.
    assert!(7.0 * hourly <= 1.2 * LBM);
    // Published design points of primary and emergency supply, by the clock at 1000 Btu/h.
    let clock = suit::LifeSupport::full(7.0 * HOUR, power, None, 30.0 * MINUTE);
    assert!((clock.left(power) - 7.5 * HOUR).abs() < 1e-6);
}

/// C11: the allowable of a large docking seal, as a rate and as mass over a day.
#[test]
fn docking_seal_allowable() {
    let rate = 0.0025 * LBM / DAY;
    let source = "Dunlap et al., NTRS 20100019164: 0.0025 lbm, air per day (0.0011 kg/day)";
    let one_day = seal::leaked_mass(rate, 14.7 * PSI, 14.7 * PSI, DAY);
    checks! {
        "C11 leak in a day at the rated difference, kg": one_day
            => 0.0011, 0.000_05, Published, source;
        "C11 the same to more places, kg (dust table C16)": one_day
            => 1.133_98e-3, share(1.133_98e-3, 1e-5), OwnArithmetic, source;
        "leak in a day at half the difference, kg":
            seal::leaked_mass(rate, 14.7 * PSI, 7.35 * PSI, DAY)
            => 5.669_9e-4, share(5.669_9e-4, 1e-4), OwnArithmetic, source;
    }
}

/// C15: a tunnel that was shut off and watched.
#[test]
fn isolated_tunnel_decay() {
    let watched = 11.5 * HOUR;
    let tau = leak::time_constant(730.0 * MMHG, 678.0 * MMHG, watched);
    let source = "730 to 678 mmHg in 11.5 h: press report; constants own arithmetic";
    // A conductance that gives this time constant must reproduce the watched pressures.
    let hole = leak::Path { conductance: 13.0 / tau, pressure: 0.0 };
    let tunnel = leak::Relaxation::of(13.0, &[hole]);
    checks! {
        "C15 time constant, h": tau / HOUR => 155.6, share(155.6, 0.005), OwnArithmetic, source;
        "C15 mean fall, mmHg/h": (730.0 - tunnel.after(730.0 * MMHG, watched) / MMHG) / 11.5
            => 4.52, share(4.52, 0.005), OwnArithmetic, source;
    }
}

/// C16: an evacuated reservoir, the pump of a published reclaim time, and the choked constants.
#[test]
fn reservoir_pump_and_orifice() {
    // A pump of unit speed on a unit volume takes t = ln(p0/pf); in 45 min it needs t/45 per min.
    let speed = |stop: f64| pump::time(1.0, 1.0, 14.7 * PSI, stop * PSI) / 45.0;
    let crew_limit = "13.5 psi/min: NASA-STD-3001 Vol 2, from memory";
    let trevino = "about 45 minutes: Trevino 2008, NTRS 20080013418; speed own arithmetic";
    let flow = "one-dimensional isentropic flow (common practice)";
    let choked = |mix: Mix| vent::choked_flux(mix.specific_constant(), ROOM);
    let air = vent::choked_flux(287.05, ROOM);
    checks! {
        "C16 share stored by nine times the volume": gas::reservoir_share(4.0, 36.0)
            => 0.9, 0.0, OwnArithmetic, "ideal gas, isothermal";
        "C16 S/V for 45 min to 2 psi, 1/min": speed(2.0)
            => 0.0443, share(0.0443, 5e-3), OwnArithmetic, trevino;
        "S/V for 45 min to 3 psi, 1/min": speed(3.0)
            => 0.0353, share(0.0353, 5e-3), OwnArithmetic, trevino;
        "choked air, kg/(s m2 Pa)": air => 2.356e-3, share(2.356e-3, 5e-4), OwnArithmetic, flow;
        "choked 8.2/34": choked(EXPLORATION)
            => 2.372e-3, share(2.372e-3, 5e-4), OwnArithmetic, flow;
        "choked oxygen": choked(Mix::OXYGEN)
            => 2.476e-3, share(2.476e-3, 5e-4), OwnArithmetic, flow;
        "emergency repress of 14.7 psi, min":
            gas::repress_time(0.0, 14.7 * PSI, gas::PRESSURE_RISE_LIMIT) / MINUTE
            => 1.09, share(1.09, 5e-3), FromMemory, crew_limit;
    }
}
