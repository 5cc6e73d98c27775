//! Records of outside checks: what, source, expected, got, tolerance. They are read from what the
//! Python side wrote, held to their tolerance, and compared with the committed copy.

use serde::Deserialize;
use std::fs;
use std::path::{Path, PathBuf};

/// One outside check.
#[derive(Clone, Debug, Deserialize)]
pub struct Record {
    /// Family of checks.
    pub group: String,
    /// What was compared, with its numbers.
    pub what: String,
    /// Library or reasoning that gave `expected`.
    pub source: String,
    /// Value of the source.
    pub expected: f64,
    /// Value of this program.
    pub got: f64,
    /// Largest difference allowed, in the unit of the value.
    pub tolerance: f64,
}

/// Folder for the records of this run: `target/reference`.
pub fn folder() -> PathBuf {
    let scratch = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let folder = scratch.parent().expect("inside target").join("reference");
    fs::create_dir_all(&folder).expect("a folder for records");
    folder
}

/// Reads the records `target/reference/NAME.json`; all of them have to hold.
pub fn hold(name: &str, number: usize) {
    let text = fs::read_to_string(folder().join(format!("{name}.json"))).expect("the records");
    let records: Vec<Record> = serde_json::from_str(&text).expect("records");
    assert_eq!(records.len(), number, "one record for every case");
    // Written so that NaN fails.
    let holds = |r: &&Record| (r.got - r.expected).abs() <= r.tolerance;
    let missed: Vec<_> = records.iter().filter(|r| !holds(r)).collect();
    for r in &missed {
        let Record { group, what, source, expected, got, tolerance } = r;
        eprintln!("{group}: {what}: {got}, but {source}: {expected} within {tolerance}");
    }
    assert!(missed.is_empty(), "{} of {number} outside checks miss", missed.len());
    committed(name, &records);
}

/// The committed copy `tests/reference/NAME.json` asks the same and says the same: to the digits it
/// is written with, or as near as the check itself demands: a last bit may differ by machine.
fn committed(name: &str, records: &[Record]) {
    let path = format!("{}/tests/reference/{name}.json", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("VESTIBULE_UPDATE_GOLDEN").is_some() {
        let lines: Vec<_> = records.iter().map(line).collect();
        let text = format!("[\n{}\n]\n", lines.join(",\n"));
        fs::write(&path, text).expect("the committed records");
        return;
    }
    let text = fs::read_to_string(&path).unwrap_or_else(|_| "[]".into());
    let before: Vec<Record> = serde_json::from_str(&text).expect("committed records");
    let same = |a: &Record, b: &Record| {
        let near = |x: f64, y: f64| (x - y).abs() <= 1e-5 * y.abs() + b.tolerance;
        (&a.group, &a.what, &a.source) == (&b.group, &b.what, &b.source)
            && near(a.expected, b.expected)
            && near(a.got, b.got)
    };
    let other = records.iter().zip(&before).find(|(new, old)| !same(new, old));
    assert!(
        other.is_none() && records.len() == before.len(),
        "tests/reference/{name}.json is not what the tests give (first: {other:?}); look why, then \
         set VESTIBULE_UPDATE_GOLDEN=1"
    );
}

/// A record as a line of the committed file, to six digits.
fn line(r: &Record) -> String {
    let text = |s: &str| serde_json::to_string(s).expect("text");
    format!(
        "{{\"group\": {}, \"what\": {}, \"source\": {}, \"expected\": {:.5e}, \"got\": {:.5e}, \
         \"tolerance\": {:.1e}}}",
        text(&r.group),
        text(&r.what),
        text(&r.source),
        r.expected,
        r.got,
        r.tolerance,
    )
}
