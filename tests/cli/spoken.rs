//! What programs read: `--json`, counts with an exponent, exit codes in the help; and the order in
//! which `check` says things.

use super::*;
use serde_json::Value;

fn json(o: &Output) -> Value {
    serde_json::from_str(&out(o)).unwrap_or_else(|e| panic!("{e} in\n{}", out(o)))
}

#[test]
fn a_run_as_json_has_the_tables_of_the_files() {
    let s = Starter::new();
    let answer = json(&s.play("results", &["--campaigns", "4e1", "--json"]));
    assert_eq!((&answer["campaigns"], &answer["seed"]), (&40.into(), &"1".into()));
    let file = rows(&s.path("results/summary.csv"));
    let told = answer["summary"].as_array().unwrap();
    assert_eq!(told.len(), file.len());
    for (row, line) in told.iter().zip(&file) {
        assert_eq!(row["measure"], line["measure"].as_str());
        // Readers of JSON need not round to the last digit.
        let (told, kept) = (row["mean"].as_f64(), line["mean"].parse::<f64>().ok());
        let same = told.zip(kept).is_none_or(|(a, b)| (a - b).abs() <= 1e-12 * b.abs());
        assert!(told.is_some() == kept.is_some() && same, "{}: {told:?} {kept:?}", line["measure"]);
    }
    let limits = rows(&s.path("results/requirements.csv")).len();
    assert_eq!(answer["requirements"].as_array().unwrap().len(), limits);
}

#[test]
fn counts_are_read_with_an_exponent() {
    let s = Starter::new();
    for (n, ok) in [("1e2", true), ("1_00", true), ("1e2.5", false), ("0", false), ("1e-1", false)]
    {
        let o = s.play("results", &["--campaigns", n, "-q"]);
        assert_eq!(code(&o), if ok { 0 } else { 2 }, "{n}: {}", err(&o));
    }
    let text = fs::read_to_string(s.path("results/manifest.json")).unwrap();
    assert!(text.contains("\"campaigns\": 100"), "{text}");
}

#[test]
fn a_check_as_json_has_verdict_findings_and_answers() {
    let s = Starter::new();
    let good = s.run(&["check", "base/campaign.toml", "--json"]);
    let told = json(&good);
    assert_eq!((code(&good), &told["verdict"]), (0, &"can be played".into()));
    assert!(!told["answers"].as_array().unwrap().is_empty());
    s.patch("haven_people = 3", "haven_peeple = 3");
    let bad = s.run(&["check", "base/campaign.toml", "--json"]);
    let told = json(&bad);
    assert_eq!((code(&bad), &told["verdict"]), (1, &"has errors".into()));
    let errors = told["errors"].as_u64().unwrap() as usize;
    let findings = told["findings"].as_array().unwrap();
    assert_eq!(findings.iter().filter(|f| f["severity"] == "error").count(), errors);
    assert!(findings.iter().any(|f| f["value"] == "3" && f["rule"] == "unknown-key"), "{told:#}");
}

#[test]
fn every_list_is_json_too() {
    let home = tempfile::tempdir().unwrap();
    for what in ["measures", "words", "laws", "actions", "conditions", "effects", "rules", "keys"] {
        let o = vestibule(home.path(), &["list", what, "--json"]);
        let list = json(&o);
        let list = list.as_array().unwrap();
        assert!(list.len() > 5, "{what}");
        for entry in list {
            let object = entry.as_object().unwrap();
            assert!(object.values().all(|v| !v.is_null()), "{what}: {entry}");
        }
    }
    let model = json(&vestibule(home.path(), &["list", "model", "--json"]));
    assert_eq!(model["text"], vestibule::RULES);
}

#[test]
fn a_story_as_json_has_people_clocks_and_state() {
    let s = Starter::new();
    let replay = ["replay", "base/campaign.toml", "--architecture", "lock", "--campaign", "3"];
    let one = json(&s.run(&[&replay[..], &["--sortie", "2", "--json"]].concat()));
    let lines = one["lines"].as_array().unwrap();
    let depress = |l: &&Value| l["row"]["label"].as_str().is_some_and(|x| x.starts_with("depress"));
    let line = lines.iter().find(depress).expect("a depress row");
    let who = line["who"].as_array().unwrap();
    assert_eq!(who.len(), 2, "{line:#}");
    for name in who {
        let left = line["remaining_min"][name.as_str().unwrap()].as_f64();
        assert!(left.is_some_and(|m| m > 60.0), "{line:#}");
    }
    assert_eq!(line["row"]["suits"].as_object().unwrap().len(), 2);
    assert_eq!(one["measures"].as_object().unwrap().len(), MEASURES.len());
}

#[test]
fn exit_codes_stand_in_the_help() {
    let home = tempfile::tempdir().unwrap();
    for command in
        [&["--help"][..], &["run", "--help"], &["check", "--help"], &["replay", "--help"]]
    {
        let help = out(&vestibule(home.path(), command));
        for line in ["   0  done", "   3  with --gate", "  75  stopped"] {
            assert!(help.contains(line), "{command:?}: {line}\n{help}");
        }
    }
}

/// A misspelt access file is one error where it is named: what is missing only because of it is none.
#[test]
fn a_misspelt_access_file_is_one_error() {
    let s = Starter::new();
    s.patch("access = \"single-lock\"", "access = \"singel-lock\"");
    let o = s.run(&["check", "base/campaign.toml"]);
    assert_eq!(code(&o), 1);
    let told = err(&o);
    // Once for each of the two architectures of the starter that name it.
    assert!(told.lines().next().unwrap().contains("cannot be played: 2 errors, "), "{told}");
    assert!(told.contains("singel-lock") && !told.contains("suit-place"), "{told}");
    // What is wrong besides is still said.
    s.patch("team = 2", "team = 8");
    let more = err(&s.run(&["check", "base/campaign.toml"]));
    assert!(more.lines().next().unwrap().contains(": 3 errors, "), "{more}");
}

/// Verdict, findings, answers; what holds for all architectures of larkspur is said once.
#[test]
fn the_check_says_the_verdict_first_and_everything_once() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let o = vestibule(here, &["check", "runs/larkspur/campaign.toml"]);
    let text = out(&o);
    let first = text.lines().next().unwrap();
    assert!(first.starts_with("runs/larkspur/campaign.toml can be played: 6 archit"), "{text}");
    let all = text.matches("all architectures: places for a crew of 5").count();
    assert_eq!(all, 1, "{text}");
    let lines = text.lines().count() + err(&o).lines().count();
    assert!(lines <= 42, "{lines} lines\n{text}{}", err(&o));
    assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
    // Asked for everything it leaves nothing out: every finding and answer of the table of findings.
    let whole = vestibule(here, &["check", "runs/larkspur/campaign.toml", "-v"]);
    let json = out(&vestibule(here, &["check", "runs/larkspur/campaign.toml", "--json"]));
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let flat = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = flat(&(out(&whole) + &err(&whole)));
    for found in ["findings", "answers"].iter().flat_map(|k| json[k].as_array().unwrap()) {
        // Names that are told together stand before the rest.
        let what = found["what"].as_str().unwrap();
        let rest = what.rsplit('`').next().unwrap();
        assert!(told.contains(&flat(rest)), "{what}\n{told}");
    }
    assert!(out(&whole).lines().count() > 60 && !out(&whole).contains("more statements"));
}
