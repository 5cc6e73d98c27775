//! Failures, ways back, hurt persons, stores and shared ports against formulas, through the whole
//! program. Statistical comparisons: fixed seed, |z| <= 4, two-sided false alarm 6.3e-5 each.

use super::played::{first, mode, one_sortie};
use crate::support::{Case, mean, play, value};
use vestibule::campaign::Player;
use vestibule::model::Model;

fn within(got: (f64, f64), want: f64, what: &str) {
    let z = (got.0 - want) / got.1;
    assert!(z.abs() <= 4.0, "{what}: got {} +- {}, formula {want}, z {z:.2}", got.0, got.1);
}

const SORTIES: i32 = 9;

fn stuck(p: f64) -> String {
    format!(
        "\n[failure.sticks]\non = \"main.outer\"\nwhen = \"on opening\"\nduring = \"ingress\"\n\
         law = {{ probability = {p} }}\neffect = \"stuck shut\"\n"
    )
}

const HAMMER: &str = r#"
[list.way_back.hammer]
from = "outside"
rows = [
  { action = "open", on = "outer", takes = "10 min", frees = 0.6 },
  { use = "ingress", after = "open outer" },
]
"#;

/// The outer hatch sticks with p at each ingress; one try frees it with 0.6; else nobody gets in. A miss
/// ends the campaign, so that the risk is 1 - (1 - p (1 - q))^n and sortie k is done if none before it
/// was a miss.
#[test]
fn one_mode_and_one_way_back() {
    let (p, q) = (0.05, 0.6);
    let m = Case::whole()
        .patch("ways_back = []", "ways_back = [\"hammer\"]")
        .add_access(HAMMER)
        .add(&stuck(p))
        .model();
    let miss = p * (1.0 - q);
    let n = 6000;
    let risk = 1.0 - (1.0 - miss).powi(SORTIES);
    within(mean(&m, 0, "campaign_haven_missed", n), risk, "risk");
    let done: f64 = (0..SORTIES).map(|k| 8.0 * (1.0 - miss).powi(k)).sum();
    within(mean(&m, 0, "eva_done_h", n), done, "hours done");
}

/// Hurt at a rate per person-hour from the end of egress until safe; brought in by the partner at once,
/// so that only the first of a pair shortens the exposure: rate small, second order neglected (1e-3).
#[test]
fn hurt_per_hour_outside() {
    let rate = 2e-3;
    let m = Case::whole()
        .add(&format!(
            "\n[failure.hurt]\non = \"crew\"\nwhen = \"per hour outside\"\nlaw = {{ rate = \"{rate} /h\" }}\n\
             effect = \"crew incapacitated\"\nseverity = \"must be carried\"\noff_duty = \"0 d\"\n"
        ))
        .model();
    // Outside 4 h, then 26 min of ingress rows until the end of repress.
    let exposure: f64 = 4.0 + 26.0 / 60.0;
    // Either of two is struck first and both go in at once: 2 h... the pair's hazard is 2 rate; after a
    // strike at t the rest of the exposure is 21 min of ingress without brushing the casualty.
    let pair = 2.0 * rate;
    let first = 1.0 - (-pair * exposure).exp();
    let want = f64::from(SORTIES) * first;
    let got = mean(&m, 0, "incapacitations", 8000);
    // The second of a pair during ingress adds at most rate x 26 min to each first.
    assert!((got.0 - want).abs() <= 4.0 * got.1 + want * rate * 0.5, "{got:?} against {want}");
}

/// Weibull by cycles, mended at once. As bad as old (minimal repair) demand j fails with
/// 1 - exp(-(H(j) - H(j-1))), H = (n/life)^shape, whatever happened before; as new the expected count is
/// the renewal function, by its discrete recursion. Method: reliability textbooks, from memory.
#[test]
fn weibull_hatch_as_new_and_as_bad_as_old() {
    let (life, shape) = (6.0f64, 2.5f64);
    let mode = |renews: &str| {
        format!(
            "\n[failure.stiff]\non = \"main.outer\"\nwhen = \"on opening\"\nduring = \"ingress\"\n\
             law = {{ life = {life}, shape = {shape} }}\neffect = \"slower\"\nfactor = 1.5\n\
             repair = {{ takes = \"1 min\", crew = 1, renews = \"{renews}\", from = \"anywhere\" }}\n"
        )
    };
    let n = SORTIES as usize;
    let hazard = |k: usize| (k as f64 / life).powf(shape);
    let old = Case::whole().add(&mode("as bad as old")).model();
    let minimal: f64 = (1..=n).map(|j| 1.0 - (hazard(j - 1) - hazard(j)).exp()).sum();
    within(mean(&old, 0, "hatch_failures", 6000), minimal, "as bad as old");
    // f(j): first failure at demand j; M(k) = sum_j f(j) (1 + M(k-j)).
    let f: Vec<f64> = (1..=n).map(|j| (-hazard(j - 1)).exp() - (-hazard(j)).exp()).collect();
    let mut renewals = vec![0.0; n + 1];
    for k in 1..=n {
        renewals[k] = (1..=k).map(|j| f[j - 1] * (1.0 + renewals[k - j])).sum();
    }
    let new = Case::whole().add(&mode("as new")).model();
    within(mean(&new, 0, "hatch_failures", 6000), renewals[n], "as new");
}

