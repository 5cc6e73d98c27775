//! Plays all points of a sweep: each worker takes a point of its own while there are any, then helps where
//! blocks are left, so that no worker waits. What a point leaves depends on the point alone.

use super::answers::{Answers, Factor, Gap, Measured, Said};
use super::piece::Piece;
use super::points::Sweep;
use crate::measure::{Kind, MEASURES, Measure, Read};
use crate::model::Model;
use crate::stats::{Difference, Estimate, Results};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

/// How far a sweep is; others read it while it is played.
#[derive(Debug, Default)]
pub struct Progress {
    /// points of which all campaigns are played
    pub points: AtomicU64,
    /// campaigns played (each with every architecture)
    pub campaigns: AtomicU64,
}

/// How a sweep is played. None of it changes a result but `campaigns`.
#[derive(Clone, Copy, Debug)]
pub struct SweepOrder<'a> {
    /// campaigns at every point
    pub campaigns: u64,
    /// workers
    pub threads: NonZero<usize>,
    /// set by somebody else: no further block is begun
    pub stop: &'a AtomicBool,
    /// how far it is
    pub progress: &'a Progress,
}

/// Why a sweep ended early.
#[derive(Debug, thiserror::Error)]
pub enum SweepHalt {
    /// the stop flag was set
    #[error("stopped after {points} points")]
    Stopped {
        /// points that were played
        points: u64,
    },
    /// threads could not be started
    #[error("could not start {threads} threads")]
    Threads {
        /// how many were wanted
        threads: usize,
        /// why
        #[source]
        source: rayon::ThreadPoolBuildError,
    },
}

/// What a point left, measure by measure of interest.
#[derive(Clone, Debug, PartialEq)]
pub struct PointResults {
    /// by architecture, then measure: what is said of it
    pub estimates: Vec<Estimate>,
    /// the variance of the mean of each
    pub noise: Vec<Option<f64>>,
    /// by pair of architectures, then measure: later less earlier
    pub differences: Vec<Difference>,
    /// the variance of each
    pub gap_noise: Vec<Option<f64>>,
}

impl PointResults {
    /// Reads results of a point where measures of interest stand in these columns.
    pub fn new(results: &Results, columns: &[usize]) -> PointResults {
        let arms = 0..results.plan.arms();
        let each = |arm: usize| columns.iter().map(move |&c| (arm, c));
        let singles: Vec<_> = arms.flat_map(each).collect();
        let pairs: Vec<_> =
            results.plan.pairs().flat_map(|p| columns.iter().map(move |&c| (p, c))).collect();
        PointResults {
            estimates: singles.iter().map(|&(a, c)| results.estimate(a, c)).collect(),
            noise: singles.iter().map(|&(a, c)| results.var_of_mean(a, c)).collect(),
            differences: pairs.iter().map(|&((i, j), c)| results.compare(i, j, c)).collect(),
            gap_noise: pairs.iter().map(|&((i, j), c)| results.var_of_difference(i, j, c)).collect(),
        }
    }
}

/// A point that is being played.
struct Live {
    point: usize,
    ready: OnceLock<(Model, Piece)>,
}

struct Shared<'a> {
    sweep: &'a Sweep,
    order: SweepOrder<'a>,
    columns: Vec<usize>,
    next: AtomicUsize,
    live: Mutex<Vec<Arc<Live>>>,
    done: Mutex<Vec<Option<PointResults>>>,
}

/// The columns of the measures of interest among all measures.
pub fn columns(sweep: &Sweep) -> Vec<usize> {
    let of = |name: &str| MEASURES.iter().position(|m| m.name == name);
    sweep.spec.measures.iter().filter_map(|m| of(&m.it)).collect()
}

