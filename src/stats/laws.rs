//! Tests of whole tallies: merging, trees, pairs, weights.

use super::*;
use super::{block::BLOCK, tally::Tally};

/// A fixed sequence of numbers in (0, 1): the splitmix64 finaliser of a counter.
pub fn uniform(index: u64) -> f64 {
    let mut z = index.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    ((z >> 12) as f64 + 0.5) / (1u64 << 52) as f64
}

/// Three arms with every kind of column, absent values, misses and extras.
pub fn plan() -> Plan {
    let plain = |value, kind| Column::Plain { value, kind };
    let columns = vec![
        plain(0, Kind::Amount),
        plain(1, Kind::Count),
        plain(2, Kind::Flag),
        plain(3, Kind::Worst),
        Column::Ratio { numerator: 1, denominator: 4, share: true },
        Column::Ratio { numerator: 0, denominator: 1, share: false },
    ];
    let extra = |over| Extra { over };
    let extras = vec![vec![extra(Some(4)), extra(None)], vec![], vec![extra(Some(4))]];
    let worst = Extreme { column: 3, side: Side::Least };
    Plan::new(3, 5, columns, extras).unwrap().with_extremes(vec![worst]).unwrap()
}

/// Fills the rows of [`plan`] from the number of the campaign alone.
pub fn fill(campaign: u64, rows: &mut CampaignRows) {
    let luck = |purpose: u64| uniform(campaign * 100 + purpose);
    for arm in 0..3 {
        let row = rows.row_mut(arm);
        let shift = arm as f64;
        row.values[0] = 1e3 + shift - luck(0).ln() * (1.0 + 0.1 * shift);
        row.values[1] = (luck(1) * (3.0 + shift)).floor();
        row.values[2] = f64::from(luck(2) < 0.1 + 0.05 * shift);
        row.values[3] = match luck(3) {
            u if u < 0.01 => f64::NEG_INFINITY,
            u => 50.0 * u - shift,
        };
        row.values[4] = 6.0 + (luck(4) * 4.0).floor();
        *row.absent = if luck(5 + arm as u64) < 0.3 { 1 << 3 } else { 0 };
        for (k, extra) in row.extras.iter_mut().enumerate() {
            *extra = (luck(10 + k as u64) * 2.0).floor();
        }
    }
}

/// Every number of a tally of [`plan`] that may differ in its last digits by the order of merging.
fn numbers(tally: &Tally) -> Vec<f64> {
    let mut all = Vec::new();
    for single in tally.columns.iter().chain(&tally.extras) {
        all.extend([single.moments.mean, single.moments.m2, single.total]);
    }
    for ratio in tally.ratios.iter().chain(&tally.extra_ratios) {
        all.extend(ratio.co.mean.iter().chain(ratio.co.c.as_flattened()));
    }
    for pair in &tally.pairs {
        all.extend([pair.difference.mean, pair.difference.m2]);
    }
    for co in &tally.pair_ratios {
        all.extend(co.mean.iter().chain(co.c.as_flattened()));
    }
    all
}

/// Every count of a tally.
fn counts(tally: &Tally) -> Vec<u64> {
    let singles = tally.columns.iter().chain(&tally.extras);
    let singles = singles.flat_map(|s| [s.moments.n, s.nonzero, s.range.0.to_bits()]);
    let ratios = tally.ratios.iter().chain(&tally.extra_ratios);
    let ratios = ratios.flat_map(|r| [r.co.n, r.used, r.some, r.short, r.largest.to_bits()]);
    let pairs = tally.pairs.iter().flat_map(|p| [p.difference.n, p.both, p.lower, p.equal]);
    singles.chain(ratios).chain(pairs).collect()
}

fn tally_of(campaigns: std::ops::Range<u64>) -> Tally {
    let plan = plan();
    let (mut books, mut rows) = (Block::new(&plan), CampaignRows::new(&plan));
    for campaign in campaigns {
        rows.clear();
        fill(campaign, &mut rows);
        books.add(campaign, &rows);
    }
    let mut tally = Tally::new(&plan);
    books.close_into(&mut tally);
    tally
}

#[test]
fn every_split_of_a_tally_gives_the_same() {
    let whole = tally_of(0..90);
    for split in 0..=90 {
        let mut merged = tally_of(0..split);
        merged.merge(&tally_of(split..90));
        assert_eq!(counts(&merged), counts(&whole));
        for (found, expected) in numbers(&merged).iter().zip(numbers(&whole)) {
            // co-moments of nearly unrelated columns are small differences of large sums
            let scale = expected.abs().max(1.0);
            assert!((found - expected).abs() <= 1e-10 * scale, "{found} is not {expected}");
        }
    }
}

