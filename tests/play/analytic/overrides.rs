//! What an architecture changes: numbers of access files at its ports, failure modes. A variant that
//! is written as changes is the variant written as a copied file, to the last bit. And what a failure
//! mode may say: several parts, a factor from an age on.

use super::played::*;
use crate::support::{Case, play, value};
use vestibule::campaign::Player;

const FACTS: &[&str] = &["gas_lost_kg", "eva_done_h", "overhead_h", "dust_to_cabin_g", "upkeep_h"];

fn facts(case: &Case, arm: usize) -> Vec<u64> {
    let m = case.model();
    let o = Player::new(&m).play_one(arm, 3).clone();
    FACTS.iter().map(|f| value(&o, f).to_bits()).collect()
}

const PORT: &str = "access = \"plain-lock\"";

#[test]
fn a_port_that_changes_numbers_is_the_file_with_these_numbers() {
    let changed = Case::whole().patch(
        PORT,
        "access = \"plain-lock\"\nvolume.lock.free = \"9 m3\"\nvolume.lock.gear = \"0.5 m3\"\n\
         opening.outer.air_share = 0.2\npump.main.recovery = 0.5\nstage.brush.removes = 0.25",
    );
    let copied = Case::whole()
        .patch_access("free = \"4.25 m3\"", "free = \"9 m3\", gear = \"0.5 m3\"")
        .patch_access("clear = \"0.91 m\", rest = \"shut\"", "air_share = 0.2, rest = \"shut\"")
        .patch_access("recovery = 0.95", "recovery = 0.5")
        .patch_access("removes = 0.5", "removes = 0.25");
    assert_eq!(facts(&changed, 0), facts(&copied, 0));
    assert_ne!(facts(&changed, 0), facts(&Case::whole(), 0));
}

#[test]
fn another_port_of_the_same_file_keeps_its_numbers() {
    let large = OTHER.replace("lock\" }\n", "lock\", volume.lock.free = \"9 m3\" }\n");
    let case = Case::whole().add(&large);
    assert_eq!(facts(&case, 0), facts(&Case::whole(), 0));
    assert_ne!(facts(&case, 1), facts(&case, 0));
}

/// A pump that keeps nothing: the loss per cycle by hand.
#[test]
fn gas_of_a_changed_volume_by_hand() {
    let case = |free: &str| {
        let at = format!("{PORT}\nvolume.lock.free = \"{free}\"\npump.main.recovery = 0");
        value(&play(&Case::whole().patch(PORT, &at).model(), 0), "gas_lost_kg")
    };
    // Nothing is recovered: each further cubic metre of the lock costs a cubic metre of cabin gas
    // a sortie (what suits leak into the lock makes its gas a little heavier).
    let molar = 0.265 * 31.998e-3 + 0.735 * 28.0134e-3;
    let per_m3 = 70.3e3 / (8.314462618 * 294.26) * molar;
    let extra = case("6 m3") - case("5 m3");
    let sorties = value(&play(&Case::whole().model(), 0), "sorties_done");
    assert!((extra - sorties * per_m3).abs() < 1e-3 * extra, "{extra} {per_m3} {sorties}");
}

