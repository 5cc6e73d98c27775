//! Planned replacement and repairs that need a team outside, against formulas.

use super::played::*;
use crate::support::{Case, value};

/// A pump with a Weibull life of 15 d and shape 3, replaced every 10 d of 30 by nobody in no time.
fn ages(repair: &str) -> Case {
    let law = "life = \"15 d\", shape = 3";
    let more = format!("repair = {{ takes = \"0 h\", crew = 0, {repair} }}");
    Case::base().add(&mode("ages", "pump", "per calendar hour", law, "pump lost", &more))
}

/// Three intervals of 10 d as new: no failure with exp(-3 (10/15)^3).
#[test]
fn replaced_before_it_fails() {
    let m = ages("replace_every = \"10 d\"").model();
    let failed = |o: &_| f64::from(u8::from(value(o, "pump_failures") > 0.0));
    let h = |t: f64| (t / 15.0).powi(3);
    share(&sample(&m, 0, 3000, failed), 1.0 - (-3.0 * h(10.0)).exp(), "failed in 30 d");
    let m = ages("renews = \"as new\"").model();
    share(&sample(&m, 0, 3000, failed), 1.0 - (-h(30.0)).exp(), "never replaced");
}

/// With one spare there is one replacement: after it the pump ages for 20 d.
#[test]
fn without_a_spare_nothing_is_replaced() {
    let m = ages("replace_every = \"10 d\", spare = \"kit\"").add("[spare]\nkit = 1\n").model();
    let failed = |o: &_| f64::from(u8::from(value(o, "pump_failures") > 0.0));
    let h = |t: f64| (t / 15.0).powi(3);
    let want = 1.0 - (-h(10.0) - h(20.0)).exp();
    share(&sample(&m, 0, 3000, failed), want, "failed in 30 d");
    assert!(sample(&m, 0, 300, |o| value(o, "spares_used")).iter().all(|x| *x == 1.0));
}

/// The outer hatch never fails and is replaced from outside after 2 d.
fn from_outside(takes: &str) -> Case {
    let more = format!(
        "repair = {{ takes = \"{takes}\", crew = 2, from = \"outside\", replace_every = \"2 d\", \
         spare = \"kit\" }}"
    );
    let law = "rate = \"1e-12 /h\"";
    Case::base()
        .patch("length = \"30 d\"", "length = \"4 d\"")
        .patch("per_week = 2", "at = [\"0.5 d\"]")
        .add(&mode("worn", "main.outer", "per calendar hour", law, "slower", &more))
        .add("[spare]\nkit = 5\n")
}

/// Hours of upkeep of two people by `times` times out and `work` minutes of work in all.
fn hours(times: f64, work: f64) -> f64 {
    2.0 * (times * (egress() + TO_SAFE + AFTER_SAFE) + work) / 60.0
}

/// Out, three hours of work, in: hours from door to door are upkeep, each has a demand of their own.
#[test]
fn a_team_goes_out_for_a_replacement() {
    let o = first(&from_outside("3 h").model());
    near(value(&o, "upkeep_h"), hours(1.0, 180.0), "upkeep");
    assert_eq!(value(&o, "spares_used"), 1.0);
    assert_eq!(value(&o, "haven_demands"), 4.0);
    assert_eq!(value(&o, "haven_planned"), 4.0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "eva_done_h")), (1.0, 8.0));
}

/// Eight hours of work are more than the suits last: a second time out, after the rest, with the same
/// spare.
#[test]
fn work_that_takes_two_times_out() {
    let o = first(&from_outside("8 h").model());
    near(value(&o, "upkeep_h"), hours(2.0, 480.0), "upkeep");
    assert_eq!(value(&o, "spares_used"), 1.0);
    assert_eq!(value(&o, "haven_demands"), 6.0);
}

/// The end comes while they are at work outside: hours from the door up to then are upkeep, once.
#[test]
fn work_outside_at_the_planned_end_is_booked_once() {
    let o = first(&from_outside("3 h").patch("length = \"4 d\"", "length = \"52 h\"").model());
    near(value(&o, "upkeep_h"), 2.0 * (52.0 - 48.0), "upkeep");
}

/// The attempt of the first two does not work. They are on their way in when something else fails and whoever is
/// free is looked for: two others go out by another port for the second attempt, which is theirs. Each costs its
/// hours from door to door and a spare.
#[test]
fn another_team_takes_over_where_an_attempt_did_not_work() {
    let fails = |name: &str, on: &str, life: &str, repair: &str| {
        let law = format!("life = \"{life}\", shape = 500");
        let more = format!("noticed = \"at once\"\nrepair = {{ {repair} }}");
        mode(name, on, "per calendar hour", &law, "leak", &more)
    };
    let outside = "takes = \"3 h\", crew = 2, from = \"outside\", success = 0.0, spare = \"kit\"";
    let inside = "takes = \"1 h\", crew = 1, from = \"inside\"";
    let m = Case::base()
        .patch("length = \"30 d\"", "length = \"60 h\"")
        .patch("per_week = 2", "at = [\"59.9 h\"]")
        .patch("\"Cleo\"]\nrest", "\"Cleo\", \"Dan\", \"Eve\"]\nrest")
        .patch("haven_people = 3", "haven_people = 5")
        .patch(
            "at = \"main.lock\" }",
            "at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"side.lock\" }",
        )
        .add("[architecture.lock.port.side]\nelement = \"habitat\"\naccess = \"plain-lock\"\n")
        .add(&fails("worn", "main.outer", "24 h", outside))
        .add(&fails("dry", "side.inner", "30.3 h", inside))
        .add("[spare]\nkit = 2\n")
        .model();
    let o = first(&m);
    assert_eq!(value(&o, "spares_used"), 2.0);
    near(value(&o, "upkeep_h"), 2.0 * hours(1.0, 180.0) + 1.0, "upkeep");
}

/// The outer hatch drags, three times as slow, once an egress has opened it, and is mended before
/// the next: its other rows take twice as long again in both sorties, in the second as in the first.
#[test]
fn what_drags_is_as_quick_as_before_once_it_is_mended() {
    let more = "factor = 3\nduring = \"egress\"\n\
                repair = { takes = \"1 h\", crew = 1, from = \"inside\", success = 1.0 }";
    let drags = mode("drags", "main.outer", "on opening", "probability = 1", "slower", more);
    let m = one_sortie().patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]").add(&drags).model();
    let o = first(&m);
    assert_eq!((value(&o, "hatch_failures"), value(&o, "upkeep_h")), (2.0, 2.0));
    // Out: pass 2 x 2, close 1; in: open 2, pass 2 x 2, close 4.
    let later = 2.0 * (4.0 + 1.0 + 2.0 + 4.0 + 4.0);
    near(value(&o, "door_to_door_min"), egress() + TO_SAFE + AFTER_SAFE + later, "door to door");
}
