//! `vestibule sweep`: files, bytes for any number of threads, what is refused, what is planned.

use super::*;

const FILES: [&str; 10] = [
    "README.txt",
    "assumptions.csv",
    "crossings.csv",
    "datapackage.json",
    "findings.csv",
    "manifest.json",
    "report.html",
    "sensitivity.csv",
    "summary.xlsx",
    "sweep.csv",
];

const GRID: &str = r#"[sweep]
base = "campaign.toml"
design = "grid"
seed = 5
campaigns = 130
measures = ["gas_lost_kg", "campaign_haven_missed", "eva_done_fraction"]
architectures = ["lock", "other"]

[factor.recovery]
key = "access.single-lock.pump.main.recovery"
range = { low = 0.5, high = 0.9 }
levels = 3
source = "nobody measured it"
basis = "assumed"

[factor.copy]
choice.same = { "architecture.other" = { copy = "architecture.lock" } }
choice.large = { "architecture.other" = { copy = "architecture.lock" }, "element.habitat.volume" = "160 m3" }
"#;

impl Starter {
    fn sweep(&self, text: &str, more: &[&str]) -> Output {
        fs::write(self.path("base/sweep.toml"), text).unwrap();
        self.run(&[&["sweep", "base/sweep.toml"], more].concat())
    }
}

#[test]
fn a_grid_leaves_one_row_for_each_point_architecture_and_measure() {
    let s = Starter::alone();
    let played = s.sweep(GRID, &[]);
    assert_eq!(code(&played), 0, "{}", err(&played));
    assert!(out(&played).starts_with("6 points, 130 campaigns each"), "{}", out(&played));
    let folder = s.path("base/results/sweep");
    assert_eq!(names(&folder), FILES);
    let rows = rows(&folder.join("sweep.csv"));
    assert_eq!(rows.len(), 6 * 2 * 3);
    let header = fs::read_to_string(folder.join("sweep.csv")).unwrap();
    assert!(header.starts_with("recovery,copy,point,architecture,measure,unit,luck,"), "{header}");
    let of = |point: &str, arm: &str, measure: &str| {
        let wanted = |r: &&BTreeMap<String, String>| {
            r["point"] == point && r["architecture"] == arm && r["measure"] == measure
        };
        rows.iter().find(wanted).unwrap()
    };
    let gas = |point: &str| of(point, "lock", "gas_lost_kg")["mean"].parse::<f64>().unwrap();
    assert_eq!(of("0", "other", "gas_lost_kg")["mean"], of("0", "lock", "gas_lost_kg")["mean"]);
    assert!(gas("0") > gas("2") && gas("2") > gas("4"), "less recovered, more lost");
    assert_eq!(of("3", "other", "gas_lost_kg")["recovery"], "0.7");
    assert_eq!(of("3", "other", "gas_lost_kg")["copy"], "large");
    assert_eq!(of("3", "other", "gas_lost_kg")["luck"], "common");
    let unseen = of("0", "lock", "campaign_haven_missed");
    assert!(unseen["mean"] != "0" || unseen["standard_error"].is_empty(), "{unseen:?}");
    let assumed = fs::read_to_string(folder.join("assumptions.csv")).unwrap();
    assert!(assumed.contains("nobody measured it"), "{assumed}");
}

/// The point of a sweep on common luck is the run of the campaign with its seed and its values, to the
/// last digit.
#[test]
fn a_point_is_the_run_of_its_campaign() {
    let s = Starter::new();
    let text = GRID.replace("seed = 5", "seed = 1");
    assert_eq!(code(&s.sweep(&text, &["--out", "swept"])), 0);
    let access = s.path("base/access/single-lock.toml");
    let before = fs::read_to_string(&access).unwrap();
    let at = before.find("recovery = ").unwrap();
    let end = at + before[at..].find([',', ' ', '}']).unwrap();
    let value = before[at + 11..].split([',', ' ', '}']).next().unwrap();
    assert!(end > at && value.parse::<f64>().is_ok(), "{value}");
    let after = before.replacen(&format!("recovery = {value}"), "recovery = 0.7", 1);
    fs::write(&access, after).unwrap();
    assert_eq!(code(&s.play("run", &["--campaigns", "130", "--drivers", "0"])), 0);
    let run = rows(&s.path("run/summary.csv"));
    let swept = rows(&s.path("swept/sweep.csv"));
    for measure in ["gas_lost_kg", "campaign_haven_missed", "eva_done_fraction"] {
        let r = run.iter().find(|r| r["measure"] == measure).unwrap();
        let own = |p: &&BTreeMap<String, String>| {
            p["point"] == "2" && p["measure"] == measure && p["architecture"] == "lock"
        };
        let p = swept.iter().find(own).unwrap();
        for column in ["mean", "mean_low95", "mean_high95", "sd", "p50", "n_used", "method"] {
            assert_eq!(r[column], p[column], "{measure} {column}");
        }
    }
}

