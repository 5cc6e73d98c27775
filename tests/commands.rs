//! The commands as a person uses them: happy paths, exit codes, nothing half-written.

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tempfile::TempDir;

fn vestibule() -> Command {
    let mut c = Command::cargo_bin("vestibule").expect("the binary is built");
    c.timeout(Duration::from_secs(300));
    c
}

/// A starter campaign in a new folder.
fn starter() -> (TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("trial");
    vestibule().arg("new").arg(&folder).assert().success();
    let file = folder.join("campaign.toml");
    (dir, file)
}

fn names(folder: &Path) -> Vec<String> {
    let mut out: Vec<String> = fs::read_dir(folder)
        .map(|d| d.map(|e| e.unwrap().file_name().into_string().unwrap()).collect())
        .unwrap_or_default();
    out.sort();
    out
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn new_check_run_replay() {
    let (_dir, file) = starter();
    vestibule().arg("check").arg(&file).assert().success();
    let args = ["--campaigns", "100", "--keep-campaigns"];
    let run = vestibule().arg("run").arg(&file).args(args).assert().success();
    let said = text(&run.get_output().stdout);
    assert!(said.contains("100 campaigns of 30 days"), "{said}");
    assert!(said.trim_end().ends_with("licensed practice decide."), "the caution comes last");
    let results = file.parent().unwrap().join("results");
    let want = [
        "breakdown.csv",
        "campaigns.csv",
        "compare.csv",
        "findings.csv",
        "havens.csv",
        "manifest.json",
        "summary.csv",
    ];
    assert_eq!(names(&results), want);
    // The story's numbers equal the row of campaigns.csv to the last digit.
    let table = fs::read_to_string(results.join("campaigns.csv")).unwrap();
    let header: Vec<&str> = table.lines().next().unwrap().split(',').collect();
    for k in [0usize, 17, 99] {
        let row: Vec<&str> = table.lines().nth(1 + k).unwrap().split(',').collect();
        assert_eq!(row[..2], ["lock", &k.to_string()]);
        let told = vestibule()
            .arg("replay")
            .arg(&file)
            .args(["--architecture", "lock", "--campaign", &k.to_string(), "--from"])
            .arg(&results)
            .assert()
            .success();
        let told = text(&told.get_output().stdout);
        for (name, value) in header.iter().zip(&row).skip(2).filter(|(_, v)| !v.is_empty()) {
            let line =
                told.lines().find(|l| l.trim_start().starts_with(&format!("{name} "))).unwrap();
            assert_eq!(line.split_whitespace().nth(1), Some(*value), "campaign {k}, {name}");
        }
    }
    let one = vestibule()
        .arg("replay")
        .arg(&file)
        .args(["--architecture", "lock", "--campaign", "0", "--sortie", "1"])
        .assert()
        .success();
    assert!(text(&one.get_output().stdout).contains("egress: depress lock"));
}

#[test]
fn replay_refuses_results_of_other_files() {
    let (_dir, file) = starter();
    vestibule().arg("run").arg(&file).args(["--campaigns", "3"]).assert().success();
    let changed =
        fs::read_to_string(&file).unwrap().replace("volume = \"80 m3\"", "volume = \"81 m3\"");
    fs::write(&file, changed).unwrap();
    let results = file.parent().unwrap().join("results");
    vestibule()
        .arg("replay")
        .arg(&file)
        .args(["--architecture", "lock", "--campaign", "0", "--from"])
        .arg(results)
        .assert()
        .code(1);
}

#[test]
fn exit_codes() {
    let (dir, file) = starter();
    vestibule().arg("run").assert().code(2);
    vestibule().arg("dance").assert().code(2);
    vestibule().arg("new").arg(dir.path().join("trial")).assert().code(2);
    vestibule().arg("check").arg(dir.path().join("nowhere.toml")).assert().code(4);
    vestibule()
        .arg("replay")
        .arg(&file)
        .args(["--architecture", "other", "--campaign", "0"])
        .assert()
        .code(2);
    let blocked = dir.path().join("a-file");
    fs::write(&blocked, "x").unwrap();
    vestibule()
        .arg("run")
        .arg(&file)
        .args(["--campaigns", "2", "--out"])
        .arg(&blocked)
        .assert()
        .code(4);
    for what in ["measures", "laws", "actions", "conditions", "effects", "rules", "systems", "keys"]
    {
        let out = vestibule().args(["list", what]).assert().success();
        assert!(!out.get_output().stdout.is_empty(), "{what}");
    }
}

#[test]
fn every_fault_is_told_at_once_and_nothing_is_written() {
    let (_dir, file) = starter();
    let broken = fs::read_to_string(&file)
        .unwrap()
        .replace("volume = \"80 m3\"", "volume = \"-80 m3\"")
        .replace("oxygen = 0.265", "oxigen = 0.265")
        .replace("duty_day = \"12 h\"", "duty_day = \"12 furlongs\"");
    fs::write(&file, broken).unwrap();
    let out = vestibule().arg("run").arg(&file).assert().code(1);
    let said = text(&out.get_output().stderr);
    for part in ["element.habitat.volume", "oxigen", "did you mean", "furlongs", "campaign.toml:"] {
        assert!(
            said.contains(part) || part == "did you mean" && said.contains("oxygen"),
            "{part} not in {said}"
        );
    }
    assert!(!file.parent().unwrap().join("results").exists());
}

#[cfg(unix)]
#[test]
fn an_interrupted_run_leaves_nothing() {
    let (_dir, file) = starter();
    let out = file.parent().unwrap().join("out");
    let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin("vestibule"))
        .arg("run")
        .arg(&file)
        .args(["--campaigns", "100000000", "--out"])
        .arg(&out)
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    let pid = child.id().to_string();
    assert!(std::process::Command::new("kill").args(["-INT", &pid]).status().unwrap().success());
    assert_eq!(child.wait().unwrap().code(), Some(75));
    assert_eq!(names(&out), Vec::<String>::new());
}

