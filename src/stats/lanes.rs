//! Shifted sums of several columns at once.
//!
//! Sums are shifted by the first value of the block, so that they keep their digits. Columns stand
//! side by side in groups of eight, one array per quantity, and absent values take part with
//! factor 0: the loops have no branch, and the processor adds several columns in one step.

use super::moments::Moments;
use super::tally::{Pair, Single};

/// Columns in a group.
pub(super) const GROUP: usize = 8;

type Eight = [f64; GROUP];

/// Groups needed for a number of columns.
pub(super) fn groups(columns: usize) -> usize {
    columns.div_ceil(GROUP)
}

/// A group of columns of one arm in the campaign at hand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    /// not-a-number where absent, infinite where missed
    pub(super) raw: Eight,
    /// 0 where not finite
    clean: Eight,
    /// 1 where finite, else 0
    finite: Eight,
}

impl Reading {
    /// Nothing is there.
    pub(super) const ABSENT: Reading =
        Reading { raw: [f64::NAN; GROUP], clean: [0.0; GROUP], finite: [0.0; GROUP] };

    /// Puts a value in its lane.
    pub(super) fn set(&mut self, lane: usize, value: Option<f64>) {
        let raw = value.unwrap_or(f64::NAN);
        let finite = raw.is_finite();
        self.raw[lane] = raw;
        self.clean[lane] = if finite { raw } else { 0.0 };
        self.finite[lane] = one(finite);
    }
}

fn one(yes: bool) -> f64 {
    if yes { 1.0 } else { 0.0 }
}

/// Sums of a group of columns of one arm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sums {
    n: Eight,
    origin: Eight,
    sum: Eight,
    squares: Eight,
    nonzero: Eight,
    low: Eight,
    high: Eight,
    largest: Eight,
}

impl Sums {
    /// No value yet.
    pub(super) const EMPTY: Sums = Sums {
        n: [0.0; GROUP],
        origin: [0.0; GROUP],
        sum: [0.0; GROUP],
        squares: [0.0; GROUP],
        nonzero: [0.0; GROUP],
        low: [f64::INFINITY; GROUP],
        high: [f64::NEG_INFINITY; GROUP],
        largest: [0.0; GROUP],
    };

    /// Adds the finite values of a reading.
    pub(super) fn add(&mut self, reading: &Reading, weight: f64) {
        for i in 0..GROUP {
            let (x, used) = (reading.clean[i], reading.finite[i]);
            let y = x * weight;
            // the first value becomes the origin: added once to 0, without a branch
            self.origin[i] += one(self.n[i] == 0.0) * used * y;
            let shifted = (y - self.origin[i]) * used;
            self.n[i] += used;
            self.sum[i] += shifted;
            self.squares[i] += shifted * shifted;
            self.nonzero[i] += one(x != 0.0);
            let size = y.abs();
            self.largest[i] = if size > self.largest[i] { size } else { self.largest[i] };
            let least = if used > 0.0 { x } else { f64::INFINITY };
            let most = if used > 0.0 { x } else { f64::NEG_INFINITY };
            self.low[i] = if least < self.low[i] { least } else { self.low[i] };
            self.high[i] = if most > self.high[i] { most } else { self.high[i] };
        }
    }

    /// What a lane says of its column.
    pub(super) fn close(&self, i: usize) -> Single {
        let n = self.n[i];
        Single {
            moments: Moments::from_sums(n as u64, self.origin[i], self.sum[i], self.squares[i]),
            total: self.origin[i] * n + self.sum[i],
            nonzero: self.nonzero[i] as u64,
            range: (self.low[i], self.high[i]),
            largest: self.largest[i],
        }
    }
}

/// Sums of a group of differences, and counts of lower and equal.
#[derive(Clone, Copy, Debug)]
pub(super) struct PairSums {
    n: Eight,
    origin: Eight,
    sum: Eight,
    squares: Eight,
    both: Eight,
    lower: Eight,
    equal: Eight,
}

impl PairSums {
    /// No campaign yet.
    pub(super) const EMPTY: PairSums = PairSums {
        n: [0.0; GROUP],
        origin: [0.0; GROUP],
        sum: [0.0; GROUP],
        squares: [0.0; GROUP],
        both: [0.0; GROUP],
        lower: [0.0; GROUP],
        equal: [0.0; GROUP],
    };

    /// Adds the same columns of two arms, each with its weight.
    pub(super) fn add(
        &mut self,
        (reference, reference_weight): (&Reading, f64),
        (other, other_weight): (&Reading, f64),
    ) {
        for i in 0..GROUP {
            let used = reference.finite[i] * other.finite[i];
            let gap = other.clean[i] * other_weight - reference.clean[i] * reference_weight;
            self.origin[i] += one(self.n[i] == 0.0) * used * gap;
            let shifted = (gap - self.origin[i]) * used;
            self.n[i] += used;
            self.sum[i] += shifted;
            self.squares[i] += shifted * shifted;
            // comparisons with not-a-number are false, so absent values count nowhere
            let (a, b) = (reference.raw[i], other.raw[i]);
            self.lower[i] += one(b < a);
            self.equal[i] += one(b == a);
            self.both[i] += one(b <= a) + one(b > a);
        }
    }

    /// What a lane says of its column.
    pub(super) fn close(&self, i: usize) -> Pair {
        let (n, origin) = (self.n[i] as u64, self.origin[i]);
        Pair {
            difference: Moments::from_sums(n, origin, self.sum[i], self.squares[i]),
            both: self.both[i] as u64,
            lower: self.lower[i] as u64,
            equal: self.equal[i] as u64,
        }
    }
}
