//! The commands as a shell sees them: exit codes, what goes to which stream, which files are there
//! afterwards.

use assert_cmd::Command;
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
fn contents(folder: &Path) -> BTreeMap<String, String> {
    let read = |name: String| {
        let text = fs::read_to_string(folder.join(&name)).unwrap();
        let text = if name == "manifest.json" { without_run(&text) } else { text };
        (name, text)
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

/// The numbers at the end of a story: measure -> first word.
fn told(story: &str) -> BTreeMap<String, String> {
    let (_, numbers) = story.split_once("What this campaign contributed:\n").unwrap();
    let lines = numbers.lines().take_while(|l| !l.is_empty());
    let pair = |l: &str| {
        let mut words = l.split_whitespace();
        (words.next().unwrap().to_string(), words.next().unwrap().to_string())
    };
    lines.map(pair).collect()
}

const FILES: [&str; 6] =
    ["breakdown.csv", "compare.csv", "findings.csv", "havens.csv", "manifest.json", "summary.csv"];

// ---------------------------------------------------------------------------------- happy paths

#[test]
fn new_makes_a_starter_that_passes_the_check_and_runs_as_it_says() {
    let s = Starter::new();
    let checked = s.run(&["check", "base/campaign.toml"]);
    assert_eq!((code(&checked), err(&checked)), (0, String::new()));
    assert!(out(&checked).contains("1 architecture"), "{}", out(&checked));
    let played = s.run(&["run", "base/campaign.toml", "--campaigns", "40"]);
    assert_eq!((code(&played), err(&played)), (0, String::new()));
    assert_eq!(names(&s.path("base/results")), FILES);
}

#[cfg(unix)]
#[test]
fn the_starter_is_readable_like_any_other_folder() {
    use std::os::unix::fs::PermissionsExt;
    let s = Starter::new();
    fs::create_dir(s.path("plain")).unwrap();
    let mode = |p: &str| fs::metadata(s.path(p)).unwrap().permissions().mode();
    assert_eq!(mode("base"), mode("plain"));
}

#[test]
fn names_with_spaces_are_quoted_in_the_commands_it_suggests() {
    let home = tempfile::tempdir().unwrap();
    let made = vestibule(home.path(), &["new", "my base"]);
    assert!(out(&made).contains("vestibule run 'my base/campaign.toml'"), "{}", out(&made));
}

#[test]
fn every_list_is_printed() {
    let home = tempfile::tempdir().unwrap();
    for what in ["measures", "laws", "actions", "conditions", "effects", "rules", "keys"] {
        let o = vestibule(home.path(), &["list", what]);
        assert_eq!((code(&o), err(&o)), (0, String::new()), "{what}");
        assert!(out(&o).lines().count() > 5, "{what}: {}", out(&o));
    }
    let measures = out(&vestibule(home.path(), &["list", "measures"]));
    for m in MEASURES {
        assert!(
            measures.lines().any(|l| l.starts_with(m.name) && l.ends_with(m.doc)),
            "{}",
            m.name
        );
    }
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let systems = out(&vestibule(here, &["list", "systems"]));
    assert!(systems.contains("suitport-pair"), "{systems}");
}

#[test]
fn the_summary_is_for_a_person_and_ends_with_the_caution() {
    let s = Starter::new();
    let text = out(&s.play("results", &["--campaigns", "40"]));
    assert!(text.contains("40 campaigns of 30 days, seed 1"), "{text}");
    assert!(text.contains("campaign_haven_missed"), "{text}");
    assert_eq!(text.lines().last(), Some(vestibule::report::CAUTION));
    assert!(!text.contains('\u{1b}'), "no colour where there is no terminal");
}

// ------------------------------------------------------------------------------- files of a run

#[test]
fn the_files_are_the_same_for_any_threads_and_from_any_folder() {
    let s = Starter::new();
    let options = ["--campaigns", "300", "--keep-campaigns", "--threads"];
    assert_eq!(code(&s.play("one", &[&options[..], &["1"]].concat())), 0);
    assert_eq!(code(&s.play("two", &[&options[..], &["2"]].concat())), 0);
    let elsewhere = tempfile::tempdir().unwrap();
    let (file, folder) = (s.path("base/campaign.toml"), s.path("three"));
    let absolute = ["run", file.to_str().unwrap(), "--out", folder.to_str().unwrap()];
    let third = vestibule(elsewhere.path(), &[&absolute[..], &options[..], &["2"]].concat());
    assert_eq!(code(&third), 0, "{}", err(&third));
    let one = contents(&s.path("one"));
    assert_eq!(one.len(), FILES.len() + 1);
    assert_eq!(one, contents(&s.path("two")));
    assert_eq!(one, contents(&s.path("three")));
}

#[test]
fn an_empty_cell_has_a_note_and_nothing_seen_has_an_upper_limit() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    for file in ["summary.csv", "havens.csv", "breakdown.csv"] {
        let rows = rows(&s.path("results").join(file));
        assert!(!rows.is_empty(), "{file}");
        for row in rows {
            let empty = |(name, cell): (&String, &String)| {
                cell.is_empty() && !["unit", "note"].contains(&name.as_str())
            };
            assert!(!row.iter().any(empty) || !row["note"].is_empty(), "{file}: {row:?}");
        }
    }
    let summary = rows(&s.path("results/summary.csv"));
    let missed = summary.iter().find(|r| r["measure"] == "campaign_haven_missed").unwrap();
    // No campaign of the first 40 of seed 1 has a miss; 1 - 0.05^(1/40), by hand.
    assert_eq!((missed["mean"].as_str(), missed["mean_low95"].as_str()), ("0", "0"));
    let high: f64 = missed["mean_high95"].parse().unwrap();
    assert!((high - 0.072_157_524_505_514_6).abs() < 1e-12, "{high}");
    assert_eq!(missed["method"], "upper95 one-sided");
}

#[test]
fn kept_campaigns_come_in_order_and_add_up_to_the_summary() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "130", "--keep-campaigns"])), 0);
    let kept = rows(&s.path("results/campaigns.csv"));
    assert_eq!(kept.len(), 130);
    for (i, row) in kept.iter().enumerate() {
        assert_eq!(row["campaign"], i.to_string());
    }
    let mean: f64 =
        kept.iter().map(|r| r["gas_lost_kg"].parse::<f64>().unwrap()).sum::<f64>() / 130.0;
    let summary = rows(&s.path("results/summary.csv"));
    let gas = summary.iter().find(|r| r["measure"] == "gas_lost_kg").unwrap();
    let estimated: f64 = gas["mean"].parse().unwrap();
    assert!((mean / estimated - 1.0).abs() < 1e-12, "{mean} {estimated}");
}

