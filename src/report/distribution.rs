//! `distribution.csv`: how campaigns spread over the values of a measure, in few bins that are the
//! same for all architectures.

use super::columns;
use super::table::{Cell, Table};
use crate::measure::{Kind, MEASURES};
use crate::model::Model;
use crate::stats::{Cell as Bin, Histogram, Results};

/// Most bins between the 2 % and the 98 % quantile of the architectures.
const BINS: f64 = 24.0;
/// Most bins between the least and the greatest value of any architecture.
const ALL_BINS: f64 = 120.0;

/// `distribution.csv`: every measure but flags; bins without campaigns are left out.
pub fn distribution(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(columns::DISTRIBUTION);
    for (c, m) in MEASURES.iter().enumerate().filter(|(_, m)| m.kind != Kind::Flag) {
        let step = step(model, results, c, m.kind == Kind::Count);
        for (a, arm) in model.arms.iter().enumerate() {
            let histogram = results.histograms.get(a, c);
            let n = histogram.total();
            let mut push = |low: Option<f64>, high: Option<f64>, count: u64, note: &str| {
                let mut row = vec![Cell::text(&arm.name), Cell::text(m.name), Cell::text(m.unit)];
                row.extend([Cell::maybe(low), Cell::maybe(high), Cell::Whole(count)]);
                row.extend([Cell::Whole(n), Cell::text("counted"), Cell::text(note)]);
                t.push(row);
            };
            let (below, above) = histogram.misses();
            if below > 0 {
                push(None, None, below, "a safe haven not reached ranks below every number");
            }
            for (i, count) in binned(histogram, step) {
                push(Some(i as f64 * step), Some((i + 1) as f64 * step), count, "");
            }
            if above > 0 {
                push(None, None, above, "a safe haven not reached ranks above every number");
            }
        }
    }
    t
}

/// Width of a bin: 1, 2 or 5 times a power of ten; of a count at least 1.
fn step(model: &Model, results: &Results, column: usize, whole: bool) -> f64 {
    let histograms = || (0..model.arms.len()).map(|a| results.histograms.get(a, column));
    let range = |q: f64| {
        let ends = histograms().flat_map(|h| [q, 1.0 - q].map(|q| at(h, q))).flatten();
        let ends = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (low, high)| {
            (low.min(l), high.max(h))
        });
        (ends.1 - ends.0).max(ends.1.abs() * 1e-6)
    };
    let step = nice_step((range(0.02) / BINS).max(range(0.0) / ALL_BINS));
    if whole { step.max(1.0) } else { step }
}

/// Edges of the cell of a quantile; `None` where a miss stands there.
fn at(h: &Histogram, q: f64) -> Option<(f64, f64)> {
    let rank = (q * h.total() as f64).ceil().max(1.0) as u64;
    let (below, above) = h.misses();
    let last = h.total().checked_sub(above)?;
    match h.cell_of_rank(rank.clamp(below + 1, last.max(below + 1)))? {
        Bin::Numbers { low, high } => Some((low, high)),
        _ => None,
    }
}

/// The least of 1, 2, 5 times a power of ten that is not below `x`; 1 where `x` is no size.
fn nice_step(x: f64) -> f64 {
    if !(x.is_finite() && x > 0.0) {
        return 1.0;
    }
    let power = 10f64.powi(x.log10().floor() as i32);
    let times = [1.0, 2.0, 5.0].into_iter().find(|t| t * power >= x).unwrap_or(10.0);
    times * power
}

/// Bins by number from the lowest, with their counts. A cell of the histogram is at most 0.4 % wide
/// and counts where its middle lies.
fn binned(histogram: &Histogram, step: f64) -> Vec<(i64, u64)> {
    let mut bins: Vec<(i64, u64)> = Vec::new();
    for (cell, count) in histogram.cells() {
        let Bin::Numbers { low, high } = cell else { continue };
        let at = (0.5 * (low + high) / step).floor() as i64;
        match bins.last_mut() {
            _ if count == 0 => {}
            Some((i, n)) if *i == at => *n += count,
            _ => bins.push((at, count)),
        }
    }
    bins
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::Bins;

    #[test]
    fn steps_are_one_two_or_five() {
        let steps = [0.7, 1.0, 1.4, 3.0, 7.0, 0.03].map(nice_step);
        for (found, wanted) in steps.into_iter().zip([1.0, 1.0, 2.0, 5.0, 10.0, 0.05]) {
            assert!((found / wanted - 1.0).abs() < 1e-12, "{found} {wanted}");
        }
        assert_eq!((nice_step(0.0), nice_step(f64::NAN)), (1.0, 1.0));
    }

    #[test]
    fn every_value_is_in_one_bin_and_misses_in_none() {
        let mut h = Histogram::new(Bins::Binary);
        let values = [-3.5, -0.5, 0.0, 0.7, 5.5, 6.5, 6.6, f64::NEG_INFINITY];
        values.into_iter().for_each(|x| h.add(x));
        assert_eq!(binned(&h, 1.0), [(-4, 1), (-1, 1), (0, 2), (5, 1), (6, 2)]);
    }
}
