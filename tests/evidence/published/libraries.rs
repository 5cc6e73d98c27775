//! Checks against general-purpose libraries of another language, as the tests that run those
//! libraries wrote them down: `tests/reference/*.json` (a list of records), or `checks.csv` there,
//! with the fields group, what, source, expected, got, tolerance (in the unit of the value).

use super::record::Standing::{Handbook, Library, Restated};
use super::record::{Check, Group, check, plain};
use std::fs;
use std::path::Path;

/// Digits of a committed record: its last one may be half off, in both values.
const ROUNDED: f64 = 1e-5;

#[derive(serde::Deserialize)]
struct Record {
    group: String,
    /// Kind of source; left out: a reference library, or our own re-statement where it says so.
    kind: Option<String>,
    what: String,
    source: String,
    expected: f64,
    got: f64,
    tolerance: f64,
}

impl Record {
    fn check(&self) -> Check {
        // Full digits are held to the bare tolerance where the record is made.
        let size = self.tolerance + ROUNDED * self.expected.abs();
        let standing = match self.kind.as_deref() {
            Some("handbook formula") => Handbook,
            Some("own re-statement") => Restated,
            Some(other) => panic!("{other} is no kind"),
            None if self.source.starts_with("re-statement") => Restated,
            None => Library,
        };
        check(&self.what, "", self.got, self.expected, plain(size)).from(standing, &self.source)
    }
}

fn json(text: &str) -> Result<Vec<Record>, String> {
    serde_json::from_str(text).map_err(|e| e.to_string())
}

fn csv(text: &str) -> Result<Vec<Record>, String> {
    let mut reader = ::csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().collect::<Result<_, _>>().map_err(|e| e.to_string())
}

/// Every committed record, in the order of the file names.
fn records() -> Vec<Record> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference");
    let Ok(entries) = fs::read_dir(&folder) else {
        return Vec::new();
    };
    let mut paths: Vec<_> = entries.map(|e| e.expect("an entry").path()).collect();
    paths.sort();
    let mut all = Vec::new();
    for path in paths {
        let parse = match path.extension().and_then(|x| x.to_str()) {
            Some("json") => json,
            Some("csv") => csv,
            _ => continue,
        };
        let text = fs::read_to_string(&path).expect("a file of records");
        all.extend(parse(&text).unwrap_or_else(|fault| panic!("{}: {fault}", path.display())));
    }
    all
}

/// One group of the page for each group of the records; none if there is no record.
pub fn checks() -> Vec<Group> {
    let mut groups: Vec<(String, Vec<Check>)> = Vec::new();
    for record in records() {
        let made = record.check();
        match groups.iter_mut().find(|(name, _)| *name == record.group) {
            Some((_, checks)) => checks.push(made),
            None => groups.push((record.group, vec![made])),
        }
    }
    let group = |(name, checks): (String, Vec<Check>)| Group {
        about: if name.starts_with("reliability") {
            "Played as whole campaigns and held within four standard errors, or summed exactly; the \
                tests in `tests/evidence/reliability/` hold the full digits, here stand six."
        } else {
            "Expected by a library that knows nothing of this program, or by a re-statement written \
                apart from it; the tests in `tests/evidence/reference/` run it and hold the full \
                digits, here stand six."
        },
        title: format!("By other programs: {name}"),
        checks,
    };
    groups.into_iter().map(group).collect()
}

#[test]
fn records_are_read_from_both_kinds_of_file() {
    let fields = r#"[{"group": "gas", "what": "density", "source": "a library",
        "expected": 2.0, "got": 2.01, "tolerance": 0.02}]"#;
    let lines = "group,what,source,expected,got,tolerance\ngas,density,a library,2.0,2.01,0.002\n";
    assert_eq!(json(fields).unwrap()[0].check().fault(), None);
    assert!(csv(lines).unwrap()[0].check().fault().is_some());
    assert!(json("[{}]").is_err() && csv("group,what\ngas,density\n").is_err());
}
