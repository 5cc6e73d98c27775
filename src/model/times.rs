//! Mean times and gas fills of lists.

mod losses;

use super::compile::{Compiler, team_most};
use super::row_time;
use super::*;
use crate::base::ids::Table;
use crate::base::stream::fnv1a64;
use crate::check::{Checked, Walk};
use crate::physics::{gas, prebreathe};
use crate::plan::walk::{self, Group};
use crate::plan::{
    Aim, Layout, List, ListKind, MAX_CREW, NONE, On, OpeningId, Places, Row, VolumeId, Where,
    WhoSel, each_of,
};
use crate::scenario::*;

/// From where to where a row brings pressures, Pa.
#[derive(Clone, Debug, Default)]
struct Swing {
    /// Volumes.
    volumes: Vec<(VolumeId, f64, f64)>,
    /// The emptiest suit that is filled.
    suits: Option<(f64, f64)>,
}

/// Mean times and gas fills of lists, from means and pressures at rest.
pub(super) struct Times<'a, 'b> {
    pub(super) c: &'b mut Compiler<'a>,
    pub(super) l: &'b Layout,
    pub(super) elements: &'b [ElementPlay],
    pub(super) volumes: &'b Table<VolumeId, VolumePlay>,
    pub(super) openings: &'b Table<OpeningId, OpeningPlay>,
    pub(super) pumps: &'b [PumpPlay],
    pub(super) suits: &'b [SuitKind],
    pub(super) stages: &'b [StagePlay],
}

pub(super) fn lists_of(t: &mut Times, checked: &Checked, index: usize) -> Vec<ListPlay> {
    let team = team_most(&checked.scenario);
    let arm = &checked.arms[index];
    arm.layout.lists.iter().zip(&arm.walks).map(|(list, w)| t.list(list, w, team)).collect()
}

impl Times<'_, '_> {
    fn list(&mut self, list: &List, walked: &Walk, team: usize) -> ListPlay {
        let mut draws = 0;
        let crew = self.l.crew;
        let others = matches!(list.kind, ListKind::WayBack | ListKind::Dock | ListKind::Undock);
        let own = |r: &Row| {
            let words = [Who::Team, Who::First, Who::Last, Who::Partner];
            !others && words.iter().any(|w| r.who == WhoSel::Word(*w))
        };
        let persons = |r: &Row| if own(r) { team } else { crew };
        let mut rows: Vec<RowPlay> =
            list.rows.iter().map(|r| self.row(r, persons(r), &mut draws)).collect();
        let mut mean_total = [0.0; MAX_CREW + 1];
        let mut mean_safe = [0.0; MAX_CREW + 1];
        let mut mean_waits = 0.0;
        let before_safe = || list.rows.iter().take(list.after.min(walked.safe.saturating_add(1)));
        let leaves = before_safe().any(|r| matches!(r.action, Action::Pass | Action::Unmate));
        let swings = self.swings(list);
        for n in 0..=MAX_CREW {
            for (i, (row, play)) in list.rows.iter().zip(&mut rows).enumerate().take(list.after) {
                let mean = self.mean(row, play, n, (list.port, &swings[i]));
                play.means[n] = mean;
                mean_total[n] += mean;
                if i <= walked.safe {
                    mean_safe[n] += mean;
                }
            }
        }
        for (row, play) in before_safe().zip(&rows) {
            if row.action == Action::Wait {
                mean_waits += play.means[1];
            }
        }
        let rescuers = WhoSel::Word(Who::Rescuers);
        let travels = list.rows.iter().find_map(|r| match (r.action, r.on) {
            (Action::Travel, On::Element(e)) if r.who != rescuers => Some((e, r.by)),
            _ => None,
        });
        let fetches = |r: &Row| r.action == Action::Travel && r.who == rescuers;
        ListPlay {
            hash: fnv1a64(&list.path),
            rows,
            draws,
            mean_total,
            mean_safe,
            mean_waits,
            on_clock: list.after,
            leaves,
            abort: walked.abort.clone(),
            ready: walk::readied(self.l, list),
            holds: walk::holds(self.l, list),
            refill: walked.refill,
            again: self.again(list),
            travels_to: travels.map_or(NONE, |t| t.0),
            travels_by: travels.map_or(By::Foot, |t| t.1),
            fetches: list.rows.iter().any(fetches),
            fills: self.fills(list),
        }
    }

