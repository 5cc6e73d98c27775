//! Reading of campaign files: what is refused, where, and that nothing makes the reader panic.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use vestibule::scenario::{AppliedBy, READER_RULES, Reading, read};

fn tests() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests")
}

/// A folder with these files, the first one the campaign.
struct Campaign {
    folder: tempfile::TempDir,
    name: String,
}

impl Campaign {
    fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        let name = files[0].0.to_string();
        Campaign { folder, name }
    }

    fn read(&self) -> Reading {
        read(&self.folder.path().join(&self.name))
    }
}

/// The valid campaign of the fixtures, as one text, and its access file.
fn base() -> (String, String) {
    let text = |name: &str| fs::read_to_string(tests().join("rejects/parts").join(name)).unwrap();
    (text("base.toml"), text("lock.toml"))
}

/// The valid campaign with its access file and more text, in a folder of its own.
fn base_and(more: &str) -> Campaign {
    let (base, lock) = base();
    let text = format!("include = [\"lock.toml\"]\n{base}{more}");
    Campaign::new(&[("c.toml", &text), ("lock.toml", &lock)])
}

fn rules_of(reading: &Reading) -> Vec<&'static str> {
    reading.findings.iter().map(|f| f.rule).collect()
}

fn shown(reading: &Reading) -> String {
    let show = |f: &vestibule::scenario::Finding| f.show(&reading.sources).to_string();
    reading.findings.iter().map(show).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_base_of_the_fixtures_reads_without_a_finding() {
    let reading = base_and("").read();
    assert!(reading.findings.is_empty(), "{}", shown(&reading));
    assert!(reading.scenario.is_some());
}

#[test]
fn every_rule_of_the_reader_has_a_fixture_that_breaks_it_and_no_other() {
    for rule in READER_RULES {
        assert_eq!(rule.by, AppliedBy::Reader);
        let path = tests().join(format!("rejects/{}.toml", rule.id));
        assert!(path.is_file(), "no fixture {}", path.display());
        let reading = read(&path);
        let broken: BTreeSet<_> = rules_of(&reading).into_iter().collect();
        assert_eq!(broken, BTreeSet::from([rule.id]), "{}", shown(&reading));
        let error = reading.findings.iter().any(|f| f.is_error());
        assert_eq!(reading.scenario.is_none(), error, "{}", rule.id);
    }
}

#[test]
fn all_faults_of_a_file_are_told_at_once_with_their_places() {
    let campaign = base_and(
        "\n[store.gas]\n\
         oxygen = 100\n\
         nitrogen = \"100 kgs\"\n\
         watre = \"5 kg\"\n\
         resupply = [\n  { at = \"9 d\", on_time = { low = 0.5, hihg = 1 } },\n  { at = \"-9 d\" },\n]\n\
         [failure.x]\non = \"pump\"\nwhen = \"on start\"\nlaw = 1e-4\neffect = \"pump lots\"\n",
    );
    let reading = campaign.read();
    let first = fs::read_to_string(campaign.folder.path().join("c.toml")).unwrap();
    let start = first.lines().position(|l| l == "[store.gas]").unwrap() as u32 + 1;
    let found: Vec<_> = reading
        .findings
        .iter()
        .map(|f| {
            let place = reading.sources.place(f.at);
            (f.rule, place.line - start, place.column, place.path.as_str())
        })
        .collect();
    let expected = [
        ("bare-number", 1, 10, "store.gas.oxygen"),
        ("bad-quantity", 2, 12, "store.gas.nitrogen"),
        ("unknown-key", 3, 1, "store.gas.watre"),
        ("law-keys", 5, 27, "store.gas.resupply[0].on_time"),
        ("out-of-range", 6, 10, "store.gas.resupply[1].at"),
        ("unknown-word", 12, 10, "failure.x.effect"),
    ];
    assert_eq!(found, expected, "{}", shown(&reading));
}

/// A slip of writing is told with what was meant; the words of the trade with ours.
#[test]
fn what_was_meant_is_named() {
    let remedy = |more: &str| {
        let reading = base_and(more).read();
        assert_eq!(reading.findings.len(), 1, "{}", shown(&reading));
        reading.findings[0].remedy.clone()
    };
    let law = |text: &str| remedy(&format!("[law]\nslow = {text}\n"));
    assert_eq!(law("\"4,25 min\""), "write \"4.25 min\"");
    assert_eq!(law("\"5min\""), "write \"5 min\"");
    let share = "[failure.x]\non = \"pump\"\nwhen = \"on start\"\neffect = \"pump lost\"\n";
    let percent = remedy(&format!("{share}law = \"2.5 %\"\n"));
    assert_eq!(percent, "write 0.025, without quotes and without a unit");
    let effect = "[failure.x]\non = \"pump\"\nwhen = \"on start\"\nlaw = 1e-4\n";
    let jammed = remedy(&format!("{effect}effect = \"jammed\"\n"));
    assert!(jammed.starts_with("did you mean \"stuck shut\"?"), "{jammed}");
    let closed = remedy(&format!("{effect}effect = \"stuck closed\"\n"));
    assert!(closed.starts_with("did you mean \"stuck shut\"?"), "{closed}");
    let share = remedy(&format!("{effect}effect = \"stuck shut\"\n").replace("1e-4", "2.5"));
    assert!(share.starts_with("a share is meant, not per cent: write 0.025"), "{share}");
}

/// No text of a file turns a terminal over, also where a message repeats it.
#[test]
fn what_cannot_be_seen_is_written_as_its_number() {
    let reading = base_and("[spare.seal]\ncount = 3\n\"a\\u001b[31m\\u202e\" = 1\n").read();
    let text = shown(&reading);
    assert!(text.contains("`a\\u{1b}[31m\\u{202e}` is not a key"), "{text}");
    assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text}");
}

