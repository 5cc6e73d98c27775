//! Teams larger than the chamber holds go in batches (rule 14), against hand arithmetic.

use crate::support::{Case, play, value};

const PSI: f64 = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
/// From the start of egress to the start of depress, two persons: prepare, pass, don, close, leak
/// check, prebreathe.
const BEFORE: f64 = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0;
/// Brought back for the next batch out: repress of the lock and opening of the inner hatch.
const BACK: f64 = 6.0 + 2.0;

#[track_caller]
fn near(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9 * want.abs().max(1.0), "got {got}, hand arithmetic {want}");
}

/// Pumping the plain lock with some persons in it, min.
fn pump(persons: f64) -> f64 {
    (4.25 - 0.15 * persons) / 0.40 * (70.3e3f64 / (2.0 * PSI)).ln()
}

/// What a cycle with some persons in it loses, kg: 5 % of what is pumped and the rest at 2 psi.
fn cycle(persons: f64) -> f64 {
    let molar = (0.265 * 31.998e-3 + 0.735 * 28.0134e-3) / (8.314462618 * 294.26);
    (4.25 - 0.15 * persons) * molar * (0.05 * (70.3e3 - 2.0 * PSI) + 2.0 * PSI)
}

/// Minutes of the egress and ingress lists for one or two persons.
fn egress(n: f64) -> f64 {
    BEFORE - 2.0 + n + pump(n) + 3.0 + 3.0 + 2.0 * n + 1.0
}

fn ingress(n: f64) -> f64 {
    5.0 * n + 2.0 + 2.0 * n + 4.0 + 6.0 + 15.0 + 2.0 + n + 30.0
}

/// The lock made ready for those still outside: close the inner hatch, pump it empty, vent.
fn ready() -> f64 {
    3.0 + pump(0.0) + 3.0
}

/// Three go out through a lock that holds two.
fn three() -> Case {
    Case::whole()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dan\"]")
        .patch("crew = [\"Ada\", \"Ben\"]", "crew = [\"Ada\", \"Ben\", \"Cleo\"]")
        .patch("team = 2", "team = 3")
        .patch("count = 2, at", "count = 3, at")
        .patch("hours = \"4 h\"", "hours = \"1 h\"")
}

#[test]
fn three_through_a_lock_for_two() {
    let model = three().model();
    let o = play(&model, 0);
    let sorties = value(&o, "sorties_done");
    assert_eq!(sorties, 9.0);
    assert_eq!(value(&o, "haven_planned"), 27.0);
    near(value(&o, "eva_done_h"), 9.0 * 3.0);
    // By action: the lock is pumped empty with two, one and nobody in it, each suit is recharged.
    let door = |action: &str| super::played::door_to_door(&model, &o, action);
    near(door("depress"), 9.0 * (pump(2.0) + pump(1.0) + pump(0.0)));
    near(door("recharge"), 9.0 * 2.0 * 30.0);
    let out = egress(2.0) + BACK + egress(1.0);
    let back = ingress(2.0) + ready() + ingress(1.0);
    near(value(&o, "door_to_door_min"), out + back);
    // The first two: all of egress and their own ingress. The third begins by bringing the lock back
    // and is in last.
    let overhead = 2.0 * (out + ingress(2.0)) + (BACK + egress(1.0) + back);
    near(value(&o, "overhead_per_sortie_min"), overhead);
    // Each suit lets 0.06 m3 down from 70.3 to 29.6 kPa.
    let molar = (0.265 * 31.998e-3 + 0.735 * 28.0134e-3) / (8.314462618 * 294.26);
    let suits = 3.0 * 0.06 * (70.3e3 - 29.6e3) * molar;
    near(value(&o, "gas_lost_per_sortie_kg"), cycle(2.0) + cycle(1.0) + cycle(0.0) + suits);
    // Supply of the first two runs from their own depress to the end of their repress.
    let on_supply = out - BEFORE + 60.0 + 10.0 + 2.0 + 4.0 + 4.0 + 6.0;
    near(value(&o, "haven_margin_min"), 450.0 - on_supply);
}

