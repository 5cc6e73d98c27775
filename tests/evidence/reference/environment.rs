//! The Python environment of the cross-checks: made once under `target/`, with pinned versions.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Set to 1 to let the tests pass without Python; they then say what was not run.
pub const SWITCH: &str = "VESTIBULE_NO_PYTHON";

const REQUIREMENTS: &str = include_str!("../../reference/requirements.txt");

/// The interpreter of the environment; `None` where [`SWITCH`] waives `what`, said in one line.
/// Fails, with one line too, where it cannot be had and nothing waives it.
pub fn python(what: &str) -> Option<PathBuf> {
    if std::env::var_os(SWITCH).is_some_and(|v| v == "1") {
        // Past the harness, which would swallow the line of a test that passes.
        writeln!(std::io::stderr(), "not run ({SWITCH}=1): {what}").expect("standard error");
        return None;
    }
    let scratch = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let target = scratch.parent().expect("the scratch folder is inside target");
    match ready("python3", target) {
        Ok(python) => Some(python),
        Err(why) => panic!("not run: {what}: {why}; set {SWITCH}=1 to go on without"),
    }
}

/// The interpreter of the environment below `target`, made with `python3` unless it is there
/// already with these requirements.
///
/// # Errors
/// One line that says which step failed and why.
pub fn ready(python3: &str, target: &Path) -> Result<PathBuf, String> {
    let folder = target.join("reference-env");
    let python = folder.join("bin/python");
    let stamp = folder.join("requirements.txt");
    // One maker at a time, also from other test processes; the rest wait here.
    fs::create_dir_all(target).map_err(|e| format!("{}: {e}", target.display()))?;
    let lock = File::create(target.join("reference-env.lock")).map_err(|e| e.to_string())?;
    lock.lock().map_err(|e| e.to_string())?;
    if fs::read_to_string(&stamp).is_ok_and(|text| text == REQUIREMENTS) {
        return Ok(python);
    }
    let path = |p: &Path| p.display().to_string();
    run(python3, &["-m", "venv", "--clear", &path(&folder)])?;
    let wanted = target.join("reference-env.txt");
    fs::write(&wanted, REQUIREMENTS).map_err(|e| e.to_string())?;
    let quiet = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"];
    run(&path(&python), &[&quiet[..], &[&path(&wanted)]].concat())?;
    // Last, so that a half-made environment is made again.
    fs::write(&stamp, REQUIREMENTS).map_err(|e| e.to_string())?;
    Ok(python)
}

/// Runs a program to its end and gives what it printed.
///
/// # Errors
/// The command and the last line of its complaint.
pub fn run(program: &str, arguments: &[&str]) -> Result<String, String> {
    let said = format!("`{program} {}`", arguments.join(" "));
    let output =
        Command::new(program).args(arguments).output().map_err(|e| format!("{said}: {e}"))?;
    if output.status.success() {
        return Ok(String::from_utf8_lossy(&output.stdout).into_owned());
    }
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    let last = complaint.lines().rev().find(|l| !l.trim().is_empty()).unwrap_or("no word why");
    Err(format!("{said} failed: {last}"))
}

#[test]
fn a_missing_python_is_one_line_that_names_it() {
    let scratch = tempfile::tempdir().expect("a folder");
    let why = ready("no-such-python3", scratch.path()).expect_err("there is no such program");
    assert!(why.starts_with("`no-such-python3 -m venv") && !why.contains('\n'), "{why}");
}

#[test]
fn a_failing_step_gives_its_last_line() {
    let why = run("sh", &["-c", "echo first >&2; echo last >&2; exit 3"]).expect_err("it failed");
    assert!(why.ends_with("failed: last"), "{why}");
}
