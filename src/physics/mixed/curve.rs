//! Airborne concentration of a volume between two events, as a curve: its peak, and how long it is
//! above a limit.

use super::*;

/// Concentration of two bins together over time: a sum of four falling exponentials.
///
/// Each bin gives a slow term that is never negative and a fast one that is negative where the
/// floor still feeds the air. By Descartes' rule for exponential sums the slope then changes sign
/// at most twice: the curve can fall, rise and fall, never more.
///
/// Source: Descartes' rule for exponential sums (common practice). Limits: two bins.
#[derive(Clone, Copy, Debug)]
pub struct Curve {
    slow: [Term; 2],
    fast: [Term; 2],
}

/// `weight` exp(`rate` t).
#[derive(Clone, Copy, Debug)]
struct Term {
    weight: f64,
    rate: f64,
}

impl Term {
    fn at(&self, t: f64) -> f64 {
        if t == 0.0 { self.weight } else { self.weight * (self.rate * t).exp() }
    }
}

impl Curve {
    /// Concentration in kg/m3 that follows from these stocks, in a volume of 1/`per_volume` m3.
    pub fn new(bins: [&Mixed; 2], start: [Stock; 2], per_volume: f64) -> Self {
        let term = |weight: f64, rate: f64| Term { weight: weight * per_volume, rate };
        let lifted = |i: usize| bins[i].coefficients.lift * start[i].floor;
        let slow =
            |i: usize| term(bins[i].coefficients.air_slow * start[i].air + lifted(i), bins[i].slow);
        let fast =
            |i: usize| term(bins[i].coefficients.air_fast * start[i].air - lifted(i), bins[i].fast);
        Self { slow: [slow(0), slow(1)], fast: [fast(0), fast(1)] }
    }

    /// Value after `t` s.
    pub fn value(&self, t: f64) -> f64 {
        self.terms().iter().map(|term| term.at(t)).sum()
    }

    /// Slope after `t` s.
    pub fn slope(&self, t: f64) -> f64 {
        self.value_and_slope(t).1
    }

    /// Both from the same exponentials.
    fn value_and_slope(&self, t: f64) -> (f64, f64) {
        self.terms().iter().fold((0.0, 0.0), |(value, slope), term| {
            let now = term.at(t);
            (value + now, slope + term.rate * now)
        })
    }

    /// True where no term is negative, so that the curve only falls.
    #[inline]
    pub fn only_falls(&self) -> bool {
        self.fast[0].weight >= 0.0 && self.fast[1].weight >= 0.0
    }

    /// Greatest value in [0, dt].
    pub fn peak(&self, dt: f64) -> f64 {
        let [_, crest] = self.turns(dt);
        let ends = self.value(0.0).max(self.value(dt));
        crest.map_or(ends, |t| ends.max(self.value(t)))
    }

    /// Time in [0, dt] with a value above `limit` (above zero), s.
    pub fn time_above(&self, limit: f64, dt: f64) -> f64 {
        let [dip, crest] = self.turns(dt);
        let mut from = 0.0;
        let mut above = 0.0;
        for to in [dip, crest, Some(dt)].into_iter().flatten() {
            above += self.above_while_monotone(limit, from, to);
            from = to;
        }
        above
    }

    fn terms(&self) -> [Term; 4] {
        [self.slow[0], self.slow[1], self.fast[0], self.fast[1]]
    }

    /// Times of the lowest and the highest turning point inside (0, dt), in this order of time.
    pub(super) fn turns(&self, dt: f64) -> [Option<f64>; 2] {
        if self.only_falls() {
            return [None, None];
        }
        let slope = |t: f64| self.slope(t);
        match (slope(0.0) > 0.0, slope(dt) > 0.0) {
            (true, true) => [None, None],
            (true, false) => [None, Some(sign_change(slope, 0.0, dt))],
            (false, true) => [Some(sign_change(slope, 0.0, dt)), None],
            (false, false) => self.rise_between(dt),
        }
    }

    /// The curve falls at both ends: it can rise between only where one bin rises and the other
    /// falls.
    ///
    /// The slope divided by the rising bin's fast exponential has the same sign as the slope and is
    /// concave (a constant less exponentials), so its highest point decides.
    fn rise_between(&self, dt: f64) -> [Option<f64>; 2] {
        let rising: usize = match (self.fast[0].weight < 0.0, self.fast[1].weight < 0.0) {
            (true, false) => 0,
            (false, true) => 1,
            _ => return [None, None],
        };
        let base = self.fast[rising].rate;
        let tilt = |t: f64| {
            let bend = |x: &Term| x.rate * x.weight * (x.rate - base) * ((x.rate - base) * t).exp();
            self.terms().iter().map(bend).sum::<f64>()
        };
        if tilt(0.0) <= 0.0 || tilt(dt) >= 0.0 {
            return [None, None];
        }
        let top = sign_change(tilt, 0.0, dt);
        if self.slope(top) <= 0.0 {
            return [None, None];
        }
        let slope = |t: f64| self.slope(t);
        [Some(sign_change(slope, 0.0, top)), Some(sign_change(slope, top, dt))]
    }

    /// Time above the limit where the curve only rises or only falls between `from` and `to`.
    fn above_while_monotone(&self, limit: f64, from: f64, to: f64) -> f64 {
        match (self.value(from) > limit, self.value(to) > limit) {
            (true, true) => to - from,
            (false, false) => 0.0,
            (true, false) => self.crossing(limit, true, [from, to]) - from,
            (false, true) => to - self.crossing(limit, false, [from, to]),
        }
    }

    /// Where the curve passes the limit between two times on either side of it: Newton's method,
    /// kept inside the bracket by halving it. Falling, on ln C, nearly a straight line; rising, on
    /// C itself, as ln C starts off a cliff where there was hardly any dust.
    fn crossing(&self, limit: f64, falling: bool, [from, to]: [f64; 2]) -> f64 {
        let (mut low, mut high) = (from, to);
        let mut t = from;
        // 60 halvings reach the last bit; Newton needs three or four steps.
        for _ in 0..60 {
            let (value, slope) = self.value_and_slope(t);
            if (value > limit) == falling {
                low = t;
            } else {
                high = t;
            }
            let off = if falling { (value / limit).ln() * value } else { value - limit };
            let next = t - off / slope;
            let inside = next > low && next < high;
            let next = if inside { next } else { 0.5 * (low + high) };
            // A short step alone is no sign of a root: the slope may just be steep here.
            if (next - t).abs() <= 1e-12 * to && off.abs() <= 1e-6 * limit {
                return next;
            }
            t = next;
        }
        t
    }
}

/// Where a function changes its sign between `from` and `to`, by halving; it does so once.
fn sign_change(f: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let positive_first = f(from) > 0.0;
    let (mut low, mut high) = (from, to);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == positive_first {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
