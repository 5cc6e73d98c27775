//! What coming in alone means at each shipped access system, and with a casualty (dry walks, nothing
//! failing): by the planned list, or by which way back.

use std::path::Path;
use vestibule::check;
use vestibule::model::{self, Model};
use vestibule::plan::walk::{self, Group};
use vestibule::plan::{Layout, List, NONE, OUTSIDE, Places, Where};
use vestibule::scenario;

pub fn shipped(name: &str) -> Model {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs").join(name).join("campaign.toml");
    let s = scenario::read(&file).scenario.expect(name);
    model::compile(&check::check(s).0.expect(name))
}

/// Everything at rest, `out` and `stay` in the cabin behind a port, the others nowhere near.
fn cabin(l: &Layout, port: usize, out: u16, stay: u16) -> Places {
    let mut p = Places::rest(l);
    let host = l.elements[l.ports[port].element as usize].cabin;
    for i in 0..l.crew {
        let here = (out | stay) & 1 << i != 0;
        p.stand(i, if here { Where::Volume(host) } else { Where::Gone });
    }
    p
}

/// Where those who have gone out by a port stand, if its egress walks.
fn outside(l: &Layout, port: usize, out: u16, stay: u16) -> Option<Places> {
    let mut p = cabin(l, port, out, stay);
    let g = Group { team: out, hurt: 0, rescuers: 0 };
    walk::walk(l, &mut p, &l.lists[l.ports[port].egress as usize], 0, g).ok()?;
    walk::release_berths(&mut p, out);
    Some(p)
}

/// Do `out`, of whom `hurt` are, all come in by this list?
fn comes_in(l: &Layout, from: &Places, list: &List, out: u16, hurt: u16) -> bool {
    let mut p = from.clone();
    walk::make_ready(l, &mut p, list, 0);
    let g = Group { team: out, hurt, rescuers: 0 };
    walk::walk(l, &mut p, list, 0, g).is_ok() && walk::all_in(l, &p, out)
}

/// The planned list, or the first way back of this element in the architecture's order, by which they
/// come in.
fn way_in(l: &Layout, port: usize, from: &Places, out: u16, hurt: u16) -> Option<String> {
    let planned = &l.lists[l.ports[port].ingress as usize];
    let here = |w: &&List| {
        let element = l.ports[w.port as usize].element;
        w.from == Some(OUTSIDE) && element == l.ports[port].element
    };
    let ways = l.ways_back.iter().map(|w| &l.lists[*w as usize]);
    std::iter::once(planned)
        .chain(ways.filter(here))
        .find(|list| comes_in(l, from, list, out, hurt))
        .map(|list| list.name.clone())
}

/// Every port of every architecture that sorties use: who is alone comes in by the planned list, whether
/// somebody is inside or not, and two of whom one is hurt come in too, by it or by a way back where the
/// planned list asks for somebody inside.
#[test]
fn one_alone_and_one_with_a_casualty_come_in_at_every_port() {
    let mut table = String::new();
    let mut faults = Vec::new();
    for name in ["larkspur", "ochre", "teasel"] {
        for arm in &shipped(name).arms {
            let l = &arm.layout;
            for port in 0..l.ports.len() {
                if l.ports[port].egress == NONE || l.ports[port].ingress == NONE {
                    continue;
                }
                for (who, out, hurt, stay) in [
                    ("one alone, nobody inside", 1, 0, 0),
                    ("one alone, one inside", 1, 0, 2),
                    ("a casualty and a partner, nobody inside", 3, 1, 0),
                    ("a casualty and a partner, one inside", 3, 1, 4),
                ] {
                    let at = format!("{name} {} {}: {who}", arm.name, l.ports[port].name);
                    let way =
                        outside(l, port, out, stay).and_then(|p| way_in(l, port, &p, out, hurt));
                    // Rule I: at a single port with berths and nobody inside never as planned.
                    let berths = !l.ports[port].berths.is_empty();
                    if berths && hurt != 0 && stay == 0 {
                        assert_ne!(way.as_deref(), Some("ingress"), "{at}");
                    }
                    match way {
                        Some(w) => table.push_str(&format!("{at}: {w}\n")),
                        None => faults.push(at),
                    }
                }
            }
        }
    }
    assert!(faults.is_empty(), "no way in for\n{}\nbut\n{table}", faults.join("\n"));
}
