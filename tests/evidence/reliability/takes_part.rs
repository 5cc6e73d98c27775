//! Who takes part in an outcome, what goes without it, what a perfect way back and a redundant thing
//! bring (rules 30 and 41), on small campaigns with known answers.

use crate::support::{Case, play, value};
use vestibule::campaign::{Certain, Forced, Player, Without};
use vestibule::model::Model;
use vestibule::study::drivers::{Books, Importance, Kind, Outcome, importance, items};

fn mode(name: &str, on: &str, when: &str, p: f64, more: &str) -> String {
    format!(
        "\n[failure.{name}]\non = \"main.{on}\"\nwhen = \"{when}\"\n\
         law = {{ probability = {p} }}\n{more}\n"
    )
}

fn once() -> Case {
    Case::base()
        .patch("length = \"30 d\"", "length = \"3 d\"")
        .patch("per_week = 2", "at = [\"1 d\"]")
}

fn books(m: &Model, n: u64) -> Books {
    super::driven(m, n, 2)
}

/// Of an item by name and kind, for somebody missed.
fn of(m: &Model, books: &Books, name: &str, kind: Kind) -> Importance {
    let all = items(m, 0);
    let i = all.iter().position(|x| x.kind == kind && x.name(m, 0) == name).expect(name);
    importance(&books.arms[0], i, Outcome::Missed, all[i].lost_at.is_some())
}

/// Two modes of which each alone keeps the hatch shut: Q = 1 - 0.5^2. Each takes part wherever it
/// struck, 0.5/0.75, and averts only where the other did not, 0.25/0.75: within 4 standard errors, 4
/// comparisons.
#[test]
fn where_two_are_each_enough_both_take_part() {
    let shut = "during = \"ingress\"\neffect = \"stuck shut\"";
    let m = once()
        .add(&mode("a", "outer", "on opening", 0.5, shut))
        .add(&mode("b", "outer", "on opening", 0.5, shut))
        .model();
    let all = books(&m, 1000);
    let seen = all.arms[0].all[0].up as f64;
    super::counted("not reached", seen, 1000.0, 0.75);
    for name in ["a", "b"] {
        let e = of(&m, &all, name, Kind::Failure);
        let share = |p: f64| (p * (1.0 - p) / seen).sqrt();
        super::within("each enough", e.participation.value.unwrap(), share(2.0 / 3.0), 2.0 / 3.0);
        super::within("averted", e.removal.value.unwrap(), share(1.0 / 3.0), 1.0 / 3.0);
    }
    let told: u64 = all.arms[0].paths[0].sorted().iter().map(|p| p.count).sum();
    assert_eq!((all.arms[0].paths[0].sorted().len(), told as f64), (3, seen));
}

/// Eight sorties with two ways to be missed in each. Without what struck, a later sortie is missed by
/// the other one: that excuses nobody, and the chain told is the one that was played.
#[test]
fn another_miss_elsewhere_excuses_nobody() {
    let m = Case::base()
        .add(&mode(
            "a",
            "outer",
            "on opening",
            0.3,
            "during = \"ingress\"\neffect = \"stuck shut\"",
        ))
        .add(&mode(
            "b",
            "outer",
            "on closing",
            0.3,
            "during = \"ingress\"\neffect = \"stuck open\"",
        ))
        .model();
    let n = 100;
    let all = books(&m, n);
    let mut struck = [0_u64; 2];
    for i in 0..n {
        let record = play(&m, i).record;
        assert_ne!(record.modes, 3, "the first that strikes ends the campaign");
        (0..2).for_each(|k| struck[k] += u64::from(record.modes >> k & 1 != 0));
    }
    assert!(struck.iter().all(|k| *k > 20), "{struck:?}");
    for (k, name) in ["a", "b"].into_iter().enumerate() {
        let i = items(&m, 0).iter().position(|x| x.name(&m, 0) == name).unwrap();
        assert_eq!(all.arms[0].items[i].part[0].up, struck[k], "{name}");
    }
    for path in all.arms[0].paths[0].sorted() {
        assert_eq!(path.count, struck[path.record.modes.trailing_zeros() as usize]);
        assert_eq!(play(&m, path.example).record.modes, path.record.modes);
    }
}

