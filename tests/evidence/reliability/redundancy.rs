//! Redundant parts, standby, wear, repair and proof tests: closed forms reproduced by playing small
//! campaign files. Forms: common practice (redundancy, Erlang, Markov chains, proof-test average
//! as in IEC 61508-6 annex B); values computed independently to twelve digits.

use super::{counted, within};
use crate::support::{Case, value};
use std::ops::Range;
use vestibule::campaign::Player;
use vestibule::model::Model;

/// 100 h with a sortie so near to the end that it changes nothing: suits are parts on the shelf.
pub fn shelf(suits: u32) -> Case {
    let more = format!(
        "count = 2, at = \"main.lock\" }}, {{ suit = \"plain\", count = {}, at = \"habitat.cabin\" }}]",
        suits.saturating_sub(2)
    );
    let base = Case::base()
        .patch("length = \"30 d\"", "length = \"100 h\"")
        .patch("per_week = 2", "at = [\"99.9 h\"]");
    match suits {
        0..=2 => base.patch("count = 2", &format!("count = {suits}")).patch("team = 2", "team = 1"),
        _ => base.patch("count = 2, at = \"main.lock\" }]", &more),
    }
}

/// A mode of suits on the shelf.
pub fn worn(law: &str, more: &str) -> String {
    format!(
        "\n[failure.worn]\non = \"suit\"\nwhen = \"per calendar hour\"\nlaw = {law}\n\
         effect = \"suit unusable\"\n{more}\n"
    )
}

/// Failures of suits in each of `n` campaigns.
pub fn failures(model: &Model, n: u64) -> Vec<f64> {
    failures_in(model, 0..n)
}

/// Failures of suits in each of these campaigns.
fn failures_in(model: &Model, campaigns: Range<u64>) -> Vec<f64> {
    let mut player = Player::new(model);
    campaigns.map(|i| value(player.play_one(0, i), "suit_failures")).collect()
}

/// Share of campaigns with at least `k` failures.
#[track_caller]
pub fn at_least(what: &str, found: &[f64], k: f64, p: f64) {
    let count = found.iter().filter(|x| **x >= k).count() as f64;
    counted(what, count, found.len() as f64, p);
}

const RATE: &str = "\"1e-3 /h\"";
const N: u64 = 30_000;

#[test]
fn active_redundancy() {
    let r: f64 = (-0.1_f64).exp();
    let pair = failures(&shelf(2).add(&worn(RATE, "")).model(), N);
    at_least("both of two", &pair, 2.0, 1.0 - 0.990_944_082_994);
    at_least("any of two", &pair, 1.0, 1.0 - r * r);
    let three = failures(&shelf(3).add(&worn(RATE, "")).model(), N);
    at_least("two of three are left no more", &three, 2.0, 1.0 - 0.974_555_817_871);
    let four = failures(&shelf(4).add(&worn(RATE, "")).model(), N);
    at_least("two of four are left no more", &four, 3.0, 1.0 - 0.996_798_891_121);
}

/// F = 1 - exp(-beta x) (1 - (1 - exp(-(1-beta) x))^2), x = 0.1, beta = 0.1.
#[test]
fn common_cause_of_a_pair() {
    let group = worn(RATE, "common = { group = \"suits\", beta = 0.1 }");
    let pair = failures(&shelf(2).add(&group).model(), N);
    at_least("both of two", &pair, 2.0, 1.728_429_787_144e-2);
    // all of one: beta changes nothing for a single part
    let one = failures(&shelf(1).add(&group).model(), N);
    at_least("one alone", &one, 1.0, 1.0 - (-0.1_f64).exp());
}

/// A spare that takes over at once: two failures by 100 h end the pair (Erlang). With a switch
/// that works in 0.98 of cases the second comes only behind a working switch.
#[test]
fn cold_standby() {
    for (success, expected) in [(1.0, 1.0 - 0.995_321_159_840), (0.98, 0.98 * 4.678_840_160e-3)] {
        let more = format!(
            "repair = {{ takes = \"0 h\", crew = 0, spare = \"unit\", success = {success} }}\n\
             [spare]\nunit = 1"
        );
        let found = failures(&shelf(1).add(&worn(RATE, &more)).model(), 2 * N);
        at_least("second failure", &found, 2.0, expected);
        assert!(found.iter().all(|x| *x <= 2.0), "a third failure of two units");
    }
}

/// Weibull lives: F(100 h). Minimal repair goes on with the old age: the expected number of failures
/// is (T/life)^shape whatever was mended; F(100, 101 | 100) is the increment of the hazard.
#[test]
fn weibull_lives_and_minimal_repair() {
    for (life, shape, expected) in
        [(400, 2.5, 3.076_676_552_366e-2), (1000, 2.0, 9.950_166_250_832e-3)]
    {
        let law = format!("{{ life = \"{life} h\", shape = {shape} }}");
        let found = failures(&shelf(1).add(&worn(&law, "")).model(), N);
        at_least("worn out", &found, 1.0, expected);
    }
    let old = "repair = { takes = \"0 h\", crew = 0, renews = \"as bad as old\" }";
    let law = "{ life = \"50 h\", shape = 2.5 }";
    let found = failures(&shelf(1).add(&worn(law, old)).model(), N);
    let mean = found.iter().sum::<f64>() / N as f64;
    let expected = 2f64.powf(2.5);
    within("minimal repair", mean, (expected / N as f64).sqrt(), expected);
}

