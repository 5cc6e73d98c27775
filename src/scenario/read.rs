//! From path to scenario: files, one tree, sections, with every finding on the way.

mod access;
mod activity;
mod architecture;
mod campaign;
mod changes;
mod element;
mod failure;
mod review;
mod row;

use super::context::Context;
use super::files::{self, File};
use super::finding::Finding;
use super::keys::*;
use super::merge::merge;
use super::number::{self, Wanted};
use super::spec::*;
use super::table::Table;
use super::tree::{Entry, Node};
use crate::base::stream::fnv1a64;
use std::path::Path;

/// What came of reading a campaign file.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The scenario, when nothing was found that is an error.
    pub scenario: Option<Scenario>,
    /// Everything found, in the order of the files.
    pub findings: Vec<Finding>,
    /// Where the findings point to.
    pub sources: Sources,
}

/// Reads a campaign file and everything it includes. Whatever is wrong becomes a finding, and
/// reading goes on behind it; only a file that is not TOML keeps the rest from being read.
pub fn read(path: &Path) -> Reading {
    read_with(&Context::default(), path)
}

fn read_with(ctx: &Context, path: &Path) -> Reading {
    let mut sources = Sources::default();
    let files = files::load(ctx, path, &mut sources);
    // Without all files every section in the lost one would be missed: not worth telling.
    if !ctx.is_clean() {
        return finish(ctx, sources, None);
    }
    let fingerprint = fnv1a64(&files.text);
    let (root, access) = merge(ctx, files.files, &sources);
    let mut scenario = scenario(ctx, &root, &access);
    scenario.fingerprint = fingerprint;
    finish(ctx, sources, Some(scenario))
}

pub(super) fn finish(ctx: &Context, sources: Sources, scenario: Option<Scenario>) -> Reading {
    let (mut findings, mut assumptions) = ctx.take();
    findings.sort_by_key(|f| f.at);
    assumptions.sort_by_key(|(at, _)| *at);
    let sound = !findings.iter().any(Finding::is_error);
    let scenario = scenario.filter(|_| sound).map(|scenario| Scenario {
        sources: sources.clone(),
        assumptions,
        ..scenario
    });
    Reading { scenario, findings, sources }
}

/// Every section of the merged tree. `sources`, `fingerprint` and `assumptions` are filled in by
/// the caller.
pub(super) fn scenario(ctx: &Context, root: &Node, access: &[File]) -> Scenario {
    let root = Table::open(ctx, &ROOT, root.at, root);
    let crew = campaign::crew(&root.table("crew", &CREW));
    let (architectures, changed) = architecture::architectures(&root, access);
    Scenario {
        sources: Sources::default(),
        fingerprint: 0,
        study: campaign::study(&root.table("study", &STUDY)),
        body: campaign::body(&root.table("body", &BODY)),
        campaign: campaign::campaign(&root.table("campaign", &CAMPAIGN)),
        crew,
        suits: root.named("suit", &SUIT, campaign::suit),
        elements: root.named("element", &ELEMENT, element::element),
        activities: root.named("activity", &ACTIVITY, activity::activity),
        failures: root.named("failure", &FAILURE, failure::failure),
        environment: EnvironmentSpec { events: root.named("environment", &EVENT, failure::event) },
        stores: root.named("store", &STORE, campaign::store),
        spares: review::spares(&root),
        limits: root.named("limit", &LIMIT, review::limit),
        mass: root.table_opt("mass", &MASS).map(|t| review::mass(&t)),
        rankings: root.named("ranking", &RANKING, review::ranking),
        decision: root.table_opt("decision", &DECISION).map(|t| review::decision(&t)),
        laws: laws(&root),
        access: access.iter().map(|f| access::access(ctx, f)).chain(changed).collect(),
        architectures,
        assumptions: Vec::new(),
    }
}

/// `law.NAME`: durations that rows can name.
fn laws(table: &Table) -> Vec<Named<Num>> {
    let wanted = Wanted::time(Draw::Varies);
    let read = |entry: &Entry| Named {
        name: entry.key.clone(),
        at: entry.key_at,
        // A law carries its source in its own table; reading it keeps that.
        provenance: Provenance::default(),
        it: number::read(table.ctx, &entry.node, wanted)
            .unwrap_or_else(|| number::placeholder(entry.node.at)),
    };
    table.entries("law").iter().map(read).collect()
}

#[cfg(test)]
mod tests;