#[test]
fn an_unknown_part_of_a_port_names_the_nearest_one() {
    let said = |change: &str| {
        let case = Case::whole().patch(PORT, &format!("{PORT}\n{change}"));
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

const LAW: &str = "probability = 0.3";

fn jam(on: &str, more: &str) -> String {
    mode("jam", on, "on opening", LAW, "stuck shut", more)
}

const OTHER: &str = "[architecture.other]\nways_back = []\n\
    suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]\n\
    port.main = { element = \"habitat\", access = \"plain-lock\" }\n";

/// What an architecture changes on a failure mode is the mode written so, on the same luck; the other
/// architecture keeps what the file says.
#[test]
fn failure_modes_of_an_architecture_are_those_of_a_file_that_says_so() {
    let repair = "repair = { takes = \"6 h\", crew = 1, success = 0.5 }\nduring = \"egress\"";
    let more = "repair = { takes = \"2 h\", crew = 1, success = 0.5 }\nduring = \"egress\"";
    let case = Case::whole().add(OTHER).add(&jam("main.outer", repair)).add(
        "[architecture.other.failure.jam]\nlaw = 0.6\nrepair.takes = \"2 h\"\n\
         repair.source = \"a drawing\"\n",
    );
    let m = case.model();
    let written = Case::whole().add(&jam("main.outer", more).replace(LAW, "probability = 0.6"));
    let as_file = Case::whole().add(&jam("main.outer", repair));
    let (written, as_file) = (written.model(), as_file.model());
    let mut differ = 0;
    for i in 0..20 {
        let of = |m: &_, arm| {
            let o = Player::new(m).play_one(arm, i).clone();
            FACTS.iter().map(|f| value(&o, f).to_bits()).collect::<Vec<_>>()
        };
        assert_eq!(of(&m, 1), of(&written, 0), "campaign {i}");
        assert_eq!(of(&m, 0), of(&as_file, 0), "campaign {i}");
        differ += u32::from(of(&m, 0) != of(&m, 1));
    }
    assert!(differ > 5, "{differ} of 20 campaigns differ");
}

#[test]
fn changes_of_failure_modes_that_are_not_there_or_ask_at_another_time_are_refused() {
    let said = |change: &str| {
        let case = Case::whole().add(&jam("main.outer", "")).add(OTHER);
        case.add(&format!("[architecture.other.failure]\n{change}\n")).checked().expect_err("one")
    };
    let name = said("jamm.law = 0.5");
    assert!(name.contains("override-unknown") && name.contains("did you mean `jam`"), "{name}");
    let when = said("jam.when = \"on closing\"");
    assert!(when.contains("cannot change `when`"), "{when}");
    let fit = said("jam.law = \"1e-3 /h\"");
    assert!(fit.contains("failure-law") && fit.contains("architecture.other"), "{fit}");
    let spare = said("jam.repair = { takes = \"1 h\", crew = 9 }");
    assert!(spare.contains("repair-crew"), "{spare}");
}

/// A mode on a list of parts is one mode: both hatches of the lock by name are all its hatches.
#[test]
fn a_mode_on_several_parts_is_one_mode() {
    let both = jam("main.outer", "").replace("\"main.outer\"", "[\"main.outer\", \"main.inner\"]");
    let (both, kind) = (Case::whole().add(&both), Case::whole().add(&jam("pressure hatch", "")));
    let outer = Case::whole().add(&jam("main.outer", ""));
    let failures = |c: &Case| -> Vec<u64> {
        let m = c.model();
        let mut player = Player::new(&m);
        (0..20).map(|i| value(player.play_one(0, i), "hatch_failures").to_bits()).collect()
    };
    assert_eq!(failures(&both), failures(&kind));
    assert_ne!(failures(&both), failures(&outer));
}

/// Half an hour of overhead per person and sortie more in one architecture; hours and plan stay.
#[test]
fn an_architecture_changes_the_overhead_of_an_activity_and_nothing_else_of_it() {
    let own = "activity.survey.overhead = \"90 min\"\n";
    let case = Case::whole()
        .patch("dust = \"50 g\"", "dust = \"50 g\"\noverhead = \"60 min\"")
        .add(&OTHER.replacen("]\n", &format!("]\n{own}"), 1));
    let m = case.model();
    let of = |arm: usize, f: &str| value(Player::new(&m).play_one(arm, 0), f);
    let people = 2.0 * of(0, "sorties_done");
    near(of(1, "overhead_h") - of(0, "overhead_h"), 0.5 * people, "overhead");
    for same in ["eva_done_h", "eva_planned_h", "sorties_done", "gas_lost_kg"] {
        assert_eq!(of(0, same), of(1, same), "{same}");
    }
    for key in ["hours = \"5 h\"", "team = 1", "per_week = 1", "crew = [\"Ada\"]"] {
        let change = format!("]\nactivity.survey.{key}\n");
        let said = Case::whole().add(&OTHER.replacen("]\n", &change, 1)).checked().expect_err(key);
        assert!(said.contains("override-unknown") && said.contains("cannot change"), "{said}");
    }
}

fn ages(when: &str, law: &str, more: &str) -> vestibule::model::Model {
    let more = format!("factor = 1\n{more}");
    Case::whole().add(&mode("worn", "main.outer", when, law, "slower", &more)).model()
}

fn struck(o: &vestibule::outcome::Outcome) -> f64 {
    value(o, "hatch_failures")
}

/// Two openings a sortie, 18 in all; from the tenth on each counts five times.
#[test]
fn a_probability_from_an_age_on() {
    let m = ages("on opening", "probability = 0.02", "worn = { from = 10, factor = 5 }");
    let openings = f64::from(2 * SORTIES);
    let chance = 1.0 - 0.98f64.powf(10.0 + 5.0 * (openings - 10.0));
    within(&sample(&m, 0, 2000, struck), chance, "share struck");
}

/// The calendar: 200 h of 720 h as good as new, then four times the rate.
#[test]
fn a_rate_from_an_age_on() {
    let law = "rate = \"4e-4 /h\"";
    let worn = "worn = { from = \"200 h\", factor = 4 }";
    let spent: f64 = 4e-4 * (200.0 + 4.0 * 520.0);
    let once = ages("per calendar hour", law, worn);
    within(&sample(&once, 0, 2000, struck), 1.0 - (-spent).exp(), "share struck");
    // As bad as old, mended at once: strikes are Poisson with the same mean.
    let repair = "repair = { takes = \"1 s\", crew = 0, renews = \"as bad as old\" }";
    let again = ages("per calendar hour", law, &format!("{worn}\n{repair}"));
    within(&sample(&again, 0, 2000, struck), spent, "mean strikes");
}
