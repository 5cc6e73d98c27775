//! What an installed program has inside: campaigns, access systems, schemas, completions, pages.

use super::*;

#[test]
fn a_shipped_campaign_comes_with_its_files_and_passes() {
    let home = tempfile::tempdir().unwrap();
    for (name, architectures) in [("larkspur", 6), ("ochre", 4), ("teasel", 2)] {
        let made = vestibule(home.path(), &["new", name, "--from", name]);
        assert_eq!(code(&made), 0, "{}", err(&made));
        let checked = vestibule(home.path(), &["check", &format!("{name}/campaign.toml")]);
        assert_eq!(code(&checked), 0, "{}", err(&checked));
        let wanted = format!("{architectures} architectures");
        assert!(out(&checked).contains(&wanted), "{name}: {}", out(&checked));
    }
    let none = vestibule(home.path(), &["new", "other", "--from", "nowhere"]);
    assert_eq!(code(&none), 2);
    assert!(err(&none).contains("larkspur"), "{}", err(&none));
    assert!(!home.path().join("other").exists());
}

#[test]
fn every_access_system_can_be_printed() {
    let home = tempfile::tempdir().unwrap();
    let listed = out(&vestibule(home.path(), &["list", "systems"]));
    let names: Vec<&str> = listed
        .lines()
        .take_while(|l| !l.is_empty())
        // What goes on in a further line is indented.
        .filter(|l| !l.starts_with(' '))
        .map(|l| l.split_whitespace().next().unwrap())
        .collect();
    assert!(names.len() >= 11 && names.contains(&"suitlock"), "{listed}");
    // Descriptions end with their sentence, in lines of a page.
    let whole = listed.split("\n\n").next().unwrap();
    assert!(whole.ends_with('.'), "{listed}");
    assert!(listed.lines().all(|l| l.chars().count() <= 100), "{listed}");
    for name in names {
        let shown = out(&vestibule(home.path(), &["list", "systems", "--show", name]));
        let file = format!("{}/runs/catalogue/access/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        assert_eq!(shown, fs::read_to_string(file).unwrap());
    }
    let none = vestibule(home.path(), &["list", "systems", "--show", "nothing"]);
    assert_eq!(code(&none), 2);
    assert!(err(&none).contains("suitlock"), "{}", err(&none));
    assert_eq!(code(&vestibule(home.path(), &["list", "keys", "--show", "x"])), 2);
    // Without a word it says what can be listed.
    let all = vestibule(home.path(), &["list"]);
    assert!(code(&all) == 0 && out(&all).contains("  systems "), "{}", out(&all));
    assert_eq!(code(&vestibule(home.path(), &["list", "--json"])), 2);
}

#[test]
fn a_new_folder_has_what_an_editor_needs() {
    let s = Starter::new();
    let rules = fs::read_to_string(s.path("base/.taplo.toml")).unwrap();
    for kind in ["campaign", "part", "access"] {
        let file = format!("schema/{kind}.json");
        assert!(rules.contains(&file), "{file}");
        let written = fs::read_to_string(s.path("base").join(&file)).unwrap();
        assert_eq!(written, out(&s.run(&["list", "schema", "--show", kind])));
        let schema: serde_json::Value = serde_json::from_str(&written).unwrap();
        assert_eq!(schema["additionalProperties"], false, "{kind}");
    }
    let plain = out(&s.run(&["list", "schema"]));
    assert_eq!(plain, fs::read_to_string(s.path("base/schema/campaign.json")).unwrap());
}

#[test]
fn shells_and_man_are_served() {
    let s = Starter::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let said = s.run(&["completions", shell]);
        assert_eq!(code(&said), 0);
        assert!(out(&said).contains("keep-campaigns"), "{shell}");
    }
    assert_eq!(code(&s.run(&["man", "pages"])), 0);
    let page = fs::read_to_string(s.path("pages/vestibule-run.1")).unwrap();
    assert!(page.contains("keep\\-campaigns") && page.starts_with(".ie"), "{page}");
}
