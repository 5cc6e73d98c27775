//! `vestibule run`: every architecture, paired; writes the results folder.

use super::RunArgs;
use super::exit::{Exit, say};
use super::load::{Loaded, load};
use crate::report::{self, Draft, Manifest, RunFacts, WriteError};
use crate::stats::{CampaignRows, Results};
use crate::study::experiment;
use crate::study::replicate::{Halt, Order};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Runs a campaign file.
pub fn run(args: &RunArgs) -> Exit {
    let mut loaded = match load(&args.campaign) {
        Ok(l) => l,
        Err(e) => return e,
    };
    loaded.model.seed = args.seed.unwrap_or(loaded.model.seed);
    let campaigns = args.campaigns.unwrap_or(loaded.model.campaigns);
    let out = args.out.clone().unwrap_or_else(|| beside(&args.campaign));
    match play_and_write(args, &loaded, campaigns, &out) {
        Ok(text) => say(&text),
        Err(e) => e,
    }
}

/// `results/` beside the campaign file.
fn beside(campaign: &Path) -> PathBuf {
    campaign.parent().unwrap_or(Path::new(".")).join("results")
}

fn play_and_write(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    out: &Path,
) -> Result<String, Exit> {
    let started = Instant::now();
    let mut draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let threads = args
        .threads
        .or_else(|| std::thread::available_parallelism().ok())
        .unwrap_or(std::num::NonZero::<usize>::MIN);
    let results = simulate(args, loaded, campaigns, threads, &mut draft)?;
    write(loaded, &results, &mut draft).map_err(|e| refused(&e))?;
    let manifest = manifest(args, loaded, campaigns, threads.get(), started);
    draft.text("manifest.json", &manifest.text()).map_err(|e| refused(&e))?;
    draft.publish().map_err(|e| refused(&e))?;
    let summary =
        report::summary_text(&loaded.model, &results, &args.campaign.display().to_string());
    Ok(summary + &report::closing(&out.display().to_string()))
}

fn refused(e: &WriteError) -> Exit {
    eprintln!("error: {e}");
    Exit::Files
}

fn simulate(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    threads: std::num::NonZero<usize>,
    draft: &mut Draft,
) -> Result<Results, Exit> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    // A second handler cannot be set; then the first one serves.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::SeqCst));
    let progress = AtomicU64::new(0);
    let order = Order { campaigns, threads, stop: &stop, progress: &progress };
    let model = &loaded.model;
    let done = if args.keep_campaigns {
        let file = draft.file("campaigns.csv").map_err(|e| refused(&e))?;
        let mut csv = csv::Writer::from_writer(file);
        let names: Vec<String> = model.arms.iter().map(|a| a.name.clone()).collect();
        csv.write_record(report::campaign_header()).map_err(|e| cannot_write(&e))?;
        let csv = Mutex::new(csv);
        let sink = |campaign: u64, rows: &CampaignRows| -> Result<(), csv::Error> {
            let mut out = csv.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            for (arm, name) in names.iter().enumerate() {
                let facts = experiment::facts(rows, arm);
                out.write_record(report::campaign_row(name, campaign, &facts))?;
            }
            Ok(())
        };
        let done =
            with_progress(campaigns, &progress, || experiment::run(model, order, Some(sink)));
        let flushed = csv.lock().unwrap_or_else(std::sync::PoisonError::into_inner).flush();
        flushed.map_err(|e| cannot_write(&e))?;
        done
    } else {
        let none: Option<NoRows> = None;
        with_progress(campaigns, &progress, || experiment::run(model, order, none))
    };
    done.map(|r| r.results).map_err(halted)
}

/// A sink that is never there.
type NoRows = fn(u64, &CampaignRows) -> Result<(), csv::Error>;

fn cannot_write(e: &dyn std::fmt::Display) -> Exit {
    eprintln!("error: cannot write campaigns.csv: {e}");
    Exit::Files
}

fn halted(h: Halt<csv::Error>) -> Exit {
    match h {
        Halt::Stopped { played } => {
            eprintln!("stopped after {played} campaigns; no result was written");
            Exit::Stopped
        }
        Halt::Sink { source, .. } => cannot_write(&source),
        Halt::Threads { .. } => {
            eprintln!("error: {h}");
            Exit::Files
        }
    }
}

/// Runs `work` while a painter shows how far it is, ten times a second, on standard error; silent when
/// that is no terminal.
fn with_progress<T: Send>(
    campaigns: u64,
    progress: &AtomicU64,
    work: impl FnOnce() -> T + Send,
) -> T {
    let target = if std::io::stderr().is_terminal() {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(campaigns), target);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos}/{len} campaigns, {eta} to go") {
        bar.set_style(style);
    }
    let over = AtomicBool::new(false);
    std::thread::scope(|s| {
        let painter = s.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                bar.set_position(progress.load(Ordering::Relaxed));
                std::thread::park_timeout(Duration::from_millis(100));
            }
        });
        // A panic in `work` must not leave the painter waiting for ever.
        let guard = Over { over: &over, painter: painter.thread().clone() };
        let done = work();
        drop(guard);
        bar.finish_and_clear();
        done
    })
}

struct Over<'a> {
    over: &'a AtomicBool,
    painter: std::thread::Thread,
}

impl Drop for Over<'_> {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
        self.painter.unpark();
    }
}

fn write(loaded: &Loaded, results: &Results, draft: &mut Draft) -> Result<(), WriteError> {
    let model = &loaded.model;
    draft.table("summary.csv", &report::summary(model, results))?;
    draft.table("compare.csv", &report::compare(model, results))?;
    draft.table("havens.csv", &report::havens(model, results))?;
    draft.table("breakdown.csv", &report::breakdown(model, results))?;
    draft.table("findings.csv", &report::findings(&loaded.findings, &loaded.sources))
}

fn manifest(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    threads: usize,
    started: Instant,
) -> Manifest {
    let model = &loaded.model;
    let mut tables: Vec<String> =
        ["summary.csv", "compare.csv", "havens.csv", "breakdown.csv", "findings.csv"]
            .map(String::from)
            .to_vec();
    if args.keep_campaigns {
        tables.push("campaigns.csv".into());
    }
    Manifest {
        program: env!("CARGO_PKG_NAME").into(),
        version: env!("CARGO_PKG_VERSION").into(),
        luck: report::LUCK.into(),
        seed: model.seed.to_string(),
        campaigns,
        fingerprint: format!("{:#018x}", model.fingerprint),
        files: loaded.sources.files.clone(),
        architectures: model.arms.iter().map(|a| a.name.clone()).collect(),
        tables,
        not_modelled: report::NOT_MODELLED.iter().map(|s| s.to_string()).collect(),
        caution: report::CAUTION.into(),
        run: RunFacts {
            command: std::env::args().collect(),
            threads,
            wall_seconds: started.elapsed().as_secs_f64(),
            host: host(),
            finished_unix: SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs()),
        },
    }
}

/// Name of the machine, where it says so.
fn host() -> String {
    std::fs::read_to_string("/etc/hostname")
        .map_or_else(|_| String::new(), |s| s.trim().to_string())
}
