//! Conservation as a property of any campaign that the check accepts: the demos and small campaigns with
//! rates up to 1000 times as high and sections in any order. Fixed seeds; what is drawn is what is played,
//! none is drawn again.

mod support;
use std::path::Path;
use support::{Case, TOOLS, value};
use vestibule::campaign::Player;
use vestibule::law::Law;
use vestibule::model::Model;
use vestibule::scenario::{FailureSpec, Named, Num, Scenario};
use vestibule::{check, model, scenario};

/// A sequence of numbers in [0, 1) (Weyl steps through a mixer: no random generator is needed).
struct Luck(u64);

impl Luck {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let x = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Turns a list round by a drawn number of places, now and then back to front.
    fn shuffle<T>(&mut self, list: &mut [T]) {
        if list.len() > 1 {
            let by = (self.next() * list.len() as f64) as usize;
            list.rotate_left(by);
            if self.next() < 0.5 {
                list.reverse();
            }
        }
    }
}

/// A demo; its fingerprint is not asked for.
fn demo(name: &str) -> Scenario {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("runs/{name}/campaign.toml"));
    scenario::read(&file).scenario.expect("the demo reads")
}

/// The law of a mode, `factor` times as likely; chances up to 0.9.
fn likelier(n: &mut Num, factor: f64, chance: bool) {
    n.law = match n.law {
        Law::Weibull { life, shape } => Law::Weibull { life: (life / factor).max(2.0), shape },
        law if chance => Law::Fixed((law.mean() * factor).min(0.9)),
        law => Law::Fixed(law.mean() * factor),
    };
}

fn worse(f: &mut Named<FailureSpec>, factor: f64) {
    use vestibule::scenario::Trigger::*;
    let chance = !matches!(f.it.when.it, Running | HourOutside | Km | Hour);
    match &mut f.it.ages {
        Some([life, _]) => life.law = Law::Fixed((life.law.mean() / factor).max(2.0)),
        None => likelier(&mut f.it.law, factor, chance),
    }
}

/// Every mode by a factor of its own between 1 and `most` (log-uniform; a group has one).
fn shake(s: &mut Scenario, seed: u64, most: f64) {
    let mut luck = Luck(seed);
    let mut groups: Vec<(String, f64)> = Vec::new();
    for i in 0..s.failures.len() {
        let mut factor = most.powf(luck.next());
        if let Some((group, _)) = &s.failures[i].it.common {
            match groups.iter().find(|g| g.0 == group.it) {
                Some(known) => factor = known.1,
                None => groups.push((group.it.clone(), factor)),
            }
        }
        worse(&mut s.failures[i], factor);
        for architecture in &mut s.architectures {
            worse(&mut architecture.it.failures[i], factor); // the copies that are played
        }
    }
    luck.shuffle(&mut s.elements);
    luck.shuffle(&mut s.suits);
    luck.shuffle(&mut s.stores);
    luck.shuffle(&mut s.spares);
    luck.shuffle(&mut s.activities);
}

fn accepted(s: Scenario, what: &str) -> Model {
    let (checked, findings) = check::check(s);
    let errors: Vec<_> = findings.iter().filter(|f| f.is_error()).map(|f| f.what.clone()).collect();
    model::compile(&checked.unwrap_or_else(|| panic!("{what} is refused: {errors:?}")))
}

fn holds(model: &Model, campaigns: std::ops::Range<u64>, what: &str) {
    let mut player = Player::new(model);
    let mut wrong = Vec::new();
    for k in campaigns {
        for arm in 0..model.arms.len() {
            let o = player.play_one(arm, k).clone();
            let here = format!("{what}, {}, campaign {k}", model.arms[arm].name);
            let world = player.world(arm);
            let mut say = |bad: bool, text: String| {
                if bad {
                    wrong.push(format!("{here}: {text}"));
                }
            };
            let gas = world.gas_error();
            say(gas.iter().any(|e| *e >= 1e-9), format!("gas off by {gas:?}"));
            let dust = world.dust_error();
            say(dust.iter().any(|e| *e >= 1e-9), format!("dust off by {dust:?}"));
            say(!world.balanced(), "planned is not done + lost".into());
            say(world.spares_astray() != 0.0, format!("spares {}", world.spares_astray()));
            let lost = world.misplaced();
            say(lost.is_some(), lost.unwrap_or_default());
            let ends = ["haven_planned", "haven_way_back", "haven_late", "haven_missed"];
            let sum: f64 = ends.iter().map(|n| value(&o, n)).sum();
            let demands = value(&o, "haven_demands");
            say(sum != demands, format!("{sum} outcomes of {demands} demands"));
            say(sum != o.havens.iter().sum::<f64>(), "outcomes by name".into());
        }
    }
    assert!(wrong.is_empty(), "{} of\n{}", wrong.len(), wrong.join("\n"));
}

fn shaken(name: &str, seeds: std::ops::Range<u64>, campaigns: u64) {
    for seed in seeds {
        for most in [10.0, 1000.0] {
            let mut s = demo(name);
            shake(&mut s, seed, most);
            let what = format!("{name}, seed {seed}, up to {most} times");
            holds(&accepted(s, &what), 0..campaigns, &what);
        }
    }
}

#[test]
fn larkspur_shaken() {
    shaken("larkspur", 1..12, 6);
}

#[test]
fn ochre_shaken() {
    shaken("ochre", 1..8, 4);
}

#[test]
fn teasel_shaken() {
    shaken("teasel", 1..12, 10);
}

/// The lock and the port of the closed-form tests with every effect on everything that can have it.
#[test]
fn small_campaigns_shaken() {
    let rough = |name: &str, on: &str, when: &str, effect: &str, more: &str| {
        format!(
            "[failure.{name}]\non = \"{on}\"\nwhen = \"{when}\"\nlaw = {{ probability = 0.002 }}\n\
             effect = \"{effect}\"\n{more}\nrepair = {{ takes = \"3 h\", crew = 1, success = 0.7, \
             spare = \"kit\", without_spare = 0.3, from = \"anywhere\" }}\n"
        )
    };
    let common = "common = { group = \"hatches\", beta = 0.3 }";
    let text = rough("shut", "pressure hatch", "on opening", "stuck shut", common)
        + &rough("ajar", "pressure hatch", "on closing", "stuck open", "")
        + &rough("leaks", "seal", "on closing", "leak", "factor = 100\nholds = false")
        + &rough("stops", "pump", "on start", "pump lost", "")
        + &rough("dull", "stage", "on start", "stage lost", "")
        + "[spare]\nkit = 3\n";
    let case = Case::base()
        .patch("ways_back = []", "ways_back = [\"hammer\", \"wipe\"]")
        .add_access(TOOLS)
        .add(&text);
    for seed in 0..12 {
        let mut s = case.scenario();
        shake(&mut s, seed, 1000.0);
        let what = format!("the small lock, seed {seed}");
        holds(&accepted(s, &what), 0..60, &what);
    }
}
