//! The registry of laws: what a file may write, what it means and where it comes from. Reference
//! pages and `vestibule list` are made from it.

use super::Law;

/// One law of the registry.
#[derive(Clone, Copy, Debug)]
pub struct LawEntry {
    /// Name, as in messages.
    pub name: &'static str,
    /// How it is written in a file.
    pub written: &'static str,
    /// Value at the uniform number u, 0 < u < 1, which it stays below with chance u.
    pub formula: &'static str,
    /// Mean in closed form; this is what [`Law::mean`] gives.
    pub mean: &'static str,
    /// Unit of each key: "of the value" is the unit of the key that holds the law.
    pub units: &'static str,
    /// What it says, in a sentence.
    pub meaning: &'static str,
    /// Where formula and use come from.
    pub source: &'static str,
    /// Range of validity and what it neglects.
    pub limits: &'static str,
    /// A valid law of this kind.
    pub example: Law,
}

const TEXTBOOK: &str = "inverse of the distribution function (common practice)";

/// Every law, in the order of [`Law`].
pub const LAWS: &[LawEntry] = &[
    LawEntry {
        name: "fixed",
        written: "\"20 min\"",
        formula: "x, whatever u",
        mean: "x",
        units: "x of the value",
        meaning: "certain: the same value at every draw",
        source: "definition",
        limits: "infinite is allowed: never, or for good",
        example: Law::Fixed(1_200.0),
    },
    LawEntry {
        name: "triangular",
        written: "{ low, mode, high }",
        formula: "low + sqrt(u (high-low)(mode-low)) up to u = (mode-low)/(high-low), \
                  then high - sqrt((1-u)(high-low)(high-mode))",
        mean: "(low + mode + high)/3",
        units: "low, mode, high of the value",
        meaning: "between two bounds, most likely at the mode",
        source: TEXTBOOK,
        limits: "low <= mode <= high; nothing outside the bounds ever happens",
        example: Law::Triangular { low: 2.0, mode: 3.0, high: 8.0 },
    },
    LawEntry {
        name: "log-triangular",
        written: "{ low, mode, high, scale = \"log\" }",
        formula: "exp of the triangular law of ln low, ln mode, ln high",
        mean: "2 mode (w g(w) + v g(-v))/(w + v), w = ln(mode/low), v = ln(high/mode), \
               g(x) = (exp(-x) - 1 + x)/x^2",
        units: "low, mode, high of the value",
        meaning: "bounds that are factors apart; the density of ln x peaks at ln mode",
        source: TEXTBOOK,
        limits: "0 < low <= mode <= high; the mode of x itself lies below `mode`",
        example: Law::LogTriangular { low: 1.0, mode: 4.0, high: 50.0 },
    },
    LawEntry {
        name: "uniform",
        written: "{ low, high }",
        formula: "low + u (high-low)",
        mean: "(low + high)/2",
        units: "low, high of the value",
        meaning: "anything between two bounds, equally likely",
        source: TEXTBOOK,
        limits: "low <= high",
        example: Law::Uniform { low: 0.85, high: 1.0 },
    },
    LawEntry {
        name: "log-uniform",
        written: "{ low, high, scale = \"log\" }",
        formula: "low (high/low)^u",
        mean: "(high - low)/ln(high/low)",
        units: "low, high of the value",
        meaning: "every factor between two bounds equally likely",
        source: TEXTBOOK,
        limits: "0 < low <= high",
        example: Law::LogUniform { low: 1e-4, high: 1e-2 },
    },
    LawEntry {
        name: "normal",
        written: "{ mean, sd }",
        formula: "max(0, mean + sd z(u)), z the standard normal quantile",
        mean: "mean Phi(mean/sd) + sd phi(mean/sd), Phi and phi the standard normal distribution \
               and density",
        units: "mean, sd of the value",
        meaning: "normal with this mean and sd, then cut: values below zero become zero",
        source: "z: Wichura 1988, Algorithm AS 241 (from memory)",
        limits: "mean >= 0, sd >= 0; the cut raises the mean when sd is not small against it",
        example: Law::Normal { mean: 3.0, sd: 2.0 },
    },
    LawEntry {
        name: "lognormal",
        written: "{ median, error_factor }",
        formula: "median exp(s z(u)), s = ln(error_factor)/1.644854",
        mean: "median exp(s^2/2)",
        units: "median of the value; error factor pure",
        meaning: "uncertain by a factor: 95th percentile = median x error factor",
        source: "common practice of probabilistic risk assessment (from memory)",
        limits: "median > 0, error factor > 1; unbounded above, so a probability must be capped \
            at 1",
        example: Law::Lognormal { median: 1e-3, error_factor: 5.0 },
    },
    LawEntry {
        name: "Weibull",
        written: "{ life, shape }",
        formula: "life (-ln(1-u))^(1/shape)",
        mean: "life Gamma(1 + 1/shape)",
        units: "life a time or a count of cycles, as `when` of the failure says; shape pure",
        meaning: "life of a wearing part: 63.2 % are gone at the characteristic life",
        source: "inverse of the distribution function (common practice in reliability)",
        limits: "life > 0, shape > 0; no failure-free time",
        example: Law::Weibull { life: 400.0, shape: 2.5 },
    },
    LawEntry {
        name: "exponential",
        written: "{ rate }",
        formula: "-ln(1-u)/rate",
        mean: "1/rate",
        units: "rate per time, per length or per demand, as the key says; the value its inverse",
        meaning: "waiting time for something that occurs at a constant rate",
        source: "inverse of the distribution function (common practice in reliability)",
        limits: "rate >= 0; rate 0 never happens (infinite)",
        example: Law::Exponential { rate: 1e-4 },
    },
    LawEntry {
        name: "Bernoulli",
        written: "{ probability }",
        formula: "1 if u >= 1 - probability, otherwise 0",
        mean: "probability",
        units: "pure, per demand",
        meaning: "happens or not, per demand",
        source: "definition",
        limits: "0 <= probability <= 1",
        example: Law::Bernoulli { probability: 0.3 },
    },
    LawEntry {
        name: "evidence of demands",
        written: "{ failures, demands }",
        formula: "quantile of Beta(failures + 1/2, demands - failures + 1/2)",
        mean: "(failures + 1/2)/(demands + 1)",
        units: "counts; the value a probability per demand, pure",
        meaning: "what is known of a probability after this many failures in this many demands",
        source: "Jeffreys prior; method of NUREG/CR-6823 and NASA/SP-2009-569 (from memory)",
        limits: "0 <= failures <= demands, demands > 0; demands alike and independent; \
                 a quantile costs some microseconds",
        example: Law::Evidence { failures: 2.0, demands: 75.0 },
    },
    LawEntry {
        name: "evidence of exposure",
        written: "{ events, exposure }",
        formula: "quantile of the gamma law with shape events + 1/2 and rate exposure",
        mean: "(events + 1/2)/exposure",
        units: "events a count; exposure a time or a length; the value a rate, its inverse",
        meaning: "what is known of a rate after this many events in this much exposure",
        source: "Jeffreys prior; method of NUREG/CR-6823 and NASA/SP-2009-569 (from memory)",
        limits: "events >= 0, exposure > 0; rate constant; a quantile costs some microseconds",
        example: Law::RateEvidence { events: 2.0, exposure: 1e5 },
    },
];
