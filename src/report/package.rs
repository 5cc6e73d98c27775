//! `datapackage.json`: an open description (Data Package and Table Schema) of the tables of a
//! results folder, for programs that read them.

use super::book::Book;
use super::columns::{Column, Holds};
use super::files::{ResultFile, by_name};
use super::manifest::{FactorFacts, Manifest};
use serde_json::{Value, json};

/// The name of the description in a results folder.
pub const PACKAGE: &str = "datapackage.json";

/// What tells the rows of a table apart, and what of it stands in another table.
struct Keys {
    table: &'static str,
    /// Primary key; empty where a part of what tells rows apart may be an empty cell.
    primary: &'static [&'static str],
    /// What stands in another table.
    foreign: &'static [Foreign],
}

/// Columns of a table, the other table, and its columns that hold the same.
type Foreign = (&'static [&'static str], &'static str, &'static [&'static str]);

/// The table of a run that others point at.
const SUMMARY: &str = "summary.csv";
/// The table of a sweep that others point at.
const SWEEP: &str = "sweep.csv";
/// (architecture, measure)
const ESTIMATE: &[&str] = &["architecture", "measure"];
/// (reference, measure) of a pair.
const OTHER: &[&str] = &["reference", "measure"];
/// The architecture alone.
const ARM: &[&str] = &["architecture"];
/// The reference of a pair.
const REFERENCE: &[&str] = &["reference"];

/// As the architecture of `summary.csv`.
const OF_ARM: Foreign = (ARM, SUMMARY, ARM);
/// As the estimate of `summary.csv`.
const OF_ESTIMATE: Foreign = (ESTIMATE, SUMMARY, ESTIMATE);

const fn keys(
    table: &'static str,
    primary: &'static [&'static str],
    foreign: &'static [Foreign],
) -> Keys {
    Keys { table, primary, foreign }
}

/// Keys of every table that a run or a sweep writes. Bins of `distribution.csv` that hold misses have no
/// ends, findings may hold for all architectures, an entry of the files may be named twice, an index of
/// `sensitivity.csv` may be that of all factors or of no difference, and two may change places twice on a
/// line of `crossings.csv`: those have no primary key.
const KEYS: &[Keys] = &[
    keys("requirements.csv", &["architecture", "limit"], &[OF_ESTIMATE]),
    keys("ranking.csv", &["ranking", "architecture", "basis"], &[OF_ARM]),
    keys(SUMMARY, ESTIMATE, &[]),
    keys(
        "compare.csv",
        &["architecture", "reference", "measure"],
        &[OF_ESTIMATE, (OTHER, SUMMARY, ESTIMATE)],
    ),
    keys("havens.csv", &["architecture", "outcome"], &[OF_ARM]),
    keys("breakdown.csv", &["architecture", "quantity", "cause"], &[OF_ARM]),
    keys("drivers.csv", &["architecture", "measure", "item", "kind"], &[OF_ESTIMATE]),
    keys("paths.csv", &["architecture", "outcome", "path"], &[OF_ARM]),
    keys("mass.csv", &["architecture", "part"], &[OF_ARM]),
    keys("breakeven.csv", &["architecture", "reference"], &[OF_ARM, (REFERENCE, SUMMARY, ARM)]),
    keys("complexity.csv", &["architecture", "port", "item"], &[OF_ARM]),
    keys("risk-curve.csv", &["architecture", "measure", "statistic", "x"], &[OF_ESTIMATE]),
    keys(
        "value.csv",
        &["decision", "known", "item"],
        &[(&["chosen"], SUMMARY, ARM), (&["instead"], SUMMARY, ARM)],
    ),
    keys("distribution.csv", &[], &[OF_ESTIMATE]),
    keys("findings.csv", &[], &[]),
    keys("assumptions.csv", &[], &[]),
    keys("campaigns.csv", &["architecture", "campaign"], &[OF_ARM]),
    keys(SWEEP, &["point", "architecture", "measure"], &[]),
    keys("sensitivity.csv", &[], &[(ESTIMATE, SWEEP, ESTIMATE), (REFERENCE, SWEEP, ARM)]),
    keys("crossings.csv", &[], &[(ESTIMATE, SWEEP, ESTIMATE), (OTHER, SWEEP, ESTIMATE)]),
];

