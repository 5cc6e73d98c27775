//! What is known of rates, chances and lives, through the whole program: fresh parameters in every
//! campaign give the predictive chance, which is not that of the mean parameter.

use super::redundancy::{at_least, failures, shelf, worn};
use super::{close, counted};
use crate::support::{Case, value};
use vestibule::base::law::Law;
use vestibule::campaign::Player;

/// Predictive chance of no failure in `demands` with Beta(a, b): B(a, b + n)/B(a, b) as a product.
fn none_in(demands: u32, a: f64, b: f64) -> f64 {
    (0..demands).map(|i| (b + f64::from(i)) / (a + b + f64::from(i))).product()
}

/// Value computed independently: no failure in 40 demands after none in 100; the mean alone would
/// give 0.819950280839.
#[test]
fn predictive_chance_of_a_posterior() {
    close("none in 40", none_in(40, 0.5, 100.5), 0.845_456_146_642, 1e-11);
    close("by the mean", (1.0 - 0.5 / 101.0_f64).powi(40), 0.819_950_280_839, 1e-11);
}

/// The outer hatch of the base campaign, opened in nine ingresses; shut, nobody comes in.
pub fn jamming(law: &str) -> Case {
    Case::base().add(&format!(
        "\n[failure.jam]\non = \"main.outer\"\nwhen = \"on opening\"\nlaw = {law}\n\
         effect = \"stuck shut\"\nduring = \"ingress\"\n"
    ))
}

#[test]
fn evidence_of_demands() {
    let n = 20_000;
    for (failed, demands) in [(0.0, 10.0), (1.0, 30.0)] {
        let law = format!("{{ failures = {failed}, demands = {demands} }}");
        let model = jamming(&law).model();
        let mut player = Player::new(&model);
        let missed = |i| value(player.play_one(0, i), "campaign_haven_missed");
        let count: f64 = (0..n).map(missed).sum();
        let (a, b) = (failed + 0.5, demands - failed + 0.5);
        let (p, plain) = (1.0 - none_in(9, a, b), 1.0 - (b / (a + b)).powi(9));
        // nine demands on one unknown chance are not nine on its mean, and the test sees it
        assert!((plain - p).abs() > 8.0 * (p * (1.0 - p) / n as f64).sqrt());
        counted("not reached", count, n as f64, p);
    }
}

/// No event in 1000 h: Gamma(1/2, 1000 h), of which E exp(-rate t) = (1000/(1000 + t))^(1/2).
/// Parts that share the unknown rate fail together more often than parts that do not.
#[test]
fn state_of_knowledge_is_shared_unless_told_otherwise() {
    let law = "{ events = 0, exposure = \"1000 h\" }";
    let lives = |t: f64| (1000.0 / (1000.0 + t)).sqrt();
    let n = 40_000;
    let shared = failures(&shelf(2).add(&worn(law, "")).model(), n);
    at_least("both, one rate", &shared, 2.0, 1.0 - 2.0 * lives(100.0) + lives(200.0));
    at_least("any, one rate", &shared, 1.0, 1.0 - lives(200.0));
    let own = failures(&shelf(2).add(&worn(law, "shared = false")).model(), n);
    at_least("both, two rates", &own, 2.0, (1.0 - lives(100.0)).powi(2));
    at_least("any, two rates", &own, 1.0, 1.0 - lives(100.0).powi(2));
}

/// E exp(-..) of a law by its quantiles.
fn mean_over(law: Law, of: impl Fn(f64) -> f64) -> f64 {
    let steps = 20_000;
    let at = |i: u32| of(law.quantile((f64::from(i) + 0.5) / f64::from(steps)));
    (0..steps).map(at).sum::<f64>() / f64::from(steps)
}

/// A Weibull life that is known to an error factor, also for each part apart; and a shape.
#[test]
fn lives_that_are_not_known() {
    let life = Law::Lognormal { median: 300.0, error_factor: 3.0 };
    let worn_out = |life: f64| 1.0 - (-(100.0 / life).powf(2.5)).exp();
    let law = "{ life = { median = \"300 h\", error_factor = 3 }, shape = 2.5 }";
    let n = 30_000;
    let (one, both) = (mean_over(life, worn_out), mean_over(life, |x| worn_out(x).powi(2)));
    let shared = failures(&shelf(2).add(&worn(law, "")).model(), n);
    at_least("both, one life", &shared, 2.0, both);
    let own = failures(&shelf(2).add(&worn(law, "shared = false")).model(), n);
    at_least("both, two lives", &own, 2.0, one * one);
    let shape = Law::Uniform { low: 1.0, high: 4.0 };
    let law = "{ life = \"200 h\", shape = { low = 1, high = 4 } }";
    let found = failures(&shelf(1).add(&worn(law, "")).model(), n);
    at_least("shape", &found, 1.0, mean_over(shape, |s| 1.0 - (-(0.5_f64).powf(s)).exp()));
}

/// A life in cycles that is not known: nine openings in ingress.
#[test]
fn lives_in_cycles_that_are_not_known() {
    let law = "{ life = { median = 12, error_factor = 2 }, shape = 2 }";
    let model = jamming(law).model();
    let mut player = Player::new(&model);
    let n = 10_000;
    let count: f64 = (0..n).map(|i| value(player.play_one(0, i), "campaign_haven_missed")).sum();
    let life = Law::Lognormal { median: 12.0, error_factor: 2.0 };
    let p = mean_over(life, |x| 1.0 - (-(9.0 / x).powi(2)).exp());
    counted("worn out", count, n as f64, p);
}

/// A lognormal probability that is above 1 in 2 % of draws counts as 1 there; the mean of the
/// capped law decides.
#[test]
fn a_lognormal_probability_is_capped() {
    let law = Law::Lognormal { median: 0.02, error_factor: 25.0 };
    let case = Case::base().patch("length = \"30 d\"", "length = \"3 d\"").add(
        "\n[failure.jam]\non = \"main.outer\"\nwhen = \"on opening\"\n\
             law = { median = 0.02, error_factor = 25 }\neffect = \"stuck shut\"\n\
             during = \"ingress\"\n",
    );
    let model = case.model();
    let mut player = Player::new(&model);
    let n = 30_000;
    let count: f64 = (0..n).map(|i| value(player.play_one(0, i), "campaign_haven_missed")).sum();
    let p = mean_over(law, |x| x.min(1.0));
    counted("not reached", count, n as f64, p);
    let luck = vestibule::base::stream::Luck::new(model.seed);
    let caps = model.params.caps(luck, player.capped(), n);
    assert_eq!((caps.len(), caps[0].of), (1, n));
    counted(
        "caps",
        caps[0].times as f64,
        n as f64,
        mean_over(law, |x| f64::from(u8::from(x > 1.0))),
    );
}
