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
    assert!(text.contains("P(safe haven not reached in time), %"), "{text}");
    assert!(text.contains("Not modelled: "), "{text}");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words(&text).ends_with(&words(vestibule::report::CAUTION)), "{text}");
    assert!(!text.contains('\u{1b}'), "no colour where there is no terminal");
}

#[test]
fn the_command_to_replay_names_the_seed_and_works_as_it_stands() {
    let s = Starter::new();
    let text = out(&s.play("results", &["--campaigns", "70", "--seed", "7", "--keep-campaigns"]));
    let text = text.replace("\\\n", "");
    let command = text.lines().find_map(|l| l.trim().strip_prefix("vestibule ")).unwrap();
    let words: Vec<&str> = command.split_whitespace().collect();
    let story = s.run(&words);
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
    let told = told(&out(&s.run(&[&words[..], &["--json"]].concat())));
    let margins = ["haven_margin_min", "haven_margin_contingency_min"];
    let of_it = margins.iter().filter_map(|m| told[*m]).fold(f64::INFINITY, f64::min);
    assert_eq!(of_it, all);
}
