//! The JSON Schema of the files, by the usual validator of Python: every shipped file is valid, and a
//! slip in one is found.

use super::{environment, record};
use serde_json::json;
use std::fs;
use std::path::{Path, PathBuf};
use vestibule::scenario::{SCHEMAS, schema};

/// Kind of file, file, what is written, a slip instead of it.
const SLIPS: &[[&str; 4]] = &[
    ["campaign", "runs/larkspur/campaign.toml", "duty_day =", "duty_days ="],
    ["campaign", "runs/larkspur/campaign.toml", "length = \"165 d\"", "length = 165"],
    ["campaign", "runs/larkspur/campaign.toml", "length = \"165 d\"", "length = \"165 parsec\""],
    ["campaign", "runs/larkspur/campaign.toml", "[campaign]", "[campain]"],
    ["campaign", "runs/larkspur/campaign.toml", "basis = \"assumed\"", "basis = \"guessed\""],
    ["campaign", "runs/larkspur/campaign.toml", "seed = 20790314", "seed = -1"],
    ["campaign", "runs/larkspur/campaign.toml", "length = \"165 d\"", "length = \"165d\""],
    ["part", "runs/catalogue/suit/suits.toml", "width =", "weight ="],
    [
        "part",
        "runs/catalogue/failure/hatches.toml",
        "effect = \"stuck shut\"",
        "effect = \"stuck\"",
    ],
    [
        "part",
        "runs/catalogue/failure/hatches.toml",
        "when = \"on opening\"",
        "when = \"at opening\"",
    ],
    ["access", "runs/catalogue/access/suitlock.toml", "action = \"open\"", "action = \"opens\""],
    ["access", "runs/catalogue/access/suitlock.toml", "each = \"in turn\"", "each = \"in turns\""],
    ["access", "runs/catalogue/access/suitlock.toml", "clear =", "clearance ="],
    [
        "access",
        "runs/catalogue/access/single-chamber.toml",
        "between = [",
        "between = [\"cabin\", ",
    ],
];

/// Every TOML file below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{folder:?}: {e}"));
    let mut out = Vec::new();
    for path in entries.map(|e| e.expect("an entry").path()) {
        match path.is_dir() {
            true => out.extend(files(&path)),
            false if path.extension().is_some_and(|x| x == "toml") => out.push(path),
            false => {}
        }
    }
    out
}

/// What kind of file it is, by where it stands.
fn kind(path: &Path) -> &'static str {
    let text = path.display().to_string();
    let is = |part: &str| text.contains(part);
    match () {
        () if is("/access/") => "access",
        () if is("/catalogue/suit/") => "suit",
        () if is("/catalogue/failure/") => "failure",
        () if fs::read_to_string(path).is_ok_and(|t| t.contains("\n[sweep]")) => "sweep",
        () => "campaign",
    }
}

#[test]
fn shipped_files_keep_the_schema_and_slips_do_not() {
    let Some(python) = environment::python("files against their JSON Schema by jsonschema") else {
        return;
    };
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = files(&home.join("runs"));
    all.extend(files(&home.join("src/cli/starter")));
    all.retain(|path| !path.ends_with("taplo.toml"));
    let of = |p: &PathBuf| json!([kind(p), p.display().to_string()]);
    assert!(all.len() > 20, "{all:?}");
    let schemas: serde_json::Map<String, serde_json::Value> = SCHEMAS
        .iter()
        .map(|(name, _)| (name.to_string(), schema(name).expect("a schema of that name")))
        .collect();
    let slip = |[kind, path, from, to]: &[&str; 4]| {
        json!([kind, home.join(path).display().to_string(), from, to])
    };
    let asked = json!({
        "schemas": schemas,
        "files": all.iter().map(of).collect::<Vec<_>>(),
        "slips": SLIPS.iter().map(slip).collect::<Vec<_>>(),
    });
    let path = record::folder().join("schema-asked.json");
    fs::write(&path, asked.to_string()).expect("what is asked");
    let script = home.join("tests/reference/schema.py").display().to_string();
    let arguments = ["-B", &script, &path.display().to_string()];
    let run = environment::run(&python.display().to_string(), &arguments);
    run.unwrap_or_else(|why| panic!("{why}"));
}
