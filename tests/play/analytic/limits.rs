//! Limits inside the engine: there is none, or the check says so. Nothing panics, wraps or vanishes.

use super::played::*;
use crate::support::{Case, TOOLS, play, value};
use vestibule::campaign::Player;

/// What the check says of a case that it refuses.
fn refused(case: Case) -> String {
    case.checked().expect_err("a finding")
}

/// Forty hazards that strike both persons within minutes of going out: eighty hits of one sortie.
#[test]
fn a_sortie_takes_any_number_of_hits() {
    let one = |i: usize| {
        let name = format!("call{i}");
        mode(&name, "crew", "per hour outside", "rate = \"100 /h\"", "return now", "")
    };
    let m = Case::base().add(&(0..40).map(one).collect::<String>()).model();
    let o = play(&m, 0);
    identities(&o, "eighty hits");
    assert_eq!(value(&o, "sorties_cut_short"), f64::from(SORTIES));
}

/// A chamber that no store feeds, with forty seals of 25 g/d or one of 1 kg/d: the same leak.
#[test]
fn a_volume_leaks_by_any_number_of_seals() {
    let lost = |seals: usize, leak: &str| {
        let one = |i: usize| {
            format!(
                "seal{i} = {{ kind = \"pressure hatch\", between = [\"lock\", \"outside\"], \
                 rest = \"shut\", leak = \"{leak}\", leak_at = \"70.3 kPa\" }}\n"
            )
        };
        let all: String = (0..seals).map(one).collect();
        let case = Case::base()
            .patch("per_week = 2", "at = [\"20 d\"]")
            .patch_access("rest = \"cabin\", holds", "rest = \"cabin\", fed = false, holds")
            .patch_access("rest = \"open\", air_share", "rest = \"shut\", air_share")
            .patch_access("[opening]\n", &format!("[opening]\n{all}"))
            .patch_access(
                "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  \
                 { action = \"don\"",
                "  { action = \"open\", on = \"inner\", takes = \"1 min\" },\n  { action = \"pass\", \
                 on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  { action = \"don\"",
            )
            .patch_access(
                "  { action = \"recharge\"",
                "  { action = \"close\", on = \"inner\", takes = \"1 min\" },\n  { action = \
                 \"recharge\"",
            );
        value(&play(&case.model(), 0), "gas_lost_kg")
    };
    let (forty, one) = (lost(40, "25 g/d"), lost(1, "1 kg/d"));
    assert!(one > 1.0, "{one}");
    assert!((forty - one).abs() < 1e-9 * one, "{forty} {one}");
}

/// One bit of the record for each way back and each mode: more are refused, as many are played.
#[test]
fn ways_back_and_modes_beyond_the_record_are_refused() {
    let ways = |n: usize| {
        let name = |i: usize| format!("hammer{i}");
        let hammer = &TOOLS[..TOOLS.find("[list.way_back.wipe]").expect("the second tool")];
        let list: String = (0..n).map(|i| hammer.replace("hammer", &name(i))).collect();
        let hammers: Vec<String> = (0..n).map(|i| format!("\"{}\"", name(i))).collect();
        Case::base()
            .add_access(&list)
            .patch("ways_back = []", &format!("ways_back = [{}]", hammers.join(", ")))
    };
    let stuck = mode("jams", "main.outer", "on opening", "probability = 0.5", "stuck shut", "");
    let m = ways(64).add(&stuck).model();
    (0..20).for_each(|i| identities(&play(&m, i), "64 ways back"));
    assert!(refused(ways(65)).contains("65 contingency ingress paths"));
    let modes = |n: usize| -> Case {
        let one = |i: usize| {
            let law = "rate = \"1e-4 /h\"";
            mode(&format!("m{i}"), "pump", "per calendar hour", law, "slower", "factor = 1")
        };
        Case::base().add(&(0..n).map(one).collect::<String>())
    };
    identities(&play(&modes(128).model(), 0), "128 modes");
    assert!(refused(modes(129)).contains("129 failure modes"));
}

/// The number of a try is part of an address: sixty tries end, more are refused.
#[test]
fn tries_of_a_row_end() {
    let with = |n: u32| {
        let row = "{ action = \"open\", on = \"outer\", takes = \"3 min\"";
        Case::base()
            .patch_access(&format!("{row} }},"), &format!("{row}, if_fails = \"retry {n}\" }},"))
            .add(&mode("jams", "main.outer", "on opening", "probability = 1", "stuck shut", ""))
    };
    let o = play(&with(60).model(), 0);
    identities(&o, "sixty tries");
    assert_eq!(value(&o, "sorties_done"), 0.0);
    assert!(refused(with(300)).contains("300 tries of a row"));
}

/// Twelve persons by twelve ports at the same time.
#[test]
fn everybody_can_be_in_a_team_of_their_own() {
    let names: Vec<String> = (0..12).map(|i| format!("\"P{i}\"")).collect();
    let ports: String = (1..12)
        .map(|i| format!("port.p{i} = {{ element = \"habitat\", access = \"plain-lock\" }}\n"))
        .collect();
    let suits: Vec<String> = std::iter::once("main".to_string())
        .chain((1..12).map(|i| format!("p{i}")))
        .map(|p| format!("{{ suit = \"plain\", count = 1, at = \"{p}.lock\" }}"))
        .collect();
    let activity = |i: usize| {
        let port = if i == 0 { "main".to_string() } else { format!("p{i}") };
        format!(
            "[activity.a{i}]\nfrom = \"habitat\"\nports = [\"{port}\"]\nteam = 1\ncrew = [\"P{i}\"]\n\
             at = [\"1 d\"]\nhours = \"2 h\"\ndust = \"50 g\"\n"
        )
    };
    let all: String = (0..12).map(activity).collect();
    let case = Case::base()
        .patch("names = [\"Ada\", \"Ben\", \"Cleo\"]", &format!("names = [{}]", names.join(", ")))
        .patch("haven_people = 3", "haven_people = 12\ninside_least = 0")
        .patch("oxygen = \"200 kg\"", "oxygen = \"900 kg\"")
        .patch("nitrogen = \"120 kg\"", "nitrogen = \"900 kg\"")
        .patch(
            "crew = [\"Ada\", \"Ben\"]\nper_week = 2",
            "crew = [\"P0\", \"P1\"]\nat = [\"20 d\"]",
        )
        .patch(
            "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]",
            &format!("suits = [{}]\n{ports}", suits.join(", ")),
        )
        .add(&all);
    let m = case.model();
    let o = Player::new(&m).play_one(0, 0).clone();
    identities(&o, "twelve teams");
    assert!(value(&o, "sorties_done") >= 12.0, "{}", value(&o, "sorties_done"));
}
