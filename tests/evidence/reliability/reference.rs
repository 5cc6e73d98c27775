//! The reference campaign played: sorties on the calendar, luck by address, many variants on the
//! same luck, the tallies and intervals of every run.

use super::exact::{A, Known, Reference, b, known};
use super::{counted, within};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use vestibule::base::calendar::Calendar;
use vestibule::base::stream::{Luck, fnv1a64};
use vestibule::stats::{CampaignRows, Column, Kind, Plan, Results};
use vestibule::study::replicate::{Order, Player, replicate};

const SEED: u64 = 20_261_125;
/// Columns: loss; loss by its conditional chance; events of each kind; demands; no event.
const LOSS: usize = 0;
const BANKED: usize = 1;
const EVENTS: usize = 2;
const DEMANDS: usize = 6;
const QUIET: usize = 7;
const VALUES: usize = 8;

/// What is drawn in a sortie.
mod purpose {
    pub const EVENT: u32 = 1;
    pub const FIRST_LINE: u32 = 2;
    pub const HAVEN: u32 = 3;
    pub const RECOVERS: u32 = 4;
    pub const RENEWED: u32 = 5;
}

/// Plays variants of the reference campaign on the same luck.
struct Played {
    luck: Luck,
    path: u64,
    arms: Vec<Reference>,
    calendar: Calendar<usize>,
}

impl Played {
    fn new(arms: Vec<Reference>) -> Played {
        let path = fnv1a64("reference campaign");
        Played { luck: Luck::new(SEED), path, arms, calendar: Calendar::new(64) }
    }

    fn draw(&self, campaign: u64, sortie: usize, purpose: u32) -> f64 {
        self.luck.uniform(campaign, self.path, sortie as u64, purpose, 0)
    }

    /// One history. A loss ends it; beside it the same history banks at each demand the chance of
    /// loss and goes on as a survivor with the weight that is left, which is a history of its own
    /// only after a loss.
    fn history(&mut self, arm: usize, campaign: u64) -> [f64; VALUES] {
        let r = self.arms[arm];
        let (mut age, mut degraded, mut lost, mut weight) = (0, false, false, 1.0);
        let mut out = [0.0; VALUES];
        out[QUIET] = 1.0;
        self.calendar.clear();
        for i in 1..=r.sorties {
            self.calendar.schedule(i as f64, 0, i);
        }
        while let Some((_, i)) = self.calendar.pop() {
            if let Some(e) = self.event(&r, campaign, i, age) {
                out[QUIET] = 0.0;
                out[EVENTS + e] += f64::from(u8::from(!lost));
                let first = r.first_line(e, degraded);
                let demand = self.draw(campaign, i, purpose::FIRST_LINE) < first;
                out[DEMANDS] += f64::from(u8::from(demand && !lost));
                lost |= demand && self.draw(campaign, i, purpose::HAVEN) < r.haven;
                out[BANKED] += weight * first * r.haven;
                weight *= 1.0 - first * r.haven;
                degraded = true;
            }
            if degraded && self.draw(campaign, i, purpose::RECOVERS) < r.recovers {
                degraded = false;
            }
            let renewed = i % r.every == 0 && self.draw(campaign, i, purpose::RENEWED) < r.renewed;
            age = if renewed { 0 } else { age + 1 };
        }
        out[LOSS] = f64::from(u8::from(lost));
        out
    }

    /// Which event comes, by the inverse of their distribution.
    fn event(&self, r: &Reference, campaign: u64, i: usize, age: usize) -> Option<usize> {
        let mut u = self.draw(campaign, i, purpose::EVENT);
        // Rare ones need not be worked out: all four together are below 1 % in every variant.
        if u > 0.01 {
            return None;
        }
        r.events(age).into_iter().position(|p| {
            u -= p;
            u < 0.0
        })
    }
}

impl Player for Played {
    fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
        for arm in 0..self.arms.len() {
            let values = self.history(arm, campaign);
            rows.row_mut(arm).values.copy_from_slice(&values);
        }
    }
}

fn results(arms: &[Reference], campaigns: u64) -> Results {
    let plain = |value, kind| Column::Plain { value, kind };
    let mut columns = vec![plain(LOSS, Kind::Flag), plain(BANKED, Kind::Amount)];
    columns.extend((EVENTS..=DEMANDS).map(|v| plain(v, Kind::Count)));
    columns.push(plain(QUIET, Kind::Flag));
    let plan = Plan::new(arms.len(), VALUES, columns, vec![vec![]; arms.len()]).unwrap();
    let (stop, progress) = (AtomicBool::new(false), AtomicU64::new(0));
    let threads = NonZero::new(2).unwrap();
    let order = Order { campaigns, threads, stop: &stop, progress: &progress };
    let played = || Played::new(arms.to_vec());
    replicate(&plan, order, played).unwrap().results
}

