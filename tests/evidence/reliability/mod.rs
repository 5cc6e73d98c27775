//! What a reliability analyst checks first: a reference campaign with an exact answer on the
//! calendar, luck and tallies of the program; trees of events and their importance; what is known
//! of rates and lives, redundant parts and repair through the whole program.
//!
//! Statistical comparisons have fixed seeds, are never drawn again, and pass within four standard
//! errors: two-sided false alarm 6.3e-5 each.

mod drivers;
mod evidence;
mod exact;
mod lives;
mod loops;
mod record;
mod redundancy;
mod reference;
mod standard;
mod takes_part;
mod trees;

use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use vestibule::model::Model;
use vestibule::study::drivers::{Books, Drivers, Sample};
use vestibule::study::experiment;
use vestibule::study::replicate::{NoRows, Order};

/// Mean within four standard errors of a known one.
#[track_caller]
fn within(what: &str, mean: f64, error: f64, expected: f64) {
    assert!(error > 0.0, "{what}: nothing varies, mean {mean}, expected {expected}");
    let z = (mean - expected) / error;
    println!("{what}: {mean:.6e} +- {error:.2e}, expected {expected:.6e}, z {z:.2}");
    assert!(z.abs() <= 4.0, "{what}: {mean} +- {error}, expected {expected}, z {z:.2}");
    record::note(what, mean, expected, 4.0 * error);
}

/// A count of `n` tries with chance `p`.
#[track_caller]
fn counted(what: &str, count: f64, n: f64, p: f64) {
    within(what, count / n, (p * (1.0 - p) / n).sqrt(), p);
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, relative: f64) {
    let gap = (found - expected).abs();
    assert!(gap <= relative * expected.abs(), "{what}: {found} is not {expected}");
    record::note(what, found, expected, relative * expected.abs());
}

/// Drivers of the first `n` campaigns, with so many plays that every item has its turn in each.
fn driven(m: &Model, n: u64, threads: usize) -> Books {
    driven_with(m, n, threads, u64::MAX / 2)
}

/// Drivers of the first `n` campaigns with at most about `plays` plays.
fn driven_with(m: &Model, n: u64, threads: usize, plays: u64) -> Books {
    let threads = NonZero::new(threads).unwrap();
    let (stop, progress) = (AtomicBool::new(false), AtomicU64::new(0));
    let order = Order { campaigns: n, threads, stop: &stop, progress: &progress };
    let sample = Sample { campaigns: n, apart: 1 };
    let done = experiment::run(m, order, None::<NoRows>, Some(sample)).unwrap();
    let watch = done.players.into_iter().filter_map(|p| p.watch).reduce(|mut all, w| {
        all.merge(w);
        all
    });
    Drivers::plan(m, watch.unwrap(), plays).work(order).unwrap()
}
