//! Load, check and compile a campaign, printing every finding.

use super::exit::Exit;
use crate::check;
use crate::model::{self, Model};
use crate::report;
use crate::scenario::{self, At, Finding, Level, Provenance, Sources};
use std::io::Read;
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
    /// Prints findings to standard error, with a count.
    pub fn print_findings(&self) {
        print(&self.findings, &self.sources);
    }

    /// What follows from the files without playing anything, for the terminal.
    pub fn answer_text(&self) -> String {
        let mut out = String::from("What follows from the files alone\n");
        for f in &self.answers {
            let arm = f.architecture.as_deref().unwrap_or_default();
            out.push_str(&report::wrapped(&format!("{} ({arm}): {}", f.rule, f.what)));
        }
        out
    }

    /// Prints one line to standard error if there are warnings, and where to read them.
    pub fn print_count(&self, file: &Path) {
        if self.findings.iter().any(|f| f.severity == Level::Warning) {
            let file = report::quoted(&file.display().to_string());
            eprintln!("{}; vestibule check {file} shows them", count(&self.findings));
        }
    }
}

/// Refuses a file that cannot be read at all.
pub(super) fn readable(path: &Path) -> Result<(), Exit> {
    let refused = |why: &dyn std::fmt::Display| {
        let name = crate::base::text::visible(&path.display().to_string()).into_owned();
        eprintln!("error: cannot read {name}: {why}");
        Exit::Files
    };
    // Opening a pipe waits for somebody to write into it, and a device may never end.
    let found = std::fs::metadata(path).map_err(|e| refused(&e))?;
    if !found.is_file() && !found.is_dir() {
        return Err(refused(&"it is not a plain file"));
    }
    // Opening is not enough: a folder opens and cannot be read.
    std::fs::File::open(path).and_then(|mut f| f.read(&mut [0])).map_err(|e| refused(&e))?;
    Ok(())
}

/// Reads, checks and compiles; on errors every finding is printed.
pub fn load(path: &Path) -> Result<Loaded, Exit> {
    readable(path)?;
    let reading = scenario::read(path);
    let mut findings = reading.findings;
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
    match checked {
        Some(c) => {
            let (model, sources) = (model::compile(&c), reading.sources);
            let answers = check::answers(&c);
            Ok(Loaded { model, findings, answers, sources, assumptions })
        }
        None => {
            print(&findings, &reading.sources);
            Err(Exit::Input)
        }
    }
}

pub(super) fn print(findings: &[Finding], sources: &Sources) {
    for f in findings {
        eprintln!("{}", f.show(sources));
    }
    if !findings.is_empty() {
        eprintln!("{}", count(findings));
    }
}

/// "2 errors, 1 warning, 0 remarks"
pub(super) fn count(findings: &[Finding]) -> String {
    let of = |level: Level, word: &str| {
        let n = findings.iter().filter(|f| f.severity == level).count();
        format!("{n} {word}{}", if n == 1 { "" } else { "s" })
    };
    let words = [(Level::Error, "error"), (Level::Warning, "warning"), (Level::Info, "remark")];
    words.map(|(level, word)| of(level, word)).join(", ")
}
