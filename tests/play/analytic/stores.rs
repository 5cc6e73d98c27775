//! What suits and stages take from the store, against hand arithmetic.

use super::played::*;
use super::seals::{exact, part};
use crate::support::value;
use vestibule::campaign::Player;

/// A suit donned in a lock takes cabin gas from the store and lets it out down to working pressure, with
/// a row that says so or without; purged before, it is oxygen. The books close: two suits of 0.06 m3 from
/// 70.3 to 29.6 kPa.
#[test]
fn a_suit_worn_in_a_lock_is_in_the_books() {
    let check =
        "  { action = \"leak check\", on = \"suit\", each = \"at once\", takes = \"5 min\" },";
    let vent = "\n  { action = \"vent\", on = \"suit\", to = \"working\", takes = \"1 min\" },";
    let purge = "\n  { action = \"purge\", on = \"suit\", gas = \"cabin\", takes = \"8 min\" },";
    let air = let_down(2.0) * (0.265 * O2 + 0.735 * N2) / (R * 294.26);
    let oxygen = let_down(2.0) * O2 / (R * 294.26);
    for (rows, lost) in [("", air), (vent, air), (purge, oxygen)] {
        suits_in_the_books(&format!("{check}{rows}"), check, lost);
    }
}

fn suits_in_the_books(rows: &str, check: &str, lost: f64) {
    let m = one_sortie().patch_access(check, rows).model();
    let mut player = Player::new(&m);
    let o = player.play_one(0, 0).clone();
    exact(part(&m, &o, "gas_lost_kg", "main: suit vent"), lost, "suit vent");
    let world = player.world(0);
    assert!(world.gas_error().iter().all(|e| *e < 1e-9), "{:?}", world.gas_error());
    // All is doffed: no suit owes or holds anything.
    assert!(world.suit_gas_kg().iter().all(|g| g.abs() < 1e-12), "{:?}", world.suit_gas_kg());
}

/// Water: the sorties that the store can refill go, the next stands down.
#[test]
fn a_store_without_water_stands_sorties_down() {
    let minutes = pump() + AFTER_DEPRESS + 240.0 + TO_SAFE;
    let one = 2.0 * 290.0 * minutes * 60.0 / 2.5e6;
    let case = |kg: f64| {
        one_sortie()
            .patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]")
            .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"120 kg\"\nwater = \"{kg} kg\""))
            .model()
    };
    let m = case(1.9 * one);
    let o = first(&m);
    exact(value(&o, "water_used_kg"), one, "water of the one that went");
    assert_eq!(value(&o, "sorties_done"), 1.0);
    exact(lost_to(&m, 0, &o, "store"), 8.0, "hours lost to the store");
    assert_eq!(value(&first(&case(2.1 * one)), "sorties_done"), 2.0);
}

/// Where the store cannot pay a stage's gas its row fails: nothing goes below zero.
#[test]
fn a_store_does_not_go_below_zero_for_a_stage() {
    let case = |gas: &str| {
        one_sortie().patch_access("removes = 0.5 }", &format!("removes = 0.5, gas = \"{gas}\" }}"))
    };
    let cheap = case("1 kg").model();
    let spent = part(&cheap, &first(&cheap), "gas_lost_kg", "main: stage");
    exact(spent, 2.0, "two persons");
    let m = case("500 kg").model();
    let mut player = Player::new(&m);
    player.play_one(0, 0);
    let world = player.world(0);
    assert!(world.store_kg().iter().all(|g| *g >= 0.0), "{:?}", world.store_kg());
    assert!(world.gas_error().iter().all(|e| *e < 1e-9));
}

/// The lock's seal does not hold at the first pressure check; the way back wipes it and fills again.
/// That costs the gas of the first fill, all of it, as a leak, and the time of wiping and filling.
#[test]
fn a_fill_that_does_not_hold_is_lost_and_wiping_costs_time() {
    let leaks = mode(
        "leaks",
        "main.outer",
        "on holding pressure",
        "probability = 1.0",
        "leak",
        "holds = false\nduring = \"ingress\"",
    );
    let way = "[list.way_back.wipe]\nfrom = \"lock\"\nrows = [\n  \
        { action = \"close\", on = \"outer\", takes = \"4 min\" },\n  \
        { action = \"clean\", on = \"outer\", takes = \"9 min\" },\n  \
        { action = \"repress\", on = \"lock\", takes = \"6 min\", frees = 1.0 },\n  \
        { use = \"ingress\", after = \"repress lock\" },\n]\n";
    let sound = first(&one_sortie().model());
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"wipe\"]")
        .add_access(way)
        .add(&leaks)
        .model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    let fill = 70.3e3 * (4.25 - 2.0 * 0.15) * (0.265 * O2 + 0.735 * N2) / (R * 294.26);
    let leaked = part(&m, &o, "gas_lost_kg", "main: leak");
    assert!((leaked / fill - 1.0).abs() < 1e-9, "{leaked} kg and not {fill} kg");
    let later = value(&sound, "haven_margin_min") - value(&o, "haven_margin_contingency_min");
    exact(later, 9.0 + 6.0, "margin that the second try costs");
}

/// A world says of a store the lesser of both gases: nitrogen, less what the sortie has lost.
#[test]
fn a_store_holds_what_it_had_less_what_was_lost() {
    let m = one_sortie().model();
    let mut player = Player::new(&m);
    let used = value(player.play_one(0, 0), "nitrogen_used_kg");
    assert!(used > 0.1, "{used} kg of nitrogen");
    let held = player.world(0).store_kg();
    assert_eq!(held.len(), 1, "{held:?}");
    exact(held[0], 120.0 - used, "nitrogen in the store");
}
