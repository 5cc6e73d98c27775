//! An independent re-statement of the sortie loop in SimPy plays `sortie-loop.toml`, and so does
//! `vestibule run`.

use crate::environment::{self, run};
use crate::record;

/// Measures compared: 28 means and 3 ratios.
const MEASURES: usize = 31;
/// Campaigns of the re-statement: under a minute on one core.
const CAMPAIGNS: &str = "2000";

/// Every measure within 4 standard errors of the difference. False alarm: 31 x 6.3e-5 = 0.2 %, once
/// for fixed seeds.
#[test]
fn the_sortie_loop_agrees_with_its_restatement() {
    let Some(python) = environment::python("the sortie loop against its re-statement in SimPy")
    else {
        return;
    };
    let here = format!("{}/tests/reference", env!("CARGO_MANIFEST_DIR"));
    let campaign = format!("{here}/sortie-loop.toml");
    let scratch = tempfile::tempdir().expect("a folder for results");
    let out = scratch.path().join("results").display().to_string();
    let said = run(
        env!("CARGO_BIN_EXE_vestibule"),
        &["run", &campaign, "--keep-campaigns", "--out", &out],
    );
    said.unwrap_or_else(|why| panic!("{why}"));
    let records = record::folder().join("sortie-loop.json").display().to_string();
    let (script, results) = (format!("{here}/compare.py"), format!("{out}/campaigns.csv"));
    let arguments = ["-B", &script, &campaign, &results, &records, CAMPAIGNS];
    let said = run(&python.display().to_string(), &arguments);
    said.unwrap_or_else(|why| panic!("{why}"));
    record::hold("sortie-loop", MEASURES);
}
