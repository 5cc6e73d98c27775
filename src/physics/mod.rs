//! Physical relations: pure functions with formula, source and limits.
//!
//! Everything is SI (s, kg, m, Pa, K, W, mol) in `f64`. Arguments are taken as valid, because the
//! constructors of the model validate them; a debug build asserts what the formula needs. Nothing
//! here keeps state or draws luck. The formulas also stand as data in [`RELATIONS`], from which
//! `vestibule list laws` is printed.

pub mod dust;
pub mod gas;
pub mod mixed;
pub mod prebreathe;
pub mod seal;
pub mod suit;

/// One physical relation as a reader of the results needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Relation {
    /// Unique name in plain words.
    pub name: &'static str,
    /// The functions that compute it, written `module::function`.
    pub functions: &'static [&'static str],
    /// The formula in plain text.
    pub formula: &'static str,
    /// Every symbol of the formula with its unit.
    pub symbols: &'static str,
    /// Where it comes from and on what standing.
    pub source: &'static str,
    /// Range of validity and what it neglects.
    pub limits: &'static str,
}

/// The relations of each module; a new module adds one line here.
const GROUPS: &[&[Relation]] = &[
    gas::RELATIONS,
    gas::leak::RELATIONS,
    gas::pump::RELATIONS,
    gas::vent::RELATIONS,
    prebreathe::RELATIONS,
    seal::RELATIONS,
    suit::RELATIONS,
    dust::RELATIONS,
    mixed::RELATIONS,
];

/// Every physical relation of the program, in the order of the modules.
pub const RELATIONS: &[Relation] = &join::<{ count(GROUPS) }>(GROUPS);

/// Number of relations in all groups.
const fn count(groups: &[&[Relation]]) -> usize {
    let mut total = 0;
    let mut group = 0;
    while group < groups.len() {
        total += groups[group].len();
        group += 1;
    }
    total
}

/// One flat array from the groups: a constant cannot be put together with iterators.
const fn join<const N: usize>(groups: &[&[Relation]]) -> [Relation; N] {
    let mut all = [groups[0][0]; N];
    let mut filled = 0;
    let mut group = 0;
    while group < groups.len() {
        let mut entry = 0;
        while entry < groups[group].len() {
            all[filled] = groups[group][entry];
            filled += 1;
            entry += 1;
        }
        group += 1;
    }
    all
}

/// Settings of every property test here: a fixed seed, so that a failure is the same everywhere,
/// and no files of past failures beside the code.
#[cfg(test)]
fn properties() -> proptest::test_runner::Config {
    proptest::test_runner::Config {
        rng_seed: proptest::test_runner::RngSeed::Fixed(0x005E_A1ED),
        failure_persistence: None,
        ..Default::default()
    }
}

