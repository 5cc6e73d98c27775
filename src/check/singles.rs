//! Single failures that leave no way back: for each port, each opening that a failure mode can make
//! stick is stuck once, the ingress list is walked dry until it stops, and the ways back are walked from
//! there. What is found holds for a whole team without a casualty, everything else in order. A way back
//! that works the stuck part itself helps only sometimes; where nothing else does, it is told apart.

use super::compat::impossible;
use super::failures::strikes;
use super::walks::{start, steps_out};
use super::{Arm, Sayer, rules};
use crate::layout::walk::{self, Group};
use crate::layout::{Condition, Layout, List, OUTSIDE, OpeningId, Places, Stuck, Where, each_of};
use crate::scenario::{At, Effect, Vocabulary};

/// A single failure after which no way back leads in.
#[derive(Clone, Debug)]
pub struct Single {
    /// Port by which people come back.
    pub port: u16,
    /// The part, by its path.
    pub part: String,
    /// What happened to it.
    pub effect: Effect,
    /// The failure mode of the file.
    pub mode: String,
    /// A way back helps if it frees the part itself.
    pub freed: bool,
    /// Where the part was written.
    pub at: At,
}

/// Looks for them and warns of each.
pub(super) fn singles(a: &Arm, team: u32, say: &mut Sayer) -> Vec<Single> {
    let mut out = Vec::new();
    for port in 0..a.l.ports.len() as u16 {
        for single in of_port(a, port, team) {
            if !single.freed {
                say.rule(&rules::SINGLE_POINT, single.at, single.words(a.l));
            }
            out.push(single);
        }
    }
    out
}

impl Single {
    /// In a sentence.
    pub fn words(&self, l: &Layout) -> String {
        let end = if self.freed { " but freeing it" } else { "" };
        format!(
            "`{}` {} (`{}`) leaves no way back{end} to who went out by port `{}`",
            self.part,
            self.effect.word(),
            self.mode,
            l.ports[self.port as usize].name
        )
    }
}

fn of_port(a: &Arm, port: u16, team: u32) -> Vec<Single> {
    let p = &a.l.ports[port as usize];
    let lists = (a.l.lists.get(p.egress as usize), a.l.lists.get(p.ingress as usize));
    let (Some(egress), Some(ingress)) = lists else { return Vec::new() };
    let most = [egress, ingress].map(|list| walk::holds(a.l, list));
    let team = walk::first_batch((1 << team.min(a.l.crew as u32)) - 1, 0, most[0].min(most[1]));
    let g = Group { team, hurt: 0, rescuers: 0 };
    let mut outside = start(a.l, port, team.count_ones());
    if walk::walk(a.l, &mut outside, egress, 0, g).is_err() {
        return Vec::new(); // the dry walk tells why
    }
    walk::release_berths(&mut outside, team);
    let mut out = Vec::new();
    for (o, opening) in a.l.openings.iter().enumerate() {
        for effect in [Effect::StuckShut, Effect::StuckOpen] {
            let mode =
                a.s.failures
                    .iter()
                    .find(|f| f.it.effect.it == effect && strikes(a.l, &f.it.on.it, opening));
            let Some(mode) = mode else { continue };
            let o = o as OpeningId;
            if !leads_in(a, &outside, ingress, (o, effect, false), g) {
                let freed = leads_in(a, &outside, ingress, (o, effect, true), g);
                let (part, mode) = (opening.path.clone(), mode.name.clone());
                out.push(Single { port, part, effect, mode, freed, at: opening.at });
            }
        }
    }
    out
}

/// With the opening stuck, does ingress or any way back lead everybody in?
fn leads_in(
    a: &Arm,
    outside: &Places,
    ingress: &List,
    (o, effect, freeing): (OpeningId, Effect, bool),
    g: Group,
) -> bool {
    let mut p = outside.clone();
    let state = &mut p.opening[o as usize];
    state.stuck = if effect == Effect::StuckShut { Stuck::Shut } else { Stuck::Open };
    let safe = |p: &Places, k: usize| p.safe(a.l, k) || p.person[k].at == Where::Gone;
    for i in 0..ingress.rows.len() {
        if walk::step(a.l, &mut p, ingress, i, g).is_err() {
            break;
        }
    }
    // Only now it has been found.
    p.opening[o as usize].known = true;
    let left = each_of(g.team).filter(|k| !safe(&p, *k)).fold(0, |c, k| c | 1 << k);
    if left == 0 {
        return true;
    }
    walk::release_berths(&mut p, left);
    by_ways(a, p, (o, freeing), left)
}

/// The ways back one after the other in their order, each from where the one before left people, until
/// everybody is in; a way that brings some in is tried again for the others.
fn by_ways(a: &Arm, mut p: Places, (failed, freeing): (OpeningId, bool), mut left: u16) -> bool {
    let mut untried: Vec<u16> = a.l.ways_back.clone();
    while left != 0 {
        let open = |w: &u16| starts(a, &a.l.lists[*w as usize], &p, failed, left);
        let Some(at) = untried.iter().position(open) else { return false };
        let way = &a.l.lists[untried[at] as usize];
        if way.from == Some(OUTSIDE) {
            each_of(left).for_each(|k| p.person[k].at = Where::Volume(OUTSIDE));
        }
        walk::make_ready(a.l, &mut p, way, 0);
        let batch = walk::first_batch(left, 0, walk::holds(a.l, way));
        let g = Group { team: batch, hurt: 0, rescuers: 0 };
        let walked = walks(a, &mut p, way, g, freeing.then_some(failed));
        walk::release_berths(&mut p, batch);
        match walked && walk::all_in(a.l, &p, batch) {
            true => left &= !batch,
            false => {
                untried.remove(at);
            }
        }
    }
    true
}

/// Walks a list; a row that can free the part does.
fn walks(a: &Arm, p: &mut Places, way: &List, g: Group, frees: Option<OpeningId>) -> bool {
    (0..way.rows.len()).all(|i| {
        if walk::step(a.l, p, way, i, g).is_ok() {
            return true;
        }
        let Some(o) = frees.filter(|_| way.rows[i].frees.is_some()) else { return false };
        p.opening[o as usize].stuck = Stuck::Free;
        walk::step(a.l, p, way, i, g).is_ok()
    })
}

/// Can a way back start for these people?
fn starts(a: &Arm, way: &List, p: &Places, failed: OpeningId, team: u16) -> bool {
    if walk::wants_casualty(way) || !way.needs.iter().all(|c| may_hold(a, way.port, *c, failed)) {
        return false;
    }
    each_of(team).all(|k| match (p.person[k].at, way.from) {
        (Where::Volume(v), Some(f)) => v == f || f == OUTSIDE && steps_out(a.l, p, v),
        (Where::Berth(b), None) => a.l.berths[b as usize].port == way.port,
        _ => false,
    })
}

/// Can a condition of a way back hold with this opening stuck and nothing else astray?
fn may_hold(a: &Arm, port: u16, c: Condition, failed: OpeningId) -> bool {
    match c {
        Condition::OpeningIntact(o, n) => n != 1 || o != failed,
        Condition::VolumeIntact(v) => !a.l.volumes[v as usize].openings.contains(&failed),
        Condition::Leaks(..) | Condition::Dirty(..) | Condition::Casualty => false,
        Condition::RescuersInside => false,
        other => impossible(a.l, port, other).is_none(),
    }
}
