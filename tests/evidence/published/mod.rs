//! Every comparison with a number from outside, as one table: what, source and its standing,
//! expected, got, tolerance, note.
//!
//! `runs/evidence/README.md` is made from this table and compared with what is committed;
//! `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test evidence published::` rewrites it. Numbers that begin a
//! row (C1 ..) count the rows of one table and mean nothing outside it.

mod cabin;
mod demo;
mod demo_file;
mod dust;
mod estimates;
mod gas;
mod knowledge;
mod libraries;
mod page;
mod record;
mod relations;
mod seal;
mod sizes;
mod suit;

use record::Group;

/// Every group, in the order of the page.
fn groups() -> Vec<Group> {
    let mut all = vec![
        cabin::atmospheres(),
        cabin::prebreathe(),
        gas::masses(),
        gas::flow(),
        suit::consumables(),
        seal::leaks(),
        dust::air_and_settling(),
        dust::puffs(),
        sizes::shares(),
        knowledge::posteriors(),
        knowledge::laws(),
        estimates::shares(),
        estimates::counts_and_means(),
        demo::numbers(),
    ];
    all.extend(libraries::checks());
    all
}

#[test]
fn every_check_holds_and_names_its_source() {
    let faults: Vec<String> = groups()
        .iter()
        .flat_map(|g| g.checks.iter().filter_map(|c| Some(format!("{}: {}", g.title, c.fault()?))))
        .collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}
