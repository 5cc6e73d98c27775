//! Small campaigns for tests: a base file and patches of its lines.
#![allow(dead_code)] // each test file uses a part of it

use std::fs;
use std::path::Path;
use vestibule::campaign::Player;
use vestibule::check;
use vestibule::measure::measure;
use vestibule::model::{self, Model};
use vestibule::outcome::Outcome;
use vestibule::scenario::{self, Finding};

/// Ways back of the plain lock that work its outer hatch and wipe its seal.
pub const TOOLS: &str = r#"
[list.way_back.hammer]
from = "outside"
rows = [
  { action = "open", on = "outer", takes = "10 min", frees = 0.6 },
  { use = "ingress", after = "open outer" },
]
[list.way_back.wipe]
from = "lock"
rows = [
  { action = "close", on = "outer", takes = "15 min", frees = 0.7 },
  { use = "ingress", after = "close outer" },
]
"#;

/// A campaign as text: the file itself and access files beside it.
#[derive(Clone)]
pub struct Case {
    pub campaign: String,
    pub access: Vec<(String, String)>,
}

impl Case {
    /// The base of the closed-form tests.
    pub fn base() -> Case {
        let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/small");
        let read = |p: &str| fs::read_to_string(here.join(p)).expect(p);
        Case {
            campaign: read("base.toml"),
            access: vec![("plain-lock.toml".into(), read("access/plain-lock.toml"))],
        }
    }

    /// The base with a day more: its last sortie, 6 h before the end, ends within the campaign.
    pub fn whole() -> Case {
        Case::base().patch("length = \"30 d\"", "length = \"31 d\"")
    }

    /// Replaces text of the campaign file; panics if it is not there, so that no patch is lost.
    pub fn patch(mut self, from: &str, to: &str) -> Case {
        assert!(self.campaign.contains(from), "nothing to patch: {from}");
        self.campaign = self.campaign.replace(from, to);
        self
    }

    /// Replaces text of the first access file.
    pub fn patch_access(mut self, from: &str, to: &str) -> Case {
        assert!(self.access[0].1.contains(from), "nothing to patch: {from}");
        self.access[0].1 = self.access[0].1.replace(from, to);
        self
    }

    /// Replaces text of a named access file.
    pub fn patch_in(mut self, file: &str, from: &str, to: &str) -> Case {
        let text = self.access.iter_mut().find(|a| a.0 == file).map(|a| &mut a.1);
        let text = text.unwrap_or_else(|| panic!("no file {file}"));
        assert!(text.contains(from), "nothing to patch: {from}");
        *text = text.replace(from, to);
        self
    }

    /// Writes the campaign and its files into a folder, for `replay`.
    pub fn write(&self, dir: &Path) {
        fs::create_dir_all(dir.join("access")).expect("a folder for access files");
        for (name, text) in &self.access {
            fs::write(dir.join("access").join(name), text).expect("an access file");
        }
        fs::write(dir.join("campaign.toml"), &self.campaign).expect("the campaign file");
    }

    /// Adds text at the end of the campaign file.
    pub fn add(mut self, text: &str) -> Case {
        self.campaign.push_str(text);
        self
    }

    /// Adds text at the end of the first access file.
    pub fn add_access(mut self, text: &str) -> Case {
        self.access[0].1.push_str(text);
        self
    }

    /// Adds another access file and its include.
    pub fn include(mut self, name: &str, text: &str) -> Case {
        self.campaign =
            self.campaign.replacen("include = [", &format!("include = [\"access/{name}\", "), 1);
        self.access.push((name.into(), text.into()));
        self
    }

    /// Reads, checks and compiles; panics with every finding if there is an error.
    pub fn model(&self) -> Model {
        match self.try_model() {
            Ok(m) => m,
            Err(findings) => panic!("the case has errors:\n{findings}"),
        }
    }

    /// Reads, checks and compiles, or gives all findings as text.
    pub fn try_model(&self) -> Result<Model, String> {
        self.checked().map(|c| model::compile(&c))
    }

    /// Reads and checks, or gives all errors as text.
    pub fn checked(&self) -> Result<check::Checked, String> {
        let (checked, said) = self.look(|f| f.is_error());
        checked.ok_or(said)
    }

    /// Reads only; panics if that fails.
    pub fn scenario(&self) -> scenario::Scenario {
        let dir = tempfile::tempdir().expect("a folder for the case");
        fs::create_dir(dir.path().join("access")).expect("a folder for access files");
        for (name, text) in &self.access {
            fs::write(dir.path().join("access").join(name), text).expect("an access file");
        }
        let file = dir.path().join("campaign.toml");
        fs::write(&file, &self.campaign).expect("the campaign file");
        scenario::read(&file).scenario.expect("the case reads")
    }

    /// Every finding as text, warnings and remarks with them.
    pub fn findings(&self) -> String {
        self.look(|_| true).1
    }

    fn look(&self, wanted: impl Fn(&Finding) -> bool) -> (Option<check::Checked>, String) {
        let dir = tempfile::tempdir().expect("a folder for the case");
        fs::create_dir(dir.path().join("access")).expect("a folder for access files");
        for (name, text) in &self.access {
            fs::write(dir.path().join("access").join(name), text).expect("an access file");
        }
        let file = dir.path().join("campaign.toml");
        fs::write(&file, &self.campaign).expect("the campaign file");
        let reading = scenario::read(&file);
        let mut text = String::new();
        for f in reading.findings.iter().filter(|f| wanted(f)) {
            text.push_str(&f.show(&reading.sources).to_string());
        }
        let Some(s) = reading.scenario else {
            return (None, text);
        };
        let (checked, findings) = check::check(s);
        for f in findings.iter().filter(|f| wanted(f)) {
            text.push_str(&f.show(&reading.sources).to_string());
        }
        (checked, text)
    }
}

/// A measure of an outcome; panics if absent.
pub fn value(o: &Outcome, name: &str) -> f64 {
    let m = measure(name).unwrap_or_else(|| panic!("no measure {name}"));
    o.facts.read(m).unwrap_or_else(|| panic!("{name} is absent"))
}

/// Outcome of one campaign of the first architecture.
pub fn play(model: &Model, index: u64) -> Outcome {
    Player::new(model).play_one(0, index).clone()
}

/// Mean and standard error of a measure over campaigns of one architecture (absent ones left out).
pub fn mean(model: &Model, arm: usize, name: &str, campaigns: u64) -> (f64, f64) {
    let mut player = Player::new(model);
    let m = measure(name).unwrap();
    let (mut n, mut sum, mut squares) = (0.0, 0.0, 0.0);
    for i in 0..campaigns {
        if let Some(x) = player.play_one(arm, i).facts.read(m) {
            n += 1.0;
            sum += x;
            squares += x * x;
        }
    }
    let mean = sum / n;
    let variance: f64 = (squares / n - mean * mean).max(0.0) * n / (n - 1.0);
    (mean, (variance / n).sqrt())
}
