//! `--shard K/N`: part of a study, left as a file for `merge`.

use super::RunArgs;
use super::exit::{Exit, say};
use super::load::Loaded;
use super::phase::stop_flag;
use super::progress::{Far, watched};
use super::run::{beside, halted, threads};
use crate::model::Model;
use crate::report::LUCK;
use crate::stats::CampaignRows;
use crate::study::experiment;
use crate::study::replicate::Order;
use crate::study::shard::{self, Header, Kind, Layout, Packed, PointPart, Share, Study};
use crate::study::standing::StandingBooks;
use crate::study::value;
use sha2::{Digest, Sha256};
use std::convert::Infallible;
use std::ops::Range;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

/// Plays one part of a run, unless it is there already.
pub fn run(args: &RunArgs, loaded: &Loaded, campaigns: u64, share: Share) -> Exit {
    if args.drivers.is_some_and(|d| d > 0) {
        eprintln!(
            "error: --drivers cannot be combined with --shard: contributors are ranked from \
            campaigns chosen among all; leave it out, and run --drivers with fewer campaigns on \
            one machine"
        );
        return Exit::Usage;
    }
    match run_part(args, loaded, campaigns, share) {
        Ok(said) => say(&said),
        Err(e) => e,
    }
}

fn run_part(args: &RunArgs, loaded: &Loaded, campaigns: u64, share: Share) -> Result<String, Exit> {
    let stop = stop_flag();
    let model = &loaded.model;
    let layout = Layout::new(&experiment::plan(model), 1, campaigns);
    let study = study_of(model, campaigns, &layout)?;
    let out = args.out.clone().unwrap_or_else(|| beside(&args.campaign, "shards"));
    part(&study, share, &args.campaign, &out, |units| {
        let progress = AtomicU64::new(0);
        let threads = threads(args.threads);
        let order = Order { campaigns, threads, stop: &stop, progress: &progress };
        let play = |(point, blocks)| Ok((point, Packed::new(&play(model, order, blocks)?.bytes())));
        layout.blocks(units).map(play).collect()
    })
}

/// Leaves a share of a study as a file in `folder`, unless it is there already; `play` gives what each
/// point of some units leaves. What is to be said of it.
pub fn part(
    study: &Study,
    share: Share,
    input: &Path,
    folder: &Path,
    play: impl FnOnce(Range<u64>) -> Result<Vec<(u64, Packed)>, Exit>,
) -> Result<String, Exit> {
    let header = Header::new(study, share, &origin(input));
    let path = folder.join(shard::name(share));
    let there = shard::is_done(&path, &header).map_err(|why| {
        eprintln!("error: {why}");
        Exit::Files
    })?;
    if there {
        return Ok(format!("{} exists already\n", path.display()));
    }
    let (first, end) = header.units;
    let points = play(first..end)?;
    shard::write(&path, &header, &points).map_err(|e| {
        eprintln!("error: {e}");
        Exit::Files
    })?;
    let units = study.units;
    Ok(format!("{}: {} of {units} units are played\n", path.display(), end - first))
}

/// What some blocks of a run leave.
fn play(model: &Model, order: Order, blocks: Range<u64>) -> Result<PointPart, Exit> {
    let plan = experiment::plan(model);
    let campaigns = |b: u64| if b == 0 { 0 } else { plan.block(b - 1, order.campaigns).end };
    let total = campaigns(blocks.end) - campaigns(blocks.start);
    let mut books = StandingBooks::new(model);
    let mut decision = value::Books::new(model);
    let sink = |campaign: u64, rows: &CampaignRows| -> Result<(), Infallible> {
        books.take(campaign, rows);
        decision.iter_mut().for_each(|d| d.take(rows));
        Ok(())
    };
    let work = || experiment::run_part(model, order, blocks, Some(sink));
    let far = || {
        let campaigns = order.progress.load(Ordering::Relaxed);
        Far { points: None, campaigns, of_campaigns: total }
    };
    let done = watched(far, work).map_err(|h| halted(h, "rows"))?;
    let decision = decision.iter().flat_map(value::Books::numbers).collect();
    Ok(PointPart { standing: books.into_nodes(), decision, ..PointPart::new(model, done) })
}

/// What every shard of a run has in common, but for their number.
pub fn study_of(model: &Model, campaigns: u64, layout: &Layout) -> Result<Study, Exit> {
    Ok(Study {
        kind: Kind::Run,
        build: build()?,
        luck: LUCK.into(),
        fingerprint: model.fingerprint,
        options: String::new(),
        proposal: String::new(),
        seed: model.seed,
        campaigns,
        inner: model.inner,
        points: layout.points,
        units: layout.units(),
        shards: 1,
    })
}

/// Version, and checksum of the program file: a shard that was played by another one may have other bits.
pub fn build() -> Result<String, Exit> {
    let file = std::env::current_exe().and_then(std::fs::read).map_err(|e| {
        eprintln!("error: cannot read the program file, whose checksum marks the shards: {e}");
        Exit::Files
    })?;
    let sum: String = Sha256::digest(file).iter().take(8).map(|b| format!("{b:02x}")).collect();
    Ok(format!("{} {sum}", env!("CARGO_PKG_VERSION")))
}

/// Where the input file lies, so that whoever merges finds it from any folder.
fn origin(file: &Path) -> String {
    file.canonicalize().unwrap_or_else(|_| file.into()).display().to_string()
}
