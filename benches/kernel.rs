//! A bare kernel with the counts of larkspur: as many rows, draws, demands, volume updates and events
//! as one architecture-campaign has on average, and nothing else. The engine should reach at least half
//! of its speed (design 7). The counts are read from the engine and printed.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;
use std::path::Path;
use vestibule::base::calendar::Calendar;
use vestibule::base::law::{Law, Prepared};
use vestibule::base::stream::Luck;
use vestibule::campaign::{Counts, Player};
use vestibule::physics::mixed::{Mixed, Rates, Stock};
use vestibule::{check, model, scenario};

fn larkspur() -> model::Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let scenario = scenario::read(&file).scenario.expect("larkspur reads");
    model::compile(&check::check(scenario).0.expect("larkspur holds together"))
}

/// Mean counts of one architecture-campaign.
fn counts(model: &model::Model) -> Counts {
    let mut player = Player::new(model);
    let campaigns = 100;
    for k in 0..campaigns {
        black_box(player.play(k).count());
    }
    let total = player.counts();
    let n = campaigns * model.arms.len() as u64;
    Counts {
        rows: total.rows / n,
        draws: total.draws / n,
        demands: total.demands / n,
        volume_updates: total.volume_updates / n,
        events: total.events / n,
    }
}

struct Kernel {
    luck: Luck,
    law: Prepared,
    calendar: Calendar<u32>,
    draws: [f64; 32],
    left: [f64; 64],
    mixed: [Mixed; 2],
    stock: [Stock; 2],
    states: [f64; 32],
}

impl Kernel {
    fn new() -> Kernel {
        let rates = |x| Rates { filter: x, deposit: 2e-4, resuspend: 1e-8, clean: 0.0 };
        Kernel {
            luck: Luck::new(1),
            law: Prepared::new(Law::Triangular { low: 1.0, mode: 2.0, high: 4.0 }),
            calendar: Calendar::new(16),
            draws: [0.5; 32],
            left: [1e9; 64],
            mixed: [Mixed::new(rates(1e-3)), Mixed::new(rates(2e-3))],
            stock: [Stock { air: 1e-3, floor: 1e-2 }; 2],
            states: [0.0; 32],
        }
    }

    fn campaign(&mut self, index: u64, n: &Counts) -> f64 {
        self.calendar.clear();
        (0..6).for_each(|i| {
            self.calendar.schedule(f64::from(i), 0, i);
        });
        let mut sum = 0.0;
        for leg in 0..n.draws / 32 {
            self.luck.fill(index, 7, leg, 1, &mut self.draws);
            sum += self.draws.iter().map(|u| self.law.quantile(*u)).sum::<f64>();
        }
        for row in 0..n.rows {
            let state = &mut self.states[row as usize % 32];
            match row % 5 {
                0 => *state += sum,
                1 => *state *= 0.5,
                2 => *state = state.max(1.0),
                3 => *state -= 1.0,
                _ => *state = -*state,
            }
        }
        for d in 0..n.demands {
            self.left[d as usize % 64] -= 1e-4;
        }
        for v in 0..n.volume_updates {
            let i = v as usize % 2;
            self.stock[i] = self.mixed[i].after(self.stock[i], 60.0).stock;
            self.stock[i].air += 1e-6;
        }
        for _ in 0..n.events {
            if let Some((t, e)) = self.calendar.pop() {
                self.calendar.schedule(t + 1.0 + f64::from(e), 0, e);
            }
        }
        sum + self.left[0] + self.stock[0].air + self.states[3]
    }
}

fn kernel(c: &mut Criterion) {
    let model = larkspur();
    let n = counts(&model);
    println!("counts of one architecture-campaign of larkspur: {n:?}");
    let mut kernel = Kernel::new();
    let mut player = Player::new(&model);
    let mut group = c.benchmark_group("kernel");
    group.throughput(Throughput::Elements(1));
    let mut k = 0;
    group.bench_function("bare kernel, same counts", |b| {
        b.iter(|| {
            k += 1;
            black_box(kernel.campaign(k, &n))
        });
    });
    group.throughput(Throughput::Elements(model.arms.len() as u64));
    group.bench_function("engine, all architectures", |b| {
        b.iter(|| {
            k += 1;
            black_box(player.play(k).count())
        });
    });
    group.finish();
}

criterion_group!(benches, kernel);
criterion_main!(benches);
