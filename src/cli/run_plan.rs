//! `vestibule run --plan`: what a run would take, from a short one of it on this machine.

use super::RunArgs;
use super::exit::{Exit, say};
use super::load::Loaded;
use super::phase::stop_flag;
use super::progress::span;
use super::publish::{Played, Told, publish, refused};
use super::run::{drive, drivers, simulate, threads};
use super::sweep_plan::most_memory;
use super::voice::Voice;
use crate::report::{Asked, CAMPAIGNS, Draft, Screen};
use crate::stats::BLOCK;
use crate::study::replicate::Order;
use std::num::NonZero;
use std::path::Path;
use std::sync::atomic::AtomicU64;
use std::time::Instant;

/// Play of the probe takes about so long, s.
const PROBE_S: f64 = 10.0;
/// Bytes that a parameter set leaves for each architecture, about: its sums and its place in the curve.
const SET_BYTES: u64 = 1200;

/// What the probe found.
struct Probed {
    /// campaigns that it played
    campaigns: u64,
    /// wall time of play, s
    play_s: f64,
    /// wall time of the drivers, s
    drivers_s: f64,
    /// wall time of the tables and the page, s
    write_s: f64,
    /// bytes of what does not grow with the campaigns, and of what does
    bytes: (u64, u64),
}

/// Prints campaigns, hours, memory, size.
pub fn plan(args: &RunArgs, loaded: &Loaded, campaigns: u64) -> Exit {
    let probed = match probe(args, loaded, campaigns) {
        Ok(probed) => probed,
        Err(e) => return e,
    };
    let model = &loaded.model;
    let times = campaigns as f64 / probed.campaigns as f64;
    let (play, drive) = (probed.play_s * times, probed.drivers_s * times);
    let threads = threads(args.threads).get();
    let core_hours = ((play + drive) * threads as f64 + probed.write_s) / 3600.0;
    // Campaigns looked at again are no more than were asked for, so that their time grows no further.
    let most = if campaigns > drivers(args) && drive > 0.0 { "at most " } else { "" };
    let sets = match model.inner {
        Some(inner) => format!(" ({} parameter sets of {inner})", campaigns / inner),
        None => String::new(),
    };
    let new_sets = model.inner.map_or(0, |inner| (campaigns - probed.campaigns) / inner);
    let memory = most_memory() + new_sets * model.arms.len() as u64 * SET_BYTES;
    let size = probed.bytes.0 as f64 + probed.bytes.1 as f64 * times;
    say(&format!(
        "{}\n\
         points          1\n\
         campaigns       {campaigns}{sets}, each with {} architectures\n\
         core-hours      {most}{core_hours:.2}\n\
         time            {most}{} on {threads} threads of this machine: play {}, contributors {most}{}, \
         tables {}\n\
         memory          {} MB\n\
         results         {:.1} MB\n\
         The probe played {} campaigns; other loads on the machine change the time.\n",
        args.campaign.display(),
        model.arms.len(),
        span(play + drive + probed.write_s),
        span(play),
        span(drive),
        span(probed.write_s),
        memory / 1_000_000,
        size / 1e6,
        probed.campaigns
    ))
}

/// Plays the first campaigns, as many as take long enough, and does with them all that a run does, in a
/// folder that goes again.
fn probe(args: &RunArgs, loaded: &Loaded, campaigns: u64) -> Result<Probed, Exit> {
    let cannot = |e: &dyn std::fmt::Display| {
        eprintln!("error: cannot make a folder for the probe: {e}");
        Exit::Files
    };
    let home = tempfile::tempdir().map_err(|e| cannot(&e))?;
    let out = home.path().join("results");
    let (stop, threads) = (stop_flag(), threads(args.threads));
    let mut n = whole(BLOCK * threads.get() as u64, campaigns, loaded.model.inner);
    loop {
        let mut draft = Draft::begin(&out).map_err(|e| refused(&e))?;
        let progress = AtomicU64::new(0);
        let order = Order { campaigns: n, threads, stop: &stop, progress: &progress };
        let started = Instant::now();
        let (played, watch) = simulate(args, &loaded.model, order, &mut draft)?;
        let play_s = started.elapsed().as_secs_f64();
        if n == campaigns || play_s > 0.5 * PROBE_S {
            let begun = Instant::now();
            let mut drivers_s = 0.0;
            let work = || {
                let started = Instant::now();
                let books = drive(&loaded.model, n, watch, threads, &stop);
                drivers_s = started.elapsed().as_secs_f64();
                books
            };
            write((args, loaded, n, threads), &played, draft, work, &out)?;
            let write_s = begun.elapsed().as_secs_f64() - drivers_s;
            let bytes = sizes(&out).map_err(|e| cannot(&e))?;
            return Ok(Probed { campaigns: n, play_s, drivers_s, write_s, bytes });
        }
        let times = (PROBE_S / play_s.max(1e-3)).max(2.0);
        n = whole((n as f64 * times) as u64, campaigns, loaded.model.inner);
    }
}

/// About so many campaigns, no more than there are, of whole parameter sets and of two at least.
fn whole(about: u64, campaigns: u64, inner: Option<u64>) -> u64 {
    let inner = inner.unwrap_or(1);
    (about.div_ceil(inner).max(2) * inner).min(campaigns)
}

/// The folder of a run, without a word.
fn write(
    (args, loaded, campaigns, threads): (&RunArgs, &Loaded, u64, NonZero<usize>),
    played: &Played,
    draft: Draft,
    drive: impl FnOnce() -> Result<Option<crate::study::drivers::Books>, Exit>,
    out: &Path,
) -> Result<(), Exit> {
    let quiet = Voice { quiet: true, ..Voice::default() };
    let told = Told {
        loaded,
        campaigns,
        drivers: drivers(args),
        threads: threads.get(),
        started: Instant::now(),
        parquet: args.parquet,
        asked: Asked {
            file: &args.campaign.display().to_string(),
            seed: None,
            folder: &out.display().to_string(),
            screen: Screen::default(),
        },
        voice: quiet,
        json: false,
    };
    publish(&told, played, draft, drive).map(|_| ())
}

/// Bytes of the files of a folder: of those that do not grow with the campaigns, and of those that do.
fn sizes(folder: &Path) -> std::io::Result<(u64, u64)> {
    let (mut fixed, mut growing) = (0, 0);
    let kept = CAMPAIGNS.trim_end_matches(".csv");
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        let grows = Path::new(&name).file_stem().is_some_and(|s| s == kept);
        *if grows { &mut growing } else { &mut fixed } += entry.metadata()?.len();
    }
    Ok((fixed, growing))
}
