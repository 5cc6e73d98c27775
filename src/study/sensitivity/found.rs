//! From what a sweep estimated to indices: which analyses a design allows, of every measure of every
//! architecture and of every paired difference, which is what a choice depends on.

use super::effects::{Effect, elementary};
use super::regression::{Regression, partial_ranks, ranked, standardised};
use super::sobol::{Blocks, indices};
use super::swing::swing;
use super::{Index, Runs, log10, order};
use crate::base::stream::{self, Stream, fnv1a64};
use crate::model::Purpose;
use crate::study::sweep::answers::{Answers, Design};

/// How outputs were taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// as they are
    Plain,
    /// of probabilities, their logarithm: a decade counts as much as the next
    Log10,
}

impl Scale {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Scale::Plain => "plain",
            Scale::Log10 => "log10",
        }
    }
}

/// One index.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// the analysis
    pub analysis: &'static str,
    /// the factor; `None`: of all together
    pub factor: Option<usize>,
    /// the architecture
    pub architecture: usize,
    /// the architecture from which it differs: the outputs are paired differences
    pub reference: Option<usize>,
    /// the measure
    pub measure: usize,
    /// how outputs were taken
    pub scale: Scale,
    /// name of the index
    pub name: &'static str,
    /// Is it in the unit of the measure? Else it has none.
    pub in_units: bool,
    /// the index
    pub index: Index,
    /// place by size among the factors, from 1
    pub rank: Option<u64>,
}

/// One column of outputs.
struct Output {
    architecture: usize,
    reference: Option<usize>,
    measure: usize,
    scale: Scale,
    y: Vec<f64>,
    noise: Vec<f64>,
    /// Why there is no output on this scale.
    refused: Option<String>,
}

/// Every index that the design allows; `seed` is that of the resamples.
pub fn found(answers: &Answers, seed: u64) -> Vec<Found> {
    let outputs = outputs(answers);
    outputs.iter().flat_map(|o| of_output(answers, o, seed)).collect()
}

fn outputs(answers: &Answers) -> Vec<Output> {
    let mut all = Vec::new();
    for measure in 0..answers.measures.len() {
        for architecture in 0..answers.architectures.len() {
            let said = answers.said(architecture, measure);
            let known = |of: Option<(f64, Option<f64>)>| {
                of.map_or((f64::NAN, f64::NAN), |(mean, v)| (mean, v.unwrap_or(f64::NAN)))
            };
            let pairs = said.iter().map(|s| known(s.map(|s| (s.mean, s.var_of_mean))));
            let (y, noise): (Vec<f64>, Vec<f64>) = pairs.unzip();
            let plain = Output {
                architecture,
                reference: None,
                measure,
                scale: Scale::Plain,
                y,
                noise,
                refused: None,
            };
            let log = answers.measures[measure].probability.then(|| on_log(&plain));
            all.push(plain);
            all.extend(log);
        }
        for (pair, (reference, architecture)) in answers.pairs().enumerate() {
            let gaps = answers.gaps(pair, measure);
            let mean = |g: &Option<_>| g.map_or(f64::NAN, |g: crate::study::sweep::Gap| g.mean);
            let noise = |g: &Option<crate::study::sweep::Gap>| {
                g.and_then(|g| g.var_of_mean).unwrap_or(f64::NAN)
            };
            all.push(Output {
                architecture,
                reference: Some(reference),
                measure,
                scale: Scale::Plain,
                y: gaps.iter().map(mean).collect(),
                noise: gaps.iter().map(noise).collect(),
                refused: None,
            });
        }
    }
    all
}

fn on_log(plain: &Output) -> Output {
    let (y, noise, refused) = match log10(Runs { y: &plain.y, noise: &plain.noise }) {
        Ok((y, noise)) => (y, noise, None),
        Err(why) => (Vec::new(), Vec::new(), Some(why)),
    };
    let Output { architecture, reference, measure, .. } = *plain;
    Output { architecture, reference, measure, scale: Scale::Log10, y, noise, refused }
}