/// An early return with p at a moment uniform over 4 h: half of the hours of both persons are lost.
#[test]
fn early_return_at_a_uniform_moment() {
    let p = 0.2;
    let m = Case::whole()
        .add(&format!(
            "\n[failure.back]\non = \"suit\"\nwhen = \"per sortie\"\nlaw = {{ probability = {p} }}\neffect = \"return now\"\n"
        ))
        .model();
    let want = f64::from(SORTIES) * p * 2.0 * 2.0;
    within(mean(&m, 0, "eva_lost_h", 4000), want, "lost hours");
    within(mean(&m, 0, "sorties_cut_short", 4000), f64::from(SORTIES) * p, "cut short");
}

fn lost_by(m: &Model, arm: usize, cause: &str, outcome: &vestibule::outcome::Outcome) -> f64 {
    let row = m.arms[arm].breakdown.iter().position(|b| b.0 == "eva_lost_h" && b.1 == cause);
    outcome.breakdown[row.unwrap_or_else(|| panic!("no cause {cause}"))]
}

/// The way back fills the cabin: sorties stand down as soon as the store would not cover it (rule 26).
#[test]
fn a_store_that_runs_low_stands_sorties_down() {
    let way = r#"
[list.way_back.cabin-as-lock]
from = "lock"
needs = ["cabin tolerates vacuum", "suit for everyone inside", "gas covers cabin"]
rows = [
  { action = "suit up", on = "suit", who = "inside", each = "at once", takes = "25 min" },
  { action = "leak check", on = "suit", who = "inside", each = "at once", takes = "3 min" },
  { action = "vent", on = "cabin", takes = "15 min" },
  { action = "open", on = "inner", takes = "2 min" },
  { action = "pass", on = "inner", each = "in turn", takes = "2 min" },
  { action = "close", on = "inner", takes = "3 min" },
  { action = "repress", on = "cabin" },
  { action = "doff", on = "suit", who = "all", each = "at once", takes = "15 min" },
]
restore = []
"#;
    let restore = "restore = [\n  { action = \"close\", on = \"outer\", who = \"inside\", takes = \"5 min\" },\n  { action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" },\n  { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n";
    let case = Case::whole()
        .patch("ways_back = []", "ways_back = [\"cabin-as-lock\"]")
        .patch(
            "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]",
            "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }, { suit = \"plain\", count = 1, at = \"habitat.cabin\" }]",
        )
        .add_access(&format!("{restore}{}", way.replace("restore = []\n", "")));
    // 80 m3 at 70.3 kPa hold 21.9 kg O2 and 46.7 kg N2 or so: 47.5 kg N2 last for a sortie or two.
    let low = case.clone().patch("nitrogen = \"120 kg\"", "nitrogen = \"48.5 kg\"").model();
    let o = play(&low, 0);
    let stood_down = lost_by(&low, 0, "store", &o);
    assert!(stood_down > 0.0 && value(&o, "sorties_done") > 0.0, "stood down {stood_down} h");
    assert_eq!(
        value(&o, "sorties_planned"),
        value(&o, "sorties_done") + value(&o, "sorties_cancelled")
    );
    let enough = case.model();
    assert_eq!(lost_by(&enough, 0, "store", &play(&enough, 0)), 0.0);
}

