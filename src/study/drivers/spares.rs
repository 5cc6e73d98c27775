//! What an architecture has another of: second berths, hatches that no planned list opens and second
//! ones of their kind, ports of an element with several, ways back.

use crate::campaign::Without;
use crate::plan::{Layout, ListKind, On, OpeningId};
use crate::scenario::OpeningKind;

/// Every redundant thing, in the order of the layout.
pub(super) fn redundant(l: &Layout) -> Vec<Without> {
    let mut out = Vec::new();
    for (i, p) in l.ports.iter().enumerate() {
        if l.ports.iter().filter(|q| q.element == p.element).count() > 1 {
            out.push(Without::Port(i as u16));
        }
        // Berths of a port are alike: one stands for any.
        out.extend(p.berths.get(1).map(|b| Without::Berth(*b)));
    }
    out.extend(l.openings.ids().filter(|o| second(l, *o)).map(Without::Opening));
    out.extend((0..l.ways_back.len() as u16).map(Without::WayBack));
    out
}

/// A pressure hatch, no part of a berth, that no planned list of its port works, or that has the same
/// name as another of its port (an equal instance).
fn second(l: &Layout, o: OpeningId) -> bool {
    let opening = &l.openings[o];
    let of_berth = l.berths.iter().any(|b| [b.interface, b.port_hatch, b.suit_hatch].contains(&o));
    if opening.kind != OpeningKind::PressureHatch || of_berth || opening.docking {
        return false;
    }
    let planned = |kind: ListKind| matches!(kind, ListKind::Egress | ListKind::Ingress);
    let works = |on: On| matches!(on, On::Opening(base, n) if base.run(n).any(|x| x == o));
    let used =
        l.lists.iter().filter(|x| planned(x.kind)).any(|x| x.rows.iter().any(|r| works(r.on)));
    let again = |on: On| matches!(on, On::Opening(base, n) if n > 1 && o == base.nth(1));
    let instance = l.lists.iter().any(|x| x.rows.iter().any(|r| again(r.on)));
    !used || instance
}

/// Its name in tables.
pub(super) fn name(l: &Layout, w: Without) -> String {
    match w {
        Without::WayBack(i) => l.lists[l.ways_back[i as usize] as usize].path.clone(),
        Without::Port(p) => format!("port {}", l.ports[p as usize].path),
        Without::Berth(b) => {
            let interface = l.berths[b].interface;
            format!("second berth {}", l.openings[interface].path)
        }
        Without::Opening(o) => format!("hatch {}", l.openings[o].path),
    }
}
