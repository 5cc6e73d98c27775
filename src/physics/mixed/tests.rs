//! The closed form against small steps, against itself, and curves against a fine grid.

use super::*;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

fn config() -> Config {
    let rng_seed = RngSeed::Fixed(0x0d57_0002);
    Config { cases: 400, rng_seed, failure_persistence: None, ..Config::default() }
}

/// Per second, from 1/day to 1/min, or not at all.
fn rate() -> impl Strategy<Value = f64> {
    prop_oneof![1 => Just(0.0), 5 => (-11.0..-4.0_f64).prop_map(f64::exp)]
}

fn rates() -> impl Strategy<Value = Rates> {
    (rate(), rate(), rate(), rate()).prop_map(|(filter, deposit, resuspend, clean)| Rates {
        filter,
        deposit,
        resuspend,
        clean,
    })
}

fn stock() -> impl Strategy<Value = Stock> {
    let mass = || prop_oneof![1 => Just(0.0), 4 => (-20.0..0.0_f64).prop_map(f64::exp)];
    (mass(), mass()).prop_map(|(air, floor)| Stock { air, floor })
}

/// Fourth-order Runge-Kutta with the integral of A as a third component.
fn small_steps(r: Rates, start: Stock, dt: f64) -> Step {
    let fastest = r.filter + r.deposit + r.resuspend + r.clean;
    let steps = (200.0 * fastest * dt).ceil().max(1.0);
    let h = dt / steps;
    let slope = |[a, f, _]: [f64; 3]| {
        [
            -(r.filter + r.deposit) * a + r.resuspend * f,
            r.deposit * a - (r.resuspend + r.clean) * f,
            a,
        ]
    };
    let plus = |y: [f64; 3], k: [f64; 3], h: f64| [0, 1, 2].map(|i| y[i] + h * k[i]);
    let mut y = [start.air, start.floor, 0.0];
    for _ in 0..steps as usize {
        let k1 = slope(y);
        let k2 = slope(plus(y, k1, 0.5 * h));
        let k3 = slope(plus(y, k2, 0.5 * h));
        let k4 = slope(plus(y, k3, h));
        y = [0, 1, 2].map(|i| y[i] + h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]));
    }
    Step { stock: Stock { air: y[0], floor: y[1] }, airborne: y[2] }
}

fn close(got: f64, expected: f64, scale: f64) -> bool {
    (got - expected).abs() <= scale
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn agrees_with_small_steps(r in rates(), start in stock(), dt in 1.0..20_000.0_f64) {
        let mixed = Mixed::new(r);
        let (got, slow) = (mixed.after(start, dt), small_steps(mixed.rates(), start, dt));
        let scale = 1e-10 * (start.air + start.floor);
        prop_assert!(close(got.stock.air, slow.stock.air, scale), "{got:?} {slow:?}");
        prop_assert!(close(got.stock.floor, slow.stock.floor, scale), "{got:?} {slow:?}");
        prop_assert!(close(got.airborne, slow.airborne, scale * dt), "{got:?} {slow:?}");
    }

    /// Two steps are one, nothing turns negative, and without cleaning the filter has the rest.
    #[test]
    fn steps_add_and_books_close(
        r in rates(), start in stock(), log_one in -30.0..12.0_f64, log_two in -30.0..12.0_f64,
    ) {
        let (one, two) = (log_one.exp(), log_two.exp());
        let mixed = Mixed::new(r);
        let first = mixed.after(start, one);
        let second = mixed.after(first.stock, two);
        let whole = mixed.after(start, one + two);
        let scale = 1e-12 * (start.air + start.floor);
        prop_assert!(close(second.stock.air, whole.stock.air, scale));
        prop_assert!(close(second.stock.floor, whole.stock.floor, scale));
        let airborne = first.airborne + second.airborne;
        prop_assert!(close(airborne, whole.airborne, scale * (one + two)));
        prop_assert!(whole.stock.air >= 0.0 && whole.stock.floor >= 0.0);
        let bound = mixed.lift_bound() * (start.air + start.floor);
        let most = start.air.max(bound) * (1.0 + 1e-12);
        prop_assert!(whole.stock.air <= most && first.stock.air <= most);
        let closed = Mixed::new(Rates { clean: 0.0, ..r });
        let end = closed.after(start, one);
        let filter = closed.rates().filter * end.airborne;
        let found = end.stock.air + end.stock.floor + filter;
        prop_assert!(close(found, start.air + start.floor, scale));
    }

    /// Greatest value and time above a limit, against 4 000 grid points, dense at the start.
    #[test]
    fn curves_agree_with_a_grid(
        filter in rate(), d in [rate(), rate()], r in rate(), start in [stock(), stock()],
        dt in 10.0..100_000.0_f64, level in 0.05..1.0_f64,
    ) {
        let bins = d.map(|d| Mixed::new(Rates { filter, deposit: d, resuspend: r, clean: 0.0 }));
        let apart = |m: &Mixed| m.roots().0 - m.roots().1 > 1e-4 * m.removal();
        prop_assume!(bins.iter().all(apart));
        let curve = Curve::new([&bins[0], &bins[1]], start, 0.1);
        let at = |k: usize| dt * (k as f64 / 4000.0).powi(3);
        let values: Vec<f64> = (0..=4000).map(|k| curve.value(at(k))).collect();
        let exact = |t: f64| {
            0.1 * (bins[0].after(start[0], t).stock.air + bins[1].after(start[1], t).stock.air)
        };
        let whole = 0.1 * start.iter().map(|s| s.air + s.floor).sum::<f64>();
        prop_assert!(close(values[2000], exact(at(2000)), 1e-11 * whole));
        let grid = values.iter().copied().fold(0.0, f64::max);
        let peak = curve.peak(dt);
        prop_assert!(peak >= grid - 1e-12 * whole, "{peak} below {grid}");
        prop_assert!(peak <= grid + 1e-5 * whole, "{peak} above {grid}");
        let limit = level * grid;
        prop_assume!(limit > 1e-9 * whole);
        let cells = (0..4000).filter(|k| values[*k] > limit).map(|k| at(k + 1) - at(k));
        let above: f64 = cells.sum();
        // Three crossings at most, each within one cell.
        prop_assert!(close(curve.time_above(limit, dt), above, 3.0 * (at(4000) - at(3999))));
    }
}

