//! Functions with known indices, on the unit cube, and plain designs for them.

use std::f64::consts::PI;

/// Ishigami and Homma 1990 with a = 7, b = 0.1 on (-pi, pi)^3.
pub fn ishigami(u: &[f64]) -> f64 {
    let x = |i: usize| PI * (2.0 * u[i] - 1.0);
    x(0).sin() + 7.0 * x(1).sin().powi(2) + 0.1 * x(2).powi(4) * x(0).sin()
}

/// First-order and total indices: V1 = (1 + b pi^4 / 5)^2 / 2, V2 = a^2 / 8, V13 = 8 b^2 pi^8 / 225
/// (in many public test suites).
pub const ISHIGAMI: ([f64; 3], [f64; 3]) =
    ([0.313905191148, 0.442411144790, 0.0], [0.557588855210, 0.442411144790, 0.243683664062]);

/// Sobol's g-function with weights a.
pub fn g(u: &[f64], a: &[f64]) -> f64 {
    u.iter().zip(a).map(|(u, a)| ((4.0 * u - 2.0).abs() + a) / (1.0 + a)).product()
}

/// Its indices: V_i = 1 / (3 (1 + a_i)^2), V = prod(1 + V_i) - 1, T_i = V_i prod_others(1 + V_j) / V.
pub fn g_indices(a: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let part = |a: &f64| 1.0 / (3.0 * (1.0 + a) * (1.0 + a));
    let all: f64 = a.iter().map(|a| 1.0 + part(a)).product();
    let total = |a: &f64| part(a) * all / (1.0 + part(a)) / (all - 1.0);
    (a.iter().map(|a| part(a) / (all - 1.0)).collect(), a.iter().map(total).collect())
}

/// Morris' function of 20 factors (definition as in the test models of R package `sensitivity`);
/// the coefficients that Morris drew at random are (-1)^i and (-1)^(i+j).
pub fn morris20(u: &[f64]) -> f64 {
    let w: Vec<f64> = (1..=20)
        .map(|i| {
            let x = u[i - 1];
            match i {
                3 | 5 | 7 => 2.0 * (1.1 * x / (x + 0.1) - 0.5),
                _ => 2.0 * (x - 0.5),
            }
        })
        .collect();
    let sign = |n: usize| if n.is_multiple_of(2) { 1.0 } else { -1.0 };
    let mut y = 0.0;
    for i in 1..=20 {
        y += if i <= 10 { 20.0 } else { sign(i) } * w[i - 1];
        for j in i + 1..=20 {
            let pair = if j <= 6 { -15.0 } else { sign(i + j) };
            y += pair * w[i - 1] * w[j - 1];
            for l in j + 1..=5 {
                y -= 10.0 * w[i - 1] * w[j - 1] * w[l - 1];
            }
        }
    }
    y + 5.0 * w[0] * w[1] * w[2] * w[3]
}
