//! Independent re-statements in SimPy play `sortie-loop.toml` (a lock, hatches that stick, people who get
//! hurt, dust) and `port-loop.toml` (suitports with service cycles, a rover that docks, prebreathe from
//! tissue, metabolic rates), and so does `vestibule run`.

use super::environment::{self, run};
use super::record;

/// Plays a file both ways; every mean and spread within 4 standard errors of the difference. The
/// re-statement plays `campaigns`, some minute on one core: with locks the havens late and missed are then
/// known to 5 %.
fn compare(case: &str, name: &str, what: &str, (campaigns, numbers): (&str, usize)) {
    let Some(python) = environment::python(what) else {
        return;
    };
    let here = format!("{}/tests/reference", env!("CARGO_MANIFEST_DIR"));
    let campaign = format!("{here}/{name}.toml");
    let scratch = tempfile::tempdir().expect("a folder for results");
    let out = scratch.path().join("results").display().to_string();
    let arguments = ["run", &campaign, "--keep-campaigns", "--drivers", "0", "--out", &out];
    let said = run(env!("CARGO_BIN_EXE_vestibule"), &arguments);
    said.unwrap_or_else(|why| panic!("{why}"));
    let records = record::folder().join(format!("{name}.json")).display().to_string();
    let (script, results) = (format!("{here}/compare.py"), format!("{out}/campaigns.csv"));
    let arguments = ["-B", &script, case, &campaign, &results, &records, campaigns];
    let said = run(&python.display().to_string(), &arguments);
    said.unwrap_or_else(|why| panic!("{why}"));
    record::hold(name, numbers);
}

/// 28 means, 25 spreads, 3 ratios. False alarm: 56 x 6.3e-5 = 0.35 %, once for fixed seeds.
#[test]
fn the_sortie_loop_agrees_with_its_restatement() {
    compare(
        "locks",
        "sortie-loop",
        "the sortie loop against its re-statement in SimPy",
        ("4000", 56),
    );
}

/// 16 means, 16 spreads, 2 ratios. False alarm: 34 x 6.3e-5 = 0.21 %, once for fixed seeds.
#[test]
fn ports_rover_and_prebreathe_agree_with_their_restatement() {
    compare(
        "ports",
        "port-loop",
        "suitports and a rover against their re-statement in SimPy",
        ("2000", 34),
    );
}
