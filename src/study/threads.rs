//! Tests of the driver: same bytes for any number of threads, order of rows, stop, panic.

use super::replicate::{Halt, Order, Player, replicate, replicate_with_rows};
use crate::stats::laws::{fill, plan, uniform};
use crate::stats::{BLOCK, CampaignRows, Results};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

struct Plain {
    played: u64,
}

impl Player for Plain {
    fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
        self.played += 1;
        // now and then a slow campaign, so that blocks are ready in another order
        if uniform(campaign) < 0.002 {
            std::thread::sleep(Duration::from_millis(2));
        }
        fill(campaign, rows);
    }
}

/// Flags that nobody sets.
struct Idle {
    stop: AtomicBool,
    progress: AtomicU64,
}

impl Idle {
    fn new() -> Idle {
        Idle { stop: AtomicBool::new(false), progress: AtomicU64::new(0) }
    }

    fn order(&self, campaigns: u64, threads: usize) -> Order<'_> {
        let threads = NonZero::new(threads).unwrap();
        Order { campaigns, threads, stop: &self.stop, progress: &self.progress }
    }
}

#[test]
fn same_bytes_for_any_number_of_threads() {
    let plan = plan();
    for campaigns in [0, 1, 63, 64, 65, 1000, 10_000] {
        let expected = format!("{:?}", Results::in_order(&plan, campaigns, fill).tally);
        let in_order = Results::in_order(&plan, campaigns, fill);
        for threads in [1, 2, 3, 8] {
            let idle = Idle::new();
            let order = idle.order(campaigns, threads);
            let found = replicate(&plan, order, || Plain { played: 0 }).unwrap();
            assert_eq!(format!("{:?}", found.results.tally), expected, "{campaigns} {threads}");
            assert_eq!(found.results, in_order);
            // No more threads than blocks.
            let blocks = plan.blocks(campaigns).max(1) as usize;
            assert_eq!(found.players.len(), threads.min(blocks));
            assert_eq!(found.players.iter().map(|p| p.played).sum::<u64>(), campaigns);
            assert_eq!(idle.progress.load(Ordering::Relaxed), campaigns);
        }
    }
}

#[test]
fn rows_come_in_the_order_of_campaigns() {
    let plan = plan();
    for (campaigns, threads) in [(65, 1), (5000, 2), (5000, 8)] {
        let mut next = 0;
        let mut sum = 0.0;
        let sink = |campaign: u64, rows: &CampaignRows| {
            assert_eq!(campaign, next);
            next += 1;
            sum += rows.row(1).values[0];
            Ok::<(), std::io::Error>(())
        };
        let idle = Idle::new();
        let order = idle.order(campaigns, threads);
        let found = replicate_with_rows(&plan, order, || Plain { played: 0 }, sink).unwrap();
        assert_eq!(next, campaigns);
        let mean = found.results.estimate(1, 0).mean.unwrap();
        assert!((sum / campaigns as f64 / mean - 1.0).abs() < 1e-12);
        assert_eq!(found.results, Results::in_order(&plan, campaigns, fill));
    }
}

#[test]
fn a_sink_that_refuses_ends_the_experiment() {
    let sink = |campaign: u64, _: &CampaignRows| match campaign {
        700 => Err("full"),
        c if c > 700 => panic!("rows after a refusal"),
        _ => Ok(()),
    };
    let idle = Idle::new();
    let ended = replicate_with_rows(&plan(), idle.order(100_000, 3), || Plain { played: 0 }, sink);
    match ended {
        Err(Halt::Sink { campaign: 700, source: "full" }) => {}
        other => panic!("{:?}", other.map(|r| r.results.campaigns())),
    }
    assert!(idle.progress.load(Ordering::Relaxed) < 100_000);
}

#[test]
fn the_stop_flag_ends_at_the_boundary_of_a_block() {
    struct Stopping<'a>(&'a AtomicBool);
    impl Player for Stopping<'_> {
        fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
            if campaign == 1000 {
                self.0.store(true, Ordering::Relaxed);
            }
            fill(campaign, rows);
        }
    }
    for threads in [1, 2, 3] {
        let idle = Idle::new();
        let order = idle.order(1_000_000, threads);
        let ended = replicate(&plan(), order, || Stopping(&idle.stop));
        let Err(Halt::Stopped { played }) = ended else { panic!("not stopped") };
        assert_eq!(played % BLOCK, 0);
        assert_eq!(played, idle.progress.load(Ordering::Relaxed));
        assert!(threads > 1 || played == 1024, "{played}");
    }
}

