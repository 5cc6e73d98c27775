//! `vestibule sweep`: a campaign at every point of a design; writes the results folder of the sweep.

use super::SweepArgs;
use super::exit::{Exit, say};
use super::load::{count, print, readable};
use super::phase::stop_flag;
use super::progress::{Far, span, watched};
use super::publish::{inputs, refused, run_facts, setting};
use crate::report::{self, Draft, FILES, Manifest, SweepRows, WriteError};
use crate::scenario::{At, Provenance, read_sweep};
use crate::study::sweep::play::{answers, play};
use crate::study::sweep::{
    Accepted, PointResults, Progress, Refused, Sweep, SweepHalt, SweepOrder,
};
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// Most refused points that are named one by one for one finding.
const NAMED: usize = 20;

/// From so many points on it is said that they are being checked.
const MANY: usize = 500;

/// A sweep whose points all hold together.
pub(super) struct Ready {
    /// the sweep
    pub sweep: Sweep,
    /// what checking its points found
    pub accepted: Accepted,
    /// campaigns at every point
    pub campaigns: u64,
    /// threads
    pub threads: NonZero<usize>,
    /// architectures in the order of the campaign
    pub architectures: Vec<String>,
}

/// Runs a sweep file.
pub fn sweep(args: &SweepArgs) -> Exit {
    let ready = match ready(args) {
        Ok(ready) => ready,
        Err(e) => return e,
    };
    if args.plan {
        return super::sweep_plan::plan(&ready, &args.sweep);
    }
    if let Some(share) = args.shard {
        return super::sweep_shard::shard(args, &ready, share);
    }
    let out = args.out.clone().unwrap_or_else(|| beside(&args.sweep));
    play_and_write(&ready, &out).unwrap_or_else(|e| e)
}

/// Reads the sweep file, lays its points out and checks every one of them.
pub(super) fn ready(args: &SweepArgs) -> Result<Ready, Exit> {
    readable(&args.sweep)?;
    let reading = read_sweep(&args.sweep);
    let Some((spec, base)) = reading.sweep else {
        print(&reading.findings, &reading.sources);
        return Err(Exit::Input);
    };
    if !reading.findings.is_empty() {
        print(&reading.findings, &reading.sources);
    }
    let campaigns = args.campaigns.unwrap_or(spec.campaigns);
    let sweep = Sweep::new(spec, base, reading.sources.clone()).map_err(|finding| {
        print(&[*finding], &reading.sources);
        Exit::Input
    })?;
    if sweep.points.len() >= MANY {
        eprintln!("checking {} points", sweep.points.len());
    }
    let accepted = sweep.check().map_err(|refused| {
        name_refused(&sweep, &refused);
        Exit::Input
    })?;
    if accepted.warned > 0 {
        let (findings, sources) = &accepted.findings;
        let folder = args.sweep.parent().unwrap_or(Path::new(""));
        let base = sources.files.get(1).map_or("", String::as_str);
        eprintln!(
            "{} points have warnings; at the first: {}; vestibule check {} shows those of the base",
            accepted.warned,
            count(findings),
            folder.join(base).display()
        );
    }
    let threads = args.threads.or_else(|| std::thread::available_parallelism().ok());
    let threads = threads.unwrap_or(NonZero::<usize>::MIN);
    let scenario = &accepted.first.scenario;
    let architectures = scenario.architectures.iter().map(|a| a.name.clone()).collect();
    Ok(Ready { sweep, accepted, campaigns, threads, architectures })
}

/// `results/NAME` beside the sweep file NAME.toml.
fn beside(sweep: &Path) -> PathBuf {
    let folder = sweep.parent().unwrap_or(Path::new("."));
    folder.join("results").join(sweep.file_stem().unwrap_or_default())
}

/// Each finding once, in the words of the check, with the points that it holds at and their values.
fn name_refused(sweep: &Sweep, refused: &[Refused]) {
    let all = refused.iter().flat_map(|r| r.findings.iter().map(move |f| (r, f)));
    let mut told: Vec<(String, Vec<usize>)> = Vec::new();
    for (r, f) in all.filter(|(_, f)| f.is_error()) {
        let text = f.show(&r.sources).to_string();
        match told.iter_mut().find(|(t, _)| *t == text) {
            Some((_, points)) => points.push(r.point),
            None => told.push((text, vec![r.point])),
        }
    }
    for (text, points) in told {
        eprintln!("{text}");
        if points.len() == sweep.points.len() {
            eprintln!("   = at every point");
            continue;
        }
        for &p in points.iter().take(NAMED) {
            eprintln!("   = at point {p}: {}", values(sweep, p));
        }
        if points.len() > NAMED {
            eprintln!("   = and at {} more points", points.len() - NAMED);
        }
    }
    eprintln!("{} of {} points have errors; nothing was played", refused.len(), sweep.points.len());
}

/// What the factors are at a point.
fn values(sweep: &Sweep, point: usize) -> String {
    let names = sweep.spec.factors.iter().zip(&sweep.points[point].names);
    let set = names.filter(|(_, name)| !name.is_empty());
    let all: Vec<String> = set.map(|(f, name)| format!("{} = {name}", f.name)).collect();
    if all.is_empty() { "as the base campaign says".into() } else { all.join(", ") }
}

