//! What a day and a week hold: overhead of an activity, the weekly ceiling, the elapsed recharge of
//! suits, the protocol minimum of a prebreathe (rule 13), against hand arithmetic.

use super::played::*;
use crate::support::{Case, value};

/// The base with slots at these times and of so many days, with short rests.
fn at(times: &str, days: u32) -> Case {
    Case::base()
        .patch("length = \"30 d\"", &format!("length = \"{days} d\""))
        .patch("per_week = 2", &format!("at = [{times}]"))
        .patch("reserve = \"30 min\"", "reserve = \"30 min\"\nrest_least = \"10 h\"")
}

fn overhead(case: Case, law: &str) -> Case {
    case.patch("hours = \"4 h\"", &format!("hours = \"4 h\"\noverhead = {law}"))
}

/// Minutes of a base sortie but for the hours outside.
fn rows() -> f64 {
    egress() + TO_SAFE + AFTER_SAFE
}

#[test]
fn overhead_of_an_activity_is_crew_time_per_person_and_sortie() {
    let o = first(&overhead(one_sortie(), "\"2 h\"").model());
    near(value(&o, "overhead_h"), 2.0 * (rows() / 60.0 + 2.0), "overhead");
    near(value(&o, "door_to_door_min"), rows(), "door to door holds none of it");
    assert_eq!(value(&o, "eva_done_h"), 8.0);
}

/// Two persons draw one by one: the sum of two uniform overheads of 1 to 3 h, mean 4 h, variance
/// 2 x (2 h)^2 / 12. The variance of the sample is within four standard errors sqrt((2.4 - 1) / n) of it
/// (2.4 is the kurtosis of a triangular law): false alarm 6.3e-5.
#[test]
fn overhead_is_drawn_per_person() {
    let m = overhead(one_sortie(), "{ low = \"1 h\", high = \"3 h\" }").model();
    let n = 4000;
    let extra = sample(&m, 0, n, |o| value(o, "overhead_h") - 2.0 * rows() / 60.0);
    within(&extra, 4.0, "overhead of two");
    let mean = extra.iter().sum::<f64>() / n as f64;
    let variance = extra.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0);
    let want = 2.0 * 4.0 / 12.0;
    let z = (variance / want - 1.0) / ((2.4 - 1.0) / n as f64).sqrt();
    assert!(z.abs() < 4.0, "variance {variance}, by law {want}, z {z:.2}");
}

/// A duty day of 9 h with 2 h of overhead: the rest of it, less the rows, is spent outside.
#[test]
fn overhead_counts_in_the_duty_day() {
    let case = one_sortie().patch("duty_day = \"14 h\"", "duty_day = \"9 h\"");
    let m = overhead(case, "\"2 h\"").model();
    let o = first(&m);
    let done = 9.0 - 2.0 - rows() / 60.0;
    near(value(&o, "eva_done_h"), 2.0 * done, "done");
    near(lost_to(&m, 0, &o, "duty limit"), 2.0 * (4.0 - done), "lost to the duty limit");
}

/// Rest runs from the end of the second half of the overhead to the beginning of the first half of the
/// next: 10 h between the rows do, unless 1 h of overhead lies between them.
#[test]
fn overhead_takes_from_the_rest() {
    let next = 24.0 * 60.0 + rows() + 240.0 + 600.0 + 1.0;
    let times = format!("\"1 d\", \"{next} min\"");
    assert_eq!(value(&first(&at(&times, 5).model()), "sorties_done"), 2.0);
    let m = overhead(at(&times, 5), "\"1 h\"").model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 1.0);
    assert_eq!(lost_to(&m, 0, &o, "rest"), 8.0);
}

/// Slots each day at the same hour, 4 h each, 10 h a week: 4, 4, 2, none for four days, and again from
/// the eighth day on, which finds the first day's hours free again, and no more.
#[test]
fn the_weekly_ceiling_gives_the_rest_days() {
    let times: Vec<String> = (1..=10).map(|d| format!("\"{d} d\"")).collect();
    let case = at(&times.join(", "), 12)
        .patch("reserve = \"30 min\"", "reserve = \"30 min\"\neva_week_most = \"10 h\"");
    let m = case.model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 6.0);
    assert_eq!(value(&o, "eva_done_h"), 2.0 * (4.0 + 4.0 + 2.0 + 4.0 + 4.0 + 2.0));
    assert_eq!(lost_to(&m, 0, &o, "week"), 2.0 * (2.0 + 4.0 * 4.0 + 2.0));
    assert_eq!(value(&o, "eva_lost_h"), lost_to(&m, 0, &o, "week"));
    // A ceiling that is never met changes nothing.
    let far = at(&times.join(", "), 12)
        .patch("reserve = \"30 min\"", "reserve = \"30 min\"\neva_week_most = \"28 h\"");
    assert_eq!(value(&first(&far.model()), "eva_lost_h"), 0.0);
}

/// Cleo and Dora follow an hour after the others are in, in the same two suits.
fn relay(recharge: &str, suits: u32) -> Case {
    let next = 24.0 * 60.0 + rows() + 240.0 + 60.0;
    let second = format!(
        "[activity.relay]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 2\n\
         crew = [\"Cleo\", \"Dora\"]\nat = [\"{next} min\"]\nhours = \"4 h\"\ndust = \"50 g\"\n\
         [store.gas]"
    );
    at("\"1 d\"", 3)
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dora\"]")
        .patch("[store.gas]", &second)
        .patch("purity = 0.95", &format!("purity = 0.95\nrecharge_elapsed = \"{recharge}\""))
        .patch("count = 2, at", &format!("count = {suits}, at"))
}

#[test]
fn a_suit_is_not_donned_before_its_recharge_is_over() {
    assert_eq!(value(&first(&relay("59 min", 2).model()), "sorties_done"), 2.0);
    let m = relay("61 min", 2).model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 1.0);
    assert_eq!(lost_to(&m, 0, &o, "recharge"), 8.0);
    // Two more suits hang there, and are taken.
    assert_eq!(value(&first(&relay("61 min", 4).model()), "sorties_done"), 2.0);
}

/// The protocol minimum of the element goes before that of the campaign, in play, in means and in
/// the words of `check`; another architecture has its own.
#[test]
fn a_protocol_belongs_to_the_pressure_of_its_cabin() {
    let row = "{ action = \"prebreathe\", on = \"suit\", each = \"at once\", takes = \"40 min\" }";
    let case = one_sortie()
        .patch("prebreathe_ratio = 1.65", "prebreathe_ratio = 1.65\nprebreathe_least = \"50 min\"")
        .patch_access(row, "{ action = \"prebreathe\", on = \"suit\" }");
    let door = |case: &Case| value(&first(&case.model()), "door_to_door_min");
    near(door(&case), rows() - 40.0 + 50.0, "of the campaign");
    let own = case.add("[architecture.lock.element.habitat]\nprebreathe_least = \"70 min\"\n");
    near(door(&own), rows() - 40.0 + 70.0, "of the element");
}
