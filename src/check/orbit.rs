//! Elements that are only checked (they stay in orbit): pressure, oxygen, dust and suit ports against the
//! crew, the air and the suits that come from the surface. Widths of hatches stand in `suits.rs`.

use super::{Arm, Sayer, rules};
use crate::physics::{dust, prebreathe};
use crate::plan::Kept;
use crate::scenario::*;

const DAY: f64 = 86_400.0;

/// Every element that is only checked.
pub(super) fn arm(a: &Arm, say: &mut Sayer) {
    for e in &a.spec.elements {
        match e.it.played.it {
            false => orbiter(a, e, say),
            true => {
                if let Some(n) = e.it.suit_dust {
                    let what = format!("`{}` is played", e.name);
                    say.rule(&rules::ORBIT_KEY, n.at, what);
                }
            }
        }
    }
}

fn orbiter(a: &Arm, e: &Named<ElementSpec>, say: &mut Sayer) {
    if let Some((below, ratio)) = worst_ratio(a, &e.it) {
        let most = a.s.campaign.prebreathe_ratio.law.mean();
        if ratio > most {
            let what = format!(
                "nitrogen of `{}` over the pressure of `{below}`: ratio {ratio:.2}, above {most:.2}",
                e.name
            );
            say.rule(&rules::ORBIT_PRESSURE, e.it.pressure.at, what);
        }
    }
    if let Some((below, oxygen)) = richest(a) {
        let most = qualified(&e.it);
        if oxygen > most {
            let what = format!(
                "`{below}` brings {:.1} % O2, and `{}` is qualified for {:.1} %",
                oxygen * 100.0,
                e.name,
                most * 100.0
            );
            say.rule(&rules::ORBIT_OXYGEN, e.it.oxygen.at, what);
        }
    }
    if let Some(d) = dust_brought(a, &e.it).filter(|_| !e.it.tolerates_dust.it) {
        let limit = a.s.body.dust_limit;
        if d.average > limit.law.mean() {
            let at = e.it.suit_dust.map_or(e.it.tolerates_dust.at, |n| n.at);
            say.rule(&rules::ORBIT_DUST, at, format!("`{}`: {}", e.name, d.words(a)));
        }
    }
    for (kind, gets, most) in ports(a, &e.it) {
        if gets > most {
            let what = format!(
                "`{}` is allowed {:.1} kPa at a port and sees {:.1} kPa at `{}`",
                a.s.suits[kind as usize].name,
                most / 1000.0,
                gets / 1000.0,
                e.name
            );
            say.rule(&rules::ORBIT_PORT, e.it.pressure.at, what);
        }
    }
}

/// The element below where coming down from here is worst: nitrogen of the air here over the pressure
/// there.
pub(super) fn worst_ratio<'a>(a: &'a Arm, e: &ElementSpec) -> Option<(&'a str, f64)> {
    let tissue = prebreathe::breathed_nitrogen(e.pressure.law.mean(), e.oxygen.law.mean());
    let of = |x: &'a crate::plan::Element| {
        let pressure = a.l.volumes[x.cabin].rest;
        (x.name.as_str(), prebreathe::ratio(tissue, pressure))
    };
    a.l.elements.iter().map(of).reduce(|x, y| if y.1 > x.1 { y } else { x })
}

/// The cabin below with the most O2.
pub(super) fn richest<'a>(a: &'a Arm) -> Option<(&'a str, f64)> {
    let of = |x: &'a crate::plan::Element| (x.name.as_str(), a.l.volumes[x.cabin].oxygen);
    a.l.elements.iter().map(of).reduce(|x, y| if y.1 > x.1 { y } else { x })
}

/// O2 that an element is qualified for: as written, else the usual limit or what it holds.
pub(super) fn qualified(e: &ElementSpec) -> f64 {
    let usual = super::purges::RICH.max(e.oxygen.law.mean());
    e.oxygen_most.map_or(usual, |n| n.law.mean())
}

/// What suits bring into an element where nothing settles.
pub(super) struct Brought {
    suits: usize,
    /// On each, kg.
    each: f64,
    /// Mean over 24 h of what can be breathed, kg/m3.
    pub(super) average: f64,
}

impl Brought {
    /// In a sentence, with the limit.
    pub(super) fn words(&self, a: &Arm) -> String {
        let limit = a.s.body.dust_limit.law.mean();
        format!(
            "{} suits with {:.2} g each make {:.3} mg/m3 over 24 h, the limit is {:.3} mg/m3",
            self.suits,
            self.each * 1e3,
            self.average * 1e6,
            limit * 1e6
        )
    }
}

/// Everybody comes in at once in a suit that worked on the surface, as far as there are suits. What suits
/// shed below 10 um floats until the filter has it.
pub(super) fn dust_brought(a: &Arm, e: &ElementSpec) -> Option<Brought> {
    let kinds = super::suits::outside_kinds(a);
    let worn = a.l.suits.iter().filter(|s| kinds.contains(&s.kind)).count();
    let suits = worn.min(a.s.crew.names.len());
    let sortie = a.s.activities.iter().map(|x| x.it.dust.law.mean()).reduce(f64::max)?;
    let each = e.suit_dust.map_or(sortie, |n| n.law.mean());
    let sheds = kinds.iter().map(|k| a.s.suits[*k as usize].it.doff_sheds.law.mean());
    let sheds = sheds.fold(0.0, f64::max);
    let fine: f64 = a.s.body.dust_bins.iter().take(2).map(|n| n.law.mean()).sum();
    let volume = e.volume.law.mean();
    let (efficiency, flow) = (e.filter_efficiency.law.mean(), e.filter_flow.law.mean());
    let rate = dust::filter_rate(efficiency, flow, volume);
    let (_, integral) = dust::puff(suits as f64 * each * sheds * fine, rate, DAY);
    let average = integral / volume / DAY;
    Some(Brought { suits, each, average })
}

/// Kinds of suit that hang at ports below, with what they get at a suit port here (no outside
/// pressure) and what they take, Pa.
pub(super) fn ports(a: &Arm, e: &ElementSpec) -> Vec<(u16, f64, f64)> {
    if !e.openings.iter().any(|o| o.it.kind.it == OpeningKind::SuitInterface) {
        return Vec::new();
    }
    let hang = a.l.suits.iter().filter(|s| matches!(s.home, Kept::Berth(_)));
    let mut kinds: Vec<u16> = hang.map(|s| s.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let gets = e.pressure.law.mean() + e.band.law.mean();
    let limit = |k: &u16| a.s.suits[*k as usize].it.port_limit.map(|n| n.law.mean());
    kinds.iter().filter_map(|k| Some((*k, gets, limit(k)?))).collect()
}
