//! Numbers as written: a quantity with its unit, or a law as a table of its parameters.

use super::context::Context;
use super::finding::Finding;
use super::key::{Draw, Range};
use super::rules;
use super::spec::{At, Num};
use super::tree::{Entry, Node, Value};
use super::vocabulary::Per;
use crate::law::Law;
use crate::units::{self, Dimension};

/// What number is wanted at some place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted {
    /// Dimension of its values.
    pub dimension: Dimension,
    /// Structural numbers must be certain.
    pub draw: Draw,
    /// Values that mean something.
    pub range: Range,
    /// Dimension of the life where `{ life, shape }` is a law of lives: the hazard of a failure
    /// mode. Otherwise only a time can have that law.
    pub life: Option<Dimension>,
}

impl Wanted {
    /// As a registry key says.
    pub fn new(dimension: Dimension, draw: Draw, range: Range) -> Self {
        let life = (dimension == Dimension::Time).then_some(Dimension::Time);
        Wanted {
            dimension,
            draw,
            range,
            life,
        }
    }

    /// A share or probability.
    pub fn share(draw: Draw) -> Self {
        Wanted::new(Dimension::Pure, draw, Range::Fraction)
    }

    /// A time of zero or more.
    pub fn time(draw: Draw) -> Self {
        Wanted::new(Dimension::Time, draw, Range::NonNegative)
    }

    fn is_share(self) -> bool {
        self.dimension == Dimension::Pure && self.range == Range::Fraction
    }

    /// What a rate is counted per: time for `1/s`, length for `1/m`.
    fn exposure(self) -> Option<Dimension> {
        match self.dimension {
            Dimension::PerTime => Some(Dimension::Time),
            Dimension::PerLength => Some(Dimension::Length),
            _ => None,
        }
    }
}

/// A form in which a number can be written as a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Value,
    LowModeHigh,
    LowHigh,
    MeanSd,
    MedianFactor,
    LifeShape,
    Rate,
    Probability,
    FailuresDemands,
    EventsExposure,
}

/// The keys that choose each form.
const FORMS: &[(Form, &[&str])] = &[
    (Form::LowModeHigh, &["low", "mode", "high"]),
    (Form::LowHigh, &["low", "high"]),
    (Form::MeanSd, &["mean", "sd"]),
    (Form::MedianFactor, &["median", "error_factor"]),
    (Form::LifeShape, &["life", "shape"]),
    (Form::Rate, &["rate"]),
    (Form::Probability, &["probability"]),
    (Form::FailuresDemands, &["failures", "demands"]),
    (Form::EventsExposure, &["events", "exposure"]),
    (Form::Value, &["value"]),
];

/// Keys that any law takes besides its own.
const BESIDE: &[&str] = &["scale", "per", "source", "basis"];

/// Reads the number at `node`; `None` after a finding.
pub(super) fn read(ctx: &Context, node: &Node, wanted: Wanted) -> Option<Num> {
    let Value::Table(entries) = &node.value else {
        let value = quantity(ctx, node, wanted.dimension)?;
        let law = Law::Fixed(value);
        return in_range(ctx, node, &law, wanted).then_some(Num {
            law,
            per: None,
            at: node.at,
        });
    };
    let form = form(ctx, node.at, entries)?;
    let table = LawTable {
        ctx,
        at: node.at,
        entries,
        wanted,
    };
    if !table.fits(form) {
        return None;
    }
    let law = table.law(form);
    let per = table.get("per").map(|n| ctx.word::<Per>(n));
    ctx.provenance(node.at, entries);
    let law = law?;
    if let Err(error) = law.check() {
        ctx.report(Finding::new(
            &rules::LAW_INVALID,
            node.at,
            error.to_string(),
        ));
        return None;
    }
    let per = match per {
        Some(None) => return None,
        Some(per) => per,
        None => None,
    };
    in_range(ctx, node, &law, wanted).then_some(Num {
        law,
        per,
        at: node.at,
    })
}

/// The number that a default of the registry spells. Defaults are written as in a file.
pub(super) fn default(text: &str, wanted: Wanted, at: At) -> Option<Num> {
    let value = units::parse(text, wanted.dimension).ok()?;
    Some(Num {
        law: Law::Fixed(value),
        per: None,
        at,
    })
}

/// Stands in for a number that could not be read, so that reading goes on. A scenario with one is
/// never handed out: there is a finding.
pub(super) fn placeholder(at: At) -> Num {
    Num {
        law: Law::Fixed(f64::NAN),
        per: None,
        at,
    }
}