const SIDE: &str = "[list.way_back.side]\nfrom = \"outside\"\nrows = [\n  { action = \"open\", on = \
                    \"side\", takes = \"2 min\" },\n  { action = \"pass\", on = \"side\", each = \
                    \"in turn\", takes = \"2 min\" },\n  { action = \"close\", on = \"side\", takes \
                    = \"4 min\" },\n  { use = \"ingress\", after = \"close outer\" },\n]\n";

/// A lock with a second outer hatch, which is the only way back. Both hatches can stick with 0.3, and
/// share beta 0.2 with a third member that does nothing.
fn two_hatches(seed: u64) -> Model {
    let common = "common = { group = \"hatches\", beta = 0.2 }";
    let shut = |during: &str| format!("during = \"{during}\"\neffect = \"stuck shut\"\n{common}");
    let idle = format!("during = \"ingress\"\neffect = \"slower\"\n{common}");
    once()
        .patch("seed = 20261125", &format!("seed = {seed}"))
        .patch("ways_back = []", "ways_back = [\"side\"]")
        .patch_access(
            "[pump]",
            "side = { kind = \"pressure hatch\", between = [\"lock\", \"outside\"], clear = \"0.91 \
             m\", rest = \"shut\" }\n[pump]",
        )
        .add_access(SIDE)
        .add(&mode("idle", "inner", "on opening", 0.3, &idle))
        .add(&mode("near", "outer", "on opening", 0.3, &shut("ingress")))
        .add(&mode("far", "side", "on opening", 0.3, &shut("way back")))
        .model()
}

/// With g = beta p and s = (1 - beta) p both stick with Q = g + (1 - g) s^2. Without the group it is
/// s^2; without either hatch's strikes nobody is missed; the idle member, though first of the group
/// in the file, averts nothing and takes no part. Without the second hatch all are missed whose first
/// one sticks, g + (1 - g) s. Four comparisons within 4 standard errors.
#[test]
fn a_common_cause_is_an_item_of_its_own() {
    let (m, n) = (two_hatches(41), 32_000);
    let all = books(&m, n);
    let (g, s) = (0.06, 0.24);
    let q = g + (1.0 - g) * s * s;
    let seen = all.arms[0].all[0].up as f64;
    super::counted("both stick", seen, n as f64, q);
    let share = |p: f64| (p * (1.0 - p) / seen).sqrt();
    let group = of(&m, &all, "hatches", Kind::CommonCause);
    let part = 1.0 - s * s / q;
    super::within("group averts", group.removal.value.unwrap(), share(part), part);
    super::within("group takes part", group.participation.value.unwrap(), share(part), part);
    for name in ["near", "far"] {
        let e = of(&m, &all, name, Kind::Failure);
        assert_eq!((e.participation.value, e.removal.value), (Some(1.0), Some(1.0)), "{name}");
    }
    let idle = of(&m, &all, "idle", Kind::Failure);
    assert_eq!((idle.participation.value, idle.removal.value), (Some(0.0), Some(0.0)));
    let side = of(&m, &all, "hatch habitat/main/side", Kind::Redundancy);
    let (more, sample) = (g + (1.0 - g) * s - q, side.n_used as f64);
    let error = (more * (1.0 - more) / sample).sqrt() / q + more / q * share(q);
    super::within("without the second hatch", side.removal.value.unwrap(), error, -more / q);
}

fn hammer(takes: &str, frees: f64) -> Case {
    let way = format!(
        "[list.way_back.hammer]\nfrom = \"outside\"\nrows = [\n  {{ action = \"open\", on = \
         \"outer\", takes = \"{takes}\", frees = {frees} }},\n  {{ use = \"ingress\", after = \"open \
         outer\" }},\n]\n"
    );
    Case::base().patch("ways_back = []", "ways_back = [\"hammer\"]").add_access(&way).add(&mode(
        "a",
        "outer",
        "on opening",
        0.1,
        "during = \"ingress\"\neffect = \"stuck shut\"",
    ))
}

