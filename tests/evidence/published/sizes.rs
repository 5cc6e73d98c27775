//! How much dust may come in.

use super::dust::{DAY, MG, room_rate};
use super::record::Standing::Read;
use super::record::{Check, Group, check, q, relative};
use vestibule::physics::dust;

/// The break-even share and the unit of dust on a surface.
pub fn shares() -> Group {
    let checks = limits();
    Group {
        title: "Dust that may come in".into(),
        about: "The share that may come in needs no assumed transfer, only the airborne share of the file.",
        checks,
    }
}

fn limits() -> Vec<Check> {
    let break_even = |flow: f64| {
        let (_, day) = dust::puff(0.25 * 2.0 * 50e-3 * 0.10, room_rate(flow), DAY);
        dust::break_even_fraction(0.3 * MG, day / (60.0 * DAY)).unwrap_or(f64::NAN)
    };
    let even = &["dust::puff", "dust::break_even_fraction"];
    vec![
        check(
            "break-even share, 60 m3, 2 suits of 50 g a day, 300 \
            m3/h",
            "",
            break_even(300.0),
            0.98,
            relative(1e-2),
        )
        .formula()
        .of(even),
        check("break-even share at 60 m3/h", "", break_even(60.0), 0.29, relative(1e-2))
            .formula()
            .of(even),
        check("5 g/m2 on a solar cell", "mg/cm2", q("5 g/m2") / 1e-2, 0.5, relative(1e-9))
            .from(
                Read,
                "O'Brien, ScienceAlert 2009: 10 % off at \"about 0.5 milligrams per \
                square centimetre\"",
            )
            .note("pins the reader of units"),
    ]
}
