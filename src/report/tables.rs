//! The tables of a run: one function per file.

use super::columns;
use super::table::{Cell, Table, number};
use crate::measure::{Fact, Facts, MEASURES};
use crate::model::Model;
use crate::scenario::{At, Finding, Sources};
use crate::stats::{Estimate, Quantile, Results};
use std::path::Path;

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
    let mut t = Table::new(columns::SUMMARY);
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
    let mut t = Table::new(columns::COMPARE);
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
                    d.ratio.value,
                    d.ratio.low,
                    d.ratio.high,
                    d.probability_lower,
                    d.probability_equal,
                    d.variance_reduction,
                ];
                row.extend(numbers.map(Cell::maybe));
                let method = [d.method, d.ratio.method].map(str::to_string);
                let method = method.into_iter().filter(|m| !m.is_empty()).collect::<Vec<_>>();
                let notes = [d.note.as_str(), d.ratio.note.as_str()];
                let notes = notes.into_iter().filter(|n| !n.is_empty()).collect::<Vec<_>>();
                tail(&mut row, d.n_used, &method.join("; ratio: "), &notes.join("; "));
                t.push(row);
            }
        }
    }
    t
}

/// `havens.csv`
pub fn havens(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(columns::HAVENS);
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

/// `breakdown.csv`: every cause of every quantity, those that never came up included.
pub fn breakdown(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(columns::BREAKDOWN);
    for (a, arm) in model.arms.iter().enumerate() {
        for (i, (quantity, cause, unit)) in arm.breakdown.iter().enumerate() {
            let per_sortie = results.estimate_extra_ratio(a, i);
            let e: Estimate = per_sortie.unwrap_or_else(|| results.estimate_extra(a, i));
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

/// Name of the file of a place as the campaign names it: that of the campaign file without the
/// folder it was opened from, which is no part of the input.
pub(super) fn file_name(sources: &Sources, at: At) -> String {
    let name = sources.file(at);
    match sources.place(at).file {
        0 => Path::new(name).file_name().map_or(name.into(), |n| n.to_string_lossy().into()),
        _ => name.into(),
    }
}

/// `findings.csv`
pub fn findings(findings: &[Finding], sources: &Sources) -> Table {
    let mut t = Table::new(columns::FINDINGS);
    for f in findings {
        let place = sources.place(f.at);
        t.push(vec![
            Cell::text(f.architecture.clone().unwrap_or_default()),
            Cell::text(f.severity.word()),
            Cell::text(f.rule),
            Cell::Free(file_name(sources, f.at)),
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
    columns::campaigns().iter().map(|c| c.name.to_string()).collect()
}

/// One row of `campaigns.csv`: every measure of one architecture in one campaign. A margin below every
/// number (a miss) is empty, like any other value that is not there; the last column tells them apart.
pub fn campaign_row(architecture: &str, campaign: u64, facts: &Facts) -> Vec<String> {
    let value = |x: Option<f64>| match x {
        Some(x) if x.is_finite() => number(x),
        _ => String::new(),
    };
    [architecture.to_string(), campaign.to_string()]
        .into_iter()
        .chain(MEASURES.iter().map(|m| value(facts.read(m))))
        .chain([margin_note(facts).to_string()])
        .collect()
}

/// Why a campaign has no contingency margin as a number (rule 21).
fn margin_note(facts: &Facts) -> &'static str {
    match facts.get(Fact::MarginContingency) {
        None => "no way back used",
        Some(x) if x.is_finite() => "",
        Some(_) => "missed",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_miss_and_no_way_back_are_told_apart() {
        let row = |x: f64, absent: bool| {
            let mut f = Facts::default();
            f.value[Fact::MarginContingency as usize] = x;
            f.absent = u128::from(absent) << Fact::MarginContingency as u32;
            let row = campaign_row("a", 0, &f);
            let at = campaign_header().iter().position(|h| h == "haven_margin_contingency_min");
            assert_eq!(row.len(), campaign_header().len());
            (row[at.expect("the margin")].clone(), row[row.len() - 1].clone())
        };
        assert_eq!(row(0.0, true), (String::new(), "no way back used".into()));
        assert_eq!(row(f64::NEG_INFINITY, false), (String::new(), "missed".into()));
        assert_eq!(row(-3.5, false), ("-3.5".into(), String::new()));
    }
}
