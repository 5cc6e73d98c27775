//! Whole campaigns of larkspur, one architecture-campaign after the other on one thread, and the same
//! by architecture.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;
use std::path::Path;
use vestibule::campaign::Player;
use vestibule::{check, model, scenario};

fn larkspur() -> model::Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let reading = scenario::read(&file);
    let scenario = reading.scenario.expect("larkspur reads");
    let (checked, _) = check::check(scenario);
    model::compile(&checked.expect("larkspur holds together"))
}

fn campaigns(c: &mut Criterion) {
    let model = larkspur();
    let mut player = Player::new(&model);
    let mut group = c.benchmark_group("campaign");
    group.throughput(Throughput::Elements(model.arms.len() as u64));
    let mut k = 0;
    group.bench_function("all architectures, paired", |b| {
        b.iter(|| {
            k += 1;
            black_box(player.play(k).count())
        });
    });
    group.throughput(Throughput::Elements(1));
    for (a, arm) in model.arms.iter().enumerate() {
        group.bench_function(&arm.name, |b| {
            b.iter(|| {
                k += 1;
                black_box(player.play_one(a, k).weight)
            });
        });
    }
    group.finish();
}

criterion_group!(benches, campaigns);
criterion_main!(benches);
