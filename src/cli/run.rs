//! `vestibule run`: every architecture, paired; writes the results folder.

use super::RunArgs;
use super::decide;
use super::exit::Exit;
use super::load::{Loaded, load};
use super::phase::{stop_flag, with_progress};
use super::publish::{Played, Told, gate, publish, refused};
use super::voice::Voice;
use crate::model::Model;
use crate::report::{self, Asked, CAMPAIGNS, Draft};
use crate::stats::CampaignRows;
use crate::study::drivers::{Books, Drivers, PLAYS, Sample, Watch};
use crate::study::experiment::{self, Beside};
use crate::study::replicate::{Halt, Order};
use crate::study::standing::StandingBooks;
use crate::study::value;
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64};
use std::time::Instant;

/// Runs a campaign file.
pub fn run(args: &RunArgs, voice: Voice) -> Exit {
    let mut loaded = match load(&args.campaign, voice) {
        Ok(l) => l,
        Err(e) => return e,
    };
    loaded.print_count(&args.campaign, voice);
    if args.gate && loaded.model.review.limits.is_empty() {
        eprintln!(
            "error: --gate is given, but the file has no limit; write a section \
            [limit.NAME]"
        );
        return Exit::Usage;
    }
    let own_seed = loaded.model.seed;
    loaded.model.seed = args.seed.unwrap_or(own_seed);
    let campaigns = match decide::campaigns(args, &mut loaded.model) {
        Ok(n) => n,
        Err(e) => return e,
    };
    if let Some(share) = args.shard {
        return super::shard::run(args, &loaded, campaigns, share);
    }
    if args.plan {
        return super::run_plan::plan(args, &loaded, campaigns);
    }
    let out = args.out.clone().unwrap_or_else(|| beside(&args.campaign, "results"));
    match play_and_write(args, &loaded, campaigns, &out, (own_seed, voice)) {
        Ok(broken) if args.gate => gate(&broken, voice),
        Ok(_) => Exit::Done,
        Err(e) => e,
    }
}

/// A folder of this name beside the campaign file.
pub fn beside(campaign: &Path, name: &str) -> PathBuf {
    campaign.parent().unwrap_or(Path::new(".")).join(name)
}

/// Campaigns that drivers are worked out on, at most.
pub(super) fn drivers(args: &RunArgs) -> u64 {
    args.drivers.unwrap_or(1000)
}

/// As many as asked for, or as the machine has.
pub fn threads(asked: Option<NonZero<usize>>) -> NonZero<usize> {
    asked.or_else(|| std::thread::available_parallelism().ok()).unwrap_or(NonZero::<usize>::MIN)
}

/// Plays, prints the first answer, works out the drivers, publishes the folder and prints the rest.
/// Gives the limits that are not met or undecided, in words.
fn play_and_write(
    args: &RunArgs,
    loaded: &Loaded,
    campaigns: u64,
    out: &Path,
    (own_seed, voice): (u64, Voice),
) -> Result<Vec<String>, Exit> {
    let started = Instant::now();
    // From here on a signal ends the work at a block, so that no draft is left behind.
    let stop = stop_flag();
    let mut draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let threads = threads(args.threads);
    let progress = AtomicU64::new(0);
    let order = Order { campaigns, threads, stop: &stop, progress: &progress };
    let model = &loaded.model;
    let (played, watch) = simulate(args, model, order, &mut draft)?;
    let told = Told {
        loaded,
        campaigns,
        drivers: drivers(args),
        threads: threads.get(),
        started,
        parquet: args.parquet,
        asked: Asked {
            file: &args.campaign.display().to_string(),
            seed: args.seed.filter(|s| *s != own_seed),
            folder: &out.display().to_string(),
            screen: voice.screen(),
        },
        voice,
        json: args.json,
    };
    publish(&told, &played, draft, || drive(model, campaigns, watch, threads, &stop))
}

/// Drivers and paths, if campaigns were watched for them.
pub(super) fn drive(
    model: &Model,
    campaigns: u64,
    watch: Option<Watch>,
    threads: NonZero<usize>,
    stop: &AtomicBool,
) -> Result<Option<Books>, Exit> {
    let Some(watch) = watch else { return Ok(None) };
    let plays = PLAYS * campaigns * model.arms.len() as u64;
    let drivers = Drivers::plan(model, watch, plays);
    let progress = AtomicU64::new(0);
    let order = Order { campaigns: drivers.jobs(), threads, stop, progress: &progress };
    match with_progress("drivers", order.campaigns, order, || drivers.work(order)) {
        Some(books) => Ok(Some(books)),
        None => {
            eprintln!("stopped while contributors were being ranked; no result was written");
            Err(Exit::Stopped)
        }
    }
}

/// What campaigns left, and what was watched of them for the drivers.
pub(super) fn simulate<'m>(
    args: &RunArgs,
    model: &'m Model,
    order: Order,
    draft: &mut Draft,
) -> Result<(Played<'m>, Option<Watch>), Exit> {
    let mut kept = match args.keep_campaigns {
        true => Some(begin_rows(draft)?),
        false => None,
    };
    let mut books = StandingBooks::new(model);
    let mut decision = value::Books::new(model);
    // As they are played, campaigns are counted for rankings and, if wanted, become rows of a file.
    let sink = |campaign: u64, rows: &CampaignRows| -> Result<(), csv::Error> {
        books.take(campaign, rows);
        decision.iter_mut().for_each(|d| d.take(rows));
        let Some(csv) = &mut kept else { return Ok(()) };
        for (arm, played) in model.arms.iter().enumerate() {
            let facts = experiment::facts(rows, arm);
            csv.write_record(report::campaign_row(&played.name, campaign, &facts))?;
        }
        Ok(())
    };
    let wanted = drivers(args);
    let sample = (wanted > 0).then(|| Sample::of(model, order.campaigns, wanted));
    let play = || experiment::run(model, order, Some(sink), sample);
    let done = with_progress("campaigns", order.campaigns, order, play);
    let done = done.map_err(|h| halted(h, "campaigns.csv"))?;
    if let Some(mut csv) = kept {
        csv.flush().map_err(|e| cannot_write("campaigns.csv", &e))?;
    }
    let capped = Beside::capped(&done.players, model);
    let watch = done.players.into_iter().filter_map(|p| p.watch).reduce(|mut all, w| {
        all.merge(w);
        all
    });
    let (results, standing) = (done.results, books.finish());
    Ok((Played { results, standing, capped, decision }, watch))
}

/// `campaigns.csv` with its header.
fn begin_rows(draft: &mut Draft) -> Result<csv::Writer<impl std::io::Write + use<>>, Exit> {
    let file = draft.file(CAMPAIGNS).map_err(|e| refused(&e))?;
    let mut csv = csv::Writer::from_writer(file);
    let header = csv.write_record(report::campaign_header());
    header.map_err(|e| cannot_write(CAMPAIGNS, &e))?;
    Ok(csv)
}

fn cannot_write(what: &str, e: &dyn std::fmt::Display) -> Exit {
    eprintln!("error: cannot write {what}: {e}");
    Exit::Files
}

/// Says why play ended early; `file` is what rows of campaigns went to.
pub fn halted<E: std::fmt::Display>(h: Halt<E>, file: &str) -> Exit {
    match h {
        Halt::Stopped { played } => {
            eprintln!("stopped after {played} campaigns; no result was written");
            Exit::Stopped
        }
        Halt::Sink { source, .. } => cannot_write(file, &source),
        Halt::Threads { threads, source } => {
            eprintln!("error: could not start {threads} threads: {source}");
            Exit::Files
        }
    }
}
