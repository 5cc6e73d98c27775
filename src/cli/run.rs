//! `vestibule run`: every architecture, paired; writes the results folder.

use super::RunArgs;
use super::exit::{Exit, say};
use super::load::{Loaded, load};
use crate::base::stream::Luck;
use crate::check::rules;
use crate::model::{Caps, Model};
use crate::report::{
    self, Asked, CAMPAIGNS, Draft, FILES, Manifest, RunFacts, Setting, Verdict, WriteError,
};
use crate::scenario::{Finding, Sources};
use crate::stats::{CampaignRows, Results};
use crate::study::drivers::{Books, Drivers, PLAYS, Sample};
use crate::study::experiment::{self, Beside};
use crate::study::replicate::{Halt, Order, Replication};
use crate::study::standing::Standing;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Runs a campaign file.
pub fn run(args: &RunArgs) -> Exit {
    let mut loaded = match load(&args.campaign) {
        Ok(l) => l,
        Err(e) => return e,
    };
    loaded.print_count(&args.campaign);
    if args.gate && loaded.model.review.limits.is_empty() {
        eprintln!("error: --gate, and the file has no limit; write a section [limit.NAME]");
        return Exit::Usage;
    }
    let own_seed = loaded.model.seed;
    loaded.model.seed = args.seed.unwrap_or(own_seed);
    let campaigns = args.campaigns.unwrap_or(loaded.model.campaigns);
    if let Some(inner) = loaded.model.inner.filter(|i| !campaigns.is_multiple_of(*i)) {
        let near = (campaigns / inner).max(1) * inner;
        eprintln!(
            "error: --campaigns {campaigns} cuts a parameter set of {inner} campaigns short; write \
             a multiple of `inner`, for example --campaigns {near}"
        );
        return Exit::Usage;
    }
    let out = args.out.clone().unwrap_or_else(|| beside(&args.campaign));
    match play_and_write(args, &loaded, campaigns, &out, own_seed) {
        Ok(met) if args.gate && !met => Exit::Gate,
        Ok(_) => Exit::Done,
        Err(e) => e,
    }
}

/// A finding for each law of a probability of which draws were above 1 and count as 1.
fn tell_caps(loaded: &Loaded, campaigns: u64, players: &[Beside]) -> Vec<Finding> {
    let model = &loaded.model;
    let mut above = vec![0; model.params.len()];
    for counts in players.iter().map(|p| &p.capped) {
        above.iter_mut().zip(counts).for_each(|(sum, n)| *sum += n);
    }
    let caps = model.params.caps(Luck::new(model.seed), &above, model.set_of(campaigns));
    let finding = |caps: Caps| {
        let what =
            format!("{} of {} values drawn were above 1 and count as 1", caps.times, caps.of);
        eprintln!("note: {}: {what}", loaded.sources.place(caps.at).path);
        Finding::new(&rules::PROBABILITY_CAPPED, caps.at, what)
    };
    let mut findings = loaded.findings.clone();
    findings.extend(caps.into_iter().map(finding));
    findings.extend(loaded.answers.iter().cloned());
    findings.sort_by_key(|f| f.at);
    findings
}

/// `results/` beside the campaign file.
fn beside(campaign: &Path) -> PathBuf {
    campaign.parent().unwrap_or(Path::new(".")).join("results")
}