/// Cabin depress: with gas the people at a hatch that does not seal come in; without it the way is not
/// open; with somebody inside and no suit it is never open.
#[test]
fn cabin_as_lock_needs_gas_and_suits() {
    let way = "restore = [\n  { action = \"close\", on = \"outer\", who = \"inside\", takes = \"5 min\" },\n  { action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" },\n  { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n[list.way_back.cabin-as-lock]\nfrom = \"lock\"\nneeds = [\"cabin tolerates vacuum\", \"suit for everyone inside\", \"gas covers cabin\"]\nrows = [\n  { action = \"suit up\", on = \"suit\", who = \"inside\", each = \"at once\", takes = \"25 min\" },\n  { action = \"leak check\", on = \"suit\", who = \"inside\", each = \"at once\", takes = \"3 min\" },\n  { action = \"vent\", on = \"cabin\", takes = \"15 min\" },\n  { action = \"open\", on = \"inner\", takes = \"2 min\" },\n  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"2 min\" },\n  { action = \"close\", on = \"inner\", takes = \"3 min\" },\n  { action = \"repress\", on = \"cabin\" },\n  { action = \"doff\", on = \"suit\", who = \"all\", each = \"at once\", takes = \"15 min\" },\n]\n";
    let mode = "\n[failure.will-not-seal]\non = \"main.outer\"\nwhen = \"on closing\"\nduring = \"ingress\"\nlaw = { probability = 1 }\neffect = \"stuck open\"\n";
    let suits = "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }, { suit = \"plain\", count = 1, at = \"habitat.cabin\" }]";
    let with_suit = Case::whole()
        .patch("ways_back = []", "ways_back = [\"cabin-as-lock\"]")
        .patch("suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]", suits)
        .add_access(way)
        .add(mode);
    let o = play(&with_suit.model(), 0);
    // The two outside and the one who had to sit in a suit: three demands, all met by the way back.
    assert_eq!(value(&o, "haven_way_back"), 3.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert!(value(&o, "gas_vented_contingency_kg") > 60.0, "a cabin of gas went out");
    let poor = with_suit
        .clone()
        .patch("[store.gas]\noxygen = \"200 kg\"", "[store.gas]\noxygen = \"15 kg\"");
    let o = play(&poor.model(), 0);
    assert_eq!(
        value(&o, "haven_way_back"),
        0.0,
        "the store stood sorties down or the way was shut"
    );
    let no_suit = Case::whole()
        .patch("ways_back = []", "ways_back = [\"cabin-as-lock\"]")
        .add_access(way)
        .add(mode);
    let refused = no_suit.try_model().expect_err("nobody inside can ever be suited");
    assert!(refused.contains("no usable suit within reach"), "{refused}");
}

/// A suit fault that hides until the leak check cancels the sortie there; a check that always misses
/// lets it pass.
#[test]
fn a_hidden_fault_is_found_at_use() {
    let mode = "\n[failure.creeping-leak]\non = \"suit\"\nwhen = \"per calendar hour\"\nlaw = { life = \"1 h\", shape = 20 }\neffect = \"suit unusable\"\nnoticed = \"at next use\"\n";
    let m = Case::whole().add(mode).model();
    let o = play(&m, 0);
    assert_eq!(value(&o, "sorties_done"), 0.0);
    assert!(lost_by(&m, 0, "creeping-leak", &o) > 0.0);
    let blind = Case::whole()
        .add(mode)
        .patch_access(
            "{ action = \"leak check\", on = \"suit\", each = \"at once\", takes = \"5 min\" }",
            "{ action = \"leak check\", on = \"suit\", each = \"at once\", takes = \"5 min\", misses = 1 }",
        )
        .model();
    assert_eq!(value(&play(&blind, 0), "sorties_done"), f64::from(SORTIES));
}

/// Two activities want the port at the same moment: the second waits for it, and gives up when it may
/// not wait long enough.
#[test]
fn two_teams_need_one_port() {
    let second = r#"
[activity.second]
from = "habitat"
ports = ["main"]
team = 1
crew = ["Cleo"]
at = ["2 d"]
hours = "1 h"
dust = "10 g"
[activity.early]
from = "habitat"
ports = ["main"]
team = 1
crew = ["Dora"]
at = ["2 d"]
hours = "1 h"
dust = "10 g"
"#;
    let case = Case::whole()
        .patch(
            "names = [\"Ada\", \"Ben\", \"Cleo\"]",
            "names = [\"Ada\", \"Ben\", \"Cleo\", \"Dora\", \"Eli\"]",
        )
        .patch("per_week = 2", "at = [\"20 d\"]")
        .add(second);
    let long =
        case.clone().patch("reserve = \"30 min\"", "reserve = \"30 min\"\nwait_at_most = \"10 h\"");
    assert_eq!(value(&play(&long.model(), 0), "sorties_done"), 3.0);
    let short =
        case.patch("reserve = \"30 min\"", "reserve = \"30 min\"\nwait_at_most = \"5 min\"");
    let m = short.model();
    let o = play(&m, 0);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    assert_eq!(lost_by(&m, 0, "port in use", &o), 1.0);
}

/// Same thing under another name, and an extra port that nobody uses: every fact the same bits.
#[test]
fn names_and_unused_ports_change_nothing() {
    let twice = "\n[architecture.twin]\ntitle = \"the same\"\nways_back = [\"hammer\"]\nsuits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]\n[architecture.twin.port.main]\nelement = \"habitat\"\naccess = \"plain-lock\"\n\
        [architecture.more]\ntitle = \"a port nobody uses\"\nways_back = [\"hammer\"]\nsuits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]\n[architecture.more.port.main]\nelement = \"habitat\"\naccess = \"plain-lock\"\n[architecture.more.port.idle]\nelement = \"habitat\"\naccess = \"bare-lock\"\n";
    let bare = Case::whole().access[0].1.clone();
    let m = Case::whole()
        .include("bare-lock.toml", &bare)
        .patch("ways_back = []", "ways_back = [\"hammer\"]")
        .add_access(HAMMER)
        .add(&stuck(0.02))
        .add("\n[failure.hurt]\non = \"crew\"\nwhen = \"per hour outside\"\nlaw = { rate = \"0.002 /h\" }\neffect = \"crew incapacitated\"\nseverity = \"must be carried\"\n")
        .add(twice)
        .model();
    let mut player = Player::new(&m);
    for k in 0..200 {
        let outcomes: Vec<_> = player.play(k).cloned().collect();
        for other in 1..3 {
            for f in 0..outcomes[0].facts.value.len() {
                let (a, b) = (outcomes[0].facts.value[f], outcomes[other].facts.value[f]);
                assert_eq!(
                    a.to_bits(),
                    b.to_bits(),
                    "campaign {k}, architecture {other}, fact {f}"
                );
            }
        }
    }
}

/// Sooner or later: a longer secondary supply never turns a met demand into a missed one (one way back,
/// one team), and a supply that is too short makes the way back late, not missed.
#[test]
fn late_is_not_missed() {
    let case = |secondary: &str| {
        Case::whole()
            .patch("ways_back = []", "ways_back = [\"hammer\"]")
            .patch("secondary = \"30 min\"", &format!("secondary = \"{secondary}\""))
            .patch("primary = \"7 h\"", "primary = \"5.3 h\"")
            .add_access(&HAMMER.replace("10 min", "45 min").replace("0.6", "1.0"))
            .add(&stuck(1.0))
            .model()
    };
    let short = play(&case("1 min"), 0);
    assert_eq!((value(&short, "haven_late"), value(&short, "haven_missed")), (2.0, 0.0));
    assert_eq!(value(&short, "campaign_haven_missed"), 1.0);
    let long = play(&case("3 h"), 0);
    assert_eq!(value(&long, "haven_late") + value(&long, "haven_missed"), 0.0);
}

/// The inner hatch leaks unnoticed once it is shut for egress. A check of the lock finds it and both stay
/// in; without one they go out, and the lock does not hold when they come back.
#[test]
fn a_check_of_a_volume_finds_the_leak_of_its_hatch() {
    let more = "holds = false\nfactor = 2\nnoticed = \"at next use\"\nduring = \"egress\"";
    let gives = mode("gives", "main.inner", "on closing", "probability = 1", "leak", more);
    let case = one_sortie().add(&gives);
    let shut = "  { action = \"close\", on = \"inner\", takes = \"3 min\" },\n";
    let check = "  { action = \"leak check\", on = \"lock\", takes = \"5 min\" },\n";
    let out = first(&case.model());
    assert_eq!((value(&out, "sorties_done"), value(&out, "haven_missed")), (1.0, 2.0));
    let found = first(&case.patch_access(shut, &format!("{shut}{check}")).model());
    assert_eq!((value(&found, "sorties_done"), value(&found, "haven_demands")), (0.0, 0.0));
    assert_eq!(value(&found, "seal_failures"), 1.0);
}

/// Of two stuck states of one hatch the second is dropped (rule 9): a hatch that has opened and stays open lets people
/// through, and it is the row that shuts it that fails.
#[test]
fn a_stuck_state_that_is_dropped_stops_no_row() {
    let sticks = |name: &str, how: &str| {
        mode(name, "main.outer", "on opening", "probability = 1", how, "during = \"ingress\"")
    };
    let case = one_sortie().add(&sticks("ajar", "stuck open")).add(&sticks("jams", "stuck shut"));
    let (story, _) = vestibule::campaign::tell(&case.model(), 0, 0);
    let said = |words: &str| story.lines.iter().any(|l| l.text.contains(words));
    assert!(said("ajar strikes") && said("jams strikes"), "both strike");
    assert!(!said("`open outer` fails") && said("`close outer` fails"));
}
