//! A well-mixed volume with a floor: the closed form between events, for one size bin.
//!
//! A' = -(f + d) A + r F and F' = d A - (r + c) F, where A is the mass in the air, F the mass on
//! surfaces (kg), f the filter rate, d the settling rate, r the return from surfaces and c
//! continuous cleaning (1/s). The solution is y(t) = exp(M t) y(0); no time stepping is needed.
//!
//! Sums of two such bins are [`Curve`]s; their greatest value and the time they spend above a limit
//! are found between brackets that follow from the signs of the terms. Limits: one stirred volume,
//! constant rates; return does not depend on who walks there.

mod curve;

pub use curve::Curve;

use super::Relation;

/// Rates of one bin, 1/s, none negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// f: taken from the air for good.
    pub filter: f64,
    /// d: air to floor.
    pub deposit: f64,
    /// r: floor to air.
    pub resuspend: f64,
    /// c: taken from the floor for good.
    pub clean: f64,
}

/// Mass in the air and on surfaces, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stock {
    /// In the air.
    pub air: f64,
    /// On surfaces.
    pub floor: f64,
}

/// exp(M t) of one bin, ready to use.
///
/// With the roots l1 > l2 of M = [[a, b], [p, q]] and D = l1 - l2,
/// exp(M t) = [(M - l2 I) exp(l1 t) - (M - l1 I) exp(l2 t)]/D (Sylvester's formula). Written out:
///
/// - A(t) = (u1 e1 + u2 e2) A + w (e1 - e2) F
/// - F(t) = s (e1 - e2) A + (u2 e1 + u1 e2) F
///
/// Of the six coefficients two appear twice, as u1 = (a - l2)/D = (l1 - q)/D, and none is
/// negative, so that no mass can turn negative through rounding. Where nothing moves at all, F
/// stays as it is.
///
/// Source: matrix exponential of a linear system, exact. Limits: one stirred volume, one size,
/// rates constant between events.
#[derive(Clone, Copy, Debug)]
pub struct Mixed {
    rates: Rates,
    slow: f64,
    fast: f64,
    /// 1/l1 and 1/l2, read only where they are finite.
    per_slow: f64,
    per_fast: f64,
    coefficients: Coefficients,
    /// Bound on A/(A + F) that return from the floor alone can reach.
    lift_bound: f64,
}

/// The coefficients u1, u2, w and s of [`Mixed`].
#[derive(Clone, Copy, Debug)]
pub struct Coefficients {
    /// u1: part of the air on the slow root.
    pub air_slow: f64,
    /// u2: part of the air on the fast root.
    pub air_fast: f64,
    /// w: floor to air.
    pub lift: f64,
    /// s: air to floor.
    pub settle: f64,
}

/// State after some time, with what was breathed on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Stock at the end, kg.
    pub stock: Stock,
    /// Integral of the airborne mass over the time, kg s.
    pub airborne: f64,
}

impl Mixed {
    /// Prepares the solution.
    ///
    /// Where the two roots are closer than 1e-7 of |a| (possible only with next to no settling, or
    /// without return) the formula divides by nearly nothing; the filter rate is then raised by
    /// 1e-6 |a|, far less than any rate is known to, and the books still close with that rate.
    pub fn new(mut rates: Rates) -> Self {
        let near = |r: &Rates| {
            let (half, product) = half_gap(r);
            let a = r.filter + r.deposit;
            2.0 * (half * half + product).sqrt() < 1e-7 * a
        };
        if near(&rates) {
            rates.filter += 1e-6 * (rates.filter + rates.deposit);
        }
        let (half, product) = half_gap(&rates);
        let root = (half * half + product).sqrt();
        let Rates { filter: f, deposit: d, resuspend: r, clean: c } = rates;
        let fast = -0.5 * (f + d + r + c) - root;
        if root == 0.0 {
            return Self::still(rates);
        }
        // The slow root is the determinant over the fast one: as a sum it would lose its digits.
        let slow = (f * (r + c) + d * c) / fast;
        // half + root and root - half, each without cancellation.
        let (plus, minus) = if half > 0.0 {
            (half + root, product / (half + root))
        } else {
            (product / (root - half), root - half)
        };
        let gap = 2.0 * root;
        let most = r / (f + d);
        Self {
            rates,
            slow,
            fast,
            per_slow: 1.0 / slow,
            per_fast: 1.0 / fast,
            coefficients: Coefficients {
                air_slow: plus / gap,
                air_fast: minus / gap,
                lift: r / gap,
                settle: d / gap,
            },
            lift_bound: if r == 0.0 { 0.0 } else { most.min(1.0) },
        }
    }