#[test]
fn a_sweep_gives_the_same_bytes_for_any_threads() {
    let s = Starter::new();
    let files = ["1", "2", "8"].map(|threads| {
        let played = s.sweep(GRID, &["--threads", threads, "--out", threads]);
        assert_eq!(code(&played), 0, "{}", err(&played));
        contents(&s.path(threads))
    });
    assert_eq!(files[0], files[1]);
    assert_eq!(files[0], files[2]);
    // The page and the rest are made from the files and nothing else.
    assert_eq!(code(&s.run(&["report", "1"])), 0);
    assert_eq!(contents(&s.path("1")), files[0]);
}

#[test]
fn every_design_is_played() {
    let s = Starter::alone();
    let factors = "[factor.recovery]\nkey = \"access.single-lock.pump.main.recovery\"\n\
                   range = { low = 0.5, high = 0.9 }\n[factor.dust]\nkey = \"activity.walks.dust\"\n\
                   own = true\n";
    let designs = [
        ("one at a time", "", 5),
        ("latin hypercube", "points = 12", 12),
        ("sobol sequence", "points = 8", 8),
        ("elementary effects", "trajectories = 3\nlevels = 4", 9),
        ("saltelli", "rows = 32\nluck = \"own\"", 128),
    ];
    for (design, keys, points) in designs {
        let text = format!(
            "[sweep]\nbase = \"campaign.toml\"\ndesign = \"{design}\"\n{keys}\nseed = 2\n\
             campaigns = 10\nmeasures = [\"gas_lost_kg\"]\narchitectures = [\"lock\"]\n{factors}"
        );
        let played = s.sweep(&text, &["--out", "out"]);
        assert_eq!(code(&played), 0, "{design}: {}", err(&played));
        let swept = rows(&s.path("out/sweep.csv"));
        assert_eq!(swept.len(), points, "{design}");
        let found = rows(&s.path("out/sensitivity.csv"));
        let names: std::collections::BTreeSet<_> =
            found.iter().map(|r| r["factor"].as_str()).collect();
        assert!(names.is_superset(&["recovery", "dust"].into()), "{design}: {names:?}");
        let page = fs::read_to_string(s.path("out/report.html")).unwrap();
        assert!(page.contains("<svg class=\"chart"), "{design}: no figure");
    }
}

#[test]
fn points_that_do_not_hold_together_are_named_with_their_values_and_nothing_is_played() {
    let s = Starter::new();
    let text = GRID.replace("high = 0.9", "high = 1.1");
    let played = s.sweep(&text, &["--out", "out"]);
    assert_eq!(code(&played), 1);
    let said = err(&played);
    assert!(said.contains("at point 4: recovery = 1.1, copy = same"), "{said}");
    assert!(said.contains("at point 5: recovery = 1.1, copy = large"), "{said}");
    assert!(said.contains("access.single-lock.pump.main.recovery = 1.1"), "{said}");
    assert!(said.contains("2 of 6 points have errors"), "{said}");
    assert!(!s.path("out").exists());
}

#[test]
fn a_plan_says_what_it_would_take_and_writes_nothing() {
    let s = Starter::new();
    let planned = s.sweep(GRID, &["--plan", "--out", "out"]);
    assert_eq!(code(&planned), 0, "{}", err(&planned));
    let said = out(&planned);
    for line in
        ["points          6", "campaigns       130 at every point, 780 in all", "core-hours"]
    {
        assert!(said.contains(line), "{said}");
    }
    assert!(!s.path("out").exists());
}

#[test]
fn a_sweep_file_that_is_not_there_or_not_sound_has_its_exit_code() {
    let s = Starter::new();
    assert_eq!(code(&s.run(&["sweep", "base/none.toml"])), 4);
    assert_eq!(code(&s.sweep("[sweep]\n", &[])), 1);
    assert_eq!(code(&s.sweep(GRID, &["--campaigns", "1"])), 2);
}

/// Each signal ends a sweep at a block, with its exit code, and nothing is left behind.
#[cfg(unix)]
#[test]
fn a_signal_ends_a_sweep_and_nothing_is_left_behind() {
    let s = Starter::new();
    fs::write(s.path("base/sweep.toml"), GRID).unwrap();
    let child = std::process::Command::new(env!("CARGO_BIN_EXE_vestibule"))
        .current_dir(s.home.path())
        .args(["sweep", "base/sweep.toml", "--campaigns", "100000000", "--out", "out"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    exits::wait_for(|| names(s.home.path()).iter().any(|n| n.starts_with(".out.draft-")));
    let sent = std::process::Command::new("kill").args(["-TERM", &child.id().to_string()]).status();
    assert!(sent.unwrap().success());
    let o = child.wait_with_output().unwrap();
    assert_eq!(code(&o), 75, "{}", err(&o));
    assert!(err(&o).contains("no result was written"), "{}", err(&o));
    assert_eq!(names(s.home.path()), ["base"]);
}
