//! Where lost hours come from (rule 12): one cause for what the stay lacks, one for what ended it, and
//! for a slot that does not take place what began the state that stops it.

use super::havens::two_havens;
use super::played::*;
use crate::support::value;

fn rows() -> f64 {
    egress() + TO_SAFE + AFTER_SAFE
}

/// A duty day of 6 h leaves a stay of 6 h less the rows, 4 h are wanted; a fault per sortie ends it at a
/// uniform moment. Each has its own hours, and its own count.
#[test]
fn a_sortie_may_lose_hours_to_two_causes() {
    let fault = mode("fault", "suit", "per sortie", "probability = 1", "return now", "");
    let m = one_sortie().patch("duty_day = \"14 h\"", "duty_day = \"6 h\"").add(&fault).model();
    let stay = 6.0 - rows() / 60.0;
    assert!(stay > 1.0 && stay < 4.0);
    let done = sample(&m, 0, 2000, |o| {
        let done = value(o, "eva_done_h") / 2.0;
        near(lost_to(&m, 0, o, "duty limit"), 2.0 * (4.0 - stay), "beyond the duty day");
        near(lost_to(&m, 0, o, "fault"), 2.0 * (stay - done), "after the fault");
        near(value(o, "eva_limited_h"), 2.0 * (4.0 - stay), "limited");
        assert_eq!((value(o, "sorties_limited"), value(o, "sorties_cut_short")), (1.0, 1.0));
        done
    });
    within(&done, stay / 2.0, "uniform over the stay");
}

/// Shorter tasks are no limit and no failure of anything: hours of 2 to 5 h against their mean.
#[test]
fn a_task_that_is_shorter_is_its_own_cause() {
    let m = one_sortie().patch("\"4 h\"", "{ low = \"2 h\", high = \"5 h\" }").model();
    let lost = sample(&m, 0, 2000, |o| {
        near(lost_to(&m, 0, o, "task shorter") + 1.0, value(o, "eva_lost_h") + 1.0, "all of it");
        assert_eq!((value(o, "sorties_limited"), value(o, "sorties_cut_short")), (0.0, 0.0));
        assert_eq!(value(o, "eva_failed_h"), 0.0);
        value(o, "eva_lost_h")
    });
    // Two persons; the mean of (3.5 - x) above zero for x uniform from 2 to 5 is 1.5^2 / (2 x 3) h.
    within(&lost, 2.0 * 0.375, "hours below the mean");
}

/// A fault on the way back, at the planned end, ends no work: the sortie is not cut short.
#[test]
fn what_strikes_after_work_does_not_cut_it_short() {
    let fault = mode("fault", "suit", "per sortie", "probability = 1", "return now", "");
    let far =
        one_sortie().patch("hours = \"4 h\"", "hours = \"1 min\"\ndistance = \"4 km\"").add(&fault);
    let m = far.model();
    // An hour out, a minute of work, an hour back: half of the strikes find the team on its way back.
    let cut = sample(&m, 0, 2000, |o| value(o, "sorties_cut_short"));
    share(&cut, 61.0 / 121.0, "struck before the way back");
}

/// An egress that is given up is a cancelled sortie; its crew time and what it let out stay in the sums.
#[test]
fn an_egress_given_up_is_cancelled_and_costs() {
    let stuck = mode("jam", "main.outer", "on opening", "probability = 1", "stuck shut", "");
    let m = one_sortie().add(&stuck).model();
    let o = first(&m);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (0.0, 1.0));
    assert_eq!(value(&o, "sorties_cut_short"), 0.0);
    assert_eq!(lost_to(&m, 0, &o, "jam"), 8.0);
    assert!(value(&o, "overhead_h") > 2.0 * TO_DEPRESS / 60.0 && value(&o, "gas_lost_kg") > 0.1);
}

/// A suit is spoilt outside and not mended: the next slot is lost to the fault, not to `no suit`.
#[test]
fn too_few_suits_are_put_down_to_what_spoilt_them() {
    let more = "repair = { takes = \"20 d\", crew = 1 }";
    let fault = mode("tear", "suit", "per sortie", "probability = 1", "suit unusable", more);
    let m = one_sortie().patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]").add(&fault).model();
    let o = first(&m);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (1.0, 1.0));
    assert_eq!(lost_to(&m, 0, &o, "no suit"), 0.0);
    near(lost_to(&m, 0, &o, "tear"), value(&o, "eva_lost_h"), "all lost to the tear");
}

/// Ada and Ben sit in the shelter because the hatch of the lock stuck. Their next slot, and that of Cleo
/// and Dora, whom nobody else is inside for, are lost to the hatch.
#[test]
fn who_is_stranded_elsewhere_is_put_down_to_what_stranded_them() {
    let again = two_havens(2).patch("at = [\"1 d\"]", "at = [\"1 d\", \"1.5 d\"]");
    let m = again.model();
    let o = first(&m);
    assert_eq!(lost_to(&m, 0, &o, "crew away"), 0.0);
    near(lost_to(&m, 0, &o, "sticks"), 8.0, "the second slot");
    let others = two_havens(2)
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dora\"]")
        .patch(
            "at = \"near.lock\" }",
            "at = \"near.lock\" }, { suit = \"plain\", count = 2, at = \"side.lock\" }",
        )
        .patch(
            "[store.gas]",
            "[activity.second]\nfrom = \"habitat\"\nports = [\"side\"]\nteam = 2\n\
             crew = [\"Cleo\", \"Dora\"]\nat = [\"1.5 d\"]\nhours = \"4 h\"\ndust = \"50 g\"\n\
             [store.gas]",
        );
    let m = others.model();
    let o = first(&m);
    assert_eq!(lost_to(&m, 0, &o, "nobody inside"), 0.0);
    near(lost_to(&m, 0, &o, "sticks"), 8.0, "the slot of the others");
}
