//! `sweep --shard K/N`, and what merges the shards of a sweep.

use super::SweepArgs;
use super::exit::{Exit, say};
use super::merge::{each_point, suits, wrong};
use super::phase::stop_flag;
use super::publish::refused;
use super::shard::{build, part};
use super::sweep::{Ready, halted, publish, ready, watch};
use crate::report::{Draft, LUCK};
use crate::stats::{Joined, Part, Reader};
use crate::study::experiment;
use crate::study::shard::{Accepted, Kind, Layout, Packed, Share, Study};
use crate::study::sweep::PointResults;
use crate::study::sweep::play::{Unit, blocks, columns, play_units};
use std::ops::Range;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// Plays one part of a sweep, unless it is there already.
pub fn shard(args: &SweepArgs, ready: &Ready, share: Share) -> Exit {
    let stop = stop_flag();
    let folder = args.sweep.parent().unwrap_or(Path::new("."));
    let usual = || folder.join("shards").join(args.sweep.file_stem().unwrap_or_default());
    let out = args.out.clone().unwrap_or_else(usual);
    let said = study_of(ready).and_then(|study| {
        let play = |units| play(ready, units, &stop);
        part(&study, share, &args.sweep, &out, play)
    });
    match said {
        Ok(said) => say(&said),
        Err(e) => e,
    }
}

fn layout(ready: &Ready) -> Layout {
    let points = ready.sweep.points.len() as u64;
    Layout { points, per_point: blocks(ready.campaigns), blocks: 1 }
}

fn study_of(ready: &Ready) -> Result<Study, Exit> {
    let layout = layout(ready);
    Ok(Study {
        kind: Kind::Sweep,
        build: build()?,
        luck: LUCK.into(),
        fingerprint: ready.sweep.spec.fingerprint,
        options: String::new(),
        proposal: String::new(),
        seed: ready.sweep.spec.seed,
        campaigns: ready.campaigns,
        inner: None,
        points: layout.points,
        units: layout.units(),
        shards: 1,
    })
}

fn play(ready: &Ready, units: Range<u64>, stop: &AtomicBool) -> Result<Vec<(u64, Packed)>, Exit> {
    let unit = |(point, blocks)| Unit { point: point as usize, blocks };
    let units: Vec<Unit> = layout(ready).blocks(units).map(unit).collect();
    let left = Mutex::new(vec![None; units.len()]);
    let take = |at: usize, _: &_, part: Part| {
        let mut bytes = Vec::new();
        part.put(&mut bytes);
        let packed = Packed::new(&bytes);
        left.lock().unwrap_or_else(PoisonError::into_inner)[at] = Some(packed);
    };
    let campaigns = units.iter().map(|u| campaigns_of(&u.blocks, ready.campaigns)).sum();
    let played = watch(ready, units.len() as u64, campaigns, stop, |order| {
        play_units(&ready.sweep, &units, order, take)
    });
    played.map_err(|halt| halted(&halt))?;
    let left = left.into_inner().unwrap_or_else(PoisonError::into_inner);
    let named = units.iter().map(|u| u.point as u64).zip(left);
    Ok(named.filter_map(|(point, packed)| Some((point, packed?))).collect())
}

/// Campaigns in some blocks of a point.
fn campaigns_of(blocks: &Range<u64>, campaigns: u64) -> u64 {
    let first = |block: u64| (block * crate::stats::BLOCK).min(campaigns);
    first(blocks.end) - first(blocks.start)
}

/// Joins the shards of a sweep and publishes its folder.
pub fn join(accepted: &Accepted, file: &Path, out: &Path, stop: &AtomicBool) -> Result<(), Exit> {
    let started = Instant::now();
    let args = SweepArgs {
        sweep: file.into(),
        campaigns: Some(accepted.study.campaigns),
        threads: None,
        out: None,
        shard: None,
        plan: false,
    };
    let ready = ready(&args)?;
    suits(&study_of(&ready)?, accepted, file)?;
    let draft = Draft::begin(out).map_err(|e| refused(&e))?;
    let mut points = Points::new(&ready);
    each_point(accepted, stop, |point, bytes| points.add(point, bytes))?;
    let results = points.finish().map_err(|e| wrong(&e))?;
    publish(&ready, &results, draft, started, out).map(|_| ())
}

/// Points that are put together one after the other.
struct Points<'r> {
    ready: &'r Ready,
    columns: Vec<usize>,
    results: Vec<PointResults>,
    open: Option<Joined>,
}

impl<'r> Points<'r> {
    fn new(ready: &'r Ready) -> Points<'r> {
        Points { ready, columns: columns(&ready.sweep), results: Vec::new(), open: None }
    }

    /// Adds what some blocks of a point left; they come in the order of units.
    fn add(&mut self, point: u64, bytes: &[u8]) -> Result<(), String> {
        if point != self.results.len() as u64 {
            return Err(format!("point {} is expected, but {point} was found", self.results.len()));
        }
        // What is tallied depends on what the architectures of this point have.
        let plan = experiment::plan(&self.ready.sweep.model(point as usize));
        let open = self.open.get_or_insert_with(|| Joined::new(&plan));
        let mut from = Reader::new(bytes);
        let part = Part::get(&plan, &mut from).and_then(|part| from.end().map(|()| part));
        open.add(part.map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
        if open.blocks() == blocks(self.ready.campaigns) {
            let whole = self.open.take().map(Joined::finish);
            self.results.extend(whole.map(|w| PointResults::new(&w, &self.columns)));
        }
        Ok(())
    }

    fn finish(self) -> Result<Vec<PointResults>, String> {
        let (found, wanted) = (self.results.len(), self.ready.sweep.points.len());
        match found == wanted {
            true => Ok(self.results),
            false => Err(format!("{found} of {wanted} points are complete")),
        }
    }
}
