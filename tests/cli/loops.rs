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
    let s = Starter::alone();
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
    let s = Starter::alone();
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
    let s = Starter::alone();
    looped(&s);
    assert_eq!(code(&s.play("results", &[])), 0);
    s.patch("outer = 10\ninner = 8", "campaigns = 40");
    assert_eq!(code(&s.play("results", &[])), 0);
    assert_eq!(names(&s.path("results")), FILES);
}

#[test]
fn parameter_sets_are_not_cut_short() {
    let s = Starter::alone();
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
    let s = Starter::alone();
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

/// A choice by measures with weights between the lock and one with another free volume, with groups.
fn decided(s: &Starter, ranking: &str, free: &str) {
    let sections = format!(
        "[ranking.mine]\n{ranking}\n\n[decision]\nranking = \"mine\"\nunit = \"points\"\ngroups = {{ \
         crew = [\"crew.displaces\"] }}\n\n[architecture.other]\nways_back = \
         [\"free-the-outer-hatch\", \"clean-the-outer-seal\"]\nsuits = [{{ suit = \"soft\", count = 3, at = \
         \"main.lock\" }}]\nport.main = {{ element = \"habitat\", access = \"single-lock\", \
         volume.lock.free = {free} }}\n\n[limit.gas]"
    );
    s.patch("[limit.gas]", &sections);
}

const HOURS_AND_GAS: &str = "measures = [\"eva_lost_h\", \"gas_lost_kg\"]\nweights = { eva_lost_h = 1, \
                             gas_lost_kg = 0.1 }";

#[test]
fn what_is_worth_knowing_has_a_row_for_everything_groups_and_parameters() {
    let s = Starter::alone();
    looped(&s);
    s.patch("outer = 10", "outer = 40");
    decided(&s, HOURS_AND_GAS, "\"6 m3\"");
    let played = s.play("1", &["--threads", "1"]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    assert!(out(&played).contains("Worth knowing before choosing by ranking mine, in points"));
    let value = rows(&s.path("1/value.csv"));
    let known: Vec<&str> = value.iter().map(|r| r["known"].as_str()).collect();
    assert_eq!(known[..2], ["everything", "group"]);
    assert!(known.len() > 3 && known[2..].iter().all(|k| *k == "parameter"), "{known:?}");
    let most: f64 = value[0]["high95"].parse().unwrap_or(f64::INFINITY);
    for row in &value {
        assert_eq!((row["n_used"].as_str(), row["unit"].as_str()), ("40", "points"));
        let number = |column: &str| row[column].parse::<f64>();
        let x = number("value").unwrap();
        assert!(x >= 0.0 && x <= most, "{row:?}");
        let (low, high) = (number("low95").unwrap(), number("high95").unwrap_or(f64::INFINITY));
        assert!(low <= x && x <= high, "{row:?}");
        let empty = |column: &str| row[column].is_empty();
        assert!(!empty("high95") || !empty("note"), "{row:?}");
    }
    let all = |of: &str| value.iter().find(|r| r["item"] == of).unwrap()["parameters"].clone();
    assert_eq!(all("crew"), "1");
    let page = fs::read_to_string(s.path("1/report.html")).unwrap();
    assert!(page.contains("id=\"fig-value\""));
    // The same bytes on other threads.
    assert_eq!(code(&s.play("3", &["--threads", "3"])), 0);
    assert_eq!(contents(&s.path("1")), contents(&s.path("3")));
    // And from shards.
    for k in ["0/3", "1/3", "2/3"] {
        let shard = s.play("parts", &["--shard", k]);
        assert_eq!(code(&shard), 0, "{}", err(&shard));
    }
    let merged = s.run(&["merge", "--out", "merged", "parts"]);
    assert_eq!(code(&merged), 0, "{}", err(&merged));
    let [whole, joined] = ["1", "merged"].map(|f| fs::read(s.path(f).join("value.csv")).unwrap());
    assert_eq!(whole, joined);
}

/// Sets asked for on the command line are those of the file; replay finds them in the manifest.
#[test]
fn sets_may_come_from_the_command_line() {
    let s = Starter::alone();
    looped(&s);
    decided(&s, HOURS_AND_GAS, "\"6 m3\"");
    assert_eq!(code(&s.play("file", &[])), 0);
    s.patch("outer = 10\ninner = 8", "campaigns = 7");
    let asked = ["--outer", "10", "--inner", "8"];
    assert_eq!(code(&s.play("asked", &asked)), 0);
    for table in ["summary.csv", "value.csv", "risk-curve.csv"] {
        let [a, b] = ["file", "asked"].map(|f| fs::read(s.path(f).join(table)).unwrap());
        assert_eq!(a, b, "{table}");
    }
    // The page says how to get the same numbers again.
    let page = fs::read_to_string(s.path("asked/report.html")).unwrap();
    assert!(page.contains("--seed 1 --outer 10 --inner 8 --drivers"), "{page}");
    let replay = |more: &[&str]| {
        let first = ["replay", "base/campaign.toml", "--campaign", "79"];
        let arm = ["--architecture", "lock"];
        out(&s.run(&[&first[..], &arm[..], more].concat()))
    };
    assert_ne!(replay(&["--from", "asked"]), replay(&[]), "campaign 79 is one of set 9");
    let without = s.play("none", &[]);
    assert_eq!(code(&without), 0);
    assert!(!s.path("none/value.csv").exists());
    assert_eq!(code(&s.play("none", &["--outer", "10"])), 2);
    assert_eq!(code(&s.play("none", &[&asked[..], &["--campaigns", "80"]].concat())), 2);
}

/// Nothing fails, and the choice goes by gas alone, which is linear in the free volume of the lock: 4.25
/// m3 here, uniform from 3.75 to 5.25 m3 there. Knowing it saves k (4.25 - V) where V is less, with k kg
/// per m3 (from a run with 5.25 m3): k 0.5^2 / (2 x 1.5). Within 4 standard errors of its own (false
/// alarm 6e-5) and 2 % for sorties that a false alarm cancels.
#[test]
fn the_value_of_knowing_one_volume_is_its_closed_form() {
    let gas = "measures = [\"gas_lost_kg\"]\nweights = { gas_lost_kg = 1 }";
    let quiet = |s: &Starter| {
        s.patch("law = { median = 6.2e-4, error_factor = 5 }", "law = 1e-12");
        s.patch("law = { median = \"6e-5 /h\", error_factor = 5 }", "law = \"1e-12 /h\"");
        s.patch("displaces = \"0.15 m3\"", "displaces = { low = \"0.1 m3\", high = \"0.2 m3\" }");
    };
    let plain = Starter::alone();
    quiet(&plain);
    decided(&plain, gas, "\"5.25 m3\"");
    assert_eq!(code(&plain.play("out", &["--campaigns", "200", "--drivers", "0"])), 0);
    let pairs = rows(&plain.path("out/compare.csv"));
    let pair = pairs.iter().find(|r| r["measure"] == "gas_lost_kg").unwrap();
    let k = pair["difference"].parse::<f64>().unwrap().abs();
    let s = Starter::alone();
    quiet(&s);
    decided(&s, gas, "{ low = \"3.75 m3\", high = \"5.25 m3\" }");
    let played = s.play("out", &["--outer", "500", "--inner", "2", "--drivers", "0"]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    let value = rows(&s.path("out/value.csv"));
    let expected = k * 0.25 / 3.0;
    let volume = |r: &&BTreeMap<String, String>| r["item"].contains("volume.lock.free");
    for row in [&value[0], value.iter().find(volume).unwrap()] {
        let [x, low, high] = ["value", "low95", "high95"].map(|c| row[c].parse::<f64>().unwrap());
        let error = (high - low) / (2.0 * 1.96);
        let within = 4.0 * error + 0.02 * expected;
        assert!((x - expected).abs() < within, "{x} is not {expected} within {within}: {row:?}");
        assert_eq!((row["verdict"].as_str(), row["instead"].as_str()), VERDICT);
    }
    let crew = value.iter().find(|r| r["item"] == "crew").unwrap();
    assert_ne!(crew["verdict"], VERDICT.0, "{crew:?}");
}

const VERDICT: (&str, &str) = ("could change the choice", "other");
