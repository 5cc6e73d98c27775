//! Exit codes: what goes wrong, and what is left behind.

use super::*;

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

/// The gate opens only when every limit is met; the results are written in any case.
#[test]
fn gate_is_3_unless_every_limit_is_met() {
    let s = Starter::new();
    let gate = |s: &Starter| code(&s.play("results", &["--campaigns", "64", "--gate"]));
    assert_eq!(gate(&s), 0);
    let verdict = |s: &Starter| rows(&s.path("results/requirements.csv"))[0]["verdict"].clone();
    assert_eq!(verdict(&s), "met");
    s.patch("below = \"40 kg\"", "below = \"1 g\"");
    assert_eq!((gate(&s), verdict(&s)), (3, "not met".to_string()));
    let told = err(&s.play("results", &["--campaigns", "64", "--gate"]));
    let words = "limit gas (gas lost below 1 g) is not met: lock ";
    assert!(told.starts_with(words), "{told}");
    assert_eq!(names(&s.path("results")), FILES);
    assert_eq!(code(&s.play("results", &["--campaigns", "64"])), 0, "without --gate");
    s.patch(
        "measure = \"gas_lost_kg\"\nbelow = \"1 g\"",
        "measure = \"haven_missed\"\nbelow = 1e-9",
    );
    assert_eq!((gate(&s), verdict(&s)), (3, "undecided".to_string()));
    s.patch("[limit.gas]\nmeasure = \"haven_missed\"\nbelow = 1e-9\nbasis = \"assumed\"", "");
    let none = s.play("none", &["--gate"]);
    assert_eq!(code(&none), 2);
    assert!(err(&none).contains("[limit.NAME]"), "{}", err(&none));
    assert!(!s.path("none").exists());
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
        let verdict = err(&o).lines().next().unwrap().to_string();
        let errors = err(&o).lines().filter(|l| l.starts_with("error[")).count();
        assert!(errors >= 3, "{}", err(&o));
        let words = format!("base/campaign.toml cannot be played: {errors} errors, ");
        assert!(verdict.starts_with(&words), "{verdict}");
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
    assert!(!out(&o).contains("warning["), "{}", out(&o));
    let played = s.play("results", &["--campaigns", "40"]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    // a run counts them only
    assert!(err(&played).contains("1 warning, ") && err(&played).lines().count() == 1);
    let found = rows(&s.path("results/findings.csv"));
    let judging = found.iter().filter(|r| r["severity"] != "info").count();
    assert_eq!(judging, err(&o).matches("   = rule: ").count());
    // What follows from the files alone stands there too, and is printed by the check.
    assert!(found.iter().any(|r| r["rule"] == "prebreathe-time"));
    assert!(out(&o).contains("  prebreathe-time (and 1 more)\n    lock: "), "{}", out(&o));
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

/// A name that is misspelt is one error: not also that the path it meant is named nowhere.
#[test]
fn a_misspelt_path_is_one_error() {
    let s = Starter::new();
    s.patch("[\"free-the-outer-hatch\", ", "[\"free-the-outer-hach\", ");
    let o = s.run(&["check", "base/campaign.toml"]);
    assert_eq!(code(&o), 1);
    assert!(
        err(&o).contains("error[unknown-name]") && !err(&o).contains("way-unnamed"),
        "{}",
        err(&o)
    );
    // The names that there are stand in what to do about it.
    let known = err(&o).lines().find(|l| l.contains("known: ")).unwrap_or_default().to_string();
    assert!(known.contains("free-the-outer-hatch"), "{known}\n{}", err(&o));
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
        wait_for(|| names(s.home.path()).iter().any(|n| n.starts_with(".results.draft-")));
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
pub fn wait_for(done: impl Fn() -> bool) {
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
