//! Who cannot be kept in a chamber leaves it: a hatch that does not seal still opens (rule 8). Looked at in
//! every path of the shipped campaigns that leads out of a chamber.

use crate::alone::shipped;
use vestibule::plan::{Asked, Condition, Direction, List, OUTSIDE, On, OpeningId, Side};
use vestibule::scenario::Action;

/// The opening to outside by which people in a volume leave it on this path.
fn leaves_by(l: &vestibule::plan::Layout, way: &List) -> Option<OpeningId> {
    way.from.filter(|v| *v != OUTSIDE)?;
    way.rows.iter().find_map(|row| match row.on {
        On::Opening(o, 1) if row.action == Action::Pass && row.direction == Direction::Outward => {
            let out = l.openings[o].sides.contains(&Side::Volume(OUTSIDE));
            out.then_some(o)
        }
        _ => None,
    })
}

#[test]
fn a_hatch_that_does_not_seal_keeps_nobody_in() {
    let (mut looked_at, mut refused) = (0, Vec::new());
    for name in ["larkspur", "ochre", "teasel"] {
        for arm in &shipped(name).arms {
            let l = &arm.layout;
            for way in l.ways_back.iter().map(|id| &l.lists[usize::from(*id)]) {
                let Some(o) = leaves_by(l, way) else { continue };
                looked_at += 1;
                let sound = Asked { not: true, condition: Condition::OpeningStuck(o, 1) };
                let moves = Asked { not: false, condition: Condition::OpeningIntact(o, 1) };
                if way.needs.contains(&sound) || way.needs.contains(&moves) {
                    refused.push(format!("{name}, {}: {}", arm.name, way.path));
                }
            }
        }
    }
    assert!(looked_at >= 10, "only {looked_at} paths lead out of a chamber");
    assert!(refused.is_empty(), "{refused:#?}");
}
