//! Stages, limits and sizes of dust.

use super::dust::{DAY, HOUR, MG, UM, room_rate};
use super::record::Standing::{FromMemory, Read, SecondHand};
use super::record::{Check, Group, between, check, plain, q, relative};
use vestibule::physics::dust::{self, FineDust, Sizes};

/// C14, C15, C20 and the break-even share.
pub fn stages_and_sizes() -> Group {
    let mut checks = limits();
    checks.extend(sizes());
    Group {
        title: "Limits, stages and sizes of dust".into(),
        about: "The manganese rows tie the limit on one constituent to the limit on the dust. The \
            size rows \
                fit a lognormal law to two published numbers; its fine tail is extrapolated.",
        checks,
    }
}

fn limits() -> Vec<Check> {
    let left = dust::after_stages([100.0; 4], &[[0.5; 4], [0.8; 4], [0.6; 4]]);
    let dwell = dust::puff_concentration(1.0, 1.0, 30.0 / HOUR, 600.0);
    let manganese = |limit: f64| dust::limit_by_constituent(limit, 0.0038);
    let romoser = "Romoser, Ryder, McCoy, SMACs for manganese compounds in Mars dust (abstract)";
    let break_even = |flow: f64| {
        let dust = [FineDust { mass: 2.0 * 50e-3 * 0.10, rate: room_rate(flow) }];
        dust::break_even_fraction(0.3 * MG, 60.0, DAY, 0.25, &dust).unwrap_or(f64::NAN)
    };
    let of = &["dust::limit_by_constituent"];
    let even = &["dust::break_even_fraction"];
    vec![
        check(
            "C14 left of 100 g after stages of 0.5, 0.8, \
            0.6",
            "g",
            left[0],
            4.0,
            relative(1e-9),
        )
        .formula()
        .of(&["dust::after_stages"]),
        check("C14 factor of ten minutes at 30 /h", "", dwell, 0.006737947, relative(1e-7))
            .formula()
            .of(&["dust::puff_concentration"]),
        check(
            "C15 dust limit from manganese, 1000 d",
            "mg/m3",
            manganese(0.0079),
            2.0,
            relative(5e-2),
        )
        .from(Read, romoser)
        .of(of),
        check("C15 dust limit from manganese, 1 h", "mg/m3", manganese(3.0), 790.0, relative(1e-2))
            .from(Read, romoser)
            .of(of),
        check("C15 the same to more places", "mg/m3", manganese(3.0), 789.5, relative(1e-4))
            .formula()
            .of(of),
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

fn sizes() -> Vec<Check> {
    let with = |share: f64| Sizes::from_fraction(70.0 * UM, 20.0 * UM, share);
    let finer = |share: f64, d: f64| with(share).map_or(f64::NAN, |s| s.finer(d * UM));
    let gsd = with(0.15).map_or(f64::NAN, |s| s.gsd());
    let of = &["dust::from_fraction", "dust::finer"];
    let percent = 100.0;
    let carrier = "Lunar Sourcebook ch. 9 (Carrier et al. 1991), second-hand: median 40 to 130 \
        um, average 70; \
                   10 to 20 % finer than 20 um";
    vec![
        check(
            "C20 geometric standard deviation, median 70 um, 15 % below 20 um",
            "",
            gsd,
            3.349,
            relative(1e-2),
        )
        .formula()
        .of(&["dust::gsd", "dust::from_fraction"]),
        check("C20 mass below 10 um", "", finer(0.15, 10.0), 0.0537, relative(1e-2))
            .formula()
            .of(of),
        check("C20 mass below 2.5 um", "", finer(0.15, 2.5), 0.0029, relative(1e-2))
            .formula()
            .of(of),
        check(
            "mass below 10 um where 10 % is below 20 um",
            "%",
            percent * finer(0.10, 10.0),
            2.3,
            plain(0.05),
        )
        .from(SecondHand, carrier)
        .of(of),
        check(
            "mass below 10 um where 20 % is below 20 um",
            "%",
            percent * finer(0.20, 10.0),
            9.6,
            plain(0.05),
        )
        .from(SecondHand, carrier)
        .of(of),
        between(
            "mass below 2.5 um, 10 to 20 % below 20 um",
            "%",
            (percent * finer(0.10, 2.5), percent * finer(0.20, 2.5)),
            (0.025, 3.0),
        )
        .from(FromMemory, "1 to 3 % in the literature, from memory; 0.03 to 1.3 % by this law")
        .note("the law lies below what is remembered: its fine tail is extrapolated from 20 um")
        .of(of),
    ]
}