#[test]
fn remedies_name_the_nearest_thing_that_would_be_right() {
    let remedy = |more: &str| {
        let reading = base_and(more).read();
        assert_eq!(reading.findings.len(), 1, "{}", shown(&reading));
        reading.findings[0].remedy.clone()
    };
    let law = remedy("[law]\nslow = { low = \"1 min\", mode = \"2 min\", hihg = \"3 min\" }\n");
    assert!(law.starts_with("nearest is { low, mode, high };"), "{law}");
    let mixed = remedy("[law]\nslow = { median = \"1 min\", sd = \"2 min\" }\n");
    assert!(mixed.contains("{ mean, sd }") && mixed.contains("{ median, error_factor }"));
    let key = remedy("[spare.seal]\ncuont = 2\ncount = 3\n");
    assert!(
        key.starts_with("did you mean `count`? known keys: count, mass, envelope, source, basis"),
        "{key}"
    );
    let number = remedy("[law]\nslow = 4.25\n");
    assert!(number.starts_with("write \"4.25 min\", or another unit of: "), "{number}");
    let section = remedy("[arhcitecture.x]\n");
    assert!(section.starts_with("did you mean `architecture`?"), "{section}");
}

#[test]
fn a_missing_section_is_told_once() {
    let (base, lock) = base();
    let start = base.find("[crew]").unwrap();
    let end = base.find("[suit.soft]").unwrap();
    let text = format!("include = [\"lock.toml\"]\n{}{}", &base[..start], &base[end..]);
    let reading = Campaign::new(&[("c.toml", &text), ("lock.toml", &lock)]).read();
    assert_eq!(rules_of(&reading), ["missing-key"]);
    assert_eq!(reading.findings[0].what, "there is no section [crew]");
}

#[test]
fn a_fault_in_an_element_is_told_once_however_many_architectures_have_it() {
    let (base, lock) = base();
    let broken = base.replace("band = \"0.34 kPa\"", "band = 0.34");
    let text = format!(
        "include = [\"lock.toml\"]\n{broken}\n[architecture.second]\n\
         port.main = {{ element = \"hut\", access = \"lock\" }}\n\
         suits = [{{ suit = \"soft\", count = 2, at = \"hut.cabin\" }}]\n\
         element.hut.pressure = 1\n"
    );
    let reading = Campaign::new(&[("c.toml", &text), ("lock.toml", &lock)]).read();
    assert_eq!(rules_of(&reading), ["bare-number", "bare-number"]);
    let shows_in: Vec<_> = reading.findings.iter().map(|f| f.architecture.as_deref()).collect();
    assert_eq!(shows_in, [None, Some("second")]);
}

