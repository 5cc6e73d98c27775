//! Cost of tallying: a campaign of five arms with 60 columns and ten pairs, closing a block,
//! merging two tallies.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use vestibule::stats::{Block, CampaignRows, Column, Kind, Plan, Results, Tally};

const ARMS: usize = 5;
const VALUES: usize = 72;

/// 48 plain columns and 12 ratios.
fn plan() -> Plan {
    let kind = |i: usize| {
        if i.is_multiple_of(3) { Kind::Count } else { Kind::Amount }
    };
    let plain = (0..48).map(|value| Column::Plain { value, kind: kind(value) });
    let ratio = |i: usize| Column::Ratio { numerator: 48 + i, denominator: 60 + i, share: false };
    let columns = plain.chain((0..12).map(ratio)).collect();
    Plan::new(ARMS, VALUES, columns, vec![vec![]; ARMS]).expect("the plan is sound")
}

fn fill(campaign: u64, rows: &mut CampaignRows) {
    for arm in 0..ARMS {
        for (i, value) in rows.row_mut(arm).values.iter_mut().enumerate() {
            *value = 1.0 + ((campaign * 37 + (i * (arm + 3)) as u64) % 101) as f64;
        }
    }
}

fn bench(c: &mut Criterion) {
    let plan = plan();
    let mut rows = CampaignRows::new(&plan);
    fill(1, &mut rows);
    let mut books = Block::new(&plan);
    let mut tally = Tally::new(&plan);
    c.bench_function("one campaign of five arms", |b| {
        b.iter(|| books.add(black_box(7), black_box(&rows)));
    });
    c.bench_function("close a block", |b| b.iter(|| books.close_into(black_box(&mut tally))));
    let whole = Results::in_order(&plan, 64, fill).tally;
    c.bench_function("merge two tallies", |b| {
        b.iter_batched_ref(
            || whole.clone(),
            |left| left.merge(black_box(&whole)),
            BatchSize::SmallInput,
        );
    });
    c.bench_function("two blocks with their tree", |b| {
        b.iter(|| Results::in_order(black_box(&plan), 128, fill));
    });
}

criterion_group!(benches, bench);
criterion_main!(benches);