/// A fixed quantity in SI.
pub(super) fn quantity(ctx: &Context, node: &Node, dimension: Dimension) -> Option<f64> {
    let value = match &node.value {
        Value::Text(text) if dimension == Dimension::Pure => {
            let what = format!("\"{text}\" is in quotes where a bare number is wanted");
            let remedy = "write the number without quotes and without a unit";
            ctx.report(Finding::new(&rules::WRONG_TYPE, node.at, what).remedy(remedy));
            return None;
        }
        Value::Text(text) => return with_unit(ctx, node.at, text, dimension),
        #[allow(clippy::cast_precision_loss)] // no count of ours comes near 2^53
        Value::Whole(n) => *n as f64,
        Value::Real(x) => *x,
        _ => {
            let example = dimension.example();
            let wanted = match dimension {
                Dimension::Pure => format!("a bare number or a law (for example {example})"),
                _ => format!("a quantity or a law (for example \"{example}\")"),
            };
            ctx.wrong(node, &wanted);
            return None;
        }
    };
    if dimension != Dimension::Pure {
        bare(ctx, node.at, value, dimension);
        return None;
    }
    if !value.is_finite() {
        let what = "the number is not finite";
        ctx.report(Finding::new(&rules::OUT_OF_RANGE, node.at, what));
        return None;
    }
    Some(value)
}

/// A quantity in quotes.
fn with_unit(ctx: &Context, at: At, text: &str, dimension: Dimension) -> Option<f64> {
    units::parse(text, dimension)
        .map_err(|error| {
            let error = error.to_string();
            // The sentence ends in advice, which has its own place in a finding.
            let (what, remedy) = match error.rsplit_once("; write ") {
                Some((what, advice)) => (what, format!("write {advice}")),
                None => (error.as_str(), dimension.example().to_string()),
            };
            ctx.report(Finding::new(&rules::BAD_QUANTITY, at, what).remedy(remedy));
        })
        .ok()
}

/// Reports a number without a unit, and shows the fix with the number that was written.
fn bare(ctx: &Context, at: At, value: f64, dimension: Dimension) {
    let usual = dimension.usual_units();
    let what = format!("{value} has no unit where {} is wanted", dimension.name());
    let unit = dimension.example().split_once(' ').map_or("", |(_, u)| u);
    let list = usual.join(", ");
    let remedy = format!("write \"{value} {unit}\", or another unit of: {list}");
    ctx.report(Finding::new(&rules::BARE_NUMBER, at, what).remedy(remedy));
}

/// Which form the keys of a table choose.
fn form(ctx: &Context, at: At, entries: &[Entry]) -> Option<Form> {
    let own: Vec<&str> = entries
        .iter()
        .map(|e| e.key.as_str())
        .filter(|key| !BESIDE.contains(key))
        .collect();
    let same = |keys: &[&str]| keys.len() == own.len() && keys.iter().all(|k| own.contains(k));
    if let Some((form, _)) = FORMS.iter().find(|(_, keys)| same(keys)) {
        return Some(*form);
    }
    let braces = |keys: &[&str]| format!("{{ {} }}", keys.join(", "));
    // Shared keys speak for a form, missing and foreign ones against it; a slip of the pen counts
    // as half shared.
    let likeness = |keys: &[&str]| {
        let best = |key: &&str| {
            let like = |o: &&str| strsim::jaro_winkler(key, o);
            own.iter().map(like).fold(0.0, f64::max)
        };
        let shared: f64 = keys.iter().map(best).sum();
        2.0 * shared / (keys.len() + own.len()) as f64
    };
    let nearest = FORMS
        .iter()
        .max_by(|a, b| likeness(a.1).total_cmp(&likeness(b.1)))
        .map_or(String::new(), |(_, keys)| braces(keys));
    let written = match own.is_empty() {
        true => "an empty table is no law".to_string(),
        false => format!("{} is no law", braces(&own)),
    };
    let all: Vec<String> = FORMS.iter().map(|(_, keys)| braces(keys)).collect();
    let remedy = format!("nearest is {nearest}; the laws are {}", all.join(", "));
    ctx.report(Finding::new(&rules::LAW_KEYS, at, written).remedy(remedy));
    None
}

/// A table that is a law.
struct LawTable<'a> {
    ctx: &'a Context,
    at: At,
    entries: &'a [Entry],
    wanted: Wanted,
}