/// Plays, prints the first answer, works out the drivers, publishes the folder and prints the rest.
/// Gives whether every limit was met.
fn play_and_write(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    out: &Path,
    own_seed: u64,
) -> Result<bool, Exit> {
    let started = Instant::now();
    // From here on a signal ends the work at a block, so that no draft is left behind.
    let stop = stop_flag();
    let mut draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let threads = args
        .threads
        .or_else(|| std::thread::available_parallelism().ok())
        .unwrap_or(std::num::NonZero::<usize>::MIN);
    let model = &loaded.model;
    let mut standing = Standing::new(model);
    let done = simulate(args, loaded, campaigns, threads, &stop, &mut draft, &mut standing)?;
    let results = done.results;
    let judged = report::judged(model, &results);
    let asked = Asked {
        file: &args.campaign.display().to_string(),
        seed: args.seed.filter(|s| *s != own_seed),
        folder: &out.display().to_string(),
    };
    // Who cannot print has the folder nevertheless.
    let first = say(&report::summary_text(model, &results, (judged.as_slice(), &standing), asked));
    let findings = tell_caps(loaded, campaigns, &done.players);
    write(loaded, &findings, &results, &standing, &mut draft).map_err(|e| refused(&e))?;
    let books = drive(model, campaigns, done.players, threads, &stop)?;
    if let Some(books) = &books {
        draft.table("drivers.csv", &report::drivers(model, books)).map_err(|e| refused(&e))?;
        draft.table("paths.csv", &report::paths(model, books)).map_err(|e| refused(&e))?;
    }
    if args.parquet {
        draft.columnar().map_err(|e| refused(&e))?;
    }
    let tables = FILES.iter().filter(|f| draft.has(f.name)).map(|f| f.name.to_string()).collect();
    let manifest = manifest(args, loaded, campaigns, threads.get(), started, tables);
    draft.text("manifest.json", &manifest.text()).map_err(|e| refused(&e))?;
    // Last, because they are made from the other files.
    let folder = draft.folder().to_path_buf();
    report::made_from_files(&folder, &mut draft, None).map_err(|e| super::report::failed(&e))?;
    draft.publish(&report::optional()).map_err(|e| refused(&e))?;
    let last = say(&report::closing_text(model, books.as_ref(), asked));
    if let Some(failed) = [first, last].into_iter().find(|e| *e != Exit::Done) {
        return Err(failed);
    }
    Ok(judged.iter().all(|j| j.verdict == Verdict::Met))
}

/// Drivers and paths, if campaigns were watched for them.
fn drive(
    model: &Model,
    campaigns: u64,
    players: Vec<Beside>,
    threads: std::num::NonZero<usize>,
    stop: &AtomicBool,
) -> Result<Option<Books>, Exit> {
    let watched = players.into_iter().filter_map(|p| p.watch).reduce(|mut all, w| {
        all.merge(w);
        all
    });
    let Some(watch) = watched else { return Ok(None) };
    let plays = PLAYS * campaigns * model.arms.len() as u64;
    let drivers = Drivers::plan(model, watch, plays);
    let progress = AtomicU64::new(0);
    let order = Order { campaigns: drivers.jobs(), threads, stop, progress: &progress };
    match with_progress("drivers", order, || drivers.work(order)) {
        Some(books) => Ok(Some(books)),
        None => {
            eprintln!("stopped while drivers were worked out; no result was written");
            Err(Exit::Stopped)
        }
    }
}

/// A flag that is set when the program is asked to end (interrupt, termination, hang-up).
pub(super) fn stop_flag() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    // A second handler cannot be set; then the first one serves.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::SeqCst));
    stop
}

pub(super) fn refused(e: &WriteError) -> Exit {
    eprintln!("error: {e}");
    Exit::Files
}

fn simulate(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    threads: std::num::NonZero<usize>,
    stop: &AtomicBool,
    draft: &mut Draft,
    standing: &mut Standing,
) -> Result<Played, Exit> {
    let progress = AtomicU64::new(0);
    let order = Order { campaigns, threads, stop, progress: &progress };
    let model = &loaded.model;
    let mut kept = match args.keep_campaigns {
        true => Some(begin_rows(draft)?),
        false => None,
    };
    // As they are played, campaigns are counted for rankings and, if wanted, become rows of a file.
    let sink = |campaign: u64, rows: &CampaignRows| -> Result<(), csv::Error> {
        standing.take(campaign, rows);
        let Some(csv) = &mut kept else { return Ok(()) };
        for (arm, played) in model.arms.iter().enumerate() {
            let facts = experiment::facts(rows, arm);
            csv.write_record(report::campaign_row(&played.name, campaign, &facts))?;
        }
        Ok(())
    };
    let sample = (args.drivers > 0).then(|| Sample::of(model, campaigns, args.drivers));
    let play = || experiment::run(model, order, Some(sink), sample);
    let done = with_progress("campaigns", order, play).map_err(halted)?;
    if let Some(mut csv) = kept {
        csv.flush().map_err(|e| cannot_write(&e))?;
    }
    Ok(done)
}

