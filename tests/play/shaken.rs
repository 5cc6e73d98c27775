//! Conservation as a property of any campaign that the check accepts: the demos and small campaigns with
//! rates up to 1000 times as high and sections in any order. Fixed seeds; what is drawn is what is played,
//! none is drawn again.

use crate::support::{Case, TOOLS, value};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use vestibule::base::law::Law;
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::scenario::{
    AccessSpec, FailureSpec, Named, Num, OpeningKind, OpeningSpec, PortSpec, Scenario, Spot,
    SuitPlaceSpec, WayBackSpec,
};
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
    told(&faults(model, campaigns, what));
}

fn told(wrong: &[String]) {
    assert!(wrong.is_empty(), "{} of\n{}", wrong.len(), wrong.join("\n"));
}

/// Whatever does not add up.
fn faults(model: &Model, campaigns: std::ops::Range<u64>, what: &str) -> Vec<String> {
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
    wrong
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

/// A demo that includes every access file of the catalogue.
fn with_catalogue(name: &str) -> Scenario {
    let runs = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs");
    let dir = tempfile::tempdir().expect("a folder");
    let read = |p: &Path| fs::read_to_string(p).expect("a demo file");
    let mut text = read(&runs.join(name).join("campaign.toml"));
    for kind in ["access", "failure", "suit"] {
        let there = dir.path().join("catalogue").join(kind);
        fs::create_dir_all(&there).expect("a folder");
        for file in fs::read_dir(runs.join("catalogue").join(kind)).expect("the catalogue") {
            let file = file.expect("a file").path();
            let stem = file.file_name().and_then(|n| n.to_str()).expect("a name");
            fs::copy(&file, there.join(stem)).expect("a copy");
            let include = format!("\"catalogue/{kind}/{stem}\",");
            if kind == "access" && !text.contains(&include) {
                text = text.replacen("include = [", &format!("include = [\n  {include}"), 1);
            }
        }
    }
    let file = dir.path().join("campaign.toml");
    fs::write(&file, text).expect("the campaign file");
    scenario::read(&file).scenario.expect("the demo reads")
}

/// The demo with one architecture only, of which one port has another access file: its suits hang
/// at the berths of that, or in its first volume, or in the cabin; if it had none, two are kept
/// there.
fn swapped(s: &Scenario, arm: usize, port: usize, access: &Named<AccessSpec>) -> Scenario {
    let mut s = s.clone();
    s.decision = None; // it names architectures that are not there
    s.architectures = vec![s.architectures.swap_remove(arm)];
    let a = &mut s.architectures[0].it;
    let (name, element) = (a.ports[port].name.clone(), a.ports[port].it.element.it.clone());
    a.ports[port].it.access.it = access.name.clone();
    a.ports[port].it.changed = None;
    let kinds = |o: &&Named<OpeningSpec>| o.it.kind.it == OpeningKind::SuitInterface;
    let berths = access.it.openings.iter().filter(kinds).map(|o| o.it.count.it).sum::<u32>();
    let (cabin, mut free) = (format!("{element}.cabin"), berths);
    let volume = access.it.volumes.first().map(|v| format!("{name}.{}", v.name));
    let mut kept: Vec<SuitPlaceSpec> = Vec::new();
    let mut hang = |x: &SuitPlaceSpec| {
        let mut put = |count: u32, place: &str| {
            let mut here = x.clone();
            (here.count.it, here.place.it) = (count, place.into());
            kept.extend((count > 0).then_some(here));
        };
        match &volume {
            _ if berths > 0 => {
                let there = free.min(x.count.it);
                free -= there;
                put(there, &name);
                put(x.count.it - there, &cabin);
            }
            Some(v) => put(x.count.it, v),
            None => put(x.count.it, &cabin),
        }
    };
    let at_port = |x: &SuitPlaceSpec| x.place.it.split('.').next() == Some(&name);
    a.suits.iter().filter(|x| at_port(x)).for_each(&mut hang);
    if !a.suits.iter().any(at_port) {
        let mut two = a.suits[0].clone();
        two.count.it = 2;
        hang(&two);
    }
    a.suits.retain(|x| !at_port(x));
    a.suits.append(&mut kept);
    s
}

/// A way back by its port and name.
type Way = (String, String);

/// Ways back of all ports: those that the architecture names in its order, then the others.
fn ways(s: &Scenario) -> Vec<Way> {
    let a = &s.architectures[0].it;
    let of = |p: &Named<PortSpec>| {
        let file = s.access.iter().find(|x| x.name == p.it.system());
        let names = file.iter().flat_map(|x| &x.it.ways_back);
        names.map(|w| (p.name.clone(), w.name.clone())).collect::<Vec<_>>()
    };
    let all: Vec<Way> = a.ports.iter().flat_map(of).collect();
    let mut order: Vec<Way> = Vec::new();
    for w in &a.ways_back {
        let (port, way) = w.it.split_once('.').unwrap_or(("", &w.it));
        let named = all.iter().filter(|x| x.1 == way && (port.is_empty() || x.0 == port));
        order.extend(named.cloned());
    }
    order.extend(all);
    let mut seen = BTreeSet::new();
    order.retain(|x| seen.insert(x.clone()));
    order
}

/// The same with these ways back and no others.
fn with(s: &Scenario, these: &[Way]) -> Scenario {
    let mut s = s.clone();
    let a = &mut s.architectures[0].it;
    let at = a.ports[0].it.access.at;
    for x in &mut s.access {
        let used = |w: &Named<WayBackSpec>| {
            let mut mine = a.ports.iter().filter(|p| p.it.system() == x.name);
            mine.any(|p| these.contains(&(p.name.clone(), w.name.clone())))
        };
        x.it.ways_back.retain(used);
    }
    a.ways_back = these.iter().map(|(p, w)| Spot { it: format!("{p}.{w}"), at }).collect();
    s
}

fn fits(s: &Scenario, these: &[Way]) -> bool {
    check::check(with(s, these)).0.is_some()
}

/// Those of the `new` ways that can be had beside the `kept` ones: halves of halves.
fn fitting(s: &Scenario, kept: &mut Vec<Way>, new: &[Way]) {
    let both = [kept.as_slice(), new].concat();
    if fits(s, &both) {
        *kept = both;
    } else if new.len() > 1 {
        let (a, b) = new.split_at(new.len() / 2);
        fitting(s, kept, a);
        fitting(s, kept, b);
    }
}

/// Any shipped access file on any element of a demo, where the check accepts it, with as many ways
/// back as it accepts and rates up to 1000 times as high: everything adds up. Pairs are played side by
/// side, the ones of `ochre` take longer than any other test.
fn everywhere(name: &str, least: usize) {
    let s = with_catalogue(name);
    let copies: BTreeSet<&str> = s
        .architectures
        .iter()
        .flat_map(|a| a.it.ports.iter().filter_map(|p| p.it.changed.as_deref()))
        .collect();
    let mut taken: BTreeSet<(String, String)> = BTreeSet::new();
    let mut seed = 100;
    let (mut kept, mut all) = (0, 0);
    let mut pairs: Vec<(String, Scenario)> = Vec::new();
    for access in s.access.iter().filter(|x| !copies.contains(x.name.as_str())) {
        for (i, a) in s.architectures.iter().enumerate() {
            for (k, p) in a.it.ports.iter().enumerate() {
                let pair = (p.it.element.it.clone(), access.name.clone());
                if taken.contains(&pair) || p.it.access.it == access.name {
                    continue;
                }
                let new = swapped(&s, i, k, access);
                if !fits(&new, &[]) {
                    continue;
                }
                let (ways, mut these) = (ways(&new), Vec::new());
                fitting(&new, &mut these, &ways);
                (kept, all) = (kept + these.len(), all + ways.len());
                let mut new = with(&new, &these);
                seed += 1;
                shake(&mut new, seed, 1000.0);
                let what = format!("{name}, {} on {} of {}", access.name, p.name, a.name);
                pairs.push((what, new));
                taken.insert(pair);
            }
        }
    }
    let n = taken.len();
    println!("{name}: {n} pairs of element and access file, {kept} of {all} ways back: {taken:?}");
    assert!(taken.len() >= least, "{name}: only {taken:?}");
    let play = |(what, s): (String, Scenario)| faults(&accepted(s, &what), 0..300, &what);
    told(&pairs.into_par_iter().flat_map_iter(play).collect::<Vec<String>>());
}

#[test]
fn larkspur_with_ports_swapped() {
    everywhere("larkspur", 20);
}

#[test]
fn ochre_with_ports_swapped() {
    everywhere("ochre", 20);
}

#[test]
fn teasel_with_ports_swapped() {
    everywhere("teasel", 3);
}
