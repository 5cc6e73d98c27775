//! Numbers by themselves: sizes that can be laid out, numbers that must be certain, laws of
//! probabilities, and how often an unknown number is drawn.

use super::{Sayer, rules};
use crate::base::law::{Law, Z95, normal_below};
use crate::plan::{Layout, MAX_CREW};
use crate::scenario::*;

const DAY: f64 = 86_400.0;
/// Most equal instances of a part, and most suits of one entry: one for each person.
const MOST_EQUAL: u32 = MAX_CREW as u32;
/// Most volumes of an architecture: the dry walk keeps a set of them in one word.
const MOST_VOLUMES: u32 = 63;
/// Most ways back of an architecture, and most common-cause groups: the record of a campaign has a bit
/// for each.
const MOST_WAYS: usize = 64;
/// Most failure modes, for the same reason.
const MOST_MODES: usize = 128;
/// Most environment events, likewise.
const MOST_EVENTS: usize = 62;
/// Most tries of a row: their number is part of the address of luck.
const MOST_TRIES: u32 = 60;
/// Most parts of an architecture that failure modes can strike: modes times parts stay in 16 bits.
const MOST_PARTS: usize = 500;
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
    events(s, &mut most);
    let mut few = |n: usize, limit: usize, at: Option<At>, of: &str| {
        let it = u32::try_from(n).unwrap_or(u32::MAX);
        most(Spot { it, at: at.unwrap_or_default() }, limit as u32, of);
    };
    few(s.failures.len(), MOST_MODES, s.failures.get(MOST_MODES).map(|f| f.at), "failure modes");
    let events = &s.environment.events;
    few(events.len(), MOST_EVENTS, events.get(MOST_EVENTS).map(|e| e.at), "environment events");
    let lists = super::failures::written(s).filter_map(|f| f.it.common.as_ref());
    let mut groups: Vec<&Spot<String>> = Vec::new();
    for (group, _) in lists {
        if !groups.iter().any(|g| g.it == group.it) {
            groups.push(group);
        }
    }
    few(groups.len(), MOST_WAYS, groups.get(MOST_WAYS).map(|g| g.at), "common-cause groups");
    for row in s.access.iter().flat_map(|a| super::rows::all(&a.it)) {
        if let RowBody::Step(step) = &row.it
            && let Some(Spot { it: IfFails::Retry(n), at }) = step.if_fails
        {
            most(Spot { it: n, at }, MOST_TRIES, "tries of a row");
        }
    }
    for t in s.activities.iter().filter_map(|a| a.it.traverse.as_ref()) {
        most(t.count, MOST_COUNTED, "traverses");
        most(t.days, MOST_COUNTED, "days");
        most(t.per_day, MOST_COUNTED, "sorties a day");
    }
    say.out.len() == before
}

/// What only the layout of an architecture can count.
pub(super) fn laid_out(l: &Layout, at: At, say: &mut Sayer) -> bool {
    let parts =
        l.openings.len() + l.pumps.len() + l.stages.len() + l.suits.len() + l.elements.len();
    let mut fine = true;
    for (n, limit, of) in [
        (l.ways_back.len(), MOST_WAYS, "contingency ingress paths"),
        (
            parts,
            MOST_PARTS,
            "parts \
         that can fail",
        ),
    ] {
        if n > limit {
            say.rule(&rules::COUNT_MANY, at, format!("{n} {of}, at most {limit} can be laid out"));
            fine = false;
        }
    }
    fine
}

/// How often environment events come in a campaign. At a rate none is announced while one lasts.
fn events(s: &Scenario, most: &mut impl FnMut(Spot<u32>, u32, &str)) {
    let length = s.campaign.length.law.mean();
    for e in &s.environment.events {
        let lasts = e.it.lasts.law.mean();
        let by_rate = e.it.rate.as_ref().map(|r| (length / (1.0 / r.law.mean() + lasts), r.at));
        let by_time = e.it.every.as_ref().map(|x| (length / x.law.mean(), x.at));
        for (times, at) in by_rate.into_iter().chain(by_time) {
            // As a whole number it saturates, which is many enough.
            most(Spot { it: times as u32, at }, MOST_COUNTED, "environment events in a campaign");
        }
    }
}