/// `campaigns.csv` with its header.
fn begin_rows(draft: &mut Draft) -> Result<csv::Writer<impl std::io::Write + use<>>, Exit> {
    let file = draft.file(CAMPAIGNS).map_err(|e| refused(&e))?;
    let mut csv = csv::Writer::from_writer(file);
    csv.write_record(report::campaign_header()).map_err(|e| cannot_write(&e))?;
    Ok(csv)
}

/// Results, how often parameters were capped, what was watched.
type Played = Replication<Beside>;

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

/// Runs `work` while a painter shows the phase and how far it is, ten times a second, on standard
/// error; silent when that is no terminal.
fn with_progress<T: Send>(phase: &'static str, order: Order, work: impl FnOnce() -> T + Send) -> T {
    let target = if std::io::stderr().is_terminal() {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(order.campaigns), target);
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {pos}/{len}, {eta} to go") {
        bar.set_style(style);
    }
    bar.set_message(phase);
    let over = AtomicBool::new(false);
    std::thread::scope(|s| {
        let painter = s.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                bar.set_position(order.progress.load(Ordering::Relaxed));
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

fn write(
    loaded: &Loaded,
    findings: &[Finding],
    results: &Results,
    standing: &Standing,
    draft: &mut Draft,
) -> Result<(), WriteError> {
    let model = &loaded.model;
    let judged = report::judged(model, results);
    if !judged.is_empty() {
        draft.table("requirements.csv", &report::requirements(model, &judged))?;
    }
    draft.table("ranking.csv", &report::ranking(model, results, standing))?;
    let masses = report::mass(model, results).zip(report::breakeven(model, standing));
    if let Some((mass, breakeven)) = masses {
        draft.table("mass.csv", &mass)?;
        draft.table("breakeven.csv", &breakeven)?;
    }
    draft.table("complexity.csv", &report::complexity(model, results))?;
    draft.table("summary.csv", &report::summary(model, results))?;
    draft.table("compare.csv", &report::compare(model, results))?;
    draft.table("havens.csv", &report::havens(model, results))?;
    draft.table("breakdown.csv", &report::breakdown(model, results))?;
    if let Some(table) = report::risk_curve(model, results) {
        draft.table("risk-curve.csv", &table)?;
    }
    draft.table("distribution.csv", &report::distribution(model, results))?;
    draft.table("findings.csv", &report::findings(findings, &loaded.sources))?;
    let assumptions = report::assumptions(&loaded.assumptions, &loaded.sources);
    draft.table("assumptions.csv", &assumptions)
}

fn manifest(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    threads: usize,
    started: Instant,
    tables: Vec<String>,
) -> Manifest {
    let model = &loaded.model;
    Manifest {
        program: env!("CARGO_PKG_NAME").into(),
        version: env!("CARGO_PKG_VERSION").into(),
        luck: report::LUCK.into(),
        seed: model.seed.to_string(),
        campaigns,
        inner: model.inner,
        drivers: Some(args.drivers),
        fingerprint: format!("{:#018x}", model.fingerprint),
        files: inputs(&loaded.sources),
        architectures: model.arms.iter().map(|a| a.name.clone()).collect(),
        setting: Some(setting(model)),
        sweep: None,
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

pub(super) fn setting(model: &Model) -> Setting {
    let milligrams = |x: f64| x * 1e6;
    Setting {
        length_d: model.horizon / 86_400.0,
        crew: model.crew.names.len(),
        titles: model.arms.iter().map(|a| a.title.clone()).collect(),
        dust_limit_mg_m3: milligrams(model.body.dust_limit),
        dust_peak_limit_mg_m3: model.body.dust_peak_limit.map(milligrams),
    }
}

/// Input files as the campaign names them; the campaign file without its folder, which is no part of
/// the input.
pub(super) fn inputs(sources: &Sources) -> Vec<String> {
    let mut files = sources.files.clone();
    if let Some(first) = files.first_mut() {
        let name = Path::new(first.as_str()).file_name().map(|n| n.to_string_lossy().into_owned());
        *first = name.unwrap_or_else(|| first.clone());
    }
    files
}

/// Name of the machine, where it says so.
pub(super) fn host() -> String {
    std::fs::read_to_string("/etc/hostname")
        .map_or_else(|_| String::new(), |s| s.trim().to_string())
}
