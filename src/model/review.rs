//! What a review board asks for: limits and rankings, with their measures looked up.

use crate::measure::MEASURES;
use crate::scenario::{At, Scenario, Statistic, USUAL};

/// Limits and rankings of the campaign file.
#[derive(Clone, Debug, Default)]
pub struct Review {
    /// Limits in file order.
    pub limits: Vec<Limit>,
    /// Rankings: [`USUAL`] first, then those of the file.
    pub rankings: Vec<Ranking>,
}

/// One limit.
#[derive(Clone, Debug)]
pub struct Limit {
    /// Name.
    pub name: String,
    /// Index of its measure.
    pub column: usize,
    /// What of it.
    pub statistic: Statistic,
    /// It stays below the bound; else above.
    pub below: bool,
    /// The bound, in the unit of the measure.
    pub bound: f64,
    /// The bound as written.
    pub written: String,
    /// Architectures it holds for.
    pub arms: Vec<usize>,
}

/// Measures by which architectures are compared as a whole.
#[derive(Clone, Debug)]
pub struct Ranking {
    /// Name.
    pub name: String,
    /// Indices of its measures.
    pub columns: Vec<usize>,
    /// What one unit of each counts, parallel; empty: nothing is added up.
    pub weights: Vec<f64>,
    /// Where it was written; `None` for the usual one.
    pub at: Option<At>,
}

/// The measures of the usual ranking, of which the summary speaks; with factors also the mass.
pub const USUAL_MEASURES: &[&str] =
    &["eva_lost_h", "gas_lost_kg", "dust_average_max_mg_m3", "campaign_haven_missed"];

fn column(name: &str) -> usize {
    // The check has refused names that are not there.
    MEASURES.iter().position(|m| m.name == name).unwrap_or(0)
}

impl Review {
    /// Looks up what was written. The check has seen that everything is there.
    pub(super) fn of(s: &Scenario) -> Review {
        let arms = |names: &[crate::scenario::Spot<String>]| -> Vec<usize> {
            let named = |name: &String| names.is_empty() || names.iter().any(|n| n.it == *name);
            let all = s.architectures.iter().enumerate();
            all.filter(|(_, a)| named(&a.name)).map(|(i, _)| i).collect()
        };
        let limits = s.limits.iter().map(|l| Limit {
            name: l.name.clone(),
            column: column(&l.it.measure.it),
            statistic: l.it.statistic.it,
            below: l.it.below,
            bound: l.it.bound.it,
            written: l.it.written.clone(),
            arms: arms(&l.it.architectures),
        });
        let mut usual: Vec<usize> = USUAL_MEASURES.iter().map(|n| column(n)).collect();
        if s.mass.is_some() {
            usual.push(column("system_mass_kg"));
        }
        let usual = Ranking { name: USUAL.into(), columns: usual, weights: Vec::new(), at: None };
        let own = s.rankings.iter().map(|r| {
            let weight = |name: &String| {
                let found = r.it.weights.iter().find(|(n, _)| n.it == *name);
                found.and_then(|(_, n)| n.law.fixed()).unwrap_or(0.0)
            };
            let names = || r.it.measures.iter().map(|m| &m.it);
            Ranking {
                name: r.name.clone(),
                columns: names().map(|n| column(n)).collect(),
                weights: match r.it.weights.is_empty() {
                    true => Vec::new(),
                    false => names().map(weight).collect(),
                },
                at: Some(r.at),
            }
        });
        Review { limits: limits.collect(), rankings: std::iter::once(usual).chain(own).collect() }
    }
}