    /// All rates are zero: everything stays where it is.
    fn still(rates: Rates) -> Self {
        Self {
            rates,
            slow: 0.0,
            fast: 0.0,
            per_slow: f64::NEG_INFINITY,
            per_fast: f64::NEG_INFINITY,
            coefficients: Coefficients { air_slow: 1.0, air_fast: 0.0, lift: 0.0, settle: 0.0 },
            lift_bound: 0.0,
        }
    }

    /// The rates in force.
    pub fn rates(&self) -> Rates {
        self.rates
    }

    /// Rate of removal from the air, f + d, 1/s.
    pub fn removal(&self) -> f64 {
        self.rates.filter + self.rates.deposit
    }

    /// The two roots (slow, fast) of the system, 1/s, neither positive.
    pub fn roots(&self) -> (f64, f64) {
        (self.slow, self.fast)
    }

    /// The coefficients of the solution.
    pub fn coefficients(&self) -> &Coefficients {
        &self.coefficients
    }

    /// Bound on A/(A + F) that return from the floor alone can reach: with it no airborne mass
    /// above max(A0, bound (A0 + F0)) can follow without an arrival, as A' = -(f + d) A + r F
    /// cannot be positive once A >= r F/(f + d), and F never exceeds the whole.
    pub fn lift_bound(&self) -> f64 {
        self.lift_bound
    }

    /// State after `dt` s (at least 0) from `start`.
    #[inline]
    pub fn after(&self, start: Stock, dt: f64) -> Step {
        let (e1, whole1) = growth(self.slow, self.per_slow, dt);
        let (e2, whole2) = growth(self.fast, self.per_fast, dt);
        let Stock { air, floor } = start;
        // e1 >= e2 always; the last bit must not turn a stock negative after a vanishing time.
        let fall = (e1 - e2).max(0.0);
        let c = &self.coefficients;
        Step {
            stock: Stock {
                air: (c.air_slow * e1 + c.air_fast * e2) * air + c.lift * fall * floor,
                floor: c.settle * fall * air + (c.air_fast * e1 + c.air_slow * e2) * floor,
            },
            airborne: (c.air_slow * whole1 + c.air_fast * whole2) * air
                + c.lift * (whole1 - whole2) * floor,
        }
    }
}

/// ((a - q)/2, b p) of the matrix of these rates.
fn half_gap(r: &Rates) -> (f64, f64) {
    (0.5 * (r.resuspend + r.clean - r.filter - r.deposit), r.resuspend * r.deposit)
}

/// Below this |l t| the exponential is taken from [`series`].
pub const SERIES: f64 = 0.01;

/// (exp(x) - 1)/x for -[`SERIES`] < x <= 0: the power series up to x^5/720, the next term below
/// 2e-16. Keeps the digits where x is small, needs no case of its own for
/// x = 0, and costs no exponential.
#[inline]
pub fn series(x: f64) -> f64 {
    // In pairs, so that the processor need not wait for one term to begin the next.
    let square = x * x;
    let tail = (1.0 / 120.0 + x * (1.0 / 720.0)) * square + (1.0 / 6.0 + x * (1.0 / 24.0));
    tail * square + (1.0 + 0.5 * x)
}

/// exp(l t) and its integral over [0, t], with 1/l. The slow root hardly moves between events, so
/// that the series serves nearly always.
#[inline]
fn growth(rate: f64, per_rate: f64, dt: f64) -> (f64, f64) {
    let x = rate * dt;
    if x > -SERIES {
        let mean = series(x);
        (1.0 + x * mean, dt * mean)
    } else {
        let e = x.exp();
        (e, (e - 1.0) * per_rate)
    }
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "air and floor of a room",
        functions: &[
            "mixed::new",
            "mixed::rates",
            "mixed::removal",
            "mixed::roots",
            "mixed::coefficients",
            "mixed::lift_bound",
            "mixed::after",
            "mixed::series",
        ],
        formula: "A' = -(f + d) A + r F; F' = d A - (r + c) F; y(t) = exp(M t) y(0), closed form",
        symbols: "A, F kg in the air and on surfaces; f filter, d settling, r return, c cleaning \
                  1/s; M the matrix of these rates; t s",
        source: "linear system, matrix exponential (Sylvester's formula), exact",
        limits: "well mixed, one size bin, rates constant between events; return does not depend \
                 on who walks there; where two roots meet the filter rate is moved by 1e-6",
    },
    Relation {
        name: "peak and time above a limit",
        functions: &[
            "mixed::Curve::new",
            "mixed::value",
            "mixed::slope",
            "mixed::only_falls",
            "mixed::peak",
            "mixed::time_above",
        ],
        formula: "C(t) = sum of w exp(l t) over two bins and two roots each; turning points and \
                  crossings between brackets",
        symbols: "C, w kg/m3; l 1/s; t s",
        source: "sum of the closed forms of two bins; at most two turning points (Descartes' rule)",
        limits: "two bins in one volume between two events",
    },
];

#[cfg(test)]
mod tests;
