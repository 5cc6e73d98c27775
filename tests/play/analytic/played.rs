//! Many campaigns of a small case: the identities that hold in every one of them, means and shares.
//!
//! Statistical comparisons run on the fixed seed of the base file, are never drawn again, and pass
//! within four standard errors: two-sided false alarm 6.3e-5 for each comparison.

use crate::support::{Case, value};
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// Pa per psi, exact by definition of the pound and the inch.
pub const PSI: f64 = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
/// J/(mol K)
pub const R: f64 = 8.314462618;
/// kg/mol
pub const O2: f64 = 31.998e-3;
/// kg/mol
pub const N2: f64 = 28.0134e-3;
/// Slots of the base campaign: (k - 1/2) 3.5 d < 30 d.
pub const SORTIES: i32 = 9;
/// Minutes from the start of the base ingress to the end of `repress`: two persons, brush each.
pub const TO_SAFE: f64 = 10.0 + 2.0 + 4.0 + 4.0 + 6.0;
/// Minutes of the base ingress after that: doff, inner hatch, pass, recharge.
pub const AFTER_SAFE: f64 = 15.0 + 2.0 + 2.0 + 30.0;
/// Minutes of the base egress up to the start of `depress`.
pub const TO_DEPRESS: f64 = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0;
/// Minutes of the base egress after `depress`.
pub const AFTER_DEPRESS: f64 = 3.0 + 3.0 + 4.0 + 1.0;

/// Minutes of the base pump with two persons in the lock: (V/S) ln(p0/pf).
pub fn pump() -> f64 {
    (4.25 - 2.0 * 0.15) / 0.40 * (70.3e3 / (2.0 * PSI)).ln()
}

/// Pa m3 that `n` base suits let out, cabin gas since no row purges them: 0.06 m3 from 70.3 to 29.6 kPa.
pub fn let_down(n: f64) -> f64 {
    n * 0.06 * (70.3e3 - 29.6e3)
}

/// Minutes of the base egress.
pub fn egress() -> f64 {
    TO_DEPRESS + pump() + AFTER_DEPRESS
}

/// The base with one sortie at one day, of a campaign of three.
pub fn one_sortie() -> Case {
    Case::base()
        .patch("length = \"30 d\"", "length = \"3 d\"")
        .patch("per_week = 2", "at = [\"1 d\"]")
}

/// A failure mode as text.
pub fn mode(name: &str, on: &str, when: &str, law: &str, effect: &str, more: &str) -> String {
    format!(
        "\n[failure.{name}]\non = \"{on}\"\nwhen = \"{when}\"\nlaw = {{ {law} }}\n\
         effect = \"{effect}\"\n{more}\n"
    )
}

/// What holds in every campaign whatever happened (rules 12, 17, 20).
pub fn identities(o: &Outcome, what: &str) {
    let v = |name| value(o, name);
    assert_eq!(
        v("sorties_planned"),
        v("sorties_done") + v("sorties_cancelled"),
        "{what}: sorties planned = done + cancelled"
    );
    let hours = v("eva_planned_h") - v("eva_done_h") - v("eva_lost_h");
    assert!(hours.abs() < 1e-9, "{what}: planned - done - lost = {hours} h");
    let parts = v("eva_limited_h") + v("eva_failed_h");
    assert_eq!(v("eva_lost_h"), parts, "{what}: lost = limited + failed");
    let out = v("sorties_cut_short").max(v("sorties_limited"));
    assert!(out <= v("sorties_done"), "{what}: cut short or limited but not done");
    assert!(v("eva_done_h") >= 0.0 && v("eva_lost_h") >= -1e-9, "{what}: hours below zero");
    let met = v("haven_planned") + v("haven_way_back");
    let unmet = v("haven_late") + v("haven_missed");
    assert_eq!(v("haven_demands"), met + unmet, "{what}: demands add up");
    assert_eq!(v("haven_demands"), o.havens.iter().sum::<f64>(), "{what}: outcomes add up");
    let flag = f64::from(u8::from(unmet > 0.0));
    assert_eq!(v("campaign_haven_missed"), flag, "{what}: late or missed is loss of crew");
    assert!(
        flag == 0.0 || v("campaign_cut_short") == 1.0,
        "{what}: loss of crew ends the campaign"
    );
}

/// Hours lost to a cause.
pub fn lost_to(m: &Model, arm: usize, o: &Outcome, cause: &str) -> f64 {
    let i = m.arms[arm].breakdown.iter().position(|b| b.0 == "eva_lost_h" && b.1 == cause);
    o.breakdown[i.unwrap_or_else(|| panic!("no cause {cause}"))]
}

