//! Checked -> Model.

mod slots;

pub(super) use slots::team_most;
use slots::{planned, slots_of};

use super::*;
use crate::base::law::Law;
use crate::base::stream::fnv1a64;
use crate::check::Checked;
use crate::plan::MAX_CREW;
use crate::scenario::*;

/// Compiles what was accepted. Cannot fail.
pub fn compile(checked: &Checked) -> Model {
    let shares = crate::check::capped(&checked.scenario);
    let mut c = Compiler { s: &checked.scenario, params: Params::new(shares) };
    let s = c.s;
    let horizon = s.campaign.length.law.mean();
    let mut causes: Vec<String> = FIXED_CAUSES.iter().map(|c| c.to_string()).collect();
    let rules = c.rules();
    let body = c.body();
    let crew = c.crew();
    let suits: Vec<SuitKind> = s.suits.iter().map(|k| c.suit(k)).collect();
    let groups = group_names(s);
    let first = causes.len() as u16;
    causes.extend(s.failures.iter().map(|f| f.name.clone()));
    let modes: Vec<Vec<Mode>> =
        s.architectures.iter().map(|a| c.modes(&a.it.failures, &groups, first)).collect();
    let events = c.events(&mut causes);
    let activities: Vec<Activity> = s.activities.iter().map(|a| c.activity(a)).collect();
    let (slots, traverses) = slots_of(s, horizon);
    let stores = c.stores();
    let spares = s.spares.iter().map(|x| (x.name.clone(), x.it.count.it)).collect();
    let mass = c.mass();
    let review = Review::of(s);
    let planned = planned(&slots, &activities);
    let arms = (0..checked.arms.len())
        .map(|i| super::arm_compile(&mut c, checked, i, &modes[i], &groups, &causes, &suits))
        .collect();
    Model {
        fingerprint: s.fingerprint,
        seed: s.study.seed,
        campaigns: s.study.campaigns,
        inner: s.study.inner,
        horizon,
        working: super::working(s),
        params: c.params,
        rules,
        body,
        crew,
        suits,
        activities,
        slots,
        traverses,
        events,
        stores,
        spares,
        mass,
        review,
        causes,
        arms,
        planned,
    }
}

/// Names of common-cause groups in order of appearance.
fn group_names(s: &Scenario) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let of_arms = s.architectures.iter().flat_map(|a| &a.it.failures);
    for f in s.failures.iter().chain(of_arms) {
        if let Some((g, _)) = &f.it.common
            && !out.contains(&g.it)
        {
            out.push(g.it.clone());
        }
    }
    out
}

/// Holds what is being compiled.
pub(super) struct Compiler<'a> {
    pub(super) s: &'a Scenario,
    pub(super) params: Params,
}

