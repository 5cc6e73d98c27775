//! Where the points of a design lie in the unit cube, row by row. Everything random in them has an
//! address (seed, point, factor), so that a design is the same on any machine.

use crate::base::stream::{Luck, fnv1a64, open01};
use sobol::Sobol;
use sobol::params::JoeKuoD6;

/// Most dimensions of a Sobol' sequence; Saltelli's design takes two for each factor.
pub const MOST_DIMENSIONS: usize = 100;
/// Bits of a Sobol' number that are scrambled bit by bit; what lies below is drawn at random.
const SCRAMBLED: u32 = 32;

const STRATA: u64 = fnv1a64("latin hypercube: order of strata");
const WITHIN: u64 = fnv1a64("latin hypercube: place in a stratum");
const START: u64 = fnv1a64("elementary effects: start");
const TURN: u64 = fnv1a64("elementary effects: order of factors");
const SCRAMBLE: u64 = fnv1a64("sobol sequence: scrambling");
const BELOW: u64 = fnv1a64("sobol sequence: digits below");

/// A Latin hypercube: in every factor each of `points` strata of equal width holds one point, at a random
/// place of it; strata are joined in random order.
///
/// Formula: u = (pi_j(i) + U) / n. Source: M. McKay, R. Beckman, W. Conover, Technometrics 21, 1979
/// (from memory).
pub fn latin_hypercube(points: usize, factors: usize, seed: u64) -> Vec<f64> {
    let luck = Luck::new(seed);
    let mut unit = vec![0.0; points * factors];
    for j in 0..factors {
        let order = shuffled(points, |i| luck.block(i as u64, STRATA, j as u64, 0, 0)[0]);
        for (i, stratum) in order.into_iter().enumerate() {
            let within = luck.uniform(i as u64, WITHIN, j as u64, 0, 0);
            unit[i * factors + j] = (stratum as f64 + within) / points as f64;
        }
    }
    unit
}

/// 0 to n - 1 in a random order: by the random word of each.
fn shuffled(n: usize, word: impl Fn(usize) -> u64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by_key(|&i| (word(i), i));
    order
}

/// The first points of a Sobol' sequence, scrambled as Owen does it: every digit is turned over or not, by
/// a coin that depends on all digits above it. Each point is then uniform in the cube, and the balance of
/// the sequence is kept.
///
/// Directions: S. Joe, F. Kuo, SIAM J. Sci. Comput. 30, 2008, new-joe-kuo-6 (from memory; by the library
/// `sobol`, held to those of scipy). Scrambling: A. Owen, 1995 (from memory).
///
/// # Panics
/// With more than [`MOST_DIMENSIONS`] factors.
pub fn sequence(points: usize, factors: usize, seed: u64) -> Vec<f64> {
    let luck = Luck::new(seed);
    let plain = plain_sequence(points, factors);
    let scrambled =
        plain.into_iter().enumerate().map(|(at, x)| open01(scramble(luck, at % factors, x)));
    scrambled.collect()
}

/// The sequence before scrambling, as fractions of 2^64: point 0 is the corner at 0.
///
/// # Panics
/// With more than [`MOST_DIMENSIONS`] factors.
pub fn plain_sequence(points: usize, factors: usize) -> Vec<u64> {
    assert!(factors <= MOST_DIMENSIONS, "at most {MOST_DIMENSIONS} dimensions");
    let all = Sobol::<u64>::new(factors, &JoeKuoD6::minimal());
    all.take(points).flatten().collect()
}

fn scramble(luck: Luck, factor: usize, x: u64) -> u64 {
    let mut out = 0;
    for bit in 0..SCRAMBLED {
        let above = if bit == 0 { 0 } else { x >> (64 - bit) };
        let coin = luck.block(above, SCRAMBLE, factor as u64, bit, 0)[0] >> 63;
        out |= ((x >> (63 - bit) & 1) ^ coin) << (63 - bit);
    }
    let top = x >> (64 - SCRAMBLED);
    out | luck.block(top, BELOW, factor as u64, 0, 0)[0] >> SCRAMBLED
}

/// Step of elementary effects with so many levels: p / (2 (p - 1)).
pub fn step(levels: usize) -> f64 {
    levels as f64 / (2.0 * (levels as f64 - 1.0))
}

/// Trajectories of elementary effects: each begins at a random point of the grid of levels 0, 1/(p - 1),
/// .., 1; in a random order every factor then takes one step, up from the lower half of its levels or down
/// from the upper half.
///
/// Source: M. Morris, Technometrics 33, 1991 (from memory).
pub fn trajectories(count: usize, factors: usize, levels: usize, seed: u64) -> Vec<f64> {
    let luck = Luck::new(seed);
    let half = levels / 2;
    let mut unit = Vec::with_capacity(count * (factors + 1) * factors);
    for t in 0..count as u64 {
        let level = |j: usize| (luck.uniform(t, START, j as u64, 0, 0) * levels as f64) as usize;
        let mut at: Vec<usize> = (0..factors).map(level).collect();
        let order = shuffled(factors, |j| luck.block(t, TURN, j as u64, 0, 0)[0]);
        let mut push = |at: &[usize]| {
            unit.extend(at.iter().map(|&l| l as f64 / (levels - 1) as f64));
        };
        push(&at);
        for j in order {
            at[j] = if at[j] < half { at[j] + half } else { at[j] - half };
            push(&at);
        }
    }
    unit
}