#[test]
fn failure_laws_must_fit_their_trigger() {
    let rules = |when: &str, law: &str| {
        let more = format!(
            "[failure.x]\non = \"pump\"\nwhen = \"{when}\"\nlaw = {law}\neffect = \"pump lost\"\n"
        );
        rules_of(&base_and(&more).read())
    };
    for (when, law) in [
        ("on opening", "0.001"),
        ("on opening", "{ probability = 0.001 }"),
        ("per sortie", "{ failures = 14, demands = 239 }"),
        ("on mating", "{ life = 4000, shape = 2 }"),
        ("per hour outside", "{ events = 0, exposure = \"3107 h\" }"),
        ("per calendar hour", "{ rate = \"1e-4 /h\" }"),
        ("while running", "{ life = \"4000 h\", shape = 2 }"),
        ("per km driven", "{ median = \"1e-4 /km\", error_factor = 5 }"),
    ] {
        assert!(rules(when, law).is_empty(), "{when}: {law}");
    }
    for (when, law) in [
        ("on opening", "\"1e-4 /h\""),
        ("on opening", "{ life = \"4000 h\", shape = 2 }"),
        ("while running", "0.001"),
        ("while running", "{ life = 4000, shape = 2 }"),
        ("per km driven", "{ events = 0, exposure = \"3107 h\" }"),
        ("per sortie", "{ rate = \"1e-4 /h\" }"),
    ] {
        assert_eq!(rules(when, law), ["failure-law"], "{when}: {law}");
    }
    // Wrong whatever the exposure: the law itself is to blame.
    assert_eq!(rules("on opening", "1.5"), ["out-of-range"]);
    assert_eq!(rules("on opening", "{ prob = 0.1 }"), ["law-keys"]);
}

#[test]
fn ranges_hold_for_everything_that_a_law_can_give() {
    let rules = |key: &str, value: &str| {
        let more = format!(
            "[failure.x]\non = \"pump\"\nwhen = \"on start\"\nlaw = 0.1\neffect = \"slower\"\n\
             {key} = {value}\n"
        );
        rules_of(&base_and(&more).read())
    };
    assert!(rules("factor", "{ median = 2, error_factor = 3 }").is_empty());
    assert!(rules("factor", "{ mean = 2, sd = 0 }").is_empty());
    // A normal law is cut at zero, and a factor of zero would make rows instantaneous.
    assert_eq!(rules("factor", "{ mean = 2, sd = 1 }"), ["out-of-range"]);
    assert_eq!(rules("factor", "0"), ["out-of-range"]);
    assert!(rules("dusty", "0").is_empty());
    assert_eq!(rules("dusty", "{ low = -1, high = 1 }"), ["out-of-range"]);
    assert_eq!(rules("factor", "inf"), ["out-of-range"]);
    assert_eq!(rules("factor", "nan"), ["out-of-range"]);
}

#[test]
fn includes_stay_in_the_campaign_and_the_catalogue() {
    let (base, lock) = base();
    let with = |include: &str| {
        let text = format!("include = [\"{include}\"]\n{base}");
        let campaign = Campaign::new(&[
            ("runs/mine/c.toml", &text),
            ("runs/catalogue/access/lock.toml", &lock),
            ("runs/mine/own/lock.toml", &lock),
            ("secret.toml", &lock),
        ]);
        #[cfg(unix)]
        {
            let link = campaign.folder.path().join("runs/mine/link.toml");
            let target = campaign.folder.path().join("secret.toml");
            std::os::unix::fs::symlink(target, link).unwrap();
        }
        rules_of(&campaign.read())
    };
    assert!(with("catalogue/access/lock.toml").is_empty());
    assert!(with("own/lock.toml").is_empty());
    assert!(with("./own/lock.toml").is_empty());
    for outside in [
        "../../secret.toml",
        "/etc/hostname",
        "catalogue/../../secret.toml",
        #[cfg(unix)]
        "link.toml",
    ] {
        assert_eq!(with(outside), ["include-outside"], "{outside}");
    }
    for absent in ["own/none.toml", "catalogue/none.toml", "own"] {
        assert_eq!(with(absent), ["file-unreadable"], "{absent}");
    }
}

#[test]
fn a_file_that_two_files_include_is_read_once_and_a_ring_is_refused() {
    let (base, lock) = base();
    let files = |ring: &str| {
        let text = format!("include = [\"a.toml\", \"b.toml\"]\n{base}");
        let b = format!("include = [\"lock.toml\", \"{ring}\"]\n");
        Campaign::new(&[
            ("c.toml", &text),
            ("a.toml", "include = [\"lock.toml\", \"b.toml\"]\n"),
            ("b.toml", &b),
            ("lock.toml", &lock),
        ])
        .read()
    };
    let reading = files("lock.toml");
    assert!(reading.findings.is_empty(), "{}", shown(&reading));
    assert_eq!(reading.scenario.unwrap().access.len(), 1);
    assert_eq!(rules_of(&files("a.toml")), ["include-cycle"]);
}

