//! One golden row per measure: a run of small campaigns with a fixed seed gives these readable numbers.
//! A change that moves them is announced in DEVELOPERS.md (VALUE) and made with
//! `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test play golden::`.

use crate::support::Case;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use vestibule::campaign::Player;
use vestibule::measure::MEASURES;

/// A campaign in which every measure gets a value.
fn case() -> Case {
    Case::base()
        .patch("ways_back = []", "ways_back = [\"hammer\"]")
        .patch("length = \"30 d\"", "length = \"30 d\"\nbioburden = \"200 /m3\"")
        .patch(
            "abrasion = 1",
            "abrasion = 1\nbioburden_limit = 10000\ndust_peak_limit = \"10 mg/m3\"",
        )
        .patch(
            "doff_sheds = 0.5",
            "doff_sheds = 0.5\nmaintenance_every = 3\nmaintenance_takes = \"2 h\"",
        )
        .patch_access("lock = { free", "lock = { mass = \"200 kg\", free")
        .add_access(HAMMER)
        .add(FAILURES)
        .add(MASS)
}

const MASS: &str = r#"
[mass]
volume = "10 kg/m3"
power = "100 kg/kW"
duty_share = 0.2
crew_time = "1 kg/h"
tank_oxygen = 0.4
tank_nitrogen = 0.6
tank_water = 0.1
"#;

const HAMMER: &str = r#"
[list.way_back.hammer]
from = "outside"
rows = [
  { action = "open", on = "outer", takes = { low = "5 min", mode = "10 min", high = "30 min" }, frees = 0.6 },
  { use = "ingress", after = "open outer" },
]
"#;

const FAILURES: &str = r#"
[failure.sticks]
on = "main.outer"
when = "on opening"
law = { probability = 0.02 }
effect = "stuck shut"
repair = { takes = "4 h", crew = 1, success = 0.8, from = "anywhere" }
[failure.hurt]
on = "crew"
when = "per hour outside"
law = { rate = "0.002 /h" }
effect = "crew incapacitated"
severity = "must be carried"
treatment = "20 min"
[failure.pump-dies]
on = "pump"
when = "on start"
law = { probability = 0.02 }
effect = "pump lost"
repair = { takes = "5 h", crew = 1 }
"#;

#[test]
fn every_measure_has_its_row() {
    let case = case();
    let model = case.model();
    let mut player = Player::new(&model);
    let campaigns = 200;
    let mut sums = vec![(0u32, 0.0, f64::INFINITY, f64::NEG_INFINITY); MEASURES.len()];
    for k in 0..campaigns {
        let o = player.play_one(0, k).clone();
        for (s, m) in sums.iter_mut().zip(MEASURES) {
            if let Some(x) = o.facts.read(m).filter(|x| x.is_finite()) {
                *s = (s.0 + 1, s.1 + x, s.2.min(x), s.3.max(x));
            }
        }
    }
    let mut got = String::from("measure,unit,campaigns,mean,min,max\n");
    for (m, (n, sum, low, high)) in MEASURES.iter().zip(sums) {
        assert!(n > 0, "{} has no value in any campaign: the case does not reach it", m.name);
        let mean = sum / f64::from(n);
        writeln!(got, "{},{},{n},{mean:.9e},{low:.9e},{high:.9e}", m.name, m.unit).unwrap();
    }
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/small.csv");
    if std::env::var_os("VESTIBULE_UPDATE_GOLDEN").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, &got).unwrap();
    }
    let want = fs::read_to_string(&file).expect("tests/golden/small.csv");
    for (g, w) in got.lines().zip(want.lines()) {
        assert_eq!(g, w, "this measure moved; if it was meant, see the head of this file");
    }
    assert_eq!(got.lines().count(), want.lines().count());
}
