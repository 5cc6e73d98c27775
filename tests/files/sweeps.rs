//! Sweep files: what is refused and where, that values are set where the key paths lead, and that the
//! sweeps in `runs/` hold together.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use vestibule::scenario::{Finding, SWEEP_RULES, Sources, SweepReading, read_sweep};
use vestibule::study::sweep::Sweep;

/// The fact that the tests look at.
const LOST: usize = vestibule::measure::Fact::GasLost as usize;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A sweep file beside a copy of the starter campaign.
struct Home {
    folder: tempfile::TempDir,
}

impl Home {
    fn new(text: &str) -> Home {
        let folder = tempfile::tempdir().unwrap();
        let starter = root().join("src/cli/starter");
        fs::create_dir(folder.path().join("access")).unwrap();
        for name in ["campaign.toml", "access/single-lock.toml"] {
            fs::copy(starter.join(name), folder.path().join(name)).unwrap();
        }
        fs::write(folder.path().join("sweep.toml"), text).unwrap();
        Home { folder }
    }

    fn read(&self) -> SweepReading {
        read_sweep(&self.folder.path().join("sweep.toml"))
    }

    /// Laid out; it must be sound.
    fn sweep(&self) -> Sweep {
        let reading = self.read();
        let text = shown(&reading.findings, &reading.sources);
        let (spec, base) = reading.sweep.unwrap_or_else(|| panic!("{text}"));
        Sweep::new(spec, base, reading.sources).unwrap()
    }
}

fn shown(findings: &[Finding], sources: &Sources) -> String {
    let show = |f: &Finding| f.show(sources).to_string();
    findings.iter().map(show).collect::<Vec<_>>().join("\n")
}

fn text(design: &str, factors: &str) -> String {
    format!(
        "[sweep]\nbase = \"campaign.toml\"\n{design}\nseed = 3\ncampaigns = 64\n\
         measures = [\"gas_lost_kg\"]\n{factors}"
    )
}

