//! Times to failure and shares of time, read from the stories of whole campaigns: standby of unequal
//! units, mean lives of redundant sets, Weibull ageing within an interval, two repaired units. Forms:
//! common practice; values computed independently to twelve digits.

use super::redundancy::{at_least, shelf, worn};
use super::{counted, within};
use crate::support::{Case, value};
use vestibule::campaign::{Player, tell};
use vestibule::model::Model;

/// Hours at which suits failed in a campaign, in order.
fn strikes(m: &Model, campaign: u64) -> Vec<f64> {
    hours(m, campaign, "worn strikes suit/")
}

/// Hours at which suits were mended.
fn mended(m: &Model, campaign: u64) -> Vec<f64> {
    hours(m, campaign, "(worn): mended")
}

fn hours(m: &Model, campaign: u64, what: &str) -> Vec<f64> {
    let (story, _) = tell(m, 0, campaign);
    let lines = story.lines.iter().filter(|l| l.text.contains(what));
    lines.map(|l| l.time / 3600.0).collect()
}

/// Mean of a sample against a formula, within four standard errors.
#[track_caller]
fn mean_of(what: &str, sample: &[f64], expected: f64) {
    let n = sample.len() as f64;
    let mean = sample.iter().sum::<f64>() / n;
    let square = sample.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
    within(what, mean, (square / n).sqrt(), expected);
}

/// The shelf of suits for so many hours.
fn shelf_for(hours: f64, suits: u32) -> Case {
    shelf(suits)
        .patch("\"100 h\"", &format!("\"{hours} h\""))
        .patch("\"99.9 h\"", &format!("\"{} h\"", hours - 0.1))
}

/// A unit of 1e-3 /h, then one of 2e-3 /h that takes over at once: by 100 h both have failed with
/// 1 - (l2 e^(-l1 t) - l1 e^(-l2 t))/(l2 - l1). The second life is played as the time of the one
/// repair there is a spare for, which is used when it ends.
#[test]
fn standby_of_unequal_units() {
    let more = "repair = { takes = { rate = \"2e-3 /h\" }, crew = 1, spare = \"unit\", success = 1 }\n\
                [spare]\nunit = 1";
    let m = shelf(1).add(&worn("\"1e-3 /h\"", more)).model();
    let mut player = Player::new(&m);
    let found: Vec<f64> =
        (0..60_000).map(|i| value(player.play_one(0, i), "spares_used")).collect();
    at_least("both failed", &found, 1.0, 1.0 - 0.990_944_082_994);
}

/// Mean time until nothing is left of sets whose units live 10 h each: two of which one is enough
/// 15 h, three of which two are needed 8 1/3 h, one with a spare that takes over at once 20 h. What is
/// over after 300 h is 1e-11 of it.
#[test]
fn mean_time_to_failure_of_redundant_sets() {
    let rate = "\"0.1 /h\"";
    let spare = "repair = { takes = \"0 h\", crew = 0, spare = \"unit\", success = 1 }\n\
                 [spare]\nunit = 1";
    for (what, suits, more, last, expected) in [
        ("one of two", 2, "", 2, 15.0),
        ("two of three", 3, "", 2, 10.0 * (1.0 / 2.0 + 1.0 / 3.0)),
        ("standby", 1, spare, 2, 20.0),
    ] {
        let m = shelf_for(300.0, suits).add(&worn(rate, more)).model();
        let life = |i| {
            let all = strikes(&m, i);
            assert!(all.len() >= last, "{what}, campaign {i}: {all:?}");
            all[last - 1]
        };
        let sample: Vec<f64> = (0..3000).map(life).collect();
        mean_of(what, &sample, expected);
    }
}

/// Of the units that live at 100 h, those that fail in the hour after it: 1 - exp(H(100) - H(101)).
/// The hazard of age, not that of new units, which is 1e-5 of it.
#[test]
fn failures_in_an_hour_of_units_of_an_age() {
    for (life, shape, expected) in
        [(400.0, 2.5, 7.868_094_314_547e-4), (1000.0, 2.0, 2.009_798_008_534e-4)]
    {
        let law = format!("{{ life = \"{life} h\", shape = {shape} }}");
        let suits = 14;
        // The same lives in campaigns that end an hour apart.
        let by = |hours: f64| -> f64 {
            let m = shelf_for(hours, suits).add(&worn(&law, "")).model();
            let mut player = Player::new(&m);
            (0..20_000).map(|i| value(player.play_one(0, i), "suit_failures")).sum()
        };
        let (before, after) = (by(100.0), by(101.0));
        let live = 20_000.0 * f64::from(suits) - before;
        let failed = after - before;
        counted(&format!("in an hour, shape {shape}"), failed, live, expected);
    }
}

/// Two units of 1e-3 /h with a repairer each, 0.1 /h: by 10 000 h both have been down at once with
/// 0.1763608 (matrix exponential of the chain that ends there).
#[test]
fn first_time_that_both_of_two_are_down_in_play() {
    let more = "repair = { takes = { rate = \"0.1 /h\" }, crew = 1 }";
    let m = shelf_for(10_000.0, 2).add(&worn("\"1e-3 /h\"", more)).model();
    let n = 2000;
    let mut both = 0.0;
    for i in 0..n {
        let mut events: Vec<(f64, i32)> = strikes(&m, i).into_iter().map(|t| (t, 1)).collect();
        events.extend(mended(&m, i).into_iter().map(|t| (t, -1)));
        events.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut down, mut most) = (0, 0);
        for (_, x) in events {
            down += x;
            most = most.max(down);
        }
        both += f64::from(u8::from(most > 1));
    }
    counted("both down by 10 000 h", both, n as f64, 1.763_608_491_183e-1);
}

/// Hours down of one such unit by 10 000 h: l/(l+m) T - l/(l+m)^2 (1 - e^(-(l+m) T)), in the long run
/// 1 - 0.990099009901 of the time.
#[test]
fn hours_down_of_a_repaired_unit() {
    let more = "repair = { takes = { rate = \"0.1 /h\" }, crew = 1 }";
    let hours = 10_000.0;
    let m = shelf_for(hours, 1).add(&worn("\"1e-3 /h\"", more)).model();
    let down = |i| {
        let (from, mut to) = (strikes(&m, i), mended(&m, i));
        to.resize(from.len(), hours);
        from.iter().zip(&to).map(|(a, b)| b - a).sum::<f64>()
    };
    let sample: Vec<f64> = (0..2000).map(down).collect();
    let (l, sum) = (1e-3_f64, 0.101_f64);
    let expected = l / sum * hours - l / (sum * sum) * (1.0 - (-sum * hours).exp());
    super::close("the long run", 1.0 - expected / hours, 0.990_099_009_901, 2e-5);
    mean_of("hours down", &sample, expected);
}
