//! Failures with known answers, through the whole program on small campaign files.
//!
//! Every statistical comparison is: mean over campaigns within 4 standard errors of the closed
//! form, which is a two-sided false-alarm rate of 6.3e-5 each (normal). There are 15 of them, so
//! 0.1 % for the file. The seed is that of the base file and is never changed to pass. Formulas:
//! common practice of reliability (geometric series, discrete renewal, minimal repair) or written
//! out beside the test.

use super::shared::{HOURS, SORTIES, books_close};
use crate::support::{Case, value};
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// Plays campaigns of the first architecture; books are looked at in each.
fn play_all<T>(model: &Model, campaigns: u64, mut read: impl FnMut(&Outcome) -> T) -> Vec<T> {
    let mut player = Player::new(model);
    let one = |i| {
        let o = player.play_one(0, i);
        books_close(o);
        read(o)
    };
    (0..campaigns).map(one).collect()
}

/// Holds the mean of values against a known one.
#[track_caller]
fn agrees(what: &str, values: &[f64], expected: f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|x| (x - mean).powi(2)).sum();
    let error = (squares / (n - 1.0) / n).sqrt();
    // An error bar wide enough to hold anything would make the comparison worthless.
    assert!(error > 0.0 && error < 0.06 * expected, "{what}: {mean}, standard error {error}");
    let z = (mean - expected) / error;
    assert!(z.abs() <= 4.0, "{what}: {mean} +- {error}, not {expected} (z = {z:.2})");
}

fn column<const N: usize>(rows: &[[f64; N]], i: usize) -> Vec<f64> {
    rows.iter().map(|r| r[i]).collect()
}

/// One sortie in each campaign: 3 d hold the slot at 1.75 d only.
fn one_sortie() -> Case {
    Case::base().patch("length = \"30 d\"", "length = \"3 d\"")
}

