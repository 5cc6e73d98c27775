//! Shards of a sweep: the bytes of a single sweep, whatever the layout.

use super::*;

/// 6 points of 3 blocks: 18 units, so that most layouts cut within a point.
const GRID: &str = r#"[sweep]
base = "campaign.toml"
design = "grid"
seed = 5
campaigns = 130
measures = ["gas_lost_kg", "campaign_haven_missed", "eva_done_fraction"]

[factor.recovery]
key = "access.single-lock.pump.main.recovery"
range = { low = 0.5, high = 0.9 }
levels = 3

[factor.copy]
choice.same = { "architecture.other" = { copy = "architecture.lock" } }
choice.large = { "architecture.other" = { copy = "architecture.lock" }, "element.habitat.volume" = "160 m3" }
"#;

fn swept(s: &Starter, more: &[&str]) -> Output {
    s.run(&[&["sweep", "base/sweep.toml"], more].concat())
}

#[test]
fn any_layout_of_a_sweep_gives_its_bytes() {
    let s = Starter::new();
    fs::write(s.path("base/sweep.toml"), GRID).unwrap();
    let whole = swept(&s, &["--out", "single"]);
    assert_eq!(code(&whole), 0, "{}", err(&whole));
    let whole = contents(&s.path("single"));
    assert!(whole.contains_key("sweep.csv"));
    for n in [1, 3, 8, 64] {
        for threads in ["1", "2", "8"] {
            let folder = format!("shards-{n}-{threads}");
            for k in 0..n {
                let shard = format!("{k}/{n}");
                let o = swept(&s, &["--shard", &shard, "--out", &folder, "--threads", threads]);
                assert_eq!(code(&o), 0, "{shard}: {}", err(&o));
            }
            let o = s.run(&["merge", "--out", "merged", &folder]);
            assert_eq!(code(&o), 0, "{}", err(&o));
            let merged = contents(&s.path("merged"));
            let differ: Vec<_> = whole.keys().filter(|k| whole.get(*k) != merged.get(*k)).collect();
            assert!(differ.is_empty() && whole.len() == merged.len(), "{n} {threads}: {differ:?}");
        }
    }
}

#[test]
fn shards_of_other_sweeps_and_runs_are_refused() {
    let s = Starter::new();
    fs::write(s.path("base/sweep.toml"), GRID).unwrap();
    for k in ["0/2", "1/2"] {
        assert_eq!(code(&swept(&s, &["--shard", k])), 0);
    }
    let shards = "base/shards/sweep";
    assert_eq!(names(&s.path(shards)), ["0-of-2.shard", "1-of-2.shard"]);
    assert_eq!(out(&s.run(&["merge", "--missing", shards])), "");
    // A shard of a run among them, and one of the sweep with another number of campaigns.
    assert_eq!(code(&s.play("run", &["--shard", "0/2", "--campaigns", "130"])), 0);
    assert_eq!(code(&swept(&s, &["--shard", "0/2", "--campaigns", "131", "--out", "more"])), 0);
    for (other, says) in [("run", "kind run"), ("more", "campaigns 131, and base/shards")] {
        let o = s.run(&["merge", "--out", "merged", shards, other]);
        assert_eq!(code(&o), 1, "{other}");
        assert!(err(&o).contains(says), "{other}: {}", err(&o));
        assert!(!s.path("merged").exists());
    }
    // The sweep file is part of the input.
    fs::write(s.path("base/sweep.toml"), GRID.replace("high = 0.9", "high = 0.8")).unwrap();
    let o = s.run(&["merge", "--out", "merged", shards]);
    assert_eq!(code(&o), 1);
    assert!(err(&o).contains("fingerprint of the input"), "{}", err(&o));
    assert!(!s.path("merged").exists());
    fs::write(s.path("base/sweep.toml"), GRID).unwrap();
    fs::remove_file(s.path(shards).join("0-of-2.shard")).unwrap();
    assert_eq!(out(&s.run(&["merge", "--missing", shards])), "0\n");
    assert_eq!(code(&swept(&s, &["--shard", "0/2", "--plan"])), 2);
}