/// Asserts that two numbers agree to a relative tolerance.
#[cfg(test)]
#[track_caller]
fn assert_near(found: f64, expected: f64, relative: f64) {
    let miss = (found - expected).abs();
    assert!(
        miss <= relative * expected.abs(),
        "found {found}, expected {expected} within {relative} relative"
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};
    use std::fs;
    use std::path::Path;

    /// One public function as its source shows it.
    struct Function {
        /// `module::name`; `module::Type::name` where the module has that name twice.
        name: String,
        /// Its doc comment, and behind it that of its type.
        doc: String,
    }

    /// Every module file of this folder as (module, text as far as its tests), found on disk, so
    /// that a new one cannot be left out.
    fn modules() -> Vec<(String, String)> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/physics");
        let folders = [root.clone(), root.join("gas")];
        let mut found = Vec::new();
        for path in folders.iter().flat_map(|f| fs::read_dir(f).unwrap()).map(|e| e.unwrap().path())
        {
            let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
            if path.extension().is_some_and(|x| x == "rs") && stem != "mod" {
                let text = fs::read_to_string(&path).unwrap();
                let code = text.split("#[cfg(test)]").next().expect("split gives one");
                // What a module gives out as its own may stand in a file below it.
                let below = fs::read_to_string(root.join(&stem).join("curve.rs"));
                found.push((stem, format!("{code}\n{}", below.unwrap_or_default())));
            }
        }
        found.sort();
        assert!(found.len() >= 9, "the folder was not read");
        found
    }

    /// Public functions of one module with their doc comments.
    fn functions(module: &str, code: &str) -> Vec<Function> {
        let mut found: Vec<(String, Function)> = Vec::new();
        let (mut doc, mut owner) = (String::new(), String::new());
        let mut types: BTreeMap<String, String> = BTreeMap::new();
        for line in code.lines().map(str::trim_start) {
            if let Some(text) = line.strip_prefix("///") {
                doc.push_str(text);
                doc.push('\n');
                continue;
            }
            if let Some(rest) = line.strip_prefix("impl ") {
                let target = rest.rsplit(" for ").next().expect("rsplit gives one");
                owner = target.split([' ', '<']).next().expect("split gives one").to_string();
            }
            if let Some(rest) = line.strip_prefix("pub struct ") {
                let name = rest.split([' ', '<', '(']).next().expect("split gives one");
                types.insert(name.to_string(), doc.clone());
                owner.clear();
            }
            let signature =
                line.strip_prefix("pub fn ").or_else(|| line.strip_prefix("pub const fn "));
            if let Some(rest) = signature {
                let name = rest.split(['(', '<']).next().expect("split gives one").to_string();
                let twice = found.iter().any(|(plain, _)| *plain == name);
                let full = if twice { format!("{owner}::{name}") } else { name.clone() };
                let name_of = format!("{module}::{full}");
                let doc = doc.clone() + types.get(&owner).map_or("", String::as_str);
                found.push((name, Function { name: name_of, doc }));
            }
            if !line.starts_with("#[") {
                doc.clear();
            }
        }
        found.into_iter().map(|(_, function)| function).collect()
    }

    fn public_functions() -> BTreeSet<String> {
        let mut all = BTreeSet::new();
        for (module, code) in modules() {
            for function in functions(&module, &code) {
                assert!(!function.doc.trim().is_empty(), "{}: no doc comment", function.name);
                assert!(all.insert(function.name.clone()), "{} twice", function.name);
            }
        }
        all
    }

    #[test]
    fn every_public_function_belongs_to_exactly_one_relation() {
        let mut listed = BTreeSet::new();
        for relation in RELATIONS {
            assert!(!relation.functions.is_empty(), "{}: no function", relation.name);
            for function in relation.functions {
                assert!(listed.insert(function.to_string()), "{function} listed twice");
            }
        }
        assert_eq!(listed, public_functions());
    }

    /// What `list laws` says is also in the documentation of the code: somewhere among the
    /// functions of a relation stand its source and its limits.
    #[test]
    fn the_documentation_of_every_relation_names_source_and_limits() {
        let all: Vec<Function> =
            modules().iter().flat_map(|(m, code)| functions(m, code)).collect();
        let mut missing = Vec::new();
        for relation in RELATIONS {
            let docs: String = all
                .iter()
                .filter(|f| relation.functions.contains(&f.name.as_str()))
                .map(|f| f.doc.as_str())
                .collect();
            for word in ["Source:", "Limits:"] {
                if !docs.contains(word) {
                    missing.push(format!("{}: no `{word}`", relation.name));
                }
            }
        }
        assert!(missing.is_empty(), "\n{}", missing.join("\n"));
    }

    #[test]
    fn every_relation_is_complete_and_named_once() {
        let mut names = BTreeSet::new();
        for r in RELATIONS {
            assert!(names.insert(r.name), "{} named twice", r.name);
            for text in [r.name, r.formula, r.symbols, r.source, r.limits] {
                assert!(!text.trim().is_empty(), "{}: an empty field", r.name);
            }
        }
        assert_eq!(RELATIONS.len(), GROUPS.iter().map(|g| g.len()).sum::<usize>());
    }
}
