//! Numbers as written: a quantity with its unit, or a law as a table of its parameters.

use super::context::Context;
use super::finding::Finding;
use super::key::{Draw, Range};
use super::law_form;
use super::rules;
use super::spec::{At, Num};
use super::tree::{Node, Value};
use super::vocabulary::Per;
use crate::base::law::Law;
use crate::base::units::{self, Dimension};

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
    /// Values outside are asked about.
    pub plausible: Option<(&'static str, &'static str)>,
}

impl Wanted {
    /// As a registry key says.
    pub fn new(dimension: Dimension, draw: Draw, range: Range) -> Self {
        let life = (dimension == Dimension::Time).then_some(Dimension::Time);
        Wanted { dimension, draw, range, life, plausible: None }
    }

    /// A share or probability.
    pub fn share(draw: Draw) -> Self {
        Wanted::new(Dimension::Pure, draw, Range::Fraction)
    }

    /// A time of zero or more.
    pub fn time(draw: Draw) -> Self {
        Wanted::new(Dimension::Time, draw, Range::NonNegative)
    }

    /// Is a share or probability wanted?
    pub fn is_share(self) -> bool {
        self.dimension == Dimension::Pure && self.range == Range::Fraction
    }

    /// What a rate is counted per: time for `1/s`, length for `1/m`.
    pub fn exposure(self) -> Option<Dimension> {
        match self.dimension {
            Dimension::PerTime => Some(Dimension::Time),
            Dimension::PerLength => Some(Dimension::Length),
            _ => None,
        }
    }
}

/// Reads the number at `node`; `None` after a finding.
pub(super) fn read(ctx: &Context, node: &Node, wanted: Wanted) -> Option<Num> {
    let Value::Table(entries) = &node.value else {
        let value = quantity(ctx, node, wanted.dimension)?;
        let law = Law::Fixed(value);
        let fits = in_range(ctx, node, &law, wanted);
        let fits = fits && ask_about(ctx, node, &law, wanted);
        return fits.then_some(Num { law, per: None, at: node.at });
    };
    let law = law_form::read(ctx, node.at, entries, wanted);
    // A `per` that cannot be read is a finding of its own, so the law is of no use either.
    let per = match node.get("per") {
        Some(entry) => ctx.word::<Per>(&entry.node).map(Some),
        None => Some(None),
    };
    ctx.provenance(node.at, entries);
    let (law, per) = (law?, per?);
    if let Err(error) = law.check() {
        let finding = Finding::new(&rules::LAW_INVALID, node.at, error.to_string());
        ctx.report(finding);
        return None;
    }
    let fits = in_range(ctx, node, &law, wanted);
    let fits = fits && ask_about(ctx, node, &law, wanted);
    fits.then_some(Num { law, per, at: node.at })
}

/// The number that a default of the registry spells. Defaults are written as in a file.
pub(super) fn default(text: &str, wanted: Wanted, at: At) -> Option<Num> {
    let value = units::parse(text, wanted.dimension).ok()?;
    Some(Num { law: Law::Fixed(value), per: None, at })
}

/// Stands in for a number that could not be read, so that reading goes on. A scenario with one is
/// never handed out: there is a finding.
pub(super) fn placeholder(at: At) -> Num {
    Num { law: Law::Fixed(f64::NAN), per: None, at }
}

/// A fixed quantity in SI.
pub(super) fn quantity(ctx: &Context, node: &Node, dimension: Dimension) -> Option<f64> {
    let value = match &node.value {
        Value::Text(text) if dimension == Dimension::Pure => {
            let what = format!("\"{text}\" is in quotes where a bare number is expected");
            let remedy = match units::mended(text, dimension) {
                Some(number) => format!("write {number}, without quotes and without a unit"),
                None => "write the number without quotes and without a unit".to_string(),
            };
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
            let remedy = match units::mended(text, dimension) {
                Some(meant) => format!("write \"{meant}\""),
                None => remedy,
            };
            ctx.report(Finding::new(&rules::BAD_QUANTITY, at, what).remedy(remedy));
        })
        .ok()
}

/// Reports a number without a unit, and shows the fix with the number that was written.
fn bare(ctx: &Context, at: At, value: f64, dimension: Dimension) {
    let usual = dimension.usual_units();
    let what = format!("{value} has no unit where {} is expected", dimension.name());
    let unit = dimension.example().split_once(' ').map_or("", |(_, u)| u);
    let list = usual.join(", ");
    let remedy = format!("write \"{value} {unit}\", or another unit of: {list}");
    ctx.report(Finding::new(&rules::BARE_NUMBER, at, what).remedy(remedy));
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
            Law::Fixed(_) => format!("the value is outside the allowed range, {range}"),
            _ => format!("the law can give values outside the allowed range, {range}"),
        };
        let share = Range::Fraction == wanted.range && (1.0..=100.0).contains(&greatest);
        let remedy = match law {
            Law::Fixed(x) if share => {
                format!("a share is meant, not per cent: write {}", x / 100.0)
            }
            _ => format!(
                "write a value {range}; every value that a law can give must be in the range"
            ),
        };
        ctx.report(Finding::new(&rules::OUT_OF_RANGE, node.at, what).remedy(remedy));
    }
    fits
}

/// So many times outside what is usual a number cannot be meant: nothing could be worked out with it.
const BEYOND: f64 = 1e6;

/// Asks about a value, or a mean of a law, that nobody in the trade would expect; false where it is so
/// far off that it cannot be meant.
fn ask_about(ctx: &Context, node: &Node, law: &Law, wanted: Wanted) -> bool {
    let Some((least, most)) = wanted.plausible else { return true };
    let (Ok(low), Ok(high)) =
        (units::parse(least, wanted.dimension), units::parse(most, wanted.dimension))
    else {
        return true; // the test of the registry reads every one
    };
    let value = law.mean();
    // Zero is "none", and rounding must not make an end of the range a finding.
    let near = |x: f64| 1e-9 * x.abs();
    if value == 0.0 || value >= low - near(low) && value <= high + near(high) {
        return true;
    }
    let shown = units::show(value, wanted.dimension);
    let written = match &node.value {
        Value::Text(text) if *text != shown => format!("\"{text}\" = "),
        _ => String::new(),
    };
    let mean = if law.fixed().is_some() { "" } else { " on the mean" };
    let beyond = value > high * BEYOND || value < low / BEYOND;
    let (rule, far) = match beyond {
        true => (&rules::OUT_OF_RANGE, ", too far off to be intended"),
        false => (&rules::UNUSUAL, ""),
    };
    let what = format!("{written}{shown}{mean}, where {least} to {most} is usual{far}");
    ctx.report(Finding::new(rule, node.at, what));
    !beyond
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
