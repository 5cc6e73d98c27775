//! Numbers of the demo files, read as they are written.

use super::record::q;
use std::fs;
use std::path::{Path, PathBuf};
use toml::{Table, Value};

/// One file of `runs/`.
pub struct DemoFile {
    name: String,
    table: Table,
}

/// The folder of demos.
pub fn runs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("runs")
}

/// A file below `runs/`.
pub fn file(name: &str) -> DemoFile {
    let text = fs::read_to_string(runs().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    let table = text.parse().unwrap_or_else(|e| panic!("{name}: {e}"));
    DemoFile { name: name.into(), table }
}

impl DemoFile {
    /// Least and greatest value at a dotted path; the mean twice for a law without bounds.
    pub fn range(&self, path: &str) -> (f64, f64) {
        self.ends(self.at(path), path)
    }

    /// The one value at a dotted path.
    pub fn value(&self, path: &str) -> f64 {
        let (low, high) = self.range(path);
        assert!(low == high, "{}: {path} is a range", self.name);
        low
    }

    /// Duration of the first row of a list with this action on this thing, s.
    pub fn takes(&self, list: &str, action: &str, on: &str) -> (f64, f64) {
        let rows = self.at(&format!("list.{list}")).as_array().expect("a list of rows");
        let is = |row: &&Value, key: &str, text: &str| {
            row.get(key).and_then(Value::as_str) == Some(text)
        };
        let row = rows.iter().find(|r| is(r, "action", action) && is(r, "on", on));
        let row = row.unwrap_or_else(|| panic!("{}: no row {action} on {on} in {list}", self.name));
        self.ends(&row["takes"], action)
    }

    fn at(&self, path: &str) -> &Value {
        let mut steps = path.split('.');
        let first = steps.next().and_then(|key| self.table.get(key));
        let found = steps.fold(first, |value, key| match value {
            Some(Value::Array(items)) => items.get(key.parse::<usize>().ok()?),
            Some(value) => value.get(key),
            None => None,
        });
        found.unwrap_or_else(|| panic!("{}: nothing at {path}", self.name))
    }

    fn ends(&self, value: &Value, path: &str) -> (f64, f64) {
        match value {
            Value::String(text) => (q(text), q(text)),
            Value::Integer(n) => (*n as f64, *n as f64),
            Value::Float(x) => (*x, *x),
            Value::Table(law) => {
                let end = |key: &str| law.get(key).map(|v| self.ends(v, path).0);
                match (end("low"), end("high"), end("mean")) {
                    (Some(low), Some(high), _) => (low, high),
                    (_, _, Some(mean)) => (mean, mean),
                    _ => panic!("{}: {path} has no bounds and no mean", self.name),
                }
            }
            _ => panic!("{}: {path} is no number", self.name),
        }
    }
}
