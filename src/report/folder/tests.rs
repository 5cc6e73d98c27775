//! Tests of publishing: what is there before, after, and when the program is killed between.

use super::*;

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> =
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_draft_that_is_dropped_leaves_nothing() {
    let home = tempfile::tempdir().unwrap();
    let target = home.path().join("results");
    let mut draft = Draft::begin(&target).unwrap();
    draft.text("a.csv", "a\n").unwrap();
    assert!(!target.join("a.csv").exists());
    drop(draft);
    assert!(names(home.path()).is_empty());
}

#[test]
fn a_draft_that_is_dropped_leaves_what_was_there() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("a.csv"), "old\n").unwrap();
    let mut draft = Draft::begin(home.path()).unwrap();
    draft.text("a.csv", "new\n").unwrap();
    drop(draft);
    assert_eq!(names(home.path()), ["a.csv"]);
    assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
}

#[test]
fn a_folder_in_the_way_is_found_before_anything_is_moved() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("a.csv"), "old\n").unwrap();
    fs::create_dir(home.path().join("b.csv")).unwrap();
    let mut draft = Draft::begin(home.path()).unwrap();
    draft.text("a.csv", "new\n").unwrap();
    draft.text("b.csv", "new\n").unwrap();
    assert!(draft.publish(&[]).unwrap_err().to_string().contains("in the way"));
    assert_eq!(names(home.path()), ["a.csv", "b.csv"]);
    assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
}

#[test]
fn a_move_that_fails_half_way_leaves_what_was_there() {
    let home = tempfile::tempdir().unwrap();
    for name in ["a.csv", "stale.csv"] {
        fs::write(home.path().join(name), "old\n").unwrap();
    }
    let mut draft = Draft::begin(home.path()).unwrap();
    draft.text("a.csv", "new\n").unwrap();
    draft.text("b.csv", "new\n").unwrap();
    fs::remove_file(draft.folder.path().join("b.csv")).unwrap();
    draft.publish(&["stale.csv"]).unwrap_err();
    assert_eq!(names(home.path()), ["a.csv", "stale.csv"]);
    assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
}

#[test]
fn publishing_replaces_and_takes_stale_results_away() {
    let home = tempfile::tempdir().unwrap();
    for name in ["a.csv", "b.csv", "notes.txt"] {
        fs::write(home.path().join(name), "old\n").unwrap();
    }
    let mut draft = Draft::begin(home.path()).unwrap();
    draft.text("a.csv", "new\n").unwrap();
    draft.publish(&["a.csv", "b.csv"]).unwrap();
    assert_eq!(names(home.path()), ["a.csv", "notes.txt"]);
    assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "new\n");
}

#[test]
fn a_second_run_is_refused_and_a_dead_one_does_not_block() {
    let home = tempfile::tempdir().unwrap();
    let there = home.path().join("there");
    fs::create_dir(&there).unwrap();
    for target in [home.path().join("new"), there] {
        let first = Draft::begin(&target).unwrap();
        let second = Draft::begin(&target).unwrap_err();
        assert!(matches!(second, WriteError::Busy { .. }), "{second}");
        drop(first);
        // A lock file and a draft that a killed run has left.
        let (parent, name) = (target.parent().unwrap(), target.file_name().unwrap());
        let left = |what: &str| parent.join(format!(".{}.{what}", name.to_str().unwrap()));
        fs::write(left("lock"), "").unwrap();
        fs::create_dir(left("draft-x")).unwrap();
        fs::write(left("draft-x").join("a.csv"), "half").unwrap();
        let mut third = Draft::begin(&target).unwrap();
        assert!(!left("draft-x").exists());
        third.text("a.csv", "new\n").unwrap();
        third.publish(&[]).unwrap();
        assert!(!left("lock").exists());
        assert_eq!(names(&target), ["a.csv"]);
        fs::remove_file(target.join("a.csv")).unwrap();
    }
}

