//! Drivers of small campaigns with known answers.

use crate::support::{Case, play};
use std::num::NonZero;
use std::sync::atomic::AtomicBool;
use vestibule::campaign::{Forced, Player};
use vestibule::study::drivers::{Outcome, drivers, importance};

fn sticks(p: f64) -> Case {
    Case::base().add(&format!(
        "\n[failure.sticks]\non = \"main.outer\"\nwhen = \"on opening\"\nduring = \"ingress\"\n\
         law = {{ probability = {p} }}\neffect = \"stuck shut\"\n"
    ))
}

/// Without the only mode nobody is missed: removal and participation are 1 exactly; certain at its
/// next demand everybody is: Birnbaum is 1 within 0.46, four standard errors of the sample of 16
/// campaigns at a risk of 0.3 (two-sided false alarm 6.3e-5). The same books for any number of threads.
#[test]
fn the_only_mode_drives_everything() {
    let m = sticks(0.05).model();
    let books = |t| drivers(&m, 200, NonZero::new(t).unwrap(), &AtomicBool::new(false)).unwrap();
    let one = books(1);
    assert_eq!(one, books(3));
    assert!(one.arms[0].all[0].up > 20);
    let e = importance(&one.arms[0], 0, Outcome::Missed, true);
    assert_eq!(e.participation.value, Some(1.0));
    assert_eq!(e.removal.value, Some(1.0));
    assert!((e.birnbaum.value.unwrap() - 1.0).abs() < 0.46, "{e:?}");
    let chains = one.arms[0].paths[0].sorted();
    assert_eq!((chains.len(), chains[0].count), (1, one.arms[0].all[0].up));
}

/// A mode that never strikes leaves what a file with probability 0 leaves, bit for bit.
#[test]
fn never_is_as_probability_zero() {
    let (m, without) = (sticks(0.2).model(), sticks(0.0).model());
    let never = Forced { modes: 1, ..Forced::default() };
    let mut player = Player::new(&m);
    for i in 0..50 {
        let facts = player.play_forced(0, i, never).facts.clone();
        let expected = play(&without, i).facts;
        let bits = |v: &[f64]| v.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
        assert_eq!(bits(&facts.value), bits(&expected.value), "campaign {i}");
    }
}
