//! Designs of sweeps beside scipy's: the quasi-random sequence number by number, scrambled and stratified
//! designs by how evenly they fill the cube.

use super::cases::Cases;
use vestibule::study::sweep::design::{latin_hypercube, plain_sequence, sequence};

/// Dimensions and points of the sequence that are compared.
const SIZES: &[(usize, usize)] = &[(1, 16), (2, 64), (20, 130), (100, 40)];

pub fn ask(c: &mut Cases) {
    for &(factors, points) in SIZES {
        let ours = plain_sequence(points, factors);
        // Every factor at some points, and every point in some factors.
        for i in (0..points * factors).step_by(1 + points * factors / 40) {
            let (point, factor) = (i / factors, i % factors);
            let x = ours[i] as f64 / 2f64.powi(64);
            let what = format!("sobol sequence, {factors} factors: point {point}, factor {factor}");
            let numbers = [factors as f64, point as f64, factor as f64];
            c.ask("sobol", what, &numbers, x);
        }
    }
    for (factors, points) in [(2, 64), (5, 256), (8, 1024)] {
        let numbers = [factors as f64, points as f64];
        let fill = centred_discrepancy(&sequence(points, factors, 20), factors);
        let what = format!("scrambled sequence: discrepancy, {points} points, {factors} factors");
        c.ask("sobol_discrepancy", what, &numbers, fill);
        let fill = centred_discrepancy(&latin_hypercube(points, factors, 20), factors);
        let what = format!("latin hypercube: discrepancy, {points} points, {factors} factors");
        c.ask("hypercube_discrepancy", what, &numbers, fill);
    }
}

/// Squared centred L2 discrepancy. Formula: F. Hickernell, Math. Comput. 67, 1998, (5) (from memory).
fn centred_discrepancy(unit: &[f64], factors: usize) -> f64 {
    let rows: Vec<&[f64]> = unit.chunks_exact(factors).collect();
    let n = rows.len() as f64;
    let far = |x: f64| (x - 0.5).abs();
    let one: f64 = rows
        .iter()
        .map(|r| r.iter().map(|x| 1.0 + 0.5 * far(*x) - 0.5 * far(*x).powi(2)).product::<f64>())
        .sum();
    let pair = |a: &[f64], b: &[f64]| -> f64 {
        let each = a.iter().zip(b);
        each.map(|(x, y)| 1.0 + 0.5 * far(*x) + 0.5 * far(*y) - 0.5 * (x - y).abs()).product()
    };
    let two: f64 = rows.iter().map(|a| rows.iter().map(|b| pair(a, b)).sum::<f64>()).sum();
    (13.0f64 / 12.0).powi(factors as i32) - 2.0 / n * one + two / (n * n)
}
