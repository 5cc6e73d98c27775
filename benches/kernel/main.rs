//! The engine beside a kernel: the same number of each effect on the same owners (rooms, exposure,
//! gas, leaks, parts, clocks, laws, luck, calendar), without rows, teams, conditions, interlocks
//! and books around them. The engine should reach at least half of its speed.
//!
//! `cargo bench --bench kernel` measures both in turn and says what each kind of effect costs; with
//! `-- engine 40` or `-- kernel 40` it plays so many campaigns of one and does nothing else, for
//! callgrind.

mod effects;
mod owners;
mod play;
mod script;

use effects::{Effect, Kind, LEG_DRAWS, METERS};
use play::Kernel;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use vestibule::campaign::{Counts, Player};
use vestibule::{check, model, scenario};

/// Campaigns of one turn, and turns.
const CAMPAIGNS: u64 = 8;
const TURNS: usize = 41;
/// The same where a kind of effect is left out.
const PRICE_TURNS: usize = 6;
/// A count that has moved by more than this is said.
const DRIFT: f64 = 0.1;

fn larkspur() -> model::Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let scenario = scenario::read(&file).scenario.expect("larkspur reads");
    model::compile(&check::check(scenario).0.expect("larkspur holds together"))
}

/// Time that this thread has had a processor, s: what others do on the machine is not in it. `None`
/// where the system does not say.
fn processor() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let ns: f64 = text.split_whitespace().next()?.parse().ok()?;
    (ns > 0.0).then_some(ns * 1e-9)
}

/// Time of some campaigns, us per architecture-campaign: of the processor, or else by the clock.
fn timed(arms: usize, first: u64, mut play: impl FnMut(u64)) -> f64 {
    let (start, had) = (Instant::now(), processor());
    (first..first + CAMPAIGNS).for_each(&mut play);
    let clock = start.elapsed().as_secs_f64();
    let seconds = had.zip(processor()).map_or(clock, |(from, to)| to - from);
    seconds * 1e6 / (CAMPAIGNS as f64 * arms as f64)
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

/// Counts of the engine beside those that the kernel plays.
fn compare(n: f64, c: Counts, kernel: &Kernel, updates: f64, arms: f64) {
    let of = |kind: Kind| METERS.iter().find(|m| m.kind == kind).map_or(0.0, |m| m.count);
    let asked = kernel.count(|e| match e {
        Effect::Demand { first, end, .. } => usize::from(end - first),
        _ => 0,
    });
    let rows = [
        ("rows", c.rows, of(Kind::Row)),
        ("uniforms of legs", c.draws, LEG_DRAWS),
        ("demands of failure modes", c.demands, asked as f64 / arms),
        ("events of the calendar", c.events, of(Kind::Event)),
        ("volume updates", c.volume_updates, updates),
    ];
    println!("per architecture-campaign        engine today   kernel");
    for (name, engine, kernel) in rows {
        let engine = engine as f64 / n;
        let off = (kernel / engine - 1.0).abs() > DRIFT;
        let word = if off { "   differs by more than a tenth" } else { "" };
        println!("  {name:30} {engine:11.0} {kernel:9.0}{word}");
    }
}

/// What leaving out each kind saves, us per architecture-campaign.
fn prices(model: &model::Model, whole: &mut Kernel) {
    let arms = model.arms.len();
    println!("\nkind of effect                           count    us saved without it   ns each");
    for m in METERS.iter().filter(|m| m.kind != Kind::Row) {
        let mut less = Kernel::new(model, Some(m.kind));
        let (mut with, mut without) = (f64::INFINITY, f64::INFINITY);
        for _ in 0..PRICE_TURNS {
            with = with.min(timed(arms, 0, |k| _ = black_box(whole.play(k))));
            without = without.min(timed(arms, 0, |k| _ = black_box(less.play(k))));
        }
        let saved = with - without;
        println!("  {:36} {:8.1} {saved:14.1} {:16.0}", m.name, m.count, saved * 1e3 / m.count);
    }
}

fn bench() {
    let model = larkspur();
    let arms = model.arms.len();
    let (mut player, mut kernel) = (Player::new(&model), Kernel::new(&model, None));
    let (mut engine, mut bare, mut ratio) = (vec![], vec![], vec![]);
    for turn in 0..TURNS as u64 {
        let first = turn * CAMPAIGNS;
        let a = timed(arms, first, |k| _ = black_box(player.play(k).count()));
        let b = timed(arms, first, |k| _ = black_box(kernel.play(k)));
        engine.push(a);
        bare.push(b);
        ratio.push(b / a);
    }
    let n = (TURNS as u64 * CAMPAIGNS) as f64 * arms as f64;
    compare(n, player.counts(), &kernel, kernel.updates() as f64 / n, arms as f64);
    prices(&model, &mut kernel);
    println!("\nmedian of {TURNS} turns of {CAMPAIGNS} campaigns, us per architecture-campaign");
    println!("  engine {:9.1}", median(engine));
    println!("  kernel {:9.1}", median(bare));
    let ratio = median(ratio);
    println!("  the engine reaches {ratio:.2} of the speed of the kernel; asked: 0.50");
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let campaigns = args.get(1).and_then(|n| n.parse().ok()).unwrap_or(40);
    match args.first().map(String::as_str) {
        None => bench(),
        Some("engine") => {
            let model = larkspur();
            let mut player = Player::new(&model);
            (0..campaigns).for_each(|k| _ = black_box(player.play(k).count()));
        }
        Some("kernel") => {
            let model = larkspur();
            let mut kernel = Kernel::new(&model, None);
            (0..campaigns).for_each(|k| _ = black_box(kernel.play(k)));
        }
        Some(other) => eprintln!("{other}: engine or kernel, and a number of campaigns"),
    }
}
