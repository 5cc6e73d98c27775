//! Dry walks of every list of an architecture (rule 3), and what play needs from them: where an
//! abort re-enters, after which row people are safe, which ways back could start from a failed row.

mod ways;

use super::{Sayer, rules, starts};
use crate::plan::walk::{self, Group};
use crate::plan::{
    Broken, Crew, Entry, Layout, List, NONE, OUTSIDE, Places, VolumeId, Where, each_of,
};

/// What the dry walk of one list found out.
#[derive(Clone, Debug)]
pub struct Walk {
    /// Row after which everybody is safe.
    pub safe: usize,
    /// For an egress list whose chamber holds fewer than the team: ingress row from which the port is
    /// brought back for the next batch (rule 14); [`NONE`] if the team goes at once.
    pub refill: u16,
    /// For each row of a list that starts from inside: where an abort enters which list; `None` where no
    /// list leads to rest.
    pub abort: Vec<Option<Entry>>,
}

impl Default for Walk {
    fn default() -> Walk {
        Walk { safe: 0, refill: NONE, abort: Vec::new() }
    }
}

/// Walks every list; `team` persons go out, in batches where a chamber holds fewer.
pub(super) fn walk_all(l: &Layout, team: u32, say: &mut Sayer) -> Vec<Walk> {
    let mut w = Walker { l, team: team.min(l.crew as u32), say };
    let mut out: Vec<Walk> = vec![Walk::default(); l.lists.len()];
    if w.shut() {
        return out;
    }
    for port in 0..l.ports.len() {
        w.port(port as u16, &mut out);
    }
    for id in &l.ways_back {
        out[*id as usize].safe = w.way(*id);
    }
    w.ways_from_rows();
    out
}

pub(super) struct Walker<'a, 'b, 'c> {
    pub(super) l: &'a Layout,
    pub(super) team: u32,
    pub(super) say: &'b mut Sayer<'c>,
}

impl<'a> Walker<'a, '_, '_> {
    /// The first batch of a team through a port.
    fn group(&self, port: u16) -> Group {
        let team = (1 << self.team) - 1;
        Group { team: walk::first_batch(team, 0, self.holds(port)), hurt: 0, rescuers: 0 }
    }

    /// Says which ports lead through a volume that holds nobody: nothing can be walked then.
    fn shut(&mut self) -> bool {
        let shut = |p: &u16| self.holds(*p) == 0;
        let ports: Vec<u16> = (0..self.l.ports.len() as u16).filter(shut).collect();
        for port in &ports {
            let p = &self.l.ports[*port as usize];
            let what = format!("port `{}` leads through a volume that holds nobody", p.name);
            self.say.rule(&rules::TEAM_PORT, p.at, what);
        }
        !ports.is_empty()
    }

    /// Persons that go out and come in by a port at once.
    fn holds(&self, port: u16) -> u32 {
        let p = &self.l.ports[port as usize];
        let lists = [p.egress, p.ingress].into_iter().filter_map(|id| self.list(id));
        lists.map(|list| walk::holds(self.l, list)).min().unwrap_or(u32::MAX)
    }

    fn start(&self, port: u16) -> Places {
        starts::start(self.l, port, self.team)
    }

