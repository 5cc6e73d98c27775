//! Probability laws: validation, quantile from one uniform, registry with formulas and sources.

/// A number that may not be certain (design 1.2). SI inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// `"20 min"`
    Fixed(f64),
    /// `{ low, mode, high }`
    Triangular {
        /// least
        low: f64,
        /// most likely
        mode: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, mode, high, scale = "log" }`: triangular in ln x, mode at ln mode.
    LogTriangular {
        /// least
        low: f64,
        /// most likely
        mode: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, high }`
    Uniform {
        /// least
        low: f64,
        /// greatest
        high: f64,
    },
    /// `{ low, high, scale = "log" }`
    LogUniform {
        /// least
        low: f64,
        /// greatest
        high: f64,
    },
    /// `{ mean, sd }`: normal, then cut at zero (values below zero become zero).
    Normal {
        /// mean before the cut
        mean: f64,
        /// standard deviation before the cut
        sd: f64,
    },
    /// `{ median, error_factor }`: error factor = 95th percentile / median.
    Lognormal {
        /// median
        median: f64,
        /// error factor, above 1
        error_factor: f64,
    },
    /// `{ life, shape }`: characteristic life (s, cycles or demands).
    Weibull {
        /// characteristic life
        life: f64,
        /// shape
        shape: f64,
    },
    /// `{ rate }`: exponential, per s (or per m, per demand, as the key says).
    Exponential {
        /// rate
        rate: f64,
    },
    /// `{ probability }`: Bernoulli per demand.
    Bernoulli {
        /// probability
        probability: f64,
    },
    /// `{ failures, demands }`: evidence; Jeffreys posterior Beta(failures + 1/2, demands - failures + 1/2).
    Evidence {
        /// failures seen
        failures: f64,
        /// demands seen
        demands: f64,
    },
    /// `{ events, exposure }`: evidence; Jeffreys posterior Gamma(events + 1/2, exposure).
    RateEvidence {
        /// events seen
        events: f64,
        /// exposure in s (or m)
        exposure: f64,
    },
}