#[test]
fn kept_campaigns_of_an_earlier_run_do_not_stay() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40", "--keep-campaigns"])), 0);
    assert!(s.path("results/campaigns.csv").is_file());
    fs::write(s.path("results/notes.txt"), "mine").unwrap();
    assert_eq!(code(&s.play("results", &["--campaigns", "41"])), 0);
    let mut expected: Vec<&str> = [&FILES[..], &["notes.txt"]].concat();
    expected.sort_unstable();
    assert_eq!(names(&s.path("results")), expected);
}

#[test]
fn the_manifest_names_what_the_numbers_depend_on() {
    let s = Starter::new();
    assert_eq!(
        code(&s.play("results", &["--campaigns", "40", "--seed", "18446744073709551615"])),
        0
    );
    let text = fs::read_to_string(s.path("results/manifest.json")).unwrap();
    let m: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(m["seed"], "18446744073709551615");
    assert_eq!(m["campaigns"], 40);
    let fingerprint = m["fingerprint"].as_str().unwrap();
    assert!(fingerprint.len() == 18 && fingerprint.starts_with("0x"), "{fingerprint}");
    assert_eq!(m["files"][0], "campaign.toml");
    for key in ["command", "threads", "wall_seconds", "host", "finished_unix"] {
        assert!(m["run"].get(key).is_some() && m.get(key).is_none(), "{key}");
    }
}

// ----------------------------------------------------------------------------------- exit codes

#[test]
fn wrong_usage_is_2() {
    let s = Starter::new();
    let file = "base/campaign.toml";
    let cases: [&[&str]; 10] = [
        &[],
        &["walk"],
        &["run"],
        &["run", file, "--campaigns", "0"],
        &["run", file, "--threads", "0"],
        &["run", file, "--colour"],
        &["list", "everything"],
        &["replay", file, "--architecture", "none", "--campaign", "0"],
        &["replay", file, "--architecture", "lock", "--campaign", "0", "--sortie", "0"],
        &["new", "base"],
    ];
    for arguments in cases {
        let o = s.run(arguments);
        assert_eq!(code(&o), 2, "{arguments:?}: {}", err(&o));
        assert!(!err(&o).is_empty(), "{arguments:?} says nothing");
    }
    assert!(!s.path("base/results").exists());
}