    fn row(&mut self, r: &Row, persons: usize, draws: &mut usize) -> RowPlay {
        let takes = r.written.takes.as_ref().map(|n| self.c.vary(n));
        let per_person = r.each != Each::Team;
        let draw = *draws as u16;
        if takes.as_ref().is_some_and(Vary::draws) {
            *draws += if per_person { persons } else { 1 };
        }
        let check = *draws as u16;
        if r.written.misses.is_some() || r.written.false_alarm.is_some() {
            *draws += 2 * persons;
        }
        let chance = |c: &mut Compiler, n: &Option<Num>| n.as_ref().map(|n| c.p(n));
        let incapacitated = r.written.incapacitated.map(|i| match i {
            Incapacitated::Skip => IncapacitatedPlay::Skip,
            Incapacitated::Takes(n, p) => {
                IncapacitatedPlay::Takes(self.c.vary(&n), chance(self.c, &p))
            }
            Incapacitated::Adds(n, p) => {
                IncapacitatedPlay::Adds(self.c.vary(&n), chance(self.c, &p))
            }
            Incapacitated::Times(x, p) => IncapacitatedPlay::Times(x, chance(self.c, &p)),
        });
        RowPlay {
            takes,
            draw,
            check,
            frees: chance(self.c, &r.written.frees),
            misses: chance(self.c, &r.written.misses),
            false_alarm: chance(self.c, &r.written.false_alarm),
            means: Box::new([0.0; MAX_CREW + 1]),
            incapacitated: incapacitated.map(Box::new),
        }
    }

    fn at(&self, p: P) -> f64 {
        self.c.params.mean(p)
    }

    /// Mean time of a row of `n` persons: as in play, with the mean of what is drawn. The mean of the
    /// slowest of several side by side is taken as the mean of one.
    fn mean(&self, r: &Row, play: &RowPlay, n: usize, (port, swing): (u16, &Swing)) -> f64 {
        let one = play.takes.as_ref().map_or(0.0, Vary::mean);
        let people = match r.who {
            WhoSel::Word(Who::Team | Who::All | Who::Inside) => n,
            WhoSel::Word(Who::Rescuers) => 2,
            _ => 1,
        };
        let takes = row_time::shared(r.each, 0..people, row_time::instances(r), |_| one);
        takes.max(self.physics(r, n, port, swing))
    }

    fn physics(&self, r: &Row, n: usize, port: u16, swing: &Swing) -> f64 {
        let longest = |time: &dyn Fn(VolumeId, (f64, f64)) -> f64| {
            swing.volumes.iter().fold(0.0, |t: f64, (v, from, to)| t.max(time(*v, (*from, *to))))
        };
        let rate = self.c.s.campaign.pressure_rate.law.mean();
        match r.action {
            Action::Prebreathe if r.on == On::Suit => self.prebreathe(port),
            Action::Depress => longest(&|v, ends| self.depress_time(v, ends, n)),
            Action::Vent => longest(&|v, ends| self.vent_time(v, ends, n).unwrap_or(0.0)),
            Action::Repress => {
                let suits = swing.suits.map_or(0.0, |ends| row_time::filled(ends, rate));
                suits.max(longest(&|_, ends| row_time::filled(ends, rate)))
            }
            // Travel is added where the element that it leads to is known.
            Action::Prepare
            | Action::Wait
            | Action::Purge
            | Action::Prebreathe
            | Action::Open
            | Action::Close
            | Action::Pass
            | Action::Mate
            | Action::Unmate
            | Action::Don
            | Action::SuitUp
            | Action::Doff
            | Action::LeakCheck
            | Action::Clean
            | Action::Recharge
            | Action::Travel => 0.0,
        }
    }

    /// From where to where each row of a list brings pressures, nothing failing: found by a dry walk
    /// with everybody in the host, after the egress of the port for lists that begin outside.
    fn swings(&self, list: &List) -> Vec<Swing> {
        let l = self.l;
        let mut p = Places::rest(l);
        let port = &l.ports[list.port as usize];
        let cabin = l.elements[port.element as usize].cabin;
        (0..l.crew).for_each(|i| p.stand(i, Where::Volume(cabin)));
        // The largest team that gets out: pressures do not depend on how many they are.
        let out = l.lists.get(port.egress as usize);
        let goes = |n: &usize| {
            let mut q = p.clone();
            let group = Group { team: (1 << n) - 1, hurt: 0, rescuers: 0 };
            out.is_some_and(|out| walk::walk(l, &mut q, out, 0, group).is_ok())
        };
        let n = (1..=l.crew.min(2)).rev().find(goes).unwrap_or(1);
        let group = Group { team: (1 << n) - 1, hurt: 0, rescuers: 0 };
        let inside = [ListKind::Egress, ListKind::ServiceOut, ListKind::Restore, ListKind::Undock];
        if let Some(out) = out.filter(|_| !inside.contains(&list.kind)) {
            self.walk_pressures(&mut p, out, group);
            walk::make_ready(l, &mut p, list, 0);
        }
        self.walk_pressures(&mut p, list, group)
    }

