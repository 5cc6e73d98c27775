//! The order of contingency ingress paths of an architecture, names resolved.

use crate::plan::build::names;
use crate::plan::{Complaint, Layout};
use crate::scenario::ArchitectureSpec;

/// Names in `ways_back` become lists, in their order; what is named twice, by nobody or by several is said.
pub(super) fn order_ways(l: &mut Layout, spec: &ArchitectureSpec, said: &mut Vec<Complaint>) {
    let all: Vec<u16> = l.ports.iter().flat_map(|p| p.ways.iter().copied()).collect();
    let mut unknown = Vec::new();
    for name in &spec.ways_back {
        let (port, way) = match name.it.split_once('.') {
            Some((p, w)) => (Some(p), w),
            None => (None, name.it.as_str()),
        };
        let found: Vec<u16> = all
            .iter()
            .copied()
            .filter(|w| {
                let list = &l.lists[*w as usize];
                list.name == way && port.is_none_or(|p| l.ports[list.port as usize].name == p)
            })
            .collect();
        match found.as_slice() {
            [one] if !l.ways_back.contains(one) => l.ways_back.push(*one),
            [_] => said.push(Complaint {
                rule: "way-order",
                at: name.at,
                what: format!("contingency ingress path `{}` is named twice", name.it),
                remedy: "name each path once".into(),
            }),
            [] => {
                unknown.push(way);
                said.push(Complaint {
                    rule: "unknown-name",
                    at: name.at,
                    what: format!(
                        "no port of this architecture has a contingency ingress path `{}`",
                        name.it
                    ),
                    remedy: names(all.iter().map(|w| &l.lists[*w as usize].name)),
                });
            }
            _ => said.push(Complaint {
                rule: "ambiguous-name",
                at: name.at,
                what: format!("several ports have a contingency ingress path `{way}`"),
                remedy: format!("write `PORT.{way}`"),
            }),
        }
    }
    for w in all.iter().filter(|w| !l.ways_back.contains(w)) {
        let list = &l.lists[*w as usize];
        // A slip in its name has been said.
        if unknown.iter().any(|way| strsim::osa_distance(way, &list.name) <= 2) {
            continue;
        }
        said.push(Complaint {
            rule: "way-unnamed",
            at: list.at,
            what: format!("contingency ingress path `{}` is never named in `ways_back`", list.path),
            remedy: "add it to the architecture's `ways_back`, or take it out of the access file"
                .into(),
        });
    }
}
