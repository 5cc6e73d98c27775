//! Trees of events: algebra by summing all states, importance measures, and the same by play.

use super::{close, counted, within};
use vestibule::base::stream::{Luck, fnv1a64};
use vestibule::stats::{Column, Kind, Plan, Results};

/// Chance that the top event happens: sum over all states of the basic events.
fn top(chances: &[f64], tree: impl Fn(&[bool]) -> bool) -> f64 {
    let n = chances.len();
    let state = |word: usize| (0..n).map(|i| word >> i & 1 == 1).collect::<Vec<_>>();
    let weight = |s: &[bool]| -> f64 {
        s.iter().zip(chances).map(|(f, p)| if *f { *p } else { 1.0 - p }).product()
    };
    (0..1 << n).map(state).filter(|s| tree(s)).map(|s| weight(&s)).sum()
}

/// Birnbaum, Fussell-Vesely by removal, risk achievement and risk reduction worth of event i.
fn importance(chances: &[f64], i: usize, tree: impl Fn(&[bool]) -> bool + Copy) -> [f64; 4] {
    let with = |p: f64| {
        let mut c = chances.to_vec();
        c[i] = p;
        top(&c, tree)
    };
    let (q, sure, never) = (top(chances, tree), with(1.0), with(0.0));
    [sure - never, 1.0 - never / q, sure / q, q / never]
}

/// Pressure tank: T + K2 + S (S1 + K1 + R). Structure: Fault Tree Handbook NUREG-0492; chances
/// from memory; values computed independently.
#[test]
fn pressure_tank() {
    let p = [5e-6, 3e-5, 1e-4, 3e-5, 3e-5, 1e-4];
    let tree = |s: &[bool]| s[0] || s[1] || s[2] && (s[3] || s[4] || s[5]);
    close("top", top(&p, tree), 3.501_584_874_998_6e-5, 1e-10);
    let rare = p[0] + p[1] + p[2] * (p[3] + p[4] + p[5]);
    close("sum of cut sets", rare, 3.5016e-5, 1e-12);
    let rows = [
        (0, [9.999_699_840e-1, 1.427_881_973e-1, 28_558.496_672, 1.166_572_832]),
        (1, [9.999_949_840e-1, 8.567_506_027e-1, 28_558.496_672, 6.980_832_162]),
        (2, [1.599_875_004e-4, 4.569_002_484e-4, 5.568_546, 1.000_457_109]),
        (3, [9.998_350_077e-5, 8.566_135_292e-5, 3.855_293, 1.000_085_669]),
        (4, [9.998_350_077e-5, 8.566_135_292e-5, 3.855_293, 1.000_085_669]),
        (5, [9.999_050_031e-5, 2.855_578_339e-4, 3.855_293, 1.000_285_639]),
    ];
    for (i, expected) in rows {
        let found = importance(&p, i, tree);
        for (x, e) in found.into_iter().zip(expected) {
            // seven digits of some values are given, and one minus a ratio near 1 loses some
            close("importance", x, e, 2e-7);
        }
    }
}

const GATE: [f64; 3] = [0.1, 0.2, 0.3];

fn gate(s: &[bool]) -> bool {
    s[0] && (s[1] || s[2])
}

/// A (B + C): the two forms of Fussell-Vesely differ. Values by hand: Q = 0.1 (1 - 0.8 0.7).
#[test]
fn two_forms_of_importance_differ() {
    close("top", top(&GATE, gate), 0.044, 1e-12);
    let rows = [
        (0, [0.44, 1.0, 10.0, f64::INFINITY], 1.0),
        (1, [0.07, 0.318_181_818, 2.272_727_273, 1.466_666_667], 0.454_545_455),
        (2, [0.08, 0.545_454_545, 2.272_727_273, 2.2], 0.681_818_182),
    ];
    for (i, expected, participation) in rows {
        let found = importance(&GATE, i, gate);
        for (x, e) in found.into_iter().zip(expected) {
            assert!(x == e || (x / e - 1.0).abs() < 1e-9, "{x} is not {e}");
        }
        let takes_part = |s: &[bool]| s[i] && gate(s);
        close("participation", top(&GATE, takes_part) / 0.044, participation, 1e-9);
    }
}

/// The same gate played: the tree, then without B, then with B for certain, on the same luck.
#[test]
fn importance_by_play() {
    let kinds = |value| Column::Plain { value, kind: Kind::Flag };
    let share = Column::Ratio { numerator: 1, denominator: 0, share: true };
    let plan = Plan::new(3, 2, vec![kinds(0), share], vec![vec![]; 3]).unwrap();
    let (luck, n) = (Luck::new(5), 40_000);
    let path = fnv1a64("gate");
    let results = Results::in_order(&plan, n, |campaign, rows| {
        for arm in 0..3 {
            let mut state =
                [0, 1, 2].map(|i| luck.uniform(campaign, path, i, 1, 0) < GATE[i as usize]);
            state[1] = [state[1], false, true][arm];
            let lost = gate(&state);
            let part = lost && state[1];
            rows.row_mut(arm).values.copy_from_slice(&[lost, part].map(|x| f64::from(u8::from(x))));
        }
    });
    counted("top", results.column(0, 0).total, n as f64, 0.044);
    let of = |x: [Option<f64>; 3]| (x[0].unwrap(), (x[2].unwrap() - x[1].unwrap()) / 2.0 / 1.96);
    let part = results.estimate(0, 1);
    let (mean, error) = of([part.mean, part.low, part.high]);
    within("participation", mean, error, 0.02 / 0.044);
    for (arm, expected) in [(1, 0.03 - 0.044_f64), (2, 0.1 - 0.044)] {
        let d = results.compare(0, arm, 0);
        // Its limits are conditional on how many campaigns differ; that number has a spread of its own.
        let p = expected.abs();
        let error = (p * (1.0 - p) / n as f64).sqrt();
        within("removed or certain", d.difference.unwrap(), error, expected);
        assert!(d.note.contains("conditional on"), "{}", d.note);
    }
}

/// 1 - (1 - p)^40 keeps its digits at any p, and competing exponentials share the first event:
/// (2/6)(1 - exp(-0.6)). Identities.
#[test]
fn small_chances_and_competing_rates() {
    for (p, expected) in [
        (1e-6_f64, 3.999_922_000_988e-5),
        (1e-4, 3.992_209_870_868e-3),
        (1e-3, 3.922_978_926_419e-2),
    ] {
        close("any of 40", -(40.0 * (-p).ln_1p()).exp_m1(), expected, 1e-12);
    }
    let (luck, n) = (Luck::new(6), 100_000);
    let first = |campaign: u64| {
        let wait = |i: u64, rate: f64| -luck.uniform(campaign, 9, i, 1, 0).ln() / rate;
        let waits = [wait(0, 1e-4), wait(1, 2e-4), wait(2, 3e-4)];
        waits[1] <= 1000.0 && waits[1] <= waits[0] && waits[1] <= waits[2]
    };
    let seen = (0..n).filter(|c| first(*c)).count() as f64;
    counted("second first", seen, n as f64, 0.150_396_121_302);
}