impl Compiler<'_> {
    pub(super) fn p(&mut self, n: &Num) -> P {
        self.params.add(&self.s.sources, n)
    }
    fn po(&mut self, n: &Option<Num>) -> Option<P> {
        n.as_ref().map(|n| self.p(n))
    }
    pub(super) fn vary(&mut self, n: &Num) -> Vary {
        match (n.law.fixed(), n.per) {
            (Some(x), _) => Vary::Fixed(x),
            (None, Some(Per::Campaign | Per::Study)) => Vary::Once(self.p(n), n.law.mean()),
            (None, _) => Vary::Law(crate::base::law::Prepared::new(n.law), n.law.mean()),
        }
    }

    fn rules(&mut self) -> Rules {
        let c = &self.s.campaign;
        Rules {
            duty_day: self.p(&c.duty_day),
            rest_least: self.p(&c.rest_least),
            eva_week_most: self.po(&c.eva_week_most),
            reserve: self.p(&c.reserve),
            wait_at_most: self.p(&c.wait_at_most),
            shut_in_at_most: self.p(&c.shut_in_at_most),
            walk_margin: self.p(&c.walk_margin),
            pressure_rate: self.p(&c.pressure_rate),
            prebreathe_ratio: self.p(&c.prebreathe_ratio),
            prebreathe_break: self.p(&c.prebreathe_break),
            mask_oxygen: self.p(&c.mask_oxygen),
            inspection_every: self.po(&c.inspection_every),
            inspection_hours: self.vary(&c.inspection_hours),
            bioburden: self.po(&c.bioburden),
            bioburden_passes: self.p(&c.bioburden_passes),
        }
    }

    fn body(&mut self) -> Body {
        let b = &self.s.body;
        Body {
            gravity: self.p(&b.gravity),
            dust_limit: b.dust_limit.law.mean(),
            dust_peak_limit: b.dust_peak_limit.as_ref().map(|n| n.law.mean()),
            dust_density: self.p(&b.dust_density),
            dust_shape: self.p(&b.dust_shape),
            dust_bins: [0, 1, 2, 3].map(|i| self.p(&b.dust_bins[i])),
            dust_airborne: self.p(&b.dust_airborne),
            abrasion: self.p(&b.abrasion),
            bioburden_limit: b.bioburden_limit.as_ref().map(|n| n.law.mean()),
        }
    }

    fn crew(&mut self) -> CrewPlay {
        let c = &self.s.crew;
        let names: Vec<String> = c.names.iter().map(|n| n.it.clone()).collect();
        CrewPlay {
            hashes: names.iter().map(|n| fnv1a64(n)).collect(),
            names,
            rest: self.vary(&c.rest),
            work: c.work.law.mean(),
            walk: self.vary(&c.walk),
            ride: self.vary(c.ride.as_ref().unwrap_or(&c.rest)),
            with_casualty: self.vary(&c.with_casualty),
            walk_speed: self.vary(&c.walk_speed),
            helped_speed: self.vary(&c.helped_speed),
            stretcher_speed: self.vary(&c.stretcher_speed),
            lift: self.vary(&c.lift),
            displaces: self.p(&c.displaces),
            illness: self.po(&c.illness),
            illness_lasts: c.illness_lasts.as_ref().map_or(Vary::Fixed(0.0), |n| self.vary(n)),
        }
    }

    fn suit(&mut self, k: &Named<SuitSpec>) -> SuitKind {
        let s = &k.it;
        SuitKind {
            name: k.name.clone(),
            pressure: s.pressure.law.mean(),
            port_limit: self.po(&s.port_limit),
            width: self.p(&s.width),
            gas_volume: self.p(&s.gas_volume),
            primary: self.p(&s.primary),
            primary_at: self.p(&s.primary_at),
            secondary: self.p(&s.secondary),
            shares_secondary: s.shares_secondary.it,
            battery: self.po(&s.battery),
            oxygen: self.po(&s.oxygen),
            water: self.po(&s.water),
            carbon_dioxide: self.po(&s.carbon_dioxide),
            equipment: self.p(&s.equipment),
            leak: self.p(&s.leak),
            purge_flow: self.p(&s.purge_flow),
            purity: self.p(&s.purity),
            respiratory_quotient: self.p(&s.respiratory_quotient),
            recharge_elapsed: self.vary(&s.recharge_elapsed),
            maintenance_every: s.maintenance_every.map(|n| n.it),
            maintenance_takes: s
                .maintenance_takes
                .as_ref()
                .map_or(Vary::Fixed(0.0), |n| self.vary(n)),
            maintenance_sheds: self.p(&s.maintenance_sheds),
            doff_sheds: self.p(&s.doff_sheds),
            parked_dust: self.p(&s.parked_dust),
        }
    }

    /// Modes of an architecture; the first is the cause `first`.
    fn modes(&mut self, all: &[Named<FailureSpec>], groups: &[String], first: u16) -> Vec<Mode> {
        let cause = |i: usize| first + i as u16;
        all.iter().enumerate().map(|(i, f)| self.mode(f, groups, cause(i))).collect()
    }

    fn mode(&mut self, f: &Named<FailureSpec>, groups: &[String], cause: u16) -> Mode {
        let it = &f.it;
        let hazard = self.hazard(it, None);
        let group = it.common.as_ref().and_then(|(g, beta)| {
            let id = groups.iter().position(|x| *x == g.it)?;
            Some((id as u16, self.p(beta)))
        });
        Mode {
            name: f.name.clone(),
            hash: fnv1a64(&f.name),
            cause,
            trigger: it.when.it,
            hazard,
            worn: it.worn.as_ref().map(|w| (self.p(&w.from), self.p(&w.factor))),
            effect: it.effect.it,
            factor: self.p(&it.factor),
            holds: it.holds.it,
            dusty: self.p(&it.dusty),
            only_dusty: it.only_dusty.it,
            adds_up: it.adds_up.it,
            outdoors: it.outdoors.it,
            group,
            noticed: it.noticed.it,
            during: it.during.map(|d| d.it),
            severity: it.severity.map_or([0.0, 1.0, 0.0], |s| s.it),
            treatment: it.treatment.as_ref().map(|n| self.vary(n)),
            off_duty: self.vary(&it.off_duty),
            repair: it.repair.as_ref().map(|r| self.repair(r)),
            crew: it.is_on("crew"),
            suit: it.is_on("suit"),
        }
    }

    /// How the hazard of a mode grows; of one part, if parts do not share what is not known.
    pub(super) fn hazard(&mut self, f: &FailureSpec, part: Option<&str>) -> Hazard {
        let mut p = |n: &Num| match part {
            Some(path) => self.params.add_for(&self.s.sources, n, path),
            None => self.params.add(&self.s.sources, n),
        };
        match (f.law.law, f.ages, f.when.it) {
            (_, Some([life, shape]), _) => Hazard::Weibull { life: p(&life), shape: p(&shape) },
            (Law::Weibull { life, shape }, None, _) => {
                Hazard::Weibull { life: self.params.fixed(life), shape: self.params.fixed(shape) }
            }
            (.., Trigger::Running | Trigger::HourOutside | Trigger::Km | Trigger::Hour) => {
                Hazard::Rate(p(&f.law))
            }
            _ => Hazard::Demand(p(&f.law)),
        }
    }

    fn repair(&mut self, r: &RepairSpec) -> Repair {
        let spare =
            r.spare.as_ref().and_then(|n| self.s.spares.iter().position(|x| x.name == n.it));
        Repair {
            takes: self.vary(&r.takes),
            crew: r.crew.it,
            spare: spare.map(|i| i as u16),
            success: self.p(&r.success),
            without_spare: r.without_spare.as_ref().map(|n| self.p(n)),
            inside: r.from.it == RepairFrom::Inside,
            outside: r.from.it == RepairFrom::Outside,
            replace_every: r.replace_every.as_ref().map(|n| self.p(n)),
            as_new: r.renews.it == Renews::AsNew,
        }
    }

    fn events(&mut self, causes: &mut Vec<String>) -> Vec<Event> {
        let s = self.s;
        s.environment
            .events
            .iter()
            .map(|e| {
                causes.push(e.name.clone());
                Event {
                    name: e.name.clone(),
                    hash: fnv1a64(&format!("environment/{}", e.name)),
                    cause: (causes.len() - 1) as u16,
                    rate: match &e.it.rate {
                        Some(n) => self.p(n),
                        None => self.params.fixed(0.0),
                    },
                    calendar: e.it.every.map(|n| (e.it.first.law.mean(), n.law.mean())),
                    warning: self.vary(&e.it.warning),
                    lasts: self.vary(&e.it.lasts),
                    effect: e.it.effect.it,
                    shelter: e.it.shelter.it,
                    season: e
                        .it
                        .season
                        .as_ref()
                        .map(|x| [x.first.law.mean(), x.lasts.law.mean(), x.every.law.mean()]),
                    rovers_return: e.it.rovers_return.it,
                }
            })
            .collect()
    }

    fn activity(&mut self, a: &Named<ActivitySpec>) -> Activity {
        let it = &a.it;
        let speed = match it.by.it {
            By::RoverOutside => {
                self.rover_speed(&it.from.it).unwrap_or(self.s.crew.walk_speed.law.mean())
            }
            _ => self.s.crew.walk_speed.law.mean(),
        };
        let travel =
            if it.distance.law.mean() > 0.0 { 2.0 * it.distance.law.mean() / speed } else { 0.0 };
        let hours = self.vary(&it.hours);
        // An architecture cannot change when a mode is asked for.
        let asked = |when| self.s.failures.iter().filter(|f| f.it.when.it == when).count() as u32;
        let (outside, sortie) = (asked(Trigger::HourOutside), asked(Trigger::Sortie));
        let team = it.team.it;
        Activity {
            name: a.name.clone(),
            hash: fnv1a64(&format!("activity/{}", a.name)),
            team,
            planned: hours.mean() + travel,
            hours,
            nominal_hours: it.nominal_hours.law.mean(),
            distance: self.vary(&it.distance),
            by: it.by.it,
            dust: self.vary(&it.dust),
            work: match &it.work {
                Some(n) => self.vary(n),
                None => self.vary(&self.s.crew.work.clone()),
            },
            travel,
            suit: self.suit_of(it),
            draws: 3 + team + outside * team + sortie * 3,
            rover: it.traverse.as_ref().map(|t| RoverPlan {
                drive: self.p(&t.drive),
                each_day: self.vary(&t.each_day),
                repair_within: self.p(&t.repair_within),
            }),
        }
    }

    /// Index of the kind of suit that an activity asks for.
    fn suit_of(&self, it: &ActivitySpec) -> u16 {
        let name = it.suit.as_ref().map(|s| s.it.as_str());
        let kind = self.s.suits.iter().position(|k| Some(k.name.as_str()) == name);
        kind.map_or(crate::plan::NONE, |k| k as u16)
    }

    /// Nominal speed of those who ride from an element, m/s: the element itself if it drives, else the
    /// first rover that docks there, else the first of all; as the first architecture has them.
    fn rover_speed(&self, from: &str) -> Option<f64> {
        let elements = &self.s.architectures.first()?.it.elements;
        let docks = |e: &Named<ElementSpec>| e.it.joined.as_ref().is_some_and(|j| j.it == from);
        let rank = |e: &&Named<ElementSpec>| match (e.name == from, docks(e)) {
            (true, _) => 0,
            (_, true) => 1,
            _ => 2,
        };
        let drive =
            elements.iter().filter(|e| e.it.kind.it == ElementKind::Rover && e.it.speed.is_some());
        drive.min_by_key(rank)?.it.speed.map(|n| n.law.mean())
    }

    fn stores(&mut self) -> Vec<Store> {
        let s = self.s;
        s.stores
            .iter()
            .map(|x| Store {
                name: x.name.clone(),
                oxygen: self.p(&x.it.oxygen),
                nitrogen: self.p(&x.it.nitrogen),
                filled_from: x.it.filled_from.as_ref().and_then(|from| {
                    s.stores.iter().position(|y| y.name == from.it).map(|i| i as u16)
                }),
                water: self.po(&x.it.water),
                resupply: x
                    .it
                    .resupply
                    .iter()
                    .enumerate()
                    .map(|(i, r)| self.resupply(&x.name, i, r))
                    .collect(),
            })
            .collect()
    }

    fn resupply(&mut self, store: &str, i: usize, r: &ResupplySpec) -> Resupply {
        let kind = |n: &str| self.s.spares.iter().position(|x| x.name == n).map(|i| i as u16);
        let spares = r.spares.iter().filter_map(|(n, k)| Some((kind(&n.it)?, *k))).collect();
        Resupply {
            at: self.vary(&r.day),
            on_time: self.p(&r.on_time),
            slip: self.vary(&r.slip),
            oxygen: self.p(&r.oxygen),
            nitrogen: self.p(&r.nitrogen),
            water: self.p(&r.water),
            spares,
            hash: fnv1a64(&format!("store/{store}/flight {}", i + 1)),
        }
    }
}