    /// Walks a list; a row that cannot be done from there still brings its pressures.
    fn walk_pressures(&self, p: &mut Places, list: &List, group: Group) -> Vec<Swing> {
        let l = self.l;
        let mut all = Vec::new();
        for (i, row) in list.rows.iter().enumerate() {
            let g = walk::spread(l, p, list.port, row, group);
            let who = row.who.pick(&g);
            let moves = matches!(row.action, Action::Depress | Action::Vent | Action::Repress);
            let mut swing = Swing::default();
            if moves && row.on != On::Suit {
                let (vols, n) = match row.on {
                    On::Volumes(v, n) => (v.to_vec(), n as usize),
                    On::BerthVolume(v, _) => (vec![v], 1),
                    _ => (Vec::new(), 0),
                };
                let ends = |v: &VolumeId| (*v, p.pressure(*v), l.level(row, *v));
                swing.volumes = vols.iter().take(n).map(ends).collect();
            } else if moves && let Aim::Pascal(to) = row.to {
                let worn = each_of(who).map(|q| p.person[q].suit).filter(|s| s.is_some());
                let low = worn.fold(to, |x: f64, s| x.min(p.suit[s].pressure()));
                swing.suits = Some((low, to));
            }
            if walk::step(l, p, list, i, group).is_err() {
                swing.volumes.iter().for_each(|(v, _, to)| p.press(*v, *to));
            }
            all.push(swing);
        }
        all
    }

    fn free(&self, v: VolumeId, n: usize) -> f64 {
        let p = &self.volumes[v];
        // The table of means reaches to teams that no chamber holds: they never play.
        let most = usize::from(self.l.volumes[v].holds).min(self.l.crew);
        let inside = if p.cabin || p.gap { 0 } else { n.min(most) as u32 };
        let displaces = self.c.s.crew.displaces.law.mean();
        gas::free_volume(self.at(p.gas), inside, displaces, self.at(p.gear))
    }

    fn depress_time(&self, v: VolumeId, ends: (f64, f64), n: usize) -> f64 {
        let Some(pump) = self.pumps.get(self.volumes[v].pump as usize) else {
            return 0.0;
        };
        let (speed, reservoir) = (self.at(pump.speed), self.at(pump.reservoir));
        row_time::pumped(self.free(v, n), speed, reservoir, ends)
    }

    fn vent_time(&self, v: VolumeId, ends: (f64, f64), n: usize) -> Option<f64> {
        let valve = self.openings.get(self.volumes[v].valve)?;
        let orifice = gas::vent::Orifice::round(self.at(valve.diameter?), self.at(valve.discharge));
        let mix = gas::Mix { oxygen: self.l.volumes[v].oxygen };
        let t = self.at(self.volumes[v].temperature);
        row_time::vented(self.free(v, n), orifice, ends, self.l.ambient, mix, t)
    }

    /// Suits that leave by a port: those whose home is one of its berths, its volumes or the cabin
    /// behind it; all of them if there are none.
    fn suits_of(&self, port: u16) -> Vec<&SuitKind> {
        let p = &self.l.ports[port as usize];
        let cabin = self.l.elements[p.element as usize].cabin;
        let here = |s: &&crate::plan::Suit| match s.home {
            crate::plan::Kept::Berth(b) => p.berths.contains(&b),
            crate::plan::Kept::Volume(v) => v == cabin || p.volumes.contains(&v),
            crate::plan::Kept::Worn(_) => false,
        };
        let kind = |s: &crate::plan::Suit| &self.suits[s.kind as usize];
        let own: Vec<_> = self.l.suits.iter().filter(here).map(kind).collect();
        if own.is_empty() { self.l.suits.iter().map(kind).collect() } else { own }
    }

    /// Mean time of a prebreathe in the host of a port: the longest of the suits that leave by it.
    fn prebreathe(&self, port: u16) -> f64 {
        let suits = self.suits_of(port);
        suits.into_iter().fold(0.0, |t: f64, s| t.max(self.prebreathe_in(port, s)))
    }

    fn prebreathe_in(&self, port: u16, suit: &SuitKind) -> f64 {
        let c = &self.c.s.campaign;
        let host = self.l.ports[port as usize].element;
        let cabin = &self.l.volumes[self.l.elements[host as usize].cabin];
        let tissue = prebreathe::breathed_nitrogen(cabin.rest, cabin.oxygen);
        let breathed = prebreathe::breathed_nitrogen(cabin.rest, self.at(suit.purity));
        let wanted = prebreathe::Wanted {
            ratio: c.prebreathe_ratio.law.mean(),
            suit_pressure: suit.pressure,
            half_time: prebreathe::SLOW_HALF_TIME,
        };
        let required = prebreathe::required_time(tissue, breathed, wanted).unwrap_or(0.0);
        let least = self.elements[host as usize].prebreathe_least;
        prebreathe::planned_time(required, self.at(least))
    }

    /// Mean time of the egress rows that make the port ready for the next batch outside, s.
    fn again(&mut self, list: &List) -> f64 {
        let egress = self.l.ports[list.port as usize].egress;
        let Some(out) = self
            .l
            .lists
            .get(egress as usize)
            .filter(|_| walk::readied(self.l, list) != VolumeId::NONE)
        else {
            return 0.0;
        };
        let swings = self.swings(out);
        let rows = out.rows.iter().zip(&swings);
        let rows = rows.filter(|(r, _)| walk::readies(self.l, list.port, r));
        rows.fold(0.0, |sum, (r, swing)| {
            let takes = r.written.takes.as_ref().map_or(0.0, |n| n.law.mean());
            sum + takes.max(self.physics(r, 0, list.port, swing))
        })
    }
}
