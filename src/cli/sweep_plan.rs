//! `vestibule sweep --plan`: what a sweep would take, from a short probe on this machine.

use super::exit::{Exit, say};
use super::progress::span;
use super::sweep::Ready;
use crate::report::{self, SweepRows};
use crate::scenario::{PointLuck, Vocabulary};
use crate::stats::{Joined, Part, Plan};
use crate::study::sweep::play::{Unit, blocks, columns, play_units};
use crate::study::sweep::{PointResults, Progress, SweepOrder};
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// A probe goes on until it has taken so long, s.
const PROBE_S: f64 = 10.0;
/// Most blocks of a point that the probe plays: what a point costs beside its blocks is in it.
const PROBE_BLOCKS: u64 = 8;

/// What the probe found.
struct Probed {
    /// wall time of one block of a point with all threads at work, s
    block_s: f64,
    /// points that were tried
    points: usize,
    /// bytes of `sweep.csv` for one point
    bytes: f64,
}

/// Prints points, campaigns, hours, memory, size.
pub fn plan(ready: &Ready, file: &Path) -> Exit {
    let probed = match probe(ready) {
        Ok(probed) => probed,
        Err(e) => return e,
    };
    let points = ready.sweep.points.len() as f64;
    let wall = probed.block_s * points * blocks(ready.campaigns) as f64;
    let core_hours = wall * ready.threads.get() as f64 / 3600.0;
    let spec = &ready.sweep.spec;
    let text = format!(
        "{}: {} design, {}\n\
         factors         {}\n\
         points          {}\n\
         campaigns       {} at every point, {} in all, each with {} architectures\n\
         core-hours      {core_hours:.2}\n\
         time            {} on {} threads of this machine\n\
         memory          {} MB\n\
         sweep.csv       {:.1} MB\n\
         The probe played {} points; other loads on the machine change the time.\n",
        file.display(),
        spec.design.it.word(),
        match spec.luck {
            PointLuck::Common => "common random numbers at all points",
            PointLuck::Own => "each point with its own random numbers",
        },
        spec.factors.len(),
        ready.sweep.points.len(),
        ready.campaigns,
        ready.sweep.points.len() as u64 * ready.campaigns,
        ready.architectures.len(),
        span(wall),
        ready.threads,
        memory(ready),
        probed.bytes * points / 1e6,
        probed.points
    );
    say(&text)
}

/// Plays the beginning of points from all over the design, more of them until it has taken long enough.
fn probe(ready: &Ready) -> Result<Probed, Exit> {
    let all = ready.sweep.points.len();
    let most = blocks(ready.campaigns).min(PROBE_BLOCKS);
    let (mut tried, mut batch, mut spent, mut bytes) = (0, ready.threads.get(), 0.0, 0.0);
    while tried < all && spent < PROBE_S {
        let size = batch.min(all - tried);
        // Steps of a number without common factors reach all parts of the design early.
        let unit = |i: usize| Unit { point: spread(tried + i, all), blocks: 0..most };
        let units: Vec<Unit> = (0..size).map(unit).collect();
        let started = Instant::now();
        let left = play(ready, &units)?;
        spent += started.elapsed().as_secs_f64();
        bytes += left;
        tried += size;
        batch *= 2;
    }
    let block_s = spent / (tried as f64 * most as f64);
    Ok(Probed { block_s, points: tried, bytes: bytes / tried as f64 })
}

/// The i-th of n points in an order that jumps about: a permutation.
fn spread(i: usize, n: usize) -> usize {
    let common = |mut a: usize, mut b: usize| {
        while b > 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    let golden = (n as f64 * 0.618).round().max(1.0) as usize;
    let step = (golden..).find(|s| common(*s, n) == 1).unwrap_or(1);
    i * step % n
}

/// Plays units and gives the bytes of their rows of `sweep.csv`.
fn play(ready: &Ready, units: &[Unit]) -> Result<f64, Exit> {
    let (stop, progress) = (AtomicBool::new(false), Progress::default());
    let (campaigns, threads) = (ready.campaigns, ready.threads);
    let order = SweepOrder { campaigns, threads, stop: &stop, progress: &progress };
    let measures = columns(&ready.sweep);
    let left = Mutex::new(Vec::new());
    let take = |_: usize, plan: &Plan, part: Part| {
        let mut whole = Joined::new(plan);
        whole.add(part).expect("blocks from the first on");
        let results = PointResults::new(&whole.finish(), &measures);
        left.lock().unwrap_or_else(std::sync::PoisonError::into_inner).push(results);
    };
    play_units(&ready.sweep, units, order, take).map_err(|e| {
        eprintln!("error: {e}");
        Exit::Files
    })?;
    let left = left.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    Ok(bytes(ready, &left))
}

/// Bytes that the rows of some points take.
fn bytes(ready: &Ready, results: &[PointResults]) -> f64 {
    let (sweep, architectures) = (&ready.sweep, ready.architectures.as_slice());
    let table = report::sweep(SweepRows { sweep, architectures, results, campaigns: 0 });
    let mut text = Vec::new();
    // Writing into memory does not fail.
    let _ = table.write(&mut text);
    text.len() as f64
}

/// What page, workbook and data package of a sweep take while they are made, bytes (measured on a small
/// one); the probe makes none.
const FILES_BYTES: u64 = 5_000_000;

/// Memory of the whole sweep, MB: what the probe has used at most, what every point leaves, and the
/// files.
fn memory(ready: &Ready) -> u64 {
    let arms = ready.architectures.len();
    let rows = arms * ready.sweep.spec.measures.len();
    let pairs = arms * arms.saturating_sub(1) / 2 * ready.sweep.spec.measures.len();
    // An estimate with its quantiles and notes, twice (as results and as cells), and a difference.
    let bytes = ready.sweep.points.len() * (rows * 1600 + pairs * 400);
    (most_memory() + bytes as u64 + FILES_BYTES) / 1_000_000
}

/// Memory that this process has used at most, bytes; 0 where the system does not say.
pub(super) fn most_memory() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let kb = peak.and_then(|l| l.split_whitespace().next()).and_then(|n| n.parse::<u64>().ok());
    1024 * kb.unwrap_or(0)
}
