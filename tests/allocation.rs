//! Playing more campaigns does not ask for more memory: allocations are counted over the whole
//! process, all threads included.
//!
//! `stats_alloc` counts them without any unsafe code of ours. One test alone in this file: another
//! one running beside it would be counted too.

use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use vestibule::stats::{CampaignRows, Column, Extra, Extreme, Kind, Plan, Side};
use vestibule::study::replicate::{Order, Player, replicate, replicate_with_rows};

#[global_allocator]
static COUNTED: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

const ARMS: usize = 5;
const VALUES: usize = 40;

struct Cyclic;

impl Player for Cyclic {
    /// Values that come back every 320 campaigns, so that every cell of a histogram that is ever
    /// touched has been touched early.
    fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
        let turn = (campaign % 320) as f64;
        for arm in 0..ARMS {
            let row = rows.row_mut(arm);
            for (i, value) in row.values.iter_mut().enumerate() {
                *value = (turn * (i + 1) as f64 + arm as f64) % 97.0;
            }
            row.extras.fill(turn % 3.0);
            *row.absent = u128::from(campaign.is_multiple_of(5)) << 7;
        }
    }
}

fn plan() -> Plan {
    let kinds = [Kind::Amount, Kind::Count, Kind::Worst];
    let mut columns: Vec<Column> =
        (0..VALUES).map(|value| Column::Plain { value, kind: kinds[value % 3] }).collect();
    columns.push(Column::Ratio { numerator: 3, denominator: 4, share: false });
    let extras = vec![vec![Extra { over: Some(4) }; 6]; ARMS];
    let plan = Plan::new(ARMS, VALUES, columns, extras).unwrap();
    plan.with_extremes(vec![Extreme { column: 2, side: Side::Least }]).unwrap()
}

/// Allocations of one experiment, start and end included.
fn allocations(campaigns: u64, threads: usize, with_rows: bool) -> i64 {
    let (plan, stop, progress) = (plan(), AtomicBool::new(false), AtomicU64::new(0));
    let threads = NonZero::new(threads).unwrap();
    let order = Order { campaigns, threads, stop: &stop, progress: &progress };
    let region = Region::new(COUNTED);
    if with_rows {
        let mut taken = 0;
        let sink = |_: u64, _: &CampaignRows| {
            taken += 1;
            Ok::<(), std::io::Error>(())
        };
        replicate_with_rows(&plan, order, || Cyclic, sink).unwrap();
        assert_eq!(taken, campaigns);
    } else {
        replicate(&plan, order, || Cyclic).unwrap();
    }
    let change = region.change();
    (change.allocations + change.reallocations) as i64
}

/// The demo itself, every architecture of it: in 900 histories no memory is asked for but by what has
/// never been so long before.
fn of_the_demo() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let scenario = vestibule::scenario::read(&path).scenario.expect("larkspur reads");
    let checked = vestibule::check::check(scenario).0.expect("larkspur is accepted");
    let model = vestibule::model::compile(&checked);
    let mut player = vestibule::campaign::Player::new(&model);
    let mut play = |campaigns: std::ops::Range<u64>| {
        let region = Region::new(COUNTED);
        for i in campaigns {
            assert_eq!(player.play(i).count(), model.arms.len());
        }
        let change = region.change();
        (change.allocations, change.reallocations)
    };
    play(0..150);
    let (new, grown) = play(150..300);
    // Lists that something rare fills for the first time, or more than ever before.
    assert!(new + grown <= 8, "{new} allocations, {grown} lists grew in 150 campaigns");
}

#[test]
fn a_hundred_times_the_campaigns_allocate_no_more() {
    of_the_demo();
    allocations(64, 1, false); // whatever the process sets up once
    let (few, many) = (32 * 64, 3200 * 64);
    for (threads, with_rows) in [(1, false), (2, false), (3, true)] {
        let more = allocations(many, threads, with_rows) - allocations(few, threads, with_rows);
        // The tree is 7 levels higher, with 7 lists in each of its tallies; a run of several
        // threads may hold some more tallies and, with rows, some more blocks of rows (64 times 5
        // lists each, at most 24 blocks) than the short run happened to need.
        let tree = 7 * (7 + 2 * threads as i64 * 7);
        let rows = if with_rows { 24 * (64 * 5 + 1) } else { 0 };
        let allowed = tree + rows;
        assert!(more <= allowed, "{more} more on {threads} threads, {allowed} allowed");
        // all of it far below one for each of the campaigns that were added
        assert!(allowed < (many - few) as i64 / 20);
    }
}
