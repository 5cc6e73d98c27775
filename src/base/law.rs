//! Probability laws: validation, quantile from one uniform, mean in closed form, and a registry
//! with formulas and sources.
//!
//! A law is drawn by inverse transform only: one uniform number, one value, growing with it. What
//! a law's numbers are units of is known by the key that holds it, not here.

mod check;
mod normal;
mod posterior;
mod prepared;
mod registry;

pub use normal::{Z95, normal_below, normal_quantile};
pub use prepared::Prepared;
pub use registry::{LAWS, LawEntry};

use prepared::sigma;
use statrs::function::gamma::ln_gamma;

/// A number that may not be certain. SI inside.
///
/// Each kind says its value at a uniform number u, its mean, units, source and limits; the same
/// stands as data in [`LAWS`], and a test holds the two to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// `"20 min"`
    ///
    /// Value: `x, whatever u`. Mean: `x`. Units: x of the value.
    ///
    /// Source: definition. Limits: infinite is allowed: never, or for good.
    Fixed(f64),
    /// `{ low, mode, high }`
    ///
    /// Value: `low + sqrt(u (high-low)(mode-low)) up to u = (mode-low)/(high-low), then high -
    /// sqrt((1-u)(high-low)(high-mode))`. Mean: `(low + mode + high)/3`. Units: low, mode, high
    /// of the value.
    ///
    /// Source: inverse of the distribution function (common practice). Limits: low <= mode <=
    /// high; nothing outside the bounds ever happens.
    Triangular {
        /// least
        low: f64,
        /// most likely
        mode: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, mode, high, scale = "log" }`: triangular in ln x, mode at ln mode.
    ///
    /// Value: `exp of the triangular law of ln low, ln mode, ln high`. Mean: `2 mode (w g(w) + v
    /// g(-v))/(w + v), w = ln(mode/low), v = ln(high/mode), g(x) = (exp(-x) - 1 + x)/x^2`. Units:
    /// low, mode, high of the value.
    ///
    /// Source: inverse of the distribution function (common practice). Limits: 0 < low <= mode <=
    /// high; the mode of x itself lies below `mode`.
    LogTriangular {
        /// least
        low: f64,
        /// most likely
        mode: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, high }`
    ///
    /// Value: `low + u (high-low)`. Mean: `(low + high)/2`. Units: low, high of the value.
    ///
    /// Source: inverse of the distribution function (common practice). Limits: low <= high.
    Uniform {
        /// least
        low: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, high, scale = "log" }`
    ///
    /// Value: `low (high/low)^u`. Mean: `(high - low)/ln(high/low)`. Units: low, high of the
    /// value.
    ///
    /// Source: inverse of the distribution function (common practice). Limits: 0 < low <= high.
    LogUniform {
        /// least
        low: f64,
        /// greatest
        high: f64,
    },
    /// `{ mean, sd }`: normal, then cut at zero (values below zero become zero).
    ///
    /// Value: `max(0, mean + sd z(u)), z the standard normal quantile`. Mean: `mean Phi(mean/sd) +
    /// sd phi(mean/sd), Phi and phi the standard normal distribution and density`. Units: mean,
    /// sd of the value.
    ///
    /// Source: z: Wichura 1988, Algorithm AS 241 (from memory). Limits: mean >= 0, sd >= 0; the
    /// cut raises the mean when sd is not small against it.
    Normal {
        /// mean before the cut
        mean: f64,
        /// standard deviation before the cut
        sd: f64,
    },
    /// `{ median, error_factor }`: error factor = 95th percentile / median.
    ///
    /// Value: `median exp(s z(u)), s = ln(error_factor)/1.644854`. Mean: `median exp(s^2/2)`.
    /// Units: median of the value; error factor pure.
    ///
    /// Source: common practice of probabilistic risk assessment (from memory). Limits: median >
    /// 0, error factor > 1; unbounded above, so a probability must be capped at 1.
    Lognormal {
        /// median
        median: f64,
        /// error factor, above 1
        error_factor: f64,
    },
    /// `{ life, shape }`: characteristic life (s, cycles or demands).
    ///
    /// Value: `life (-ln(1-u))^(1/shape)`. Mean: `life Gamma(1 + 1/shape)`. Units: life a time or
    /// a count of cycles, as `when` of the failure says; shape pure.
    ///
    /// Source: inverse of the distribution function (common practice in reliability). Limits:
    /// life > 0, shape > 0; no failure-free time.
    Weibull {
        /// characteristic life
        life: f64,
        /// shape
        shape: f64,
    },
    /// `{ rate }`: exponential, per s (or per m, per demand, as the key says).
    ///
    /// Value: `-ln(1-u)/rate`. Mean: `1/rate`. Units: rate per time, per length or per demand, as
    /// the key says; the value its inverse.
    ///
    /// Source: inverse of the distribution function (common practice in reliability). Limits:
    /// rate >= 0; rate 0 never happens (infinite).
    Exponential {
        /// rate
        rate: f64,
    },
    /// `{ probability }`: Bernoulli per demand.
    ///
    /// Value: `1 if u >= 1 - probability, otherwise 0`. Mean: `probability`. Units: pure, per
    /// demand.
    ///
    /// Source: definition. Limits: 0 <= probability <= 1.
    Bernoulli {
        /// probability
        probability: f64,
    },
    /// `{ failures, demands }`: evidence; Jeffreys posterior
    /// Beta(failures + 1/2, demands - failures + 1/2).
    ///
    /// Value: `quantile of Beta(failures + 1/2, demands - failures + 1/2)`. Mean: `(failures +
    /// 1/2)/(demands + 1)`. Units: counts; the value a probability per demand, pure.
    ///
    /// Source: Jeffreys prior; method of NUREG/CR-6823 and NASA/SP-2009-569 (from memory).
    /// Limits: 0 <= failures <= demands, demands > 0; demands alike and independent; a quantile
    /// costs some microseconds.
    Evidence {
        /// failures seen
        failures: f64,
        /// demands seen
        demands: f64,
    },
    /// `{ events, exposure }`: evidence; Jeffreys posterior Gamma(events + 1/2, exposure).
    ///
    /// Value: `quantile of the gamma law with shape events + 1/2 and rate exposure`. Mean:
    /// `(events + 1/2)/exposure`. Units: events a count; exposure a time or a length; the value a
    /// rate, its inverse.
    ///
    /// Source: Jeffreys prior; method of NUREG/CR-6823 and NASA/SP-2009-569 (from memory).
    /// Limits: events >= 0, exposure > 0; rate constant; a quantile costs some microseconds.
    RateEvidence {
        /// events seen
        events: f64,
        /// exposure in s (or m)
        exposure: f64,
    },
}

