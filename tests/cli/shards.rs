//! Shards of a run and their merge: the bytes of a single run, whatever the layout, and no answer from
//! anything less than all of it.

use super::*;

/// Plays every shard of `n` of the starter into a folder, with so many threads.
fn cut(s: &Starter, folder: &str, n: u64, more: &[&str]) {
    for k in 0..n {
        let shard = format!("{k}/{n}");
        let o = s.play(folder, &[&["--shard", &shard], more].concat());
        assert_eq!(code(&o), 0, "{shard}: {}", err(&o));
    }
}

fn merge(s: &Starter, out: &str, shards: &[&str]) -> Output {
    s.run(&[&["merge", "--out", out], shards].concat())
}

/// The folder of one run without drivers, which shards leave out.
fn single(s: &Starter, more: &[&str]) -> BTreeMap<String, Vec<u8>> {
    let o = s.play("single", &[&["--drivers", "0"], more].concat());
    assert_eq!(code(&o), 0, "{}", err(&o));
    contents(&s.path("single"))
}

/// The same bytes from 1, 3, 8 and 64 shards (of 16 units) on 1, 2 and 8 threads.
#[test]
fn any_layout_gives_the_bytes_of_a_single_run() {
    let s = Starter::new();
    let options = ["--campaigns", "1000", "--seed", "7"];
    let whole = single(&s, &options);
    assert_eq!(whole.len(), FILES.len() - 2);
    for n in [1, 3, 8, 64] {
        for threads in ["1", "2", "8"] {
            let folder = format!("shards-{n}-{threads}");
            cut(&s, &folder, n, &[&options[..], &["--threads", threads]].concat());
            let merged = format!("merged-{n}-{threads}");
            let o = merge(&s, &merged, &[&folder]);
            assert_eq!(code(&o), 0, "{}", err(&o));
            let merged = contents(&s.path(&merged));
            let differ: Vec<_> = whole.keys().filter(|k| whole.get(*k) != merged.get(*k)).collect();
            assert!(differ.is_empty() && whole.len() == merged.len(), "{n} {threads}: {differ:?}");
        }
        let [a, b] = ["1", "8"].map(|t| contents_of_shards(&s.path(&format!("shards-{n}-{t}"))));
        assert_eq!(a, b, "{n} shards");
    }
}

fn contents_of_shards(folder: &Path) -> Vec<(String, Vec<u8>)> {
    names(folder).into_iter().map(|n| (n.clone(), fs::read(folder.join(n)).unwrap())).collect()
}

/// With an outer loop shards cut at whole parameter sets: 70 of 20 campaigns, so that blocks of sets are
/// cut, and 6 of 70 campaigns, so that sets have two blocks.
#[test]
fn parameter_sets_survive_any_layout() {
    for (outer, inner) in [(70, 20), (6, 70)] {
        let s = Starter::new();
        looped(&s);
        s.patch("outer = 10\ninner = 8", &format!("outer = {outer}\ninner = {inner}"));
        let whole = single(&s, &[]);
        assert!(whole.contains_key("risk-curve.csv"));
        for n in [1, 3, 8, 64] {
            let folder = format!("shards-{n}");
            cut(&s, &folder, n, &[]);
            let o = merge(&s, "merged", &[&folder]);
            assert_eq!(code(&o), 0, "{}", err(&o));
            let merged = contents(&s.path("merged"));
            let differ: Vec<_> = whole.keys().filter(|k| whole.get(*k) != merged.get(*k)).collect();
            assert!(differ.is_empty(), "{outer} x {inner} in {n}: {differ:?}");
        }
    }
}

/// What merge prints is what the run printed.
#[test]
fn merge_answers_as_the_run_does() {
    let s = Starter::new();
    let file = fs::canonicalize(s.path("base/campaign.toml")).unwrap().display().to_string();
    let options = ["--campaigns", "200"];
    let run = [&["run", &file, "--drivers", "0", "--out", "same"], &options[..]].concat();
    let run = s.run(&run);
    cut(&s, "shards", 3, &options);
    let merged = merge(&s, "same", &["shards"]);
    assert_eq!((code(&run), code(&merged)), (0, 0), "{}", err(&merged));
    assert_eq!(out(&run), out(&merged));
    assert!(out(&merged).contains("Contributors are left out"), "{}", out(&merged));
    let page = fs::read_to_string(s.path("same/report.html")).unwrap();
    assert!(page.contains("no drivers.csv"), "it says that they are left out");
}

