//! In how many files a type is at home: what is done with a thing stands beside it.

use crate::layering::{files, root};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

/// Most files in which one type is implemented.
const MOST_HOMES: usize = 6;
/// Types that are still at home in more, with how many: what is done with the world of a campaign has yet to become
/// functions that take what they touch. The numbers may fall and not rise.
const STILL_SPREAD: &[(&str, usize)] = &[("World", 76)];
/// The type that a line implements something of, or something for.
fn implemented(line: &str) -> Option<&str> {
    let rest = line.trim_start().strip_prefix("impl")?;
    let rest = match rest.strip_prefix('<') {
        Some(generic) => generic.split_once("> ")?.1,
        None => rest.strip_prefix(' ')?,
    };
    let of = rest.split_once(" for ").map_or(rest, |(_, of)| of);
    let name = of.split(|c: char| !c.is_alphanumeric() && c != '_').next()?;
    name.starts_with(|c: char| c.is_ascii_uppercase()).then_some(name)
}

#[test]
fn the_scanner_sees_what_is_implemented() {
    assert_eq!(implemented("impl World<'_> {"), Some("World"));
    assert_eq!(implemented("impl<'m> World<'m> {"), Some("World"));
    assert_eq!(implemented("    impl Clone for Places {"), Some("Places"));
    assert_eq!(implemented("impl<T: Copy> From<T> for Sums<T> {"), Some("Sums"));
    assert_eq!(implemented("fn f(x: impl Fn(u16)) {"), None);
}

#[test]
fn a_type_is_at_home_in_few_files() {
    let mut homes: BTreeMap<String, BTreeSet<PathBuf>> = BTreeMap::new();
    for file in files(&root().join("src")) {
        let text = fs::read_to_string(&file).unwrap();
        for name in text.lines().filter_map(implemented) {
            homes.entry(name.into()).or_default().insert(file.clone());
        }
    }
    let most = |name: &str| {
        let still = STILL_SPREAD.iter().find(|(of, _)| *of == name);
        still.map_or(MOST_HOMES, |(_, most)| *most)
    };
    let spread: Vec<_> = homes
        .iter()
        .filter(|(name, files)| files.len() > most(name))
        .map(|(name, files)| format!("{name} in {} files", files.len()))
        .collect();
    let remedy = "write functions that take what they touch";
    assert!(spread.is_empty(), "{spread:?}: {remedy}");
    for (name, most) in STILL_SPREAD {
        assert_eq!(
            homes.get(*name).map_or(0, BTreeSet::len),
            *most,
            "{name}: say the lower number"
        );
    }
}
