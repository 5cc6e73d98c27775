//! Plays all points of a sweep: each worker takes a point of its own while there are any, then helps where
//! blocks are left, so that no worker waits. What a point leaves depends on the point alone.

use super::answers::{Answers, Factor, Gap, Measured, Said};
use super::piece::Piece;
use super::points::Sweep;
use crate::measure::{Kind, MEASURES, Measure, Read};
use crate::model::Model;
use crate::stats::{BLOCK, Difference, Estimate, Joined, Part, Plan, Results};
use std::num::NonZero;
use std::ops::Range;
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
            gap_noise: pairs
                .iter()
                .map(|&((i, j), c)| results.var_of_difference(i, j, c))
                .collect(),
        }
    }
}

/// Some blocks of a point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unit {
    /// which point
    pub point: usize,
    /// which of its blocks
    pub blocks: Range<u64>,
}

/// A unit that is being played.
struct Live {
    at: usize,
    ready: OnceLock<(Model, Piece)>,
}

struct Shared<'a, T> {
    sweep: &'a Sweep,
    units: &'a [Unit],
    order: SweepOrder<'a>,
    next: AtomicUsize,
    live: Mutex<Vec<Arc<Live>>>,
    over: AtomicUsize,
    take: T,
}

/// The columns of the measures of interest among all measures.
pub fn columns(sweep: &Sweep) -> Vec<usize> {
    let of = |name: &str| MEASURES.iter().position(|m| m.name == name);
    sweep.spec.measures.iter().filter_map(|m| of(&m.it)).collect()
}

/// Blocks that the campaigns of a point are played in.
pub fn blocks(campaigns: u64) -> u64 {
    campaigns.div_ceil(BLOCK)
}

/// Plays every point, in the order of the design.
///
/// # Errors
/// [`SweepHalt`] if it was stopped or threads could not be started.
///
/// # Panics
/// If a point does not hold together: [`Sweep::check`] comes first.
pub fn play(sweep: &Sweep, order: SweepOrder) -> Result<Vec<PointResults>, SweepHalt> {
    let whole = 0..blocks(order.campaigns);
    let unit = |point| Unit { point, blocks: whole.clone() };
    let units: Vec<Unit> = (0..sweep.points.len()).map(unit).collect();
    let columns = columns(sweep);
    let done = Mutex::new(vec![None; units.len()]);
    play_units(sweep, &units, order, |at, plan, part| {
        let mut whole = Joined::new(plan);
        whole.add(part).expect("all blocks of a point, from the first on");
        let results = PointResults::new(&whole.finish(), &columns);
        lock(&done)[at] = Some(results);
    })?;
    let done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    Ok(done.into_iter().map(|r| r.expect("every unit was played")).collect())
}

/// Plays units and gives what each left to `take`, in no order, with its place among the units.
///
/// # Errors
/// [`SweepHalt`] if it was stopped or threads could not be started.
///
/// # Panics
/// If a point does not hold together: [`Sweep::check`] comes first.
pub fn play_units<T: Fn(usize, &Plan, Part) + Sync>(
    sweep: &Sweep,
    units: &[Unit],
    order: SweepOrder,
    take: T,
) -> Result<(), SweepHalt> {
    let threads = order.threads.get();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|source| SweepHalt::Threads { threads, source })?;
    let live = Mutex::new(Vec::new());
    let (next, over) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let shared = Shared { sweep, units, order, next, live, over, take };
    pool.broadcast(|_| shared.work());
    let points = shared.over.load(Ordering::Relaxed);
    if points == units.len() { Ok(()) } else { Err(SweepHalt::Stopped { points: points as u64 }) }
}

impl<T: Fn(usize, &Plan, Part) + Sync> Shared<'_, T> {
    fn work(&self) {
        while !self.order.stop.load(Ordering::Relaxed) {
            let Some(live) = self.own().or_else(|| self.somebody_elses()) else { return };
            let (model, piece) = live.ready.get_or_init(|| self.begin(&self.units[live.at]));
            let progress = &self.order.progress.campaigns;
            if let Some(part) = piece.work(model, self.order.stop, progress) {
                (self.take)(live.at, piece.plan(), part);
                lock(&self.live).retain(|l| l.at != live.at);
                self.over.fetch_add(1, Ordering::Relaxed);
                self.order.progress.points.fetch_add(1, Ordering::Relaxed);
            }
        }
    }

    /// A unit that nobody has begun.
    fn own(&self) -> Option<Arc<Live>> {
        let at = self.next.fetch_add(1, Ordering::Relaxed);
        (at < self.units.len()).then(|| {
            let live = Arc::new(Live { at, ready: OnceLock::new() });
            lock(&self.live).push(Arc::clone(&live));
            live
        })
    }

    /// A unit of somebody else with blocks that nobody has.
    fn somebody_elses(&self) -> Option<Arc<Live>> {
        let open = |l: &&Arc<Live>| l.ready.get().is_none_or(|(_, piece)| piece.open());
        lock(&self.live).iter().find(open).cloned()
    }

    fn begin(&self, unit: &Unit) -> (Model, Piece) {
        let model = self.sweep.model(unit.point);
        let piece = Piece::new(&model, self.order.campaigns, unit.blocks.clone());
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
    let gap =
        |at: usize| results.iter().map(|r| gap(&r.differences[at], r.gap_noise[at])).collect();
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
