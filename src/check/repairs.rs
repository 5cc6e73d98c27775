//! Repairs that can never begin (rule 31).

use super::failures::{strikes, strikes_pump};
use super::{CheckedArm, Sayer, rules};
use crate::plan::{Layout, List, NONE, On, Opening, OpeningId, Places, Side, VolumeId, habitable};
use crate::scenario::{Action, RepairFrom, Scenario};

/// In which architecture a repair of a mode can never begin, and why.
pub(super) fn can_begin(s: &Scenario, arms: &[CheckedArm], say: &mut Sayer) {
    for (i, written) in s.failures.iter().enumerate() {
        let mut seen: Vec<String> = Vec::new();
        for (a, arm) in s.architectures.iter().zip(arms) {
            let f = &a.it.failures[i];
            let Some(r) = &f.it.repair else { continue };
            for what in
                never(&arm.layout, f.it.on.iter().map(|x| x.it.as_str()), r.from.it, r.crew.it)
            {
                if seen.contains(&what) {
                    continue;
                }
                let text = format!("the repair of `{}` can never begin: {what}", written.name);
                say.rule(&rules::REPAIR_NEVER, r.at, text);
                seen.push(what);
            }
        }
    }
}

/// Why repairs of parts with these names can never begin in an architecture.
fn never<'a>(
    l: &Layout,
    names: impl Iterator<Item = &'a str>,
    from: RepairFrom,
    crew: u32,
) -> Vec<String> {
    let mut out = Vec::new();
    for on in names {
        let openings = l.openings.each().filter(|(_, o)| strikes(l, on, o));
        for (id, o) in openings {
            match from {
                RepairFrom::Inside if !reached(l, id, o) => {
                    out.push(format!("neither side of `{}` is ever pressurised", o.path));
                }
                RepairFrom::Outside => out.extend(nobody_goes(l, o.element, crew)),
                _ => {}
            }
        }
        for p in l.pumps.iter().filter(|p| strikes_pump(l, on, p)) {
            if from == RepairFrom::Outside {
                out.extend(nobody_goes(l, l.ports[p.port as usize].element, crew));
            }
        }
    }
    out
}

/// A worker inside has pressure on one side of an opening: at rest, or once `restore` has filled it.
fn reached(l: &Layout, id: OpeningId, o: &Opening) -> bool {
    let rest = Places::rest(l);
    let berth = l.berths.iter().find(|b| [b.interface, b.port_hatch, b.suit_hatch].contains(&id));
    if let Some(b) = berth {
        return rest.is_habitable(l, b.cabin);
    }
    let restore = l.ports.get(o.port as usize).and_then(|p| l.lists.get(p.restore as usize));
    o.sides.iter().any(|s| match s {
        Side::Volume(v) => rest.is_habitable(l, *v) || restore.is_some_and(|r| fills(l, r, *v)),
        Side::Suit(_) => true,
    })
}

fn fills(l: &Layout, restore: &List, v: VolumeId) -> bool {
    restore.rows.iter().any(|r| match r.on {
        On::Volumes(all, n) if r.action == Action::Repress && all[..n as usize].contains(&v) => {
            habitable(l.level(r, v), l.volumes[v].oxygen)
        }
        _ => false,
    })
}

/// Why nobody of an element can go out for a repair.
fn nobody_goes(l: &Layout, e: u16, crew: u32) -> Option<String> {
    let element = &l.elements[e as usize];
    let leads = |p: &crate::plan::Port| p.element == e && p.egress != NONE && p.ingress != NONE;
    if !l.ports.iter().any(leads) {
        return Some(format!("nobody can go out of `{}` for it", element.name));
    }
    let least = u32::from(element.inside_least);
    (crew + least > l.crew as u32).then(|| {
        format!(
            "{crew} have to go out for it and {least} have to stay in `{}`, of a crew of {}",
            element.name, l.crew
        )
    })
}