/// Volumes of an architecture with outside.
fn volumes(s: &Scenario, a: &ArchitectureSpec) -> u64 {
    let of_port = |p: &Named<PortSpec>| {
        let access = s.access.iter().find(|x| x.name == p.it.system());
        access.map_or(0, |x| x.it.volumes.iter().map(|v| u64::from(v.it.count.it)).sum())
    };
    1 + a.elements.len() as u64 + a.ports.iter().map(of_port).sum::<u64>()
}

/// A chance of drawing more than 1 that is worth telling before anything is drawn.
const SELDOM: f64 = 1e-6;

/// Chance that a lognormal law gives more than 1: normal tail beyond -ln(median)/sigma, with
/// sigma = ln(error factor)/1.645.
fn chance_above_1(law: &Law) -> f64 {
    match *law {
        Law::Lognormal { median, error_factor } => {
            normal_below(median.ln() * Z95 / error_factor.ln())
        }
        _ => 0.0,
    }
}

/// Laws and draws.
pub(super) fn numbers(s: &Scenario, say: &mut Sayer) {
    for (n, share) in unknown(s) {
        if share && matches!(n.law, Law::Lognormal { .. }) && n.law.mean() > 1.0 {
            let what = format!("the mean of the law is {:.3}", n.law.mean());
            say.rule(&rules::PROBABILITY_MEAN, n.at, what);
        } else if share && chance_above_1(&n.law) > SELDOM {
            let chance = chance_above_1(&n.law);
            let what = format!("the law gives more than 1 with a chance of {chance:.1e}");
            say.rule(&rules::PROBABILITY_CAPPED, n.at, what);
        }
        if n.per == Some(Per::Occasion) {
            let what = "this number has one unknown value".to_string();
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
    lasts(s, say);
    let known = |(n, _): &(Num, bool)| {
        let certain = n.law.is_fixed() || matches!(n.law, Law::Weibull { .. });
        certain || n.per == Some(Per::Study)
    };
    if s.study.inner.is_some() && unknown(s).iter().all(known) {
        let what = "no rate, probability or other unknown number has a law".to_string();
        say.rule(&rules::CERTAIN_STUDY, s.study.at, what);
    }
}

fn lasts(s: &Scenario, say: &mut Sayer) {
    for e in &s.environment.events {
        if e.it.lasts.law.greatest() <= 0.0 {
            let what = format!("`{}` has no duration", e.name);
            say.rule(&rules::EVENT_LASTS, e.it.lasts.at, what);
        }
        let every = e.it.every.map(|n| n.law.mean());
        let sure = e.it.lasts.law.fixed().is_some_and(|x| every.is_some_and(|y| x < y));
        if let Some(s) = &e.it.season {
            let (lasts, year) = (s.lasts.law.mean(), s.every.law.mean());
            if lasts > year {
                let what = format!(
                    "the season of `{}` lasts {:.0} d and comes every {:.0} d",
                    e.name,
                    lasts / DAY,
                    year / DAY
                );
                say.rule(&rules::EVENT_LASTS, s.at, what);
            }
            if e.it.every.is_some() {
                let what = format!("`{}` follows the calendar and has a season too", e.name);
                say.rule(&rules::EVENT_SEASON, s.at, what);
            }
        }
        if e.it.effect.it == EnvironmentEffect::Dark && !sure {
            let what = format!("`{}` is dark for no fixed part of an `every`", e.name);
            say.rule(&rules::EVENT_LASTS, e.it.lasts.at, what);
        }
    }
    let ill = s.crew.illness.filter(|n| n.law.greatest() > 0.0);
    let long = s.crew.illness_lasts.is_some_and(|n| n.law.greatest() > 0.0);
    if let (Some(n), false) = (ill, long) {
        let what = "illness occurs, but `illness_lasts` is 0".to_string();
        say.rule(&rules::EVENT_LASTS, n.at, what);
    }
}

/// Where lognormal laws of probabilities stand: their values are cut at 1.
pub(super) fn capped(s: &Scenario) -> Vec<At> {
    let cut = |(n, share): &(Num, bool)| *share && matches!(n.law, Law::Lognormal { .. });
    unknown(s).iter().filter(|x| cut(x)).map(|(n, _)| n.at).collect()
}

/// Names of the numbers that a parameter set draws ([`Sources::parameter`]).
pub(super) fn uncertain(s: &Scenario) -> Vec<String> {
    let drawn = |n: &Num| !n.law.is_fixed() && n.per != Some(Per::Study);
    let of_mass = s.mass.iter().flat_map(|m| {
        [m.volume, m.power, m.crew_time, m.tank_oxygen, m.tank_nitrogen, m.tank_water]
    });
    let all = unknown(s).into_iter().map(|(n, _)| n).chain(of_mass);
    all.filter(drawn).map(|n| s.sources.parameter(n.at)).collect()
}

/// Every number with one unknown value, and whether it is a share or probability.
fn unknown(s: &Scenario) -> Vec<(Num, bool)> {
    let mut out = Numbers(Vec::new());
    let b = &s.body;
    out.plain([b.dust_density, b.dust_shape, b.abrasion]);
    out.shares(b.dust_bins.into_iter().chain([b.dust_airborne]));
    out.plain(s.campaign.bioburden);
    out.shares([s.campaign.mask_oxygen, s.campaign.bioburden_passes]);
    out.plain([s.crew.displaces].into_iter().chain(s.crew.illness));
    s.suits.iter().for_each(|x| suit(&x.it, &mut out));
    let arms = || s.architectures.iter().map(|a| &a.it);
    s.elements.iter().for_each(|e| element(&e.it, &mut out));
    arms().for_each(|a| a.elements.iter().for_each(|e| element(&e.it, &mut out)));
    s.access.iter().for_each(|a| access(&a.it, &mut out));
    super::failures::written(s).for_each(|f| failure(&f.it, &mut out));
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
    out.plain([x.gas_volume, x.primary, x.secondary, x.leak, x.purge_flow, x.parked_dust]);
    out.plain([x.respiratory_quotient, x.equipment].into_iter().chain(x.battery));
    out.plain([x.oxygen, x.water, x.carbon_dioxide].into_iter().flatten());
    out.shares([x.purity, x.maintenance_sheds, x.doff_sheds]);
}

fn element(e: &ElementSpec, out: &mut Numbers) {
    out.plain([e.volume, e.filter_flow, e.height, e.deposition, e.resuspension, e.leak]);
    out.shares([e.filter_efficiency, e.cleaning_removes]);
    e.filter_life.iter().for_each(|f| filter_life(f, out));
    e.openings.iter().for_each(|o| opening(&o.it, out));
}

fn opening(o: &OpeningSpec, out: &mut Numbers) {
    out.plain([o.leak, o.seal_dust].into_iter().chain(o.leak_allowed));
    out.plain(o.gap.iter().flat_map(|g| [g.length, g.height, g.path]));
    out.shares(o.cover.iter().map(|c| c.dust));
    out.plain(o.cover.iter().map(|c| c.sun));
    out.shares([o.discharge, o.air_share, o.floor_share, o.dust_share]);
}

fn access(a: &AccessSpec, out: &mut Numbers) {
    for v in a.volumes.iter().map(|v| &v.it) {
        out.plain([v.free, v.gear, v.filter_flow, v.height]);
        out.shares([v.filter_efficiency, v.cleaning_removes]);
        v.filter_life.iter().for_each(|f| filter_life(f, out));
    }
    a.openings.iter().for_each(|o| opening(&o.it, out));
    for p in a.pumps.iter().map(|p| &p.it) {
        out.plain([p.speed, p.stop, p.reservoir].into_iter().chain(p.power));
        out.shares([p.recovery]);
    }
    out.shares(a.stages.iter().flat_map(|x| x.it.removes.into_iter().chain(x.it.captures)));
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

fn filter_life(f: &FilterLifeSpec, out: &mut Numbers) {
    out.plain([f.capacity]);
    out.shares([f.flow_left, f.efficiency_left]);
}

fn failure(f: &FailureSpec, out: &mut Numbers) {
    out.plain([f.factor, f.dusty]);
    out.plain(f.ages.into_iter().flatten());
    out.plain(f.worn.iter().flat_map(|w| [w.from, w.factor]));
    out.shares(f.common.iter().map(|c| c.1));
    out.shares(f.repair.iter().map(|r| r.success));
    out.shares(f.repair.iter().filter_map(|r| r.without_spare));
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