/// Plays all points and publishes the folder.
fn play_and_write(ready: &Ready, out: &Path) -> Result<Exit, Exit> {
    let started = Instant::now();
    // From here on a signal ends the work at a block, so that no draft is left behind.
    let stop = stop_flag();
    let draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let points = ready.sweep.points.len() as u64;
    let results =
        watch(ready, points, points * ready.campaigns, &stop, |order| play(&ready.sweep, order));
    let results = results.map_err(|halt| halted(&halt))?;
    publish(ready, &results, draft, started, out)
}

/// Writes the tables, publishes the folder and says so.
pub(super) fn publish(
    ready: &Ready,
    results: &[PointResults],
    mut draft: Draft,
    started: Instant,
    out: &Path,
) -> Result<Exit, Exit> {
    write(ready, results, &mut draft).map_err(|e| refused(&e))?;
    finish(ready, started, draft)?;
    Ok(say(&format!(
        "{} points, {} campaigns each, {}: {}\n{}\n",
        ready.sweep.points.len(),
        ready.campaigns,
        span(started.elapsed().as_secs_f64()),
        out.display(),
        report::CAUTION
    )))
}

/// Has so many points and campaigns played, while somebody says how far it is.
pub(super) fn watch<T>(
    ready: &Ready,
    points: u64,
    campaigns: u64,
    stop: &AtomicBool,
    play: impl FnOnce(SweepOrder) -> Result<T, SweepHalt>,
) -> Result<T, SweepHalt> {
    let progress = Progress::default();
    let order = SweepOrder {
        campaigns: ready.campaigns,
        threads: ready.threads,
        stop,
        progress: &progress,
    };
    let far = || Far {
        points: Some((progress.points.load(Ordering::Relaxed), points)),
        campaigns: progress.campaigns.load(Ordering::Relaxed),
        of_campaigns: campaigns,
    };
    watched(far, || play(order))
}

/// Says why play ended early.
pub(super) fn halted(halt: &SweepHalt) -> Exit {
    match halt {
        SweepHalt::Stopped { points } => {
            eprintln!("stopped after {points} points; no result was written");
            Exit::Stopped
        }
        SweepHalt::Threads { .. } => {
            eprintln!("error: {halt}");
            Exit::Files
        }
    }
}

/// The tables.
fn write(ready: &Ready, results: &[PointResults], draft: &mut Draft) -> Result<(), WriteError> {
    let (sweep, architectures) = (&ready.sweep, ready.architectures.as_slice());
    let rows = SweepRows { sweep, architectures, results, campaigns: ready.campaigns };
    draft.table("sweep.csv", &report::sweep(rows))?;
    let answers = answers(sweep, architectures, results);
    let sensitivity = report::sensitivity(&answers, sweep.spec.seed);
    let crossings = report::crossings(&answers);
    if !sensitivity.rows.is_empty() {
        draft.table("sensitivity.csv", &sensitivity)?;
    }
    if let Some(crossings) = crossings {
        draft.table("crossings.csv", &crossings)?;
    }
    let (findings, sources) = &ready.accepted.findings;
    draft.table("findings.csv", &report::findings(findings, sources))?;
    draft.table("assumptions.csv", &report::assumptions(&provenances(ready), sources))
}

/// What the sweep file and the campaign of the first point say of where their numbers come from.
fn provenances(ready: &Ready) -> Vec<(At, Provenance)> {
    let factors = ready.sweep.spec.factors.iter().map(|f| (f.at, f.provenance.clone()));
    let own = factors.filter(|(_, p)| *p != Provenance::default());
    let mut all: Vec<_> = own.collect();
    all.extend(ready.accepted.first.scenario.assumptions.iter().cloned());
    all
}

/// Manifest, description, workbook and page; then all files take their place.
fn finish(ready: &Ready, started: Instant, mut draft: Draft) -> Result<(), Exit> {
    let tables: Vec<String> =
        FILES.iter().filter(|f| draft.has(f.name)).map(|f| f.name.to_string()).collect();
    let manifest = manifest(ready, started, tables);
    draft.text("manifest.json", &manifest.text()).map_err(|e| refused(&e))?;
    let folder = draft.folder().to_path_buf();
    report::made_from_files(&folder, &mut draft, None).map_err(|e| super::report::failed(&e))?;
    draft.publish(&report::optional()).map_err(|e| refused(&e))
}

fn manifest(ready: &Ready, started: Instant, tables: Vec<String>) -> Manifest {
    let sweep = &ready.sweep;
    let model = sweep.model(0);
    Manifest {
        program: env!("CARGO_PKG_NAME").into(),
        version: env!("CARGO_PKG_VERSION").into(),
        luck: report::LUCK.into(),
        seed: sweep.spec.seed.to_string(),
        campaigns: ready.campaigns,
        inner: None,
        drivers: None,
        fingerprint: format!("{:#018x}", sweep.spec.fingerprint),
        files: inputs(&sweep.sources),
        architectures: ready.architectures.clone(),
        setting: Some(setting(&model)),
        sweep: Some(report::sweep_facts(sweep)),
        tables,
        not_modelled: report::NOT_MODELLED.iter().map(|s| s.to_string()).collect(),
        caution: report::CAUTION.into(),
        run: run_facts(ready.threads.get(), started),
    }
}
