//! One campaign told again.

use super::*;

#[test]
fn replay_ends_with_the_row_of_its_campaign_to_the_last_digit() {
    let s = Starter::alone();
    let options = ["--campaigns", "70", "--seed", "99", "--keep-campaigns"];
    assert_eq!(code(&s.play("results", &options)), 0);
    let kept = rows(&s.path("results/campaigns.csv"));
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock"];
    for number in ["0", "69"] {
        let campaign = ["--campaign", number, "--from", "results", "--json"];
        let o = s.run(&[&replay[..], &campaign[..]].concat());
        assert_eq!((code(&o), err(&o)), (0, String::new()));
        let told = told(&out(&o));
        assert_eq!(told.len(), MEASURES.len());
        let row = &kept[number.parse::<usize>().unwrap()];
        for m in MEASURES {
            let cell = &row[m.name];
            let kept = (!cell.is_empty()).then(|| cell.parse::<f64>().unwrap());
            assert_eq!(kept, told[m.name], "{}", m.name);
        }
    }
}

#[test]
fn replay_tells_every_sortie_and_one_of_them_row_by_row() {
    let s = Starter::new();
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "3"];
    let story = out(&s.run(&replay));
    assert!(story.starts_with("lock (a single-chamber lock), campaign 3, seed 1\n"), "{story}");
    let as_json = |more: &[&str]| told(&out(&s.run(&[&replay[..], &["--json"], more].concat())));
    let planned = as_json(&[])["sorties_planned"].unwrap() as usize;
    for sortie in 1..=planned {
        let line = |l: &&str| l.starts_with('d') && l[13..].starts_with(&format!("{sortie:7} "));
        assert!(story.lines().any(|l| line(&l)), "sortie {sortie} is missing in\n{story}");
    }
    let one = out(&s.run(&[&replay[..], &["--sortie", "2"]].concat()));
    assert!(one.contains("depress lock") && one.contains("kPa"), "{one}");
    assert!(!story.contains("depress lock"), "{story}");
    assert_eq!(as_json(&["--sortie", "2"]), as_json(&[]));
    // Who reads it is told five digits.
    let gas = as_json(&[])["gas_lost_kg"].unwrap();
    let shown = story.lines().find_map(|l| l.trim().strip_prefix("gas_lost_kg ")).unwrap();
    let shown = shown.trim().strip_suffix(" kg").unwrap();
    assert!(
        shown.len() <= 7 && (shown.parse::<f64>().unwrap() / gas - 1.0).abs() < 1e-4,
        "{shown}"
    );
}

#[test]
fn replay_refuses_a_manifest_whose_seed_or_luck_it_cannot_follow() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let path = s.path("results/manifest.json");
    let whole = fs::read_to_string(&path).unwrap();
    let other_luck = whole.replace(vestibule::report::LUCK, "another");
    let other_seed = whole.replace("\"seed\": \"1\"", "\"seed\": \"one\"");
    for text in [other_luck, other_seed, "{}".to_string()] {
        assert_ne!(text, whole);
        fs::write(&path, text).unwrap();
        let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "0"];
        let o = s.run(&[&replay[..], &["--from", "results"]].concat());
        assert_eq!((code(&o), out(&o)), (1, String::new()), "{}", err(&o));
    }
}

#[test]
fn replay_refuses_results_of_other_files() {
    let s = Starter::new();
    assert_eq!(code(&s.play("out", &["--campaigns", "3"])), 0);
    s.patch("volume = \"80 m3\"", "volume = \"81 m3\"");
    let told = s.run(&[
        "replay",
        "base/campaign.toml",
        "--architecture",
        "lock",
        "--campaign",
        "0",
        "--from",
        "out",
    ]);
    assert_eq!(code(&told), 1, "{}", err(&told));
}

/// With an outer loop campaign j x inner + i has parameter set j; replay finds it from the number.
#[test]
fn replay_follows_the_parameter_sets_of_an_outer_loop() {
    let s = Starter::alone();
    looped(&s);
    assert_eq!(code(&s.play("results", &["--keep-campaigns"])), 0);
    let kept = rows(&s.path("results/campaigns.csv"));
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock"];
    let gas = |k: usize| kept[k]["gas_lost_per_sortie_kg"].clone();
    for number in ["0", "7", "8", "63", "64", "79"] {
        let campaign = ["--campaign", number, "--from", "results", "--json"];
        let o = s.run(&[&replay[..], &campaign[..]].concat());
        assert_eq!((code(&o), err(&o)), (0, String::new()));
        let row = &kept[number.parse::<usize>().unwrap()];
        assert_eq!(row["campaign"], number);
        let told = told(&out(&o));
        for m in MEASURES.iter().filter(|m| !row[m.name].is_empty()) {
            let kept = row[m.name].parse::<f64>().ok();
            assert_eq!(kept, told[m.name], "{} of campaign {number}", m.name);
        }
    }
    assert_ne!(gas(0), gas(8), "two parameter sets drew the same");
}
