//! What must go together across sections: stores and elements, havens and crew, cabin air and
//! prebreathe, conditions of ways back and what is there to meet them.

use super::{Arm, Sayer, rules};
use crate::physics::prebreathe;
use crate::plan::{Asked, Condition, Layout, List, NONE, Port, Side};
use crate::scenario::*;

const DAY: f64 = 86_400.0;
/// Dust limit of the published Martian figure, kg/m3, with room for rounding.
const MARS_LIMIT: f64 = 0.1e-6 * 1.000_001;
/// Longest stay that figure covers, s.
const MARS_STAY: f64 = 30.0 * DAY;

/// Across sections, whatever the architecture.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    let (limit, length) = (s.body.dust_limit, s.campaign.length.law.mean());
    let martian = limit.law.mean() <= MARS_LIMIT || s.body.name.it == "Mars";
    if martian && length > MARS_STAY {
        let what = format!("the campaign lasts {:.0} days", length / DAY);
        say.rule(&rules::DUST_DAYS, limit.at, what);
    }
    for flight in s.stores.iter().flat_map(|x| &x.it.resupply) {
        if flight.day.law.least() >= length {
            let what = "this flight arrives after the end of the campaign".to_string();
            say.rule(&rules::RESUPPLY_LATE, flight.day.at, what);
        }
    }
    for a in &s.access {
        a.it.ways_back.iter().for_each(|w| way_gas(&a.it, w, say));
    }
}

/// A way back that fills a room. The narrow space behind a suit is none worth asking for.
fn way_gas(a: &AccessSpec, w: &Named<WayBackSpec>, say: &mut Sayer) {
    let asks = w.it.needs.iter().any(|c| c.it.starts_with("gas covers "));
    let joins = |o: &Named<OpeningSpec>, side: &str| o.it.between.iter().any(|b| b.it == side);
    let gap = |name: &str| a.openings.iter().any(|o| joins(o, "suit") && joins(o, name));
    let room = |name: &str| name != "suit" && !gap(name);
    let fills = |r: &RowSpec| match &r.it {
        RowBody::Step(s) => s.action.it == Action::Repress && s.on.iter().any(|n| room(&n.it)),
        RowBody::Use(_) => false,
    };
    if let (Some(row), false) = (w.it.rows.iter().find(|r| fills(r)), asks) {
        let what =
            format!("`{}` fills a volume, but no condition asks whether the gas is there", w.name);
        say.rule(&rules::WAY_GAS, row.at, what);
    }
}

/// Across sections in one architecture.
pub(super) fn arm(a: &Arm, say: &mut Sayer) {
    havens(a, say);
    joined(a, say);
    for p in &a.l.ports {
        let e = &a.l.elements[p.element as usize];
        if e.store == NONE {
            let what = format!("`{}` with port `{}` is fed from no store", e.name, p.name);
            let at = a.spec.elements[e.spec as usize].at;
            say.rule(&rules::PORT_STORE, at, what);
        }
    }
    for activity in &a.s.activities {
        let ports = activity.it.ports.iter().filter_map(|p| a.l.port(&p.it));
        ports.for_each(|p| air(a, p, say));
    }
    for id in &a.l.ways_back {
        never(a, &a.l.lists[*id as usize], say);
    }
}

fn havens(a: &Arm, say: &mut Sayer) {
    let crew = a.s.crew.names.len();
    let places: usize = a.l.elements.iter().map(|e| usize::from(e.haven_people)).sum();
    if places < crew {
        let what = format!("{places} safe haven places for a crew of {crew}");
        say.rule(&rules::HAVEN_PLACES, a.at, what);
    }
    for e in a.spec.elements.iter().filter(|e| e.it.played.it) {
        if e.it.haven_people.it > 0 && e.it.haven_days.law.mean() <= 0.0 {
            let what = format!("`{}` shelters people for no time", e.name);
            say.rule(&rules::HAVEN_DAYS, e.it.haven_days.at, what);
        }
    }
}

fn joined(a: &Arm, say: &mut Sayer) {
    for e in a.l.elements.iter().filter(|e| e.joined != NONE) {
        let cabins = [e.cabin, a.l.elements[e.joined as usize].cabin].map(Side::Volume);
        let between = |sides: [Side; 2]| cabins.iter().all(|c| sides.contains(c));
        let spec = &a.spec.elements[e.spec as usize];
        let docks =
            a.l.ports
                .iter()
                .any(|p| a.l.elements[p.element as usize].cabin == e.cabin && p.dock != NONE);
        let open = docks || a.l.openings.iter().any(|o| between(o.sides));
        if let (Some(j), false) = (&spec.it.joined, open) {
            let what = format!("no opening between `{}` and `{}`", e.name, j.it);
            say.rule(&rules::JOINED_OPENING, j.at, what);
        }
    }
}

