//! What is worth knowing: the value of information for the decision of a campaign file, from a run
//! with parameter sets.
//!
//! | file | what |
//! |---|---|
//! | [`books`] | what is kept of each set while it is played |
//! | [`gain`] | the value of knowing parameters, from losses by set: no word of the domain |
//! | [`fit`] | regression of losses on parameters |
//! | `limit` | a limit that must be met as a loss |
//!
//! The loss of an architecture in a set is its weighted total, or 1 where it misses the limit there, else
//! 0: then the value is a gain in the probability that the limit is met.

pub mod books;
pub mod fit;
pub mod gain;
mod limit;

pub use books::Books;
pub use gain::{Gain, Verdict};

use crate::base::stream::{Luck, fnv1a64};
use crate::measure::MEASURES;
use crate::model::{Goes, Model, Purpose};
use crate::scenario::stands_for;
use gain::Losses;
use rayon::prelude::*;

/// What one would come to know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Known {
    /// Everything.
    All,
    /// A group of the file.
    Group(String),
    /// One parameter, by file and key path.
    Parameter(String),
}

/// What it is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// what one would know
    pub known: Known,
    /// number of parameters
    pub parameters: usize,
    /// what it is worth; architectures are places in [`Value::arms`]
    pub gain: Gain,
}

/// What is worth knowing for a decision.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// architectures to choose from
    pub arms: Vec<usize>,
    /// the one that is chosen now, a place in `arms`; `None` where no set has all measures
    pub now: Option<usize>,
    /// mean loss of each
    pub means: Vec<f64>,
    /// everything first, then groups and parameters
    pub worth: Vec<Worth>,
    /// sets left out because a measure has no value in them
    pub left_out: u64,
}

/// Losses of the architectures and what simulation noise each has, over the sets with all measures.
struct Table {
    sets: Vec<u64>,
    losses: Vec<Vec<f64>>,
    errors: Option<Vec<Vec<f64>>>,
    note: String,
    /// noise covers what the choice goes by: that nothing changes it cannot be said
    blind: bool,
}

impl Table {
    /// What is said of a gain for the noise of the sets.
    fn judge(&self, gain: &mut Gain) {
        if self.blind && gain.verdict == Verdict::Cannot {
            gain.verdict = Verdict::Unclear;
            gain.note.clear();
        }
        add(&mut gain.note, &self.note);
    }
}

/// The value of everything, of each group and each parameter; `None` without a decision. The last set
/// must be whole.
pub fn value(model: &Model, books: &Books) -> Option<Value> {
    let decision = model.review.decision.as_ref()?;
    let mut table = table(model, books, decision.goes);
    let margins = match decision.goes {
        Goes::ByTotal(_) => None,
        Goes::ByLimit(l) => Some(limit::by_limit(&mut table, &model.review.limits[l])),
    };
    let arms = decision.arms.clone();
    let left_out = books.sets() - table.sets.len() as u64;
    let Some(losses) = Losses::new(&table.losses, table.errors.as_deref()) else {
        return Some(Value { arms, now: None, means: vec![], worth: vec![], left_out });
    };
    let parameters = Parameters::of(model, &table.sets);
    let mut perfect = losses.perfect();
    table.judge(&mut perfect);
    let all = Worth { known: Known::All, parameters: parameters.names.len(), gain: perfect };
    let asked = parameters.asked(&decision.groups);
    let luck = Luck::new(model.seed);
    let worth = asked.into_par_iter().map(|(known, picked)| {
        let name = match &known {
            Known::All => "",
            Known::Group(name) | Known::Parameter(name) => name,
        };
        let path = fnv1a64(&format!("value of {name}"));
        let mut draws = luck.stream(0, path, 0, Purpose::Resample.address().0);
        let slices: Vec<&[f64]> = picked.iter().map(|i| parameters.values[*i].as_slice()).collect();
        let mut gain = match &margins {
            None => losses.of(&slices, &mut draws),
            Some(margins) => margins.of(&slices, &mut draws),
        };
        table.judge(&mut gain);
        Worth { known, parameters: picked.len(), gain }
    });
    let worth: Vec<Worth> = worth.collect();
    Some(Value {
        arms,
        now: Some(losses.now()),
        means: losses.mean_losses().to_vec(),
        worth: std::iter::once(all).chain(worth).collect(),
        left_out,
    })
}

