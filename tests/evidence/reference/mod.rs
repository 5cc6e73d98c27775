//! Cross-checks against general-purpose reference libraries, in a Python environment that these
//! tests make themselves under `target/`: CoolProp, scipy, numpy, and an independent re-statement
//! of the sortie loop in SimPy.

mod cases;
mod designs;
mod environment;
mod recipe;
mod record;
mod schema;
mod sensitivity;
mod sortie_loop;

use std::fs;

/// Every public formula that such a library also has, at many points.
#[test]
fn formulas_agree_with_reference_libraries() {
    let Some(python) = environment::python("formulas against CoolProp, scipy and numpy") else {
        return;
    };
    let cases = cases::all();
    let folder = record::folder();
    let (asked, answered) = (folder.join("formulas-asked.json"), folder.join("formulas.json"));
    fs::write(&asked, serde_json::to_string(&cases).expect("plain data")).expect("the cases");
    let script = format!("{}/tests/reference/formulas.py", env!("CARGO_MANIFEST_DIR"));
    let arguments = ["-B", &script, &asked.display().to_string(), &answered.display().to_string()];
    let run = environment::run(&python.display().to_string(), &arguments);
    run.unwrap_or_else(|why| panic!("{why}"));
    record::hold("formulas", cases.len());
}
