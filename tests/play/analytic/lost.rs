//! An element that is lost: no haven any more, its ports out; who is outside then is missed unless another
//! element takes them in.

use super::played::*;
use crate::support::{Case, value};

const RATE: f64 = 0.002;

fn lost() -> Case {
    let law = format!("rate = \"{RATE} /h\"");
    Case::base().add(&mode("gone", "habitat", "per calendar hour", &law, "element lost", ""))
}

/// Chance that the loss falls into one of the spans of each sortie, begin and end in minutes after the
/// slot: the sum of exp(-rate begin) - exp(-rate end), since the first loss ends the sorties.
fn within_spans(begin: f64, end: f64) -> f64 {
    let slots = (1..=SORTIES).map(|k| (f64::from(k) - 0.5) * 3.5 * 24.0);
    let alive = |h: f64| (-RATE * h).exp();
    slots.map(|t| alive(t + begin / 60.0) - alive(t + end / 60.0)).sum()
}

/// Whoever is out, or on the way through the lock, when the only habitat is lost is missed: at least who is
/// outside, at most who has left the cabin and is not back unsuited.
#[test]
fn who_is_out_when_the_only_habitat_is_lost_is_missed() {
    let m = lost().model();
    let missed = sample(&m, 0, 4000, |o| value(o, "campaign_haven_missed"));
    let n = missed.len() as f64;
    let share = missed.iter().sum::<f64>() / n;
    let (out, back) = (egress(), egress() + 240.0);
    let low = within_spans(out, back);
    let high = within_spans(0.0, back + TO_SAFE + AFTER_SAFE);
    let error = (high * (1.0 - high) / n).sqrt();
    assert!(share > low - 4.0 * error && share < high + 4.0 * error, "{low} {share} {high}");
    let mut player = vestibule::campaign::Player::new(&m);
    (0..50).for_each(|i| identities(player.play_one(0, i), "lost"));
}

/// Slots after the loss are cancelled: done is at least the slots whose sortie was over, at most those begun.
#[test]
fn no_sortie_starts_from_a_lost_habitat() {
    let m = lost().model();
    let done = sample(&m, 0, 4000, |o| value(o, "sorties_done"));
    let n = done.len() as f64;
    let mean = done.iter().sum::<f64>() / n;
    let var = done.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let slots = || (1..=SORTIES).map(|k| (f64::from(k) - 0.5) * 3.5 * 24.0);
    let alive = |after: f64| slots().map(|t| (-RATE * (t + after / 60.0)).exp()).sum::<f64>();
    let error = 4.0 * (var / n).sqrt();
    let (low, high) = (alive(egress() + 240.0 + TO_SAFE + AFTER_SAFE), alive(0.0));
    assert!(mean > low - error && mean < high + error, "{low} {mean} {high}");
}

/// Where the file says how it is repaired, a lost element is repaired and used again: of 400 campaigns most do all
/// their sorties, with 1.4 losses each on the mean; for good they are lost but in a quarter (exp(-1.4)). The bounds are
/// more than eight standard errors from either.
#[test]
fn a_lost_habitat_that_can_be_repaired_is_used_again() {
    let all_done = |repair: &str| {
        let law = format!("rate = \"{RATE} /h\"");
        let gone = mode("gone", "habitat", "per calendar hour", &law, "element lost", repair);
        let done = sample(&Case::base().add(&gone).model(), 0, 400, |o| value(o, "sorties_done"));
        done.iter().filter(|n| **n == f64::from(SORTIES)).count() as f64 / 400.0
    };
    let mended = "repair = { takes = \"1 h\", crew = 1, success = 1.0, from = \"anywhere\" }";
    let (with, without) = (all_done(mended), all_done(""));
    assert!(with > 0.65 && without < 0.42, "with {with}, without {without}");
}