fn add(note: &mut String, more: &str) {
    if !more.is_empty() {
        if !note.is_empty() {
            note.push_str("; ");
        }
        note.push_str(more);
    }
}

/// Values of what is not known, parameter by parameter over the sets.
struct Parameters {
    names: Vec<String>,
    values: Vec<Vec<f64>>,
}

impl Parameters {
    /// Drawn again: a set is its number and the seed.
    fn of(model: &Model, sets: &[u64]) -> Parameters {
        let luck = Luck::new(model.seed);
        let mut set = Vec::new();
        model.params.prepare(luck, &mut set);
        let (index, names): (Vec<usize>, Vec<String>) =
            model.params.unknown().map(|(i, name)| (i, name.to_string())).unzip();
        let mut values = vec![Vec::with_capacity(sets.len()); index.len()];
        for number in sets {
            model.params.draw(luck, *number, &mut set, |_| ());
            values.iter_mut().zip(&index).for_each(|(v, i)| v.push(set[*i]));
        }
        Parameters { names, values }
    }

    /// Groups of the file, then every parameter.
    fn asked(&self, groups: &[(String, Vec<String>)]) -> Vec<(Known, Vec<usize>)> {
        let of = |entries: &[String]| {
            let named = |i: &usize| entries.iter().any(|e| stands_for(e, &self.names[*i]));
            (0..self.names.len()).filter(named).collect::<Vec<_>>()
        };
        let groups = groups.iter().map(|(name, e)| (Known::Group(name.clone()), of(e)));
        // What two architectures have under one name is drawn alike, and known at once.
        let first = |i: &usize| !self.names[..*i].contains(&self.names[*i]);
        let like =
            |i: usize| (i..self.names.len()).filter(move |j| self.names[*j] == self.names[i]);
        let singles = (0..self.names.len())
            .filter(first)
            .map(|i| (Known::Parameter(self.names[i].clone()), like(i).collect()));
        groups.chain(singles).collect()
    }
}

fn table(model: &Model, books: &Books, goes: Goes) -> Table {
    let arms = model.review.decision.as_ref().map_or(0, |d| d.arms.len());
    // Per measure: what a unit of it counts as a loss.
    let weights: Vec<f64> = match goes {
        Goes::ByTotal(r) => {
            let r = &model.review.rankings[r];
            r.columns.iter().zip(&r.weights).map(|(c, w)| w * MEASURES[*c].sense()).collect()
        }
        Goes::ByLimit(_) => vec![1.0],
    };
    let total = |set: usize, arm: usize| -> Option<(f64, f64)> {
        let mut parts = weights
            .iter()
            .enumerate()
            .map(|(c, w)| books.mean(set, arm, c).map(|(mean, error)| (w * mean, w * error)));
        parts.try_fold((0.0, 0.0), |sum, part| part.map(|p| (sum.0 + p.0, sum.1 + p.1)))
    };
    let mut t = Table {
        sets: Vec::new(),
        losses: vec![Vec::new(); arms],
        errors: Some(vec![Vec::new(); arms]),
        note: String::new(),
        blind: false,
    };
    for set in 0..books.sets() as usize {
        let row: Option<Vec<(f64, f64)>> = (0..arms).map(|a| total(set, a)).collect();
        let Some(row) = row else { continue };
        t.sets.push(set as u64);
        for (a, (loss, error)) in row.into_iter().enumerate() {
            t.losses[a].push(loss);
            t.errors.iter_mut().for_each(|e| e[a].push(error));
        }
    }
    if t.errors.iter().flatten().flatten().any(|e| e.is_nan()) {
        t.errors = None;
    }
    t
}