#[test]
fn a_panic_of_a_player_goes_on_and_nobody_hangs() {
    struct Bad;
    impl Player for Bad {
        fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
            assert!(campaign != 500, "campaign 500 is impossible");
            fill(campaign, rows);
        }
    }
    for threads in [1, 2, 8] {
        let caught = std::panic::catch_unwind(|| {
            let idle = Idle::new();
            replicate(&plan(), idle.order(1_000_000, threads), || Bad).is_ok()
        });
        let message = caught.unwrap_err();
        let message = message.downcast_ref::<&str>().copied();
        assert_eq!(message, Some("campaign 500 is impossible"));
    }
}

#[test]
fn a_panic_of_the_sink_goes_on_and_nobody_hangs() {
    let caught = std::panic::catch_unwind(|| {
        let sink = |campaign: u64, _: &CampaignRows| {
            assert!(campaign != 500, "no room for campaign 500");
            Ok::<(), std::io::Error>(())
        };
        let idle = Idle::new();
        let order = idle.order(1_000_000, 4);
        replicate_with_rows(&plan(), order, || Plain { played: 0 }, sink).is_ok()
    });
    assert!(caught.is_err());
}

/// One campaign that takes long holds up the rows behind it: the others wait instead of piling up.
#[test]
fn workers_wait_for_the_slowest() {
    struct Slow;
    impl Player for Slow {
        fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
            if campaign == 0 {
                std::thread::sleep(Duration::from_millis(300));
            }
            fill(campaign, rows);
        }
    }
    let plan = plan();
    let idle = Idle::new();
    let mut first = None;
    let sink = |campaign: u64, _: &CampaignRows| {
        if campaign == 0 {
            first = Some(idle.progress.load(Ordering::Relaxed));
        }
        Ok::<(), std::io::Error>(())
    };
    replicate_with_rows(&plan, idle.order(100_000, 2), || Slow, sink).unwrap();
    // the window of 2 threads is 16 blocks
    let ahead = first.unwrap() / BLOCK;
    assert!((1..=16).contains(&ahead), "{ahead} blocks ahead");
}

/// With an outer loop blocks end with their parameter set, and the books of sets are handed over in
/// order: the same bytes for any number of threads and any size of set.
#[test]
fn same_bytes_with_parameter_sets() {
    for (sets, inner) in [(0, 5), (1, 2), (3, 64), (130, 7), (5, 200), (70, 65)] {
        let plan = plan().with_sets(Some(inner));
        let in_order = Results::in_order(&plan, sets * inner, fill);
        for threads in [1, 2, 3, 8] {
            let idle = Idle::new();
            let order = idle.order(sets * inner, threads);
            let found = replicate(&plan, order, || Plain { played: 0 }).unwrap();
            let bits = |r: &Results| format!("{:?}", r.sets.as_ref().unwrap().tally());
            assert!(bits(&found.results) == bits(&in_order));
            assert!(found.results == in_order, "{sets} sets of {inner}, {threads} threads");
            assert_eq!(found.results.campaigns(), sets * inner);
            assert_eq!(found.results.sets.as_ref().unwrap().sets(), sets);
        }
    }
}

/// Rows are given out in the order of campaigns with sets too, none left out.
#[test]
fn rows_of_sets_come_in_order() {
    let plan = plan().with_sets(Some(70));
    let mut next = 0;
    let sink = |campaign: u64, rows: &CampaignRows| {
        assert_eq!(campaign, next);
        let mut again = CampaignRows::new(&plan);
        fill(campaign, &mut again);
        assert_eq!(rows.row(1).values, again.row(1).values);
        next += 1;
        Ok::<(), std::io::Error>(())
    };
    let idle = Idle::new();
    replicate_with_rows(&plan, idle.order(700, 3), || Plain { played: 0 }, sink).unwrap();
    assert_eq!(next, 700);
}
