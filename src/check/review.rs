//! Limits and rankings against the registry of measures and the architectures.

use super::{Arm, Sayer, rules};
use crate::measure::{Better, Kind, measure};
use crate::plan::NONE;
use crate::scenario::*;
use std::collections::BTreeSet;

pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    for l in &s.limits {
        limit(s, l, say);
    }
    for r in &s.rankings {
        ranking(r, say);
    }
    if let Some(d) = &s.decision {
        decision(s, d, say);
    }
}

fn decision(s: &Scenario, d: &DecisionSpec, say: &mut Sayer) {
    if s.study.inner.is_none() {
        let what = "there is no outer loop".to_string();
        say.rule(&rules::DECISION_SETS, d.at, what);
    }
    if let Some(name) = &d.ranking {
        super::names::known(say, name, "there is no ranking", s.rankings.iter().map(|r| &r.name));
        let own = s.rankings.iter().find(|r| r.name == name.it);
        if own.is_some_and(|r| r.it.weights.is_empty()) {
            let what = format!("the ranking `{}` has no weights", name.it);
            say.rule(&rules::DECISION_TOTAL, name.at, what);
        }
    }
    let mut choices: BTreeSet<&String> = s.architectures.iter().map(|a| &a.name).collect();
    if let Some(name) = &d.limit {
        super::names::known(say, name, "there is no limit", s.limits.iter().map(|l| &l.name));
        if let Some(own) = s.limits.iter().find(|l| l.name == name.it) {
            by_limit(own, d, say);
            if !own.it.architectures.is_empty() {
                choices = own.it.architectures.iter().map(|a| &a.it).collect();
            }
        }
    }
    for name in &d.architectures {
        let names = s.architectures.iter().map(|a| &a.name);
        super::names::known(say, name, "there is no architecture", names);
    }
    if !d.architectures.is_empty() {
        choices = d.architectures.iter().map(|a| &a.it).collect();
    }
    if choices.len() < 2 {
        let what = format!("{} to choose from", choices.len());
        say.rule(&rules::DECISION_CHOICE, d.at, what);
    }
    let parameters = super::ranges::uncertain(s);
    for entry in d.groups.iter().flat_map(|(_, entries)| entries) {
        if !parameters.iter().any(|p| stands_for(&entry.it, p)) {
            let what = format!("`{}` stands for no number with a law", entry.it);
            say.rule(&rules::DECISION_GROUP, entry.at, what);
        }
    }
}

/// A choice by a limit: one of a mean, which holds for all there is to choose from; its unit is its own.
fn by_limit(limit: &Named<LimitSpec>, d: &DecisionSpec, say: &mut Sayer) {
    let at = d.limit.as_ref().map_or(d.at, |name| name.at);
    if limit.it.statistic.it != Statistic::Mean {
        let what = format!("the limit `{}` is one of a quantile", limit.name);
        say.rule(&rules::DECISION_TOTAL, at, what);
    }
    if let Some(unit) = &d.unit {
        let what = format!("`{}` is no unit of a chance that a limit is met", unit.it);
        say.rule(&rules::DECISION_UNIT, unit.at, what);
    }
    let holds = &limit.it.architectures;
    let free = |a: &&Spot<String>| !holds.is_empty() && holds.iter().all(|h| h.it != a.it);
    for a in d.architectures.iter().filter(free) {
        let what = format!("the limit `{}` does not hold for `{}`", limit.name, a.it);
        say.rule(&rules::DECISION_LIMIT, a.at, what);
    }
}

/// With factors for the equivalent system mass, every part of the architecture has a mass and every pump
/// a power: what has none would count as nothing.
pub(super) fn arm(a: &Arm, say: &mut Sayer) {
    let Some(mass) = &a.s.mass else { return };
    let access = |port: u16| &a.s.access[a.l.ports[port as usize].access as usize].it;
    let mut without: Vec<String> = Vec::new();
    let mut lacks = |mass: Option<Num>, path: &str| {
        if mass.is_none() {
            without.push(format!("`{path}`"));
        }
    };
    for v in a.l.volumes.iter().filter(|v| v.spec != NONE) {
        lacks(access(v.port).volumes[v.spec as usize].it.mass, &v.path);
    }
    for o in &a.l.openings {
        let spec = a.l.elements[o.element as usize].spec as usize;
        let it = match o.port {
            NONE => &a.spec.elements[spec].it.openings[o.spec as usize].it,
            port => &access(port).openings[o.spec as usize].it,
        };
        lacks(it.mass, &o.path);
    }
    for x in &a.l.pumps {
        let spec = &access(x.port).pumps[x.spec as usize].it;
        lacks(spec.mass, &x.path);
        lacks(spec.power, &format!("{}.power", x.path));
    }
    for x in &a.l.stages {
        lacks(access(x.port).stages[x.spec as usize].it.mass, &x.path);
    }
    let mut kinds: Vec<u16> = a.l.suits.iter().map(|x| x.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    for k in kinds {
        let suit = &a.s.suits[k as usize];
        lacks(suit.it.mass, &suit.name);
    }
    if !without.is_empty() {
        say.rule(
            &rules::MASS_MISSING,
            mass.at,
            format!("no value is given for {}", without.join(", ")),
        );
    }
}

fn limit(s: &Scenario, l: &Named<LimitSpec>, say: &mut Sayer) {
    let flag = measure(&l.it.measure.it).is_some_and(|m| m.kind == Kind::Flag);
    if flag && l.it.statistic.it != Statistic::Mean {
        let what = format!("`{}` is 0 or 1 in each campaign", l.it.measure.it);
        say.rule(&rules::LIMIT_STATISTIC, l.it.statistic.at, what);
    }
    if l.it.measure.it == "system_mass_kg" && s.mass.is_none() {
        let what = "there is no section [mass]".to_string();
        say.rule(&rules::NO_MASS, l.it.measure.at, what);
    }
    let names = || s.architectures.iter().map(|a| &a.name);
    for name in &l.it.architectures {
        super::names::known(say, name, "there is no architecture", names());
    }
}

fn ranking(r: &Named<RankingSpec>, say: &mut Sayer) {
    if r.name == USUAL {
        let what = format!("`{USUAL}` is the ranking that every run has");
        say.rule(&crate::scenario::rules::RESERVED_NAME, r.at, what);
    }
    for (i, m) in r.it.measures.iter().enumerate() {
        let neither = measure(&m.it).is_some_and(|m| m.better == Better::Neither);
        let twice = r.it.measures[..i].iter().any(|o| o.it == m.it);
        if neither || twice {
            let why = if twice { "is named twice" } else { "is neither better high nor low" };
            say.rule(&rules::RANKING_MEASURE, m.at, format!("`{}` {why}", m.it));
        }
    }
    if r.it.weights.is_empty() {
        return;
    }
    for (name, _) in &r.it.weights {
        if r.it.measures.iter().all(|m| m.it != name.it) {
            let what = format!("`{}` has a weight and is not among the measures", name.it);
            say.rule(&rules::RANKING_WEIGHTS, name.at, what);
        }
    }
    for m in &r.it.measures {
        if r.it.weights.iter().all(|(name, _)| name.it != m.it) {
            let what = format!("`{}` has no weight", m.it);
            say.rule(&rules::RANKING_WEIGHTS, m.at, what);
        }
    }
}
