//! Leaks of seals.

use super::record::Standing::Read;
use super::record::{Check, Group, between, check, plain, q, relative};
use vestibule::physics::gas::Mix;
use vestibule::physics::{dust, seal};

/// C11, C16 to C18 of the dust table, and the two assumed multipliers against what tests saw.
pub fn leaks() -> Group {
    let mut checks = clean();
    checks.extend(dusty());
    Group {
        title: "Seals and leaks".into(),
        about: "The clean leak is published. What dust does to it is assumed: tests disagree by \
            three \
                decades, and the rows here only show that the assumption lies between them.",
        checks,
    }
}

fn clean() -> Vec<Check> {
    let rate = q("0.0025 lbm/d");
    let day = q("1 d");
    let bar = q("14.7 psi");
    let of = &["seal::leaked_mass"];
    let source =
        "Dunlap et al., NTRS 20100019164: \"less than 0.0025 lbm, air per day (0.0011 kg/day)\"";
    let slit = seal::Slit { width: 0.03, gap: 10e-6, path: 5e-3 };
    let (pressure, room) = (q("56.5 kPa"), 293.15);
    let lifted = seal::slit_leak(slit, (pressure, 0.0), dust::viscosity(room), 287.05, room) * day;
    vec![
        check(
            "C11 leak of a docking seal in a day",
            "kg",
            seal::leaked_mass(rate, bar, bar, day),
            0.0011,
            plain(0.000_05),
        )
        .from(Read, source)
        .of(of),
        check(
            "C16 the same to more places",
            "kg",
            seal::leaked_mass(rate, bar, bar, day),
            1.133_98e-3,
            relative(1e-5),
        )
        .formula()
        .of(of),
        check(
            "leak in a day at half the difference",
            "kg",
            seal::leaked_mass(rate, bar, 0.5 * bar, day),
            5.6699e-4,
            relative(1e-4),
        )
        .formula()
        .of(of),
        check(
            "C17 30 mm of seal lifted by 10 um, 56.5 kPa to \
            vacuum",
            "kg/d",
            lifted,
            0.04519,
            relative(2e-3),
        )
        .formula()
        .of(&["seal::slit_leak", "dust::viscosity"]),
        check(
            "C17 choked flux of air at 56.5 kPa",
            "kg/(s m2)",
            seal::choked_leak(1.0, pressure, 287.05, room),
            133.37,
            relative(2e-3),
        )
        .formula()
        .of(&["seal::choked_leak"]),
        check(
            "oxygen share of the mass that leaks at 34 % \
            O2",
            "",
            Mix { oxygen: 0.34 }.split(1.0).oxygen,
            0.3704,
            plain(5e-5),
        )
        .formula()
        .of(&["gas::split"]),
    ]
}

fn dusty() -> Vec<Check> {
    let of = &["seal::contamination"];
    let kalrez = seal::contamination(9e-3);
    let soiled = q("0.0011 kg/d") * seal::contamination(9e-3) / q("1 kg/d");
    let damaged = seal::damage(3);
    vec![
        check("multiplier of a cleaned seal", "", seal::contamination(0.0), 1.0, plain(0.0))
            .from(Read, "ASCE Earth and Space 2014: cleaning generally restored the clean value")
            .of(of),
        between("multiplier at 9 g/m2", "", (kalrez, kalrez), (1.0, 1000.0))
            .from(
                Read,
                "1: perfluoroelastomer sealed at up to 0.90 mg/cm2 (ProSPA seal study); \
                silicone leaked \
                         \"immeasurably\" (ASCE Earth and Space 2014), taken as 1000",
            )
            .note(
                "assumed: the geometric middle of what was seen; good to a factor of 30 either \
                way",
            )
            .of(of),
        between(
            "large hatch seal at 9 g/m2",
            "kg/d",
            (soiled, soiled),
            (q("0.0011 kg/d") / q("1 kg/d"), 0.5 * 133.37 * 86_400.0 * 1e-6),
        )
        .formula()
        .note("above the clean leak, below choked flow through half a square millimetre")
        .of(of),
        check("three damages", "", damaged, 8.0, relative(1e-9))
            .formula()
            .note("assumed: each doubles the clean leak")
            .of(&["seal::damage"]),
    ]
}
