//! `vestibule merge`: shards joined to what one machine would have written.

use super::MergeArgs;
use super::exit::{Exit, say};
use super::load::load;
use super::phase::stop_flag;
use super::publish::{Played, Told, gate, publish, refused};
use super::shard::study_of;
use super::voice::Voice;
use crate::report::{Asked, Draft};
use crate::study::experiment;
use crate::study::shard::{self, Accepted, Joining, Kind, Layout, Offered, Study, Whole, array};
use crate::study::standing::Standing;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// Merges shards, or says which are missing.
pub fn merge(args: &MergeArgs, voice: Voice) -> Exit {
    match accepted(args) {
        Ok(accepted) if args.missing => {
            accepted.faults.iter().for_each(|fault| eprintln!("note: {fault}"));
            match accepted.missing.is_empty() {
                true => Exit::Done,
                false => say(&format!("{}\n", array(&accepted.missing))),
            }
        }
        Ok(accepted) => match whole(&accepted).and_then(|()| join(args, &accepted, voice)) {
            Ok(broken) if args.gate => gate(&broken, voice),
            Ok(_) => Exit::Done,
            Err(e) => e,
        },
        Err(e) => e,
    }
}

/// Reads every file that was named, and those of folders.
fn accepted(args: &MergeArgs) -> Result<Accepted, Exit> {
    let mut paths = Vec::new();
    for path in &args.shards {
        match path.is_dir() {
            true => paths.extend(inside(path)?),
            false => paths.push(path.clone()),
        }
    }
    let mut offered = Offered::default();
    paths.iter().for_each(|path| offered.add(path, shard::read(path)));
    offered.accept().map_err(|faults| {
        faults.iter().for_each(|fault| eprintln!("error: {fault}"));
        eprintln!("error: none of the {} files is a complete shard", paths.len());
        Exit::Input
    })
}

/// The shards of a folder.
fn inside(folder: &Path) -> Result<Vec<PathBuf>, Exit> {
    let read = std::fs::read_dir(folder)
        .and_then(|entries| entries.map(|e| e.map(|e| e.path())).collect::<Result<Vec<_>, _>>());
    let mut paths = read.map_err(|e| {
        eprintln!("error: cannot read {}: {e}", folder.display());
        Exit::Files
    })?;
    paths.retain(|p| p.extension().is_some_and(|e| e == "shard"));
    paths.sort();
    Ok(paths)
}

/// Nothing is wrong and nothing missing.
fn whole(accepted: &Accepted) -> Result<(), Exit> {
    accepted.faults.iter().for_each(|fault| eprintln!("error: {fault}"));
    let n = accepted.missing.len();
    if n > 0 {
        eprintln!(
            "error: {n} of {} shards are missing: {}",
            accepted.study.shards,
            array(&accepted.missing)
        );
    }
    match n == 0 && accepted.faults.is_empty() {
        true => Ok(()),
        false => Err(Exit::Input),
    }
}

fn join(args: &MergeArgs, accepted: &Accepted, voice: Voice) -> Result<Vec<String>, Exit> {
    // From here on a signal ends the work at a shard, so that no draft is left behind.
    let stop = stop_flag();
    let out = args.out.as_deref().unwrap_or(Path::new("results"));
    let file = args.input.clone().unwrap_or_else(|| PathBuf::from(&accepted.origin));
    match accepted.study.kind {
        Kind::Run => join_run(args, accepted, (&file, out), &stop, voice),
        Kind::Sweep => super::sweep_shard::join(accepted, &file, out, &stop).map(|()| Vec::new()),
    }
}

fn join_run(
    args: &MergeArgs,
    accepted: &Accepted,
    (file, out): (&Path, &Path),
    stop: &AtomicBool,
    voice: Voice,
) -> Result<Vec<String>, Exit> {
    let started = Instant::now();
    let mut loaded = load(file, voice)?;
    let (own_seed, campaigns) = (loaded.model.seed, accepted.study.campaigns);
    (loaded.model.seed, loaded.model.inner) = (accepted.study.seed, accepted.study.inner);
    let layout = Layout::new(&experiment::plan(&loaded.model), 1, campaigns);
    suits(&study_of(&loaded.model, campaigns, &layout)?, accepted, file)?;
    let draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let mut joining = Joining::new(&loaded.model);
    each_point(accepted, stop, |_, bytes| joining.add(bytes).map_err(|e| e.to_string()))?;
    let Whole { results, standing, capped, decision } =
        joining.finish(campaigns).map_err(|e| wrong(&e))?;
    let standing = Standing::new(&loaded.model, standing);
    let played = Played { results, standing, capped, decision };
    let told = Told {
        loaded: &loaded,
        campaigns,
        drivers: 0,
        threads: 1,
        started,
        parquet: args.parquet,
        asked: Asked {
            file: &file.display().to_string(),
            seed: Some(accepted.study.seed).filter(|s| *s != own_seed),
            folder: &out.display().to_string(),
            screen: voice.screen(),
        },
        voice,
        json: false,
    };
    publish(&told, &played, draft, || Ok(None))
}

/// Gives what each point left to `take`, shard by shard in the order of units.
pub fn each_point(
    accepted: &Accepted,
    stop: &AtomicBool,
    mut take: impl FnMut(u64, &[u8]) -> Result<(), String>,
) -> Result<(), Exit> {
    for path in accepted.paths.values() {
        if stop.load(Ordering::Relaxed) {
            eprintln!("stopped; no result was written");
            return Err(Exit::Stopped);
        }
        let content = shard::read(path).map_err(|e| wrong(&e))?;
        for (point, packed) in content.points {
            let taken =
                packed.open().map_err(|e| e.to_string()).and_then(|bytes| take(point, &bytes));
            taken.map_err(|e| wrong(&format!("{}: {e}", path.display())))?;
        }
    }
    Ok(())
}

/// Says what is wrong with the shards.
pub fn wrong(e: &dyn std::fmt::Display) -> Exit {
    eprintln!("error: {e}");
    Exit::Input
}

/// The input file is the one that the shards were played from, and this program the one that played:
/// `own` is what the two would make of it.
pub fn suits(own: &Study, accepted: &Accepted, file: &Path) -> Result<(), Exit> {
    let own = Study { shards: accepted.study.shards, ..own.clone() };
    let differs = accepted.study.differs(&own);
    for (name, its, own) in &differs {
        eprintln!(
            "error: {name} of the shards is {its}, but that of {} and this program is {own}",
            file.display()
        );
    }
    match differs.is_empty() {
        true => Ok(()),
        false => {
            eprintln!(
                "error: merge with the program and the files that the shards were played with"
            );
            Err(Exit::Input)
        }
    }
}