/// Why the numbers of a law do not make one. `Display` names the law, the key and the rule; the
/// values are left to whoever knows their unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LawError {
    /// A value is NaN, or infinite where only finite values mean something.
    #[error("{law} law: `{key}` is not a finite number; write a finite one")]
    NotFinite {
        /// Name of the law.
        law: &'static str,
        /// Key at fault.
        key: &'static str,
    },
    /// A value is outside what the law allows.
    #[error("{law} law: `{key}` must be {rule}")]
    OutOfRange {
        /// Name of the law.
        law: &'static str,
        /// Key at fault.
        key: &'static str,
        /// What it must be, for example "above 1".
        rule: &'static str,
    },
    /// Two values are the wrong way round.
    #[error("{law} law: `{smaller}` is above `{larger}`; write `{smaller}` <= `{larger}`")]
    OutOfOrder {
        /// Name of the law.
        law: &'static str,
        /// Key that must not be larger.
        smaller: &'static str,
        /// Key that must not be smaller.
        larger: &'static str,
    },
}

impl Law {
    /// Its entry in the registry.
    pub fn entry(&self) -> &'static LawEntry {
        let place = match self {
            Law::Fixed(_) => 0,
            Law::Triangular { .. } => 1,
            Law::LogTriangular { .. } => 2,
            Law::Uniform { .. } => 3,
            Law::LogUniform { .. } => 4,
            Law::Normal { .. } => 5,
            Law::Lognormal { .. } => 6,
            Law::Weibull { .. } => 7,
            Law::Exponential { .. } => 8,
            Law::Bernoulli { .. } => 9,
            Law::Evidence { .. } => 10,
            Law::RateEvidence { .. } => 11,
        };
        &LAWS[place]
    }

    /// Value that the law stays below with chance `u`, for 0 < u < 1. To draw often, keep a
    /// [`Prepared`]; both give the same bits.
    pub fn quantile(&self, u: f64) -> f64 {
        Prepared::new(*self).quantile(u)
    }

    /// Mean of what [`Law::quantile`] gives for uniform u, in closed form (after the cut of the
    /// normal law; of the posterior for evidence). Formulas: common practice, the log-triangular
    /// one derived in [`log_triangular_mean`].
    pub fn mean(&self) -> f64 {
        match *self {
            Law::Fixed(value) => value,
            Law::Triangular { low, mode, high } => (low + mode + high) / 3.0,
            Law::LogTriangular { low, mode, high } => log_triangular_mean(low, mode, high),
            Law::Uniform { low, high } => 0.5 * (low + high),
            Law::LogUniform { low, high } => {
                let width = (high / low).ln();
                if width > 0.0 { low * width.exp_m1() / width } else { low }
            }
            Law::Normal { mean, sd } if sd > 0.0 => {
                let z = mean / sd;
                mean * normal_below(z) + sd * normal::normal_density(z)
            }
            Law::Normal { mean, .. } => mean,
            Law::Lognormal { median, error_factor } => {
                median * (0.5 * sigma(error_factor).powi(2)).exp()
            }
            Law::Weibull { life, shape } => (life.ln() + ln_gamma(1.0 + 1.0 / shape)).exp(),
            Law::Exponential { rate } => 1.0 / rate,
            Law::Bernoulli { probability } => probability,
            Law::Evidence { failures, demands } => (failures + 0.5) / (demands + 1.0),
            Law::RateEvidence { events, exposure } => (events + 0.5) / exposure,
        }
    }

    /// The one value of a law without spread: fixed, or with equal bounds, or with sd 0.
    pub fn fixed(&self) -> Option<f64> {
        match *self {
            Law::Fixed(value) => Some(value),
            Law::Triangular { low, high, .. }
            | Law::LogTriangular { low, high, .. }
            | Law::Uniform { low, high }
            | Law::LogUniform { low, high } => (low == high).then_some(low),
            Law::Normal { mean, sd } => (sd == 0.0).then_some(mean),
            Law::Lognormal { .. }
            | Law::Weibull { .. }
            | Law::Exponential { .. }
            | Law::Bernoulli { .. }
            | Law::Evidence { .. }
            | Law::RateEvidence { .. } => None,
        }
    }

    /// Whether every draw gives the same value; see [`Law::fixed`].
    pub fn is_fixed(&self) -> bool {
        self.fixed().is_some()
    }

    /// Greatest lower bound of what can be drawn.
    pub fn least(&self) -> f64 {
        match *self {
            Law::Fixed(value) => value,
            Law::Triangular { low, .. }
            | Law::LogTriangular { low, .. }
            | Law::Uniform { low, .. }
            | Law::LogUniform { low, .. } => low,
            Law::Normal { .. } => self.fixed().unwrap_or(0.0),
            Law::Lognormal { .. }
            | Law::Weibull { .. }
            | Law::Exponential { .. }
            | Law::Bernoulli { .. }
            | Law::Evidence { .. }
            | Law::RateEvidence { .. } => 0.0,
        }
    }

    /// Least upper bound of what can be drawn; infinite when there is none.
    pub fn greatest(&self) -> f64 {
        match *self {
            Law::Fixed(value) => value,
            Law::Triangular { high, .. }
            | Law::LogTriangular { high, .. }
            | Law::Uniform { high, .. }
            | Law::LogUniform { high, .. } => high,
            Law::Normal { .. } => self.fixed().unwrap_or(f64::INFINITY),
            Law::Bernoulli { .. } | Law::Evidence { .. } => 1.0,
            Law::Lognormal { .. }
            | Law::Weibull { .. }
            | Law::Exponential { .. }
            | Law::RateEvidence { .. } => f64::INFINITY,
        }
    }
}