/// Files, folders and links of others are there afterwards, and so are the rights of the folder.
#[cfg(unix)]
#[test]
fn what_others_keep_in_the_folder_stays() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let home = tempfile::tempdir().unwrap();
    let target = home.path().join("results");
    fs::create_dir_all(target.join("mine/deep")).unwrap();
    fs::write(target.join("mine/deep/notes.txt"), "mine").unwrap();
    fs::write(target.join("a.csv"), "old").unwrap();
    symlink("mine/deep/notes.txt", target.join("link")).unwrap();
    fs::set_permissions(&target, fs::Permissions::from_mode(0o750)).unwrap();
    let mut draft = Draft::begin(&target).unwrap();
    draft.text("a.csv", "new").unwrap();
    draft.publish(&["a.csv"]).unwrap();
    assert_eq!(names(&target), ["a.csv", "link", "mine"]);
    assert_eq!(fs::read_to_string(target.join("a.csv")).unwrap(), "new");
    assert_eq!(fs::read_to_string(target.join("link")).unwrap(), "mine");
    assert_eq!(fs::metadata(&target).unwrap().permissions().mode() & 0o777, 0o750);
    assert_eq!(names(home.path()), ["results"]);
    // Through a link to the folder.
    symlink(&target, home.path().join("other")).unwrap();
    let mut draft = Draft::begin(&home.path().join("other")).unwrap();
    draft.text("a.csv", "newer").unwrap();
    draft.publish(&["a.csv"]).unwrap();
    assert_eq!(fs::read_to_string(target.join("a.csv")).unwrap(), "newer");
    assert_eq!(names(home.path()), ["other", "results"]);
}

const INTO: &str = "VESTIBULE_TEST_PUBLISHES_INTO";
const FILES: usize = 12;

fn file(i: usize) -> String {
    if i == 0 { MANIFEST.into() } else { format!("{i}.csv") }
}

/// Publishes results of one generation after the other, until it is killed.
#[test]
#[ignore = "started, and killed, by the test below"]
fn publishes_for_ever() {
    let Some(target) = std::env::var_os(INTO) else { return };
    for generation in 0.. {
        let mut draft = Draft::begin(Path::new(&target)).unwrap();
        for i in 0..FILES {
            draft.text(&file(i), &format!("{}-{generation}", std::process::id())).unwrap();
        }
        draft.publish(&[]).unwrap();
    }
}

/// Kills a program that publishes, at 40 moments, and looks at what it leaves.
#[cfg(unix)]
fn killed(target: &Path, folder: &Path, check: impl Fn(&Path)) {
    fs::create_dir_all(target).unwrap();
    fs::write(target.join("notes.txt"), "mine").unwrap();
    let read = || fs::read_to_string(target.join("1.csv")).unwrap_or_default();
    for round in 0..40 {
        let mut child = std::process::Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "report::folder::tests::publishes_for_ever", "--ignored"])
            .env(INTO, target)
            .current_dir(folder)
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        let own = child.id().to_string();
        let started = std::time::Instant::now();
        while !read().starts_with(&own) {
            assert!(started.elapsed().as_secs() < 60, "nothing is published");
            std::thread::sleep(std::time::Duration::from_millis(1));
        }
        std::thread::sleep(std::time::Duration::from_micros(round * 137));
        child.kill().unwrap();
        child.wait().unwrap();
        check(target);
        assert_eq!(fs::read_to_string(target.join("notes.txt")).unwrap(), "mine");
    }
}

fn generations(target: &Path) -> Vec<String> {
    let mut found: Vec<String> =
        (0..FILES).filter_map(|i| fs::read_to_string(target.join(file(i))).ok()).collect();
    assert_eq!(found.len(), FILES);
    found.dedup();
    found
}

/// Whenever the program is killed, the folder holds results of one run, all of them.
#[cfg(target_os = "linux")]
#[test]
fn a_kill_at_any_moment_leaves_the_old_or_the_new() {
    let home = tempfile::tempdir().unwrap();
    let target = home.path().join("results");
    killed(&target, home.path(), |t| assert_eq!(generations(t).len(), 1));
}

/// A folder that somebody stands in cannot change places: there a kill may leave results without a
/// manifest, which says that they are not whole; with a manifest they are.
#[cfg(unix)]
#[test]
fn where_files_are_moved_one_by_one_a_kill_leaves_no_manifest_with_less_than_all() {
    let home = tempfile::tempdir().unwrap();
    let target = home.path().join("results");
    fs::create_dir(&target).unwrap();
    killed(&target, &target, |t| {
        if t.join(MANIFEST).exists() {
            assert_eq!(generations(t).len(), 1);
        }
    });
}