#[test]
fn the_same_name_in_two_files_is_refused_with_both_places() {
    let (base, lock) = base();
    let text = format!("include = [\"more.toml\", \"lock.toml\", \"x/lock.toml\"]\n{base}");
    let more = "[suit.soft]\npressure = \"30 kPa\"\n";
    let files =
        [("c.toml", &*text), ("more.toml", more), ("lock.toml", &lock), ("x/lock.toml", &lock)];
    let reading = Campaign::new(&files).read();
    assert_eq!(rules_of(&reading), ["duplicate-name", "duplicate-name"]);
    assert!(reading.findings[0].what.starts_with("`soft` is already written in "));
    assert_eq!(reading.sources.file(reading.findings[0].at), "more.toml");
    assert_eq!(reading.sources.file(reading.findings[1].at), "x/lock.toml");
}

#[test]
fn a_campaign_that_is_not_there_or_not_text_is_a_finding() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("c.toml");
    assert_eq!(rules_of(&read(&path)), ["file-unreadable"]);
    fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    assert_eq!(rules_of(&read(&path)), ["file-unreadable"]);
}

#[test]
fn syntax_errors_of_all_files_are_told_together() {
    let (base, _) = base();
    let text = format!("include = [\"lock.toml\", \"more.toml\"]\n{base}");
    let lock = "[volume]\nx = \ny = 1\ny = 2\n";
    let files = [("c.toml", &*text), ("lock.toml", lock), ("more.toml", "[a\n")];
    let reading = Campaign::new(&files).read();
    let found: Vec<_> = reading
        .findings
        .iter()
        .map(|f| (f.rule, reading.sources.file(f.at), reading.sources.place(f.at).line))
        .collect();
    let rule = "toml-syntax";
    let expected = [(rule, "lock.toml", 2), (rule, "lock.toml", 4), (rule, "more.toml", 1)];
    assert_eq!(found, expected, "{}", shown(&reading));
}

#[test]
fn what_only_later_versions_of_toml_have_is_refused() {
    let rules = |value: &str| {
        let reading = base_and(&format!("[law]\nslow = {value}\n")).read();
        rules_of(&reading)
    };
    // Lines may break inside a list or a long text, not between the keys of an inline table.
    assert!(rules("{ low = \"1 min\", high = \"2 min\" }").is_empty());
    assert_eq!(rules("{ low = \"1 min\",\n high = \"2 min\" }"), ["toml-syntax"]);
    assert_eq!(rules("{ low = \"1 min\", high = \"2 min\", }"), ["toml-syntax"]);
    assert_eq!(rules("{ low = \"1 min\", high = \"2 min\" # so\n}"), ["toml-syntax"]);
    assert_eq!(rules("\"1\\x20min\""), ["toml-syntax"]);
    assert!(rules("\"1\\u0020min\"").is_empty());
    let reading =
        base_and("[limit]\na = { b = [1,\n2], c = '''\n\\e''', d.e = \"\\\\e}\" }\n").read();
    // It reads as TOML; what is wrong is that no limit looks so.
    let expected = ["missing-key", "one-of", "unknown-key", "unknown-key", "unknown-key"];
    assert_eq!(rules_of(&reading), expected, "{}", shown(&reading));
}

/// Pieces of text that are likely to hurt when they land in the wrong place.
const SPLINTERS: &[&str] = &[
    "",
    "\"",
    "'''",
    "{",
    "}",
    "[",
    "]",
    "[[",
    "=",
    ".",
    ",",
    "\n",
    "\0",
    "\u{feff}",
    "é",
    "-1",
    "1e400",
    "nan",
    "99999999999999999999",
    "true",
    "1979-05-27",
    "low",
    "{ rate = 1 }",
    "\\",
    "#",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() })]

    #[test]
    fn no_damage_to_a_valid_campaign_makes_the_reader_panic(
        which in 0..3_usize,
        cuts in prop::collection::vec((0.0..1.0_f64, 0..30_usize, 0..SPLINTERS.len()), 1..4),
    ) {
        let folder = tests().join("reading");
        let names = ["campaign.toml", "parts/gear.toml", "catalogue/access/lock.toml"];
        let mut texts = names.map(|name| fs::read_to_string(folder.join(name)).unwrap());
        for (at, length, splinter) in cuts {
            let text = &mut texts[which];
            let start = text.floor_char_boundary((at * text.len() as f64) as usize);
            let end = text.floor_char_boundary((start + length).min(text.len()));
            text.replace_range(start..end, SPLINTERS[splinter]);
        }
        let files: Vec<_> = names.iter().zip(&texts).map(|(n, t)| (*n, t.as_str())).collect();
        let reading = Campaign::new(&files).read();
        let errors = reading.findings.iter().any(|f| f.is_error());
        prop_assert_eq!(reading.scenario.is_none(), errors);
        for finding in &reading.findings {
            prop_assert!(!finding.show(&reading.sources).to_string().is_empty());
            prop_assert!(!finding.what.is_empty() && !finding.remedy.is_empty());
        }
    }
}
