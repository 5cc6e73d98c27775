//! Proof tests as the standard has them (IEC 61508-6 annex B, formulas from memory; values computed
//! apart from this program). `redundancy.rs` and `lives.rs` play what is of first order in them through
//! the whole program; here the full forms, on which they lean, are held against the table. Nothing of
//! the program is in that, so none of it is a record of evidence.

use super::close;

/// Rates per hour, share of dangerous failures that are detected, share of common cause.
#[derive(Clone, Copy)]
struct Channel {
    dangerous: f64,
    detected: f64,
    common: f64,
}

/// Hours between tests and of a repair.
const TEST: f64 = 8760.0;
const REPAIR: f64 = 8.0;

impl Channel {
    fn hidden(self) -> f64 {
        self.dangerous * (1.0 - self.detected)
    }

    fn seen(self) -> f64 {
        self.dangerous * self.detected
    }

    /// Mean time down of a channel where a failure lies at 1/`part` of the interval on average.
    fn down(self, part: f64) -> f64 {
        let hidden = self.hidden() * (TEST / part + REPAIR);
        (hidden + self.seen() * REPAIR) / self.dangerous
    }

    /// One out of one.
    fn one(self) -> f64 {
        self.dangerous * self.down(2.0)
    }

    /// Two channels that both must fail, in so many ways: 2 of one out of two, 6 of two out of three.
    fn pair(self, ways: f64) -> f64 {
        let own = (1.0 - 0.5 * self.common) * self.seen() + (1.0 - self.common) * self.hidden();
        let shared = 0.5 * self.common * self.seen() * REPAIR
            + self.common * self.hidden() * (TEST / 2.0 + REPAIR);
        ways * own * own * self.down(2.0) * self.down(3.0) + shared
    }
}

/// Table of the average chance of failure on demand, proof test once a year.
#[test]
fn chance_of_failure_on_demand() {
    type Three = [f64; 3];
    let table: [(f64, f64, f64, Three, Option<Three>); 6] = [
        (
            5e-8,
            0.0,
            2.1940e-4,
            [4.4497e-6, 2.1992e-5, 4.3921e-5],
            Some([4.5731e-6, 2.2096e-5, 4.4003e-5]),
        ),
        (5e-8, 0.6, 8.8000e-5, [1.7677e-6, 8.7970e-6, 1.7584e-5], None),
        (5e-8, 0.9, 2.2300e-5, [4.4305e-7, 2.2126e-6, 4.4245e-6], None),
        (5e-8, 0.99, 2.5900e-6, [4.7849e-8, 2.3921e-7, 4.7841e-7], None),
        (
            2.5e-6,
            0.0,
            1.0970e-2,
            [3.7364e-4, 1.2271e-3, 2.2968e-3],
            Some([6.8212e-4, 1.4873e-3, 2.5024e-3]),
        ),
        (2.5e-6, 0.9, 1.1150e-3, [2.3756e-5, 1.1209e-4, 2.2252e-4], None),
    ];
    for (dangerous, detected, alone, pairs, threes) in table {
        let of = |common: f64| Channel { dangerous, detected, common };
        let name = format!("rate {dangerous}, {detected} detected");
        close(&format!("{name}: 1oo1"), of(0.0).one(), alone, 1e-4);
        for (i, common) in [0.02, 0.1, 0.2].into_iter().enumerate() {
            let name = format!("{name}, beta {common}");
            close(&format!("{name}: 1oo2"), of(common).pair(2.0), pairs[i], 1e-4);
            if let Some(threes) = threes {
                close(&format!("{name}: 2oo3"), of(common).pair(6.0), threes[i], 1e-4);
            }
        }
    }
}

/// The short form of a pair, and what it leaves out where nothing is shared: the exact average over
/// the interval.
#[test]
fn average_of_a_hidden_pair_and_of_one() {
    let (x, beta) = (8.76e-3_f64, 0.1);
    let short = ((1.0 - beta) * x).powi(2) / 3.0 + beta * x / 2.0;
    close("1oo2, short form", short, 4.587191520e-4, 1e-9);
    // By Simpson's rule over the interval.
    let average = |f: &dyn Fn(f64) -> f64| {
        let n = 2000;
        let weight = |i: i32| if i == 0 || i == n { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        let at = |i: i32| weight(i) * f(x * f64::from(i) / f64::from(n));
        (0..=n).map(at).sum::<f64>() / f64::from(3 * n)
    };
    let failed = |y: f64| -(-y).exp_m1();
    close("1oo2, exact", average(&|y| failed(y).powi(2)), 2.541182951e-5, 1e-9);
    close("1oo1, exact", average(&failed), 4.367238360e-3, 1e-9);
}

/// Two units, one or two repairers: first time that both are down, by the chain of states
/// (Runge and Kutta), and the share of time.
#[test]
fn first_time_that_both_of_two_are_down() {
    let (fails, mends) = (1e-3_f64, 0.1_f64);
    let by = |hours: f64| {
        let slope = |p: [f64; 2]| {
            [mends * p[1] - 2.0 * fails * p[0], 2.0 * fails * p[0] - (mends + fails) * p[1]]
        };
        let steps = 40_000;
        let h = hours / f64::from(steps);
        let mut p = [1.0, 0.0];
        let moved = |p: [f64; 2], d: [f64; 2], h: f64| [p[0] + h * d[0], p[1] + h * d[1]];
        for _ in 0..steps {
            let a = slope(p);
            let b = slope(moved(p, a, h / 2.0));
            let c = slope(moved(p, b, h / 2.0));
            let d = slope(moved(p, c, h));
            for k in 0..2 {
                p[k] += h / 6.0 * (a[k] + 2.0 * b[k] + 2.0 * c[k] + d[k]);
            }
        }
        1.0 - p[0] - p[1]
    };
    for (hours, expected) in
        [(100.0, 1.751975551389e-3), (1000.0, 1.904876447369e-2), (10_000.0, 1.763608491183e-1)]
    {
        close(&format!("by {hours} h"), by(hours), expected, 1e-9);
    }
    let mean = (3.0 * fails + mends) / (2.0 * fails * fails);
    close("mean time", mean, 51_500.0, 1e-12);
    let (one, two) = (2.0 * fails * fails, fails / (fails + mends));
    let shared = one / (mends * mends + 2.0 * fails * mends + one);
    close("one repairer", shared, 1.960399921584e-4, 1e-10);
    close("two repairers", two * two, 9.802960494069e-5, 1e-10);
    let after = |t: f64| (mends + fails * (-(fails + mends) * t).exp()) / (fails + mends);
    close("one unit, long run", after(f64::INFINITY), 0.990099009901, 1e-10);
    close("one unit, 10 h", after(10.0), 0.993705138412, 1e-10);
}
