//! A sweep file as written: base campaign, design, factors; and the base campaign with the values of
//! one point set in its tree before it is read, so that findings keep their places.

mod base;
mod factor;
mod path;
mod rules;
mod span;
mod unit;

pub use base::{Base, Setting};
pub use factor::{FactorSpec, Taken};
pub use path::KeyPath;
pub use rules::{SWEEP_ARCHITECTURES, SWEEP_LARGE, SWEEP_RULES};

use super::context::Context;
use super::files;
use super::finding::Finding;
use super::keys::{FACTOR, SWEEP, SWEEP_ROOT};
use super::name;
use super::spec::{At, Named, Place, Sources, Spot};
use super::table::Table;
use super::tree::{self, Entry, Node};
use super::vocabulary::{DesignKind, PointLuck, Vocabulary};
use crate::base::stream::fnv1a64;
use crate::measure::measure;
use std::path::Path;

/// What was written in a sweep file.
#[derive(Clone, Debug)]
pub struct SweepSpec {
    /// how the points lie
    pub design: Spot<DesignKind>,
    /// seed of the design and of all luck
    pub seed: u64,
    /// campaigns at every point
    pub campaigns: u64,
    /// which luck the points are played on
    pub luck: PointLuck,
    /// measures of interest
    pub measures: Vec<Spot<String>>,
    /// architectures that are played; empty: all
    pub architectures: Vec<Spot<String>>,
    /// `points`
    pub points: Option<Spot<u32>>,
    /// `trajectories`
    pub trajectories: Option<Spot<u32>>,
    /// `levels` of the design
    pub levels: Option<Spot<u32>>,
    /// `rows`
    pub rows: Option<Spot<u32>>,
    /// `second_order`
    pub second_order: Spot<bool>,
    /// factors in the order of the file
    pub factors: Vec<Named<FactorSpec>>,
    /// `[sweep]`
    pub at: At,
    /// fingerprint of all files: the sweep's, the base campaign's and those they include
    pub fingerprint: u64,
}

/// What came of reading a sweep file.
#[derive(Debug)]
pub struct SweepReading {
    /// The sweep and its base campaign, when nothing was found that is an error.
    pub sweep: Option<(SweepSpec, Base)>,
    /// Everything found, in the order of the files.
    pub findings: Vec<Finding>,
    /// Where the findings point to; file 0 is the sweep file.
    pub sources: Sources,
}

/// Reads a sweep file, its base campaign and everything that includes. The base is parsed, but read
/// only with the values of a point ([`Base::at`]).
pub fn read_sweep(path: &Path) -> SweepReading {
    let ctx = Context::default();
    let mut sources = Sources::default();
    let sweep = sweep(&ctx, path, &mut sources);
    let (mut findings, _) = ctx.take();
    findings.sort_by_key(|f| f.at);
    let sound = !findings.iter().any(Finding::is_error);
    SweepReading { sweep: sweep.filter(|_| sound), findings, sources }
}

fn sweep(ctx: &Context, path: &Path, sources: &mut Sources) -> Option<(SweepSpec, Base)> {
    let (text, root) = parsed(ctx, path, sources)?;
    let root_table = Table::open(ctx, &SWEEP_ROOT, root.at, &root);
    let t = root_table.table("sweep", &SWEEP);
    let folder = path.parent().unwrap_or(Path::new(""));
    let (written, include) = (t.text("base"), t.texts("include"));
    let files = match written.it.is_empty() {
        true => None, // told where it was read
        false => Some(files::load_base(ctx, (folder, &written), &include, sources)),
    };
    let fingerprint = fnv1a64(&(text + files.as_ref().map_or("", |f| f.text.as_str())));
    let base = files.filter(|_| ctx.is_clean()).map(|f| Base::new(ctx, f, sources));
    let mut spec = spec(ctx, &t, fingerprint);
    if t.has("design") {
        design_keys(ctx, &t, spec.design.it);
        design_sizes(ctx, &spec);
    }
    let read = |entry: &Entry| {
        let section = Table::open(ctx, &FACTOR, entry.key_at, &entry.node);
        Named {
            name: entry.key.clone(),
            at: entry.key_at,
            provenance: section.provenance(),
            it: factor::factor(&section, base.as_ref()),
        }
    };
    let entries = root_table.entries("factor");
    entries.iter().for_each(|e| name::refuse_column(ctx, &e.key, e.key_at));
    spec.factors = entries.iter().map(read).collect();
    factor::refuse_overlaps(ctx, &spec.factors);
    base.map(|mut base| {
        base.keep_architectures(ctx, &spec.architectures, &spec.factors);
        (spec, base)
    })
}

