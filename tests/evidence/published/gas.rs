//! Gas in volumes, pumps, reservoirs, valves and decays.

use super::record::Standing::{CommonPractice, FromMemory, Read};
use super::record::{Check, Group, between, check, plain, q, relative};
use vestibule::physics::gas::{self, Mix, leak, pump, vent};

/// 70 degF: the temperature of the gas masses.
fn room() -> f64 {
    q("294.26 K")
}

const SEA_LEVEL: Mix = Mix { oxygen: 0.21 };
const STAGED: Mix = Mix { oxygen: 0.265 };
const EXPLORATION: Mix = Mix { oxygen: 0.34 };

/// C8, C9, C16 and 2.8: what a lock of published size holds and what a pump leaves of it.
pub fn masses() -> Group {
    let mut checks = volumes();
    checks.extend(pumped());
    Group {
        title: "Gas in volumes".into(),
        about: "Ideal gas at 70 degF. Two pump stops are published, 3 psi and about 2 psi (13 \
            kPa).",
        checks,
    }
}

fn volumes() -> Vec<Check> {
    let cylinder = std::f64::consts::PI / 4.0 * q("63 in").powi(2) * q("83 in");
    let lock = q("150 ft3");
    let held = |pressure: &str, mix| gas::content(q(pressure), lock, mix, room()).total();
    let of = &["gas::content", "gas::density", "gas::molar_mass", "gas::split"];
    let free = gas::free_volume(4.25, 2, 0.15, 0.2);
    vec![
        check("C8 cylinder of 63 by 83 in", "ft3", cylinder / q("1 ft3"), 150.0, relative(0.005))
            .from(Read, "shuttle reference text: \"The airlock's volume is 150 cubic feet\"")
            .note("pins the reader of units"),
        check("C8 the same", "m3", cylinder, 4.24, relative(0.005)).formula(),
        check(
            "C9 150 ft3 at 14.7 psia, 21 %",
            "kg",
            held("14.7 psi", SEA_LEVEL),
            5.076,
            relative(0.005),
        )
        .formula()
        .of(of),
        check("C9 at 10.2 psia, 26.5 %", "kg", held("10.2 psi", STAGED), 3.549, relative(0.005))
            .formula()
            .of(of),
        check("C9 at 8.2 psia, 34 %", "kg", held("8.2 psi", EXPLORATION), 2.883, relative(0.005))
            .formula()
            .of(of),
        check("4.25 m3 less two of 0.15 m3 and gear of 0.2 m3", "m3", free, 3.75, relative(1e-9))
            .formula()
            .of(&["gas::free_volume"]),
        check(
            "C16 share a reservoir of nine times the volume takes",
            "",
            gas::reservoir_share(4.0, 36.0),
            0.9,
            relative(1e-9),
        )
        .formula()
        .note("ideal gas, isothermal")
        .of(&["gas::reservoir_share"]),
        check(
            "10 kg to 1 kg, three quarters into a reservoir, 0.8 of the rest by the pump",
            "",
            pump::kept_share(10.0, 1.0, 4.0, 12.0, 0.8),
            8.7 / 9.0,
            relative(1e-12),
        )
        .formula()
        .of(&["pump::kept_share"]),
    ]
}

fn pumped() -> Vec<Check> {
    let lock = q("150 ft3");
    let parts = |stop: &str, recovery| {
        pump::split(q("14.7 psi"), q(stop), lock, recovery, SEA_LEVEL, room())
    };
    let rest = |stop| parts(stop, 1.0).rest.total();
    let whole = gas::content(q("14.7 psi"), lock, SEA_LEVEL, room()).total();
    let lost = |stop| {
        let p = parts(stop, 0.95);
        (p.unrecovered.total() + p.rest.total()) / whole
    };
    let of = &["pump::split"];
    // A pump of unit speed on a unit volume takes t = ln(p0/pf); in 45 min it needs t/45 per min.
    let speed = |stop: &str| pump::time(1.0, 1.0, q("14.7 psi"), q(stop)) / 45.0;
    let trevino = "speed own arithmetic; 45 min: Trevino 2008, NTRS 20080013418";
    let limit = "13.5 psi/min: NASA-STD-3001 Vol 2, from memory, not confirmed";
    let repress = gas::repress_time(0.0, q("14.7 psi"), gas::PRESSURE_RISE_LIMIT) / 60.0;
    vec![
        check(
            "C9 14.7 psia pumped to 3 psi, then dumped",
            "kg",
            rest("3 psi"),
            1.036,
            relative(0.005),
        )
        .formula()
        .of(of),
        check(
            "C9 14.7 psia pumped to 2 psi, then dumped",
            "kg",
            rest("2 psi"),
            0.691,
            relative(0.005),
        )
        .formula()
        .of(of),
        check("share left at 3 psi", "", rest("3 psi") / whole, 0.204, relative(0.005))
            .formula()
            .of(of),
        check("share left at 2 psi", "", rest("2 psi") / whole, 0.136, relative(0.005))
            .formula()
            .of(of),
        check(
            "share left at 13 kPa, from 101.3 kPa",
            "",
            rest("13 kPa") / whole,
            0.128,
            relative(0.005),
        )
        .formula()
        .note("stop: geekswipe.net")
        .of(of),
        between(
            "recovered by stopping between 3 and 2 psi",
            "",
            (1.0 - rest("3 psi") / whole, 1.0 - rest("2 psi") / whole),
            (0.79, 0.87),
        )
        .from(FromMemory, "80 to 87 % recovered, recalled for a station lock")
        .note("79.6 % at 3 psi: 80 % to the digits quoted")
        .of(of),
        between(
            "lost when 95 % of what is pumped comes back, stop 2 psi",
            "",
            (lost("2 psi"), lost("2 psi")),
            (0.136, 0.204),
        )
        .formula()
        .note("0.136 + 0.05 x 0.864 = 0.179")
        .of(of),
        check(
            "C16 S/V for 45 min from 14.7 to 2 psia",
            "1/min",
            speed("2 psi"),
            0.0443,
            relative(5e-3),
        )
        .from(Read, trevino)
        .of(&["pump::time"]),
        check(
            "S/V for 45 min from 14.7 to 3 psia",
            "1/min",
            speed("3 psi"),
            0.0353,
            relative(5e-3),
        )
        .from(Read, trevino)
        .of(&["pump::time"]),
        check("emergency repress of 14.7 psi", "min", repress, 1.09, relative(5e-3))
            .from(FromMemory, limit)
            .of(&["gas::repress_time"]),
    ]
}