/// An analysis of one column: its name, that of the index, whether it has the unit of the measure,
/// and per factor the index.
struct Analysis {
    analysis: &'static str,
    name: &'static str,
    in_units: bool,
    factors: Vec<Index>,
    /// Of all factors together.
    whole: Option<Index>,
}

fn of_output(answers: &Answers, output: &Output, seed: u64) -> Vec<Found> {
    if let Some(why) = &output.refused {
        return vec![Found {
            analysis: name_of(&answers.design),
            factor: None,
            architecture: output.architecture,
            reference: output.reference,
            measure: output.measure,
            scale: output.scale,
            name: "none",
            in_units: false,
            index: Index::unknown(answers.points.len() as u64, why),
            rank: None,
        }];
    }
    let analyses = match &answers.design {
        Design::Saltelli { rows, second_order } => {
            let mut all = saltelli(answers, output, (*rows, *second_order), seed);
            let independent = independent_rows(answers, *rows, *second_order);
            all.extend(regressions(answers, output, &independent));
            all
        }
        Design::Trajectories { step, .. } => trajectories(answers, output, *step),
        Design::OneAtATime { levels } => one_at_a_time(answers, output, levels),
        Design::Grid { .. } | Design::LatinHypercube | Design::Sequence => {
            regressions(answers, output, &(0..answers.points.len()).collect::<Vec<_>>())
        }
    };
    analyses.into_iter().flat_map(|a| rows_of(output, a)).collect()
}

fn name_of(design: &Design) -> &'static str {
    match design {
        Design::Saltelli { .. } => SOBOL,
        Design::Trajectories { .. } => EFFECTS,
        Design::OneAtATime { .. } => ONE,
        Design::Grid { .. } | Design::LatinHypercube | Design::Sequence => REGRESSION,
    }
}

const SOBOL: &str = "Sobol' indices";
const EFFECTS: &str = "elementary effects";
const ONE: &str = "one at a time";
const REGRESSION: &str = "regression";
const RANKS: &str = "rank regression";
const PARTIAL: &str = "partial rank correlation";

fn rows_of(output: &Output, a: Analysis) -> Vec<Found> {
    let ranks = order(&a.factors.iter().map(|i| i.value).collect::<Vec<_>>());
    let row = |factor, index, rank| Found {
        analysis: a.analysis,
        factor,
        architecture: output.architecture,
        reference: output.reference,
        measure: output.measure,
        scale: output.scale,
        name: if factor.is_some() { a.name } else { "R2" },
        in_units: a.in_units,
        index,
        rank,
    };
    let ranked = a.factors.into_iter().zip(ranks).enumerate();
    let mut rows: Vec<Found> = ranked.map(|(i, (index, rank))| row(Some(i), index, rank)).collect();
    rows.extend(a.whole.map(|index| row(None, index, None)));
    rows
}

/// Luck of the resamples of one column.
fn draws(answers: &Answers, output: &Output, seed: u64) -> Stream {
    let name = |i: usize| answers.architectures[i].as_str();
    let reference = output.reference.map_or("", name);
    let measure = &answers.measures[output.measure].name;
    let (arm, scale) = (name(output.architecture), output.scale.word());
    let path = fnv1a64(&format!("{arm}/{reference}/{measure}/{scale}"));
    stream::Luck::new(seed).stream(0, path, 0, Purpose::Resample.address().0)
}

fn saltelli(
    answers: &Answers,
    output: &Output,
    (rows, second_order): (usize, bool),
    seed: u64,
) -> Vec<Analysis> {
    let k = answers.factors.len();
    let width = k * (1 + usize::from(second_order)) + 2;
    let column = |place: usize| -> (Vec<f64>, Vec<f64>) {
        (0..rows).map(|r| (output.y[r * width + place], output.noise[r * width + place])).unzip()
    };
    let columns: Vec<(Vec<f64>, Vec<f64>)> = (0..k + 2).map(column).collect();
    let runs = |i: usize| Runs { y: &columns[i].0, noise: &columns[i].1 };
    let blocks =
        Blocks { a: runs(0), b: runs(1), ab: (2..k + 2).map(runs).collect(), luck: answers.luck };
    let sobol = indices(&blocks, &mut draws(answers, output, seed));
    let analysis =
        |name, factors| Analysis { analysis: SOBOL, name, in_units: false, factors, whole: None };
    vec![analysis("first order", sobol.first), analysis("total", sobol.total)]
}

