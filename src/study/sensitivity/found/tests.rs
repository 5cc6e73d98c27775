//! Designs are read in the order of their points.

use super::*;
use crate::study::sweep::answers::{Factor, Gap, Luck, Measured, Point, Said};

/// Answers of two architectures with outputs f and g at the points.
fn answers(design: Design, points: Vec<Vec<Option<f64>>>, f: &dyn Fn(&[f64]) -> f64) -> Answers {
    let k = points[0].len();
    let filled = |p: &Vec<Option<f64>>| p.iter().map(|u| u.unwrap_or(0.5)).collect::<Vec<_>>();
    let said = |scale: f64| {
        let one = |p| Some(Said { mean: scale * f(&filled(p)), var_of_mean: Some(1e-8), n: 64 });
        points.iter().map(one).collect::<Vec<_>>()
    };
    let gap = |p| Some(Gap { mean: f(&filled(p)), var_of_mean: Some(1e-8), n: 64 });
    let name = |n: usize| Factor { name: format!("x{n}"), unit: String::new(), levels: vec![] };
    Answers {
        design,
        luck: Luck::Own,
        factors: (1..=k).map(name).collect(),
        architectures: vec!["one".into(), "two".into()],
        measures: vec![Measured { name: "m".into(), unit: "kg".into(), probability: true }],
        said: vec![said(1.0), said(2.0)],
        gaps: vec![points.iter().map(gap).collect()],
        points: points.into_iter().map(|unit| Point { value: unit.clone(), unit }).collect(),
    }
}

fn value(all: &[Found], analysis: &str, name: &str, arm: usize, factor: usize) -> Found {
    let wanted = |f: &&Found| {
        (f.analysis, f.name, f.architecture, f.factor) == (analysis, name, arm, Some(factor))
            && f.reference.is_none()
            && f.scale == Scale::Plain
    };
    all.iter().find(wanted).unwrap_or_else(|| panic!("no {analysis} {name}")).clone()
}

fn some(x: &[f64]) -> Vec<Option<f64>> {
    x.iter().map(|x| Some(*x)).collect()
}

/// One trajectory of y = 1 + 3 x1 - x2 and another: effects 3 and -1, doubled for the second.
#[test]
fn trajectories_are_read_in_their_order() {
    let d = 2.0 / 3.0;
    let points = [[0.0, 1.0], [d, 1.0], [d, 1.0 - d], [1.0, 0.0], [1.0, d], [1.0 - d, d]];
    let design = Design::Trajectories { count: 2, levels: 4, step: d };
    let a = answers(design, points.iter().map(|p| some(p)).collect(), &|x| 2.0 + 3.0 * x[0] - x[1]);
    let all = found(&a, 1);
    let mu = |arm, i| value(&all, EFFECTS, "mu", arm, i).index.value.unwrap();
    for (got, expected) in [(mu(0, 0), 3.0), (mu(0, 1), -1.0), (mu(1, 0), 6.0)] {
        assert!((got - expected).abs() < 1e-12, "{got}");
    }
    assert_eq!(value(&all, EFFECTS, "mu star", 0, 1).rank, Some(2));
    assert!(all.iter().any(|f| f.reference == Some(0) && f.architecture == 1));
    assert!(all.iter().any(|f| f.scale == Scale::Log10 && f.index.value.is_some()));
}

#[test]
fn one_at_a_time_goes_by_its_levels() {
    let mut points = vec![vec![None, None]];
    points.extend([0.0, 0.5, 1.0].map(|u| vec![Some(u), None]));
    points.extend([0.0, 1.0].map(|u| vec![None, Some(u)]));
    let design = Design::OneAtATime { levels: vec![3, 2] };
    let all = found(&answers(design, points, &|x| 2.0 + x[0] - 0.5 * x[1]), 1);
    let of = |name, i| value(&all, ONE, name, 0, i).index.value.unwrap();
    let expected = [("swing", 0, 1.0), ("low end", 0, -0.5), ("swing", 1, -0.5)];
    expected.iter().for_each(|(n, i, e)| assert!((of(n, *i) - e).abs() < 1e-12, "{n}"));
}

/// Saltelli rows with second order, of y = 1 + x1 + x2 x3, and regression on a and b alone.
#[test]
fn saltelli_rows_are_read_in_their_order() {
    let mut draws = stream::Luck::new(3).stream(0, 0, 0, 0);
    let (k, rows) = (3, 2048);
    let mut points = Vec::new();
    for _ in 0..rows {
        use rand::RngExt;
        let mut row = || (0..k).map(|_| draws.random::<f64>()).collect::<Vec<_>>();
        let (a, b) = (row(), row());
        let swapped = |x: &[f64], y: &[f64], i: usize| {
            let mut x = x.to_vec();
            x[i] = y[i];
            some(&x)
        };
        points.extend([some(&a), some(&b)]);
        points.extend((0..k).map(|i| swapped(&a, &b, i)));
        points.extend((0..k).map(|i| swapped(&b, &a, i)));
    }
    let design = Design::Saltelli { rows, second_order: true };
    let all = found(&answers(design, points, &|x| 1.0 + x[0] + x[1] * x[2]), 1);
    // V = 1/12 + 7/144; the product has S = 3/7 and T = 4/7 of its part.
    let v = 1.0 / 12.0 + 7.0 / 144.0;
    let s = [1.0 / 12.0 / v, 3.0 / 144.0 / v, 3.0 / 144.0 / v];
    let t = [s[0], 4.0 / 144.0 / v, 4.0 / 144.0 / v];
    for i in 0..k {
        let first = value(&all, SOBOL, "first order", 1, i).index.value.unwrap();
        let total = value(&all, SOBOL, "total", 1, i).index.value.unwrap();
        assert!((first - s[i]).abs() < 0.06 && (total - t[i]).abs() < 0.06, "{first} {total}");
    }
    assert_eq!(value(&all, REGRESSION, "coefficient", 0, 0).index.n, 2 * rows as u64);
    assert_eq!(found(&answers(Design::Sequence, vec![some(&[0.1]); 3], &|_| 0.0), 1).len(), 17);
}
