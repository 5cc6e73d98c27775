//! Planned means are the played times when nothing varies: one arithmetic for both (rule 5).

use super::played::*;
use crate::support::{Case, value};

/// Minutes of egress and ingress as planned and as played, of one sortie of two.
fn both(case: &Case) -> (f64, f64) {
    let m = case.model();
    let arm = &m.arms[0];
    let port = &arm.layout.ports[0];
    let mean = |list: u16| arm.lists[list as usize].mean_total[2] / 60.0;
    let planned = mean(port.egress) + mean(port.ingress);
    (planned, value(&first(&m), "door_to_door_min"))
}

#[test]
fn of_the_plain_lock() {
    let (planned, played) = both(&one_sortie());
    near(planned, played, "door to door");
    near(played, egress() + TO_SAFE + AFTER_SAFE, "by hand");
}

#[test]
fn of_the_berths_in_waves() {
    let (planned, played) = both(&berths());
    near(planned, played, "door to door");
    // One after the other: the row acts on two berths side by side, and takes one wave.
    let case = berths().patch_access("each = \"in turn\"", "each = \"at once\"");
    let (planned, played) = both(&case);
    near(planned, played, "side by side");
}

/// Filled in two steps, slowly: each from where the one before has left it.
#[test]
fn of_a_fill_in_two_steps() {
    let case = one_sortie()
        .patch("pressure_rate = \"13.5 psi/min\"", "pressure_rate = \"0.5 psi/min\"")
        .patch_access(
            "{ action = \"repress\", on = \"lock\", takes = \"6 min\" },",
            "{ action = \"repress\", on = \"lock\", to = \"30 kPa\" },\n  \
             { action = \"repress\", on = \"lock\" },",
        );
    let (planned, played) = both(&case);
    near(planned, played, "door to door");
    let fill = 70.3e3 / (0.5 * PSI);
    let hand = egress() + TO_SAFE - 6.0 + fill + AFTER_SAFE;
    near(played, hand, "by hand");
}

/// Vented through a valve from where the pump has stopped, and the pump down to a level above its stop.
#[test]
fn of_a_vent_from_where_the_pump_was_told_to_stop() {
    let valve = "[opening]\nbleed = { kind = \"valve\", between = [\"lock\", \"outside\"], \
                 rest = \"shut\", diameter = \"10 mm\" }\n";
    let case = one_sortie()
        .patch_access("[opening]\n", valve)
        .patch_access("on = \"lock\", to = \"2 psi\"", "on = \"lock\", to = \"4 psi\"");
    let (planned, played) = both(&case);
    near(planned, played, "door to door");
    assert!(played > egress() + TO_SAFE + AFTER_SAFE, "the valve takes its time");
}
