//! `datapackage.json`: an open description (Data Package and Table Schema) of the tables of a
//! results folder, for programs that read them.

use super::book::Book;
use super::columns::{Column, Holds};
use super::files::by_name;
use super::manifest::FactorFacts;
use serde_json::{Value, json};

/// The name of the description in a results folder.
pub const PACKAGE: &str = "datapackage.json";

/// The description of the tables that the manifest names.
pub(super) fn package(book: &Book) -> String {
    let m = &book.manifest;
    let tables = m.tables.iter().filter_map(|name| by_name(name));
    let resources: Vec<Value> = tables
        .map(|t| {
            let factors = m.sweep.iter().filter(|_| t.factors()).flat_map(|s| &s.factors);
            let own = t.columns();
            let fields: Vec<Value> = factors.map(factor).chain(own.iter().map(field)).collect();
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
                "schema": { "fields": fields, "missingValues": [""] },
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
