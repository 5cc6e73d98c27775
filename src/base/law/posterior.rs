//! Quantiles of the two posteriors of evidence: beta for chances, gamma for rates.
//!
//! The distribution functions are those of `statrs`; the inversion is done here, in the logarithm
//! of the value and from the nearer tail, because Jeffreys posteriors of nothing seen have shape
//! 1/2 and quantiles many powers of ten below their mean.
//!
//! Cost: about ten evaluations of an incomplete beta or gamma function, some microseconds. A
//! posterior is drawn once per parameter set, not inside a campaign, so no table is kept.
//! Limits: relative error about 1e-10 up to some 10^4 demands; the log-gamma differences behind
//! the functions lose roughly one digit more for every tenfold of demands above that.

use statrs::function::beta::{beta_reg, ln_beta};
use statrs::function::gamma::{gamma_lr, gamma_ur, ln_gamma};

/// Quantile of Beta(a, b).
pub(super) fn beta_quantile(a: f64, b: f64, u: f64) -> f64 {
    let norm = ln_beta(a, b);
    let law = Positive {
        below: |x: f64| beta_reg(a, b, x),
        above: |x: f64| beta_reg(b, a, 1.0 - x),
        // Density times x, the density of ln x.
        density: |x: f64| (a * x.ln() + (b - 1.0) * (-x).ln_1p() - norm).exp(),
        greatest: 1.0,
    };
    law.quantile(u, a / (a + b))
}

/// Quantile of a gamma law with this shape and rate.
pub(super) fn gamma_quantile(shape: f64, rate: f64, u: f64) -> f64 {
    let norm = ln_gamma(shape);
    let law = Positive {
        below: |x: f64| gamma_lr(shape, x),
        above: |x: f64| gamma_ur(shape, x),
        density: |x: f64| (shape * x.ln() - x - norm).exp(),
        greatest: f64::INFINITY,
    };
    law.quantile(u, shape) / rate
}

/// A continuous law on positive numbers, by its two tails.
struct Positive<B, A, D> {
    below: B,
    above: A,
    density: D,
    greatest: f64,
}

impl<B, A, D> Positive<B, A, D>
where
    B: Fn(f64) -> f64,
    A: Fn(f64) -> f64,
    D: Fn(f64) -> f64,
{
    /// Newton's method on the logarithm of the nearer tail as a function of ln x, kept inside a
    /// bracket. `start` lies inside the support, for example at the mean.
    fn quantile(&self, u: f64, start: f64) -> f64 {
        let upper = u > 0.5;
        let wanted = if upper { 1.0 - u } else { u }.ln();
        // Error of the logarithm of the tail at ln x = t, increasing in t, and its slope.
        let error = |t: f64| {
            let x = t.exp();
            let tail = if upper { (self.above)(x) } else { (self.below)(x) };
            let error = if upper { wanted - tail.ln() } else { tail.ln() - wanted };
            (error, (self.density)(x) / tail)
        };
        let (mut low, mut high) = self.bracket(start, |t| error(t).0);
        let mut t = 0.5 * (low + high);
        // Halving alone needs fewer than 100 steps for any bracket of finite numbers.
        for _ in 0..100 {
            let (wrong, slope) = error(t);
            if wrong > 0.0 {
                high = t
            } else {
                low = t
            }
            let newton = t - wrong / slope;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let step = (next - t).abs();
            t = next;
            if step <= 1e-15 * t.abs().max(1.0) {
                break;
            }
        }
        t.exp()
    }

    /// Logarithms of two values with the quantile between them.
    fn bracket(&self, start: f64, error: impl Fn(f64) -> f64) -> (f64, f64) {
        let ceiling = self.greatest.ln();
        let (mut low, mut high) = (start.ln() - 1.0, (start.ln() + 1.0).min(ceiling));
        let mut step = 1.0;
        while error(low) > 0.0 {
            low -= step;
            step *= 2.0;
        }
        step = 1.0;
        while high < ceiling && error(high) < 0.0 {
            high = (high + step).min(ceiling);
            step *= 2.0;
        }
        (low, high)
    }
}
