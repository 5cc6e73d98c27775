//! Drivers of small campaigns with known answers.

use crate::support::{Case, mean, play};
use vestibule::campaign::{Forced, Player};
use vestibule::model::Model;
use vestibule::study::drivers::{Outcome, PLAYS, importance, items};

fn sticks(p: f64) -> Case {
    Case::base().add(&format!(
        "\n[failure.sticks]\non = \"main.outer\"\nwhen = \"on opening\"\nduring = \"ingress\"\n\
         law = {{ probability = {p} }}\neffect = \"stuck shut\"\n"
    ))
}

/// Without the only mode nobody is missed: removal and participation are 1 exactly; certain at its
/// next demand everybody is: Birnbaum is 1 within 0.13, four standard errors of 200
/// campaigns at a risk of 0.3 (two-sided false alarm 6.3e-5). The same books for any number of threads.
#[test]
fn the_only_mode_drives_everything() {
    let m = sticks(0.05).model();
    let one = super::driven(&m, 200, 1);
    assert_eq!(one, super::driven(&m, 200, 3));
    assert!(one.arms[0].all[0].up > 20);
    let e = importance(&one.arms[0], 0, Outcome::Missed, true);
    assert_eq!(e.participation.value, Some(1.0));
    assert_eq!(e.removal.value, Some(1.0));
    assert!((e.birnbaum.value.unwrap() - 1.0).abs() < 0.13, "{e:?}");
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

/// The gate A (B + C) as a campaign file: one sortie whose outer hatch sticks shut (A); the only way back
/// works it free, and it can stick shut again (B) or, once they are in, open (C).
fn gate(b: f64, seed: u64) -> Model {
    let mode = |name: &str, when: &str, during: &str, p: f64, effect: &str| {
        format!(
            "\n[failure.{name}]\non = \"main.outer\"\nwhen = \"{when}\"\nduring = \"{during}\"\n\
             law = {{ probability = {p} }}\neffect = \"{effect}\"\n"
        )
    };
    let way = "[list.way_back.hammer]\nfrom = \"outside\"\nrows = [\n  { action = \"open\", on = \
               \"outer\", takes = \"20 min\", frees = 1 },\n  { use = \"ingress\", after = \"open \
               outer\" },\n]\n";
    Case::base()
        .patch("length = \"30 d\"", "length = \"3 d\"")
        .patch("per_week = 2", "at = [\"1 d\"]")
        .patch("ways_back = []", "ways_back = [\"hammer\"]")
        .patch("seed = 20261125", &format!("seed = {seed}"))
        .add_access(way)
        .add(&mode("a", "on opening", "ingress", 0.1, "stuck shut"))
        .add(&mode("b", "on opening", "way back", b, "stuck shut"))
        .add(&mode("c", "on closing", "way back", 0.3, "stuck open"))
        .model()
}

/// The gate of `trees.rs`, Q = 0.044, played through the whole program. Removal and what is certain have
/// the values of its algebra. Participation is of what was played: where B struck C was never asked, so
/// that B takes part in A B, 0.02/0.044, and C in A C (1 - B), 0.024/0.044. Every share within 4
/// standard errors of its value: 8 comparisons, each with a false alarm of 6.3e-5.
#[test]
fn importance_of_a_gate_from_its_campaign_file() {
    let m = gate(0.2, 21);
    let books = super::driven(&m, 4000, 2);
    let arm = &books.arms[0];
    let seen = arm.all[0].up as f64;
    super::counted("not reached", seen, 4000.0, 0.044);
    let names = ["a", "b", "c"];
    let all = items(&m, 0);
    let expected = [
        (1.0, 1.0, 0.44),
        (0.02 / 0.044, 0.014 / 0.044, 0.07),
        (0.024 / 0.044, 0.024 / 0.044, 0.08),
    ];
    for (name, (part, removal, birnbaum)) in names.into_iter().zip(expected) {
        let i = all.iter().position(|x| x.name(&m, 0) == name).expect(name);
        let e = importance(arm, i, Outcome::Missed, true);
        let share = |p: f64| (p * (1.0 - p) / seen).sqrt();
        let (took_part, went) = (e.participation.value.unwrap(), e.removal.value.unwrap());
        if part == 1.0 {
            assert_eq!((took_part, went), (1.0, 1.0), "without A nobody is missed");
        } else {
            super::within("participation", took_part, share(part), part);
            super::within("removal", went, share(removal), removal);
        }
        let n = arm.items[i].rise[0].n as f64;
        let rare = (birnbaum * (1.0 - birnbaum) / n + 0.044 * share(removal).powi(2)).sqrt();
        super::within("Birnbaum", e.birnbaum.value.unwrap(), rare, birnbaum);
    }
}

/// With the mode away and another seed the risk falls by what was predicted: within 4 standard errors of
/// the difference (false alarm 6.3e-5).
#[test]
fn what_is_predicted_for_a_mode_made_perfect_comes_true_with_another_seed() {
    let m = gate(0.2, 31);
    let books = super::driven(&m, 4000, 2);
    let i = items(&m, 0).iter().position(|x| x.name(&m, 0) == "b").unwrap();
    let e = importance(&books.arms[0], i, Outcome::Missed, true);
    let risk = books.arms[0].all[0].up as f64 / 4000.0;
    let predicted = e.removal.value.unwrap() * risk;
    let n: f64 = 8000.0;
    let left = mean(&gate(0.0, 77), 0, "campaign_haven_missed", 8000).0;
    let before = mean(&gate(0.2, 77), 0, "campaign_haven_missed", 8000).0;
    // The drop by hand is 0.014: so many campaigns of 4000 and, on the same luck, of 8000.
    let error = (0.014 / 4000.0 + 0.014 / n).sqrt();
    super::within("drop", before - left, error, predicted);
    assert!(predicted > 0.0);
}

/// With as many plays as the run itself had, twice: no more are played, threads change nothing, and what
/// is sampled estimates what all plays give: removal of lost hours by `b`, within 4 standard errors of the
/// sample (its own interval is 1.96 of them; false alarm 6.3e-5).
#[test]
fn plays_are_given_and_what_they_estimate_is_what_all_give() {
    let other = "\n[failure.b]\non = \"main.outer\"\nwhen = \"on closing\"\nduring = \"ingress\"\n\
                 law = { probability = 0.1 }\neffect = \"stuck open\"\n";
    let (m, n) = (sticks(0.1).add(other).model(), 1000);
    let (few, all) = (super::driven_with(&m, n, 1, PLAYS * n), super::driven(&m, n, 2));
    assert_eq!(few, super::driven_with(&m, n, 3, PLAYS * n));
    assert!(few.plays <= PLAYS * n && few.plays > n / 2, "{} plays", few.plays);
    assert!(all.plays > 2 * few.plays, "{} plays", all.plays);
    let b = items(&m, 0).iter().position(|x| x.name(&m, 0) == "b").unwrap();
    let removal = |books| importance(books, b, Outcome::Hours, true).removal;
    let (some, every) = (removal(&few.arms[0]), removal(&all.arms[0]));
    let error = (some.high.unwrap() - some.low.unwrap()) / 3.92;
    super::within("sampled removal", some.value.unwrap(), error, every.value.unwrap());
}

/// With hardly any plays an item has no turn: what was not played is not estimated, and the note says so.
#[test]
fn what_had_no_turn_is_not_estimated() {
    let m = sticks(0.2).model();
    let few = super::driven_with(&m, 3, 1, 1);
    let e = importance(&few.arms[0], 0, Outcome::Hours, true);
    assert!(few.arms[0].items[0].turn[2].n < 2, "{:?}", few.arms[0].items[0]);
    assert_eq!((e.removal.value, e.birnbaum.value), (None, None));
    assert!(e.note.contains("too few replays"), "{}", e.note);
}