/// The one shape with two turning points: fine dust filtered at once, coarser dust fed by the
/// floor.
#[test]
fn a_curve_that_falls_rises_and_falls() {
    let falling = Mixed::new(Rates { filter: 1e-2, deposit: 1e-3, resuspend: 0.0, clean: 0.0 });
    let rising = Mixed::new(Rates { filter: 5e-5, deposit: 2e-4, resuspend: 1e-4, clean: 0.0 });
    let start = [Stock { air: 1.0, floor: 0.0 }, Stock { air: 0.0, floor: 10.0 }];
    for (bins, start) in [([&falling, &rising], start), ([&rising, &falling], [start[1], start[0]])]
    {
        let curve = Curve::new(bins, start, 1.0);
        let [dip, crest] = curve.turns(1e5).map(|turn| turn.expect("both turns"));
        assert!(0.0 < dip && dip < crest && crest < 1e5);
        for turn in [dip, crest] {
            let curvature = curve.slope(turn + 1.0) - curve.slope(turn - 1.0);
            assert!(curve.slope(turn).abs() < 1e-9 * curvature.abs(), "slope at {turn}");
        }
        assert_eq!(curve.peak(1e5), curve.value(crest));
        assert!(curve.value(dip) < curve.value(0.0) && curve.value(dip) < curve.value(crest));
        // Three crossings of a level between the dip and the start.
        let level = 0.5 * (curve.value(dip) + curve.value(0.0));
        let step = 0.5;
        let grid = (0..200_000).filter(|k| curve.value(step * f64::from(*k)) > level).count();
        let above = curve.time_above(level, 1e5);
        assert!((above - step * grid as f64).abs() <= 3.0 * step, "{above} {grid}");
    }
}

#[test]
fn nearly_equal_roots_stay_close_to_the_limit() {
    // Equal roots exactly: A' = -k A + k F, F' = -k F, so A = (A0 + k t F0) exp(-k t).
    let k = 1e-3;
    let mixed = Mixed::new(Rates { filter: k, deposit: 0.0, resuspend: k, clean: 0.0 });
    let got = mixed.after(Stock { air: 1.0, floor: 2.0 }, 1500.0).stock;
    let decay = (-1.5_f64).exp();
    assert!((got.air / (4.0 * decay) - 1.0).abs() < 2e-6, "{got:?}");
    assert!((got.floor / (2.0 * decay) - 1.0).abs() < 2e-6, "{got:?}");
}