/// A stay that supply limits leaves time for everybody to get in: the first two, longest on supply,
/// have reserve and secondary left, and all that the third has to wait for after them.
#[test]
fn a_stay_leaves_time_for_every_batch() {
    let long = three()
        .patch("hours = \"1 h\"", "hours = \"12 h\"")
        .patch("duty_day = \"14 h\"", "duty_day = \"24 h\"");
    let o = play(&long.model(), 0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_limited")), (9.0, 9.0));
    near(value(&o, "haven_margin_min"), 60.0 + ingress(2.0) + ready());
}

/// Whoever is hurt goes in with a partner before the others: from the blow (nobody has to walk) to the
/// end of repress it is one brushing, hatch, pass, hatch and repress, whoever it is.
#[test]
fn a_casualty_and_a_partner_go_in_first() {
    let case = three()
        .patch("\"Dan\"]", "\"Dan\", \"Eve\"]")
        .patch("\"Ben\", \"Cleo\"]\nper_week", "\"Ben\", \"Cleo\", \"Dan\"]\nper_week")
        .patch("team = 3", "team = 4")
        .patch("count = 3, at", "count = 4, at")
        .patch("per_week = 2", "at = [\"1.75 d\"]")
        .add(
            "\n[failure.fall]\non = \"crew\"\nwhen = \"per sortie\"\nlaw = 1.0\n\
             effect = \"crew incapacitated\"\nseverity = \"walks with help\"\n",
        );
    let model = case.model();
    for i in 0..20 {
        let o = play(&model, i);
        assert_eq!(value(&o, "incapacitations"), 1.0);
        assert_eq!(value(&o, "haven_planned"), 4.0);
        near(value(&o, "rescue_min"), 5.0 + 2.0 + 4.0 + 4.0 + 6.0);
    }
}

/// The second batch finds its suits leaking and stays in: the first, outside by then, comes in too.
#[test]
fn when_the_second_batch_cannot_follow_the_first_comes_in() {
    let case = three().patch("per_week = 2", "at = [\"1.75 d\"]").patch_access(
        "on = \"suit\", each = \"at once\", takes = \"5 min\" }",
        "on = \"suit\", each = \"at once\", takes = \"5 min\", false_alarm = 0.5 }",
    );
    let model = case.model();
    let mut seen = 0;
    for i in 0..64 {
        let o = play(&model, i);
        let done = value(&o, "sorties_done");
        near(value(&o, "eva_done_h") + value(&o, "eva_lost_h"), 3.0);
        if done == 1.0 {
            assert_eq!(value(&o, "haven_planned"), 3.0);
        } else if value(&o, "haven_demands") == 2.0 {
            assert_eq!(value(&o, "haven_planned"), 2.0);
            near(value(&o, "eva_lost_h"), 3.0);
            seen += 1;
        }
    }
    // Each of three checks is false with chance 1/2: 1/4 pass for the first two, then 1/2 fail.
    assert!(seen > 0, "the second batch stayed in at least once");
}

/// All three go out and nobody else is there: the last of those who wait brings the port back (rule 14), so
/// that no plan that the check accepts ever leaves the second batch behind.
#[test]
fn who_waits_brings_the_port_back() {
    let alone = three()
        .patch("\"Cleo\", \"Dan\"]", "\"Cleo\"]")
        .patch("haven_people = 3", "haven_people = 3\ninside_least = 0");
    let o = play(&alone.model(), 0);
    assert_eq!(value(&o, "sorties_done"), 9.0);
    near(
        value(&o, "door_to_door_min"),
        egress(2.0) + BACK + egress(1.0) + ingress(2.0) + {
            // Nobody is inside to make the lock ready for the third but the two who are in.
            ready() + ingress(1.0)
        },
    );
}

/// Where no rows bring the port back for the others, as at two berths that three would go out by, the plan
/// is refused: the check has a finding for every plan that needs more batches than the port can take.
#[test]
fn a_port_that_nobody_can_bring_back_is_refused() {
    let said = super::played::berths()
        .patch("crew = [\"Ada\", \"Ben\"]", "crew = [\"Ada\", \"Ben\", \"Cleo\"]")
        .patch("\"Cleo\"]\nrest", "\"Cleo\", \"Dan\"]\nrest")
        .patch("team = 2", "team = 3")
        .try_model()
        .err()
        .unwrap_or_default();
    assert!(said.contains("error[team-port]"), "{said}");
}

/// Each person meets a rate per hour outside from the end of their own egress until they are safe, once,
/// whatever batch they go in: nobody is struck with exp(-rate x person-hours).
#[test]
fn everybody_meets_a_rate_outside_once() {
    let rate = 0.06;
    let hurt = super::played::mode(
        "called",
        "crew",
        "per hour outside",
        &format!("rate = \"{rate} /h\""),
        "return now",
        "",
    );
    let m = three().patch("per_week = 2", "at = [\"1.75 d\"]").add(&hurt).model();
    let safe = |n: f64| 5.0 * n + 2.0 + 2.0 * n + 4.0 + 6.0;
    let first = BACK + egress(1.0) + 60.0 + safe(2.0);
    let third = 60.0 + ingress(2.0) + ready() + safe(1.0);
    let hours = (2.0 * first + third) / 60.0;
    let struck = super::played::sample(&m, 0, 4000, |o| f64::from(u8::from(o.record.modes != 0)));
    super::played::share(&struck, 1.0 - (-rate * hours).exp(), "struck");
}
