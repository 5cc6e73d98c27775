//! What a campaign costs as things grow: campaigns, sorties, crew, failure modes. Throughput is given in
//! what grows, so that a line that stays level says "linear", and one that climbs "less than linear".
//! Played on the small campaign of the closed-form tests, one thread.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use std::fmt::Write;
use std::hint::black_box;
use std::path::Path;
use vestibule::campaign::Player;
use vestibule::model::{self, Model};
use vestibule::{check, scenario};

/// The small campaign with lines of it changed, and something added.
fn small(changed: &[(&str, &str)], added: &str) -> Model {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/small");
    let folder = tempfile::tempdir().expect("a folder for a campaign");
    std::fs::create_dir(folder.path().join("access")).expect("a folder for an access system");
    let copy = |name: &str| std::fs::copy(from.join(name), folder.path().join(name));
    copy("access/plain-lock.toml").expect("the access system is there");
    let mut text = std::fs::read_to_string(from.join("base.toml")).expect("the campaign is there");
    for (old, new) in changed {
        assert!(text.contains(old), "{old} is not in the campaign");
        text = text.replace(old, new);
    }
    text.push_str(added);
    let file = folder.path().join("campaign.toml");
    std::fs::write(&file, text).expect("the campaign is written");
    let scenario = scenario::read(&file).scenario.expect("it reads");
    let (checked, findings) = check::check(scenario);
    model::compile(&checked.unwrap_or_else(|| panic!("it holds together: {findings:?}")))
}

/// Days of the campaign for so many sorties: two a week are planned.
fn sorties(n: u64) -> Model {
    let length = format!("length = \"{} d\"", n * 7 / 2);
    small(
        &[
            ("length = \"30 d\"", &length),
            ("\"200 kg\"", "\"2e4 kg\""),
            ("\"120 kg\"", "\"2e4 kg\""),
        ],
        "",
    )
}

fn crew(n: usize) -> Model {
    const NAMES: [&str; 8] = ["Ada", "Ben", "Cleo", "Dov", "Esi", "Fay", "Gil", "Hal"];
    let names = NAMES[..n].join("\", \"");
    let people = format!("haven_people = {n}");
    let names = format!("names = [\"{names}\"]");
    small(&[("names = [\"Ada\", \"Ben\", \"Cleo\"]", &names), ("haven_people = 3", &people)], "")
}

fn modes(n: usize) -> Model {
    let mut added = String::new();
    for i in 0..n {
        write!(
            added,
            "\n[failure.leak-{i}]\non = \"main.inner\"\nwhen = \"on opening\"\nlaw = 1e-7\neffect = \"slower\"\nfactor = 1.5\nbasis = \"assumed\"\nrepair = {{ takes = \"1 h\", crew = 1, success = 1.0 }}\n"
        )
        .expect("text grows");
    }
    small(&[], &added)
}

fn grows(c: &mut Criterion, name: &str, models: Vec<(u64, Model)>) {
    let mut group = c.benchmark_group(name);
    for (n, model) in &models {
        group.throughput(Throughput::Elements(*n));
        group.bench_with_input(BenchmarkId::from_parameter(n), model, |b, model| {
            let mut player = Player::new(model);
            let mut k = 0;
            b.iter(|| {
                k += 1;
                black_box(player.play(k).count())
            });
        });
    }
    group.finish();
}

fn linear(c: &mut Criterion) {
    grows(c, "sorties", [8, 32, 128].map(|n| (n, sorties(n))).into());
    grows(c, "crew", [3, 5, 8].map(|n| (n as u64, crew(n))).into());
    grows(c, "failure modes", [8, 32, 128].map(|n| (n as u64, modes(n))).into());
    let model = small(&[], "");
    let mut group = c.benchmark_group("campaigns");
    for n in [64_u64, 256, 1024] {
        group.throughput(Throughput::Elements(n));
        group.bench_with_input(BenchmarkId::from_parameter(n), &n, |b, n| {
            let mut player = Player::new(&model);
            b.iter(|| (0..*n).map(|k| player.play(k).count()).sum::<usize>());
        });
    }
    group.finish();
}

criterion_group!(benches, linear);
criterion_main!(benches);
