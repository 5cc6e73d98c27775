//! Every campaign file in `runs/` passes `check` and a short run; every catalogue file is included by
//! one; every run has a README that says question, limits and caution.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use vestibule::campaign::Player;
use vestibule::{check, model, scenario};

fn runs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("runs")
}

fn campaigns() -> Vec<PathBuf> {
    let mut out: Vec<PathBuf> = fs::read_dir(runs())
        .unwrap()
        .map(|e| e.unwrap().path().join("campaign.toml"))
        .filter(|p| p.exists())
        .collect();
    out.sort();
    assert!(out.len() >= 2, "both demos are there");
    out
}

fn toml_files(folder: &Path, out: &mut Vec<PathBuf>) {
    for e in fs::read_dir(folder).unwrap() {
        let path = e.unwrap().path();
        if path.is_dir() {
            toml_files(&path, out);
        } else if path.extension().is_some_and(|x| x == "toml") {
            out.push(path);
        }
    }
}

#[test]
fn every_campaign_passes_check_and_plays() {
    for file in campaigns() {
        let reading = scenario::read(&file);
        let mut text = String::new();
        for f in reading.findings.iter().filter(|f| f.is_error()) {
            text.push_str(&f.show(&reading.sources).to_string());
        }
        let scenario = reading.scenario.unwrap_or_else(|| panic!("{}:\n{text}", file.display()));
        let (checked, findings) = check::check(scenario);
        for f in findings.iter().filter(|f| f.is_error()) {
            text.push_str(&f.show(&reading.sources).to_string());
        }
        let checked = checked.unwrap_or_else(|| panic!("{}:\n{text}", file.display()));
        let model = model::compile(&checked);
        let mut player = Player::new(&model);
        for k in 0..8 {
            assert_eq!(player.play(k).count(), model.arms.len());
        }
    }
}

/// What demos may be warned of: each stands with its reason in the header of the file.
const ACCEPTED: &[(&str, &str, &str)] =
    &[("ochre", "dust-days", "published for stays of up to 30 days only")];

#[test]
fn demos_are_warned_of_nothing_but_what_they_explain() {
    for file in campaigns() {
        let name = file.parent().and_then(Path::file_name).unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&file).unwrap();
        let reading = scenario::read(&file);
        let (_, findings) = check::check(reading.scenario.expect("it reads"));
        let warned = reading.findings.iter().chain(&findings);
        let told: BTreeSet<&str> =
            warned.filter(|f| f.severity == check::Level::Warning).map(|f| f.rule).collect();
        let accepted = ACCEPTED.iter().filter(|x| x.0 == name);
        assert_eq!(told, accepted.clone().map(|x| x.1).collect(), "{name}");
        accepted.for_each(|x| assert!(text.contains(x.2), "{name}: no reason for {}", x.1));
    }
}

#[test]
fn every_part_of_a_demo_has_a_mass_and_a_volume() {
    for file in campaigns() {
        let s = scenario::read(&file).scenario.expect("it reads");
        let mut lacks = Vec::new();
        let mut part = |name: &str, has: [bool; 2]| {
            if has != [true, true] {
                lacks.push(name.to_string());
            }
        };
        for a in s.access.iter().map(|a| &a.it) {
            a.volumes.iter().for_each(|x| part(&x.name, [x.it.mass.is_some(), true]));
            let both = |m: bool, e: bool| [m, e];
            for x in &a.openings {
                part(&x.name, both(x.it.mass.is_some(), x.it.envelope.is_some()));
            }
            for x in &a.pumps {
                part(&x.name, both(x.it.mass.is_some(), x.it.envelope.is_some()));
            }
            for x in &a.stages {
                part(&x.name, both(x.it.mass.is_some(), x.it.envelope.is_some()));
            }
        }
        for o in s.elements.iter().filter(|e| e.it.played.it).flat_map(|e| &e.it.openings) {
            part(&o.name, [o.it.mass.is_some(), o.it.envelope.is_some()]);
        }
        s.suits.iter().for_each(|x| part(&x.name, [x.it.mass.is_some(), x.it.envelope.is_some()]));
        for x in &s.spares {
            part(&x.name, [x.it.mass.is_some(), x.it.envelope.is_some()]);
        }
        assert!(lacks.is_empty(), "{}: no mass or volume: {}", file.display(), lacks.join(", "));
    }
}