/// Points a and b of every row: the others repeat their coordinates.
fn independent_rows(answers: &Answers, rows: usize, second_order: bool) -> Vec<usize> {
    let width = answers.factors.len() * (1 + usize::from(second_order)) + 2;
    (0..rows).flat_map(|r| [r * width, r * width + 1]).collect()
}

fn trajectories(answers: &Answers, output: &Output, step: f64) -> Vec<Analysis> {
    let k = answers.factors.len();
    let mut effects: Vec<Vec<Effect>> = vec![Vec::new(); k];
    for from in (0..answers.points.len()).filter(|p| p % (k + 1) < k) {
        let unit = |p: usize, i: usize| answers.points[p].unit[i].unwrap_or(f64::NAN);
        let moved = |i: usize| unit(from + 1, i) - unit(from, i);
        let Some(i) = (0..k).find(|i| moved(*i).abs() > 0.5 * step) else { continue };
        let at = |p: usize| (output.y[p], output.noise[p]);
        effects[i].push(Effect::of(at(from), at(from + 1), moved(i)));
    }
    let found: Vec<_> = effects.iter().map(|e| elementary(e, answers.luck)).collect();
    let of = |name, pick: fn(&super::effects::Elementary) -> &Index| Analysis {
        analysis: EFFECTS,
        name,
        in_units: true,
        factors: found.iter().map(|e| pick(e).clone()).collect(),
        whole: None,
    };
    vec![of("mu star", |e| &e.mu_star), of("mu", |e| &e.mu), of("sigma", |e| &e.sigma)]
}

/// Point 0 is the base; then the levels of one factor after the other.
fn one_at_a_time(answers: &Answers, output: &Output, levels: &[usize]) -> Vec<Analysis> {
    let at = |p: usize| (output.y[p], output.noise[p]);
    let mut ends = Vec::new();
    let mut first = 1;
    for n in levels {
        ends.push((*n > 0).then_some((first, first + n.saturating_sub(1))));
        first += n;
    }
    let of = |name, pair: &dyn Fn((usize, usize)) -> (usize, usize)| {
        let index = |e: &Option<(usize, usize)>| match e {
            None => Index::unknown(0, "the factor has no level"),
            Some(e) => {
                let (from, to) = pair(*e);
                swing(at(from), at(to), answers.luck)
            }
        };
        let factors = ends.iter().map(index).collect();
        Analysis { analysis: ONE, name, in_units: true, factors, whole: None }
    };
    vec![
        of("swing", &|(low, high)| (low, high)),
        of("low end", &|(low, _)| (0, low)),
        of("high end", &|(_, high)| (0, high)),
    ]
}

fn regressions(answers: &Answers, output: &Output, points: &[usize]) -> Vec<Analysis> {
    let position = |i: usize| move |p: &usize| answers.points[*p].unit[i].unwrap_or(f64::NAN);
    let columns: Vec<Vec<f64>> =
        (0..answers.factors.len()).map(|i| points.iter().map(position(i)).collect()).collect();
    let factors: Vec<&[f64]> = columns.iter().map(Vec::as_slice).collect();
    let y: Vec<f64> = points.iter().map(|p| output.y[*p]).collect();
    let noise: Vec<f64> = points.iter().map(|p| output.noise[*p]).collect();
    let runs = Runs { y: &y, noise: &noise };
    let of = |analysis, r: Regression| Analysis {
        analysis,
        name: "coefficient",
        in_units: false,
        factors: r.coefficients,
        whole: Some(r.r2),
    };
    let partial = Analysis {
        analysis: PARTIAL,
        name: "correlation",
        in_units: false,
        factors: partial_ranks(&factors, runs),
        whole: None,
    };
    let by_rank = ranked(&factors, runs);
    vec![of(REGRESSION, standardised(&factors, runs, answers.luck)), of(RANKS, by_rank), partial]
}

#[cfg(test)]
mod tests;
