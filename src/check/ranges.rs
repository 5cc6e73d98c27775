//! Numbers by themselves: sizes that can be laid out, numbers that must be certain, laws of
//! probabilities, and how often an unknown number is drawn.

use super::{Sayer, rules};
use crate::law::Law;
use crate::layout::MAX_CREW;
use crate::scenario::*;

/// Most equal instances of a part, and most suits of one entry: one for each person.
const MOST_EQUAL: u32 = MAX_CREW as u32;
/// Most volumes of an architecture: the dry walk keeps a set of them in one word.
const MOST_VOLUMES: u32 = 63;
/// Most of anything else that is counted; layouts keep counts in 16 bits.
const MOST_COUNTED: u32 = 10_000;

/// Sizes; false if a layout cannot be made.
pub(super) fn sizes(s: &Scenario, say: &mut Sayer) -> bool {
    let before = say.out.len();
    if let Some(extra) = s.crew.names.get(MAX_CREW) {
        let what = format!("{} persons are named", s.crew.names.len());
        say.rule(&rules::CREW_MANY, extra.at, what);
    }
    let mut most = |n: Spot<u32>, limit: u32, of: &str| {
        if n.it > limit {
            let what = format!("{} {of}, at most {limit} can be laid out", n.it);
            say.rule(&rules::COUNT_MANY, n.at, what);
        }
    };
    for a in &s.access {
        for v in &a.it.volumes {
            most(v.it.count, MOST_EQUAL, "equal volumes");
            v.it.holds.iter().for_each(|n| most(*n, MOST_COUNTED, "persons"));
        }
        a.it.openings.iter().for_each(|o| most(o.it.count, MOST_EQUAL, "equal openings"));
    }
    for a in &s.architectures {
        a.it.suits.iter().for_each(|x| most(x.count, MOST_EQUAL, "suits in one place"));
        for e in &a.it.elements {
            most(e.it.haven_people, MOST_COUNTED, "haven places");
            most(e.it.inside_least, MOST_COUNTED, "persons who stay");
            e.it.openings.iter().for_each(|o| most(o.it.count, 1, "equal openings of an element"));
        }
        let volumes = volumes(s, &a.it);
        let it = u32::try_from(volumes).unwrap_or(u32::MAX);
        most(Spot { it, at: a.at }, MOST_VOLUMES, "volumes");
    }
    for t in s.activities.iter().filter_map(|a| a.it.traverse.as_ref()) {
        most(t.count, MOST_COUNTED, "traverses");
        most(t.days, MOST_COUNTED, "days");
        most(t.per_day, MOST_COUNTED, "sorties a day");
    }
    say.out.len() == before
}

/// Volumes of an architecture with outside.
fn volumes(s: &Scenario, a: &ArchitectureSpec) -> u64 {
    let of_port = |p: &Named<PortSpec>| {
        let access = s.access.iter().find(|x| x.name == p.it.access.it);
        access.map_or(0, |x| x.it.volumes.iter().map(|v| u64::from(v.it.count.it)).sum())
    };
    1 + a.elements.len() as u64 + a.ports.iter().map(of_port).sum::<u64>()
}

/// Laws and draws.
pub(super) fn numbers(s: &Scenario, say: &mut Sayer) {
    for (n, share) in unknown(s) {
        if share && matches!(n.law, Law::Lognormal { .. }) && n.law.mean() > 1.0 {
            let what = format!("the mean of the law is {:.3}", n.law.mean());
            say.rule(&rules::PROBABILITY_MEAN, n.at, what);
        }
        if n.per == Some(Per::Occasion) {
            let what = "this number has one value that is not known".to_string();
            say.rule(&rules::PER_OCCASION, n.at, what);
        }
    }
    let mut fixed = |n: &Num, why: &str| {
        if !n.law.is_fixed() {
            say.rule(&rules::FIXED_NUMBER, n.at, format!("a law is given where {why}"));
        }
    };
    for p in s.access.iter().flat_map(|a| &a.it.pumps) {
        fixed(&p.it.stop, "dry walks need the pressure that a pump leaves");
    }
    for a in &s.activities {
        fixed(&a.it.nominal_hours, "dust is given for so many hours");
    }
    lasts(s, say);
}

