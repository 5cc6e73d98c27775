//! Ways back in the dry walk: where they start, whether they end at rest, which rows have one.

use super::*;

impl<'a> Walker<'a, '_, '_> {
    /// Walks a way back; returns the row after which everybody is safe.
    pub(super) fn way(&mut self, id: u16) -> usize {
        let list = &self.l.lists[id as usize];
        let Some((mut state, g)) = self.way_start(list) else {
            let what = format!("no failed ingress row leaves people where `{}` starts", list.path);
            self.say.rule(&rules::WAY_START, list.at, what);
            return list.rows.len().saturating_sub(1);
        };
        let safe = walk::safe_row(self.l, &state, list, g);
        if let Err(e) = walk::walk(self.l, &mut state, list, 0, g) {
            self.broken(list, e);
            return safe;
        }
        let took = g.team | g.rescuers;
        walk::release_berths(&mut state, took);
        if !walk::all_in(self.l, &state, took) {
            let what = format!(
                "`{}` does not end with everybody it took unsuited in a habitable volume",
                list.path
            );
            self.say.rule(&rules::LIST_END, list.at, what);
            return safe;
        }
        // Who leaves on the ascent vehicle leaves nothing behind that matters.
        let left = each_of(took).all(|k| state.person[k].at() == Where::Gone);
        if !left {
            self.restorable(list, &state);
        }
        safe
    }

    /// The origin of a way back: the port people left by.
    pub(super) fn origin(&self, list: &List) -> Option<u16> {
        let has = |p: u16| {
            self.l.ports[p as usize].egress != NONE && self.l.ports[p as usize].ingress != NONE
        };
        if has(list.port) {
            return Some(list.port);
        }
        (0..self.l.ports.len() as u16).find(|p| has(*p))
    }

    pub(super) fn way_start(&self, list: &List) -> Option<(Places, Group)> {
        let port = self.origin(list)?;
        let mut g = self.group(port);
        g.team = walk::first_batch(g.team, 0, walk::holds(self.l, list));
        if walk::wants_casualty(list) {
            g.hurt = 1;
        }
        if list.asks(crate::plan::Condition::RescuersInside) {
            let spare: Crew = ((1 << self.l.crew) - 1) & !g.team;
            g.rescuers = each_of(spare).take(2).fold(0, |c, i| c | 1 << i);
            g.hurt = g.team;
        }
        let mut state = self.start(port);
        let g_out = Group { team: g.team, hurt: 0, rescuers: 0 };
        let egress = &self.l.lists[self.l.ports[port as usize].egress as usize];
        walk::walk(self.l, &mut state, egress, 0, g_out).ok()?;
        walk::release_berths(&mut state, g.team);
        if list.from == Some(OUTSIDE) {
            walk::make_ready(self.l, &mut state, list, 0);
            return Some((state, g));
        }
        let ingress = &self.l.lists[self.l.ports[port as usize].ingress as usize];
        for i in 0..ingress.rows.len() {
            walk::step(self.l, &mut state, ingress, i, g_out).ok()?;
            let there = each_of(g.team).all(|k| match (state.person[k].at(), list.from) {
                (Where::Volume(v), Some(f)) => v == f,
                (Where::Berth(_), None) => true,
                _ => false,
            });
            if there {
                return Some((state, g));
            }
        }
        None
    }

    /// What is not at rest after a way back needs `restore` of its port.
    pub(super) fn restorable(&mut self, list: &List, state: &Places) {
        for port in 0..self.l.ports.len() as u16 {
            let Some(a) = walk::astray(self.l, state, port) else {
                continue;
            };
            let restore = self.l.ports[port as usize].restore;
            let Some(back) = self.list(restore) else {
                let what = format!(
                    "`{}` leaves {} not at rest and port `{}` has no `restore`",
                    list.path,
                    self.name(a),
                    self.l.ports[port as usize].name
                );
                self.say.rule(&rules::NO_RESTORE, list.at, what);
                continue;
            };
            let mut p = state.clone();
            let inside = each_of((1 << self.l.crew) - 1).find(|i| self.indoors(&p, *i, port));
            let team = inside.map_or(0, |i| 1 << i);
            match walk::walk(self.l, &mut p, back, 0, Group { team, hurt: 0, rescuers: 0 }) {
                Err(e) => self.broken(back, e),
                Ok(()) => {
                    if let Some(a) = walk::astray(self.l, &p, port) {
                        let what = format!(
                            "`{}` after `{}` leaves {} not at rest",
                            back.path,
                            list.path,
                            self.name(a)
                        );
                        self.say.rule(&rules::LIST_REST, back.at, what);
                    }
                }
            }
        }
        if let Some(a) = walk::astray(self.l, state, NONE) {
            let what = format!("`{}` leaves {} of an element not at rest", list.path, self.name(a));
            self.say.rule(&rules::LIST_REST, list.at, what);
        }
    }

    /// Warns of every ingress row whose failure leaves people where no way back starts.
    pub(super) fn ways_from_rows(&mut self) {
        for port in 0..self.l.ports.len() as u16 {
            let p = &self.l.ports[port as usize];
            let (Some(egress), Some(ingress)) = (self.list(p.egress), self.list(p.ingress)) else {
                continue;
            };
            let (egress, ingress) = (egress.clone(), ingress.clone());
            let g = self.group(port);
            let mut state = self.start(port);
            if walk::walk(self.l, &mut state, &egress, 0, g).is_err() {
                continue;
            }
            walk::release_berths(&mut state, g.team);
            for i in 0..ingress.rows.len() {
                self.row_ways(&ingress, i, &state, port);
                if walk::step(self.l, &mut state, &ingress, i, g).is_err() {
                    break;
                }
            }
        }
    }

    pub(super) fn row_ways(&mut self, list: &List, i: usize, state: &Places, port: u16) {
        let g = self.group(port);
        let Some(first) = each_of(g.team).next() else {
            return;
        };
        if state.safe(self.l, first) {
            return;
        }
        let at = state.person[first].at();
        let fits = |w: &u16| {
            let way = &self.l.lists[*w as usize];
            match (at, way.from) {
                (Where::Volume(v), Some(f)) => {
                    v == f || f == OUTSIDE && steps_out(self.l, state, v)
                }
                (Where::Berth(_), None) => way.port == port,
                _ => false,
            }
        };
        let open: Vec<u16> = self.l.ways_back.iter().copied().filter(fits).collect();
        if open.is_empty() {
            let r = &list.rows[i];
            let what = format!(
                "when row {} `{}` of `{}` fails, no contingency ingress path starts where people \
                then are",
                i + 1,
                r.written.label,
                list.path
            );
            self.say.rule(&rules::ROW_NO_WAY, r.written.at, what);
        }
    }
}
