//! Dry walks of the lists by which people cross between elements, and modules used as locks.

use super::rules;
use super::walks::{Walk, Walker};
use crate::plan::walk::{self, Group};
use crate::plan::{List, On, Places, VolumeId, Where, each_of};
use crate::scenario::{Action, ElementKind};

impl Walker<'_, '_, '_> {
    /// A module that lists of a port empty is filled again by its `restore`; none of its own: a finding.
    pub(super) fn modules(&mut self, port: u16) {
        let p = &self.l.ports[port as usize];
        let fills = |v: VolumeId| {
            let rows = self.list(p.restore).map_or(&[][..], |x| &x.rows);
            rows.iter().any(|r| match (r.action, r.on) {
                (Action::Repress, On::Volumes(of, n)) => of[..n as usize].contains(&v),
                _ => false,
            })
        };
        let module = |v: &&VolumeId| {
            let e = self.l.volumes[**v].element;
            self.l.elements[e as usize].kind == ElementKind::Module
        };
        let left: Vec<VolumeId> =
            p.empties.iter().filter(module).filter(|v| !fills(**v)).copied().collect();
        for v in left {
            let path = &self.l.volumes[v].path;
            let what = format!("lists of port `{}` empty `{path}`, no `restore` fills it", p.name);
            self.say.rule(&rules::RESTORE_MODULE, p.at, what);
        }
    }

    /// Walks `undock` from rest and `dock` from where it ends: everybody crosses, and docked again the
    /// port is at rest.
    pub(super) fn docks(&mut self, port: u16, walks: &mut [Walk]) {
        let p = &self.l.ports[port as usize];
        let joined = self.l.elements[p.element as usize].joined;
        let (undock, dock) = (p.undock, p.dock);
        let (Some(out), Some(back)) = (self.list(p.undock), self.list(p.dock)) else {
            if p.undock != p.dock {
                let what = format!("port `{}` has only one of `dock` and `undock`", p.name);
                self.say.rule(&rules::LIST_PAIR, p.at, what);
            }
            return;
        };
        let Some(host) = self.l.elements.get(joined as usize) else {
            let name = &self.l.elements[p.element as usize].name;
            let what = format!("port `{}` docks, but `{name}` is joined to nothing", p.name);
            return self.say.rule(&rules::DOCK_JOINED, p.at, what);
        };
        let g = Group { team: (1 << self.team) - 1, hurt: 0, rescuers: 0 };
        let mut state = Places::rest(self.l);
        each_of(g.team).for_each(|i| state.stand(i, Where::Volume(host.cabin)));
        let docked = state.clone();
        let own = self.l.elements[p.element as usize].cabin;
        let over =
            self.crosses(out, &mut state, g, own) && self.crosses(back, &mut state, g, host.cabin);
        if let Some(a) = walk::astray(self.l, &state, port).filter(|_| over) {
            let what = format!("`{}` leaves {} not at rest", back.path, self.name(a));
            self.say.rule(&rules::LIST_REST, back.at, what);
        }
        if over {
            walks[undock as usize].abort = self.aborts(undock, &[dock], docked, g);
        }
    }

    fn crosses(&mut self, list: &List, state: &mut Places, g: Group, to: VolumeId) -> bool {
        if let Err(e) = walk::walk(self.l, state, list, 0, g) {
            self.broken(list, e);
            return false;
        }
        let over = each_of(g.team).all(|i| state.person[i].at() == Where::Volume(to));
        if !over {
            let volume = &self.l.volumes[to].path;
            let what = format!("`{}` does not end with everybody in `{volume}`", list.path);
            self.say.rule(&rules::LIST_END, list.at, what);
        }
        over
    }
}
