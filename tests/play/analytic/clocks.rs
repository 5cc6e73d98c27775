//! What is left is a quantity of supply (rules 18, 21): on a way it is reckoned at the power of that
//! way, a margin at the mean of `crew.work`.

use super::played::*;
use crate::support::{Case, value};

/// Minutes on the clock when the team of the base stands at the door after `work` minutes outside.
fn at_door(work: f64) -> f64 {
    pump() + AFTER_DEPRESS + work
}

/// The outer hatch of the port `main` never opens inward; another lock of the same kind, `side`, is
/// entered by a way back with a `row` before its ingress.
fn shut_out(row: &str) -> Case {
    let case = one_sortie();
    let lock = &case.access[0].1;
    let side = format!(
        "{lock}\n[list.way_back.come-in]\nfrom = \"outside\"\n\
         rows = [{row}{{ use = \"ingress\" }}]\n"
    );
    let sticks = "during = \"ingress\"";
    case.include("side-lock.toml", &side)
        .patch("ways_back = []", "ways_back = [\"side.come-in\"]")
        .add("[architecture.lock.port.side]\nelement = \"habitat\"\naccess = \"side-lock\"\n")
        .add(&mode("sticks", "main.outer", "on opening", "probability = 1", "stuck shut", sticks))
}

/// 400 W at work, of a suit of 7 h at 290 W and 30 min: energy used, told at 290 W.
#[test]
fn a_margin_is_told_at_the_mean_rate_of_work() {
    let m = one_sortie().patch("hours = \"4 h\"", "hours = \"3 h\"\nwork = \"400 W\"").model();
    let used = (at_door(180.0) + TO_SAFE) * 400.0 / 290.0;
    near(value(&first(&m), "haven_margin_min"), 450.0 - used, "margin");
}

/// The reserve counts at the mean of `crew.work`, egress and ingress at the rate of the task.
#[test]
fn the_reserve_counts_at_the_mean_rate_of_work() {
    let m = one_sortie()
        .patch("hours = \"4 h\"", "hours = \"12 h\"\nwork = \"400 W\"")
        .patch("duty_day = \"14 h\"", "duty_day = \"24 h\"")
        .model();
    let stay = (420.0 * 290.0 - 30.0 * 290.0) / 400.0 - at_door(0.0) - TO_SAFE;
    let o = first(&m);
    near(value(&o, "eva_done_h"), 2.0 * stay / 60.0, "hours outside");
    near(value(&o, "haven_margin_min"), 60.0, "reserve and secondary");
}

/// An hour's `wait` at 145 W uses half an hour of supply at 290 W; the rows after it count at work
/// again.
#[test]
fn waiting_counts_at_rest_and_rows_after_it_at_work() {
    let row = "{ action = \"wait\", on = \"lock\", takes = \"60 min\" }, ";
    let m = shut_out(row).patch("rest = \"290 W\"", "rest = \"145 W\"").model();
    let o = first(&m);
    // Who is inside makes the side lock ready: inner hatch, pump, vent; then the hatch that is stuck
    // has cost its row and the brush.
    let ready = 3.0 + 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln() + 3.0;
    let used = at_door(240.0) + 10.0 + 2.0 + ready + 30.0 + TO_SAFE;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - used, "margin");
}

/// A shelter half an hour away on foot comes first in the order, then the lock beside. An hour of
/// primary at 290 W and half an hour of secondary are left when the hatch does not open. The ingress
/// takes 26 min: at 290 W the walk leaves 34 of 90 min, at 870 W it leaves 20.
#[test]
fn a_walk_is_reckoned_at_the_rate_of_walking() {
    for (walk, far, side) in [("290 W", 2.0, 0.0), ("870 W", 0.0, 2.0)] {
        let mut case = super::havens::two_havens(2);
        let lock = case.access.iter_mut().find(|a| a.0 == "near-lock.toml").expect("the lock");
        let row = "rows = [{ action = \"travel\", on = \"cabin\", by = \"foot\" }, { use";
        lock.1 = lock.1.replace("rows = [{ use", row);
        let primary = at_door(240.0) + 12.0 + 60.0;
        let away = "[element.shelter]\ndistance = \"2 km\"";
        let m = case
            .patch("primary = \"7 h\"", &format!("primary = \"{primary} min\""))
            .patch("walk = \"290 W\"", &format!("walk = \"{walk}\""))
            .patch("[element.shelter]", away)
            .model();
        let o = first(&m);
        assert_eq!(ended(&m, 0, &o, "near.come-in"), far, "walking at {walk}");
        assert_eq!(ended(&m, 0, &o, "side.come-in"), side, "walking at {walk}");
    }
}

/// The lock beside comes first, the shelter second. Two have begun to go out by the lock beside, for 132 min more:
/// it is waited for where life support lasts for that and the way in, and the shelter is taken where it does not.
#[test]
fn a_port_that_is_in_use_for_too_long_is_not_waited_for() {
    for (work, near, side) in [(300.0, 2.0, 0.0), (120.0, 0.0, 2.0)] {
        let begun = 1440.0 + egress() + work + 12.0 - 20.0;
        let others = format!(
            "\n[activity.others]\nfrom = \"habitat\"\nports = [\"side\"]\nteam = 2\n\
             crew = [\"Cleo\", \"Dan\"]\nat = [\"{begun} min\"]\nhours = \"4 h\"\ndust = \"0 g\"\n"
        );
        let m = super::havens::two_havens(2)
            .patch("[\"near.come-in\", \"side.", "[\"side.come-in\", \"near.")
            .patch("hours = \"4 h\"", &format!("hours = \"{work} min\""))
            .patch("\"Cleo\"]\nrest", "\"Cleo\", \"Dan\", \"Eve\"]\nrest")
            .patch("haven_people = 3", "haven_people = 5")
            .patch(
                "at = \"main.lock\" }",
                "at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"side.lock\" }",
            )
            .add(&others)
            .model();
        let o = first(&m);
        let met = (ended(&m, 0, &o, "near.come-in"), ended(&m, 0, &o, "side.come-in"));
        assert_eq!(met, (near, side), "{work} min at work");
    }
}
