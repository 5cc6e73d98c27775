//! What is worth knowing: the value of information for the decision of a campaign file, from a run
//! with parameter sets.
//!
//! | file | what |
//! |---|---|
//! | [`books`] | what is kept of each set while it is played |
//! | [`gain`] | the value of knowing parameters, from losses by set: no word of the domain |
//! | [`fit`] | regression of losses on parameters |
//!
//! The loss of an architecture in a set is its weighted total, or whether it misses the limit there.
//! A set of few campaigns misses a limit also by chance; so means of sets are first drawn in towards
//! their mean until their variance is that without simulation noise.

pub mod books;
pub mod fit;
pub mod gain;

pub use books::Books;
pub use gain::{Gain, Verdict};

use crate::base::stream::{Luck, fnv1a64};
use crate::measure::MEASURES;
use crate::model::{Goes, Limit, Model, Purpose};
use crate::scenario::stands_for;
use crate::stats::moments::Moments;
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
}

/// The value of everything, of each group and each parameter; `None` without a decision. The last set
/// must be whole.
pub fn value(model: &Model, books: &Books) -> Option<Value> {
    let decision = model.review.decision.as_ref()?;
    let table = table(model, books, decision.goes);
    let arms = decision.arms.clone();
    let left_out = books.sets() - table.sets.len() as u64;
    let Some(losses) = Losses::new(&table.losses, table.errors.as_deref()) else {
        return Some(Value { arms, now: None, means: vec![], worth: vec![], left_out });
    };
    let parameters = Parameters::of(model, &table.sets);
    let mut perfect = losses.perfect();
    add(&mut perfect.note, &table.note);
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
        let mut gain = losses.of(&slices, &mut draws);
        add(&mut gain.note, &table.note);
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
        let names = self.names.iter().enumerate();
        let singles = names.map(|(i, name)| (Known::Parameter(name.clone()), vec![i]));
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
    if let Goes::ByLimit(l) = goes {
        by_limit(&mut t, &model.review.limits[l]);
    }
    t
}

/// Above this share of simulation noise in the spread of sets a limit is judged with care.
const NOISY: f64 = 0.1;

/// From means of sets to whether each misses the limit: 1 or 0.
fn by_limit(t: &mut Table, limit: &Limit) {
    let mut worst: f64 = 0.0;
    for (a, means) in t.losses.iter_mut().enumerate() {
        let all: Moments = means.iter().copied().collect();
        let spread = all.variance().unwrap_or(0.0);
        let errors = t.errors.as_ref().map(|e| &e[a]);
        let square = |e: &Vec<f64>| e.iter().map(|e| e * e).sum::<f64>() / e.len().max(1) as f64;
        let noise = errors.map_or(0.0, square);
        let share = if spread > 0.0 { (noise / spread).min(1.0) } else { 0.0 };
        worst = worst.max(share);
        for m in means.iter_mut() {
            let drawn_in = all.mean + (1.0 - share).sqrt() * (*m - all.mean);
            let met = if limit.below { drawn_in < limit.bound } else { drawn_in > limit.bound };
            *m = f64::from(u8::from(!met));
        }
    }
    t.note = match t.errors {
        None => "simulation noise of a set is not known: it counts as missing the limit".into(),
        Some(_) if worst > NOISY => format!(
            "{:.0} % of the spread of sets is simulation noise, drawn in: more campaigns per set",
            100.0 * worst
        ),
        Some(_) => String::new(),
    };
    // What is left has no noise of its own.
    let rows = t.sets.len();
    t.errors.iter_mut().flatten().for_each(|e| *e = vec![0.0; rows]);
}
