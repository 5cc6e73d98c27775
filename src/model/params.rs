//! Numbers that are not known for certain: one value per campaign for each.

use super::purpose;
use crate::law::{Law, Prepared};
use crate::scenario::{Num, Per, Sources};
use crate::stream::{Luck, fnv1a64};

/// Index of a parameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct P(pub u16);

impl P {
    /// Its value in this campaign.
    #[inline]
    pub fn of(self, values: &[f64]) -> f64 {
        values[self.0 as usize]
    }
}

/// A number that varies from occasion to occasion.
#[derive(Clone, Debug)]
pub enum Vary {
    /// The same always.
    Fixed(f64),
    /// One value per campaign.
    Once(P, f64),
    /// Drawn each time: law and mean.
    Law(Prepared, f64),
}

impl Vary {
    /// The value, drawing only when it must.
    #[inline]
    pub fn value(&self, values: &[f64], uniform: impl FnOnce() -> f64) -> f64 {
        match self {
            Vary::Fixed(x) => *x,
            Vary::Once(p, _) => p.of(values),
            Vary::Law(law, _) => law.quantile(uniform()),
        }
    }
    /// Its mean.
    pub fn mean(&self) -> f64 {
        match self {
            Vary::Fixed(x) => *x,
            Vary::Once(_, mean) | Vary::Law(_, mean) => *mean,
        }
    }
    /// Does it draw?
    pub fn draws(&self) -> bool {
        matches!(self, Vary::Law(..))
    }
}

/// One parameter.
#[derive(Clone, Debug)]
struct Param {
    law: Law,
    prepared: Prepared,
    hash: u64,
    study: bool,
}

/// All parameters. Identical entries (same key path, same law) share one value, whatever the
/// architecture: what is known about a part does not depend on what it is compared with.
#[derive(Clone, Debug, Default)]
pub struct Params {
    list: Vec<Param>,
    names: Vec<String>,
}

impl Params {
    /// Adds the number written at a place and says where its value will stand.
    pub fn add(&mut self, sources: &Sources, num: &Num) -> P {
        let place = &sources.places[num.at.0 as usize];
        let name = format!("{}:{}", stem(sources, place.file), without_architecture(&place.path));
        self.named(&name, num.law, num.per == Some(Per::Study))
    }

    /// Adds a fixed number.
    pub fn fixed(&mut self, x: f64) -> P {
        self.named("fixed", Law::Fixed(x), false)
    }

    fn named(&mut self, name: &str, law: Law, study: bool) -> P {
        let law = settled(law);
        let same = |(p, n): (&Param, &String)| p.law == law && (law.is_fixed() || n == name);
        if let Some(i) = self.list.iter().zip(&self.names).position(same) {
            return P(i as u16);
        }
        let prepared = Prepared::new(law);
        self.list.push(Param { law, prepared, hash: fnv1a64(name), study });
        self.names.push(name.into());
        P((self.list.len() - 1) as u16)
    }

    /// Number of parameters that are drawn.
    pub fn drawn(&self) -> usize {
        self.list.iter().filter(|p| !p.law.is_fixed()).count()
    }

    /// Mean of a parameter.
    pub fn mean(&self, p: P) -> f64 {
        self.list[p.0 as usize].law.mean()
    }

    /// Fills `out` with the values that do not change and makes room for the others.
    pub fn prepare(&self, luck: Luck, out: &mut Vec<f64>) {
        out.clear();
        out.extend(self.list.iter().map(|p| p.law.fixed().unwrap_or(0.0)));
        for (x, p) in out.iter_mut().zip(&self.list).filter(|(_, p)| p.study) {
            *x = p.prepared.quantile(luck.uniform(u64::MAX, p.hash, 0, purpose::PARAMETER, 0));
        }
    }

    /// Draws the parameter set of a campaign into `out`, which [`Params::prepare`] has laid out.
    pub fn draw(&self, luck: Luck, campaign: u64, out: &mut [f64]) {
        for (x, p) in out.iter_mut().zip(&self.list) {
            if !p.law.is_fixed() && !p.study {
                *x = p.prepared.quantile(luck.uniform(campaign, p.hash, 0, purpose::PARAMETER, 0));
            }
        }
    }
}

/// A Bernoulli or exponential law stands for its probability or rate, which is certain.
fn settled(law: Law) -> Law {
    match law {
        Law::Bernoulli { probability } => Law::Fixed(probability),
        Law::Exponential { rate } => Law::Fixed(rate),
        other => other,
    }
}

fn stem(sources: &Sources, file: u16) -> &str {
    let name = sources.files.get(file as usize).map_or("", String::as_str);
    let base = name.rsplit('/').next().unwrap_or(name);
    base.strip_suffix(".toml").unwrap_or(base)
}

/// `architecture.X.element.Y.z` is the same thing as `element.Y.z` in another architecture.
fn without_architecture(path: &str) -> &str {
    let Some(rest) = path.strip_prefix("architecture.") else {
        return path;
    };
    match rest.find(".element.") {
        Some(i) => &rest[i + 1..],
        None => path,
    }
}