/// A shard that is there is not played again; one that is cut short, or was never finished, is.
#[test]
fn what_is_done_is_not_played_again() {
    let s = Starter::new();
    let options = ["--campaigns", "300", "--shard", "1/3"];
    let first = s.play("shards", &options);
    assert!(out(&first).contains("2 of 5 units are played"), "{}", out(&first));
    let path = s.path("shards/1-of-3.shard");
    let (bytes, made) =
        (fs::read(&path).unwrap(), fs::metadata(&path).unwrap().modified().unwrap());
    let again = s.play("shards", &options);
    assert!(out(&again).contains("exists already"), "{}", out(&again));
    assert_eq!(fs::metadata(&path).unwrap().modified().unwrap(), made);
    fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    assert_eq!(code(&s.play("shards", &options)), 0);
    assert_eq!(fs::read(&path).unwrap(), bytes);
    assert_eq!(names(&s.path("shards")), ["1-of-3.shard"]);
    // The shard of another study at its place is not written over.
    let other = s.play("shards", &["--campaigns", "300", "--shard", "1/3", "--seed", "9"]);
    assert_eq!(code(&other), 4);
    assert!(err(&other).contains("of another study (seed 1, and this is 9)"), "{}", err(&other));
    assert_eq!(fs::read(&path).unwrap(), bytes);
    // Nor is a shard under the name of another one.
    fs::rename(&path, s.path("shards/2-of-3.shard")).unwrap();
    let wrong = s.play("shards", &["--campaigns", "300", "--shard", "2/3"]);
    assert_eq!(code(&wrong), 4);
    assert!(err(&wrong).contains("2-of-3.shard is shard 1 of this study"), "{}", err(&wrong));
}

#[test]
fn missing_shards_are_named_as_an_array() {
    let s = Starter::new();
    cut(&s, "shards", 12, &["--campaigns", "300"]);
    let missing = |s: &Starter| s.run(&["merge", "--missing", "shards"]);
    let none = missing(&s);
    assert_eq!((code(&none), out(&none).as_str()), (0, ""));
    for k in [1, 2, 3, 11] {
        fs::remove_file(s.path(&format!("shards/{k:02}-of-12.shard"))).unwrap();
    }
    let path = s.path("shards/06-of-12.shard");
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..100]).unwrap();
    let some = missing(&s);
    assert_eq!((code(&some), out(&some).as_str()), (0, "1-3,6,11\n"));
    assert!(err(&some).contains("06-of-12.shard is not whole"), "{}", err(&some));
    let refused = merge(&s, "merged", &["shards"]);
    assert_eq!(code(&refused), 1);
    assert!(err(&refused).contains("5 of 12 shards are missing: 1-3,6,11"), "{}", err(&refused));
    assert!(!s.path("merged").exists());
    fs::remove_dir_all(s.path("shards")).unwrap();
    fs::create_dir(s.path("shards")).unwrap();
    assert_eq!(code(&missing(&s)), 1);
}

/// Every byte of a shard that is changed, and every place where it is cut, is found out.
#[test]
fn altered_and_cut_shards_are_refused() {
    let s = Starter::new();
    cut(&s, "shards", 2, &["--campaigns", "128"]);
    let path = s.path("shards/1-of-2.shard");
    let bytes = fs::read(&path).unwrap();
    let refused = |changed: &[u8], what: &str| {
        fs::write(&path, changed).unwrap();
        let o = merge(&s, "merged", &["shards"]);
        assert_eq!(code(&o), 1, "{what}: {}", err(&o));
        assert!(err(&o).contains("1-of-2.shard is"), "{what}: {}", err(&o));
        assert!(!s.path("merged").exists(), "{what}");
    };
    let n = bytes.len();
    for at in [0, 17, 25, n / 2, n - 60, n - 33, n - 1] {
        let mut changed = bytes.clone();
        changed[at] ^= 1;
        refused(&changed, &format!("byte {at}"));
    }
    for end in [0, 5, 20, 50, n / 2, n - 1] {
        refused(&bytes[..end], &format!("cut at {end}"));
    }
    refused(&[&bytes[..], b"x"].concat(), "one byte more");
    fs::write(&path, bytes).unwrap();
    assert_eq!(code(&merge(&s, "merged", &["shards"])), 0);
}

