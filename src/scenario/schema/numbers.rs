//! Numbers as schema: quantities with a unit, bare numbers, laws.

use crate::base::units::{self, Dimension};
use crate::scenario::key::{Draw, Range};
use crate::scenario::law_form;
use serde_json::{Map, Value, json};

/// A number, a blank, a unit of any kind.
fn pattern() -> String {
    let symbols = units::symbols().collect::<Vec<_>>().join("|");
    let unit = format!("(?:{symbols})[0-9]?");
    let digits = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?";
    format!(r"^\s*{digits}\s+/?(?:{unit})(?:/{unit})*\s*$")
}

/// What other definitions refer to: quantities by dimension, numbers of any, laws.
pub(super) fn definitions() -> Map<String, Value> {
    let mut out = Map::new();
    for dimension in Dimension::all().filter(|d| *d != Dimension::Pure) {
        let (name, units) = (dimension.name(), dimension.usual_units().join(", "));
        let quantity = json!({
            "type": "string",
            "pattern": pattern(),
            "description": format!("{name}, for example \"{}\"; units: {units}", dimension.example()),
            "examples": [dimension.example()],
        });
        out.insert(id(dimension), quantity);
    }
    let any =
        json!({ "anyOf": [{ "type": "number" }, { "type": "string", "pattern": pattern() }] });
    out.insert("any-number".into(), any);
    out.insert("law".into(), table(&|_| true));
    out.insert("certain".into(), table(&|keys| keys == ["value"]));
    out
}

/// Name of the definition of a quantity.
fn id(dimension: Dimension) -> String {
    format!("quantity-{dimension:?}").to_lowercase()
}

fn refer(to: &str) -> Value {
    json!({ "$ref": format!("#/definitions/{to}") })
}

/// A fixed number of a dimension.
fn scalar(dimension: Dimension, range: Range) -> Value {
    if dimension != Dimension::Pure {
        return refer(&id(dimension));
    }
    match range {
        Range::Positive => json!({ "type": "number", "exclusiveMinimum": 0 }),
        Range::NonNegative => json!({ "type": "number", "minimum": 0 }),
        Range::Fraction => json!({ "type": "number", "minimum": 0, "maximum": 1 }),
    }
}

/// A number of any dimension.
pub(super) fn any_number() -> Value {
    json!({ "anyOf": [refer("any-number")] })
}

/// A law as a table.
pub(super) fn law() -> Value {
    refer("law")
}

/// A number of a key: fixed, or a law where it need not be certain.
pub(super) fn number(dimension: Dimension, draw: Draw, range: Range) -> Value {
    let table = match draw {
        Draw::Structural => "certain",
        _ => "law",
    };
    json!({ "anyOf": [scalar(dimension, range), refer(table)] })
}

/// A law as a table; `keep` says which forms.
fn table(keep: &dyn Fn(&[&str]) -> bool) -> Value {
    let forms: Vec<&[&str]> = law_form::forms().filter(|keys| keep(keys)).collect();
    let mut properties = Map::new();
    for key in forms.iter().flat_map(|keys| keys.iter()) {
        properties.insert((*key).into(), any_number());
    }
    properties.insert("scale".into(), json!({ "enum": ["log"] }));
    properties.insert("per".into(), super::word("level of drawing"));
    properties.insert("source".into(), json!({ "type": "string" }));
    properties.insert("basis".into(), super::word("basis"));
    let choices: Vec<Value> = forms.iter().map(|keys| json!({ "required": keys })).collect();
    json!({
        "type": "object",
        "description": "a law: its keys choose which",
        "properties": properties,
        "additionalProperties": false,
        "anyOf": choices,
    })
}