/// What can go wrong on the way in: the header of every access file says what is tried, or that there
/// is no such part.
const SITUATIONS: &[&str] = &[
    "outer hatch does not open",
    "outer hatch does not seal",
    "inner hatch does not open",
    "pump dead",
    "valve stuck shut",
    "berth does not mate",
    "berth hatch stuck",
    "casualty who walks",
    "casualty who is carried",
    "suit fails",
    "rover port fails",
    "rover breaks down",
    "particle event",
    "service cycle given up",
    "docking hatch",
    "dust door jams",
    "leak check fails",
    "store too low",
    "panel lost",
];

#[test]
fn every_access_file_says_what_is_tried_in_each_situation() {
    let mut files = Vec::new();
    toml_files(&runs().join("catalogue/access"), &mut files);
    assert!(files.len() >= 11, "all access files are there");
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let header = text.lines().take_while(|l| !l.starts_with('['));
        let header: Vec<&str> = header.filter_map(|l| l.strip_prefix('#')).collect();
        let words: Vec<&str> = header.iter().flat_map(|l| l.split_whitespace()).collect();
        let told = words.join(" ");
        for s in SITUATIONS {
            assert!(told.contains(s), "{}: nothing on `{s}`", file.display());
        }
        assert!(told.contains("what crews are taught"), "{}", file.display());
    }
}

#[test]
fn every_catalogue_file_is_included_and_says_what_it_is() {
    let mut all = Vec::new();
    toml_files(&runs().join("catalogue"), &mut all);
    assert!(all.len() >= 10);
    let texts: Vec<String> = campaigns().iter().map(|c| fs::read_to_string(c).unwrap()).collect();
    for path in all {
        let name = path.strip_prefix(runs()).unwrap().display().to_string();
        assert!(texts.iter().any(|t| t.contains(&name)), "{name} is included by no campaign");
        let first = fs::read_to_string(&path).unwrap();
        assert!(first.starts_with("# "), "{name} has no header");
    }
}

#[test]
fn every_run_has_a_readme_with_question_and_caution() {
    for file in campaigns() {
        let text =
            fs::read_to_string(file.with_file_name("README.md")).expect("a README beside it");
        let low = text.to_lowercase();
        for word in ["question", "limits", "caution", "run runs/"] {
            assert!(low.contains(word), "{}: README without `{word}`", file.display());
        }
    }
}

/// Larkspur is what the design asks for: five architectures and one that changes the port of the rover alone, 80 to 100 base and 30 to 50 rover sorties,
/// an element that is never played; all eleven effects.
#[test]
fn larkspur_is_not_thinned() {
    let reading = scenario::read(&runs().join("larkspur/campaign.toml"));
    let s = reading.scenario.unwrap();
    assert_eq!(s.architectures.len(), 6);
    assert!(s.elements.iter().any(|e| !e.it.played.it));
    let effects: BTreeSet<_> = s.failures.iter().map(|f| f.it.effect.it).collect();
    assert_eq!(effects.len(), 11, "{effects:?}");
    let model = model::compile(&check::check(s).0.unwrap());
    let rover = model.slots.iter().filter(|s| s.traverse != u16::MAX).count();
    let base = model.slots.len() - rover;
    assert!((80..=100).contains(&base) && (30..=50).contains(&rover), "{base} and {rover}");
}

/// The counts that stand in the headers of the demos are those of their files.
#[test]
fn the_counts_in_the_headers_are_true() {
    let join = |all: &[usize]| all.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    for name in ["larkspur", "ochre"] {
        let file = runs().join(name).join("campaign.toml");
        let text = fs::read_to_string(&file).unwrap();
        let header: Vec<&str> =
            text.lines().map_while(|l| l.strip_prefix('#')).map(str::trim).collect();
        let header = header.join(" ");
        let s = scenario::read(&file).scenario.unwrap();
        let (modes, events) = (s.failures.len(), s.environment.events.len());
        let m = model::compile(&check::check(s).0.unwrap());
        let rows = |a: &model::Arm| a.layout.lists.iter().map(|l| l.rows.len()).sum::<usize>();
        let drawn = |a: &model::Arm| {
            let all = a.lists.iter().flat_map(|l| &l.rows);
            all.filter(|r| r.takes.as_ref().is_some_and(|t| t.draws())).count()
        };
        let (rows, drawn): (Vec<usize>, Vec<usize>) =
            m.arms.iter().map(|a| (rows(a), drawn(a))).unzip();
        let kinds = if events == 1 { "kind" } else { "kinds" };
        for said in [
            format!("{} planned sorties", m.slots.len()),
            format!("{modes} failure modes, {events} {kinds} of event"),
            format!("{}; of these {} take a time drawn", join(&rows), join(&drawn)),
        ] {
            assert!(header.contains(&said), "{name}: the header does not say `{said}`");
        }
    }
}
