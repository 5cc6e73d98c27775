//! What a part is asked, in numbers.

use super::*;

const PLAIN: Share = Share {
    each: 0.25,
    growth: Growth::Even,
    dust: [1.0, 1.0, 2.0],
    common: None,
    during: None,
    adds_up: false,
};

fn once(id: u64, dust: Dust) -> Demand {
    let occasion = Occasion { id, during: During::Egress };
    Demand { exposure: 1.0, occasion, dust }
}

fn parts(left: f64) -> Parts {
    let mut parts = Parts::new(1, 1);
    parts.set_left(0, left);
    parts.set_group(0, 1.0);
    parts
}

/// Number of the demand that strikes.
fn strikes_at(parts: &mut Parts, share: &Share, dust: Dust) -> usize {
    (1..100).find(|_| parts.ask(0, share, once(0, dust)) == Answer::Strikes).unwrap_or(0)
}

#[test]
fn a_threshold_is_used_up_by_demands_and_faster_by_dirty_ones() {
    assert_eq!(strikes_at(&mut parts(1.0), &PLAIN, Dust::None), 4);
    assert_eq!(strikes_at(&mut parts(1.0), &PLAIN, Dust::Carried), 2);
}

#[test]
fn what_has_struck_is_not_asked_until_it_is_mended() {
    let mut p = parts(0.2);
    assert_eq!(strikes_at(&mut p, &PLAIN, Dust::None), 1);
    p.strike(0);
    assert_eq!(p.ask(0, &PLAIN, once(0, Dust::None)), Answer::Holds);
    assert_eq!((p.mend(0), p.struck(0)), (1, false));
    assert_eq!(p.ask(0, &PLAIN, once(0, Dust::None)), Answer::Strikes);
}

#[test]
fn a_mode_of_another_part_of_the_sortie_is_not_asked() {
    let inward = Share { during: Some(During::Ingress), ..PLAIN };
    let mut p = parts(0.1);
    assert_eq!(p.ask(0, &inward, once(0, Dust::None)), Answer::Holds);
    assert_eq!(p.left(0), 0.1);
}

#[test]
fn a_life_is_used_up_by_age_and_begins_again() {
    // (age / 10)^2 reaches 0.85 with the tenth demand, from new and after a renewal.
    let share = Share { each: 0.0, growth: Growth::Weibull { life: 10.0, shape: 2.0 }, ..PLAIN };
    let mut p = parts(0.85);
    assert!((p.wait(0, &share) - 10.0 * 0.85f64.sqrt()).abs() < 1e-12);
    for _ in 0..2 {
        assert_eq!(strikes_at(&mut p, &share, Dust::None), 10);
        p.rejuvenate(0);
        p.set_left(0, 0.85);
    }
}

#[test]
fn a_worn_part_fails_sooner() {
    let share = Share { growth: Growth::Worn { from: 2.0, factor: 3.0 }, ..PLAIN };
    // 0.25 each for two demands, then 0.75.
    assert_eq!(strikes_at(&mut parts(1.25), &share, Dust::None), 3);
    assert_eq!(parts(1.25).wait(0, &share), 3.0);
}

#[test]
fn a_group_is_asked_once_per_occasion_and_before_the_own_share() {
    let common = Some(Common { group: 0, each: 0.5, demands: true });
    let share = Share { common, ..PLAIN };
    let mut p = parts(100.0);
    for _ in 0..9 {
        assert_eq!(p.ask(0, &share, once(7, Dust::None)), Answer::Holds);
    }
    assert_eq!(p.groups[0].left, 0.5);
    assert_eq!(p.ask(0, &share, once(8, Dust::None)), Answer::Common(0));
    assert_eq!(p.ask_own(0, &share, once(8, Dust::None)), Answer::Holds);
    assert_eq!(p.left(0), 100.0 - 10.0 * 0.25);
    // Without it, nothing of the group is used up.
    let mut p = parts(100.0);
    p.exempt(0);
    p.ask(0, &share, once(7, Dust::None));
    assert_eq!(p.groups[0].left, 1.0);
}

#[test]
fn a_group_with_a_rate_meets_it_over_the_hours_of_exposure() {
    let common = Some(Common { group: 0, each: 0.25, demands: false });
    let share = Share { common, ..PLAIN };
    let hours = |exposure| Demand { exposure, ..once(7, Dust::None) };
    let mut p = parts(100.0);
    assert_eq!(p.ask(0, &share, hours(0.5)), Answer::Holds);
    assert_eq!(p.groups[0].left, 1.0 - 0.25 * 0.5);
    // Again in the same occasion: hours add up, demands would not.
    assert_eq!(p.ask(0, &share, hours(3.0)), Answer::Holds);
    assert_eq!(p.groups[0].left, 1.0 - 0.25 * 3.5);
    assert_eq!(p.ask(0, &share, hours(0.5)), Answer::Common(0));
}
