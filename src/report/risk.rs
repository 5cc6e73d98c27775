//! `risk-curve.csv` and the lines on risk of the summary: what an outer loop is for.

use super::columns;
use super::figures::figure;
use super::screen::Screen;
use super::table::{Cell, Table};
use crate::measure::{Kind, MEASURES, Measure};
use crate::model::Model;
use crate::stats::{Estimate, Results, Risk};

/// Measures with a risk: those of which the mean is a share of campaigns.
fn risks() -> impl Iterator<Item = (usize, &'static Measure)> {
    MEASURES.iter().enumerate().filter(|(_, m)| m.kind == Kind::Flag)
}

/// The risk of a measure of an architecture; `None` without an outer loop.
fn risk(results: &Results, arm: usize, column: usize) -> Option<(Risk, &[u64], u64)> {
    let sets = results.sets.as_ref()?;
    let seen = sets.seen(arm, column)?;
    Some((Risk::new(seen, sets.inner()), seen, sets.inner()))
}

/// `risk-curve.csv`; `None` without an outer loop. Rows `mean`, `p05`, `p50`, `p95`: the risk and
/// the share of parameter sets that is not above it; rows `at most`: the curve.
pub fn risk_curve(model: &Model, results: &Results) -> Option<Table> {
    results.sets.as_ref()?;
    let mut t = Table::new(columns::RISK_CURVE);
    for (a, arm) in model.arms.iter().enumerate() {
        for (c, m) in risks() {
            if let Some((risk, seen, inner)) = risk(results, a, c) {
                let rows = Rows { name: &arm.name, measure: m.name, risk: &risk };
                rows.mean(&mut t, &results.estimate(a, c), seen, inner);
                rows.quantiles(&mut t);
                rows.curve(&mut t);
            }
        }
    }
    Some(t)
}

/// Rows of one measure of one architecture.
struct Rows<'a> {
    name: &'a str,
    measure: &'a str,
    risk: &'a Risk,
}

impl Rows<'_> {
    fn row(
        &self,
        t: &mut Table,
        statistic: &str,
        x: [Option<f64>; 3],
        probability: [f64; 3],
        method: &str,
        note: &str,
    ) {
        let mut row = vec![Cell::text(self.name), Cell::text(self.measure), Cell::text(statistic)];
        row.extend(x.map(Cell::maybe));
        row.extend(probability.map(Cell::Number));
        row.push(Cell::maybe(self.risk.noise));
        let mut notes = vec![note, &self.risk.note];
        notes.retain(|n| !n.is_empty());
        row.extend([Cell::Whole(self.risk.sets), Cell::text(method), Cell::text(notes.join("; "))]);
        t.push(row);
    }

    fn mean(&self, t: &mut Table, e: &Estimate, seen: &[u64], inner: u64) {
        // Without a mean there is nothing to compare with.
        let Some(mean) = e.mean else { return };
        let point = Risk::at_most(seen, inner, mean);
        let probability = [point.probability, point.low, point.high];
        // Quantiles of campaigns, of which the note of the estimate speaks, are not in this row.
        let parts = e.note.split("; ").filter(|n| !n.contains("quantile"));
        let note = parts.collect::<Vec<_>>().join("; ");
        self.row(t, "mean", [e.mean, e.low, e.high], probability, e.method, &note);
    }

    fn quantiles(&self, t: &mut Table) {
        for q in &self.risk.quantiles {
            let name = format!("p{:02.0}", q.q * 100.0);
            let x = [q.value, q.low, q.high];
            self.row(t, &name, x, [q.q; 3], "order statistics of parameter sets", &q.note);
        }
    }

    fn curve(&self, t: &mut Table) {
        for p in &self.risk.curve {
            let probability = [p.probability, p.low, p.high];
            self.row(t, "at most", [Some(p.x); 3], probability, "Clopper-Pearson", "");
        }
    }
}

/// The lines on the risk over parameter sets; empty without an outer loop.
pub(super) fn risk_lines(model: &Model, results: &Results, screen: Screen) -> String {
    let Some(sets) = &results.sets else {
        return String::new();
    };
    let Some((c, m)) = risks().next() else {
        return String::new();
    };
    let head = format!(
        "{} over {} parameter sets of {} campaigns: mean, and the values that 5 / 50 / 95 % of \
        the sets do not exceed",
        m.title,
        sets.sets(),
        sets.inner()
    );
    let mut out = screen.wrap(&head, "", "  ");
    for (a, arm) in model.arms.iter().enumerate() {
        if let Some((risk, ..)) = risk(results, a, c) {
            let text = line(&arm.name, &results.estimate(a, c), &risk);
            out.push_str(&screen.wrap(&text, "  ", "    "));
        }
    }
    out
}

/// One architecture: mean, quantiles, noise.
fn line(name: &str, e: &Estimate, risk: &Risk) -> String {
    if e.mean == Some(0.0) {
        let bound = e.high.map_or(String::new(), |h| format!(", mean <{}", figure(h)));
        return format!("{name}: none seen in any set{bound}.");
    }
    let words = |x: Option<f64>| x.map_or("-".to_string(), figure);
    let [low, middle, high] = [0, 1, 2].map(|i| risk.quantiles.get(i).and_then(|q| q.value));
    let noise = risk.noise.map_or(String::new(), |n| {
        format!("; {:.0} % of the spread is simulation noise", 100.0 * n)
    });
    format!(
        "{name}: mean {}, {} / {} / {}{noise}.",
        words(e.mean),
        words(low),
        words(middle),
        words(high)
    )
}
