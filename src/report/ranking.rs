//! `ranking.csv`: which architectures are non-dominated on the measures of a ranking, and how stable that
//! is over resampled campaigns, single campaigns, parameter sets and, where the file gives weights,
//! changed weights.

use super::columns;
use super::screen::Screen;
use super::table::{Cell, Table};
use crate::measure::MEASURES;
use crate::measure::glossary::{NON_DOMINATED, title};
use crate::model::{Model, Ranking};
use crate::scenario::USUAL;
use crate::stats::Results;
use crate::stats::interval::{OUTSIDE, clopper_pearson};
use crate::study::standing::{RESAMPLES, Standing, WEIGHTINGS, not_beaten};

/// Means of the measures of a ranking, architectures x measures; `None` where one is not estimable.
fn means(model: &Model, results: &Results, r: &Ranking) -> Option<Vec<f64>> {
    let arms = 0..model.arms.len();
    arms.flat_map(|a| r.columns.iter().map(move |c| results.estimate(a, *c).mean)).collect()
}

/// Who is non-dominated by the means; `None` where one is not estimable.
fn standing_by_means(model: &Model, results: &Results, r: &Ranking) -> Option<Vec<bool>> {
    let means = means(model, results, r)?;
    let k = r.columns.len();
    let sense = |m: usize| MEASURES[r.columns[m]].sense();
    Some(not_beaten(model.arms.len(), |a, m| sense(m) * means[a * k + m], k))
}

/// One row but its architecture.
struct Share {
    basis: &'static str,
    stands: Option<bool>,
    /// count, of how many
    share: (u64, u64),
    /// counts are of independent things
    independent: bool,
    total: Option<f64>,
    method: String,
    note: &'static str,
}

/// `ranking.csv`
pub fn ranking(model: &Model, results: &Results, standing: &Standing) -> Table {
    let mut t = Table::new(columns::RANKING);
    for (i, r) in model.review.rankings.iter().enumerate() {
        let found = standing_by_means(model, results, r);
        let (resampled, of) = standing.resampled(i);
        let counts = standing.counts(i);
        let names = names(r);
        for (a, arm) in model.arms.iter().enumerate() {
            let mut push = |s: &Share| t.push(row(r, &names, &arm.name, s));
            push(&Share {
                basis: "means",
                stands: found.as_ref().map(|f| f[a]),
                share: (resampled[a], of),
                independent: false,
                total: None,
                method: format!("{RESAMPLES} resamples of {}", unit(model)),
                note: "share of resamples; it has no interval of its own",
            });
            push(&Share {
                basis: "campaigns",
                stands: None,
                share: (counts.campaigns[a], counts.of_campaigns),
                independent: model.inner.is_none(),
                total: None,
                method: "Clopper-Pearson".into(),
                note: "share of campaigns in which it is non-dominated in that campaign",
            });
            if model.inner.is_some() {
                push(&Share {
                    basis: "parameter sets",
                    stands: None,
                    share: (counts.sets[a], counts.of_sets),
                    independent: true,
                    total: None,
                    method: "Clopper-Pearson".into(),
                    note: "share of parameter sets in whose means it is non-dominated",
                });
            }
        }
        if !r.weights.is_empty() {
            weighted(model, results, standing, i, &mut t);
        }
    }
    t
}

fn unit(model: &Model) -> &'static str {
    if model.inner.is_some() { "parameter sets" } else { "campaigns" }
}

fn names(r: &Ranking) -> String {
    r.columns.iter().map(|c| MEASURES[*c].name).collect::<Vec<_>>().join(" ")
}

/// Weighted totals: how often each is first when campaigns are resampled, and when weights change.
fn weighted(model: &Model, results: &Results, standing: &Standing, i: usize, t: &mut Table) {
    let r = &model.review.rankings[i];
    let name = |c: &usize| MEASURES[*c].name;
    let with: Vec<String> =
        r.columns.iter().zip(&r.weights).map(|(c, w)| format!("{} x {w}", name(c))).collect();
    let with = with.join(" ");
    let means = means(model, results, r);
    let totals = means.as_ref().map(|m| standing.totals(m, i, &r.weights));
    let least = totals.as_ref().map(|t| t.iter().copied().fold(f64::INFINITY, f64::min));
    let (resampled, of) = standing.resampled_first(i);
    let changed = means.as_ref().map(|m| standing.reweighted_first(i, m));
    for (a, arm) in model.arms.iter().enumerate() {
        let total = totals.as_ref().map(|t| t[a]);
        let stands = total.zip(least).map(|(t, l)| t == l);
        let mut push = |s: &Share| t.push(row(r, &with, &arm.name, s));
        push(&Share {
            basis: "weighted total",
            stands,
            share: (resampled[a], of),
            independent: false,
            total,
            method: format!("{RESAMPLES} resamples of {}", unit(model)),
            note: "share of resamples in which its total is the least; no interval of its own",
        });
        let counted = changed.as_ref().map_or((0, 0), |c| (c[a], WEIGHTINGS));
        push(&Share {
            basis: "changed weights",
            stands,
            share: counted,
            independent: false,
            total,
            method: format!("{WEIGHTINGS} draws of weights, each between half and twice"),
            note: "share of draws in which its total is the least; no interval of its own",
        });
    }
}

fn row(r: &Ranking, measures: &str, arm: &str, s: &Share) -> Vec<Cell> {
    let (seen, of) = s.share;
    let share = (of > 0).then(|| seen as f64 / of as f64);
    let limits =
        (of > 0 && s.independent).then(|| clopper_pearson(seen as f64, of as f64, OUTSIDE));
    let note = match (of, s.independent) {
        (0, _) => "not estimable: a measure has no value",
        (_, false) if s.basis == "campaigns" => {
            "no interval: campaigns of a parameter set are not independent"
        }
        _ => s.note,
    };
    vec![
        Cell::text(&r.name),
        Cell::text(arm),
        Cell::text(s.basis),
        Cell::text(measures),
        s.stands.map_or(Cell::Empty, |x| Cell::Whole(u64::from(x))),
        Cell::maybe(share),
        Cell::maybe(limits.map(|l| l.0)),
        Cell::maybe(limits.map(|l| l.1)),
        Cell::maybe(s.total),
        Cell::Whole(of),
        Cell::text(&s.method),
        Cell::text(note),
    ]
}

/// The line of the summary: who is non-dominated on the usual measures, with the share of resamples
/// where that is not all of them.
pub(super) fn ranking_line(
    model: &Model,
    results: &Results,
    standing: &Standing,
    screen: Screen,
) -> String {
    let usual = model.review.rankings.iter().position(|r| r.name == USUAL);
    let line = usual.and_then(|i| {
        let r = &model.review.rankings[i];
        let found = standing_by_means(model, results, r)?;
        let (resampled, of) = standing.resampled(i);
        let told = |a: usize| match 100.0 * resampled[a] as f64 / of.max(1) as f64 {
            share if share >= 99.5 => model.arms[a].name.clone(),
            share => format!("{} (in {share:.0} % of resamples)", model.arms[a].name),
        };
        let those: Vec<String> = (0..found.len()).filter(|a| found[*a]).map(told).collect();
        let on: Vec<&str> = r.columns.iter().map(|c| MEASURES[*c].title).collect();
        let word = title(NON_DOMINATED);
        Some(match those.len() == found.len() {
            true => format!("All are {word} on {}.", on.join(", ")),
            false => format!("These are {word} on {}: {}.", on.join(", "), those.join(", ")),
        })
    });
    line.map_or(String::new(), |l| screen.wrap(&l, "", "  "))
}