/// Mean of the log-triangular law.
///
/// With w = ln(mode/low), v = ln(high/mode) and g(x) = (exp(-x) - 1 + x)/x^2, integrating exp(y)
/// over the two flanks of the triangle in y = ln x gives 2 mode (w g(w) + v g(-v))/(w + v).
pub fn log_triangular_mean(low: f64, mode: f64, high: f64) -> f64 {
    let (w, v) = ((mode / low).ln(), (high / mode).ln());
    if w + v == 0.0 {
        return mode;
    }
    2.0 * mode * (w * flank(w) + v * flank(-v)) / (w + v)
}

/// (exp(-x) - 1 + x)/x^2, by its series where the difference would lose digits.
fn flank(x: f64) -> f64 {
    if x.abs() > 0.5 {
        return ((-x).exp_m1() + x) / (x * x);
    }
    // Sum of (-x)^k/(k+2)!: 14 terms leave less than 1e-17 at x = 0.5.
    let mut term = 0.5;
    let mut sum = term;
    for k in 1..14 {
        term *= -x / f64::from(k + 2);
        sum += term;
    }
    sum
}

/// Collects the comparisons of [`Law::check`]; written so that NaN fails.
struct Checker(&'static str);

impl Checker {}

#[cfg(test)]
mod tests;