/// Against sums that are written down here once more, without shift, lanes or merging.
#[test]
fn a_tally_says_what_a_plain_loop_says() {
    let plan = plan();
    let n = 1000;
    let results = Results::in_order(&plan, n, fill);
    let mut kept = Vec::new();
    for campaign in 0..n {
        let mut rows = CampaignRows::new(&plan);
        fill(campaign, &mut rows);
        kept.push(rows);
    }
    let values = |arm: usize, i: usize| kept.iter().map(move |r| r.row(arm).get(i));
    let pairs = || values(0, 3).zip(values(2, 3)).filter_map(|(a, b)| a.zip(b));
    let found = &results.tally.pairs[plan.pair_index(0, 2) * 6 + 3];
    assert_eq!(found.both, pairs().count() as u64);
    assert_eq!(found.lower, pairs().filter(|(a, b)| b < a).count() as u64);
    assert_eq!(found.equal, pairs().filter(|(a, b)| b == a).count() as u64);
    let finite: Vec<f64> = pairs().map(|(a, b)| b - a).filter(|d| d.is_finite()).collect();
    assert!(finite.len() < pairs().count());
    let mean = finite.iter().sum::<f64>() / finite.len() as f64;
    assert_eq!(found.difference.n, finite.len() as u64);
    assert!((found.difference.mean - mean).abs() < 1e-12);

    let counted: f64 = values(1, 1).map(Option::unwrap).sum();
    let whole: f64 = values(1, 4).map(Option::unwrap).sum();
    assert_eq!(results.column(1, 1).total, counted);
    assert_eq!(results.estimate(1, 4).mean, Some(counted / whole));
    let least = values(1, 3).flatten().fold(f64::INFINITY, f64::min);
    let at = values(1, 3).position(|x| x == Some(least)).unwrap();
    assert_eq!(results.extremes.get(1, 0), Some((at as u64, least)));
    assert_eq!(results.histograms.get(1, 3).total(), values(1, 3).flatten().count() as u64);
    assert_eq!(results.campaigns(), n);
    assert!(results.estimate_extra_share(0, 0).unwrap().mean.is_some());
    assert_eq!(results.estimate_extra_share(0, 1), None);
}

#[test]
fn the_order_of_blocks_does_not_matter() {
    let plan = plan();
    for blocks in [1, 2, 3, 7, 16, 21] {
        let tally = |b: u64| tally_of(b * BLOCK..(b + 1) * BLOCK);
        let finish = |order: &mut dyn Iterator<Item = u64>| {
            let mut tree = Tree::new(&plan);
            order.for_each(|b| tree.insert(b, tally(b)));
            format!("{:?}", tree.finish())
        };
        let forth = finish(&mut (0..blocks));
        assert_eq!(forth, finish(&mut (0..blocks).rev()));
        assert_eq!(forth, finish(&mut (0..blocks).step_by(2).chain((1..blocks).step_by(2))));
    }
}

#[test]
fn a_tree_of_many_blocks_holds_few_tallies() {
    let plan = Plan::new(1, 0, vec![], vec![vec![]]).unwrap();
    let mut tree = Tree::new(&plan);
    let mut most = 0;
    for block in 0..100_000 {
        let tally = tree.take_spare();
        tree.insert(block, tally);
        most = most.max(tree.held());
    }
    assert!(most <= 18, "{most} tallies for 100 000 blocks");
}

fn two_arms(kind: Kind, n: u64, mut of: impl FnMut(u64) -> [f64; 2]) -> Difference {
    let column = Column::Plain { value: 0, kind };
    let plan = Plan::new(2, 1, vec![column], vec![vec![]; 2]).unwrap();
    let results = Results::in_order(&plan, n, |campaign, rows| {
        for (arm, x) in of(campaign).into_iter().enumerate() {
            rows.row_mut(arm).values[0] = x;
        }
    });
    results.compare(0, 1, 0)
}

/// Formula: with one uniform for both, X' = X/1.1 in every campaign, so the factor is
/// (1 + 1/1.21) / (1 - 1/1.1)^2 = 221 whatever was drawn.
#[test]
fn pairing_of_scaled_exponentials_gains_221() {
    let found = two_arms(Kind::Amount, 5000, |i| [-uniform(i).ln(), -uniform(i).ln() / 1.1]);
    assert!((found.variance_reduction.unwrap() / 221.0 - 1.0).abs() < 1e-9);
    assert_eq!(found.probability_lower, Some(1.0));
}

/// Formula: flags of 1e-3 and 8e-4 from one uniform differ with variance 2e-4 - 4e-8; apart they
/// have 1.79836e-3. An even grid of uniforms has exactly these shares.
#[test]
fn pairing_of_flags_gains_9() {
    let found = two_arms(Kind::Flag, 10_000, |i| {
        let u = (i as f64 + 0.5) / 1e4;
        [f64::from(u < 1e-3), f64::from(u < 8e-4)]
    });
    assert!((found.variance_reduction.unwrap() - 8.993599).abs() < 1e-6);
    assert!((found.difference.unwrap() + 2e-4).abs() < 1e-15);
    // Two differ, both down: u = 1 - sqrt(0.025) and (2 u - 1) 2/n.
    assert_eq!(found.method, "paired Clopper-Pearson");
    let high = (2.0 * (1.0 - 0.025_f64.sqrt()) - 1.0) * 2e-4;
    assert!((found.low.unwrap() + 2e-4).abs() < 1e-15);
    assert!((found.high.unwrap() - high).abs() < 1e-12);
    assert!(found.note.contains("conditional on the 2 campaigns that differ"), "{}", found.note);
}