fn lasts(s: &Scenario, say: &mut Sayer) {
    for e in &s.environment.events {
        if e.it.lasts.law.greatest() <= 0.0 {
            let what = format!("`{}` lasts no time", e.name);
            say.rule(&rules::EVENT_LASTS, e.it.lasts.at, what);
        }
        let every = e.it.every.map(|n| n.law.mean());
        let sure = e.it.lasts.law.fixed().is_some_and(|x| every.is_some_and(|y| x < y));
        if e.it.effect.it == EnvironmentEffect::Dark && !sure {
            let what = format!("`{}` is dark for no fixed part of an `every`", e.name);
            say.rule(&rules::EVENT_LASTS, e.it.lasts.at, what);
        }
    }
    let ill = s.crew.illness.filter(|n| n.law.greatest() > 0.0);
    let long = s.crew.illness_lasts.is_some_and(|n| n.law.greatest() > 0.0);
    if let (Some(n), false) = (ill, long) {
        let what = "illness comes and `illness_lasts` no time".to_string();
        say.rule(&rules::EVENT_LASTS, n.at, what);
    }
}

/// Every number with one unknown value, and whether it is a share or probability.
fn unknown(s: &Scenario) -> Vec<(Num, bool)> {
    let mut out = Numbers(Vec::new());
    let b = &s.body;
    out.plain([b.dust_density, b.dust_shape, b.abrasion]);
    out.shares(b.dust_bins.into_iter().chain([b.dust_airborne]));
    out.plain(s.campaign.bioburden);
    out.plain([s.crew.displaces].into_iter().chain(s.crew.illness));
    s.suits.iter().for_each(|x| suit(&x.it, &mut out));
    let arms = || s.architectures.iter().map(|a| &a.it);
    s.elements.iter().for_each(|e| element(&e.it, &mut out));
    arms().for_each(|a| a.elements.iter().for_each(|e| element(&e.it, &mut out)));
    s.access.iter().for_each(|a| access(&a.it, &mut out));
    s.failures.iter().for_each(|f| failure(&f.it, &mut out));
    out.plain(s.environment.events.iter().filter_map(|e| e.it.rate));
    let flights = s.stores.iter().flat_map(|x| &x.it.resupply);
    out.shares(flights.map(|r| r.on_time));
    out.0
}

/// Collects numbers.
struct Numbers(Vec<(Num, bool)>);

impl Numbers {
    fn plain(&mut self, of: impl IntoIterator<Item = Num>) {
        self.0.extend(of.into_iter().map(|n| (n, false)));
    }
    fn shares(&mut self, of: impl IntoIterator<Item = Num>) {
        self.0.extend(of.into_iter().map(|n| (n, true)));
    }
}

fn suit(x: &SuitSpec, out: &mut Numbers) {
    out.plain([x.gas_volume, x.primary, x.secondary, x.leak, x.purge_flow]);
    out.plain([x.respiratory_quotient].into_iter().chain(x.battery));
    out.shares([x.purity, x.maintenance_sheds, x.doff_sheds]);
}

fn element(e: &ElementSpec, out: &mut Numbers) {
    out.plain([e.volume, e.filter_flow, e.height, e.deposition, e.resuspension, e.leak]);
    out.shares([e.filter_efficiency, e.cleaning_removes]);
    e.openings.iter().for_each(|o| opening(&o.it, out));
}

fn opening(o: &OpeningSpec, out: &mut Numbers) {
    out.plain([o.leak, o.seal_dust]);
    out.shares([o.discharge, o.air_share, o.floor_share, o.dust_share]);
}

fn access(a: &AccessSpec, out: &mut Numbers) {
    for v in a.volumes.iter().map(|v| &v.it) {
        out.plain([v.free, v.gear, v.filter_flow, v.height]);
        out.shares([v.filter_efficiency]);
    }
    a.openings.iter().for_each(|o| opening(&o.it, out));
    for p in a.pumps.iter().map(|p| &p.it) {
        out.plain([p.speed, p.stop].into_iter().chain(p.power));
        out.shares([p.recovery]);
    }
    out.shares(a.stages.iter().flat_map(|x| x.it.removes));
    for step in super::rows::steps(a) {
        out.shares([step.frees, step.misses, step.false_alarm].into_iter().flatten());
        out.shares(match step.incapacitated.map(|i| i.it) {
            Some(
                Incapacitated::Takes(_, p) | Incapacitated::Adds(_, p) | Incapacitated::Times(_, p),
            ) => p,
            Some(Incapacitated::Skip) | None => None,
        });
    }
}

fn failure(f: &FailureSpec, out: &mut Numbers) {
    out.plain([f.factor, f.dusty]);
    out.shares(f.common.iter().map(|c| c.1));
    out.shares(f.repair.iter().map(|r| r.success));
    match per_demand(f.when.it) {
        true => out.shares([f.law]),
        false => out.plain([f.law]),
    }
}

/// Is the law of a mode with this trigger a probability (or a life) rather than a rate?
pub(super) fn per_demand(when: Trigger) -> bool {
    use Trigger::*;
    match when {
        Opening | Closing | Holding | Mating | Unmating | Start | Sortie | Transfer => true,
        Running | HourOutside | Km | Hour => false,
    }
}
