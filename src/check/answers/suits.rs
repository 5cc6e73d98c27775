//! What follows for suits: which ports and cabins they go with, where they are looked after.

use super::*;
use crate::plan::{SuitId, VolumeId};

impl Arm<'_> {
    /// Each kind of suit against the narrowest hatch it is worn through, and at the ports where it hangs.
    pub(super) fn suits(&self, say: &mut impl FnMut(&Rule, At, String)) {
        let mut kinds: Vec<u16> = self.l.suits.iter().map(|s| s.kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds {
            let suit = &self.s.suits[kind as usize];
            let width = suit.it.width.law.mean();
            if let Some((hatch, clear)) = narrowest(self, kind) {
                let what = format!(
                    "`{}` is {width:.2} m wide; the narrowest hatch it is worn through, `{hatch}`, is \
                     {clear:.2} m clear: {:.2} m to spare",
                    suit.name,
                    clear - width
                );
                say(&SUIT_FITS, suit.it.width.at, what);
            }
        }
        let mut told: Vec<(u16, u16)> = Vec::new();
        for (i, suit) in self.l.suits.each() {
            let Kept::Berth(b) = suit.home else { continue };
            let berth = &self.l.berths[b];
            let kind = &self.s.suits[suit.kind as usize];
            let (Some(limit), false) =
                (&kind.it.port_limit, told.contains(&(suit.kind, berth.port)))
            else {
                continue;
            };
            told.push((suit.kind, berth.port));
            let (most, gets) = (limit.law.mean() / 1000.0, at_port(self, i, berth) / 1000.0);
            let what = format!(
                "`{}` is allowed {most:.1} kPa at a port and sees {gets:.1} kPa at `{}`: {:.1} \
                kPa to spare",
                kind.name,
                self.l.ports[berth.port as usize].name,
                most - gets
            );
            say(&PORT_MARGIN, limit.at, what);
        }
    }

    /// Where the suits of a port are maintained and recharged.
    pub(super) fn looked_after(&self, port: u16, say: &mut impl FnMut(&Rule, At, String)) {
        let l = self.l;
        let p = &l.ports[port as usize];
        if p.egress == NONE || p.ingress == NONE {
            return;
        }
        let berths =
            l.suits.iter().any(|s| matches!(s.home, Kept::Berth(b) if l.berths[b].port == port));
        let outdoors = p.berths.iter().any(|b| l.berths[*b].outer == OUTSIDE);
        let indoors = match (berths, outdoors, p.service_in != NONE) {
            (true, true, true) => "suits hang outdoors and are carried in by `service-in`",
            (true, true, false) => "suits hang outdoors and cannot be brought indoors",
            (true, false, _) => {
                "suits hang in the chamber, which is brought to cabin pressure for it"
            }
            (false, ..) => "suits are kept and maintained indoors",
        };
        say(&SUIT_INDOORS, p.at, format!("port `{}`: {indoors}", p.name));
        for id in [p.ingress, p.service_in] {
            if let Some(side) = self.recharged(port, id) {
                let name = &l.lists[id as usize].name;
                say(&SUIT_RECHARGE, p.at, format!("port `{}`, {name}: {side}", p.name));
            }
        }
    }

    /// Where suits are when a list recharges them.
    pub(super) fn recharged(&self, port: u16, id: u16) -> Option<String> {
        let l = self.l;
        let list = l.lists.get(id as usize)?;
        let egress = &l.lists[l.ports[port as usize].egress as usize];
        let most = walk::holds(l, list).min(walk::holds(l, egress)).min(2);
        let team = walk::first_batch((1 << 2) - 1, 0, most);
        let g = Group { team, hurt: 0, rescuers: 0 };
        let mut p = crate::check::starts::start(l, port, 2);
        walk::walk(l, &mut p, egress, 0, g).ok()?;
        walk::release_berths(&mut p, team);
        let one = each_of(team).next()?;
        let suit = p.person[one].suit;
        for (i, r) in list.rows.iter().enumerate() {
            if r.action == Action::Recharge {
                return Some(self.side(&p, suit, one));
            }
            walk::step(l, &mut p, list, i, g).ok()?;
        }
        Some("suits are not recharged by a row".into())
    }

    pub(super) fn side(&self, p: &Places, suit: SuitId, who: usize) -> String {
        let l = self.l;
        let path = |v: VolumeId| format!("`{}`", l.volumes[v].path);
        match (p.suit[suit].kept(), p.person[who].at()) {
            (Kept::Berth(b), _) => {
                let b = &l.berths[b];
                let from = path(b.cabin);
                match b.outer {
                    OUTSIDE => format!("recharged through the wall from {from}, suit outdoors"),
                    v => format!("recharged through the wall from {from}, suit in {}", path(v)),
                }
            }
            (Kept::Volume(v), _) => format!("recharged in {}, nobody in it", path(v)),
            (Kept::Worn(_), Where::Volume(v)) => format!("recharged in {}, while worn", path(v)),
            (Kept::Worn(_), _) => "recharged at the port, while worn".into(),
        }
    }
}
