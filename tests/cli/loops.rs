//! A study with an outer loop over what is not known.

use super::*;

/// Ten parameter sets of eight campaigns, with hatches that fail often enough to be seen.
pub fn looped(s: &Starter) {
    s.patch("campaigns = 1000", "outer = 10\ninner = 8");
    s.patch("displaces = \"0.15 m3\"", "displaces = { low = \"0.1 m3\", high = \"0.2 m3\" }");
    s.patch("law = { median = 6.2e-4, error_factor = 5 }", "law = { failures = 1, demands = 20 }");
}

#[test]
fn the_risk_curve_stands_beside_the_other_tables() {
    let s = Starter::new();
    looped(&s);
    let played = s.play("results", &[]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    let text = out(&played);
    assert!(text.contains("over 10 parameter sets of 8 campaigns"), "{text}");
    let mut files = [&FILES[..], &["risk-curve.csv"]].concat();
    files.sort_unstable();
    assert_eq!(names(&s.path("results")), files);
    let curve = rows(&s.path("results/risk-curve.csv"));
    let risk: Vec<_> = curve.iter().filter(|r| r["measure"] == "campaign_haven_missed").collect();
    let statistics: Vec<&str> = risk.iter().map(|r| r["statistic"].as_str()).collect();
    assert_eq!(statistics[..4], ["mean", "p05", "p50", "p95"]);
    assert!(statistics[4..].iter().all(|x| *x == "at most") && statistics.len() > 4);
    let numbers =
        |key: &str| -> Vec<f64> { risk[4..].iter().map(|r| r[key].parse().unwrap()).collect() };
    for key in ["x", "probability"] {
        assert!(numbers(key).is_sorted(), "{key}: {:?}", numbers(key));
    }
    assert_eq!(numbers("probability").last(), Some(&1.0));
    for row in &curve {
        assert_eq!(row["n_used"], "10");
        let empty = |(name, cell): (&String, &String)| cell.is_empty() && name != "note";
        assert!(!row.iter().any(empty) || !row["note"].is_empty(), "{row:?}");
    }
    // the mean of the curve is the one of the summary, to the last digit
    let summary = rows(&s.path("results/summary.csv"));
    let missed = summary.iter().find(|r| r["measure"] == "campaign_haven_missed").unwrap();
    assert_eq!((&missed["mean"], &missed["mean_low95"]), (&risk[0]["x"], &risk[0]["x_low95"]));
    assert_eq!((missed["campaigns"].as_str(), missed["n_used"].as_str()), ("80", "10"));
    let manifest = fs::read_to_string(s.path("results/manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_str(&manifest).unwrap();
    assert_eq!((&manifest["campaigns"], &manifest["inner"]), (&80.into(), &8.into()));
}

#[test]
fn an_outer_loop_gives_the_same_bytes_for_any_threads() {
    let s = Starter::new();
    looped(&s);
    let files = ["1", "2", "7"].map(|threads| {
        assert_eq!(code(&s.play(threads, &["--keep-campaigns", "--threads", threads])), 0);
        contents(&s.path(threads))
    });
    assert!(files[0].contains_key("risk-curve.csv"));
    assert_eq!(files[0], files[1]);
    assert_eq!(files[0], files[2]);
}

#[test]
fn a_risk_curve_of_an_earlier_run_does_not_stay() {
    let s = Starter::new();
    looped(&s);
    assert_eq!(code(&s.play("results", &[])), 0);
    s.patch("outer = 10\ninner = 8", "campaigns = 40");
    assert_eq!(code(&s.play("results", &[])), 0);
    assert_eq!(names(&s.path("results")), FILES);
}

#[test]
fn parameter_sets_are_not_cut_short() {
    let s = Starter::new();
    looped(&s);
    let cut = s.play("results", &["--campaigns", "20"]);
    assert_eq!((code(&cut), out(&cut)), (2, String::new()));
    assert!(err(&cut).contains("--campaigns 16"), "{}", err(&cut));
    assert_eq!(code(&s.play("results", &["--campaigns", "16"])), 0);
    assert_eq!(rows(&s.path("results/risk-curve.csv"))[0]["n_used"], "2");
}

/// A lognormal probability that often lies above 1: the caps are counted in the findings.
#[test]
fn capped_probabilities_are_counted() {
    let s = Starter::new();
    s.patch("{ median = 6.2e-4, error_factor = 5 }", "{ median = 0.05, error_factor = 12 }");
    assert_eq!(code(&s.play("results", &["--campaigns", "2000"])), 0);
    let findings = rows(&s.path("results/findings.csv"));
    let counted = |r: &&BTreeMap<String, String>| r["what"].contains("of 2000 values drawn");
    let found: Vec<_> = findings.iter().filter(counted).collect();
    assert_eq!(found.len(), 2, "{findings:?}");
    for row in found {
        assert_eq!(
            (row["rule"].as_str(), row["severity"].as_str()),
            ("probability-capped", "info")
        );
        let times: f64 = row["what"].split(' ').next().unwrap().parse().unwrap();
        // P(above 1) = 1 - Phi(ln 20 / (ln 12 / 1.6449)) = 1 - Phi(1.98301) = 0.023684; four
        // standard errors of a binomial count: false alarm 6e-5 each
        let (mean, p) = (2000.0 * 0.023684, 0.023684_f64);
        assert!((times - mean).abs() <= 4.0 * (mean * (1.0 - p)).sqrt(), "{times} of {mean}");
    }
}