/// Text and tree of the sweep file.
fn parsed(ctx: &Context, path: &Path, sources: &mut Sources) -> Option<(String, Node)> {
    sources.add_file(&path.display().to_string());
    let at = sources.add(Place::default());
    let text = match files::text(path) {
        Ok(text) => text,
        Err(what) => {
            ctx.report(Finding::new(&super::rules::FILE_UNREADABLE, at, what));
            return None;
        }
    };
    match tree::parse(&text, 0, sources) {
        Ok(root) => Some((text, root)),
        Err(findings) => {
            findings.into_iter().for_each(|f| ctx.report(f));
            None
        }
    }
}

fn spec(ctx: &Context, t: &Table, fingerprint: u64) -> SweepSpec {
    t.provenance();
    let measures = t.texts("measures");
    for m in measures.iter().filter(|m| !m.it.is_empty() && measure(&m.it).is_none()) {
        let what = format!("`{}` is not a measure", m.it);
        ctx.report(Finding::new(&super::rules::UNKNOWN_MEASURE, m.at, what));
    }
    SweepSpec {
        design: t.word::<DesignKind>("design"),
        seed: t.large("seed"),
        campaigns: t.large("campaigns"),
        luck: t.word::<PointLuck>("luck").it,
        measures,
        architectures: t.texts("architectures"),
        points: t.count_opt("points"),
        trajectories: t.count_opt("trajectories"),
        levels: t.count_opt("levels"),
        rows: t.count_opt("rows"),
        second_order: t.flag("second_order"),
        factors: Vec::new(),
        at: t.at,
        fingerprint,
    }
}

/// The keys that a design takes: `true` where it has to be there.
fn takes(design: DesignKind) -> &'static [(&'static str, bool)] {
    match design {
        DesignKind::Grid | DesignKind::OneAtATime => &[],
        DesignKind::LatinHypercube | DesignKind::Sequence => &[("points", true)],
        DesignKind::Trajectories => &[("trajectories", true), ("levels", true)],
        DesignKind::Saltelli => &[("rows", true), ("second_order", false)],
    }
}

/// Keys of the design that are missing, or that belong to another one.
fn design_keys(ctx: &Context, t: &Table, design: DesignKind) {
    let taken = takes(design);
    for key in ["points", "trajectories", "levels", "rows", "second_order"] {
        let wanted = taken.iter().find(|(name, _)| *name == key);
        let what = match (wanted, t.has(key)) {
            (None, true) => format!("`{key}` is no key of the design \"{}\"", design.word()),
            (Some((_, true)), false) => format!("the design \"{}\" needs `{key}`", design.word()),
            _ => continue,
        };
        let at = t.node(key).map_or(t.at, |n| n.at);
        ctx.report(Finding::new(&rules::SWEEP_DESIGN, at, what));
    }
}

/// Sizes that a design cannot have.
fn design_sizes(ctx: &Context, s: &SweepSpec) {
    let odd = s.levels.filter(|l| l.it % 2 == 1);
    if let Some(levels) = odd {
        let what = format!("{} levels: half of them must lie above the other half", levels.it);
        ctx.report(Finding::new(&rules::SWEEP_DESIGN, levels.at, what));
    }
    if let Some(rows) = s.rows.filter(|r| !r.it.is_power_of_two()) {
        let what = format!("{} rows are not a power of 2", rows.it);
        ctx.report(Finding::new(&rules::SWEEP_DESIGN, rows.at, what));
    }
}
