//! Who does a row: whom its person words mean for a team, who is inside and free.

use crate::campaign::owner::person::Busy;
use crate::campaign::world::World;
use crate::plan::{Crew, ListKind, OUTSIDE, Row, Spread, Where, WhoSel, each_of};
use crate::scenario::{Action, Who};

impl World<'_> {
    /// Whom the person words mean for a team now.
    #[inline(always)]
    pub(in crate::campaign) fn spread(&self, k: usize, row: &Row) -> Spread {
        let t = &self.teams[k];
        let mut g = Spread {
            team: t.batch,
            hurt: self.people.hurt,
            inside: 0,
            inside_of: 0,
            rescuers: t.rescuers,
        };
        if row.who.asks_inside() {
            (g.inside, g.inside_of) = self.those_inside(k, row);
        }
        g
    }

    /// Who is inside the host element, and who in the volume that a row names.
    #[inline(never)]
    fn those_inside(&self, k: usize, row: &Row) -> (Crew, Crew) {
        let t = &self.teams[k];
        let l = &self.arm.layout;
        let host = l.ports[t.port as usize].element;
        let mut inside = self.suited_inside(host) & !t.members | self.waiting_inside(k, host);
        if l.lists[t.leg.list as usize].kind == ListKind::Restore {
            inside |= t.members; // those who restore are the ones inside
        }
        let WhoSel::InsideOf(v) = row.who else { return (inside, 0) };
        let here = self.places.persons_in(v) & !t.members;
        let able = each_of(here).filter(|p| self.able(*p)).fold(0, |c, p| c | 1 << p);
        (inside, able)
    }

    /// Able persons who can get to the cabin of an element, also those who sit there in suits without air
    /// (a depressurised cabin).
    pub(in crate::campaign) fn suited_inside(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let mut out = self.helpers_inside(e);
        for p in 0..l.crew {
            let there = matches!(self.places.person[p].at(),
                Where::Volume(v) if v != OUTSIDE && self.places.joined(l, cabin, v));
            let free = !matches!(self.people.crew[p].busy, Busy::Team(_));
            if there && free && self.able(p) {
                out |= 1 << p;
            }
        }
        out
    }

    /// In making a port ready those inside close what stands open behind it.
    pub(in crate::campaign) fn who_closes(&self, k: usize, g: &Spread) -> Crew {
        let t = &self.teams[k];
        if t.leg.shuts.is_some() {
            return self.who_shuts(k, t.leg.shuts);
        }
        g.inside | self.suited_inside(self.arm.layout.ports[t.port as usize].element)
    }
}

/// Rows that cannot be done by nobody; others with nobody to do them are passed over.
pub(in crate::campaign) fn needs_somebody(row: &Row) -> bool {
    let inside = matches!(row.who, WhoSel::Word(Who::Inside | Who::Helper));
    let acts = matches!(
        row.action,
        Action::Open | Action::Close | Action::Vent | Action::Depress | Action::Repress
    );
    inside && acts
}