/// A perfect way back is played: everybody comes in, what it frees is free, so that later sorties go
/// out, and no campaign loses more hours than with the way as it is. Its time counts: 12 h are late.
#[test]
fn a_perfect_way_back_is_played() {
    let m = hammer("20 min", 0.5).model();
    let mut player = Player::new(&m);
    let perfect = Forced { ways: 1, ..Forced::default() };
    let (mut gained, mut tried, mut kept) = (0.0, 0, 0.0);
    for i in 0..200 {
        let base = player.play_one(0, i).clone();
        let with = player.play_forced(0, i, perfect);
        assert_eq!(value(with, "campaign_haven_missed"), 0.0, "campaign {i}");
        let gain = value(&base, "eva_lost_h") - value(with, "eva_lost_h");
        assert!(gain > -1e-9, "campaign {i} loses {gain} h more");
        (gained, tried) = (gained + gain, tried + u64::from(with.record.ways != 0));
        kept += value(with, "haven_way_back");
    }
    assert!(gained > 100.0 && tried > 60 && kept > 0.0, "{gained} h, {tried}, {kept}");
    let late = hammer("12 h", 0.5).model();
    let mut player = Player::new(&late);
    let lost = |o: &vestibule::outcome::Outcome| value(o, "haven_late") > 0.0;
    let seen = (0..50).filter(|i| lost(player.play_forced(0, *i, perfect))).count();
    assert!(seen > 10, "{seen}");
}

/// Without the hammer everybody is missed whose hatch sticks: 0.1 a sortie against 0.05; what the way
/// brings stands in removal with its sign. Campaigns of one sortie, 4 standard errors.
#[test]
fn what_a_path_brings_stands_in_removal() {
    let m = hammer("20 min", 0.5)
        .patch("length = \"30 d\"", "length = \"3 d\"")
        .patch("per_week = 2", "at = [\"1 d\"]")
        .model();
    let n = 2000;
    let all = books(&m, n);
    let e = of(&m, &all, "habitat/main/hammer", Kind::Redundancy);
    let (seen, sample) = (all.arms[0].all[0].up as f64, e.n_used as f64);
    let error = (0.05 * 0.95 / sample).sqrt() / 0.05 + 1.0 / seen.sqrt();
    super::within("without the way", e.removal.value.unwrap(), error, -1.0);
    assert!(e.removal.high.unwrap() <= 0.0 && e.participation.value.is_none());
    assert!(!e.note.is_empty());
}

/// What there is none of stays so: no repair, no tool and no perfect way frees it, and no sortie goes
/// out by it.
#[test]
fn a_port_that_is_not_there_is_not_used() {
    let m = hammer("20 min", 1.0)
        .add("[architecture.lock.port.spare]\nelement = \"habitat\"\naccess = \"plain-lock\"\n")
        .patch("ways_back = [\"hammer\"]", "ways_back = [\"main.hammer\", \"spare.hammer\"]")
        .model();
    let names: Vec<String> = items(&m, 0).iter().map(|i| i.name(&m, 0)).collect();
    assert!(names.contains(&"port habitat/main".into()), "{names:?}");
    let mut player = Player::new(&m);
    let without = Some(Without::Port(0));
    let none = player.play_forced(0, 0, Forced { without, ..Forced::default() });
    assert_eq!((value(none, "sorties_done"), value(none, "upkeep_h")), (0.0, 0.0));
    let without = Some(Without::Port(1));
    let other = player.play_forced(0, 0, Forced { without, ..Forced::default() }).facts.clone();
    let plain = play(&m, 0).facts;
    let done = |f: &vestibule::measure::Facts| {
        f.read(vestibule::measure::measure("sorties_done").unwrap())
    };
    assert_eq!(done(&other), done(&plain));
}

/// Plays that are passed over because they cannot differ: in a campaign in which nobody looked for a
/// way back, every way perfect, certain to fail or missing leaves what was played, to the last bit.
#[test]
fn what_is_not_played_again_would_not_differ() {
    let m = hammer("20 min", 0.5).model();
    let (mut player, mut quiet) = (Player::new(&m), 0);
    let bits = |o: &vestibule::outcome::Outcome| {
        o.facts.value.iter().map(|x| x.to_bits()).collect::<Vec<_>>()
    };
    for i in 0..60 {
        let base = player.play_one(0, i).clone();
        if base.record.hazards & vestibule::outcome::STRANDED_BIT != 0 {
            continue;
        }
        quiet += 1;
        let ways = Forced { ways: 1, ..Forced::default() };
        let certain = Some(Certain::WayFails(0));
        let fails = Forced { certain, ..Forced::default() };
        let without = Some(Without::WayBack(0));
        for forced in [ways, fails, Forced { without, ..Forced::default() }] {
            assert_eq!(bits(player.play_forced(0, i, forced)), bits(&base), "campaign {i}");
        }
    }
    assert!(quiet > 10, "{quiet}");
}