/// A column of an arm within four standard errors; `square` is the expected sum of the squares of
/// what single events add. Events are so rare that they are as good as independent.
fn agrees(results: &Results, arm: usize, column: usize, expected: f64, square: f64) {
    let moments = &results.column(arm, column).moments;
    let what = format!("arm {arm}, column {column}");
    within(&what, moments.mean, (square / moments.n as f64).sqrt(), expected);
}

/// Every variant: 18 comparisons. Loss by counting where it is not too rare (the error is that of
/// the formula), and by the banked chances everywhere.
#[test]
fn variants_play_as_the_chain_says() {
    let variants = [
        A,
        b(),
        Reference { haven: 0.08, ..A },
        Reference { sorties: 1, ..A },
        Reference { sorties: 20, ..A },
        Reference { first: [0.03; 2], ..A },
        Reference { haven: 1.0, ..A },
        Reference { recovers: 1.0, ..A },
        Reference { renewed: 1.0, ..A },
        Reference { shape: 1.0, ..A },
        Reference { beta: 0.1, ..A },
        Reference { haven: 0.0, ..A },
    ];
    let n = 200_000;
    let results = results(&variants, n);
    for (arm, r) in variants.iter().enumerate() {
        let Known { loss: expected, squares, .. } = known(r);
        let seen = results.column(arm, LOSS).total;
        if expected == 0.0 {
            assert_eq!((seen, results.column(arm, BANKED).total), (0.0, 0.0));
            let bound = results.estimate(arm, LOSS);
            assert_eq!(bound.method, "upper95 one-sided");
            continue;
        }
        agrees(&results, arm, BANKED, expected, squares);
        if expected * n as f64 > 50.0 {
            counted(&format!("loss of arm {arm}"), seen, n as f64, expected);
        }
        let found = results.estimate(arm, LOSS);
        assert!(found.low.unwrap() <= found.mean.unwrap() && found.high.unwrap() > 0.0);
    }
}

/// What leads to loss in A, and what B's interval says of a loss too rare to be seen.
#[test]
fn events_and_demands_play_as_the_chain_says() {
    let n = 300_000;
    let results = results(&[A, b()], n);
    for (arm, r) in [A, b()].iter().enumerate() {
        let Known { events, demands, quiet, .. } = known(r);
        for (e, expected) in events.into_iter().enumerate() {
            agrees(&results, arm, EVENTS + e, expected, expected);
        }
        agrees(&results, arm, DEMANDS, demands, demands);
        counted("no event", results.column(arm, QUIET).total, n as f64, quiet);
    }
}

/// Removal on the same luck: the drop of the banked chance when one kind of event is made perfect.
#[test]
fn removal_on_common_random_numbers() {
    let arm = |e: usize| {
        let mut perfect = [false; 4];
        perfect[e] = true;
        Reference { perfect, ..A }
    };
    let arms: Vec<Reference> = [A].into_iter().chain((0..4).map(arm)).collect();
    let results = results(&arms, 200_000);
    let whole = known(&A).loss;
    for (i, r) in arms.iter().enumerate().skip(1) {
        let drop = results.compare(0, i, BANKED);
        let half = (drop.high.unwrap() - drop.low.unwrap()) / 2.0;
        within("drop", drop.difference.unwrap(), half / 1.96, known(r).loss - whole);
    }
}

/// Haven failure 0.10 against 0.08: where only the last chance differs the banked chances are all
/// but proportional, and pairing gains (1 + 0.8^2)/0.2^2 = 41; counted losses gain far less.
#[test]
fn pairing_gains_what_it_must() {
    let results = results(&[A, Reference { haven: 0.08, ..A }], 200_000);
    let banked = results.compare(0, 1, BANKED);
    let gain = banked.variance_reduction.unwrap();
    assert!((40.0..42.0).contains(&gain), "{gain}");
    let half = (banked.high.unwrap() - banked.low.unwrap()) / 2.0;
    within("difference", banked.difference.unwrap(), half / 1.96, -1.576_319_938e-5);
    if let Some(counted) = results.compare(0, 1, LOSS).variance_reduction {
        assert!(counted < 20.0, "{counted}");
    }
}