/// One foreign shard among others: everything that is wrong with it is said, and nothing is written.
#[test]
fn foreign_shards_are_refused() {
    let s = Starter::new();
    cut(&s, "shards", 3, &["--campaigns", "300"]);
    let own = s.path("shards/1-of-3.shard");
    let bytes = fs::read(&own).unwrap();
    let foreign = |more: &[&str], says: &[&str]| {
        let o = s.play("other", &[&["--shard", "1/3"], more].concat());
        assert_eq!(code(&o), 0, "{}", err(&o));
        fs::rename(s.path("other/1-of-3.shard"), &own).unwrap();
        let o = merge(&s, "merged", &["shards"]);
        assert_eq!(code(&o), 1, "{more:?}");
        for word in says {
            assert!(err(&o).contains(word), "{more:?}: {word} in {}", err(&o));
        }
        assert!(err(&o).contains("1-of-3.shard is of another study"), "{}", err(&o));
        assert!(!s.path("merged").exists());
    };
    foreign(&["--campaigns", "300", "--seed", "8"], &["seed 8", "has 1", "missing: 1"]);
    foreign(&["--campaigns", "301"], &["campaigns 301", "has 300"]);
    s.patch("seal = 2", "seal = 3");
    foreign(&["--campaigns", "300"], &["fingerprint of the input"]);
    s.patch("seal = 3", "seal = 2");
    // Another number of shards.
    fs::write(&own, &bytes).unwrap();
    assert_eq!(code(&s.play("other", &["--campaigns", "300", "--shard", "1/4"])), 0);
    let o = merge(&s, "merged", &["shards", "other"]);
    assert_eq!(code(&o), 1);
    assert!(err(&o).contains("number of shards 4"), "{}", err(&o));
    assert_eq!(code(&merge(&s, "merged", &["shards"])), 0);
}

/// The same shard twice counts once; two that say other things of the same units do not.
#[test]
fn twins_are_taken_once_and_liars_not_at_all() {
    let s = Starter::new();
    cut(&s, "shards", 2, &["--campaigns", "128"]);
    fs::create_dir(s.path("copy")).unwrap();
    fs::copy(s.path("shards/1-of-2.shard"), s.path("copy/twin.shard")).unwrap();
    assert_eq!(code(&merge(&s, "merged", &["shards", "copy"])), 0);
    // A shard under the name of another one is what it says inside.
    fs::rename(s.path("shards/0-of-2.shard"), s.path("copy/a.shard")).unwrap();
    fs::rename(s.path("shards/1-of-2.shard"), s.path("shards/0-of-2.shard")).unwrap();
    fs::rename(s.path("copy/a.shard"), s.path("shards/1-of-2.shard")).unwrap();
    assert_eq!(code(&merge(&s, "swapped", &["shards"])), 0);
    assert_eq!(contents(&s.path("merged")), contents(&s.path("swapped")));
    fs::remove_file(s.path("shards/1-of-2.shard")).unwrap();
    let o = merge(&s, "no", &["shards", "copy"]);
    assert_eq!(code(&o), 1);
    assert!(err(&o).contains("1 of 2 shards are missing: 0"), "{}", err(&o));
}

/// The input must be what it was: shards carry its fingerprint, not its text.
#[test]
fn shards_of_a_file_that_was_changed_since_are_refused() {
    let s = Starter::new();
    cut(&s, "shards", 2, &["--campaigns", "128"]);
    s.patch("seal = 2", "seal = 3");
    let o = merge(&s, "merged", &["shards"]);
    assert_eq!(code(&o), 1);
    assert!(err(&o).contains("fingerprint of the input"), "{}", err(&o));
    s.patch("seal = 3", "seal = 2");
    fs::rename(s.path("base"), s.path("moved")).unwrap();
    assert_eq!(code(&merge(&s, "merged", &["shards"])), 4);
    let moved = merge(&s, "merged", &["shards", "--input", "moved/campaign.toml"]);
    assert_eq!(code(&moved), 0, "{}", err(&moved));
}

#[test]
fn what_a_shard_cannot_do_is_refused() {
    let s = Starter::new();
    for more in [
        &["--shard", "3/3"][..],
        &["--shard", "x"],
        &["--shard", "0/2", "--keep-campaigns"],
        &["--shard", "0/2", "--gate"],
        &["--shard", "0/2", "--drivers", "10"],
    ] {
        let o = s.play("shards", more);
        assert_eq!(code(&o), 2, "{more:?}: {}", err(&o));
        assert!(!err(&o).is_empty());
    }
    assert!(!s.path("shards").exists());
    assert_eq!(code(&s.run(&["merge", "shards"])), 2);
}

#[cfg(target_os = "linux")]
#[test]
fn a_shard_that_is_stopped_leaves_nothing_and_is_75() {
    let s = Starter::new();
    let child = std::process::Command::new(env!("CARGO_BIN_EXE_vestibule"))
        .current_dir(s.home.path())
        .args(["run", "base/campaign.toml", "--campaigns", "1000000000000"])
        .args(["--shard", "3/8", "--out", "shards"])
        .stderr(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let pid = child.id().to_string();
    // Workers are there: the signal is waited for.
    exits::wait_for(|| names(&Path::new("/proc").join(&pid).join("task")).len() > 2);
    assert!(std::process::Command::new("kill").args(["-TERM", &pid]).status().unwrap().success());
    let o = child.wait_with_output().unwrap();
    assert_eq!(code(&o), 75, "{}", err(&o));
    assert_eq!(names(s.home.path()), ["base"]);
}
