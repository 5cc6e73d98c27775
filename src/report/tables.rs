//! The tables of a run (design 6): one function per file.

use super::table::{Cell, Table, number};
use crate::measure::{Facts, MEASURES};
use crate::model::Model;
use crate::scenario::{Finding, Sources};
use crate::stats::{Estimate, Quantile, Results};

fn tail(row: &mut Vec<Cell>, n: u64, method: &str, note: &str) {
    row.extend([Cell::Whole(n), Cell::text(method), Cell::text(note)]);
}

fn note_with(e: &str, quantiles: &[Quantile]) -> String {
    let mut note = e.to_string();
    for q in quantiles.iter().filter(|q| !q.note.is_empty()) {
        if !note.contains(&q.note) {
            if !note.is_empty() {
                note.push_str("; ");
            }
            note.push_str(&format!("p{:02.0}: {}", q.q * 100.0, q.note));
        }
    }
    note
}

/// `summary.csv`
pub fn summary(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(
        "architecture,measure,unit,campaigns,mean,mean_low95,mean_high95,sd,p05,p50,p95,p99,min,max,\
         p50_low95,p50_high95,p95_low95,p95_high95,p99_low95,p99_high95,n_used,method,note",
    );
    for (a, arm) in model.arms.iter().enumerate() {
        for (c, m) in MEASURES.iter().enumerate() {
            let e = results.estimate(a, c);
            let q = |i: usize| e.quantiles.get(i).and_then(|q| q.value);
            let lim = |i: usize| {
                let q = e.quantiles.get(i);
                [q.and_then(|q| q.low), q.and_then(|q| q.high)]
            };
            let mut row = vec![
                Cell::text(&arm.name),
                Cell::text(m.name),
                Cell::text(m.unit),
                Cell::Whole(results.campaigns()),
            ];
            let numbers = [e.mean, e.low, e.high, e.sd, q(0), q(1), q(2), q(3), e.min, e.max];
            row.extend(numbers.map(Cell::maybe));
            row.extend([lim(1), lim(2), lim(3)].concat().into_iter().map(Cell::maybe));
            tail(&mut row, e.n_used, e.method, &note_with(&e.note, &e.quantiles));
            t.push(row);
        }
    }
    t
}

/// `compare.csv`: every unordered pair; the reference is the one earlier in the file.
pub fn compare(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(
        "architecture,reference,measure,unit,difference,difference_low95,difference_high95,\
         probability_lower,probability_equal,variance_reduction,n_used,method,note",
    );
    for r in 0..model.arms.len() {
        for a in r + 1..model.arms.len() {
            for (c, m) in MEASURES.iter().enumerate() {
                let d = results.compare(r, a, c);
                let mut row = vec![
                    Cell::text(&model.arms[a].name),
                    Cell::text(&model.arms[r].name),
                    Cell::text(m.name),
                    Cell::text(m.unit),
                ];
                let numbers = [
                    d.difference,
                    d.low,
                    d.high,
                    d.probability_lower,
                    d.probability_equal,
                    d.variance_reduction,
                ];
                row.extend(numbers.map(Cell::maybe));
                tail(&mut row, d.n_used, d.method, &d.note);
                t.push(row);
            }
        }
    }
    t
}

/// `havens.csv`
pub fn havens(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(
        "architecture,outcome,campaigns,demands,per_campaign,share,share_low95,share_high95,\
         n_used,method,note",
    );
    for (a, arm) in model.arms.iter().enumerate() {
        for (i, outcome) in arm.outcomes.iter().enumerate() {
            let extra = arm.breakdown.len() + i;
            let counted = results.extra(a, extra).total;
            let share = results.estimate_extra_share(a, extra);
            let mean = results.estimate_extra(a, extra).mean;
            let mut row = vec![
                Cell::text(&arm.name),
                Cell::text(outcome),
                Cell::Whole(results.campaigns()),
                Cell::Number(counted),
                Cell::maybe(mean),
            ];
            let s = share.as_ref();
            row.extend(
                [s.and_then(|s| s.mean), s.and_then(|s| s.low), s.and_then(|s| s.high)]
                    .map(Cell::maybe),
            );
            match &share {
                Some(s) => tail(&mut row, s.n_used, s.method, &s.note),
                None => tail(&mut row, 0, "not estimable", "no demand"),
            }
            t.push(row);
        }
    }
    t
}

/// `breakdown.csv`: rows of which at least one architecture has something, so that a cause that never
/// came up in any does not fill the page; what is left out is 0 in every campaign.
pub fn breakdown(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(
        "architecture,quantity,cause,unit,campaigns,mean,mean_low95,mean_high95,n_used,method,note",
    );
    for (a, arm) in model.arms.iter().enumerate() {
        for (i, (quantity, cause, unit)) in arm.breakdown.iter().enumerate() {
            let e: Estimate = results.estimate_extra(a, i);
            let mut row = vec![
                Cell::text(&arm.name),
                Cell::text(quantity),
                Cell::text(cause),
                Cell::text(unit),
                Cell::Whole(results.campaigns()),
            ];
            row.extend([e.mean, e.low, e.high].map(Cell::maybe));
            tail(&mut row, e.n_used, e.method, &e.note);
            t.push(row);
        }
    }
    t
}

/// `findings.csv`
pub fn findings(findings: &[Finding], sources: &Sources) -> Table {
    let mut t =
        Table::new("architecture,severity,rule,file,line,column,key_path,value,what,why,remedy");
    for f in findings {
        let place = sources.place(f.at);
        t.push(vec![
            Cell::text(f.architecture.clone().unwrap_or_default()),
            Cell::text(f.severity.word()),
            Cell::text(f.rule),
            Cell::text(sources.file(f.at)),
            Cell::Whole(u64::from(place.line)),
            Cell::Whole(u64::from(place.column)),
            Cell::Free(place.path.clone()),
            Cell::Free(place.value.clone()),
            Cell::Free(f.what.clone()),
            Cell::Free(f.why.clone()),
            Cell::Free(f.remedy.clone()),
        ]);
    }
    t
}

/// Header of `campaigns.csv`.
pub fn campaign_header() -> Vec<String> {
    let measures = MEASURES.iter().map(|m| m.name.to_string());
    ["architecture".to_string(), "campaign".to_string()].into_iter().chain(measures).collect()
}

/// One row of `campaigns.csv`: every measure of one architecture in one campaign. A margin below every
/// number (a miss) is empty, like any other value that is not there; `haven_missed` tells them apart.
pub fn campaign_row(architecture: &str, campaign: u64, facts: &Facts) -> Vec<String> {
    let value = |x: Option<f64>| match x {
        Some(x) if x.is_finite() => number(x),
        _ => String::new(),
    };
    [architecture.to_string(), campaign.to_string()]
        .into_iter()
        .chain(MEASURES.iter().map(|m| value(facts.read(m))))
        .collect()
}
