//! Histories drawn for the tests: rooms, people who move, dust that is stirred up.

use super::*;

pub(super) fn law() -> impl Strategy<Value = RoomLaw> {
    // Rates up to those of a dusty draught, so that floors often lift the air above its start.
    // Return is kept off the sum of the others: there the product nudges a rate (see `Mixed::new`).
    let rate = |low: f64, high: f64| prop_oneof![Just(0.0), (low..high).prop_map(f64::exp)];
    let rates = (rate(-13.0, -5.0), rate(-14.0, -4.5), rate(-14.0, -4.5), rate(-14.0, -4.0));
    (5.0..200.0_f64, rates).prop_map(|(volume, (filter, d1, d2, r))| {
        let bin = |deposit| Mixed::new(Rates { filter, deposit, resuspend: r, clean: 0.0 });
        RoomLaw::from_bins(volume, [bin(d1), bin(d2)])
    })
}

pub(super) fn op() -> impl Strategy<Value = Op> {
    let two = || (0..VOLUMES, 1..VOLUMES).prop_map(|(a, step)| (a, (a + step) % VOLUMES));
    let mass = || prop_oneof![1 => Just(0.0), 3 => (-20.0..-9.0_f64).prop_map(f64::exp)];
    prop_oneof![
        4 => (0..VOLUMES, [mass(), mass()], 0.0..1.0_f64).prop_map(|(v, m, a)| Op::Arrive(v, m, a)),
        3 => (two(), 0.0..1.0_f64).prop_map(|((a, b), share)| Op::Exchange(a, b, share)),
        2 => (two(), 0.0..1.0_f64).prop_map(|((a, b), share)| Op::Track(a, b, share)),
        1 => (0..VOLUMES, 0.0..1.0_f64).prop_map(|(v, f)| Op::Evacuate(v, f)),
        2 => (0..VOLUMES, 0..LAWS).prop_map(|(v, law)| Op::Pressurise(v, law)),
        1 => (0..VOLUMES, 0.0..1.0_f64).prop_map(|(v, f)| Op::Clean(v, f)),
        6 => (0..PERSONS, prop::option::weighted(0.8, 0..VOLUMES))
            .prop_map(|(p, place)| Op::Enter(p, place)),
        4 => Just(Op::Mark),
    ]
}

/// Whole seconds, often at the same time or exactly half a day or a day apart: ties must not
/// matter.
pub(super) fn history(length: usize) -> impl Strategy<Value = Vec<(f64, Op)>> {
    let wait = prop_oneof![
        2 => Just(0_u32),
        1 => Just(43_200),
        1 => Just(86_400),
        5 => 1..9_000_u32,
        2 => 1..90_000_u32,
    ];
    prop::collection::vec((wait, op()), 1..length).prop_map(|steps| {
        let mut t = 0.0;
        let at = |(wait, op)| {
            t += f64::from(wait);
            (t, op)
        };
        steps.into_iter().map(at).collect()
    })
}

pub(super) fn config(cases: u32) -> Config {
    let rng_seed = RngSeed::Fixed(0x0d57_2819);
    Config { cases, rng_seed, failure_persistence: None, ..Config::default() }
}