/// Rows of Saltelli's design from a scrambled Sobol' sequence of twice the dimension: a, b, then a with
/// factor i from b for every i; with second order then b with factor i from a.
///
/// Source: A. Saltelli et al., Computer Physics Communications 181, 2010 (from memory).
///
/// # Panics
/// With more than half of [`MOST_DIMENSIONS`] factors.
pub fn saltelli(rows: usize, factors: usize, second_order: bool, seed: u64) -> Vec<f64> {
    let both = sequence(rows, 2 * factors, seed);
    let mut unit = Vec::new();
    for row in both.chunks_exact(2 * factors) {
        let (a, b) = row.split_at(factors);
        unit.extend(a);
        unit.extend(b);
        let mut mixed = |whole: &[f64], from: &[f64]| {
            for i in 0..factors {
                let one = |j: usize| if j == i { from[j] } else { whole[j] };
                unit.extend((0..factors).map(one));
            }
        };
        mixed(a, b);
        if second_order {
            mixed(b, a);
        }
    }
    unit
}

/// Every combination of levels, the last factor fastest: indices of levels.
pub fn grid(levels: &[usize]) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for &n in levels {
        let with = |head: &Vec<usize>| {
            let head = head.clone();
            (0..n).map(move |i| [&head[..], &[i]].concat())
        };
        all = all.iter().flat_map(with).collect();
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_latin_hypercube_has_one_point_in_each_stratum_of_each_factor() {
        let (n, k) = (37, 5);
        let unit = latin_hypercube(n, k, 1);
        for j in 0..k {
            let mut strata: Vec<_> =
                (0..n).map(|i| (unit[i * k + j] * n as f64).floor() as usize).collect();
            strata.sort_unstable();
            assert_eq!(strata, (0..n).collect::<Vec<_>>());
        }
        assert_ne!(unit, latin_hypercube(n, k, 2));
    }

    /// Scrambling keeps the net: of the first 2^m points, every interval of width 2^-m of each factor
    /// holds one, and of the first two factors (a net with t = 0) every box of area 2^-m holds one.
    #[test]
    fn a_scrambled_sequence_keeps_its_balance() {
        let (m, k) = (8, 40);
        let n = 1 << m;
        for seed in [0, 9] {
            let unit = sequence(n, k, seed);
            for j in 0..k {
                let cell = |i: usize| (unit[i * k + j] * n as f64).floor() as usize;
                let mut cells: Vec<_> = (0..n).map(cell).collect();
                cells.sort_unstable();
                assert_eq!(cells, (0..n).collect::<Vec<_>>(), "factor {j}");
            }
            for across in 0..=m {
                let (wide, high) = ((1 << across) as f64, (1 << (m - across)) as f64);
                let cell = |i: usize| {
                    let (x, y) = (unit[i * k] * wide, unit[i * k + 1] * high);
                    x.floor() as usize * (1 << (m - across)) + y.floor() as usize
                };
                let mut cells: Vec<_> = (0..n).map(cell).collect();
                cells.sort_unstable();
                assert_eq!(cells, (0..n).collect::<Vec<_>>(), "boxes 2^-{across}");
            }
        }
    }

    #[test]
    fn a_trajectory_moves_every_factor_once_by_the_step() {
        let (count, k, p) = (20, 6, 4);
        let unit = trajectories(count, k, p, 5);
        let mut ups = 0;
        for t in unit.chunks_exact((k + 1) * k) {
            let mut moved = vec![0; k];
            for pair in t.chunks_exact(k).collect::<Vec<_>>().windows(2) {
                let by: Vec<f64> = (0..k).map(|j| pair[1][j] - pair[0][j]).collect();
                let at = by.iter().position(|d| *d != 0.0).unwrap();
                assert!((by[at].abs() - step(p)).abs() < 1e-12);
                assert_eq!(by.iter().filter(|d| **d != 0.0).count(), 1);
                ups += usize::from(by[at] > 0.0);
                moved[at] += 1;
            }
            assert_eq!(moved, vec![1; k]);
        }
        // 120 fair coins: outside 40 to 80 once in 5000 seeds.
        assert!((40..=80).contains(&ups), "{ups}");
    }

    #[test]
    fn rows_of_saltelli_mix_one_factor_at_a_time() {
        let (rows, k) = (4, 3);
        let unit = saltelli(rows, k, true, 3);
        assert_eq!(unit.len(), rows * (2 * k + 2) * k);
        for row in unit.chunks_exact((2 * k + 2) * k) {
            let points: Vec<&[f64]> = row.chunks_exact(k).collect();
            let (a, b) = (points[0], points[1]);
            for i in 0..k {
                for j in 0..k {
                    assert_eq!(points[2 + i][j], if i == j { b[j] } else { a[j] });
                    assert_eq!(points[2 + k + i][j], if i == j { a[j] } else { b[j] });
                }
            }
        }
    }

    #[test]
    fn a_grid_has_every_combination_the_last_fastest() {
        assert_eq!(grid(&[2, 2]), [[0, 0], [0, 1], [1, 0], [1, 1]]);
        assert_eq!(grid(&[3, 1, 2]).len(), 6);
    }
}