/// The description of the tables that the manifest names.
pub(super) fn package(book: &Book) -> String {
    let m = &book.manifest;
    let tables = m.tables.iter().filter_map(|name| by_name(name));
    let resources: Vec<Value> = tables
        .map(|t| {
            json!({
                "name": t.name.trim_end_matches(".csv"),
                "path": t.name,
                "title": t.title,
                "profile": "tabular-data-resource",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "dialect": { "delimiter": ",", "doubleQuote": true, "header": true,
                             "lineTerminator": "\n", "quoteChar": "\"" },
                "schema": schema(t, m),
            })
        })
        .collect();
    let description = format!(
        "Results of {} campaigns{} with seed {}. An empty cell is not estimable, and its note says why. {}",
        m.campaigns,
        if m.sweep.is_some() { " at every point of a sweep" } else { "" },
        m.seed,
        m.caution
    );
    let package = json!({
        "profile": "tabular-data-package",
        "name": "campaign-results",
        "title": "Ways out and back in, compared: results of a campaign study",
        "description": description,
        "keywords": m.architectures,
        "resources": resources,
    });
    // Strings and lists always serialise.
    serde_json::to_string_pretty(&package).map_or_else(|e| e.to_string(), |s| s + "\n")
}

/// The column of a factor of a sweep.
fn factor(f: &FactorFacts) -> Value {
    let kind = if f.number { "number" } else { "string" };
    let meaning = format!("factor, set at {}; empty: as the base campaign says", f.keys.join(", "));
    let mut field = json!({ "name": f.name, "type": kind, "description": meaning });
    if !f.unit.is_empty() {
        field["unit"] = json!(f.unit);
    }
    field
}

/// Columns and keys of a table of a folder with these tables.
fn schema(table: &ResultFile, m: &Manifest) -> Value {
    let factors = m.sweep.iter().filter(|_| table.factors()).flat_map(|s| &s.factors);
    let own = table.columns();
    let fields: Vec<Value> = factors.map(factor).chain(own.iter().map(field)).collect();
    let mut schema = json!({ "fields": fields, "missingValues": [""] });
    let Some(keys) = KEYS.iter().find(|k| k.table == table.name) else {
        return schema;
    };
    if !keys.primary.is_empty() {
        schema["primaryKey"] = json!(keys.primary);
    }
    // A table that is not in the folder cannot be pointed at.
    let there = |f: &&Foreign| m.tables.iter().any(|t| t == f.1);
    let foreign: Vec<Value> = keys.foreign.iter().filter(there).map(foreign).collect();
    if !foreign.is_empty() {
        schema["foreignKeys"] = json!(foreign);
    }
    schema
}

fn foreign((here, table, there): &Foreign) -> Value {
    let resource = table.trim_end_matches(".csv");
    json!({ "fields": here, "reference": { "resource": resource, "fields": there } })
}

fn field(c: &Column) -> Value {
    let kind = match c.holds {
        Holds::Text => "string",
        Holds::Whole => "integer",
        Holds::Number => "number",
    };
    let mut field = json!({ "name": c.name, "type": kind, "description": c.meaning });
    match c.unit {
        "" => {}
        "unit" => field["unit"] = json!("as named in the row"),
        unit => field["unit"] = json!(unit),
    }
    field
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every table has its keys; they are columns of it, and what they point at are columns of the other.
    #[test]
    fn keys_are_columns() {
        let names = |table: &str| -> Vec<&str> {
            let table = by_name(table).unwrap_or_else(|| panic!("no table {table}"));
            table.columns().iter().map(|c| c.name).collect()
        };
        for f in super::super::files::FILES {
            assert_eq!(KEYS.iter().filter(|k| k.table == f.name).count(), 1, "{}", f.name);
        }
        for k in KEYS {
            let columns = names(k.table);
            assert!(k.primary.iter().all(|c| columns.contains(c)), "{}", k.table);
            for (here, table, there) in k.foreign {
                assert_eq!(here.len(), there.len());
                assert!(here.iter().all(|c| columns.contains(c)), "{}", k.table);
                let other = names(table);
                assert!(there.iter().all(|c| other.contains(c)), "{}", k.table);
            }
        }
    }
}
