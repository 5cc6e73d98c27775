//! Load, check and compile a campaign, printing every finding.

use super::exit::Exit;
use super::findings;
use super::voice::Voice;
use crate::check;
use crate::model::{self, Model};
use crate::report::{self, Screen, Tone};
use crate::scenario::{self, At, Finding, Level, Provenance, Sources};
use std::path::Path;

/// A campaign that holds together.
pub struct Loaded {
    /// The model.
    pub model: Model,
    /// What was found on the way (no errors).
    pub findings: Vec<Finding>,
    /// What follows from the files without playing anything.
    pub answers: Vec<Finding>,
    /// Places of the findings.
    pub sources: Sources,
    /// Every source and basis that the files give, with its place.
    pub assumptions: Vec<(At, Provenance)>,
}

impl Loaded {
    /// Prints findings to standard error; nothing where only what goes wrong is to be said.
    pub fn print_findings(&self, voice: Voice) {
        if !voice.quiet {
            let arms: Vec<&str> = self.model.arms.iter().map(|a| a.name.as_str()).collect();
            findings::print(&self.findings, &self.sources, &arms, voice.error_screen());
        }
    }

    /// Prints one line to standard error if there are warnings, and where to read them.
    pub fn print_count(&self, file: &Path, voice: Voice) {
        if !voice.quiet && number(&self.findings, WARNING) > 0 {
            let file = report::quoted(&file.display().to_string());
            eprintln!("{}; vestibule check {file} shows them", count(&self.findings));
        }
    }
}

/// A path as it may stand on a terminal: nothing in it that is not seen.
pub(super) fn named(path: &Path) -> String {
    crate::base::text::visible(&path.display().to_string()).into_owned()
}

/// Refuses a file that cannot be read at all.
pub(super) fn readable(path: &Path) -> Result<(), Exit> {
    let refused = |why: &dyn std::fmt::Display| {
        let name = named(path);
        eprintln!("error: cannot read {name}: {why}");
        Exit::Files
    };
    // Opening a pipe waits for somebody to write into it, and a device may never end.
    let found = std::fs::metadata(path).map_err(|e| refused(&e))?;
    if !found.is_file() && !found.is_dir() {
        return Err(refused(&"it is not a plain file"));
    }
    // Opening is not enough: a folder opens and cannot be read.
    std::fs::File::open(path)
        .and_then(|mut f| std::io::Read::read(&mut f, &mut [0]))
        .map_err(|e| refused(&e))?;
    Ok(())
}

/// What reading a campaign gave: the campaign if it holds together, else what was found.
pub struct Read {
    /// The campaign.
    pub loaded: Option<Loaded>,
    /// What was found; with a campaign these are its own.
    pub findings: Vec<Finding>,
    /// Places of the findings.
    pub sources: Sources,
}

/// Reads, checks and compiles; says nothing but that a file cannot be read at all.
pub fn read(path: &Path) -> Result<Read, Exit> {
    readable(path)?;
    let reading = scenario::read(path);
    let (mut findings, sources) = (reading.findings, reading.sources);
    let mut assumptions = Vec::new();
    let checked = match reading.scenario {
        Some(s) => {
            assumptions.clone_from(&s.assumptions);
            let (checked, more) = check::check(s);
            findings.extend(more);
            checked
        }
        None => None,
    };
    let Some(c) = checked else { return Ok(Read { loaded: None, findings, sources }) };
    let (model, answers) = (model::compile(&c), check::answers(&c));
    let own = (findings.clone(), sources.clone());
    let loaded = Loaded { model, findings: own.0, answers, sources: own.1, assumptions };
    Ok(Read { loaded: Some(loaded), findings, sources })
}

/// The same; on errors the verdict and every finding are printed.
pub fn load(path: &Path, voice: Voice) -> Result<Loaded, Exit> {
    let read = read(path)?;
    match read.loaded {
        Some(loaded) => Ok(loaded),
        None => {
            refuse(path, &read.findings, &read.sources, voice);
            Err(Exit::Input)
        }
    }
}

/// Says that a file cannot be played, and every finding.
pub(super) fn refuse(path: &Path, findings: &[Finding], sources: &Sources, voice: Voice) {
    let screen = voice.error_screen();
    let text = format!("{} cannot be played: {}.", named(path), count(findings));
    eprint!("{}", screen.tint(Tone::Title, screen.wrap(&text, "", "  ").trim_end()) + "\n");
    findings::print(findings, sources, &[], screen);
}

/// Every finding with a count, where nothing was said of how to speak.
pub(super) fn print(findings: &[Finding], sources: &Sources) {
    findings::print(
        findings,
        sources,
        &[],
        Screen { verbose: true, ..Voice::default().error_screen() },
    );
    if !findings.is_empty() {
        eprintln!("{}", count(findings));
    }
}

/// Level of what keeps a file from being played.
pub const ERROR: Level = Level::Error;
/// Level of what may not mean what was intended.
pub const WARNING: Level = Level::Warning;
/// Level of what is worth knowing.
pub const REMARK: Level = Level::Info;

/// How many findings are of a level.
pub fn number(findings: &[Finding], level: Level) -> usize {
    findings.iter().filter(|f| f.severity == level).count()
}

/// "2 errors, 1 warning, 0 remarks"
pub(super) fn count(findings: &[Finding]) -> String {
    let of = |level: Level, word: &str| {
        let n = number(findings, level);
        format!("{n} {word}{}", if n == 1 { "" } else { "s" })
    };
    let words = [(ERROR, "error"), (WARNING, "warning"), (REMARK, "remark")];
    words.map(|(level, word)| of(level, word)).join(", ")
}
