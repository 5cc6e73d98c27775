//! What must add up, whatever happens: gas by species, dust by bin, hours, sorties, demands; and that a
//! campaign does not depend on what was played before it.

use crate::support::{Case, TOOLS, value};
use std::path::Path;
use vestibule::campaign::{Player, tell};
use vestibule::model::Model;
use vestibule::{check, model, scenario};

fn demo(name: &str) -> Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("runs/{name}/campaign.toml"));
    let scenario = scenario::read(&file).scenario.expect("the demo reads");
    model::compile(&check::check(scenario).0.expect("the demo holds together"))
}

fn closes(model: &Model, campaigns: u64, what: &str) {
    let mut player = Player::new(model);
    for k in 0..campaigns {
        for arm in 0..model.arms.len() {
            let o = player.play_one(arm, k).clone();
            let here = format!("{what}, {}, campaign {k}", model.arms[arm].name);
            let world = player.world(arm);
            for e in world.gas_error() {
                assert!(e < 1e-9, "{here}: gas off by {e:e}");
            }
            for e in world.dust_error() {
                assert!(e < 1e-9, "{here}: dust off by {e:e}");
            }
            assert!(world.balanced(), "{here}: planned is not done + lost");
            assert!(world.demands_closed(), "{here}: a demand is open at the end");
            let ends = ["haven_planned", "haven_way_back", "haven_late", "haven_missed"];
            let sum: f64 = ends.iter().map(|n| value(&o, n)).sum();
            assert_eq!(sum, value(&o, "haven_demands"), "{here}: demands do not add up");
            assert_eq!(sum, o.havens.iter().sum::<f64>(), "{here}: outcomes do not add up");
        }
    }
}

/// A demo with every failure that has a law of its own so many times as likely, the catalogue as it is
/// shipped; chances end at 0.8.
fn worse(name: &str, times: f64) -> Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("runs/{name}/campaign.toml"));
    let mut scenario = scenario::read(&file).scenario.expect("the demo reads");
    for f in &mut scenario.failures {
        let law = &mut f.it.law.law;
        *law = vestibule::base::law::Law::Fixed((law.mean() * times).min(0.8));
    }
    model::compile(&check::check(scenario).0.expect("the demo holds together"))
}

/// At any rates every demand ends, once (rule 20).
#[test]
fn demands_end_at_any_rates() {
    for (times, campaigns) in [(10.0, 24), (100.0, 24), (1000.0, 24)] {
        for name in ["larkspur", "ochre", "teasel"] {
            closes(&worse(name, times), campaigns, &format!("{name}, {times} times"));
        }
    }
}

#[test]
fn books_close_in_the_demos() {
    closes(&demo("larkspur"), 40, "larkspur");
    closes(&demo("ochre"), 10, "ochre");
    closes(&demo("teasel"), 20, "teasel");
}

/// Failure after failure: ways back, misses, repairs without spares.
fn rough() -> Case {
    let failures = r#"
[failure.sticks]
on = "pressure hatch"
when = "on opening"
law = { probability = 0.05 }
effect = "stuck shut"
repair = { takes = "3 h", crew = 1, success = 0.7, from = "anywhere" }
[failure.will-not-seal]
on = "pressure hatch"
when = "on closing"
law = { probability = 0.05 }
effect = "stuck open"
repair = { takes = "2 h", crew = 1, success = 0.7, from = "anywhere" }
[failure.hurt]
on = "crew"
when = "per hour outside"
law = { rate = "0.02 /h" }
effect = "crew incapacitated"
severity = "must be carried"
off_duty = "3 d"
[failure.pump-dies]
on = "pump"
when = "on start"
law = { probability = 0.1 }
effect = "pump lost"
repair = { takes = "5 h", crew = 1, success = 0.9 }
"#;
    let restore = r#"
restore = [
  { action = "close", on = "outer", who = "inside", takes = "5 min" },
  { action = "close", on = "inner", who = "inside", takes = "4 min" },
  { action = "repress", on = "lock", who = "inside", takes = "6 min" },
  { action = "open", on = "inner", who = "inside", takes = "2 min" },
]
"#;
    Case::base()
        .patch("ways_back = []", "ways_back = [\"hammer\", \"wipe\"]")
        .add_access(restore)
        .add_access(TOOLS)
        .add(failures)
}

#[test]
fn books_close_when_everything_fails() {
    closes(&rough().model(), 300, "rough");
}

#[test]
fn a_campaign_does_not_depend_on_what_was_played_before() {
    let model = rough().model();
    let mut long = Player::new(&model);
    let seen: Vec<_> = (0..40).map(|k| long.play_one(0, k).clone()).collect();
    for k in [39u64, 3, 17, 3, 0, 25] {
        let alone = Player::new(&model).play_one(0, k).clone();
        let (_, told) = tell(&model, 0, k);
        let bits = |o: &vestibule::outcome::Outcome| o.facts.value.map(f64::to_bits);
        assert_eq!(bits(&alone), bits(&seen[k as usize]), "campaign {k} alone");
        assert_eq!(bits(&told), bits(&alone), "campaign {k} told");
        assert_eq!(alone.breakdown, seen[k as usize].breakdown);
    }
}
