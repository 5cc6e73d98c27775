//! Triggers and effects that nothing else asks one by one: what pumps meet while they run, interfaces when
//! they let go, a slower valve, a lost stage, illness, flights that are late or do not come.

use super::played::*;
use crate::support::{Case, value};

/// Nine runs of the pump, each as long as it takes with two in the lock: struck with 1 - exp(-rate t), and
/// once only, since nobody mends it.
#[test]
fn a_pump_meets_its_rate_while_it_runs() {
    let rate = 0.4;
    let law = format!("rate = \"{rate} /h\"");
    let worn = mode("worn", "main.main", "while running", &law, "slower", "factor = 1.0001");
    let m = Case::whole().add(&worn).model();
    let hours = f64::from(SORTIES) * pump() / 60.0;
    let want = 1.0 - (-rate * hours).exp();
    assert!(want > 0.3 && want < 0.8, "both outcomes are seen: {want}");
    share(&sample(&m, 0, 3000, |o| value(o, "pump_failures")), want, "struck while running");
    // The same rate per calendar hour would strike almost surely.
    assert!(1.0 - (-rate * 30.0 * 24.0).exp() > 0.999);
}

/// Each of two interfaces is asked once, when it lets go: the sortie is given up if either does not, and the
/// one that held is not asked again.
#[test]
fn an_interface_is_asked_when_it_lets_go() {
    let p = 0.3;
    let law = format!("probability = {p}");
    let holds = |when: &str| {
        let more = "noticed = \"at once\"";
        berths().add(&mode("holds", "main.interface", when, &law, "stuck shut", more)).model()
    };
    let m = holds("on unmating");
    let given_up = sample(&m, 0, 3000, |o| value(o, "sorties_cancelled"));
    share(&given_up, 1.0 - (1.0 - p) * (1.0 - p), "given up");
    let failures = sample(&m, 0, 3000, |o| value(o, "hatch_failures"));
    within(&failures, 2.0 * p, "interfaces that held");
    // Asked on mating instead, nobody is kept in.
    let m = holds("on mating");
    let kept = sample(&m, 0, 300, |o| value(o, "sorties_cancelled"));
    assert!(kept.iter().all(|x| *x == 0.0));
}

/// A valve of 10 mm vents the lock after the pump; three times as slow, the row takes three times as long
/// from the second sortie on.
#[test]
fn a_slower_valve_takes_its_factor() {
    let valve = "[opening]\nbleed = { kind = \"valve\", between = [\"lock\", \"outside\"], \
                 rest = \"shut\", diameter = \"10 mm\" }\n";
    let lock = || Case::whole().patch_access("[opening]\n", valve);
    let door = |case: Case| value(&first(&case.model()), "door_to_door_min");
    let plain = door(lock());
    // What the row takes: all of the list but its 3 min.
    let vent = plain - (egress() + TO_SAFE + AFTER_SAFE) + 3.0;
    assert!(vent > 3.0, "the valve acts, not the row's law: {vent} min");
    let slow = mode("clogs", "main.bleed", "on opening", "probability = 1", "slower", "factor = 3");
    let later = f64::from(SORTIES - 1) / f64::from(SORTIES);
    near(door(lock().add(&slow)), plain + later * 2.0 * vent, "all but the first");
}

/// A brush that is lost takes nothing off the suits any more: twice the dust arrives in the lock.
#[test]
fn a_lost_stage_does_nothing() {
    let dust = |case: Case| value(&first(&case.model()), "dust_in_lock_g");
    let lost = mode("breaks", "main.brush", "on start", "probability = 1", "stage lost", "");
    let skip = "incapacitated = \"skip\" }";
    let case = || {
        one_sortie()
            .patch("length = \"3 d\"", "length = \"5 d\"")
            .patch_access(skip, "incapacitated = \"skip\", if_fails = \"go on\" }")
    };
    let (clean, dirty) = (dust(case()), dust(case().add(&lost)));
    assert!(clean > 0.0);
    near(dirty, 2.0 * clean, "the brush took half");
}