/// Expected failures by time T of `units` like units of which `repairers` at most are mended at
/// once: the chain is integrated by Runge and Kutta's rule.
fn expected_failures(units: usize, repairers: usize, rate: f64, mend: f64, hours: f64) -> f64 {
    let down = |k: usize| rate * (units - k) as f64;
    let up = |k: usize| mend * k.min(repairers) as f64;
    let slope = |p: &[f64]| -> Vec<f64> {
        let mut d = vec![0.0; units + 2];
        for k in 0..=units {
            let (fail, mended) = (down(k) * p[k], up(k) * p[k]);
            d[k] -= fail + mended;
            if k < units {
                d[k + 1] += fail;
            }
            if k > 0 {
                d[k - 1] += mended;
            }
            d[units + 1] += fail;
        }
        d
    };
    let mut p = vec![0.0; units + 2];
    p[0] = 1.0;
    let (steps, moved) = (4000, |p: &[f64], d: &[f64], h: f64| -> Vec<f64> {
        p.iter().zip(d).map(|(x, s)| x + h * s).collect()
    });
    let h = hours / f64::from(steps);
    for _ in 0..steps {
        let a = slope(&p);
        let b = slope(&moved(&p, &a, h / 2.0));
        let c = slope(&moved(&p, &b, h / 2.0));
        let d = slope(&moved(&p, &c, h));
        for k in 0..p.len() {
            p[k] += h / 6.0 * (a[k] + 2.0 * b[k] + 2.0 * c[k] + d[k]);
        }
    }
    p[units + 1]
}

/// One unit: E N(T) = l m T/(l+m) + l^2/(l+m)^2 (1 - exp(-(l+m) T)), which also checks the chain.
/// Two units with two repairers, and with a crew of three of whom each repair takes two: one.
#[test]
fn failure_and_repair_as_a_markov_chain() {
    let (l, m, t) = (0.05_f64, 0.1_f64, 100.0_f64);
    let one = l * m * t / (l + m) + (l / (l + m)).powi(2) * (1.0 - (-(l + m) * t).exp());
    super::close("the chain", expected_failures(1, 1, l, m, t), one, 1e-9);
    for (units, crew, repairers) in [(1, 1, 1), (2, 1, 2), (2, 2, 1)] {
        let more = format!("repair = {{ takes = {{ rate = \"0.1 /h\" }}, crew = {crew} }}");
        let found = failures(&shelf(units).add(&worn("\"0.05 /h\"", &more)).model(), 6000);
        let n = found.len() as f64;
        let mean = found.iter().sum::<f64>() / n;
        let square = found.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let expected = expected_failures(units as usize, repairers, l, m, t);
        within(
            &format!("{units} units, {repairers} repairers"),
            mean,
            (square / n).sqrt(),
            expected,
        );
    }
}

/// A hatch that fails unseen at a rate and is tested every 10 d: what a demand at a time t within
/// the interval finds is 1 - exp(-rate t), and over all times of demand 1 - (1 - exp(-x))/x, the
/// x/2 of the standard for small x. Demands lie in the third interval, so that two tests have made
/// the hatch as new.
#[test]
fn proof_tests_of_a_hidden_failure() {
    let (rate, interval) = (0.004, 240.0);
    let strata = 8_u32;
    let mut found = 0.0;
    let mut expected = 0.0;
    let n = 2500_u64;
    let opens = minutes_to_open() / 60.0;
    for k in 0..strata {
        let demand = interval * (f64::from(k) + 0.5) / f64::from(strata);
        let slot = 2.0 * interval + demand - opens;
        let case = Case::base()
            .patch("per_week = 2", &format!("at = [\"{slot} h\"]"))
            .patch("length = \"30 d\"", "length = \"31 d\"\ninspection_every = \"10 d\"")
            .add(&format!(
                "\n[failure.jammed]\non = \"main.outer\"\nwhen = \"per calendar hour\"\n\
                 law = \"{rate} /h\"\neffect = \"stuck shut\"\nnoticed = \"at next inspection\"\n\
                 repair = {{ takes = \"0 h\", crew = 0, from = \"anywhere\" }}\n"
            ));
        let model = case.model();
        let mut player = Player::new(&model);
        // the same campaigns would have the same luck in every stratum
        let campaigns = u64::from(k) * n..(u64::from(k) + 1) * n;
        let shut = campaigns.filter(|i| value(player.play_one(0, *i), "eva_done_h") == 0.0);
        found += shut.count() as f64;
        expected += 1.0 - (-rate * demand).exp();
    }
    let x = rate * interval;
    let average = 1.0 - (1.0 - (-x).exp()) / x;
    // the midpoint rule on eight strata
    super::close("strata", expected / f64::from(strata), average, 2e-3);
    counted("unavailable", found, n as f64 * f64::from(strata), expected / f64::from(strata));
}