/// Plays every point, in the order of the design.
///
/// # Errors
/// [`SweepHalt`] if it was stopped or threads could not be started.
///
/// # Panics
/// If a point does not hold together: [`Sweep::check`] comes first.
pub fn play(sweep: &Sweep, order: SweepOrder) -> Result<Vec<PointResults>, SweepHalt> {
    let threads = order.threads.get();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|source| SweepHalt::Threads { threads, source })?;
    let shared = Shared {
        sweep,
        order,
        columns: columns(sweep),
        next: AtomicUsize::new(0),
        live: Mutex::new(Vec::new()),
        done: Mutex::new(vec![None; sweep.points.len()]),
    };
    pool.broadcast(|_| shared.work());
    let done = shared.done.into_inner().unwrap_or_else(PoisonError::into_inner);
    let all: Option<Vec<PointResults>> = done.into_iter().collect();
    all.ok_or_else(|| SweepHalt::Stopped {
        points: order.progress.points.load(Ordering::Relaxed),
    })
}

impl Shared<'_> {
    fn work(&self) {
        while !self.order.stop.load(Ordering::Relaxed) {
            let Some(live) = self.own_point().or_else(|| self.somebody_elses()) else { return };
            let (model, piece) = live.ready.get_or_init(|| self.begin(live.point));
            let progress = &self.order.progress.campaigns;
            if let Some(tallied) = piece.work(model, self.order.stop, progress) {
                let results = tallied.results(piece.plan());
                let kept = PointResults::new(&results, &self.columns);
                lock(&self.done)[live.point] = Some(kept);
                lock(&self.live).retain(|l| l.point != live.point);
                self.order.progress.points.fetch_add(1, Ordering::Relaxed);
            }
        }
    }

    /// A point that nobody has begun.
    fn own_point(&self) -> Option<Arc<Live>> {
        let point = self.next.fetch_add(1, Ordering::Relaxed);
        (point < self.sweep.points.len()).then(|| {
            let live = Arc::new(Live { point, ready: OnceLock::new() });
            lock(&self.live).push(Arc::clone(&live));
            live
        })
    }

    /// A point of somebody else with blocks that nobody has.
    fn somebody_elses(&self) -> Option<Arc<Live>> {
        let open = |l: &&Arc<Live>| l.ready.get().is_none_or(|(_, piece)| piece.open());
        lock(&self.live).iter().find(open).cloned()
    }

    fn begin(&self, point: usize) -> (Model, Piece) {
        let model = self.sweep.model(point);
        let campaigns = self.order.campaigns;
        let blocks = campaigns.div_ceil(crate::stats::BLOCK);
        let piece = Piece::new(&model, campaigns, 0..blocks);
        (model, piece)
    }
}

fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Is the mean of a measure a probability?
fn is_probability(m: &Measure) -> bool {
    let share = matches!(m.read, Read::Ratio(..)) && m.name.ends_with("_fraction");
    m.kind == Kind::Flag || share
}

/// What the points left, as those who work out sensitivities read it.
pub fn answers(sweep: &Sweep, architectures: &[String], results: &[PointResults]) -> Answers {
    let columns = columns(sweep);
    let measured = |&c: &usize| Measured {
        name: MEASURES[c].name.into(),
        unit: MEASURES[c].unit.into(),
        probability: is_probability(&MEASURES[c]),
    };
    let factor = |f: &crate::scenario::Named<crate::scenario::FactorSpec>| Factor {
        name: f.name.clone(),
        unit: f.it.unit().into(),
        levels: f.it.level_names(),
    };
    let n = architectures.len();
    let said = |at: usize| results.iter().map(|r| said(&r.estimates[at], r.noise[at])).collect();
    let gap = |at: usize| results.iter().map(|r| gap(&r.differences[at], r.gap_noise[at])).collect();
    Answers {
        design: sweep.design.clone(),
        luck: sweep.luck(),
        factors: sweep.spec.factors.iter().map(factor).collect(),
        architectures: architectures.to_vec(),
        measures: columns.iter().map(measured).collect(),
        points: sweep.points.iter().map(|p| p.point.clone()).collect(),
        said: (0..n * columns.len()).map(said).collect(),
        gaps: (0..n * n.saturating_sub(1) / 2 * columns.len()).map(gap).collect(),
    }
}

fn said(e: &Estimate, var_of_mean: Option<f64>) -> Option<Said> {
    Some(Said { mean: e.mean?, var_of_mean, n: e.n_used })
}

fn gap(d: &Difference, var_of_mean: Option<f64>) -> Option<Gap> {
    Some(Gap { mean: d.difference?, var_of_mean, n: d.n_used })
}
