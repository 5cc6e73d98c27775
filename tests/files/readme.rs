//! README's commands are there, and what it shows of the program's output is what the program prints.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("README.md")
}

#[test]
fn the_two_commands_stand_in_it() {
    let text = readme();
    for command in
        ["cargo run --release -- run runs/larkspur/campaign.toml", "cargo test --release"]
    {
        assert!(text.contains(command), "{command}");
    }
}

/// The block of output is, line for line, what the main command prints (results in another folder).
#[test]
fn its_output_is_what_the_program_prints() {
    let text = readme();
    let start = text.find("```text\n").expect("a block of output") + 8;
    let shown = &text[start..start + text[start..].find("\n```").unwrap()];
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("results");
    let run = Command::cargo_bin("vestibule")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["run", "runs/larkspur/campaign.toml", "--out"])
        .arg(&out)
        .assert()
        .success();
    let printed = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let printed = printed.replace(&out.display().to_string(), "runs/larkspur/results");
    for (s, p) in shown.lines().zip(printed.trim_end().lines()) {
        assert_eq!(s, p, "README shows another line than the program prints");
    }
    assert_eq!(shown.lines().count(), printed.trim_end().lines().count());
}

/// The replay shown in README is there to be told.
#[test]
fn its_replay_tells_a_story() {
    let told = Command::cargo_bin("vestibule")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args([
            "replay",
            "runs/larkspur/campaign.toml",
            "--architecture",
            "dual-chamber",
            "--campaign",
            "17",
        ])
        .assert()
        .success();
    let text = String::from_utf8(told.get_output().stdout.clone()).unwrap();
    assert!(
        text.contains(
            "Measures of the whole campaign, to five digits (campaigns.csv has all of them):"
        ) && text.contains("site-work 1")
    );
}