/// Choked and subsonic flow, and C15: a tunnel that was shut off and watched.
pub fn flow() -> Group {
    let mut checks = orifices();
    checks.extend(decays());
    Group {
        title: "Valves, vents and decays".into(),
        about: "Choked flow per area and upstream pressure at 70 degF; the decay of a tunnel that \
            was \
                shut off is a watched one.",
        checks,
    }
}

fn orifices() -> Vec<Check> {
    let choked = |mix: Mix| vent::choked_flux(mix.specific_constant(), room());
    let air = vent::choked_flux(287.05, room());
    let of = &["vent::choked_flux", "gas::specific_constant"];
    let hole = vent::Orifice::round(0.05, 0.8);
    let minutes = |volume: f64| {
        vent::time(volume, hole, (q("56.5 kPa"), q("1 kPa")), 0.0, EXPLORATION, room())
            .map_or(f64::NAN, |t| t / 60.0)
    };
    // r = 0.8: (5/7 power, 2/7 power) by hand.
    let sub =
        vent::flow(vent::Orifice { area: 1.0, discharge: 1.0 }, 1e5, 0.8e5, EXPLORATION, room());
    let rs = EXPLORATION.specific_constant();
    let hand = 1e5 * (7.0 / (rs * room())).sqrt() * 0.852_665 * 0.248_527;
    let book = "one-dimensional isentropic flow";
    vec![
        check("choked flux of air", "kg/(s m2 Pa)", air, 2.356e-3, relative(5e-4))
            .from(CommonPractice, book)
            .of(of),
        check(
            "choked flux at 34 % O2",
            "kg/(s m2 Pa)",
            choked(EXPLORATION),
            2.372e-3,
            relative(5e-4),
        )
        .from(CommonPractice, book)
        .of(of),
        check(
            "choked flux of oxygen",
            "kg/(s m2 Pa)",
            choked(Mix::OXYGEN),
            2.476e-3,
            relative(5e-4),
        )
        .from(CommonPractice, book)
        .of(of),
        check("critical pressure ratio at gamma 1.4", "", vent::CRITICAL_RATIO, 0.528, plain(5e-4))
            .from(CommonPractice, book),
        check("subsonic flow at a ratio of 0.8 through 1 m2", "kg/s", sub, hand, relative(1e-4))
            .formula()
            .of(&["vent::flow"]),
        check(
            "60 m3 from 56.5 to 1 kPa through 50 mm, Cd 0.8",
            "min",
            minutes(60.0),
            13.0,
            plain(0.5),
        )
        .formula()
        .of(&["vent::time", "vent::round"]),
        check("16 m3 the same way", "min", minutes(16.0), 3.5, plain(0.1))
            .formula()
            .of(&["vent::time", "vent::round"]),
    ]
}

fn decays() -> Vec<Check> {
    let mmhg = q("1 mmHg");
    let watched = q("11.5 h");
    let tau = watched / (730.0_f64 / 678.0).ln();
    // A hole of this conductance must reproduce the watched pressures.
    let hole = leak::Path { conductance: 13.0 / tau, pressure: 0.0 };
    let tunnel = leak::Relaxation::of(13.0, &[hole]);
    let end = tunnel.after(730.0 * mmhg, watched);
    let out = -tunnel.inflow(hole, 730.0 * mmhg, watched);
    let lost = out / room() / gas::GAS_CONSTANT * SEA_LEVEL.molar_mass();
    let held = gas::content(730.0 * mmhg, 13.0, SEA_LEVEL, room()).total();
    let source =
        "constants own arithmetic; 730 to 678 mmHg in 11.5 h: a press report, as an example";
    let seal = leak::conductance(q("0.0011 kg/d"), q("14.7 psi"), SEA_LEVEL, room());
    let volume_a_day = q("0.0011 kg/d") * q("1 d") / gas::density(q("14.7 psi"), SEA_LEVEL, room());
    vec![
        check("C15 mean fall", "mmHg/h", (730.0 - end / mmhg) / 11.5, 4.52, relative(0.005))
            .from(Read, source)
            .of(&["leak::of", "leak::after"]),
        check("share of the gas lost", "", lost / held, 52.0 / 730.0, relative(1e-9))
            .formula()
            .of(&["leak::inflow", "leak::integral"]),
        check(
            "volume a docking seal lets through in a day, at its own pressure",
            "m3",
            seal * q("1 d"),
            volume_a_day,
            relative(1e-9),
        )
        .formula()
        .note("leak over density")
        .of(&["leak::conductance", "gas::density"]),
    ]
}
