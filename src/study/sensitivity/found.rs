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
mod tests {
    use super::*;
    use crate::study::sweep::answers::{Factor, Gap, Luck, Measured, Point, Said};

    /// Answers of two architectures with outputs f and g at the points.
    fn answers(
        design: Design,
        points: Vec<Vec<Option<f64>>>,
        f: &dyn Fn(&[f64]) -> f64,
    ) -> Answers {
        let k = points[0].len();
        let filled = |p: &Vec<Option<f64>>| p.iter().map(|u| u.unwrap_or(0.5)).collect::<Vec<_>>();
        let said = |scale: f64| {
            let one =
                |p| Some(Said { mean: scale * f(&filled(p)), var_of_mean: Some(1e-8), n: 64 });
            points.iter().map(one).collect::<Vec<_>>()
        };
        let gap = |p| Some(Gap { mean: f(&filled(p)), var_of_mean: Some(1e-8), n: 64 });
        let name = |n: usize| Factor { name: format!("x{n}"), unit: String::new(), levels: vec![] };
        Answers {
            design,
            luck: Luck::Own,
            factors: (1..=k).map(name).collect(),
            architectures: vec!["one".into(), "two".into()],
            measures: vec![Measured { name: "m".into(), unit: "kg".into(), probability: true }],
            said: vec![said(1.0), said(2.0)],
            gaps: vec![points.iter().map(gap).collect()],
            points: points.into_iter().map(|unit| Point { value: unit.clone(), unit }).collect(),
        }
    }

    fn value(all: &[Found], analysis: &str, name: &str, arm: usize, factor: usize) -> Found {
        let wanted = |f: &&Found| {
            (f.analysis, f.name, f.architecture, f.factor) == (analysis, name, arm, Some(factor))
                && f.reference.is_none()
                && f.scale == Scale::Plain
        };
        all.iter().find(wanted).unwrap_or_else(|| panic!("no {analysis} {name}")).clone()
    }

    fn some(x: &[f64]) -> Vec<Option<f64>> {
        x.iter().map(|x| Some(*x)).collect()
    }

    /// One trajectory of y = 1 + 3 x1 - x2 and another: effects 3 and -1, doubled for the second.
    #[test]
    fn trajectories_are_read_in_their_order() {
        let d = 2.0 / 3.0;
        let points = [[0.0, 1.0], [d, 1.0], [d, 1.0 - d], [1.0, 0.0], [1.0, d], [1.0 - d, d]];
        let design = Design::Trajectories { count: 2, levels: 4, step: d };
        let a =
            answers(design, points.iter().map(|p| some(p)).collect(), &|x| 2.0 + 3.0 * x[0] - x[1]);
        let all = found(&a, 1);
        let mu = |arm, i| value(&all, EFFECTS, "mu", arm, i).index.value.unwrap();
        for (got, expected) in [(mu(0, 0), 3.0), (mu(0, 1), -1.0), (mu(1, 0), 6.0)] {
            assert!((got - expected).abs() < 1e-12, "{got}");
        }
        assert_eq!(value(&all, EFFECTS, "mu star", 0, 1).rank, Some(2));
        assert!(all.iter().any(|f| f.reference == Some(0) && f.architecture == 1));
        assert!(all.iter().any(|f| f.scale == Scale::Log10 && f.index.value.is_some()));
    }

    #[test]
    fn one_at_a_time_goes_by_its_levels() {
        let mut points = vec![vec![None, None]];
        points.extend([0.0, 0.5, 1.0].map(|u| vec![Some(u), None]));
        points.extend([0.0, 1.0].map(|u| vec![None, Some(u)]));
        let design = Design::OneAtATime { levels: vec![3, 2] };
        let all = found(&answers(design, points, &|x| 2.0 + x[0] - 0.5 * x[1]), 1);
        let of = |name, i| value(&all, ONE, name, 0, i).index.value.unwrap();
        let expected = [("swing", 0, 1.0), ("low end", 0, -0.5), ("swing", 1, -0.5)];
        expected.iter().for_each(|(n, i, e)| assert!((of(n, *i) - e).abs() < 1e-12, "{n}"));
    }

    /// Saltelli rows with second order, of y = 1 + x1 + x2 x3, and regression on a and b alone.
    #[test]
    fn saltelli_rows_are_read_in_their_order() {
        let mut draws = stream::Luck::new(3).stream(0, 0, 0, 0);
        let (k, rows) = (3, 2048);
        let mut points = Vec::new();
        for _ in 0..rows {
            use rand::RngExt;
            let mut row = || (0..k).map(|_| draws.random::<f64>()).collect::<Vec<_>>();
            let (a, b) = (row(), row());
            let swapped = |x: &[f64], y: &[f64], i: usize| {
                let mut x = x.to_vec();
                x[i] = y[i];
                some(&x)
            };
            points.extend([some(&a), some(&b)]);
            points.extend((0..k).map(|i| swapped(&a, &b, i)));
            points.extend((0..k).map(|i| swapped(&b, &a, i)));
        }
        let design = Design::Saltelli { rows, second_order: true };
        let all = found(&answers(design, points, &|x| 1.0 + x[0] + x[1] * x[2]), 1);
        // V = 1/12 + 7/144; the product has S = 3/7 and T = 4/7 of its part.
        let v = 1.0 / 12.0 + 7.0 / 144.0;
        let s = [1.0 / 12.0 / v, 3.0 / 144.0 / v, 3.0 / 144.0 / v];
        let t = [s[0], 4.0 / 144.0 / v, 4.0 / 144.0 / v];
        for i in 0..k {
            let first = value(&all, SOBOL, "first order", 1, i).index.value.unwrap();
            let total = value(&all, SOBOL, "total", 1, i).index.value.unwrap();
            assert!((first - s[i]).abs() < 0.06 && (total - t[i]).abs() < 0.06, "{first} {total}");
        }
        assert_eq!(value(&all, REGRESSION, "coefficient", 0, 0).index.n, 2 * rows as u64);
        assert_eq!(found(&answers(Design::Sequence, vec![some(&[0.1]); 3], &|_| 0.0), 1).len(), 17);
    }
}