    pub(super) fn list(&self, id: u16) -> Option<&'a List> {
        self.l.lists.get(id as usize)
    }

    fn port(&mut self, port: u16, out: &mut [Walk]) {
        let p = &self.l.ports[port as usize];
        let (egress, ingress) = (p.egress, p.ingress);
        self.modules(port);
        self.docks(port, out);
        if egress == NONE || ingress == NONE {
            if egress != ingress {
                self.say.rule(
                    &rules::LIST_PAIR,
                    p.at,
                    format!("port `{}` has only one of `egress` and `ingress`", p.name),
                );
            }
            return;
        }
        // Nobody goes out by plan where no suits are: people come by it from elsewhere.
        if let Some((mut state, g)) = starts::before_haven(self.l, port, self.team) {
            let list = &self.l.lists[ingress as usize];
            out[ingress as usize].safe = walk::safe_row(self.l, &state, list, g);
            out[egress as usize].abort = vec![None; self.l.lists[egress as usize].rows.len()];
            self.inward(port, ingress, &mut state, true);
            return;
        }
        let Some(mut state) = self.egress(port, egress) else {
            return;
        };
        let outside = state.clone();
        let g = self.group(port);
        if let Some(list) = self.list(ingress) {
            out[ingress as usize].safe = walk::safe_row(self.l, &state, list, g);
        }
        out[egress as usize].refill = self.batches(port, &state);
        if !self.inward(port, ingress, &mut state, true) {
            return;
        }
        let from = self.start(port);
        out[egress as usize].abort = self.aborts(egress, &[ingress], from, self.group(port));
        self.services(port, outside, out);
    }

    /// Walks an egress list from rest; `None` (and findings) if it does not get everybody out.
    fn egress(&mut self, port: u16, id: u16) -> Option<Places> {
        let mut state = self.start(port);
        self.outward(id, &mut state).then_some(state)
    }

    /// The other batches follow the first, out and in again (rule 14).
    fn batches(&mut self, port: u16, first_out: &Places) -> u16 {
        let (egress, ingress) = {
            let p = &self.l.ports[port as usize];
            (&self.l.lists[p.egress as usize], &self.l.lists[p.ingress as usize])
        };
        let (all, most) = ((1 << self.team) - 1, self.holds(port));
        let mut gone = self.group(port).team;
        // A chamber that holds nobody has its own finding, and would never be done.
        if gone == all || most == 0 {
            return NONE;
        }
        let mut state = first_out.clone();
        let mut back = NONE;
        while gone != all {
            let team = walk::first_batch(all & !gone, 0, most);
            let g = Group { team, hurt: 0, rescuers: 0 };
            let Some(row) = walk::refill_row(self.l, &state, (egress, ingress), g) else {
                let what = format!(
                    "a team of {} goes in batches of {most}; no rows of `{}` bring the port back",
                    self.team, ingress.path
                );
                self.say.rule(&rules::TEAM_PORT, ingress.at, what);
                return NONE;
            };
            walk::refill(self.l, &mut state, ingress, row, g);
            if walk::walk(self.l, &mut state, egress, 0, g).is_err() {
                return NONE;
            }
            walk::release_berths(&mut state, team);
            back = row as u16;
            gone |= team;
        }
        self.batches_in(ingress, state, most);
        back
    }

    fn batches_in(&mut self, ingress: &List, mut state: Places, most: u32) {
        let mut left: Crew = (1 << self.team) - 1;
        while left != 0 {
            let team = walk::first_batch(left, 0, most);
            walk::make_ready(self.l, &mut state, ingress, 0);
            let g = Group { team, hurt: 0, rescuers: 0 };
            if let Err(e) = walk::walk(self.l, &mut state, ingress, 0, g) {
                return self.broken(ingress, e);
            }
            walk::release_berths(&mut state, team);
            left &= !team;
        }
    }

    fn outward(&mut self, id: u16, state: &mut Places) -> bool {
        let list = &self.l.lists[id as usize];
        let g = self.group(list.port);
        if let Err(e) = walk::walk(self.l, state, list, 0, g) {
            self.broken(list, e);
            return false;
        }
        let out = each_of(g.team).all(|i| state.person[i].at() == Where::Volume(OUTSIDE));
        if !out {
            let what = format!("`{}` does not end with everybody outside", list.path);
            self.say.rule(&rules::LIST_END, list.at, what);
        }
        walk::release_berths(state, g.team);
        out
    }

    /// Walks an inward list; it must end with everybody unsuited inside and the port at rest.
    fn inward(&mut self, port: u16, id: u16, state: &mut Places, rest: bool) -> bool {
        let list = &self.l.lists[id as usize];
        let g = self.group(port);
        if let Err(e) = walk::walk(self.l, state, list, 0, g) {
            self.broken(list, e);
            return false;
        }
        walk::release_berths(state, g.team);
        if !walk::all_in(self.l, state, g.team) {
            let what = format!(
                "`{}` does not end with everybody unsuited in a habitable volume",
                list.path
            );
            self.say.rule(&rules::LIST_END, list.at, what);
            return false;
        }
        match walk::astray(self.l, state, port).or_else(|| walk::astray(self.l, state, NONE)) {
            Some(a) if rest => {
                let what = format!("`{}` leaves {} not at rest", list.path, self.name(a));
                self.say.rule(&rules::LIST_REST, list.at, what);
                false
            }
            _ => true,
        }
    }

    pub(super) fn name(&self, a: walk::Astray) -> String {
        match a {
            walk::Astray::Volume(v) => format!("`{}`", self.l.volumes[v].path),
            walk::Astray::Opening(o) => format!("`{}`", self.l.openings[o].path),
        }
    }

    pub(super) fn broken(&mut self, list: &List, (row, why): (usize, Broken)) {
        let r = &list.rows[row];
        let what = format!(
            "row {} `{}` of `{}` cannot be done: {}",
            row + 1,
            r.written.label,
            list.path,
            why.words()
        );
        self.say.rule(&rules::ROW_BROKEN, r.written.at, what);
    }

    fn services(&mut self, port: u16, outside: Places, out: &mut [Walk]) {
        let p = &self.l.ports[port as usize];
        let (into, from) = (p.service_in, p.service_out);
        let (Some(list), true) = (self.list(into), from != NONE) else {
            if (into == NONE) != (from == NONE) {
                self.say.rule(
                    &rules::LIST_PAIR,
                    p.at,
                    format!("port `{}` has only one of `service-in` and `service-out`", p.name),
                );
            }
            return;
        };
        let ingress = p.ingress;
        let mut state = outside;
        out[into as usize].safe = walk::safe_row(self.l, &state, list, self.group(port));
        if !self.inward(port, into, &mut state, true) {
            return;
        }
        let indoors = state.clone();
        if !self.outward(from, &mut state) {
            return;
        }
        let g = self.group(port);
        out[from as usize].abort = self.aborts(from, &[into, ingress], indoors, g);
        self.inward(port, ingress, &mut state, true);
    }

    fn indoors(&self, p: &Places, i: usize, port: u16) -> bool {
        let host = self.l.elements[self.l.ports[port as usize].element as usize].cabin;
        matches!(p.person[i].at(), Where::Volume(v) if v != OUTSIDE && p.joined(self.l, host, v) && p.person[i].suit.is_none())
    }
}

/// In a volume at outside pressure whose opening to outside stands open.
pub(super) fn steps_out(l: &Layout, p: &Places, v: VolumeId) -> bool {
    let low = p.pressure(v) <= l.ambient + crate::plan::ACROSS;
    let mut openings = l.volumes[v].openings.iter();
    low && openings.any(|o| p.opening[*o].open && l.across(*o, v) == Some(OUTSIDE))
}