/// 40 of 400 campaigns differ, 30 upward: 40 are as exact as 2. Clopper-Pearson of 30/40 from the
/// binomial tails: the limits leave 0.025 on either side.
#[test]
fn paired_flags_are_exact_at_every_number() {
    let found = two_arms(Kind::Flag, 400, |i| {
        [f64::from(!(10..200).contains(&i)), f64::from((10..40).contains(&i) || i >= 200)]
    });
    assert_eq!((found.difference, found.method), (Some(0.05), "paired Clopper-Pearson"));
    let share = |limit: f64| (limit / 0.1 + 1.0) / 2.0;
    let (low, high) = (share(found.low.unwrap()), share(found.high.unwrap()));
    let at_most = |p, k| crate::stats::beta::binomial_at_most(40, p, k);
    assert!((1.0 - at_most(low, 29) - 0.025).abs() < 1e-9);
    assert!((at_most(high, 30) - 0.025).abs() < 1e-9);
    assert_eq!(found.ratio.value, Some(230.0 / 210.0));
}

#[test]
fn identical_arms_differ_by_exactly_nothing() {
    let plan = Plan::new(2, 5, plan().columns().to_vec(), vec![vec![]; 2]).unwrap();
    let results = Results::in_order(&plan, 1000, |campaign, rows| {
        for arm in 0..2 {
            let row = rows.row_mut(arm);
            for (i, x) in row.values.iter_mut().enumerate() {
                *x = uniform(campaign * 10 + i as u64) * 1e6;
            }
            row.values[1] = row.values[1].floor();
            row.values[4] = row.values[1] + row.values[4].floor();
            row.values[2] = f64::from(row.values[2] < 1e5);
        }
    });
    for column in 0..6 {
        let found = results.compare(0, 1, column);
        assert_eq!(found.difference, Some(0.0), "column {column}");
        assert_eq!(found.probability_equal, Some(1.0));
        assert_eq!(found.variance_reduction, None);
        assert!(found.note.contains("no variance reduction"));
        assert!(found.note.contains("equal in all 1000 campaigns"), "{}", found.note);
        if column != 2 {
            assert_eq!((found.low, found.high), (Some(0.0), Some(0.0)), "column {column}");
        }
    }
    // of a flag it is only known that the share of campaigns that differ is small
    let bound = interval::none_seen_upper(1000.0, 0.05);
    assert_eq!(results.compare(0, 1, 2).high, Some(bound));
}

/// A weight of 1 that is written is the same as one that is not; other weights turn up in the mean
/// (unbiased: the sum of weight times value over n) and switch off what is only counted.
#[test]
fn weights() {
    let plan = plan();
    let plain = Results::in_order(&plan, 300, fill);
    let ones = Results::in_order(&plan, 300, |campaign, rows| {
        fill(campaign, rows);
        (0..3).for_each(|arm| *rows.row_mut(arm).weight = 1.0);
    });
    assert_eq!(format!("{plain:?}"), format!("{ones:?}"));
    let halves = Results::in_order(&plan, 300, |campaign, rows| {
        fill(campaign, rows);
        (0..3).for_each(|arm| *rows.row_mut(arm).weight = 0.5 + (campaign % 2) as f64);
    });
    let weights = halves.weights(0);
    assert_eq!((weights.sum, weights.squares, weights.largest), (300.0, 375.0, 1.5));
    assert_eq!(weights.effective(), Some(240.0));
    let mut sum = 0.0;
    for campaign in 0..300 {
        let mut rows = CampaignRows::new(&plan);
        fill(campaign, &mut rows);
        sum += rows.row(0).values[0] * (0.5 + (campaign % 2) as f64);
    }
    let found = halves.estimate(0, 0);
    assert!((found.mean.unwrap() / (sum / 300.0) - 1.0).abs() < 1e-13);
    assert!(found.sd.is_none() && found.quantiles.iter().all(|q| q.value.is_none()));
    assert!(found.note.contains("weighted"));
    assert_eq!(halves.compare(0, 1, 0).probability_lower, None);
    assert!(halves.column(0, 0).largest_share().unwrap() < 0.01);
}

#[test]
#[should_panic(expected = "campaign 3, arm 1, column 0: NaN is not a Amount")]
fn a_value_that_was_never_set_is_found_out() {
    two_arms(Kind::Amount, 10, |i| [1.0, if i == 3 { f64::NAN } else { 1.0 }]);
}

#[test]
#[should_panic(expected = "column 0: 0.5 is not a Flag")]
fn a_flag_is_0_or_1() {
    two_arms(Kind::Flag, 10, |_| [0.5, 1.0]);
}