/// The same hatch with failures that are seen at once as well, every repair 8 h: 1oo1 of the standard
/// with its repair terms, PFD = DU (T/2 + MTTR) + DD MTTR (IEC 61508-6 annex B, from memory), is of first
/// order in what is played. By a time t after a test: unseen failures since then, or since the repair
/// that the test brought; seen ones under repair with m/(1 + m), m = DD MTTR.
#[test]
fn seen_and_unseen_failures_with_time_to_repair() {
    let (unseen, seen, interval, mttr) = (0.000_1_f64, 0.000_5, 240.0, 8.0);
    let opens = minutes_to_open() / 60.0;
    let (strata, n) = (30_u32, 1000_u64);
    let q = 1.0 - (-unseen * interval).exp();
    let under_repair = seen * mttr / (1.0 + seen * mttr);
    let (mut found, mut expected) = (0.0, 0.0);
    for k in 0..strata {
        let demand = interval * (f64::from(k) + 0.5) / f64::from(strata);
        let slot = 2.0 * interval + demand - opens;
        let modes = [("jammed", unseen, "at next inspection"), ("seized", seen, "at once")];
        let text = modes.map(|(name, rate, noticed)| {
            format!(
                "\n[failure.{name}]\non = \"main.outer\"\nwhen = \"per calendar hour\"\n\
                 law = \"{rate} /h\"\neffect = \"stuck shut\"\nnoticed = \"{noticed}\"\n\
                 repair = {{ takes = \"8 h\", crew = 0, from = \"anywhere\" }}\n"
            )
        });
        let model = Case::base()
            .patch("per_week = 2", &format!("at = [\"{slot} h\"]"))
            .patch("length = \"30 d\"", "length = \"31 d\"\ninspection_every = \"10 d\"")
            .add(&text.concat())
            .model();
        let mut player = Player::new(&model);
        let campaigns = u64::from(k) * n..(u64::from(k) + 1) * n;
        let shut = campaigns.filter(|i| value(player.play_one(0, *i), "eva_done_h") == 0.0);
        found += shut.count() as f64;
        let since = |t: f64| 1.0 - (-unseen * t).exp();
        let repaired = if demand > mttr { since(demand - mttr) } else { 1.0 };
        let hidden = (1.0 - q) * since(demand) + q * repaired;
        expected += (1.0 - (1.0 - hidden) * (1.0 - under_repair)) / f64::from(strata);
    }
    let standard = unseen * (interval / 2.0 + mttr) + seen * mttr;
    super::close("the standard", expected, standard, 0.03);
    counted("unavailable", found, n as f64 * f64::from(strata), expected);
}

/// Minutes from the slot of the base to the end of the row that opens the outer hatch, by hand from the
/// file.
fn minutes_to_open() -> f64 {
    let psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
    let pump = (4.25 - 2.0 * 0.15) / 0.40 * (70.3e3_f64 / (2.0 * psi)).ln();
    45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0 + pump + 3.0 + 3.0
}

/// Two units that fail unseen, one out of two needed, tested every T: the chance that a demand finds
/// both failed, averaged over its time. Given the time t it is the beta-factor form of a pair; the
/// average is held against play, and against the short form of the standard for small x = rate T,
/// ((1-beta) x)^2/3 + beta x/2 (IEC 61508-6 annex B, from memory), which is of first order in x.
#[test]
fn average_unavailability_of_a_hidden_pair() {
    let (beta, x) = (0.1_f64, 0.1_f64);
    let both = |y: f64| {
        let own = 1.0 - (-(1.0 - beta) * y).exp();
        1.0 - (-beta * y).exp() * (1.0 - own * own)
    };
    let strata = 8_u32;
    let (mut found, mut expected, n) = (0.0, 0.0, 10_000_u64);
    for k in 0..strata {
        let share = (f64::from(k) + 0.5) / f64::from(strata);
        let hours = format!("\"{} h\"", 100.0 * share);
        let case = shelf(2)
            .patch("\"100 h\"", &hours)
            .patch("\"99.9 h\"", &format!("\"{} h\"", 100.0 * share - 0.01))
            .add(&worn(RATE, "common = { group = \"suits\", beta = 0.1 }"));
        // the same campaigns would have the same luck in every stratum
        let (k, model) = (u64::from(k), case.model());
        let failed = failures_in(&model, k * n..(k + 1) * n);
        found += failed.iter().filter(|x| **x == 2.0).count() as f64;
        expected += both(x * share) / f64::from(strata);
    }
    let standard = ((1.0 - beta) * x).powi(2) / 3.0 + beta * x / 2.0;
    super::close("the standard", expected, standard, 0.08);
    counted("both hidden", found, n as f64 * f64::from(strata), expected);
}