impl LawTable<'_> {
    fn get(&self, key: &str) -> Option<&Node> {
        self.entries.iter().find(|e| e.key == key).map(|e| &e.node)
    }

    /// Does this form make sense for the number wanted? Reports if not.
    fn fits(&self, form: Form) -> bool {
        let wanted = self.wanted;
        if wanted.draw == Draw::Structural && form != Form::Value {
            return self.misfit("this number must be certain and a law is written");
        }
        let name = wanted.dimension.name();
        match form {
            Form::Probability | Form::FailuresDemands if !wanted.is_share() => self.misfit(
                &format!("a law of probabilities is written where {name} is wanted"),
            ),
            Form::EventsExposure if wanted.exposure().is_none() => self.misfit(&format!(
                "evidence of a rate is written where {name} is wanted"
            )),
            Form::Rate if wanted.exposure().is_none() && wanted.dimension != Dimension::Time => {
                self.misfit(&format!("a rate is written where {name} is wanted"))
            }
            Form::LifeShape if wanted.life.is_none() => {
                self.misfit(&format!("a law of lives is written where {name} is wanted"))
            }
            _ => self.scale_fits(form),
        }
    }

    fn misfit(&self, what: &str) -> bool {
        self.ctx
            .report(Finding::new(&rules::LAW_NOT_ALLOWED, self.at, what));
        false
    }

    fn scale_fits(&self, form: Form) -> bool {
        let Some(node) = self.get("scale") else {
            return true;
        };
        if !matches!(form, Form::LowHigh | Form::LowModeHigh) {
            return self.misfit("`scale` belongs to { low, high } and { low, mode, high } only");
        }
        match &node.value {
            Value::Text(text) if text == "log" => true,
            Value::Text(text) => {
                self.ctx.unknown_word(node.at, "scale", text, &["log"]);
                false
            }
            _ => {
                self.ctx.wrong(node, "\"log\"");
                false
            }
        }
    }

    /// The law of this form; every parameter is read before giving up, so that all are reported.
    fn law(&self, form: Form) -> Option<Law> {
        let d = self.wanted.dimension;
        let log = self.get("scale").is_some();
        match form {
            Form::Value => self.one("value", d).map(Law::Fixed),
            Form::LowModeHigh => {
                let (low, mode, high) =
                    (self.one("low", d), self.one("mode", d), self.one("high", d));
                let (low, mode, high) = (low?, mode?, high?);
                Some(match log {
                    true => Law::LogTriangular { low, mode, high },
                    false => Law::Triangular { low, mode, high },
                })
            }
            Form::LowHigh => {
                let (low, high) = self.two(("low", d), ("high", d))?;
                Some(match log {
                    true => Law::LogUniform { low, high },
                    false => Law::Uniform { low, high },
                })
            }
            Form::MeanSd => {
                let (mean, sd) = self.two(("mean", d), ("sd", d))?;
                Some(Law::Normal { mean, sd })
            }
            Form::MedianFactor => {
                let (median, error_factor) =
                    self.two(("median", d), ("error_factor", Dimension::Pure))?;
                Some(Law::Lognormal {
                    median,
                    error_factor,
                })
            }
            _ => self.hazard_law(form),
        }
    }

    /// Laws of failures, and evidence about them.
    fn hazard_law(&self, form: Form) -> Option<Law> {
        let d = self.wanted.dimension;
        match form {
            Form::LifeShape => {
                let life = ("life", self.wanted.life.unwrap_or(d));
                let (life, shape) = self.two(life, ("shape", Dimension::Pure))?;
                Some(Law::Weibull { life, shape })
            }
            // Where a rate or probability itself is wanted, naming it changes nothing.
            Form::Probability => self.one("probability", Dimension::Pure).map(Law::Fixed),
            Form::Rate if d == Dimension::Time => {
                let rate = self.one("rate", Dimension::PerTime)?;
                Some(Law::Exponential { rate })
            }
            Form::Rate => self.one("rate", d).map(Law::Fixed),
            Form::FailuresDemands => {
                let (failures, demands) =
                    self.two(("failures", Dimension::Pure), ("demands", Dimension::Pure))?;
                Some(Law::Evidence { failures, demands })
            }
            _ => {
                let exposure = ("exposure", self.wanted.exposure()?);
                let (events, exposure) = self.two(("events", Dimension::Pure), exposure)?;
                Some(Law::RateEvidence { events, exposure })
            }
        }
    }

    fn one(&self, key: &str, dimension: Dimension) -> Option<f64> {
        self.get(key)
            .and_then(|node| quantity(self.ctx, node, dimension))
    }

    fn two(&self, a: (&str, Dimension), b: (&str, Dimension)) -> Option<(f64, f64)> {
        let (a, b) = (self.one(a.0, a.1), self.one(b.0, b.1));
        Some((a?, b?))
    }
}

/// Are all values that the law can give within the range? Reports if not.
fn in_range(ctx: &Context, node: &Node, law: &Law, wanted: Wanted) -> bool {
    // A law of lives stands for a hazard, not for values of the key.
    let hazard = matches!(law, Law::Weibull { .. }) && wanted.dimension != Dimension::Time;
    if hazard {
        return true;
    }
    let (least, greatest) = (law.least(), law.greatest());
    let fits = match wanted.range {
        Range::Positive => least > 0.0 || (least == 0.0 && only_nears_zero(law)),
        Range::NonNegative => least >= 0.0,
        // A lognormal probability is capped at 1 in play, and the caps are counted.
        Range::Fraction if matches!(law, Law::Lognormal { .. }) => true,
        Range::Fraction => least >= 0.0 && greatest <= 1.0,
    };
    if !fits {
        let range = wanted.range.words();
        let what = match law {
            Law::Fixed(_) => format!("the value is not in its range, {range}"),
            _ => format!("the law can give values outside the range, {range}"),
        };
        let remedy = format!("write a value {range}; for a law, all values it can give");
        ctx.report(Finding::new(&rules::OUT_OF_RANGE, node.at, what).remedy(remedy));
    }
    fits
}

/// Is zero a bound that this law never reaches?
fn only_nears_zero(law: &Law) -> bool {
    matches!(
        law,
        Law::Lognormal { .. }
            | Law::Weibull { .. }
            | Law::Exponential { .. }
            | Law::Evidence { .. }
            | Law::RateEvidence { .. }
    )
}
