//! Numbers that are not known for certain: one value per parameter set for each. A set belongs to
//! one campaign, or with an outer loop to `inner` campaigns.

use super::Purpose;
use crate::base::law::{Law, Prepared};
use crate::base::stream::{Luck, fnv1a64};
use crate::scenario::{At, Num, Per, Sources};

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
    /// A lognormal law of a probability: where it was written. Values above 1 count as 1.
    capped: Option<At>,
}

/// All parameters. Identical entries (same key path, same law) share one value, whatever the
/// architecture: what is known about a part does not depend on what it is compared with.
#[derive(Clone, Debug, Default)]
pub struct Params {
    list: Vec<Param>,
    names: Vec<String>,
    /// Where lognormal laws of probabilities stand.
    shares: Vec<At>,
}

/// How often a lognormal law of a probability was drawn above 1 and counted as 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caps {
    /// Where the law was written.
    pub at: At,
    /// Draws above 1.
    pub times: u64,
    /// Draws in all.
    pub of: u64,
}

impl Params {
    /// No parameter yet; `shares` tells where lognormal laws of probabilities stand.
    pub fn new(shares: Vec<At>) -> Params {
        Params { shares, ..Params::default() }
    }

    /// Adds the number written at a place and says where its value will stand.
    pub fn add(&mut self, sources: &Sources, num: &Num) -> P {
        self.named(&sources.parameter(num.at), num)
    }

    /// As [`Params::add`], with a value of its own for one part of several that the number is
    /// written for: what is known of one is not known of the others.
    pub fn add_for(&mut self, sources: &Sources, num: &Num, part: &str) -> P {
        self.named(&format!("{} of {part}", sources.parameter(num.at)), num)
    }

    /// Adds a fixed number.
    pub fn fixed(&mut self, x: f64) -> P {
        self.named("fixed", &Num { law: Law::Fixed(x), per: None, at: At::default() })
    }

    fn named(&mut self, name: &str, num: &Num) -> P {
        let law = settled(num.law);
        let same = |(p, n): (&Param, &String)| p.law == law && (law.is_fixed() || n == name);
        if let Some(i) = self.list.iter().zip(&self.names).position(same) {
            return P(i as u16);
        }
        self.list.push(Param {
            law,
            prepared: Prepared::new(law),
            hash: fnv1a64(name),
            study: num.per == Some(Per::Study),
            capped: Some(num.at).filter(|at| self.shares.contains(at)),
        });
        self.names.push(name.into());
        P((self.list.len() - 1) as u16)
    }

    /// Number of parameters that are drawn.
    pub fn drawn(&self) -> usize {
        self.list.iter().filter(|p| !p.law.is_fixed()).count()
    }

    /// Those that a parameter set draws, by index and name ([`Sources::parameter`]).
    pub fn unknown(&self) -> impl Iterator<Item = (usize, &str)> {
        let drawn = |(_, p): &(usize, &Param)| !p.law.is_fixed() && !p.study;
        self.list.iter().enumerate().filter(drawn).map(|(i, _)| (i, self.names[i].as_str()))
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
            *x = p.capped(p.value(luck, u64::MAX));
        }
    }

    /// Draws a parameter set into `out`, which [`Params::prepare`] has laid out; tells `capped` the
    /// index of every lognormal probability that was above 1 and counts as 1.
    pub fn draw(&self, luck: Luck, set: u64, out: &mut [f64], mut capped: impl FnMut(usize)) {
        for (i, (x, p)) in out.iter_mut().zip(&self.list).enumerate() {
            if !p.law.is_fixed() && !p.study {
                *x = p.value(luck, set);
                if *x > 1.0 && p.capped.is_some() {
                    *x = 1.0;
                    capped(i);
                }
            }
        }
    }

    /// Number of parameters, the fixed ones included.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Is there none?
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// By the place of the law: how often each lognormal probability was above 1, from counts by
    /// index over `sets` parameter sets (see [`Params::draw`]).
    pub fn caps(&self, luck: Luck, above: &[u64], sets: u64) -> Vec<Caps> {
        let mut all: Vec<Caps> = Vec::new();
        for (p, drawn) in self.list.iter().zip(above) {
            let Some(at) = p.capped else { continue };
            let (times, of) = match p.study {
                true => (u64::from(p.value(luck, u64::MAX) > 1.0), 1),
                false => (*drawn, sets),
            };
            match all.iter_mut().find(|c| c.at == at) {
                Some(c) => (c.times, c.of) = (c.times + times, c.of + of),
                None => all.push(Caps { at, times, of }),
            }
        }
        all.retain(|c| c.times > 0);
        all
    }
}

impl Param {
    fn value(&self, luck: Luck, set: u64) -> f64 {
        self.prepared.quantile(Purpose::Parameter.draw(luck, set, self.hash, 0))
    }

    fn capped(&self, x: f64) -> f64 {
        if self.capped.is_some() { x.min(1.0) } else { x }
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