#[test]
fn new_leaves_a_folder_that_is_there_alone() {
    let s = Starter::new();
    s.patch("seed = 1", "seed = 2");
    let before = fs::read_to_string(s.path("base/campaign.toml")).unwrap();
    assert_eq!(code(&s.run(&["new", "base"])), 2);
    assert_eq!(fs::read_to_string(s.path("base/campaign.toml")).unwrap(), before);
    assert_eq!(names(s.home.path()), ["base"]);
}

#[test]
fn a_file_that_cannot_be_read_is_4() {
    let s = Starter::new();
    for file in ["nothing.toml", "base"] {
        for command in ["check", "run"] {
            let o = s.run(&[command, file]);
            assert_eq!(code(&o), 4, "{command} {file}: {}", err(&o));
            assert!(err(&o).contains(file), "{}", err(&o));
        }
    }
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "0"];
    let o = s.run(&[&replay[..], &["--from", "nowhere"]].concat());
    assert_eq!(code(&o), 4, "{}", err(&o));
}

#[test]
fn a_folder_that_cannot_be_written_is_4_and_says_what_to_do() {
    let s = Starter::new();
    fs::write(s.path("file"), "not a folder").unwrap();
    let o = s.play("file/results", &["--campaigns", "40"]);
    assert_eq!(code(&o), 4, "{}", err(&o));
    assert!(err(&o).contains("file/results") && err(&o).contains("--out"), "{}", err(&o));
    assert_eq!(out(&o), "");
    let o = s.run(&["new", "file/base"]);
    assert_eq!(code(&o), 4, "{}", err(&o));
}

#[test]
fn every_error_of_the_input_is_shown_at_once_and_is_1() {
    let s = Starter::new();
    s.patch("gravity = \"1.62 m/s2\"", "gravity = \"1.62\"");
    s.patch("haven_people = 3", "haven_peeple = 3");
    s.patch("team = 2", "team = \"two\"");
    for command in ["check", "run"] {
        let o = s.run(&[command, "base/campaign.toml"]);
        assert_eq!(code(&o), 1, "{}", err(&o));
        assert_eq!(out(&o), "");
        for part in ["1.62", "haven_peeple", "haven_people", "activity.walks.team"] {
            assert!(err(&o).contains(part), "{part} is missing in\n{}", err(&o));
        }
        let count = err(&o).lines().last().unwrap().to_string();
        let errors = err(&o).lines().filter(|l| l.starts_with("error[")).count();
        assert!(errors >= 3, "{}", err(&o));
        assert!(count.starts_with(&format!("{errors} errors, ")), "{count}");
    }
    assert!(!s.path("base/results").exists());
}

