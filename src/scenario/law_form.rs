//! Laws as tables: which law the keys choose, whether it fits the number wanted, its parameters.

use super::context::Context;
use super::finding::Finding;
use super::key::Draw;
use super::number::{Wanted, quantity};
use super::rules;
use super::spec::At;
use super::tree::{Entry, Node, Value};
use crate::base::law::Law;
use crate::base::units::Dimension;

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

/// The keys of each form.
pub(super) fn forms() -> impl Iterator<Item = &'static [&'static str]> {
    FORMS.iter().map(|(_, keys)| *keys)
}

/// Keys that any law takes besides its own.
const BESIDE: &[&str] = &["scale", "per", "source", "basis"];

/// Reads the law that `entries` spell; `None` after a finding. Its parameters are not yet judged.
pub(super) fn read(ctx: &Context, at: At, entries: &[Entry], wanted: Wanted) -> Option<Law> {
    let form = form(ctx, at, entries)?;
    let table = LawTable { ctx, at, entries, wanted };
    if !table.fits(form) {
        return None;
    }
    table.law(form)
}

/// Which form the keys of a table choose.
fn form(ctx: &Context, at: At, entries: &[Entry]) -> Option<Form> {
    let own: Vec<&str> =
        entries.iter().map(|e| e.key.as_str()).filter(|key| !BESIDE.contains(key)).collect();
    let same = |keys: &[&str]| keys.len() == own.len() && keys.iter().all(|k| own.contains(k));
    if let Some((form, _)) = FORMS.iter().find(|(_, keys)| same(keys)) {
        return Some(*form);
    }
    no_law(ctx, at, &own);
    None
}

/// Keys of a table in braces, as in documentation.
fn braces(keys: &[&str]) -> String {
    format!("{{ {} }}", keys.join(", "))
}

/// Reports keys that choose no law, and names the law that was probably meant.
fn no_law(ctx: &Context, at: At, own: &[&str]) {
    // For each key of a form the most similar key written speaks for it, so that a slip of the pen
    // counts nearly as the key; missing and foreign keys lower the share.
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
    let what = match own.is_empty() {
        true => "an empty table is no law".to_string(),
        false => format!("{} is no law", braces(own)),
    };
    let all: Vec<String> = FORMS.iter().map(|(_, keys)| braces(keys)).collect();
    let remedy = format!("nearest is {nearest}; the laws are {}", all.join(", "));
    ctx.report(Finding::new(&rules::LAW_KEYS, at, what).remedy(remedy));
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
            return self.misfit("this number must be certain, but a law is written");
        }
        if form == Form::Value && self.get("per").is_some() {
            return self.misfit(
                "`per` says how often a law is drawn, but a fixed value is never \
                drawn",
            );
        }
        let name = wanted.dimension.name();
        match form {
            Form::Probability | Form::FailuresDemands if !wanted.is_share() => {
                self.misfit(&format!("a law of probabilities is written where {name} is expected"))
            }
            Form::EventsExposure if wanted.exposure().is_none() => {
                self.misfit(&format!("evidence of a rate is written where {name} is expected"))
            }
            Form::Rate if wanted.exposure().is_none() && wanted.dimension != Dimension::Time => {
                self.misfit(&format!("a rate is written where {name} is expected"))
            }
            Form::LifeShape if wanted.life.is_none() => {
                self.misfit(&format!("a law of lives is written where {name} is expected"))
            }
            _ => self.scale_fits(form),
        }
    }

    fn misfit(&self, what: &str) -> bool {
        self.ctx.report(Finding::new(&rules::LAW_NOT_ALLOWED, self.at, what));
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
                Some(Law::Lognormal { median, error_factor })
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
        self.get(key).and_then(|node| quantity(self.ctx, node, dimension))
    }

    fn two(&self, a: (&str, Dimension), b: (&str, Dimension)) -> Option<(f64, f64)> {
        let (a, b) = (self.one(a.0, a.1), self.one(b.0, b.1));
        Some((a?, b?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::law::LAWS;
    use std::collections::BTreeSet;

    #[test]
    fn the_forms_are_those_of_the_registry_of_laws() {
        let forms: BTreeSet<_> = FORMS.iter().map(|(_, keys)| braces(keys)).collect();
        // `{ value }` is the fixed law with a place for its source.
        let laws = LAWS.iter().map(|law| match law.name {
            "fixed" => "{ value }".to_string(),
            _ => law.written.replace(", scale = \"log\"", ""),
        });
        assert_eq!(forms, laws.collect());
    }
}