/// Same bytes for any number of threads, also around the block size of 64 campaigns; only the key `run`
/// of the manifest may differ.
#[test]
fn threads_do_not_change_a_byte() {
    let (dir, file) = starter();
    for campaigns in ["1", "63", "64", "65"] {
        let mut seen: Vec<(String, Vec<u8>)> = Vec::new();
        for threads in ["1", "2", "8"] {
            let out = dir.path().join(format!("r-{campaigns}-{threads}"));
            vestibule()
                .arg("run")
                .arg(&file)
                .args(["--campaigns", campaigns, "--threads", threads, "--keep-campaigns", "--out"])
                .arg(&out)
                .assert()
                .success();
            let files: Vec<(String, Vec<u8>)> = names(&out)
                .into_iter()
                .map(|n| {
                    let bytes = fs::read(out.join(&n)).unwrap();
                    (n.clone(), if n == "manifest.json" { without_run(&bytes) } else { bytes })
                })
                .collect();
            if seen.is_empty() {
                seen = files;
            } else {
                assert_eq!(seen, files, "{campaigns} campaigns, {threads} threads");
            }
        }
    }
    let [a, b] = ["5", "6"].map(|seed| {
        let out = dir.path().join(format!("s-{seed}"));
        vestibule()
            .arg("run")
            .arg(&file)
            .args(["--campaigns", "64", "--seed", seed, "--out"])
            .arg(&out)
            .assert()
            .success();
        fs::read(out.join("summary.csv")).unwrap()
    });
    assert_ne!(a, b, "another seed gives other numbers");
}

fn without_run(manifest: &[u8]) -> Vec<u8> {
    let mut v: serde_json::Value = serde_json::from_slice(manifest).unwrap();
    v.as_object_mut().unwrap().remove("run").expect("the key run");
    v.to_string().into_bytes()
}