/// Illness at a rate, 3 d each, and one slot at 2.5 d, when nobody is well again: cancelled if any of the
/// three has fallen ill, the two of the team or the one who must stay inside.
#[test]
fn who_is_ill_stays_in() {
    let (rate, lasts) = (0.05, 3.0);
    let ill = format!("illness = \"{rate} /d\"\nillness_lasts = \"{lasts} d\"\nrest = \"290 W\"");
    let m = Case::base()
        .patch("rest = \"290 W\"", &ill)
        .patch("length = \"30 d\"", "length = \"4 d\"")
        .patch("per_week = 2", "at = [\"2.5 d\"]")
        .model();
    let want = 1.0 - (-3.0f64 * rate * 2.5).exp();
    let lost = sample(&m, 0, 4000, |o| {
        let cancelled = value(o, "sorties_cancelled");
        near(lost_to(&m, 0, o, "crew ill") + 1.0, 8.0 * cancelled + 1.0, "all of it by illness");
        cancelled
    });
    share(&lost, want, "cancelled");
}

/// A flight brings gas: on time it is there for the slots after it; late, after its slip; never, where the
/// slip goes beyond the end. The store lasts for one sortie and half of the next.
#[test]
fn a_flight_that_is_late_or_missing_stands_sorties_down() {
    let per_pa = (4.25 - 0.3) * (0.265 * O2 + 0.735 * N2) / (R * 294.26);
    let cycle = (0.05 * (70.3e3 - 2.0 * PSI) + 2.0 * PSI) * per_pa;
    let suits = let_down(2.0) * (0.265 * O2 + 0.735 * N2) / (R * 294.26);
    let sortie = (cycle + suits) * 0.735 * N2 / (0.265 * O2 + 0.735 * N2);
    // Slots at 1.75 d and each 3.5 d: one before the flight of day 3, eight after it.
    let done = |flight: &str| {
        let m = Case::whole()
            .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
            .patch(
                "nitrogen = \"120 kg\"",
                &format!("nitrogen = \"{} kg\"\nresupply = [{{ {flight} }}]", 1.5 * sortie),
            )
            .model();
        let o = first(&m);
        let lost = 8.0 * value(&o, "sorties_cancelled");
        near(lost_to(&m, 0, &o, "store") + 1.0, lost + 1.0, "lost to the store");
        value(&o, "sorties_done")
    };
    let more = "nitrogen = \"50 kg\", oxygen = \"50 kg\"";
    assert_eq!(done(&format!("at = \"3 d\", {more}")), 9.0);
    // Ten days late: the slots at 5.25, 8.75 and 12.25 d are missed.
    assert_eq!(done(&format!("at = \"3 d\", on_time = 0, slip = \"10 d\", {more}")), 6.0);
    assert_eq!(done(&format!("at = \"3 d\", on_time = 0, slip = \"40 d\", {more}")), 1.0);
}

/// On time with a chance: half of the campaigns get the gas.
#[test]
fn a_flight_is_late_by_its_chance() {
    let m = Case::whole()
        .patch(
            "nitrogen = \"120 kg\"",
            "nitrogen = \"120 kg\"\nresupply = [{ at = \"3 d\", on_time = 0.3, slip = \"90 d\", \
             spares = { part = 1 } }]",
        )
        .add("[spare]\npart = 0\n")
        .add(&mode(
            "stiff",
            "main.inner",
            "on closing",
            "probability = 1",
            "slower",
            "repair = { takes = \"1 h\", crew = 1, spare = \"part\", success = 1 }",
        ))
        .model();
    let came = sample(&m, 0, 3000, |o| f64::from(u8::from(value(o, "spares_used") > 0.0)));
    share(&came, 0.3, "the part came");
}