/// Demands that ended by a named outcome.
pub fn ended(m: &Model, arm: usize, o: &Outcome, outcome: &str) -> f64 {
    let i = m.arms[arm].outcomes.iter().position(|x| x == outcome);
    let all = &m.arms[arm].outcomes;
    o.havens[i.unwrap_or_else(|| panic!("no outcome {outcome} in {all:?}"))]
}

/// Plays campaign 0 of the first architecture; identities are looked at.
pub fn first(m: &Model) -> Outcome {
    let o = crate::support::play(m, 0);
    identities(&o, "campaign 0");
    o
}

/// Values of `what` in `n` campaigns of one architecture; identities are looked at in each.
pub fn sample(m: &Model, arm: usize, n: u64, what: impl Fn(&Outcome) -> f64) -> Vec<f64> {
    let mut player = Player::new(m);
    let play = |i| {
        let o = player.play_one(arm, i);
        identities(o, &format!("campaign {i}"));
        what(o)
    };
    (0..n).map(play).collect()
}

/// Mean within four of its standard errors of a formula.
pub fn within(sample: &[f64], want: f64, what: &str) {
    let n = sample.len() as f64;
    let mean = sample.iter().sum::<f64>() / n;
    let square = sample.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>();
    let error = (square / (n - 1.0) / n).sqrt();
    assert!(error > 0.0, "{what}: nothing varies, mean {mean}, formula {want}");
    let z = (mean - want) / error;
    println!("{what}: {mean:.6} +- {error:.6}, formula {want:.6}, z {z:.2}");
    assert!(z.abs() <= 4.0, "{what}: {mean} +- {error}, formula {want}, z {z:.2}");
}

/// Share of ones within four standard errors of a probability; the error is that of the formula.
pub fn share(sample: &[f64], p: f64, what: &str) {
    assert!(sample.iter().all(|x| *x == 0.0 || *x == 1.0), "{what}: not yes or no");
    let n = sample.len() as f64;
    let mean = sample.iter().sum::<f64>() / n;
    let z = (mean - p) / (p * (1.0 - p) / n).sqrt();
    println!("{what}: {mean:.5}, formula {p:.5}, z {z:.2}");
    assert!(z.abs() <= 4.0, "{what}: {mean}, formula {p}, z {z:.2}");
}

/// Equal to 1e-9 relative: sums of times in a different order than by hand.
pub fn near(got: f64, want: f64, what: &str) {
    let error = (got - want).abs() / want.abs().max(1e-9);
    assert!(error < 1e-9, "{what}: got {got}, hand arithmetic {want}");
}

/// Minutes from the start of the ingress at the berths to the end of `open suit_hatch`.
pub const BERTH_TO_SAFE: f64 = 10.0 + 1.0 + 1.0 + 1.0 + 1.0;
/// Minutes on suit supply before the end of egress at the berths: from the start of `vent gap`.
pub const BERTH_CLOCK: f64 = 1.0 + 1.0 + 2.0;

/// One sortie from a pair of suitports instead of the lock.
pub fn berths() -> Case {
    let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/small/access");
    let text = std::fs::read_to_string(here.join("plain-port.toml")).expect("plain-port.toml");
    let mut case = one_sortie()
        .patch("plain-lock", "plain-port")
        .patch("at = \"main.lock\"", "at = \"main\"")
        .patch("width = \"0.70 m\"", "width = \"0.70 m\"\nport_limit = \"75 kPa\"");
    case.access[0] = ("plain-port.toml".into(), text);
    case
}

/// A module beside the habitat, joined by a tunnel, with a side hatch to outside.
pub fn module(name: &str, havens: u32) -> String {
    format!(
        r#"
[element.{name}]
kind = "module"
volume = "16 m3"
pressure = "70.3 kPa"
band = "0.34 kPa"
oxygen = 0.265
temperature = "294.26 K"
haven_people = {havens}
haven_days = "5 d"
tolerates_vacuum = true
tolerates_dust = true
filter_flow = "60 m3/h"
filter_efficiency = 0.9997
height = "2.2 m"
deposition = 1.5
resuspension = "0 /h"
inside_least = 0
joined = "habitat"
store = "gas"
[element.{name}.opening.tunnel]
kind = "pressure hatch"
between = ["habitat.cabin", "cabin"]
rest = "shut"
clear = "1.0 m"
[element.{name}.opening.side]
kind = "pressure hatch"
between = ["cabin", "outside"]
rest = "shut"
clear = "0.95 m"
"#
    )
}

/// Door-to-door minutes of all sorties by action.
pub fn door_to_door(m: &Model, o: &Outcome, action: &str) -> f64 {
    let rows = m.arms[0].breakdown.iter().zip(&o.breakdown);
    rows.filter(|(r, _)| r.0 == "door_to_door_min" && r.1 == action).map(|(_, x)| x).sum()
}
