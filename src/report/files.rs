//! Registry of the tables of a results folder: name, title, columns. The manifest, the workbook, the
//! description for other programs and the page all go by this list.

use super::columns::{self, Column};

/// One table of a results folder.
#[derive(Clone, Copy, Debug)]
pub struct ResultFile {
    /// Name of the CSV file.
    pub name: &'static str,
    /// What it holds, in a few words.
    pub title: &'static str,
    columns: Columns,
}

#[derive(Clone, Copy, Debug)]
enum Columns {
    Fixed(&'static [Column]),
    /// One for each measure.
    Measures,
    /// One for each factor of the sweep, then these.
    Factors(&'static [Column]),
}

impl ResultFile {
    /// Its columns, in the order of the file; those of factors, which each sweep names, stand before them.
    pub fn columns(&self) -> Vec<Column> {
        match self.columns {
            Columns::Fixed(c) | Columns::Factors(c) => c.to_vec(),
            Columns::Measures => columns::campaigns(),
        }
    }

    /// Do columns of factors stand before its own?
    pub fn factors(&self) -> bool {
        matches!(self.columns, Columns::Factors(_))
    }

    /// Does it belong to a sweep, and to no single run?
    pub fn of_sweep(&self) -> bool {
        self.factors() || ["sensitivity.csv", "crossings.csv"].contains(&self.name)
    }

    /// May it be of any size? Then it stands only in its own file.
    pub fn unbounded(&self) -> bool {
        matches!(self.columns, Columns::Measures)
    }
}

const fn file(name: &'static str, columns: &'static [Column], title: &'static str) -> ResultFile {
    ResultFile { name, title, columns: Columns::Fixed(columns) }
}

/// The file of single campaigns.
pub const CAMPAIGNS: &str = "campaigns.csv";

/// Every table, those that decide first.
pub const FILES: &[ResultFile] = &[
    file("requirements.csv", columns::REQUIREMENTS, "limits: met, not met, undecided"),
    file(
        "ranking.csv",
        columns::RANKING,
        "which architectures are non-dominated on all measures, and how stable that is",
    ),
    file("summary.csv", columns::SUMMARY, "every measure of every architecture"),
    file("compare.csv", columns::COMPARE, "every pair of architectures on common random numbers"),
    file("havens.csv", columns::HAVENS, "how demands for a safe haven ended"),
    file("breakdown.csv", columns::BREAKDOWN, "hours, gas, maintenance, dust and minutes by cause"),
    file("drivers.csv", columns::DRIVERS, "top contributors to the outcomes"),
    file("paths.csv", columns::PATHS, "paths that led to the outcomes"),
    file("mass.csv", columns::MASS, "equivalent system mass by part"),
    file(
        "breakeven.csv",
        columns::BREAKEVEN,
        "campaign length at which two architectures have \
        the same equivalent system mass",
    ),
    file("complexity.csv", columns::COMPLEXITY, "complexity, counted"),
    file("risk-curve.csv", columns::RISK_CURVE, "risk over parameter sets"),
    file("value.csv", columns::VALUE, "what is worth knowing before choosing"),
    file("sensitivity.csv", columns::SENSITIVITY, "which factors of a sweep matter, and how much"),
    file("crossings.csv", columns::CROSSINGS, "where two architectures change places in a sweep"),
    file("distribution.csv", columns::DISTRIBUTION, "distribution of measures over campaigns"),
    file("findings.csv", columns::FINDINGS, "findings of the check"),
    ResultFile {
        name: "sweep.csv",
        title: "every point, architecture and measure of a sweep",
        columns: Columns::Factors(columns::SWEEP),
    },
    file("assumptions.csv", columns::ASSUMPTIONS, "where the numbers of the files come from"),
    ResultFile { name: CAMPAIGNS, title: "single campaigns", columns: Columns::Measures },
];

/// The table of a name.
pub fn by_name(name: &str) -> Option<&'static ResultFile> {
    FILES.iter().find(|f| f.name == name)
}

/// Names of every table, also as Parquet: those that a set of results does not have are not left from
/// an earlier one.
pub fn optional() -> Vec<&'static str> {
    let columnar = super::parquet::COLUMNAR.iter().map(|(_, name)| *name);
    FILES.iter().map(|f| f.name).chain(columnar).collect()
}
