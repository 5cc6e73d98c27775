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
    use std::collections::BTreeSet;

    /// Source text of each module, as far as its tests.
    const MODULES: &[(&str, &str)] = &[
        ("gas", include_str!("gas.rs")),
        ("leak", include_str!("gas/leak.rs")),
        ("pump", include_str!("gas/pump.rs")),
        ("vent", include_str!("gas/vent.rs")),
        ("prebreathe", include_str!("prebreathe.rs")),
        ("seal", include_str!("seal.rs")),
        ("suit", include_str!("suit.rs")),
    ];

    fn public_functions() -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        for (module, text) in MODULES {
            let code = text.split("#[cfg(test)]").next().expect("split gives one");
            for line in code.lines() {
                let line = line.trim_start();
                let rest =
                    line.strip_prefix("pub fn ").or_else(|| line.strip_prefix("pub const fn "));
                if let Some(rest) = rest {
                    let name = rest.split(['(', '<']).next().expect("split gives one");
                    assert!(found.insert(format!("{module}::{name}")), "{module}::{name} twice");
                }
            }
        }
        found
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
