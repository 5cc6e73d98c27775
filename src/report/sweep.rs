//! `sweep.csv`, the facts of a sweep for its manifest.

use super::columns::{self, Holds};
use super::manifest::{FactorFacts, SweepFacts};
use super::table::{Cell, Table};
use crate::measure::MEASURES;
use crate::scenario::{PointLuck, Vocabulary};
use crate::study::sweep::play::columns;
use crate::study::sweep::{PointResults, Sweep};

/// What `sweep.csv` is made from.
#[derive(Clone, Copy, Debug)]
pub struct SweepRows<'a> {
    /// the sweep
    pub sweep: &'a Sweep,
    /// architectures in the order of the campaign
    pub architectures: &'a [String],
    /// what each point left
    pub results: &'a [PointResults],
    /// campaigns at every point
    pub campaigns: u64,
}

/// `sweep.csv`: one row for each point, architecture and measure, the factors first. A factor that is as
/// in the base campaign has an empty cell.
pub fn sweep(of: SweepRows) -> Table {
    let factors = &of.sweep.spec.factors;
    let numeric: Vec<bool> = factors.iter().map(|f| f.it.is_number()).collect();
    let holds = |number: &bool| if *number { Holds::Number } else { Holds::Text };
    let head = factors.iter().zip(&numeric).map(|(f, n)| (f.name.clone(), holds(n))).collect();
    let mut t = Table::headed(head, columns::SWEEP);
    let measures = columns(of.sweep);
    for (p, (point, left)) in of.sweep.points.iter().zip(of.results).enumerate() {
        let factor = |j: usize| match numeric[j] {
            true => Cell::maybe(point.point.value[j]),
            false if point.names[j].is_empty() => Cell::Empty,
            false => Cell::Free(point.names[j].clone()),
        };
        for (a, arm) in of.architectures.iter().enumerate() {
            for (i, m) in measures.iter().map(|&c| &MEASURES[c]).enumerate() {
                let at = a * measures.len() + i;
                let (e, noise) = (&left.estimates[at], left.noise[at]);
                let quantile = |q: usize| e.quantiles.get(q).and_then(|q| q.value);
                let mut row: Vec<Cell> = (0..factors.len()).map(factor).collect();
                row.extend([
                    Cell::Whole(p as u64),
                    Cell::text(arm),
                    Cell::text(m.name),
                    Cell::text(m.unit),
                    Cell::text(of.sweep.spec.luck.word()),
                    Cell::Whole(of.campaigns),
                ]);
                let numbers = [e.mean, e.low, e.high, noise.map(f64::sqrt), e.sd];
                row.extend(numbers.map(Cell::maybe));
                row.extend([quantile(1), quantile(2)].map(Cell::maybe));
                row.extend([
                    Cell::Whole(e.n_used),
                    Cell::text(e.method),
                    Cell::text(note(&e.note)),
                ]);
                t.push(row);
            }
        }
    }
    t
}

/// The note of an estimate without the quantiles that this table does not have.
fn note(text: &str) -> String {
    let of_others = |part: &&str| ["p05", "p99"].iter().any(|q| part.contains(q));
    text.split("; ").filter(|part| !of_others(part)).collect::<Vec<_>>().join("; ")
}

/// What luck of the points means for simulation noise.
fn noise(luck: PointLuck) -> &'static str {
    match luck {
        PointLuck::Common => {
            "campaign j uses the same random numbers at every point: the noise of two points is \
             correlated and most of it cancels in differences; no noise is removed from \
             variance-based indices, in which chance counts as one more factor, held fixed"
        }
        PointLuck::Own => {
            "every point has its own seed: the noise of two points is independent, and its variance is \
             removed from variance-based indices"
        }
    }
}

/// What the manifest says of a sweep.
pub fn sweep_facts(sweep: &Sweep) -> SweepFacts {
    let spec = &sweep.spec;
    let factor = |f: &crate::scenario::Named<crate::scenario::FactorSpec>| {
        let mut keys: Vec<String> = f.it.paths().iter().map(ToString::to_string).collect();
        keys.sort();
        keys.dedup();
        FactorFacts {
            name: f.name.clone(),
            unit: f.it.unit().into(),
            number: f.it.is_number(),
            keys,
            levels: f.it.level_names(),
        }
    };
    SweepFacts {
        design: spec.design.it.word().into(),
        points: sweep.points.len(),
        luck: spec.luck.word().into(),
        noise: noise(spec.luck).into(),
        factors: spec.factors.iter().map(factor).collect(),
        measures: spec.measures.iter().map(|m| m.it.clone()).collect(),
    }
}
