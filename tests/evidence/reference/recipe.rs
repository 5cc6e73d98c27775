//! The recipe that reads a results folder with pandas and draws two pictures, run as a reader would.

use super::environment;
use assert_cmd::Command;
use std::collections::HashMap;
use std::fs;

/// What the recipe prints of a measure are the means of `summary.csv`, and both pictures are drawn.
#[test]
fn a_results_folder_loads_with_pandas_and_gives_two_pictures() {
    let Some(python) = environment::python("the recipe with pandas and matplotlib") else {
        return;
    };
    let root = env!("CARGO_MANIFEST_DIR");
    let folder = tempfile::tempdir().expect("a folder");
    let (results, pictures) = (folder.path().join("results"), folder.path().join("pictures"));
    let mut run = Command::cargo_bin("vestibule").expect("the program");
    run.args(["run", &format!("{root}/runs/teasel/campaign.toml"), "--campaigns", "64"]);
    run.args(["--drivers", "0", "--out"]).arg(&results).assert().success();

    let script = format!("{root}/runs/recipes/two_pictures.py");
    let arguments =
        ["-B", &script, &results.display().to_string(), &pictures.display().to_string()];
    let said = environment::run(&python.display().to_string(), &arguments)
        .unwrap_or_else(|why| panic!("{why}"));

    let mut means = HashMap::new();
    let mut csv = csv::Reader::from_path(results.join("summary.csv")).expect("summary.csv");
    for row in csv.records() {
        let row = row.expect("a row");
        if &row[1] == "gas_lost_kg" {
            means.insert(row[0].to_string(), row[4].parse::<f64>().expect("a mean"));
        }
    }
    let line = said.lines().find(|l| l.starts_with("gas_lost_kg")).expect("the row of gas");
    let printed: Vec<f64> =
        line.split_whitespace().skip(1).map(|x| x.parse().expect("a number")).collect();
    assert_eq!(printed.len(), means.len(), "{said}");
    for mean in means.values() {
        let close = |x: &f64| (x - mean).abs() <= 1e-3 * mean.abs();
        assert!(printed.iter().any(close), "{mean} is not in {line}");
    }
    for name in ["hours_lost.png", "differences.png"] {
        let picture = fs::read(pictures.join(name)).expect(name);
        assert!(picture.starts_with(b"\x89PNG") && picture.len() > 5_000, "{name}");
    }
}
