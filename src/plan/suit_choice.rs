//! Which suit somebody puts on (rule 15).

use super::*;

impl Places {
    /// Usable stowed suits within reach of somebody in `v`, by index.
    pub fn stowed<'a>(&'a self, l: &'a Layout, v: VolumeId) -> impl Iterator<Item = SuitId> + 'a {
        let reach = self.joined_to(l, v);
        self.suit.each().filter_map(move |(i, s)| match s.kept() {
            Kept::Volume(w) if s.usable && (w == v || w != OUTSIDE && reach.has(w)) => Some(i),
            _ => None,
        })
    }

    /// The suit that a person in `v` puts on by a row (rule 15): of the kind that the row names, else
    /// that their activity asks for, else of the port's kinds; in `suit up` of any. First where the row
    /// is done, then in the port's other volumes, the cabin, the rest of the element; within a place
    /// the least used, ties by name.
    pub fn choice(&self, l: &Layout, row: &Row, person: usize, v: VolumeId) -> Option<SuitId> {
        let port = &l.ports[row.port as usize];
        let place = |s: SuitId| match self.suit[s].kept() {
            Kept::Volume(w) if w == v => 0,
            Kept::Volume(w) if l.volumes[w].port == row.port => 1,
            Kept::Volume(w) if w == l.elements[port.element as usize].cabin => 2,
            Kept::Volume(w) if l.volumes[w].element == port.element => 3,
            _ => 4,
        };
        self.suited(l, row, person, v).min_by_key(|s| {
            let suit = &self.suit[*s];
            let other = !wanted(l, row.port, NONE, *s);
            (other, suit.charging, place(*s), suit.worn, l.suits[*s].rank)
        })
    }

    /// All suits that they could put on by it.
    pub(super) fn suited<'a>(
        &'a self,
        l: &'a Layout,
        row: &'a Row,
        person: usize,
        v: VolumeId,
    ) -> impl Iterator<Item = SuitId> + 'a {
        let kind = if row.kind == NONE { self.person[person].kind } else { row.kind };
        let any = row.action == crate::scenario::Action::SuitUp && row.kind == NONE;
        self.stowed(l, v).filter(move |s| any || wanted(l, row.port, kind, *s))
    }
}

/// Is a suit of the kind that is asked for, or without one of the port's kinds?
pub fn wanted(l: &Layout, port: u16, kind: u16, suit: SuitId) -> bool {
    let has = l.suits[suit].kind;
    if kind == ANY {
        return true;
    }
    if kind == NONE { l.ports[port as usize].kinds.contains(&has) } else { has == kind }
}
