//! Rooms and what stands in them: free volumes, air to breathe, openings, valves, pumps, stages.

use super::{Arm, Sayer, rules};
use crate::plan::{ACROSS, Side, habitable};
use crate::scenario::*;

/// O2 fraction above which fire is what one thinks of first; from memory.
const RICH: f64 = 0.36;

/// Parts of access files, whoever installs them.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    let displaces = s.crew.displaces.law.mean();
    for a in &s.access {
        a.it.volumes.iter().for_each(|v| free_volume(v, displaces, say));
        a.it.openings.iter().for_each(|o| opening(o, say));
        for (i, p) in a.it.pumps.iter().enumerate() {
            let other = a.it.pumps[..i].iter().find(|q| q.it.on.it == p.it.on.it);
            if let Some(other) = other {
                let what = format!("`{}` empties `{}` already", other.name, p.it.on.it);
                say.rule(&rules::PUMP_TWICE, p.it.on.at, what);
            }
        }
        for x in &a.it.stages {
            let nothing = x.it.removes.iter().all(|n| n.law.greatest() <= 0.0);
            if x.it.kind.it == StageKind::Cleaning && nothing {
                let what = format!("stage `{}` removes nothing", x.name);
                say.rule(&rules::STAGE_REMOVES, x.at, what);
            }
        }
    }
}

fn free_volume(v: &Named<VolumeSpec>, displaces: f64, say: &mut Sayer) {
    let persons = f64::from(v.it.holds.map_or(0, |n| n.it));
    let left = v.it.free.law.mean() - v.it.gear.law.mean() - persons * displaces;
    // NaN cannot occur: the reader refuses it. Written so that it would be refused here too.
    let room = left > 0.0;
    if !room {
        let what =
            format!("`{}` has {left:.3} m3 left with {persons} persons and its gear", v.name);
        say.rule(&rules::FREE_VOLUME, v.it.free.at, what);
    }
}

fn opening(o: &Named<OpeningSpec>, say: &mut Sayer) {
    let (kind, rest) = (o.it.kind.it, o.it.rest);
    let interface = kind == OpeningKind::SuitInterface;
    let wrong = match rest.it {
        OpeningRest::Mated => !interface,
        OpeningRest::Open => interface,
        OpeningRest::Shut => false,
    };
    if wrong {
        let what = format!("a {} rests {}", kind.word(), rest.it.word());
        say.rule(&rules::OPENING_REST, rest.at, what);
    }
    let [a, b] = &o.it.between;
    if a.it == b.it {
        let what = format!("`{}` leads from `{}` to itself", o.name, a.it);
        say.rule(&rules::OPENING_SIDES, b.at, what);
    }
    if kind == OpeningKind::Valve && o.it.diameter.is_none() {
        let what = format!("valve `{}` has no diameter", o.name);
        say.rule(&rules::VALVE_BORE, o.at, what);
    }
}

/// Elements of one architecture, played or not; false if nobody could live in one that is played.
pub(super) fn elements(a: &ArchitectureSpec, say: &mut Sayer) -> bool {
    let mut footing = true;
    for e in &a.elements {
        let (p, x) = (e.it.pressure.law.mean(), e.it.oxygen.law.mean());
        if !habitable(p, x) {
            let inspired = (p - 6300.0) * x / 1000.0;
            let what = format!("in `{}` inspired O2 is {inspired:.1} kPa", e.name);
            say.rule(&rules::INSPIRED_OXYGEN, e.it.oxygen.at, what);
            footing &= !e.it.played.it;
        }
        if let Some(most) = e.it.oxygen_most.filter(|n| x > n.law.mean()) {
            let (x, limit) = (x * 100.0, most.law.mean() * 100.0);
            let what = format!("`{}` holds {x:.1} % O2 and is qualified for {limit:.1} %", e.name);
            say.rule(&rules::OXYGEN_MOST, most.at, what);
        }
        if x > RICH {
            let what = format!("`{}` holds {:.0} % O2", e.name, x * 100.0);
            say.rule(&rules::OXYGEN_RICH, e.it.oxygen.at, what);
        }
        e.it.openings.iter().for_each(|o| opening(o, say));
    }
    footing
}

/// Rooms of one architecture; false if they cannot be as they are written.
pub(super) fn arm(a: &Arm, say: &mut Sayer) -> bool {
    let mut footing = true;
    for o in a.l.openings.iter().filter(|o| o.rest == OpeningRest::Open) {
        let [Side::Volume(x), Side::Volume(y)] = o.sides else {
            continue;
        };
        let [x, y] = [x, y].map(|v| &a.l.volumes[v]);
        if (x.rest - y.rest).abs() > ACROSS {
            let what = format!(
                "`{}` rests open between {:.1} kPa and {:.1} kPa",
                o.name,
                x.rest / 1000.0,
                y.rest / 1000.0
            );
            say.rule(&rules::REST_PRESSURE, o.at, what);
            footing = false;
        }
    }
    for p in &a.l.pumps {
        let port = &a.l.ports[p.port as usize];
        let cabin = a.l.elements[port.element as usize].cabin;
        let high = a.l.volumes[cabin].rest;
        if p.stop >= high || p.stop <= a.l.ambient {
            let spec = &a.s.access[port.access as usize].it.pumps[p.spec as usize].it;
            let what = format!(
                "the pump stops at {:.2} kPa, with {:.2} kPa outside and {:.2} kPa inside",
                p.stop / 1000.0,
                a.l.ambient / 1000.0,
                high / 1000.0
            );
            say.rule(&rules::PUMP_STOP, spec.stop.at, what);
        }
    }
    footing
}
