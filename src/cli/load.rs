//! Load, check and compile a campaign, printing every finding.

use super::exit::Exit;
use crate::check;
use crate::model::{self, Model};
use crate::scenario::{self, Finding, Level, Sources};
use std::path::Path;

/// A campaign that holds together.
pub struct Loaded {
    /// The model.
    pub model: Model,
    /// What was found on the way (no errors).
    pub findings: Vec<Finding>,
    /// Places of the findings.
    pub sources: Sources,
}

impl Loaded {
    /// Prints findings to standard error, with a count.
    pub fn print_findings(&self) {
        print(&self.findings, &self.sources);
    }
}

/// Reads, checks and compiles; on errors every finding is printed.
pub fn load(path: &Path) -> Result<Loaded, Exit> {
    if let Err(e) = std::fs::File::open(path) {
        eprintln!("error: cannot read {}: {e}", path.display());
        return Err(Exit::Files);
    }
    let reading = scenario::read(path);
    let mut findings = reading.findings;
    let checked = match reading.scenario {
        Some(s) => {
            let (checked, more) = check::check(s);
            findings.extend(more);
            checked
        }
        None => None,
    };
    match checked {
        Some(c) => Ok(Loaded { model: model::compile(&c), findings, sources: reading.sources }),
        None => {
            print(&findings, &reading.sources);
            Err(Exit::Input)
        }
    }
}

fn print(findings: &[Finding], sources: &Sources) {
    for f in findings {
        eprintln!("{}", f.show(sources));
    }
    let count = |l: Level| findings.iter().filter(|f| f.severity == l).count();
    let (errors, warnings, infos) =
        (count(Level::Error), count(Level::Warning), count(Level::Info));
    if errors + warnings + infos > 0 {
        eprintln!("{errors} errors, {warnings} warnings, {infos} remarks");
    }
}
