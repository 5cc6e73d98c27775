//! Speed of what a campaign does most: numbers by address, laws, the calendar.
//! Run with `cargo bench --bench base`.

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;
use vestibule::base::calendar::Calendar;
use vestibule::base::law::{LAWS, Law, Prepared};
use vestibule::base::stream::{Luck, fnv1a64};

/// Uniform numbers: one block per number against many at once.
fn numbers(c: &mut Criterion) {
    let luck = Luck::new(1);
    let path = fnv1a64("bench");
    let mut group = c.benchmark_group("numbers");
    group.throughput(Throughput::Elements(1));
    let mut campaign = 0;
    group.bench_function("uniform", |b| {
        b.iter(|| {
            campaign += 1;
            black_box(luck.uniform(campaign, path, 1, 2, 3))
        });
    });
    for n in [16, 64] {
        let mut out = vec![0.0; n];
        group.throughput(Throughput::Elements(n as u64));
        group.bench_function(format!("fill {n}"), |b| {
            b.iter(|| {
                campaign += 1;
                luck.fill(campaign, path, 1, 2, black_box(&mut out));
            });
        });
    }
    group.finish();
}

/// Quantile of 64 numbers, per number, for every law of the registry that is drawn in play.
fn quantiles(c: &mut Criterion) {
    let mut uniforms = [0.0; 64];
    Luck::new(2).fill(0, 0, 0, 0, &mut uniforms);
    let mut group = c.benchmark_group("quantile");
    group.throughput(Throughput::Elements(uniforms.len() as u64));
    for entry in LAWS {
        if matches!(entry.example, Law::Fixed(_) | Law::Bernoulli { .. }) {
            continue;
        }
        let law = Prepared::new(entry.example);
        group.bench_function(entry.name, |b| {
            b.iter(|| -> f64 { black_box(&uniforms).iter().map(|u| law.quantile(*u)).sum() });
        });
    }
    group.finish();
}

/// Hold model: take the next event and schedule its successor, with so many pending.
fn calendar(c: &mut Criterion) {
    let mut uniforms = [0.0; 1_024];
    Luck::new(3).fill(0, 0, 0, 0, &mut uniforms);
    let mut group = c.benchmark_group("calendar hold");
    group.throughput(Throughput::Elements(uniforms.len() as u64));
    for pending in [4u16, 8, 16, 64] {
        let mut full = Calendar::new(usize::from(pending));
        for i in 0..pending {
            full.schedule(uniforms[usize::from(i)], 0, i);
        }
        group.bench_function(format!("{pending} pending"), |b| {
            b.iter_batched_ref(
                || full.clone(),
                |calendar| {
                    for u in &uniforms {
                        if let Some((now, event)) = calendar.pop() {
                            calendar.schedule(now + u, 0, event);
                        }
                    }
                    black_box(calendar.peek())
                },
                BatchSize::SmallInput,
            );
        });
    }
    group.finish();
}

criterion_group!(benches, numbers, quantiles, calendar);
criterion_main!(benches);
