//! A results folder as the page reads it: the manifest (never what may differ between equal runs)
//! and the tables it names, as text.

use super::files::by_name;
use super::manifest::Manifest;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// A page could not be made.
#[derive(Debug, Error)]
pub enum PageError {
    /// A file could not be read.
    #[error("cannot read {path}: {source}; name a folder that `vestibule run` has written")]
    Read {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// The workbook could not be made.
    #[error("cannot make summary.xlsx: {source}")]
    Workbook {
        /// Why.
        #[source]
        source: Box<dyn std::error::Error + Send + Sync>,
    },
    /// A file is not what its name says.
    #[error("{path} is not a results folder of this program: {what}; run the campaign again")]
    Wrong {
        /// Which.
        path: PathBuf,
        /// Why.
        what: String,
    },
}

/// One table of the folder.
#[derive(Clone, Debug, Default)]
pub(in crate::report) struct Sheet {
    /// names of the columns
    pub header: Vec<String>,
    /// cells as text
    pub rows: Vec<Vec<String>>,
}

/// A row of a sheet.
#[derive(Clone, Copy)]
pub(in crate::report) struct Row<'a> {
    sheet: &'a Sheet,
    cells: &'a [String],
}

impl<'a> Row<'a> {
    /// Text of a cell; empty where there is no such column.
    pub fn text(&self, column: &str) -> &'a str {
        let at = self.sheet.header.iter().position(|h| h == column);
        at.and_then(|at| self.cells.get(at)).map_or("", String::as_str)
    }
    /// Number of a cell; `None` where it is empty or there is no such column.
    pub fn number(&self, column: &str) -> Option<f64> {
        self.text(column).parse().ok().filter(|x: &f64| x.is_finite())
    }
}

impl Sheet {
    /// All rows.
    pub fn all(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { sheet: self, cells })
    }

    /// Reads CSV.
    fn read(text: &[u8]) -> Result<Sheet, csv::Error> {
        let mut reader = csv::Reader::from_reader(text);
        let header = reader.headers()?.iter().map(String::from).collect();
        let rows: Result<Vec<Vec<String>>, csv::Error> =
            reader.records().map(|r| Ok(r?.iter().map(String::from).collect())).collect();
        Ok(Sheet { header, rows: rows? })
    }
}

/// An estimate of `summary.csv` (or any table with the same columns).
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::report) struct Estimate {
    /// mean and the limits of its 95 % interval
    pub mean: Option<f64>,
    /// lower limit
    pub low: Option<f64>,
    /// upper limit
    pub high: Option<f64>,
    /// quantiles of campaigns
    pub p05: Option<f64>,
    /// median
    pub p50: Option<f64>,
    /// 95 % quantile
    pub p95: Option<f64>,
    /// campaigns in it
    pub n: Option<f64>,
    /// unit
    pub unit: String,
}

/// A paired difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) struct Gap {
    /// this less the other
    pub difference: f64,
    /// lower limit
    pub low: Option<f64>,
    /// upper limit
    pub high: Option<f64>,
}

impl Gap {
    /// Does the 95 % interval exclude 0?
    pub fn clear(&self) -> bool {
        self.low.is_some_and(|l| l > 0.0) || self.high.is_some_and(|h| h < 0.0)
    }
}

/// The folder.
#[derive(Clone, Debug)]
pub(in crate::report) struct Book {
    /// what the numbers depend on
    pub manifest: Manifest,
    sheets: BTreeMap<String, Sheet>,
}

impl Book {
    /// Reads a folder: tables that the manifest names and that are there.
    pub fn read(folder: &Path) -> Result<Book, PageError> {
        let path = folder.join("manifest.json");
        let text = read(&path)?;
        let wrong = |path: &Path, what: String| PageError::Wrong { path: path.into(), what };
        let manifest: Manifest =
            serde_json::from_slice(&text).map_err(|e| wrong(&path, e.to_string()))?;
        let mut sheets = BTreeMap::new();
        // A table of any size stands only in its own file.
        let csv =
            |name: &&String| name.ends_with(".csv") && by_name(name).is_none_or(|f| !f.unbounded());
        for name in manifest.tables.iter().filter(csv) {
            let path = folder.join(name);
            // A manifest that names a file elsewhere is not ours.
            if name.contains(['/', '\\']) || !path.is_file() {
                continue;
            }
            let sheet = Sheet::read(&read(&path)?).map_err(|e| wrong(&path, e.to_string()))?;
            sheets.insert(name.clone(), sheet);
        }
        Ok(Book { manifest, sheets })
    }

    /// A book of tables made up for a test.
    #[cfg(test)]
    pub fn of(manifest: Manifest, tables: &[(&str, &str)]) -> Book {
        let sheet = |(name, text): &(&str, &str)| {
            (name.to_string(), Sheet::read(text.as_bytes()).expect("a table"))
        };
        Book { manifest, sheets: tables.iter().map(sheet).collect() }
    }

    /// A table, if it is there.
    pub fn sheet(&self, name: &str) -> Option<&Sheet> {
        self.sheets.get(name)
    }

    /// Rows of a table; none where it is not there.
    pub fn rows(&self, name: &str) -> impl Iterator<Item = Row<'_>> {
        self.sheet(name).into_iter().flat_map(Sheet::all)
    }

    /// Architectures in file order.
    pub fn arms(&self) -> &[String] {
        &self.manifest.architectures
    }

    /// Estimate of a measure of an architecture.
    pub fn estimate(&self, arm: &str, measure: &str) -> Option<Estimate> {
        let mut rows = self.rows("summary.csv");
        let row = rows.find(|r| r.text("architecture") == arm && r.text("measure") == measure)?;
        Some(Estimate {
            mean: row.number("mean"),
            low: row.number("mean_low95"),
            high: row.number("mean_high95"),
            p05: row.number("p05"),
            p50: row.number("p50"),
            p95: row.number("p95"),
            n: row.number("n_used"),
            unit: row.text("unit").into(),
        })
    }

    /// Mean of a measure of an architecture.
    pub fn mean(&self, arm: &str, measure: &str) -> Option<f64> {
        self.estimate(arm, measure)?.mean
    }

    /// `arm` less `other` on the same luck.
    pub fn gap(&self, arm: &str, other: &str, measure: &str) -> Option<Gap> {
        let of = |r: &Row| {
            let pair = (r.text("architecture"), r.text("reference"));
            r.text("measure") == measure && (pair == (arm, other) || pair == (other, arm))
        };
        let row = self.rows("compare.csv").find(of)?;
        let difference = row.number("difference")?;
        let (low, high) = (row.number("difference_low95"), row.number("difference_high95"));
        Some(if row.text("architecture") == arm {
            Gap { difference, low, high }
        } else {
            let back = |x: Option<f64>| x.map(|x| 0.0 - x);
            Gap { difference: 0.0 - difference, low: back(high), high: back(low) }
        })
    }

    /// Causes of a quantity of an architecture with their means, in the order of the file.
    pub fn causes(&self, arm: &str, quantity: &str) -> Vec<(&str, f64)> {
        let rows = self.rows("breakdown.csv");
        let of = rows.filter(|r| r.text("architecture") == arm && r.text("quantity") == quantity);
        of.filter_map(|r| Some((r.text("cause"), r.number("mean")?))).collect()
    }
}

fn read(path: &Path) -> Result<Vec<u8>, PageError> {
    std::fs::read(path).map_err(|source| PageError::Read { path: path.into(), source })
}
