//! What a person sees who uses the commands as they are meant.

use super::*;

#[test]
fn new_makes_a_starter_that_passes_the_check_and_runs_as_it_says() {
    let s = Starter::new();
    let checked = s.run(&["check", "base/campaign.toml"]);
    assert_eq!((code(&checked), err(&checked)), (0, String::new()));
    assert!(out(&checked).contains("2 architectures"), "{}", out(&checked));
    let played = s.run(&["run", "base/campaign.toml", "--campaigns", "40"]);
    assert_eq!((code(&played), err(&played)), (0, String::new()));
    assert_eq!(names(&s.path("base/results")), FILES);
}

#[test]
fn names_with_spaces_are_quoted_in_the_commands_it_suggests() {
    let home = tempfile::tempdir().unwrap();
    let made = vestibule(home.path(), &["new", "my base"]);
    assert!(out(&made).contains("vestibule run 'my base/campaign.toml'"), "{}", out(&made));
    let played = vestibule(home.path(), &["run", "my base/campaign.toml", "--campaigns", "40"]);
    assert!(out(&played).contains("replay 'my base/campaign.toml' --arch"), "{}", out(&played));
}

#[test]
fn every_list_is_printed() {
    let home = tempfile::tempdir().unwrap();
    for what in
        ["measures", "laws", "actions", "conditions", "effects", "rules", "keys", "model", "words"]
    {
        let o = vestibule(home.path(), &["list", what]);
        assert_eq!((code(&o), err(&o)), (0, String::new()), "{what}");
        assert!(out(&o).lines().count() > 5, "{what}: {}", out(&o));
    }
    let measures = out(&vestibule(home.path(), &["list", "measures"]));
    for m in MEASURES {
        assert!(
            measures.lines().any(|l| l.starts_with(m.name) && l.ends_with(m.doc)),
            "{}",
            m.name
        );
    }
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let systems = out(&vestibule(here, &["list", "systems"]));
    assert!(systems.contains("suitport-pair"), "{systems}");
}

#[test]
fn the_summary_is_for_a_person_and_ends_with_the_caution() {
    let s = Starter::new();
    let text = out(&s.play("results", &["--campaigns", "40"]));
    assert!(text.contains("40 campaigns of 30 days, seed 1"), "{text}");
    assert!(text.contains("campaign_haven_missed"), "{text}");
    assert!(text.contains("Not modelled: "), "{text}");
    assert_eq!(text.lines().last(), Some(vestibule::report::CAUTION));
    assert!(!text.contains('\u{1b}'), "no colour where there is no terminal");
}

#[test]
fn six_architectures_fit_a_hundred_columns() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("results");
    let folder = folder.to_str().unwrap();
    let larkspur = ["run", "runs/larkspur/campaign.toml", "--campaigns", "64"];
    let o = vestibule(here, &[&larkspur[..], &["--out", folder]].concat());
    assert_eq!(code(&o), 0, "{}", err(&o));
    let text = out(&o);
    let table: Vec<&str> = text.lines().take_while(|l| !l.is_empty()).collect();
    // Five stand side by side, the sixth in a table of its own below.
    assert!(table.iter().any(|l| l.split_whitespace().count() == 6), "{text}");
    assert!(text.lines().count() <= 75, "{text}");
    for label in ["gas_lost_kg", "campaign_haven_missed", "least margin, min"] {
        assert!(text.lines().any(|l| l.starts_with(label)), "{label} is missing in\n{text}");
    }
    // the path of the folder and the caution, which is one line by contract, may be longer
    let body = text.lines().filter(|l| !l.contains(folder) && *l != vestibule::report::CAUTION);
    assert!(body.clone().all(|l| l.chars().count() <= 100), "{text}");
    let commands = body.filter(|l| l.starts_with("  vestibule replay ")).count();
    assert_eq!(commands, 6, "{text}");
}

#[test]
fn the_command_to_replay_names_the_seed_and_works_as_it_stands() {
    let s = Starter::new();
    let text = out(&s.play("results", &["--campaigns", "70", "--seed", "7", "--keep-campaigns"]));
    let command = text.lines().find_map(|l| l.trim().strip_prefix("vestibule ")).unwrap();
    let command = command.split('#').next().unwrap();
    let story = s.run(&command.split_whitespace().collect::<Vec<_>>());
    assert_eq!(code(&story), 0, "{command}: {}", err(&story));
    assert!(out(&story).lines().next().unwrap().ends_with("seed 7"), "{}", out(&story));
    // it is the campaign with the smallest margin of all
    let least = |row: &BTreeMap<String, String>| {
        let margins = ["haven_margin_min", "haven_margin_contingency_min"];
        let there = margins.iter().filter_map(|m| row.get(*m)?.parse::<f64>().ok());
        there.fold(f64::INFINITY, f64::min)
    };
    let kept = rows(&s.path("results/campaigns.csv"));
    assert!(kept.iter().all(|r| r["haven_missed"] == "0"), "a miss has no margin to compare");
    let all = kept.iter().map(least).fold(f64::INFINITY, f64::min);
    assert_eq!(least(&told(&out(&story))), all);
}
