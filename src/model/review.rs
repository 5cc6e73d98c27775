//! What a review board asks for: limits and rankings, with their measures looked up.

use crate::measure::MEASURES;
use crate::scenario::{At, DecisionSpec, Scenario, Spot, Statistic, USUAL};

/// Limits and rankings of the campaign file.
#[derive(Clone, Debug, Default)]
pub struct Review {
    /// Limits in file order.
    pub limits: Vec<Limit>,
    /// Rankings: [`USUAL`] first, then those of the file.
    pub rankings: Vec<Ranking>,
    /// What has to be chosen.
    pub decision: Option<Decision>,
}

/// What a choice between architectures goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goes {
    /// The weighted total of this ranking is to be small.
    ByTotal(usize),
    /// This limit is to be met.
    ByLimit(usize),
}

/// A choice between architectures.
#[derive(Clone, Debug)]
pub struct Decision {
    /// What it goes by.
    pub goes: Goes,
    /// Unit of what it is worth to know something.
    pub unit: String,
    /// Architectures to choose from.
    pub arms: Vec<usize>,
    /// Names of groups, each with key paths or their beginnings.
    pub groups: Vec<(String, Vec<String>)>,
}

impl Decision {
    /// Looks up what was written, which the check has seen.
    fn of(d: &DecisionSpec, s: &Scenario, limits: &[Limit], rankings: &[Ranking]) -> Option<Self> {
        let ranking = |name: &Spot<String>| rankings.iter().position(|r| r.name == name.it);
        let limit = |name: &Spot<String>| limits.iter().position(|l| l.name == name.it);
        let total = d.ranking.as_ref().and_then(ranking).map(Goes::ByTotal);
        let goes = total.or(d.limit.as_ref().and_then(limit).map(Goes::ByLimit))?;
        let (unit, mut arms) = match goes {
            Goes::ByTotal(_) => ("weighted total", (0..s.architectures.len()).collect()),
            Goes::ByLimit(l) => ("probability that the limit is met", limits[l].arms.clone()),
        };
        if !d.architectures.is_empty() {
            let named =
                |a: &usize| d.architectures.iter().any(|n| n.it == s.architectures[*a].name);
            arms = (0..s.architectures.len()).filter(named).collect();
        }
        let unit = d.unit.as_ref().map_or(unit, |u| u.it.as_str()).to_string();
        let paths = |of: &[Spot<String>]| of.iter().map(|p| p.it.clone()).collect();
        let groups = d.groups.iter().map(|(name, of)| (name.it.clone(), paths(of))).collect();
        Some(Decision { goes, unit, arms, groups })
    }
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
        let arms = |names: &[Spot<String>]| -> Vec<usize> {
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
        let limits: Vec<Limit> = limits.collect();
        let rankings: Vec<Ranking> = std::iter::once(usual).chain(own).collect();
        let chosen = s.decision.as_ref();
        let decision = chosen.and_then(|d| Decision::of(d, s, &limits, &rankings));
        Review { limits, rankings, decision }
    }
}