#[test]
fn every_rule_of_sweeps_has_a_fixture_that_breaks_it_and_no_other() {
    let mut faults = Vec::new();
    for rule in SWEEP_RULES {
        let path = root().join(format!("tests/rejects/sweep/{}.toml", rule.id));
        let Ok(text) = fs::read_to_string(&path) else {
            faults.push(format!("{}: no fixture", rule.id));
            continue;
        };
        let reading = Home::new(&text).read();
        let (mut findings, sources) = (reading.findings, reading.sources.clone());
        if let Some((spec, base)) = reading.sweep {
            findings.extend(Sweep::new(spec, base, reading.sources).err().map(|f| *f));
        }
        let broken: BTreeSet<_> = findings.iter().map(|f| f.rule).collect();
        let placed = findings
            .iter()
            .all(|f| sources.place(f.at).line > 0 && sources.file(f.at).ends_with("sweep.toml"));
        if broken != BTreeSet::from([rule.id]) || !placed {
            faults.push(format!("== {}\n{}", rule.id, shown(&findings, &sources)));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn all_faults_of_a_sweep_file_are_told_at_once() {
    let home = Home::new(&text(
        "design = \"gird\"\nroows = 3",
        "[factor.point]\nkey = \"a..b\"\nvalues = []\n[factor.leak]\nkey = \"suit.soft.leak\"\n",
    ));
    let reading = home.read();
    let rules: BTreeSet<_> = reading.findings.iter().map(|f| f.rule).collect();
    let wanted =
        ["unknown-word", "unknown-key", "reserved-name", "sweep-key", "empty-list", "one-of"];
    assert_eq!(rules, BTreeSet::from(wanted), "{}", shown(&reading.findings, &reading.sources));
    assert!(reading.sweep.is_none());
}

#[test]
fn a_base_that_is_not_there_is_told_at_its_line() {
    let home = Home::new(
        &text(
            "design = \"grid\"",
            "[factor.leak]\nkey = \"suit.soft.leak\"\nvalues = [\"1 g/h\"]\n",
        )
        .replace("campaign.toml", "elsewhere.toml"),
    );
    let reading = home.read();
    let found = &reading.findings[0];
    assert_eq!((found.rule, reading.sources.place(found.at).line), ("file-unreadable", 2));
}

/// A number of a port, a whole access system with what goes with it, a part of an access file, an item
/// of a list, a copy of an architecture: each lands where its path leads.
#[test]
fn values_stand_where_the_key_paths_lead() {
    let home = Home::new(&text(
        "design = \"one at a time\"",
        "[factor.port]\nkey = \"architecture.lock.port.main.pump.main.recovery\"\n\
         values = [0.25]\n\
         [factor.access]\nkey = \"access.single-lock.volume.lock.free\"\nvalues = [\"9 m3\"]\n\
         [factor.crew]\nkey = \"crew.names[1]\"\nvalues = [\"Yarrow\"]\n\
         [factor.another]\nchoice.copied = { \"architecture.second\" = { copy = \
         \"architecture.lock\" } }\n",
    ));
    let sweep = home.sweep();
    assert_eq!(sweep.points.len(), 5);
    let refused = sweep.check().unwrap_err();
    let other: Vec<_> = refused.iter().map(|r| (r.point, r.findings[0].rule)).collect();
    assert_eq!(other, [(4, "sweep-architectures")]);
    let models: Vec<_> = (0..5).map(|p| sweep.model(p)).collect();
    assert_eq!(models[3].crew.names[1], "Yarrow");
    assert_eq!(models[4].arms.len(), models[0].arms.len() + 1);
    let gas = |p: usize| {
        vestibule::campaign::Player::new(&models[p]).play(0).next().unwrap().facts.value[LOST]
    };
    let (base, port, access) = (gas(0), gas(1), gas(2));
    assert!(port > base, "a pump that recovers less loses more: {port} {base}");
    assert!(access > base, "a larger lock loses more: {access} {base}");
    // The names of people change nothing but names.
    assert_eq!(gas(3), gas(0));
}

/// A value that the check refuses is told with its key path in the campaign, where it was written: in the
/// sweep file.
#[test]
fn findings_at_a_point_keep_their_places() {
    let home = Home::new(&text(
        "design = \"grid\"",
        "[factor.oxygen]\nkey = \"element.habitat.oxygen\"\nvalues = [0.265, 1.5]\n",
    ));
    let sweep = home.sweep();
    let refused = sweep.check().unwrap_err();
    assert_eq!(refused.iter().map(|r| r.point).collect::<Vec<_>>(), [1]);
    let (f, sources) = (&refused[0].findings[0], &refused[0].sources);
    let place = sources.place(f.at);
    assert_eq!((f.rule, place.path.as_str()), ("out-of-range", "element.habitat.oxygen"));
    assert_eq!((place.line, place.value.as_str()), (9, "1.5"));
    assert!(sources.file(f.at).ends_with("sweep.toml"));
}

#[test]
fn laws_and_ranges_are_spread_in_their_unit() {
    let home = Home::new(&text(
        "design = \"grid\"",
        "[factor.dust]\nkey = \"activity.walks.dust\"\nown = true\nlevels = 3\n\
         [factor.leak]\nkey = \"suit.soft.leak\"\nlevels = 3\n\
         range = { low = \"1 g/h\", high = \"100 g/h\", scale = \"log\" }\n\
         [factor.people]\nkey = \"element.habitat.haven_people\"\nwhole = true\n\
         range = { low = 3, high = 4 }\n",
    ));
    let sweep = home.sweep();
    assert_eq!(sweep.points.len(), 18);
    let of = |j: usize| -> BTreeSet<String> {
        sweep.points.iter().map(|p| p.names[j].clone()).collect()
    };
    // Log-triangular from 10 to 50 to 250 g: symmetric in the logarithm, so 50 g is its median; the levels
    // are its quantiles of 5, 50 and 95 %: ln 5 (1 - sqrt(0.1)) away in the logarithm.
    let dust: Vec<f64> = sweep.points.iter().map(|p| p.point.value[0].unwrap()).collect();
    let far = (5f64.ln() * (1.0 - 0.1f64.sqrt())).exp();
    for (at, expected) in [(0, 50.0 / far), (6, 50.0), (12, 50.0 * far)] {
        assert!((dust[at] / expected - 1.0).abs() < 1e-12, "{} {expected}", dust[at]);
    }
    let leak: Vec<f64> = (0..3).map(|i| sweep.points[2 * i].point.value[1].unwrap()).collect();
    for (x, expected) in leak.iter().zip([1.0, 10.0, 100.0]) {
        assert!((x / expected - 1.0).abs() < 1e-12, "{x}");
    }
    assert_eq!(of(2), BTreeSet::from(["3".to_string(), "4".to_string()]));
    assert!(sweep.check().is_ok());
}

#[test]
fn seeds_are_one_or_one_for_each_point() {
    let factors = "[factor.leak]\nkey = \"suit.soft.leak\"\nvalues = [\"1 g/h\", \"2 g/h\"]\n";
    let seeds = |luck: &str| -> BTreeSet<u64> {
        let design = format!("design = \"grid\"\nluck = \"{luck}\"");
        Home::new(&text(&design, factors)).sweep().points.iter().map(|p| p.seed).collect()
    };
    assert_eq!(seeds("common"), BTreeSet::from([3]));
    assert_eq!(seeds("own").len(), 2);
}

/// The sweeps that are shipped hold together at every point that a quick look takes.
#[test]
fn every_shipped_sweep_passes_the_check() {
    let mut seen = 0;
    for entry in fs::read_dir(root().join("runs")).unwrap() {
        let folder = entry.unwrap().path();
        for file in fs::read_dir(&folder).into_iter().flatten() {
            let file = file.unwrap().path();
            let toml = file.extension().is_some_and(|x| x == "toml");
            if !toml || !fs::read_to_string(&file).unwrap().contains("\n[sweep]\n") {
                continue;
            }
            let reading = read_sweep(&file);
            let text = shown(&reading.findings, &reading.sources);
            let (spec, base) =
                reading.sweep.unwrap_or_else(|| panic!("{}: {text}", file.display()));
            let sweep = Sweep::new(spec, base, reading.sources).unwrap();
            let few = (0..sweep.points.len()).step_by(1 + sweep.points.len() / 12);
            for point in few {
                assert!(!sweep.model(point).arms.is_empty(), "{} {point}", file.display());
            }
            seen += 1;
        }
    }
    assert!(seen >= 2, "the sweeps of the demos");
}
