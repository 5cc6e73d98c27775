//! The commands as a shell sees them: exit codes, what goes to which stream, which files are there
//! afterwards.

#[path = "../support/prose.rs"]
mod prose;

mod by_limit;
mod changes;
mod contributors;
mod exits;
mod loops;
mod odd;
mod page;
mod people;
mod plans;
mod replay;
mod results;
mod shards;
mod shipped;
mod spoken;
mod starter;
mod sweep_shards;
mod sweeps;
mod terminal;
mod trade;

use assert_cmd::Command;
use loops::looped;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;
use vestibule::measure::MEASURES;

/// A folder with the starter campaign in it.
struct Starter {
    home: TempDir,
}

impl Starter {
    fn new() -> Starter {
        let home = tempfile::tempdir().unwrap();
        let made = vestibule(home.path(), &["new", "base"]);
        assert_eq!(code(&made), 0, "{}", err(&made));
        Starter { home }
    }

    /// The same with its first architecture alone.
    fn alone() -> Starter {
        let s = Starter::new();
        let path = s.path("base/campaign.toml");
        let text = fs::read_to_string(&path).unwrap();
        let (first, second) = text.split_once("# The same lock at a lower cabin pressure").unwrap();
        assert!(second.contains("[architecture.low-pressure]"));
        fs::write(&path, first).unwrap();
        s
    }

    fn path(&self, below: &str) -> PathBuf {
        self.home.path().join(below)
    }

    /// Runs the program in the folder that holds the starter.
    fn run(&self, arguments: &[&str]) -> Output {
        vestibule(self.home.path(), arguments)
    }

    /// `run` on the starter, into folder `out`.
    fn play(&self, out: &str, more: &[&str]) -> Output {
        self.run(&[&["run", "base/campaign.toml", "--out", out], more].concat())
    }

    /// Replaces text of the campaign file; panics if it is not there, so that no patch is lost.
    fn patch(&self, from: &str, to: &str) {
        let path = self.path("base/campaign.toml");
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "nothing to patch: {from}");
        fs::write(&path, text.replace(from, to)).unwrap();
    }
}

fn vestibule(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vestibule"));
    command.current_dir(folder).args(arguments).output().unwrap()
}

fn code(o: &Output) -> i32 {
    o.status.code().expect("an exit code")
}

fn out(o: &Output) -> String {
    String::from_utf8(o.stdout.clone()).unwrap()
}

fn err(o: &Output) -> String {
    String::from_utf8(o.stderr.clone()).unwrap()
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> =
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Every file of a results folder; of the manifest all but what may differ between equal runs.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let read = |name: String| {
        let bytes = fs::read(folder.join(&name)).unwrap();
        match name == "manifest.json" {
            true => (name, without_run(std::str::from_utf8(&bytes).unwrap()).into_bytes()),
            false => (name, bytes),
        }
    };
    names(folder).into_iter().map(read).collect()
}

fn without_run(manifest: &str) -> String {
    let mut value: serde_json::Value = serde_json::from_str(manifest).unwrap();
    let removed = value.as_object_mut().unwrap().remove("run");
    assert!(removed.is_some(), "{manifest}");
    value.to_string()
}

/// Rows of a table, each as column -> cell.
fn rows(path: &Path) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// The measures of a story as JSON, to the last digit; none where there is no value.
fn told(story: &str) -> BTreeMap<String, Option<f64>> {
    let value: serde_json::Value = serde_json::from_str(story).unwrap();
    let measures = value["measures"].as_object().unwrap();
    measures.iter().map(|(name, x)| (name.clone(), x.as_f64())).collect()
}

const FILES: [&str; 17] = [
    "README.txt",
    "assumptions.csv",
    "breakdown.csv",
    "compare.csv",
    "complexity.csv",
    "datapackage.json",
    "distribution.csv",
    "drivers.csv",
    "findings.csv",
    "havens.csv",
    "manifest.json",
    "paths.csv",
    "ranking.csv",
    "report.html",
    "requirements.csv",
    "summary.csv",
    "summary.xlsx",
];