#[test]
fn warnings_go_to_standard_error_and_into_the_findings() {
    let s = Starter::new();
    // A repair that asks for a part of which there is none.
    s.patch("seal = 2", "seal = 0");
    let o = s.run(&["check", "base/campaign.toml"]);
    assert_eq!(code(&o), 0, "{}", err(&o));
    assert!(err(&o).contains("warning[spare-none]"), "{}", err(&o));
    assert!(!out(&o).contains("warning"), "{}", out(&o));
    let played = s.play("results", &["--campaigns", "40"]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    // a run counts them only
    assert!(err(&played).contains("1 warning, ") && err(&played).lines().count() == 1);
    let found = rows(&s.path("results/findings.csv"));
    assert_eq!(found.len(), err(&o).matches("   = rule: ").count());
    assert!(found.iter().all(|r| !r["remedy"].is_empty() && !r["rule"].is_empty()));
}

/// The same for what is found when the campaign is looked at as a whole.
#[test]
fn every_error_of_the_whole_is_shown_at_once_and_is_1() {
    let s = Starter::new();
    s.patch("team = 2", "team = 4");
    s.patch("[\"free-the-outer-hatch\", ", "[");
    let o = s.run(&["check", "base/campaign.toml"]);
    assert_eq!((code(&o), out(&o)), (1, String::new()));
    for rule in ["error[team-crew]", "error[way-unnamed]"] {
        assert!(err(&o).contains(rule), "{rule} is missing in\n{}", err(&o));
    }
}

#[cfg(unix)]
#[test]
fn a_run_that_is_interrupted_leaves_no_file_and_is_75() {
    for signal in ["-INT", "-TERM"] {
        let s = Starter::new();
        let child = std::process::Command::new(env!("CARGO_BIN_EXE_vestibule"))
            .current_dir(s.home.path())
            .args(["run", "base/campaign.toml", "--campaigns", "1000000000000"])
            .args(["--keep-campaigns", "--out", "results"])
            .stderr(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        wait_for(|| s.path("results").is_dir() && !names(&s.path("results")).is_empty());
        let pid = child.id().to_string();
        let sent = std::process::Command::new("kill").args([signal, &pid]).status().unwrap();
        assert!(sent.success());
        let o = child.wait_with_output().unwrap();
        assert_eq!(code(&o), 75, "{signal}: {}", err(&o));
        assert_eq!(out(&o), "");
        assert!(err(&o).contains("no result was written"), "{}", err(&o));
        assert_eq!(names(s.home.path()), ["base"]);
    }
}

/// Waits at most a minute.
#[cfg(unix)]
fn wait_for(done: impl Fn() -> bool) {
    let started = std::time::Instant::now();
    while !done() {
        assert!(started.elapsed().as_secs() < 60, "waited for a minute");
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_vestibule"))
        .args(["list", "keys"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let o = child.wait_with_output().unwrap();
    assert_eq!((code(&o), err(&o)), (0, String::new()));
}

// --------------------------------------------------------------------------------------- replay

#[test]
fn replay_ends_with_the_row_of_its_campaign_to_the_last_digit() {
    let s = Starter::new();
    let options = ["--campaigns", "70", "--seed", "99", "--keep-campaigns"];
    assert_eq!(code(&s.play("results", &options)), 0);
    let kept = rows(&s.path("results/campaigns.csv"));
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock"];
    for number in ["0", "69"] {
        let campaign = ["--campaign", number, "--from", "results"];
        let o = s.run(&[&replay[..], &campaign[..]].concat());
        assert_eq!((code(&o), err(&o)), (0, String::new()));
        let told = told(&out(&o));
        assert_eq!(told.len(), MEASURES.len());
        let row = &kept[number.parse::<usize>().unwrap()];
        for m in MEASURES {
            let cell = &row[m.name];
            // what is empty there is said in words here
            let same = *cell == told[m.name] || cell.is_empty() && told[m.name] == "no";
            assert!(same, "{}: {} in the file, {} told", m.name, cell, told[m.name]);
        }
    }
}

#[test]
fn replay_tells_every_sortie_and_one_of_them_row_by_row() {
    let s = Starter::new();
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "3"];
    let story = out(&s.run(&replay));
    assert!(story.starts_with("lock (a single-chamber lock), campaign 3, seed 1\n"), "{story}");
    let planned: usize = told(&story)["sorties_planned"].parse().unwrap();
    for sortie in 1..=planned {
        let line = |l: &&str| l.starts_with("day ") && l.contains(&format!("sortie {sortie:3}  "));
        assert!(story.lines().any(|l| line(&l)), "sortie {sortie} is missing in\n{story}");
    }
    let one = out(&s.run(&[&replay[..], &["--sortie", "2"]].concat()));
    assert!(one.contains("depress lock") && one.contains("kPa"), "{one}");
    assert!(!story.contains("depress lock"), "{story}");
    assert_eq!(told(&one), told(&story));
}

#[test]
fn replay_refuses_a_manifest_whose_seed_or_luck_it_cannot_follow() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let path = s.path("results/manifest.json");
    let whole = fs::read_to_string(&path).unwrap();
    let other_luck = whole.replace(vestibule::report::LUCK, "another");
    let other_seed = whole.replace("\"seed\": \"1\"", "\"seed\": \"one\"");
    for text in [other_luck, other_seed, "{}".to_string()] {
        assert_ne!(text, whole);
        fs::write(&path, text).unwrap();
        let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "0"];
        let o = s.run(&[&replay[..], &["--from", "results"]].concat());
        assert_eq!((code(&o), out(&o)), (1, String::new()), "{}", err(&o));
    }
}
