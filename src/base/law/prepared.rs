//! A law made ready to be drawn many times.

use super::Law;
use super::normal::{Z95, normal_quantile};
use super::posterior::{beta_quantile, gamma_quantile};

/// A law with its constants worked out, so that a draw inside a campaign costs some nanoseconds
/// (one square root for a triangular law). Made from a law that passed [`Law::check`].
///
/// Every quantile grows with u (inverse transform), so the same u gives comparable luck in every
/// alternative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prepared(Kind);

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Fixed(f64),
    Triangular(Triangle),
    LogTriangular { ln: Triangle, low: f64, high: f64 },
    Uniform { low: f64, width: f64, high: f64 },
    LogUniform { ln: f64, width: f64, low: f64, high: f64 },
    Normal { mean: f64, sd: f64 },
    Lognormal { ln_median: f64, sigma: f64 },
    Weibull { life: f64, inverse_shape: f64 },
    Exponential { rate: f64 },
    Bernoulli { probability: f64 },
    Beta { a: f64, b: f64 },
    Gamma { shape: f64, rate: f64 },
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Triangle {
    low: f64,
    mode: f64,
    high: f64,
    /// Chance of lying below the mode.
    knee: f64,
    /// (high-low)(mode-low)
    rise: f64,
    /// (high-low)(high-mode)
    fall: f64,
}

impl Triangle {
    fn new(low: f64, mode: f64, high: f64) -> Self {
        let width = high - low;
        // Without width every draw is the mode, on whichever side of the knee.
        let knee = if width > 0.0 { (mode - low) / width } else { 1.0 };
        Triangle { low, mode, high, knee, rise: width * (mode - low), fall: width * (high - mode) }
    }

    /// The `min` and `max` hold back the last bit only: so the two halves meet in order.
    #[inline]
    fn quantile(&self, u: f64) -> f64 {
        if u <= self.knee {
            (self.low + (u * self.rise).sqrt()).min(self.mode)
        } else {
            (self.high - ((1.0 - u) * self.fall).sqrt()).max(self.mode)
        }
    }
}

impl Prepared {
    /// Works out the constants. The law must have passed [`Law::check`]; of others the quantiles
    /// mean nothing (NaN or out of order), but nothing panics.
    pub fn new(law: Law) -> Self {
        Prepared(match law {
            Law::Fixed(value) => Kind::Fixed(value),
            Law::Triangular { low, mode, high } => Kind::Triangular(Triangle::new(low, mode, high)),
            Law::LogTriangular { low, mode, high } => {
                Kind::LogTriangular { ln: Triangle::new(low.ln(), mode.ln(), high.ln()), low, high }
            }
            Law::Uniform { low, high } => Kind::Uniform { low, width: high - low, high },
            Law::LogUniform { low, high } => {
                Kind::LogUniform { ln: low.ln(), width: (high / low).ln(), low, high }
            }
            Law::Normal { mean, sd } => Kind::Normal { mean, sd },
            Law::Lognormal { median, error_factor } => {
                Kind::Lognormal { ln_median: median.ln(), sigma: sigma(error_factor) }
            }
            Law::Weibull { life, shape } => Kind::Weibull { life, inverse_shape: 1.0 / shape },
            Law::Exponential { rate } => Kind::Exponential { rate },
            Law::Bernoulli { probability } => Kind::Bernoulli { probability },
            Law::Evidence { failures, demands } => {
                Kind::Beta { a: failures + 0.5, b: demands - failures + 0.5 }
            }
            Law::RateEvidence { events, exposure } => {
                Kind::Gamma { shape: events + 0.5, rate: exposure }
            }
        })
    }

    /// Value that the law stays below with chance `u`, for 0 < u < 1; unit as the law's.
    #[inline]
    pub fn quantile(&self, u: f64) -> f64 {
        match &self.0 {
            Kind::Triangular(triangle) => triangle.quantile(u),
            _ => self.quantile_of_others(u),
        }
    }

    #[inline(never)] // nearly all times of rows are triangular
    fn quantile_of_others(&self, u: f64) -> f64 {
        match self.0 {
            Kind::Fixed(value) => value,
            Kind::Triangular(ref triangle) => triangle.quantile(u),
            Kind::LogTriangular { ref ln, low, high } => ln.quantile(u).exp().max(low).min(high),
            Kind::Uniform { low, width, high } => (low + u * width).min(high),
            Kind::LogUniform { ln, width, low, high } => (ln + u * width).exp().max(low).min(high),
            Kind::Normal { mean, sd } => (mean + sd * normal_quantile(u)).max(0.0),
            Kind::Lognormal { ln_median, sigma } => (ln_median + sigma * normal_quantile(u)).exp(),
            Kind::Weibull { life, inverse_shape } => life * (-(-u).ln_1p()).powf(inverse_shape),
            Kind::Exponential { rate } => -(-u).ln_1p() / rate,
            Kind::Bernoulli { probability } => f64::from(u8::from(1.0 - u <= probability)),
            Kind::Beta { a, b } => beta_quantile(a, b, u),
            Kind::Gamma { shape, rate } => gamma_quantile(shape, rate, u),
        }
    }
}

/// Standard deviation of ln x for an error factor: ln EF / 1.644853627.
pub(super) fn sigma(error_factor: f64) -> f64 {
    error_factor.ln() / Z95
}
