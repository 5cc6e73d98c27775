//! The planned end (rule 25): every book stops there, to the second; demands that are open run on.

use super::played::*;
use super::seals::{exact, part};
use crate::support::{Case, play, value};
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// Start of the one sortie, min.
const START: f64 = 1440.0;
/// Minutes outside as planned.
const OUT: f64 = 240.0;

/// The one sortie of a campaign that ends so many minutes after its start.
fn ends(minutes: f64) -> Case {
    let length = format!("length = \"{} min\"", START + minutes);
    one_sortie().patch("length = \"3 d\"", &length)
}

/// The campaign, its gas and dust in balance whatever was played after the end.
fn played(m: &Model) -> Outcome {
    let mut player = Player::new(m);
    let o = player.play_one(0, 0).clone();
    identities(&o, "campaign 0");
    let world = player.world(0);
    assert!(world.gas_error().iter().all(|e| *e < 1e-12), "gas {:?}", world.gas_error());
    assert!(world.dust_error().iter().all(|e| *e < 1e-12), "dust {:?}", world.dust_error());
    o
}

/// 136 minutes or so outside when the end comes: hours, overhead, what suits leak and give to breathe, dust
/// and the leak of the lock stop there. Nobody stays out for that: both are in as planned.
#[test]
fn books_stop_while_a_team_is_outside() {
    let leak = "clear = \"0.91 m\", rest = \"shut\"";
    let leaks = format!("{leak}, leak = \"1 g/d\"");
    let m = ends(288.0).patch_access(leak, &leaks).model();
    let o = played(&m);
    let done = 288.0 - egress();
    near(value(&o, "eva_done_h"), 2.0 * done / 60.0, "done");
    near(lost_to(&m, 0, &o, "campaign end"), 2.0 * (OUT - done) / 60.0, "lost to the end");
    assert_eq!(value(&o, "eva_failed_h"), 0.0, "nothing failed");
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_limited")), (1.0, 1.0));
    near(value(&o, "overhead_h"), 2.0 * egress() / 60.0, "overhead");
    near(value(&o, "door_to_door_min"), egress(), "rows");
    let on_supply = 288.0 - TO_DEPRESS;
    near(part(&m, &o, "gas_lost_kg", "main: suit leak"), 2.0 * 2e-3 / 60.0 * on_supply, "suits");
    // The lock stands at vacuum: it leaks up to the opening only.
    let down = START + TO_DEPRESS + pump() + 3.0 * (2.0 * PSI + 1000.0) / 70.3e3;
    exact(part(&m, &o, "gas_lost_kg", "main: leak"), 1e-3 / 1440.0 * down, "lock");
    near(part(&m, &o, "dust_picked_up_g", "all"), 2.0 * 50.0 * done / OUT, "dust");
    assert_eq!(value(&o, "campaign_length_d"), (START + 288.0) / 1440.0);
    assert_eq!((value(&o, "haven_demands"), value(&o, "haven_planned")), (2.0, 2.0));
    let longer = played(&ends(348.0).patch_access(leak, &leaks).model());
    let more = |name: &str| value(&longer, name) - value(&o, name);
    near(more("eva_done_h"), 2.0, "an hour each");
    let full = played(&ends(2000.0).patch_access(leak, &leaks).model());
    let clock = OUT + egress() - TO_DEPRESS + TO_SAFE;
    let water = value(&full, "water_used_kg") / clock;
    near(value(&o, "water_used_kg"), water * on_supply, "water");
    near(more("water_used_kg"), water * 60.0, "water of an hour");
    let breathed = |o: &Outcome| {
        value(o, "oxygen_used_kg") + value(o, "nitrogen_used_kg") - value(o, "gas_lost_kg")
    };
    let rest = breathed(&full) - breathed(&o);
    near(
        breathed(&longer) - breathed(&o),
        rest * 60.0 / (clock - on_supply),
        "breathed in an hour",
    );
    assert_eq!(
        value(&o, "haven_margin_min"),
        value(&full, "haven_margin_min"),
        "the margin runs on"
    );
}

/// The end comes in the middle of the way in: the hours are done, the overhead runs to that second, and
/// the lock is filled after it.
#[test]
fn books_stop_in_the_middle_of_a_list() {
    let at = egress() + OUT + 22.0;
    let m = ends(at).model();
    let o = played(&m);
    near(value(&o, "eva_done_h"), 2.0 * OUT / 60.0, "done");
    near(value(&o, "overhead_h"), 2.0 * (egress() + 22.0) / 60.0, "overhead");
    near(value(&o, "door_to_door_min"), egress() + 22.0, "rows");
    let leaked = 2.0 * 2e-3 / 60.0 * (at - TO_DEPRESS);
    near(part(&m, &o, "gas_lost_kg", "main: suit leak"), leaked, "suits");
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert_eq!(value(&o, "eva_lost_h"), 0.0);
}

/// Nobody goes out after the end: who is dressing then stays in, and the hours are lost to the end.
#[test]
fn a_team_that_is_not_out_yet_stays_in() {
    let m = ends(60.0).model();
    let o = played(&m);
    assert_eq!((value(&o, "sorties_cancelled"), value(&o, "haven_demands")), (1.0, 0.0));
    near(lost_to(&m, 0, &o, "campaign end"), 8.0, "planned hours");
    near(value(&o, "overhead_h"), 2.0, "an hour each");
    assert_eq!(value(&o, "gas_lost_kg"), 0.0);
}

/// Two who cannot get in: missed hours after the end, and in no book but that of demands.
#[test]
fn trouble_after_the_end_costs_nothing_but_lives() {
    let sticks = mode(
        "sticks",
        "main.outer",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"ingress\"",
    );
    let well = played(&ends(288.0).model());
    let ill = play(&ends(288.0).add(&sticks).model(), 0);
    identities(&ill, "missed after the end");
    assert_eq!((value(&well, "haven_missed"), value(&ill, "haven_missed")), (0.0, 2.0));
    for name in [
        "gas_lost_kg",
        "oxygen_used_kg",
        "water_used_kg",
        "eva_done_h",
        "eva_lost_h",
        "overhead_h",
        "upkeep_h",
        "sorties_done",
        "hatch_failures",
        "campaign_length_d",
    ] {
        assert_eq!(value(&ill, name), value(&well, name), "{name}");
    }
}
