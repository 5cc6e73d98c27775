//! Estimators of sensitivity beside SALib and numpy: the same designs, the same outputs.

use super::{environment, record};
use rand::RngExt;
use serde_json::{Value, json};
use std::f64::consts::PI;
use std::fs;
use vestibule::base::stream::{Luck, Stream};
use vestibule::study::sensitivity::effects::{Effect, elementary};
use vestibule::study::sensitivity::regression::{partial_ranks, ranked, standardised};
use vestibule::study::sensitivity::sobol::{Blocks, indices};
use vestibule::study::sensitivity::{self, Index, Runs};

const OWN: sensitivity::Luck = sensitivity::Luck::Own;

/// Indices of every case: Sobol' 3 x 2, elementary effects 3 x 3, regression 2 x (3 + 1) and 3
/// robust errors, partial ranks 3.
const RECORDS: usize = 6 + 9 + 8 + 3 + 3;

fn seeded(seed: u64) -> Stream {
    Luck::new(seed).stream(0, 0, 0, 0)
}

/// Ishigami and Homma's function with a = 7, b = 0.1 on the unit cube.
fn ishigami(u: &[f64]) -> f64 {
    let x = |i: usize| PI * (2.0 * u[i] - 1.0);
    x(0).sin() + 7.0 * x(1).sin().powi(2) + 0.1 * x(2).powi(4) * x(0).sin()
}

fn value(i: &Index) -> f64 {
    i.value.expect("an index")
}

#[test]
fn estimators_agree_with_salib_and_numpy() {
    let Some(python) = environment::python("sensitivity against SALib and numpy") else {
        return;
    };
    let cases = [sobol(), effects(), regression()];
    let folder = record::folder();
    let (asked, answered) =
        (folder.join("sensitivity-asked.json"), folder.join("sensitivity.json"));
    fs::write(&asked, json!(cases).to_string()).expect("the cases");
    let script = format!("{}/tests/reference/sensitivity.py", env!("CARGO_MANIFEST_DIR"));
    let arguments = ["-B", &script, &asked.display().to_string(), &answered.display().to_string()];
    let run = environment::run(&python.display().to_string(), &arguments);
    run.unwrap_or_else(|why| panic!("{why}"));
    record::hold("sensitivity", RECORDS);
}

/// 1024 random rows of Saltelli's design for Ishigami.
fn sobol() -> Value {
    let (k, mut draws) = (3, seeded(1));
    let mut all = vec![Vec::new(); k + 2];
    let mut flat = Vec::new();
    for _ in 0..1024 {
        let mut row = || (0..k).map(|_| draws.random::<f64>()).collect::<Vec<_>>();
        let (a, b) = (row(), row());
        let mixed = |i: usize| {
            let mut x = a.clone();
            x[i] = b[i];
            ishigami(&x)
        };
        let ab: Vec<f64> = (0..k).map(mixed).collect();
        let row = [vec![ishigami(&a), ishigami(&b)], ab.clone()].concat();
        all.iter_mut().zip(&row).for_each(|(column, y)| column.push(*y));
        // The order in which SALib takes outputs: A, AB by factor, B.
        flat.extend([vec![row[0]], ab, vec![row[1]]].concat());
    }
    let runs = |i: usize| Runs::certain(&all[i]);
    let blocks = Blocks { a: runs(0), b: runs(1), ab: (2..k + 2).map(runs).collect(), luck: OWN };
    let found = indices(&blocks, &mut seeded(2));
    let of = |all: &[Index]| all.iter().map(value).collect::<Vec<_>>();
    json!({ "kind": "sobol", "y": flat, "first": of(&found.first), "total": of(&found.total) })
}

/// 40 trajectories of Ishigami on 4 levels.
fn effects() -> Value {
    let (k, step, mut draws) = (3, 2.0 / 3.0, seeded(3));
    let (mut x_all, mut y_all) = (Vec::new(), Vec::new());
    let mut effects = vec![Vec::new(); k];
    for _ in 0..40 {
        let up: Vec<bool> = (0..k).map(|_| draws.random()).collect();
        let start = |up: &bool| {
            let level = f64::from(draws.random_range(0..2_u8)) / 3.0;
            if *up { level } else { level + step }
        };
        let mut x: Vec<f64> = up.iter().map(start).collect();
        let mut order: Vec<usize> = (0..k).collect();
        (1..k).rev().for_each(|i| order.swap(i, draws.random_range(0..=i)));
        let mut before = ishigami(&x);
        x_all.push(x.clone());
        y_all.push(before);
        for i in order {
            let signed = if up[i] { step } else { -step };
            x[i] += signed;
            let after = ishigami(&x);
            effects[i].push(Effect::of((before, 0.0), (after, 0.0), signed));
            before = after;
            x_all.push(x.clone());
            y_all.push(after);
        }
    }
    let found: Vec<_> = effects.iter().map(|e| elementary(e, OWN)).collect();
    json!({
        "kind": "effects",
        "x": x_all,
        "y": y_all,
        "mu": found.iter().map(|e| value(&e.mu)).collect::<Vec<_>>(),
        "mu_star": found.iter().map(|e| value(&e.mu_star)).collect::<Vec<_>>(),
        "sigma": found.iter().map(|e| value(&e.sigma)).collect::<Vec<_>>(),
    })
}

/// 300 random runs of a bent function of three factors that are not independent.
fn regression() -> Value {
    let mut draws = seeded(4);
    let x: Vec<Vec<f64>> = (0..300)
        .map(|_| {
            let u: Vec<f64> = (0..3).map(|_| draws.random::<f64>()).collect();
            vec![u[0], 0.7 * u[0] + 0.3 * u[1], u[2]]
        })
        .collect();
    let f = |r: &[f64]| (2.0 * r[0]).exp() - 3.0 * r[1] + r[2] * r[2] * r[0];
    let y: Vec<f64> = x.iter().map(|r| f(r)).collect();
    let columns: Vec<Vec<f64>> = (0..3).map(|i| x.iter().map(|r| r[i]).collect()).collect();
    let factors: Vec<&[f64]> = columns.iter().map(Vec::as_slice).collect();
    let runs = Runs::certain(&y);
    let (plain, ranks) = (standardised(&factors, runs, OWN), ranked(&factors, runs));
    let partial = partial_ranks(&factors, runs);
    let of = |all: &[Index]| all.iter().map(value).collect::<Vec<_>>();
    let half = |i: &Index| 0.5 * (i.high.expect("a limit") - i.low.expect("a limit"));
    json!({
        "kind": "regression",
        "x": x,
        "y": y,
        "plain": of(&plain.coefficients),
        "half": plain.coefficients.iter().map(half).collect::<Vec<_>>(),
        "plain_r2": value(&plain.r2),
        "ranks": of(&ranks.coefficients),
        "ranks_r2": value(&ranks.r2),
        "partial": of(&partial),
    })
}
