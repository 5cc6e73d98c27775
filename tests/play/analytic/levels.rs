//! How far and by what a chamber is emptied (rule 7): the level of a `depress`, pumps that are lost,
//! valves that do not move.

use super::played::*;
use crate::support::{Case, value};

/// Minutes of the base egress and ingress door to door, the prebreathe of 40 min included.
fn rows() -> f64 {
    egress() + TO_SAFE + AFTER_SAFE
}

/// kg per Pa of cabin gas in the base lock with two persons in it.
fn per_pa() -> f64 {
    (4.25 - 2.0 * 0.15) * (0.265 * O2 + 0.735 * N2) / (R * 294.26)
}

/// What two suits let out, kg.
fn suits() -> f64 {
    let_down(2.0) * (0.265 * O2 + 0.735 * N2) / (R * 294.26)
}

fn dies() -> String {
    mode("dies", "main.main", "on start", "probability = 1", "pump lost", "")
}

/// The run in which the pump dies costs its time and moves nothing; the `vent` row that follows empties
/// all of it, in its own time where no valve is modelled.
#[test]
fn a_lost_pump_is_left_to_the_vent_that_follows() {
    let o = first(&one_sortie().add(&dies()).model());
    near(value(&o, "door_to_door_min"), rows(), "the run, and the row's 3 min");
    near(value(&o, "gas_lost_per_sortie_kg"), 70.3e3 * per_pa() + suits(), "all of it");
    // Known from the day before on, the `depress` takes no time at all.
    let two = one_sortie().patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]").add(&dies());
    let both = 2.0 * value(&first(&two.model()), "door_to_door_min");
    near(both, 2.0 * rows() - pump(), "the second without the run");
}

/// A pump that goes down all the way, and no `vent` row: with the pump lost nobody gets out.
#[test]
fn without_a_vent_row_a_lost_pump_keeps_everybody_in() {
    let case = one_sortie()
        .patch_access("  { action = \"vent\", on = \"lock\", takes = \"3 min\" },\n", "")
        .patch_access(", to = \"2 psi\"", "")
        .patch_access("stop = \"2 psi\"", "stop = \"0.9 kPa\"");
    near(value(&first(&case.clone().model()), "sorties_done"), 1.0, "with its pump it goes out");
    let o = first(&case.add(&dies()).model());
    near(value(&o, "sorties_cancelled"), 1.0, "cancelled");
    near(value(&o, "pump_failures"), 1.0, "failures");
    assert_eq!(value(&o, "haven_missed"), 0.0, "missed");
}

/// A pump lost and not noticed (by the calendar): its run finds it, and costs its time once.
#[test]
fn a_hidden_loss_of_a_pump_is_found_by_its_run() {
    let law = "rate = \"10 /h\"";
    let more = "noticed = \"at next use\"";
    let lost = mode("dies", "main.main", "per calendar hour", law, "pump lost", more);
    let o = first(&one_sortie().add(&lost).model());
    near(value(&o, "door_to_door_min"), rows(), "the run, and the row's 3 min");
    near(value(&o, "gas_lost_per_sortie_kg"), 70.3e3 * per_pa() + suits(), "all of it");
}

/// A valve that is modelled has to move, whatever time the `vent` row gives: stuck shut, the volume
/// does not empty and nobody gets out.
#[test]
fn a_stuck_valve_empties_nothing() {
    let valve = "[opening]\nvalve = { kind = \"valve\", between = [\"lock\", \"outside\"], \
                 diameter = \"50 mm\", rest = \"shut\" }\n";
    let stuck = mode("jams", "main.valve", "on opening", "probability = 1", "stuck shut", "");
    let case = one_sortie().patch_access("[opening]\n", valve);
    near(value(&first(&case.clone().model()), "sorties_done"), 1.0, "a valve that moves");
    let o = first(&case.add(&stuck).model());
    near(value(&o, "sorties_cancelled"), 1.0, "cancelled");
    assert_eq!(value(&o, "haven_missed"), 0.0, "missed");
}

/// One place says the level of a `depress`: below the pump's stop or at rest it is refused, and without
/// `to` it is the stop.
#[test]
fn the_level_of_a_depress_lies_between_stop_and_rest() {
    let with = |to: &str| -> Case { one_sortie().patch_access(", to = \"2 psi\"", to) };
    for to in ["1 psi", "0 psi", "11 psi"] {
        let said = with(&format!(", to = \"{to}\"")).checked().expect_err(to);
        assert!(said.contains("depress-level"), "{to}: {said}");
    }
    let [plain, left_out] = [with(", to = \"2 psi\""), with("")].map(|c| first(&c.model()));
    for m in ["door_to_door_min", "gas_lost_kg", "eva_done_h"] {
        assert_eq!(value(&plain, m), value(&left_out, m), "{m}");
    }
    // At 3 psi the pump has less to do, and the vent lets out more.
    let higher = first(&with(", to = \"3 psi\"").model());
    let less = (4.25 - 0.3) / 0.40 * 1.5f64.ln();
    near(value(&plain, "door_to_door_min") - value(&higher, "door_to_door_min"), less, "time");
    let more = 0.95 * PSI * per_pa();
    let gas = value(&higher, "gas_lost_kg") - value(&plain, "gas_lost_kg");
    // What suits let out makes the gas of the lock another mixture by less than a thousandth.
    assert!((gas / more - 1.0).abs() < 1e-3, "{gas} {more}");
}