/// Prebreathe from the cabin behind a port in the suits that are used there.
fn air(a: &Arm, port: u16, say: &mut Sayer) {
    let p = &a.l.ports[port as usize];
    let cabin = &a.l.volumes[a.l.elements[p.element as usize].cabin];
    let tissue = prebreathe::breathed_nitrogen(cabin.rest, cabin.oxygen);
    for k in super::suits::kinds_at(a.l, port) {
        let suit = &a.s.suits[k as usize];
        let breathed = prebreathe::breathed_nitrogen(cabin.rest, suit.it.purity.law.mean());
        let wanted = prebreathe::Wanted {
            ratio: a.s.campaign.prebreathe_ratio.law.mean(),
            suit_pressure: suit.it.pressure.law.mean(),
            half_time: prebreathe::SLOW_HALF_TIME,
        };
        match prebreathe::required_time(tissue, breathed, wanted) {
            None => {
                let what = format!(
                    "in `{}` people breathe {:.1} kPa of nitrogen, above the target of {:.1} kPa",
                    suit.name,
                    breathed / 1000.0,
                    wanted.ratio * wanted.suit_pressure / 1000.0
                );
                say.rule(&rules::PREBREATHE_RATIO, suit.it.purity.at, what);
            }
            Some(t) if t > 0.0 => missing(a, p, t, say),
            Some(_) => {}
        }
    }
}

fn missing(a: &Arm, p: &Port, time: f64, say: &mut Sayer) {
    let Some(list) = a.l.lists.get(p.egress as usize) else {
        return;
    };
    if !list.rows.iter().any(|r| r.action == Action::Prebreathe) {
        let minutes = (time / 60.0).ceil();
        let what =
            format!("port `{}` needs a prebreathe of {minutes} min and has no such row", p.name);
        say.rule(&rules::PREBREATHE_MISSING, list.at, what);
    }
}

/// A way back whose conditions can never hold in this architecture.
fn never(a: &Arm, list: &List, say: &mut Sayer) {
    let against = |c: &Asked| list.needs.contains(&Asked { not: !c.not, ..*c });
    let both = |x: Condition, y: Condition| list.asks(x) && list.asks(y);
    let why = if both(Condition::Casualty, Condition::NoCasualty) {
        Some("it needs a casualty and no casualty".to_string())
    } else if list.needs.iter().any(against) {
        Some("one of its conditions stands there with and without `not`".to_string())
    } else {
        list.needs.iter().find_map(|c| impossible(a.l, list.port, *c))
    };
    if let Some(why) = why {
        let what = format!("`{}` is never open: {why}", list.path);
        say.rule(&rules::WAY_NEVER, list.at, what);
    }
}

/// Why a condition cannot hold in this architecture, as it was written.
pub(super) fn impossible(l: &Layout, port: u16, asked: Asked) -> Option<String> {
    use Condition::*;
    let c = asked.condition;
    if asked.not {
        return match c {
            ToleratesVacuum(e) if l.elements[e as usize].tolerates_vacuum => {
                Some(format!("`{}` tolerates vacuum", l.elements[e as usize].name))
            }
            _ => None,
        };
    }
    let element = |e: u16| &l.elements[e as usize];
    let berths = l.ports[port as usize].berths.len();
    let rover = || l.elements.iter().any(|e| e.kind == ElementKind::Rover);
    match c {
        ToleratesVacuum(e) if !element(e).tolerates_vacuum => {
            Some(format!("`{}` does not tolerate vacuum", element(e).name))
        }
        RoomAt(e) if element(e).haven_people == 0 => {
            Some(format!("`{}` has no haven places", element(e).name))
        }
        BerthFree | BerthEmpty | BerthIntact if berths < 1 => Some("its port has no berth".into()),
        TwoBerthsFree if berths < 2 => Some("its port has fewer than two berths".into()),
        RoverDrives | RoverManned | RoverRemote if !rover() => Some("there is no rover".into()),
        AscentVehicle if !l.elements.iter().any(|e| e.ascent) => {
            Some("there is no ascent vehicle".into())
        }
        _ => None,
    }
}
