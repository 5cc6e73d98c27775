//! DEVELOPERS.md says where things are: the table of folders is the tree, both ways, and every path
//! that the page names is there.

use crate::layering::{files, root};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The page up to its list of changes, which also names what has gone.
fn page() -> String {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    text.split("\n## Changes that move numbers").next().unwrap_or_default().to_string()
}

/// What stands between backticks in a line or cell.
fn quoted(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

/// Cells of the table of folders: by folder, without its `/`, what is named in it.
fn table(page: &str) -> BTreeMap<String, Vec<String>> {
    let mut out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in page.lines() {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [_, folder, named, ..] = cells[..] else { continue };
        let [folder] = quoted(folder)[..] else { continue };
        let Some(folder) = folder.strip_suffix('/') else { continue };
        let named = quoted(named).into_iter().map(String::from);
        out.entry(folder.to_string()).or_default().extend(named);
    }
    out
}

/// Folders below `src`, without those of tests alone.
fn folders(below: &Path, out: &mut Vec<String>) {
    for entry in fs::read_dir(below).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.ends_with("tests") {
            let name = path.strip_prefix(root().join("src")).unwrap();
            out.push(name.display().to_string().replace('\\', "/"));
            folders(&path, out);
        }
    }
}

/// What a folder holds that the map has to name: files but for `mod.rs` and tests, folders with `/`.
fn held(folder: &Path) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().and_then(|s| s.to_str()).unwrap_or_default().to_string();
        if ["mod", "tests"].contains(&stem.as_str()) {
            continue;
        }
        if path.is_dir() {
            out.insert(format!("{stem}/"));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.insert(stem);
        }
    }
    out
}

/// Where the map and a folder of `src` differ; the map's own words where they differ.
fn faults(map: &BTreeMap<String, Vec<String>>) -> Vec<String> {
    let mut out = Vec::new();
    for (folder, named) in map {
        let place = root().join("src").join(folder);
        if !place.is_dir() {
            out.push(format!("src/{folder}/ is named and not there"));
            continue;
        }
        let (held, said): (_, BTreeSet<_>) = (held(&place), named.iter().cloned().collect());
        if said.len() < named.len() {
            out.push(format!("src/{folder}/: something is named twice"));
        }
        out.extend(held.difference(&said).map(|x| format!("src/{folder}/{x} is not named")));
        let gone = said.difference(&held);
        out.extend(gone.map(|x| format!("src/{folder}/{x} is named and not there")));
    }
    let mut all = Vec::new();
    folders(&root().join("src"), &mut all);
    for folder in all {
        let (above, name) = folder.rsplit_once('/').unwrap_or(("", &folder));
        let within = map.get(above).is_some_and(|n| n.contains(&format!("{name}/")));
        if !map.contains_key(&folder)
            && !within
            && !held(&root().join("src").join(&folder)).is_empty()
        {
            out.push(format!("src/{folder}/ is not named"));
        }
    }
    out
}

#[test]
fn the_map_is_the_tree() {
    let map = table(&page());
    assert!(map.len() > 20, "the scanner found {} folders", map.len());
    assert_eq!(faults(&map), Vec::<String>::new());
}

#[test]
fn the_scanner_sees_what_is_missing_and_what_has_gone() {
    let line = "| `numbers/` | `hazard` `machine` `place` `gears` | words |\n";
    let found = faults(&table(line));
    for fault in [
        "src/numbers/rules is not named",
        "src/numbers/gears is named and not there",
        "src/study/sweep/ is not named",
    ] {
        assert!(found.iter().any(|f| f == fault), "{fault}: {found:?}");
    }
    let page = "see `a/b.rs` and `c.toml`; `Plan::block`, `x/`, `--plan`, `{ a = 1 }`\n";
    assert_eq!(paths(page), ["a/b.rs", "c.toml", "x/"]);
}

/// Every module of `src/lib.rs` has its line in the table of modules, in the same order.
#[test]
fn modules_stand_in_their_order() {
    let lib = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let name = |l: &str| Some(l.strip_prefix("pub mod ")?.strip_suffix(';')?.to_string());
    let declared: Vec<String> = lib.lines().filter_map(name).collect();
    let page = page();
    let first = page.split("\n| folder |").next().unwrap_or_default();
    let line = |l: &str| Some(l.strip_prefix("| `")?.split('`').next()?.to_string());
    let said: Vec<String> = first.lines().filter_map(line).collect();
    assert_eq!(said, declared);
}

/// Quoted words that are paths: files of the source by their ending, folders by `/`.
fn paths(page: &str) -> Vec<&str> {
    let ends = [".rs", ".md", ".toml", ".sh", ".mjs", ".py", ".json", "/"];
    let path = |w: &&str| {
        let part = |c: char| c.is_alphanumeric() || "_-./".contains(c);
        ends.iter().any(|e| w.ends_with(e)) && w.chars().all(part)
    };
    quoted(page).into_iter().filter(path).collect()
}

/// Everything in the folders that the page speaks of, with `/` before and after folders.
fn tree(below: &Path, out: &mut Vec<String>) {
    for entry in fs::read_dir(below).unwrap() {
        let path = entry.unwrap().path();
        let name = path.strip_prefix(root()).unwrap().display().to_string().replace('\\', "/");
        if path.is_dir() {
            out.push(format!("/{name}/"));
            tree(&path, out);
        } else {
            out.push(format!("/{name}"));
        }
    }
}

/// Paths are written from the root, from `src`, or shorter where their line says of what: each is the
/// end of one that is there.
#[test]
fn every_path_that_is_named_is_there() {
    let mut all: Vec<String> =
        ["/README.md", "/DEVELOPERS.md", "/Cargo.toml"].map(Into::into).into();
    for folder in ["src", "tests", "benches", "runs", ".ci", ".cargo"] {
        all.push(format!("/{folder}/"));
        tree(&root().join(folder), &mut all);
    }
    assert!(files(&root().join("src")).len() < all.len());
    let page = page();
    let named = paths(&page);
    assert!(named.len() > 100, "the scanner found {} paths", named.len());
    // Made by a build or a run.
    let made = ["target/"];
    let gone: Vec<_> = named
        .iter()
        .filter(|w| !made.contains(*w) && !all.iter().any(|p| p.ends_with(&format!("/{w}"))))
        .collect();
    assert!(gone.is_empty(), "{gone:?}");
}
