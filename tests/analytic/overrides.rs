//! What an architecture changes: numbers of access files at its ports. A variant written as changes
//! is the variant written as a copied file, to the last bit.

use crate::support::{Case, play, value};

const FACTS: &[&str] = &["gas_lost_kg", "eva_done_h", "overhead_h", "dust_to_cabin_g", "upkeep_h"];

fn facts(case: &Case, arm: usize) -> Vec<u64> {
    let m = case.model();
    let o = vestibule::campaign::Player::new(&m).play_one(arm, 3).clone();
    FACTS.iter().map(|f| value(&o, f).to_bits()).collect()
}

const PORT: &str = "access = \"plain-lock\"";

#[test]
fn a_port_that_changes_numbers_is_the_file_with_these_numbers() {
    let changed = Case::base().patch(
        PORT,
        "access = \"plain-lock\"\nvolume.lock.free = \"9 m3\"\nvolume.lock.gear = \"0.5 m3\"\n\
         opening.outer.air_share = 0.2\npump.main.recovery = 0.5\nstage.brush.removes = 0.25",
    );
    let copied = Case::base()
        .patch_access("free = \"4.25 m3\"", "free = \"9 m3\", gear = \"0.5 m3\"")
        .patch_access("clear = \"0.91 m\", rest = \"shut\"", "air_share = 0.2, rest = \"shut\"")
        .patch_access("recovery = 0.95", "recovery = 0.5")
        .patch_access("removes = 0.5", "removes = 0.25");
    assert_eq!(facts(&changed, 0), facts(&copied, 0));
    assert_ne!(facts(&changed, 0), facts(&Case::base(), 0));
}

#[test]
fn another_port_of_the_same_file_keeps_its_numbers() {
    let case = Case::base().add(
        "[architecture.large]\nways_back = []\n\
         suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]\n\
         port.main = { element = \"habitat\", access = \"plain-lock\", volume.lock.free = \"9 m3\" }\n",
    );
    assert_eq!(facts(&case, 0), facts(&Case::base(), 0));
    assert_ne!(facts(&case, 1), facts(&case, 0));
}

/// A pump that keeps nothing: the loss per cycle by hand.
#[test]
fn gas_of_a_changed_volume_by_hand() {
    let case = |free: &str| {
        let at = format!("{PORT}\nvolume.lock.free = \"{free}\"\npump.main.recovery = 0");
        value(&play(&Case::base().patch(PORT, &at).model(), 0), "gas_lost_kg")
    };
    // Nothing is recovered: each further cubic metre of the lock costs a cubic metre of cabin gas
    // a sortie (what suits leak into the lock makes its gas a little heavier).
    let molar = 0.265 * 31.998e-3 + 0.735 * 28.0134e-3;
    let per_m3 = 70.3e3 / (8.314462618 * 294.26) * molar;
    let extra = case("6 m3") - case("5 m3");
    let sorties = value(&play(&Case::base().model(), 0), "sorties_done");
    assert!((extra - sorties * per_m3).abs() < 1e-3 * extra, "{extra} {per_m3} {sorties}");
}

#[test]
fn an_unknown_part_of_a_port_names_the_nearest_one() {
    let said = |change: &str| {
        let case = Case::base().patch(PORT, &format!("{PORT}\n{change}"));
        case.checked().expect_err("a finding")
    };
    let part = said("volume.lok.free = \"5 m3\"");
    assert!(part.contains("override-unknown") && part.contains("did you mean `lock`"), "{part}");
    assert!(part.contains("architecture.lock.port.main.volume.lok"), "{part}");
    let key = said("volume.lock.fre = \"5 m3\"");
    assert!(key.contains("unknown-key") && key.contains("did you mean `free`"), "{key}");
    assert!(key.contains("architecture.lock.port.main.volume.lock.fre"), "{key}");
    let structure = said("opening.outer.between = [\"cabin\", \"outside\"]");
    assert!(structure.contains("cannot change `between`"), "{structure}");
    let law = said("law.dressing = \"5 min\"");
    assert!(law.contains("it has no law at all"), "{law}");
}
