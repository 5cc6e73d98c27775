//! Every physical relation of the program has a check in the table, or says why not.

use super::groups;
use std::collections::BTreeSet;
use vestibule::physics::RELATIONS;

/// Relations without a check, and why. Empty is best.
const UNCHECKED: &[(&str, &str)] = &[];

fn checked() -> BTreeSet<&'static str> {
    groups().iter().flat_map(|g| g.checks.iter().flat_map(|c| c.of.iter().copied())).collect()
}

#[test]
fn every_relation_is_checked_or_says_why_not() {
    let checked = checked();
    let mut faults = Vec::new();
    for relation in RELATIONS {
        let has = relation.functions.iter().any(|f| checked.contains(f));
        let excuse = UNCHECKED.iter().find(|(name, _)| *name == relation.name);
        match (has, excuse) {
            (false, None) => faults.push(format!(
                "`{}` has no check: add a row to tests/evidence/published/ with `.of(&[..])`, or a \
                 reason to UNCHECKED",
                relation.name
            )),
            (true, Some(_)) => faults.push(format!(
                "`{}` is checked now: remove its \
                excuse",
                relation.name
            )),
            (false, Some((_, ""))) => faults.push(format!("`{}`: no reason", relation.name)),
            _ => {}
        }
    }
    for (name, _) in UNCHECKED {
        if !RELATIONS.iter().any(|r| r.name == *name) {
            faults.push(format!("`{name}` is no relation"));
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn checks_name_functions_that_exist() {
    let known: BTreeSet<&str> =
        RELATIONS.iter().flat_map(|r| r.functions.iter().copied()).collect();
    let unknown: Vec<_> = checked().into_iter().filter(|f| !known.contains(f)).collect();
    assert!(unknown.is_empty(), "no relation lists {unknown:?}");
}

/// What the page says of relations without a check.
pub fn unchecked() -> String {
    match UNCHECKED {
        [] => format!(
            "All {} physical relations of `vestibule list laws` have a check here.\n",
            RELATIONS.len()
        ),
        some => {
            let why: Vec<String> =
                some.iter().map(|(name, why)| format!("{name} ({why})")).collect();
            format!("Physical relations without a check: {}.\n", why.join("; "))
        }
    }
}
