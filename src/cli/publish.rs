//! From what was played, here or in shards, to the results folder and the summary on the screen.

use super::decide;
use super::exit::{Exit, say};
use super::load::Loaded;
use super::voice::Voice;
use crate::base::stream::Luck;
use crate::check::rules;
use crate::model::{Caps, Model};
use crate::report::{self, Asked, Draft, FILES, Judged, Manifest, RunFacts, Setting, WriteError};
use crate::scenario::{Finding, Sources};
use crate::stats::Results;
use crate::study::drivers::Books;
use crate::study::standing::Standing;
use crate::study::value;
use std::path::Path;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// What all campaigns left.
pub struct Played<'m> {
    /// The tallies.
    pub results: Results,
    /// How architectures stand.
    pub standing: Standing<'m>,
    /// By parameter: how often it was capped.
    pub capped: Vec<u64>,
    /// What the decision of the file goes by, of every parameter set.
    pub decision: Option<value::Books>,
}

/// What a results folder says of the run it comes from.
pub struct Told<'a> {
    /// The campaign.
    pub loaded: &'a Loaded,
    /// Campaigns played.
    pub campaigns: u64,
    /// Campaigns that drivers are worked out on, at most.
    pub drivers: u64,
    /// Threads it was played on.
    pub threads: usize,
    /// When it began.
    pub started: Instant,
    /// Long tables as Parquet too.
    pub parquet: bool,
    /// As it was asked for.
    pub asked: Asked<'a>,
    /// How much is said.
    pub voice: Voice,
    /// The tables of the answer as JSON in place of the summary.
    pub json: bool,
}

impl Told<'_> {
    /// Says a part of the summary, unless as little as possible or JSON is to be said.
    fn say(&self, text: impl FnOnce() -> String) -> Exit {
        if self.voice.quiet || self.json { Exit::Done } else { say(&text()) }
    }
}

/// How a gate ends: every limit that is not met or undecided is named.
pub fn gate(broken: &[String], voice: Voice) -> Exit {
    for limit in broken {
        eprint!("{}", voice.error_screen().wrap(&format!("limit {limit}"), "", "  "));
    }
    if broken.is_empty() { Exit::Done } else { Exit::Gate }
}

/// Prints the first answer, writes the tables, has the drivers worked out, publishes the folder and
/// prints the rest. Gives the limits that are not met or undecided, in words.
pub fn publish(
    told: &Told,
    played: &Played,
    mut draft: Draft,
    drive: impl FnOnce() -> Result<Option<Books>, Exit>,
) -> Result<Vec<String>, Exit> {
    let (loaded, model, asked) = (told.loaded, &told.loaded.model, told.asked);
    let judged = report::judged(model, &played.results);
    let review = (judged.as_slice(), &played.standing);
    // Who cannot print has the folder nevertheless.
    let first = told.say(|| report::summary_text(model, &played.results, review, asked));
    let findings = findings(loaded, told.campaigns, &played.capped);
    tables(loaded, &findings, played, &judged, &mut draft).map_err(|e| refused(&e))?;
    let decision = played.decision.as_ref();
    let text = decide::worth(model, decision, &mut draft).map_err(|e| refused(&e))?;
    let worth = told.say(|| text);
    let books = drive()?;
    if let Some(books) = &books {
        draft.table("drivers.csv", &report::drivers(model, books)).map_err(|e| refused(&e))?;
        draft.table("paths.csv", &report::paths(model, books)).map_err(|e| refused(&e))?;
    }
    if told.parquet {
        draft.columnar().map_err(|e| refused(&e))?;
    }
    let names = FILES.iter().filter(|f| draft.has(f.name)).map(|f| f.name.to_string()).collect();
    let manifest = manifest(told, names);
    draft.text("manifest.json", &manifest.text()).map_err(|e| refused(&e))?;
    // Last, because they are made from the other files.
    let folder = draft.folder().to_path_buf();
    report::made_from_files(&folder, &mut draft, None).map_err(|e| super::report::failed(&e))?;
    draft.publish(&report::optional()).map_err(|e| refused(&e))?;
    let last = match told.json {
        true => say(&report::answer_json(model, &played.results, review, asked.folder)),
        false => told.say(|| report::closing_text(model, books.as_ref(), asked)),
    };
    if let Some(failed) = [first, worth, last].into_iter().find(|e| *e != Exit::Done) {
        return Err(failed);
    }
    Ok(report::broken_limits(model, &judged))
}

/// Says why nothing could be written.
pub fn refused(e: &WriteError) -> Exit {
    eprintln!("error: {e}");
    Exit::Files
}

/// What the check found and what follows from the files; and a finding for each law of a probability
/// of which draws were above 1 and count as 1.
fn findings(loaded: &Loaded, campaigns: u64, capped: &[u64]) -> Vec<Finding> {
    let model = &loaded.model;
    let caps = model.params.caps(Luck::new(model.seed), capped, model.set_of(campaigns));
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

fn tables(
    loaded: &Loaded,
    findings: &[Finding],
    played: &Played,
    judged: &[Judged],
    draft: &mut Draft,
) -> Result<(), WriteError> {
    let (model, results, standing) = (&loaded.model, &played.results, &played.standing);
    if !judged.is_empty() {
        draft.table("requirements.csv", &report::requirements(model, judged))?;
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

fn manifest(told: &Told, tables: Vec<String>) -> Manifest {
    let (loaded, model) = (told.loaded, &told.loaded.model);
    Manifest {
        program: env!("CARGO_PKG_NAME").into(),
        version: env!("CARGO_PKG_VERSION").into(),
        luck: report::LUCK.into(),
        seed: model.seed.to_string(),
        campaigns: told.campaigns,
        inner: model.inner,
        drivers: Some(told.drivers),
        fingerprint: format!("{:#018x}", model.fingerprint),
        files: inputs(&loaded.sources),
        architectures: model.arms.iter().map(|a| a.name.clone()).collect(),
        setting: Some(setting(model)),
        sweep: None,
        tables,
        not_modelled: report::NOT_MODELLED.iter().map(|s| s.to_string()).collect(),
        caution: report::CAUTION.into(),
        run: run_facts(told.threads, told.started),
    }
}

/// What may differ between equal runs.
pub fn run_facts(threads: usize, started: Instant) -> RunFacts {
    RunFacts {
        command: std::env::args_os().map(|a| a.to_string_lossy().into_owned()).collect(),
        threads,
        wall_seconds: started.elapsed().as_secs_f64(),
        host: host(),
        finished_unix: SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs()),
    }
}

/// What a reader of the tables has to know of the campaign.
pub fn setting(model: &Model) -> Setting {
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
pub fn inputs(sources: &Sources) -> Vec<String> {
    let mut files = sources.files.clone();
    if let Some(first) = files.first_mut() {
        let name = Path::new(first.as_str()).file_name().map(|n| n.to_string_lossy().into_owned());
        *first = name.unwrap_or_else(|| first.clone());
    }
    files
}

/// Name of the machine, where it says so.
fn host() -> String {
    std::fs::read_to_string("/etc/hostname")
        .map_or_else(|_| String::new(), |s| s.trim().to_string())
}
