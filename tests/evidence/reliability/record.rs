//! Every comparison of this ring as a record, `tests/reference/reliability.json`: the page of evidence
//! lists them. `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test evidence reliability::` writes the file
//! anew; otherwise each comparison has to stand there as it is now.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::{LazyLock, Mutex};
use std::{env, fs, thread};

/// Kind and source of what a test (or all tests of a file) expects. The first that fits counts.
const SOURCES: &[(&str, &str, &str)] = &[
    (
        "trees::pressure_tank",
        "handbook formula",
        "structure of the tree: Fault Tree Handbook, NUREG-0492 (1981); chances from memory",
    ),
    ("trees::", "handbook formula", "sum over all states; importance measures (common practice)"),
    (
        "redundancy::seen_and_unseen",
        "handbook formula",
        "1oo1 with repair terms, IEC 61508-6 annex B, from memory",
    ),
    (
        "redundancy::average_unavailability",
        "handbook formula",
        "1oo2 with a beta factor, IEC 61508-6 annex B, from memory",
    ),
    (
        "lives::",
        "handbook formula",
        "standby, mean lives, Weibull ageing, two repaired units (common practice)",
    ),
    ("redundancy::", "handbook formula", "redundancy, Erlang and Markov chains (common practice)"),
    (
        "evidence::",
        "handbook formula",
        "predictive chance of a Jeffreys posterior (common practice)",
    ),
    ("exact::", "own re-statement", "the chain summed by two programs written apart from this one"),
    ("reference::", "own re-statement", "the chain of states of the reference campaign, summed"),
    ("loops::", "own re-statement", "closed form of the risk given the parameters"),
    ("drivers::", "own re-statement", "algebra of the gate A (B + C)"),
    (
        "takes_part::",
        "own re-statement",
        "algebra of one or two hatches, a contingency path and a beta factor",
    ),
];

/// One comparison, as `tests/evidence/published/libraries.rs` reads it.
#[derive(Clone, Debug, Deserialize, Serialize)]
struct Record {
    group: String,
    kind: String,
    what: String,
    source: String,
    expected: f64,
    got: f64,
    tolerance: f64,
}

/// Those of this run, by test and number in it.
static RUN: Mutex<BTreeMap<(String, usize), Record>> = Mutex::new(BTreeMap::new());

fn path() -> String {
    format!("{}/tests/reference/reliability.json", env!("CARGO_MANIFEST_DIR"))
}

/// The committed ones.
static COMMITTED: LazyLock<Vec<Record>> = LazyLock::new(|| {
    let text = fs::read_to_string(path()).unwrap_or_else(|_| "[]".into());
    serde_json::from_str(&text).expect("committed records")
});

/// Writes a comparison down, or looks whether it stands in the committed file. The name of the test is
/// that of its thread; where all tests run in one thread there is none, and nothing is recorded.
#[track_caller]
pub fn note(what: &str, got: f64, expected: f64, tolerance: f64) {
    let thread = thread::current();
    let Some(test) = thread.name().filter(|n| n.contains("::")) else { return };
    let test = test.strip_prefix("reliability::").expect("a test of this ring");
    if test.starts_with("standard::") {
        return; // forms held against a table: nothing of the program is in them
    }
    let (_, kind, source) = SOURCES
        .iter()
        .find(|(prefix, ..)| test.starts_with(prefix))
        .unwrap_or_else(|| panic!("no source for {test} in tests/evidence/reliability/record.rs"));
    let six = |x: f64| format!("{x:.5e}").parse::<f64>().expect("a number");
    let test_words = test.split("::").last().unwrap_or(test).replace('_', " ");
    let record = Record {
        group: "reliability through the whole program".into(),
        kind: (*kind).into(),
        what: format!("{test_words}: {what}"),
        source: (*source).into(),
        expected: six(expected),
        got: six(got),
        tolerance: six(tolerance),
    };
    if env::var_os("VESTIBULE_UPDATE_GOLDEN").is_some() {
        let mut run = RUN.lock().expect("records");
        let number = run.keys().filter(|(t, _)| t == test).count();
        run.insert((test.to_string(), number), record);
        let rows: Vec<_> = run.values().map(|r| serde_json::to_string(r).expect("a row")).collect();
        fs::write(path(), format!("[\n{}\n]\n", rows.join(",\n"))).expect("the committed records");
        return;
    }
    // A last digit may differ between machines.
    let near = |a: f64, b: f64| (a - b).abs() <= 2e-5 * b.abs().max(1e-300);
    let same = |r: &&Record| r.what == record.what && r.source == record.source;
    let stands = COMMITTED.iter().filter(same).any(|r| {
        near(r.expected, record.expected) && (near(r.got, record.got) || r.got == record.got)
    });
    assert!(
        stands,
        "tests/reference/reliability.json does not hold {record:?}; look why, then set \
         VESTIBULE_UPDATE_GOLDEN=1"
    );
}