/// A hatch that sticks with chance p at each ingress and is freed with chance q from outside: a
/// sortie ends the campaign with chance m = p (1 - q).
#[test]
fn a_stuck_hatch_and_one_way_back() {
    let (p, q) = (0.12, 0.6);
    let case = Case::whole()
        .patch("ways_back = []", "ways_back = [\"free-the-hatch\"]")
        .add(&format!(
            "\n[failure.stuck]\non = \"main.outer\"\nwhen = \"on opening\"\nlaw = {p}\n\
             effect = \"stuck shut\"\nduring = \"ingress\"\n"
        ))
        .add_access(&format!(
            "\n[list.way_back.free-the-hatch]\nfrom = \"outside\"\nrows = [\n\
             {{ action = \"open\", on = \"outer\", takes = \"10 min\", frees = {q} }},\n\
             {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        ));
    let rows = play_all(&case.model(), 3000, |o| {
        let lost_sortie = value(o, "haven_missed");
        assert!(lost_sortie == 0.0 || lost_sortie == 2.0, "both are missed or nobody");
        ["campaign_haven_missed", "eva_done_h", "hatch_failures", "haven_way_back"]
            .map(|name| value(o, name))
    });
    let m: f64 = p * (1.0 - q);
    let any = 1.0 - (1.0 - m).powf(SORTIES);
    agrees("campaigns with a miss", &column(&rows, 0), any);
    // Sorties that come to the door: 1 + (1 - m) + .. + (1 - m)^8; the one that ends in a miss has
    // its hours done.
    let reached = any / m;
    agrees("hours done", &column(&rows, 1), HOURS * reached);
    agrees("stuck hatches", &column(&rows, 2), p * reached);
    agrees("demands met by the way back", &column(&rows, 3), 2.0 * p * q * reached);
}

/// Incapacitation at rate r per person-hour from the end of egress until safe. With S hours outside
/// and I hours from the door to safe, and both persons at risk until the first is hurt, when the
/// team comes in at once:
/// E = exp(-2rS) 2 (1 - exp(-rI)) + (1 - exp(-2rS)) (1 + 1 - exp(-rI)).
#[test]
fn incapacitation_by_person_hours() {
    let rate: f64 = 0.05;
    // Nothing is skipped for a casualty, so that I is the same with and without one.
    let case = one_sortie().patch_access(", incapacitated = \"skip\"", "").add(&format!(
        "\n[failure.hurt]\non = \"crew\"\nwhen = \"per hour outside\"\nlaw = \"{rate} /h\"\n\
         effect = \"crew incapacitated\"\nseverity = \"walks with help\"\n"
    ));
    let seen = play_all(&case.model(), 6000, |o| value(o, "incapacitations"));
    let stay = 4.0;
    let ingress = (10.0 + 2.0 + 4.0 + 4.0 + 6.0) / 60.0;
    let none = (-2.0 * rate * stay).exp();
    let more = 1.0 - (-rate * ingress).exp();
    agrees("incapacitations", &seen, none * 2.0 * more + (1.0 - none) * (1.0 + more));
}

/// At a rare rate the count is rate x person-hours, within 1 %: two persons, each 4 h 26 min.
#[test]
fn rare_incapacitation_is_rate_times_person_hours() {
    let rate: f64 = 2e-3;
    let case = Case::whole().patch_access(", incapacitated = \"skip\"", "").add(&format!(
        "\n[failure.hurt]\non = \"crew\"\nwhen = \"per hour outside\"\nlaw = \"{rate} /h\"\n\
         effect = \"crew incapacitated\"\nseverity = \"walks with help\"\noff_duty = \"0 h\"\n"
    ));
    let seen = play_all(&case.model(), 6000, |o| value(o, "incapacitations"));
    let ingress = 26.0 / 60.0;
    let none = (-2.0 * rate * 4.0).exp();
    let more = 1.0 - (-rate * ingress).exp();
    let each = none * 2.0 * more + (1.0 - none) * (1.0 + more);
    let hours = 2.0 * (4.0 + ingress);
    assert!((each / (rate * hours) - 1.0).abs() < 0.01, "the rare rate is rare");
    // A second hurt on the way in ends a campaign: 9 x 1.8 % x 0.09 % = 1.4e-4 of campaigns, each of
    // which loses some 0.07 of a count. That is 1e-5, and the standard error here is 5e-3.
    agrees("incapacitations", &seen, SORTIES * each);
}

fn wearing_hatch(renews: &str) -> Case {
    Case::whole().add(&format!(
        "\n[failure.wear]\non = \"main.outer\"\nwhen = \"on opening\"\n\
         law = {{ life = 6, shape = 2.5 }}\neffect = \"slower\"\n\
         repair = {{ takes = \"0 h\", crew = 1, from = \"anywhere\", renews = \"{renews}\" }}\n"
    ))
}

/// Cumulative hazard of the wearing hatch after k openings.
fn wear(k: f64) -> f64 {
    (k / 6.0f64).powf(2.5)
}

/// Two openings a sortie.
const OPENINGS: usize = 18;

/// As bad as old: the age is kept, so demand k strikes with chance 1 - exp(-(H(k) - H(k - 1))), each
/// on its own (at most one strike a demand; the limit of small steps is H(n)).
#[test]
fn minimal_repair_keeps_the_age() {
    let seen =
        play_all(&wearing_hatch("as bad as old").model(), 1000, |o| value(o, "hatch_failures"));
    let chance = |k: usize| 1.0 - (wear(k as f64 - 1.0) - wear(k as f64)).exp();
    agrees("failures", &seen, (1..=OPENINGS).map(chance).sum());
}

/// As bad as old with small steps: the count is the cumulative hazard (n / life)^shape, here 0.4^2.5 = 0.101.
#[test]
fn minimal_repair_counts_the_cumulative_hazard() {
    let case = wearing_hatch("as bad as old").patch("life = 6", "life = 45");
    let seen = play_all(&case.model(), 6000, |o| value(o, "hatch_failures"));
    let hazard = |k: usize| (k as f64 / 45.0f64).powf(2.5);
    let steps: f64 = (1..=OPENINGS).map(|k| 1.0 - (hazard(k - 1) - hazard(k)).exp()).sum();
    // What the steps lose is below half a standard error, so this holds the limit as well.
    assert!((steps / hazard(OPENINGS) - 1.0).abs() < 0.01);
    agrees("failures", &seen, steps);
}

/// As new: discrete renewal, M(n) = sum over k of f(k) (1 + M(n - k)), f(k) = F(k) - F(k - 1),
/// F(k) = 1 - exp(-H(k)).
#[test]
fn renewal_starts_the_age_again() {
    let seen = play_all(&wearing_hatch("as new").model(), 2000, |o| value(o, "hatch_failures"));
    let first = |k: usize| (-wear(k as f64 - 1.0)).exp() - (-wear(k as f64)).exp();
    let mut mean = [0.0; OPENINGS + 1];
    for n in 1..=OPENINGS {
        mean[n] = (1..=n).map(|k| first(k) * (1.0 + mean[n - k])).sum();
    }
    agrees("failures", &seen, mean[OPENINGS]);
}

/// A call to return per team sortie, at a moment uniform over the 4 h: 2 h of each person are lost
/// on average.
#[test]
fn an_early_return_loses_half_the_stay() {
    let p = 0.3;
    let case = Case::whole().add(&format!(
        "\n[failure.recall]\non = \"suit\"\nwhen = \"per sortie\"\nlaw = {p}\n\
         effect = \"return now\"\n"
    ));
    let rows = play_all(&case.model(), 2000, |o| {
        assert_eq!(value(o, "sorties_done"), SORTIES, "cut short is part of done");
        ["eva_lost_h", "sorties_cut_short", "suit_failures"].map(|name| value(o, name))
    });
    agrees("hours lost", &column(&rows, 0), SORTIES * p * 2.0 * 2.0);
    agrees("cut short", &column(&rows, 1), SORTIES * p);
    agrees("suit failures", &column(&rows, 2), SORTIES * p);
}

/// A suit that goes bad unseen in store, at a rate per calendar hour.
fn hidden_suit_fault(rate: f64) -> Case {
    one_sortie().add(&format!(
        "\n[failure.puncture]\non = \"suit\"\nwhen = \"per calendar hour\"\nlaw = \"{rate} /h\"\n\
         effect = \"suit unusable\"\nnoticed = \"at next use\"\n"
    ))
}

fn lost_to(model: &Model, o: &Outcome, cause: &str) -> f64 {
    let arm = &model.arms[0];
    let row = arm.breakdown.iter().position(|r| r.0 == "eva_lost_h" && r.1.ends_with(cause));
    o.breakdown[row.unwrap_or_else(|| panic!("no cause {cause}"))]
}

/// Before the leak check of the only sortie, which ends 45 + 2 + 30 + 3 + 5 min after the slot at
/// 42 h, either of two suits has gone bad: the sortie goes with chance exp(-2 r t).
#[test]
fn the_leak_check_finds_a_hidden_suit_fault() {
    let rate: f64 = 0.01;
    let model = hidden_suit_fault(rate).model();
    let rows = play_all(&model, 2000, |o| {
        let cancelled = value(o, "sorties_cancelled");
        // All hours of the cancelled sortie have the fault as their cause.
        assert_eq!(lost_to(&model, o, "puncture"), HOURS * cancelled);
        assert_eq!(value(o, "haven_demands"), 2.0 * value(o, "sorties_done"));
        cancelled
    });
    let hours = 42.0 + 85.0 / 60.0;
    agrees("cancelled", &rows, 1.0 - (-2.0 * rate * hours).exp());
}

#[test]
fn a_leak_check_that_always_misses_finds_nothing() {
    let case = hidden_suit_fault(1.0).patch_access(
        "action = \"leak check\", on = \"suit\",",
        "action = \"leak check\", on = \"suit\", misses = 1.0,",
    );
    for done in
        play_all(&case.model(), 20, |o| [value(o, "sorties_done"), value(o, "suit_failures")])
    {
        // Both suits go bad within 42 h but for exp(-42); nobody knows.
        assert_eq!(done, [1.0, 2.0]);
    }
    let found = hidden_suit_fault(1.0).model();
    assert!(play_all(&found, 20, |o| value(o, "sorties_done")).iter().all(|d| *d == 0.0));
}

/// Two hatches, common cause with beta, one sortie: the outer opens in egress and ingress, the inner
/// in ingress. With g = beta p for both, once an occasion, and s = (1 - beta) p for each on its own:
/// E = 2g + (1-g) s (1 + g + (1-g) s) + (1-g)(1-s)(2g + (1-g) 2s).
#[test]
fn common_cause_strikes_both_hatches() {
    let p: f64 = 0.3;
    for beta in [1.0, 0.4] {
        let case = one_sortie().add(&format!(
            "\n[failure.slow]\non = \"pressure hatch\"\nwhen = \"on opening\"\nlaw = {p}\n\
             effect = \"slower\"\ncommon = {{ group = \"hatches\", beta = {beta} }}\n"
        ));
        let seen = play_all(&case.model(), 2500, |o| value(o, "hatch_failures"));
        let (g, s) = (beta * p, (1.0 - beta) * p);
        let (no_g, no_s) = (1.0 - g, 1.0 - s);
        let outer = no_g * s * (1.0 + g + no_g * s);
        let neither = no_g * no_s * (2.0 * g + no_g * 2.0 * s);
        agrees(&format!("failures with beta {beta}"), &seen, 2.0 * g + outer + neither);
        if beta == 1.0 {
            assert!(seen.iter().all(|n| *n == 0.0 || *n == 2.0), "both or none");
        }
    }
}
