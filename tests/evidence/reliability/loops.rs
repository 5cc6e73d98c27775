//! The outer and the inner loop through the whole program: risk given the parameters has a closed
//! form, so that its distribution, what noise does to it and its mean are known.

use super::evidence::jamming;
use super::{close, counted, within};
use crate::support::{Case, value};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use vestibule::base::law::Law;
use vestibule::campaign::Player;
use vestibule::measure::MEASURES;
use vestibule::model::Model;
use vestibule::stats::beta::binomial_at_most;
use vestibule::stats::{Results, Risk};
use vestibule::study::experiment;
use vestibule::study::replicate::{NoRows, Order};

/// 40 sorties, p lognormal (median 1e-6, error factor 10): quantiles of 1 - (1 - p)^40 are those of
/// p, as the map is monotone. Values computed independently; the mean by 40 E p to 1e-3.
#[test]
fn risk_of_a_campaign_over_a_lognormal_chance() {
    let law = Law::Lognormal { median: 1e-6, error_factor: 10.0 };
    let risk = |p: f64| -(40.0 * (-p).ln_1p()).exp_m1();
    for (u, expected) in
        [(0.05, 3.999_992_200e-6), (0.5, 3.999_922_001e-5), (0.95, 3.999_220_099e-4)]
    {
        close("quantile", risk(law.quantile(u)), expected, 1e-8);
    }
    close("mean", 40.0 * law.mean(), 1.065_592_039e-4, 1e-8);
}

fn looped(case: Case, outer: u64, inner: u64) -> Model {
    case.patch("campaigns = 64", &format!("outer = {outer}\ninner = {inner}")).model()
}

fn run(model: &Model) -> Results {
    let (stop, progress) = (AtomicBool::new(false), AtomicU64::new(0));
    let threads = NonZero::new(2).unwrap();
    let order = Order { campaigns: model.campaigns, threads, stop: &stop, progress: &progress };
    experiment::run(model, order, None::<NoRows>, None).unwrap().results
}

fn missed() -> usize {
    MEASURES.iter().position(|m| m.name == "campaign_haven_missed").unwrap()
}

/// Nine ingresses with one unknown chance: risk 1 - (1 - p)^9. The curve of the estimates is the
/// mean over p of a binomial distribution; the noise share compares mean(r (1-r)/inner) with the
/// variance of all; the mean is that of the risk.
#[test]
fn the_risk_curve_is_known() {
    let (outer, inner) = (400, 100);
    let law = Law::Lognormal { median: 0.01, error_factor: 5.0 };
    let model = looped(jamming("{ median = 0.01, error_factor = 5 }"), outer, inner);
    let results = run(&model);
    let steps = 4000;
    let at = |i: u32| {
        let p = law.quantile((f64::from(i) + 0.5) / f64::from(steps)).min(1.0);
        1.0 - (1.0 - p).powi(9)
    };
    let mean =
        |of: &dyn Fn(f64) -> f64| (0..steps).map(|i| of(at(i))).sum::<f64>() / f64::from(steps);
    let sets = results.sets.as_ref().unwrap();
    let seen = sets.seen(0, missed()).unwrap();
    assert_eq!((seen.len() as u64, sets.inner()), (outer, inner));
    let total = seen.iter().sum::<u64>() as f64;
    assert_eq!(total, results.column(0, missed()).total);
    for k in [1_u64, 4, 9, 20, 40] {
        // At a value that is met: ties count.
        let point = Risk::at_most(seen, inner, k as f64 / inner as f64);
        let p = mean(&|r| binomial_at_most(inner, r, k));
        counted("at most", point.probability * outer as f64, outer as f64, p);
        assert!(point.low <= point.probability && point.probability <= point.high);
    }
    let first = mean(&|r| r);
    let between = mean(&|r| (r - first).powi(2));
    let noise = mean(&|r| r * (1.0 - r)) / inner as f64;
    let spread = between + noise;
    let found = results.estimate(0, missed());
    within("mean risk", found.mean.unwrap(), (spread / outer as f64).sqrt(), first);
    // half the width is Student's t of 399 degrees of freedom times the error that was seen
    let half = (found.high.unwrap() - found.low.unwrap()) / 2.0;
    let ratio = half / (1.966 * (spread / outer as f64).sqrt());
    assert!((0.7..1.4).contains(&ratio), "interval {ratio} times that of the sets");
    let risk = Risk::new(seen, inner);
    // a variance of 400 skew values is known to some 15 %
    let share = risk.noise.unwrap() / (noise / spread);
    assert!((0.5..2.0).contains(&share), "noise share {share} times the known one");
    for (q, u) in risk.quantiles.iter().zip([0.05, 0.5, 0.95]) {
        let (low, high) = (q.low.unwrap(), q.high.unwrap());
        assert!(low <= q.value.unwrap() && q.value.unwrap() <= high, "quantile {u}");
    }
}

/// With a chance that is certain all that the sets differ by is noise.
#[test]
fn certain_parameters_leave_only_noise() {
    let results = run(&looped(jamming("0.02"), 200, 100));
    let seen = results.sets.as_ref().unwrap().seen(0, missed()).unwrap().to_vec();
    let noise = Risk::new(&seen, 100).noise.unwrap();
    // (n-1) spread / within is nearly chi-squared of 199 degrees: 4 sigma are 40 %
    assert!((0.7..=1.0).contains(&noise), "{noise}");
}

/// Campaign j x inner + i has the parameters of j; a law `per = "study"` has one value for all.
#[test]
fn parameters_go_by_the_set_and_luck_by_the_campaign() {
    let gas = |displaces: &str| {
        let case =
            Case::base().patch("displaces = \"0.15 m3\"", &format!("displaces = {displaces}"));
        let model = looped(case, 5, 4);
        let mut player = Player::new(&model);
        // in an order that no loop would choose
        let mut found = [0.0; 20];
        for i in (0..20).rev() {
            let o = player.play_one(0, i);
            found[i as usize] = value(o, "gas_lost_per_sortie_kg");
        }
        found
    };
    let by_set = gas("{ low = \"0.1 m3\", high = \"0.2 m3\" }");
    for i in 0..20 {
        for k in 0..20 {
            assert_eq!(by_set[i] == by_set[k], i / 4 == k / 4, "campaigns {i} and {k}");
        }
    }
    let by_study = gas("{ low = \"0.1 m3\", high = \"0.2 m3\", per = \"study\" }");
    assert!(by_study.iter().all(|x| *x == by_study[0]));
    assert_ne!(by_study[0], value_of_base());
    // luck is not shared: with one chance for a set its campaigns still differ
    let model = looped(jamming("0.1"), 2, 64);
    let mut player = Player::new(&model);
    let seen: f64 = (0..64).map(|i| value(player.play_one(0, i), "campaign_haven_missed")).sum();
    assert!(seen > 0.0 && seen < 64.0, "{seen} of 64");
}

fn value_of_base() -> f64 {
    value(&crate::support::play(&Case::base().model(), 0), "gas_lost_per_sortie_kg")
}
