//! Whether a law is one: its numbers in order and in range.

use super::*;

impl Law {
    /// Whether the numbers make a law.
    ///
    /// # Errors
    /// [`LawError`] for the first number that is not finite, out of its range or out of order. A
    /// fixed value may be infinite ("for good"), but not NaN.
    pub fn check(&self) -> Result<(), LawError> {
        let law = Checker(self.entry().name);
        match *self {
            Law::Fixed(value) => law.need(!value.is_nan(), "value", "a number"),
            Law::Triangular { low, mode, high } => {
                law.ordered(&[("low", low), ("mode", mode), ("high", high)])
            }
            Law::LogTriangular { low, mode, high } => {
                law.ordered(&[("low", low), ("mode", mode), ("high", high)])?;
                law.above("low", low, 0.0, "above 0 on a log scale")
            }
            Law::Uniform { low, high } => law.ordered(&[("low", low), ("high", high)]),
            Law::LogUniform { low, high } => {
                law.ordered(&[("low", low), ("high", high)])?;
                law.above("low", low, 0.0, "above 0 on a log scale")
            }
            Law::Normal { mean, sd } => {
                // The cut at zero would turn a negative mean into a silent zero.
                law.not_below_zero("mean", mean)?;
                law.not_below_zero("sd", sd)
            }
            Law::Lognormal { median, error_factor } => {
                law.above("median", median, 0.0, "above 0")?;
                law.above("error_factor", error_factor, 1.0, "above 1")
            }
            Law::Weibull { life, shape } => {
                law.above("life", life, 0.0, "above 0")?;
                law.above("shape", shape, 0.0, "above 0")
            }
            Law::Exponential { rate } => law.not_below_zero("rate", rate),
            Law::Bernoulli { probability } => {
                law.finite("probability", probability)?;
                let inside = (0.0..=1.0).contains(&probability);
                law.need(inside, "probability", "from 0 to 1")
            }
            Law::Evidence { failures, demands } => {
                law.above("demands", demands, 0.0, "above 0: nothing was seen otherwise")?;
                law.not_below_zero("failures", failures)?;
                law.ordered(&[("failures", failures), ("demands", demands)])
            }
            Law::RateEvidence { events, exposure } => {
                law.above("exposure", exposure, 0.0, "above 0: nothing was seen otherwise")?;
                law.not_below_zero("events", events)
            }
        }
    }
}

impl Checker {
    pub(super) fn need(
        &self,
        holds: bool,
        key: &'static str,
        rule: &'static str,
    ) -> Result<(), LawError> {
        let law = self.0;
        if holds { Ok(()) } else { Err(LawError::OutOfRange { law, key, rule }) }
    }

    pub(super) fn finite(&self, key: &'static str, value: f64) -> Result<(), LawError> {
        let law = self.0;
        if value.is_finite() { Ok(()) } else { Err(LawError::NotFinite { law, key }) }
    }

    pub(super) fn above(
        &self,
        key: &'static str,
        value: f64,
        bound: f64,
        rule: &'static str,
    ) -> Result<(), LawError> {
        self.finite(key, value)?;
        self.need(value > bound, key, rule)
    }

    pub(super) fn not_below_zero(&self, key: &'static str, value: f64) -> Result<(), LawError> {
        self.finite(key, value)?;
        self.need(value >= 0.0, key, "0 or above")
    }

    pub(super) fn ordered(&self, values: &[(&'static str, f64)]) -> Result<(), LawError> {
        for (key, value) in values {
            self.finite(key, *value)?;
        }
        let law = self.0;
        match values.windows(2).find(|pair| pair[0].1 > pair[1].1) {
            None => Ok(()),
            Some(pair) => Err(LawError::OutOfOrder { law, smaller: pair[0].0, larger: pair[1].0 }),
        }
    }
}
