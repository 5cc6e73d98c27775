//! Teams walk rows: one interpreter for every list of every access system.
//!
//! A row is begun (who, how long, clocks), and acts at its end: failures are asked, interlocks looked
//! at, then places, gas and dust change. A team walks on without the calendar until something else is
//! due before the end of its row.

use super::gas::Fate;
use super::hazard::{NO, Occasion};
use super::play::{Event, Play};
use super::team::{Errand, Phase};
use super::trace::Level;
use crate::layout::{
    Broken, Condition, Crew, ListKind, NONE, OUTSIDE, On, Places, Row, Side, Spread, Where,
    each_of, walk,
};
use crate::model::{GasCause, IncapacitatedPlay, purpose};
use crate::scenario::{Action, During, IfFails, OpeningKind, Trigger};

/// Load from which a seal counts as dirty for the factor of a failure mode, kg/m2: the first band of
/// the contamination multiplier in `physics::seal` ends at 1 g/m2 (assumed).
const DIRTY: f64 = 1e-3;

/// Why a row failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Failure {
    /// An interlock or a stuck part.
    Broken(Broken),
    /// A failure mode acted.
    Mode(u16),
    /// A leak check alarmed falsely.
    FalseAlarm,
    /// The store does not hold the gas.
    Store,
    /// The volume does not hold its pressure check.
    NotHolding(u16),
    /// A casualty could not be brought through.
    Casualty,
    /// A condition to wait for did not come, or a stage or valve that is needed is lost.
    Lost(u16),
    /// The campaign is ending.
    Ending,
}

impl Play<'_> {
    /// An event of a team.
    pub(super) fn team_event(&mut self, k: usize, ticket: u32) {
        if self.teams[k].ticket != ticket {
            return;
        }
        match self.teams[k].phase {
            Phase::Idle => {}
            Phase::WaitPort => self.give_up_waiting(k),
            Phase::Begin | Phase::InRow => self.walk(k),
            Phase::Outside | Phase::Walking => self.outside_event(k),
            Phase::Stranded => self.stranded_event(k),
        }
    }

    /// Puts the next event of a team on the calendar; older ones become void.
    pub(super) fn plan_team(&mut self, k: usize, time: f64) {
        self.teams[k].ticket += 1;
        let event = Event::Team(k as u8, self.teams[k].ticket);
        self.plan(time, event);
    }

    /// A team that was given a list walks it as soon as the event now being handled is over: walking at
    /// once would carry the time past what the rest of that event does.
    pub(super) fn resume(&mut self, k: usize) {
        self.plan_team(k, self.now);
    }

    /// Walks rows until the list is done or something else is due.
    fn walk(&mut self, k: usize) {
        loop {
            match self.teams[k].phase {
                Phase::Begin => {
                    if self.list_is_done(k) {
                        if !self.list_done(k) {
                            return;
                        }
                        continue;
                    }
                    self.begin_row(k);
                    let end = self.teams[k].end;
                    self.teams[k].phase = Phase::InRow;
                    if self.calendar.peek().is_some_and(|t| t < end) {
                        self.plan_team(k, end);
                        return;
                    }
                }
                Phase::InRow => {
                    self.now = self.teams[k].end;
                    self.finish_row(k);
                }
                _ => return,
            }
        }
    }

    fn list_is_done(&self, k: usize) -> bool {
        let t = &self.teams[k];
        t.row >= self.arm.layout.lists[t.list as usize].rows.len()
    }

    /// Starts a list for a team at a row: draws the leg.
    pub(super) fn enter_list(&mut self, k: usize, list: u16, row: usize) {
        let play = &self.arm.lists[list as usize];
        let (campaign, luck) = (self.campaign, self.luck);
        let now = self.now;
        let t = &mut self.teams[k];
        let path = play.hash ^ t.path.rotate_left(21);
        let n = play.draws;
        luck.fill(campaign, path, t.occasion, purpose::LEG, &mut t.draws[..n]);
        t.list = list;
        t.row = row;
        t.tries = 0;
        t.t = now;
        t.phase = Phase::Begin;
        t.port = self.arm.layout.lists[list as usize].port;
    }

    /// Whom the person words mean for a team now.
    pub(super) fn spread(&self, k: usize, row: &Row) -> Spread {
        let t = &self.teams[k];
        let host = self.arm.layout.ports[t.port as usize].element;
        let mut g = Spread {
            team: t.members,
            hurt: self.hurt,
            inside: 0,
            inside_of: 0,
            first: walk::first_of(t.members, self.hurt),
            last: walk::last_of(t.members, self.hurt),
            rescuers: t.rescuers,
        };
        if row_needs_inside(row) {
            g.inside = self.suited_inside(host) & !t.members;
            if let crate::layout::WhoSel::InsideOf(v) = row.who {
                let here = self.places.persons_in(&self.arm.layout, v) & !t.members;
                g.inside_of = each_of(here).filter(|p| self.able(*p)).fold(0, |c, p| c | 1 << p);
            }
        }
        g
    }

    /// Able persons inside an element, also those who sit there in suits without air (a depressurised
    /// cabin).
    fn suited_inside(&self, e: u16) -> Crew {
        let l = &self.arm.layout;
        let cabin = l.elements[e as usize].cabin;
        let mut out = self.inside_of_element(e);
        for p in 0..l.crew {
            let there = matches!(self.places.person[p].at, Where::Volume(v) if v != OUTSIDE && self.places.joined(l, cabin, v));
            let free = !matches!(self.crew[p].busy, super::person::Busy::Team(_));
            if there && free && self.able(p) {
                out |= 1 << p;
            }
        }
        out
    }

    fn begin_row(&mut self, k: usize) {
        let (list, i) = (self.teams[k].list as usize, self.teams[k].row);
        let arm = self.arm;
        let row = &arm.layout.lists[list].rows[i];
        self.now = self.teams[k].t;
        self.settle_unfed();
        let g = self.spread(k, row);
        let mut who = row.who.pick(&g);
        let ready = self.teams[k].then != NONE;
        if ready && row.action == Action::Close {
            who = g.inside
                | self.suited_inside(arm.layout.ports[self.teams[k].port as usize].element);
        }
        let nobody = who == 0 && !needs_somebody(row);
        let restoring = self.restores_berths(k, row);
        let skip = nobody
            || ready && !self.readies(k, row)
            || !row.when.iter().all(|c| self.holds(*c, k))
            || !restoring && self.already(k, row, who, &g);
        self.teams[k].who = who;
        self.teams[k].skip = skip;
        if skip {
            self.teams[k].end = self.teams[k].t;
            return;
        }
        let touches = Places::touches_berths(&arm.layout, self.teams[k].port, row);
        if touches && row.suit.is_none() && !restoring {
            let port = self.teams[k].port;
            self.places.keep_berths(&arm.layout, port, who, row.frees.is_some());
        }
        let takes = self.row_time(k, row, i, who, &g);
        debug_assert!(takes >= 0.0 && takes.is_finite(), "{} takes {takes}", row.label);
        self.teams[k].end = self.teams[k].t + takes;
        self.start_clocks(k, row, who, &g);
        if row.action == Action::Prebreathe {
            self.breathe_oxygen(k, who);
        }
    }

    /// In making a port ready only closing, pumping and venting of its own volumes are played, up to
    /// the first opening to outside.
    fn readies(&self, k: usize, row: &Row) -> bool {
        let list = &self.arm.layout.lists[self.teams[k].then as usize];
        let port = list.port;
        match (row.action, row.on) {
            (Action::Depress | Action::Vent, On::Volumes([v, ..], _)) => {
                self.arm.layout.volumes[v as usize].port == port
            }
            (Action::Close, On::Opening(o, 1)) => {
                let outer =
                    self.arm.layout.openings[o as usize].sides.contains(&Side::Volume(OUTSIDE));
                !outer && self.arm.layout.openings[o as usize].kind == OpeningKind::PressureHatch
            }
            _ => false,
        }
    }

    /// A row whose result already holds costs nothing and demands nothing (rule 9).
    fn already(&self, k: usize, row: &Row, who: Crew, g: &Spread) -> bool {
        let l = &self.arm.layout;
        let p = &self.places;
        let all = |f: &dyn Fn(usize) -> bool| each_of(who).all(f);
        match (row.action, row.on) {
            (Action::Open, On::Opening(o, 1)) => p.opening[o as usize].open,
            (Action::Close, On::Opening(o, 1)) => !p.opening[o as usize].open,
            (Action::Open, On::Opening(o, n)) => {
                all(&|i| p.opening[p.opening_for(l, o, n, i) as usize].open)
            }
            (Action::Close, On::Opening(o, n)) => {
                all(&|i| !p.opening[p.opening_for(l, o, n, i) as usize].open)
            }
            (Action::Depress | Action::Vent, On::Volumes(..) | On::BerthVolume(..)) => {
                let (v, n) = p.row_volumes(l, row, who);
                v[..n].iter().all(|v| p.pressure[*v as usize] <= p.level(l, row, *v))
            }
            (Action::Repress, On::Volumes(..) | On::BerthVolume(..)) => {
                let (v, n) = p.row_volumes(l, row, who);
                v[..n].iter().all(|v| p.pressure[*v as usize] >= p.level(l, row, *v))
            }
            (Action::Mate, _) if row.suit.is_none() => {
                all(&|i| matches!(p.person[i].at, Where::Berth(_)))
            }
            (Action::Unmate, _) if row.suit.is_none() => {
                all(&|i| !matches!(p.person[i].at, Where::Berth(_)))
            }
            (Action::Don | Action::SuitUp, _) => all(&|i| p.person[i].suit != NONE),
            (Action::Doff, _) => all(&|i| p.person[i].suit == NONE),
            _ => {
                let _ = (k, g);
                false
            }
        }
    }

    fn finish_row(&mut self, k: usize) {
        let (list, i) = (self.teams[k].list as usize, self.teams[k].row);
        let arm = self.arm;
        let row = &arm.layout.lists[list].rows[i];
        self.spend_elapsed(k);
        if self.teams[k].skip {
            return self.next_row(k);
        }
        let g = self.spread(k, row);
        let who = self.teams[k].who;
        if self.ending.is_some() && row.egress && self.teams[k].then == NONE {
            return self.row_failed(k, row, Failure::Ending);
        }
        self.hits_due(k);
        let result = if self.restores_berths(k, row) {
            self.try_every_berth(k, row, i, who, &g)
        } else {
            self.try_row(k, row, i, who, &g)
        };
        match result {
            Ok(()) => {
                self.tell_row(k, row, who, None);
                self.close_demands(k, row);
                self.next_row(k);
            }
            Err(f) => {
                self.tell_row(k, row, who, Some(f));
                self.row_failed(k, row, f);
            }
        }
    }

    /// In a `restore` list a row acts on every berth of the port.
    fn restores_berths(&self, k: usize, row: &Row) -> bool {
        let kind = self.arm.layout.lists[self.teams[k].list as usize].kind;
        kind == ListKind::Restore
            && Places::touches_berths(&self.arm.layout, self.teams[k].port, row)
    }

    fn try_every_berth(
        &mut self,
        k: usize,
        row: &Row,
        i: usize,
        who: Crew,
        g: &Spread,
    ) -> Result<(), Failure> {
        let one = who & who.wrapping_neg();
        let arm = self.arm;
        for b in &arm.layout.ports[self.teams[k].port as usize].berths {
            each_of(one).for_each(|p| self.places.person[p].berth = *b);
            if self.places.suit_at(*b).is_some() && !self.already(k, row, one, g) {
                self.try_row(k, row, i, one, g)?;
            }
        }
        walk::release_berths(&mut self.places, one);
        Ok(())
    }

    fn next_row(&mut self, k: usize) {
        let t = &mut self.teams[k];
        t.row += 1;
        t.tries = 0;
        t.t = t.end;
        t.phase = Phase::Begin;
        if t.then != NONE {
            self.ready_so_far(k);
        }
    }

    fn spend_elapsed(&mut self, k: usize) {
        let t = &mut self.teams[k];
        t.elapsed += t.end - t.t;
    }

    /// The row's failures are asked, its interlocks looked at; if all is well it acts.
    fn try_row(
        &mut self,
        k: usize,
        row: &Row,
        i: usize,
        who: Crew,
        g: &Spread,
    ) -> Result<(), Failure> {
        if who == 0 {
            return Err(Failure::Broken(Broken::NotThere));
        }
        self.casualty_chance(k, row, i, who)?;
        self.free_stuck(k, row, i, who);
        self.row_demands(k, row, who, g)?;
        self.lost_machine(row)?;
        self.check_leaks(k, row, i, who)?;
        if let Some(b) = self.places.broken(&self.arm.layout, row, who, g) {
            self.found_stuck(row, who, b);
            return Err(Failure::Broken(b));
        }
        self.before_act(k, row, who, g)?;
        self.act(k, row, who, g);
        Ok(())
    }

    /// The chance of a row with a casualty among those who do it (rule 10).
    fn casualty_chance(&mut self, k: usize, row: &Row, i: usize, who: Crew) -> Result<(), Failure> {
        let _ = row;
        if who & self.hurt == 0 {
            return Ok(());
        }
        let list = self.teams[k].list as usize;
        let arm = self.arm;
        let p = match &arm.lists[list].rows[i].incapacitated {
            Some(
                IncapacitatedPlay::Takes(_, Some(p))
                | IncapacitatedPlay::Adds(_, Some(p))
                | IncapacitatedPlay::Times(_, Some(p)),
            ) => p.of(&self.v),
            _ => return Ok(()),
        };
        let address = self.row_address(k, i, 0);
        if self.chance(address, purpose::CHANCE, p) { Ok(()) } else { Err(Failure::Casualty) }
    }

    /// Address of a yes/no of a row: path of the list and errand, occasion, row and kind; tries count.
    pub(super) fn row_address(&self, k: usize, i: usize, kind: u32) -> (u64, u64, u32) {
        let t = &self.teams[k];
        let path = self.arm.lists[t.list as usize].hash ^ t.path.rotate_left(21);
        (path, t.occasion, (i as u32) << 8 | u32::from(t.tries) << 2 | kind)
    }

    /// A try that can clear a stuck state or a seal that does not hold (`frees`); tools wipe the seal.
    fn free_stuck(&mut self, k: usize, row: &Row, i: usize, who: Crew) {
        let arm = self.arm;
        let list = self.teams[k].list as usize;
        let Some(p) = arm.lists[list].rows[i].frees else {
            return;
        };
        let p = p.of(&self.v);
        match row.on {
            On::Opening(o, n) => {
                for q in each_of(if n < 2 { who & who.wrapping_neg() } else { who }) {
                    let o = self.places.opening_for(&arm.layout, o, n, q) as usize;
                    self.try_to_free(k, i, o, p);
                }
            }
            On::Volumes(..) | On::BerthVolume(..) => {
                let (v, n) = self.places.row_volumes(&arm.layout, row, who);
                for v in &v[..n] {
                    for o in &arm.layout.volumes[*v as usize].openings {
                        self.try_to_free(k, i, *o as usize, p);
                    }
                }
            }
            _ => {}
        }
    }

    fn try_to_free(&mut self, k: usize, i: usize, o: usize, p: f64) {
        self.seal_dust[o] = 0.0;
        let stuck = self.parts.stuck_by[o];
        let pm = if stuck == NO { self.parts.not_holding[o] } else { stuck };
        if pm == NO {
            return;
        }
        let (path, occasion, index) = self.row_address(k, i, 1);
        let path = path ^ self.arm.part_modes[pm as usize].hash;
        if self.chance((path, occasion, index), purpose::CHANCE, p) {
            self.cancel_job(pm);
            self.mend(pm as usize, false);
            self.say(Level::Event, self.slot_of(k), |s| {
                format!("{} is freed", s.arm.layout.openings[o].path)
            });
        }
    }

    fn occasion(&self, k: usize) -> Occasion {
        let t = &self.teams[k];
        let kind = self.arm.layout.lists[t.list as usize].kind;
        let (part, during) = match kind {
            ListKind::Egress => (1, During::Egress),
            ListKind::ServiceOut => (3, During::Egress),
            ListKind::Ingress => (2, During::Ingress),
            ListKind::ServiceIn => (4, During::Ingress),
            ListKind::WayBack | ListKind::Restore => (2, During::WayBack),
        };
        Occasion { id: (u64::from(t.slot.wrapping_add(1)) + 1) * 8 + part, during }
    }

    /// Asks the failure modes that listen to a row.
    fn row_demands(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) -> Result<(), Failure> {
        let o = self.occasion(k);
        match (row.action, row.on) {
            (Action::Open, On::Opening(..)) => self.ask_openings(row, who, Trigger::Opening, o),
            (Action::Close, On::Opening(..)) => self.ask_openings(row, who, Trigger::Closing, o),
            (Action::Mate, On::Opening(..)) => self.ask_openings(row, who, Trigger::Mating, o),
            (Action::Unmate, On::Opening(..)) => self.ask_openings(row, who, Trigger::Unmating, o),
            (Action::Depress, _) => self.ask_pump(k, row, o),
            (Action::Vent, On::Volumes([v, ..], _)) => self.ask_valve(v, o),
            (Action::Repress, On::Volumes(..) | On::BerthVolume(..)) => {
                self.ask_holding(row, who, o)
            }
            (Action::Clean | Action::Recharge, On::Stage(s)) => {
                let d = self.arm.on_stage[s as usize];
                acted(self.demand(d, Trigger::Start, 1.0, o, false))
            }
            (Action::Don | Action::SuitUp, _) => {
                let _ = g;
                Ok(())
            }
            _ => Ok(()),
        }
    }

    fn ask_openings(
        &mut self,
        row: &Row,
        who: Crew,
        trigger: Trigger,
        o: Occasion,
    ) -> Result<(), Failure> {
        let On::Opening(base, n) = row.on else {
            return Ok(());
        };
        let arm = self.arm;
        let mut first = None;
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&arm.layout, base, n, p) as usize;
            let dusty = self.seal_dust[id] >= DIRTY;
            let acts = self.demand(arm.on_opening[id], trigger, 1.0, o, dusty);
            first = first.or(acts);
        }
        acted(first)
    }

    fn ask_pump(&mut self, k: usize, row: &Row, o: Occasion) -> Result<(), Failure> {
        let On::Volumes([v, ..], _) = row.on else {
            return Ok(());
        };
        let pump = self.arm.volumes[v as usize].pump;
        if pump == NONE {
            return Ok(());
        }
        let d = self.arm.on_pump[pump as usize];
        let ran = self.teams[k].end - self.teams[k].t;
        let a = self.demand(d, Trigger::Start, 1.0, o, false);
        let b = self.demand(d, Trigger::Running, ran, o, false);
        acted(a.or(b))
    }

    fn ask_valve(&mut self, v: u16, o: Occasion) -> Result<(), Failure> {
        let valve = self.arm.volumes[v as usize].valve;
        if valve == NONE {
            return Ok(());
        }
        let d = self.arm.on_opening[valve as usize];
        acted(self.demand(d, Trigger::Opening, 1.0, o, false))
    }

    fn ask_holding(&mut self, row: &Row, who: Crew, o: Occasion) -> Result<(), Failure> {
        let arm = self.arm;
        let (vols, n) = self.places.row_volumes(&arm.layout, row, who);
        let mut first = None;
        for v in &vols[..n] {
            for id in &arm.layout.volumes[*v as usize].openings {
                if self.seals_now(*id as usize) {
                    let dusty = self.seal_dust[*id as usize] >= DIRTY;
                    let d = arm.on_opening[*id as usize];
                    let acts = self.demand(d, Trigger::Holding, 1.0, o, dusty);
                    first = first.or(acts);
                }
            }
        }
        acted(first)?;
        for v in &vols[..n] {
            for id in &arm.layout.volumes[*v as usize].openings {
                let pm = self.parts.not_holding[*id as usize];
                if pm != NO && self.seals_now(*id as usize) {
                    self.find(pm as usize);
                    return Err(Failure::NotHolding(pm));
                }
            }
        }
        Ok(())
    }

    /// Does the opening hold pressure as it stands: shut, and an interface with a suit on it? Without a
    /// suit the hatch behind it does.
    pub(super) fn seals_now(&self, o: usize) -> bool {
        let state = &self.places.opening[o];
        let back = self.arm.layout.openings[o].kind == OpeningKind::SuitInterface;
        !state.open && (!back || state.mated)
    }

    /// A valve that is stuck shut, or a stage, panel or umbilical that is lost.
    fn lost_machine(&mut self, row: &Row) -> Result<(), Failure> {
        match (row.action, row.on) {
            (Action::Vent, On::Volumes([v, ..], _)) if row.takes.is_none() => {
                let valve = self.arm.volumes[v as usize].valve;
                if valve == NONE {
                    return Ok(());
                }
                let pm = self.parts.stuck_by[valve as usize];
                if pm != NO
                    && self.places.opening[valve as usize].stuck == crate::layout::Stuck::Shut
                {
                    self.find(pm as usize);
                    return Err(Failure::Lost(pm));
                }
                Ok(())
            }
            (Action::Recharge, On::Stage(s)) => {
                let pm = self.parts.stage_lost[s as usize];
                if pm == NO {
                    return Ok(());
                }
                self.find(pm as usize);
                Err(Failure::Lost(pm))
            }
            _ => Ok(()),
        }
    }

    /// Leak checks find what is hidden, can miss and can alarm falsely.
    fn check_leaks(&mut self, k: usize, row: &Row, i: usize, who: Crew) -> Result<(), Failure> {
        if row.action != Action::LeakCheck {
            return Ok(());
        }
        let arm = self.arm;
        let play = &arm.lists[self.teams[k].list as usize].rows[i];
        let miss = play.misses.map_or(0.0, |p| p.of(&self.v));
        let alarm = play.false_alarm.map_or(0.0, |p| p.of(&self.v));
        for (rank, p) in each_of(who).enumerate() {
            let draw = play.check as usize + 2 * rank;
            let (u, w) = if miss > 0.0 || alarm > 0.0 {
                self.check_draws(k, i, draw, rank)
            } else {
                (1.0, 1.0)
            };
            if let Some(pm) = self.hidden_leak(row, p) {
                if u >= miss {
                    self.find(pm as usize);
                    return Err(Failure::NotHolding(pm));
                }
            }
            if w < alarm {
                return Err(Failure::FalseAlarm);
            }
        }
        Ok(())
    }

    /// The two uniforms of a check; a repeated one draws elsewhere.
    fn check_draws(&self, k: usize, i: usize, draw: usize, rank: usize) -> (f64, f64) {
        let t = &self.teams[k];
        if t.tries == 0 && draw + 1 < t.draws.len() {
            return (t.draws[draw], t.draws[draw + 1]);
        }
        let (path, occasion, index) = self.row_address(k, i, 2);
        let at = |j: u32| {
            let index = index.wrapping_mul(64) + rank as u32 * 2 + j;
            self.luck.uniform(self.campaign, path, occasion, purpose::CHANCE, index | 1 << 31)
        };
        (at(0), at(1))
    }

    fn hidden_leak(&self, row: &Row, p: usize) -> Option<u16> {
        let l = &self.arm.layout;
        match row.on {
            On::Suit => {
                let s = self.places.person[p].suit;
                (s != NONE).then(|| self.parts.suit_bad[s as usize]).filter(|pm| *pm != NO)
            }
            On::Opening(o, n) => {
                let id = self.places.opening_for(l, o, n, p) as usize;
                Some(self.parts.not_holding[id]).filter(|pm| *pm != NO)
            }
            On::Volumes(..) | On::BerthVolume(..) => {
                let (v, n) = self.places.row_volumes(l, row, 1 << p);
                v[..n]
                    .iter()
                    .flat_map(|v| &l.volumes[*v as usize].openings)
                    .find_map(|o| Some(self.parts.not_holding[*o as usize]).filter(|pm| *pm != NO))
            }
            _ => None,
        }
    }

    /// A stuck part that stopped a row is known from now on.
    fn found_stuck(&mut self, row: &Row, who: Crew, b: Broken) {
        if !matches!(b, Broken::StuckShut | Broken::StuckOpen) {
            return;
        }
        let On::Opening(o, n) = row.on else { return };
        for p in each_of(who) {
            let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
            let pm = self.parts.stuck_by[id];
            if pm != NO {
                self.find(pm as usize);
            }
        }
    }

    /// What must be looked at before a row acts: gas for a fill.
    fn before_act(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) -> Result<(), Failure> {
        let _ = (k, g);
        if row.action != Action::Repress || row.on == On::Suit {
            return Ok(());
        }
        let (vols, n) = self.places.row_volumes(&self.arm.layout, row, who);
        for v in &vols[..n] {
            if !self.store_fills(*v as usize, self.places.level(&self.arm.layout, row, *v)) {
                return Err(Failure::Store);
            }
        }
        Ok(())
    }

    /// Does the store hold what brings a volume from its pressure to `to`?
    pub(super) fn store_fills(&self, v: usize, to: f64) -> bool {
        let s = self.gas.store_of[v];
        if s == NONE {
            return true;
        }
        let rise = to - self.places.pressure[v];
        let t = self.arm.volumes[v].temperature.of(&self.v);
        let need =
            crate::physics::gas::content(rise.max(0.0), self.free_volume(v), self.gas.mix[v], t);
        let has = self.gas.store[s as usize];
        has.oxygen >= need.oxygen && has.nitrogen >= need.nitrogen
    }

    /// Does the row: places first, then the books of gas and dust.
    fn act(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let arm = self.arm;
        let l = &arm.layout;
        match row.action {
            Action::Pass => self.dust_of_pass(row, who),
            Action::Open => self.dust_of_swing(k, row, who, true),
            Action::Close => self.dust_of_swing(k, row, who, false),
            Action::Clean => self.dust_of_stage(k, row, who),
            Action::Doff => self.dust_of_doff(row, who),
            Action::Vent | Action::Repress if row.on == On::Suit => {
                self.suit_gas_of(k, row, who, g)
            }
            Action::Purge => self.gas_of_purge(k, row, who, g),
            _ => {}
        }
        if row.action == Action::Depress || row.action == Action::Vent {
            self.dust_of_vent(row, who);
        }
        self.places.act(l, row, who, g);
        match row.action {
            Action::Depress | Action::Vent | Action::Repress => self.gas_of_pressure(k, row, who),
            Action::Open => self.gas_of_open(k, row, who),
            Action::Close => self.leaks_of_row(row, who),
            Action::Pass | Action::Mate | Action::Unmate | Action::Don | Action::Doff => {
                self.gas_of_moves(k, row, who);
            }
            Action::Recharge => self.hang_on(row, who),
            Action::Travel => self.travelled(k, row, who),
            _ => {}
        }
        if matches!(
            row.action,
            Action::Pass | Action::Don | Action::SuitUp | Action::Doff | Action::Mate
        ) {
            each_of(who).for_each(|p| self.breathe_here(p));
        }
        if row.action == Action::Doff {
            self.treated(k, who);
        }
    }

    fn suit_gas_of(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let l = &self.arm.layout;
        let (suits, n) = self.places.row_suits(l, row, who, g);
        let e = self.entry(k);
        for s in &suits[..n] {
            let s = *s as usize;
            let from = self.places.suit[s].pressure;
            let to = match row.to {
                crate::layout::Aim::Pascal(p) => p,
                crate::layout::Aim::Ambient => l.ambient,
                _ => l.suits[s].working,
            };
            if row.action == Action::Vent {
                self.vent_suit(s, from, to, e);
            } else {
                let cabin = self.host_cabin(k);
                self.fill_suit(s, from, to, cabin);
            }
        }
    }

    /// Cabin of the element the team's port stands on.
    pub(super) fn host_cabin(&self, k: usize) -> usize {
        let e = self.arm.layout.ports[self.teams[k].port as usize].element;
        self.arm.layout.elements[e as usize].cabin as usize
    }

    fn gas_of_purge(&mut self, k: usize, row: &Row, who: Crew, g: &Spread) {
        let (suits, n) = self.places.row_suits(&self.arm.layout, row, who, g);
        let e = self.entry(k);
        let dt = self.teams[k].end - self.teams[k].t;
        let cabin = self.host_cabin(k);
        for s in &suits[..n] {
            self.purge(*s as usize, dt, cabin, row.gas == crate::layout::GasEnd::Outside, e);
        }
    }

    fn gas_of_pressure(&mut self, k: usize, row: &Row, who: Crew) {
        if row.on == On::Suit {
            return;
        }
        let arm = self.arm;
        let (vols, n) = self.places.row_volumes(&arm.layout, row, who);
        let e = self.entry(k);
        for v in &vols[..n] {
            let v = *v as usize;
            let fate = match row.action {
                Action::Depress => self.pump_fate(v),
                Action::Vent if row.gas == crate::layout::GasEnd::Outside => {
                    Fate::Lost(GasCause::Vent)
                }
                _ => Fate::Transfer,
            };
            self.settle_volume(v, fate, e);
            self.refresh_leaks_of(v);
            for b in arm.layout.berths.iter().filter(|b| b.outer as usize == v) {
                if !self.places.opening[b.interface as usize].mated {
                    self.settle_volume(b.gap as usize, fate, e);
                }
            }
            if row.action == Action::Repress {
                self.dust_of_fill(v);
            }
            let l = &arm.layout;
            for p in each_of(self.places.persons_in(l, v as u16)) {
                self.breathe_here(p);
            }
        }
    }

    fn pump_fate(&self, v: usize) -> Fate {
        let pump = self.arm.volumes[v].pump;
        if pump == NONE || self.parts.pump_lost[pump as usize] != NO {
            return Fate::Lost(GasCause::FailedPump);
        }
        Fate::Pumped(self.arm.pumps[pump as usize].recovery.of(&self.v))
    }

    fn gas_of_open(&mut self, k: usize, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let arm = self.arm;
        let e = self.entry(k);
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&arm.layout, o, n, p) as usize;
            let sides = arm.layout.openings[id].sides;
            let out = sides.iter().any(|s| match s {
                Side::Volume(v) => self.places.pressure[*v as usize] <= arm.layout.ambient,
                Side::Suit(_) => false,
            });
            for s in sides {
                if let Side::Volume(v) = s {
                    let fate = if out { Fate::Lost(GasCause::Rest) } else { Fate::Transfer };
                    self.settle_volume(v as usize, fate, e);
                    self.refresh_leaks_of(v as usize);
                }
            }
        }
    }

    fn leaks_of_row(&mut self, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let persons = if n < 2 { who & who.wrapping_neg() } else { who };
        for p in each_of(persons) {
            let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
            self.settle_leak(id);
            self.refresh_leak(id);
        }
    }

    /// Persons displace gas: those who move change what both volumes hold.
    fn gas_of_moves(&mut self, k: usize, row: &Row, who: Crew) {
        let On::Opening(o, n) = row.on else { return };
        let arm = self.arm;
        let e = self.entry(k);
        for p in each_of(who) {
            let id = self.places.opening_for(&arm.layout, o, n, p) as usize;
            for s in arm.layout.openings[id].sides {
                if let Side::Volume(v) = s {
                    self.settle_volume(v as usize, Fate::Transfer, e);
                }
            }
            let berth = self.places.person[p].berth;
            if berth != NONE && arm.layout.openings[id].kind == OpeningKind::SuitInterface {
                let cabin = arm.layout.berths[berth as usize].cabin;
                self.settle_volume(cabin as usize, Fate::Transfer, e);
            }
        }
    }

    fn hang_on(&mut self, row: &Row, who: Crew) {
        let On::Stage(_) = row.on else { return };
        let now = self.now;
        for p in each_of(who) {
            let clock = &mut self.crew[p].clock;
            if clock.open {
                clock.advance(now);
                clock.paused = true;
            }
        }
    }

    fn tell_row(&mut self, k: usize, row: &Row, who: Crew, failed: Option<Failure>) {
        if self.story.is_none() {
            return;
        }
        let slot = self.slot_of(k);
        self.say(Level::Row, slot, |s| s.row_words(k, row, who, failed));
        if let Some(f) = failed {
            self.say(Level::Event, slot, |s| s.failure_words(k, row, f));
        }
    }

    /// Slot of a team, for stories.
    pub(super) fn slot_of(&self, k: usize) -> Option<u32> {
        let s = self.teams[k].slot;
        (s != u32::MAX).then_some(s)
    }

    /// Does a condition hold for a team now? What is not found is not seen.
    pub(super) fn holds(&self, c: Condition, k: usize) -> bool {
        self.condition(c, k, self.teams[k].port)
    }

    /// A row failed.
    pub(super) fn row_failed(&mut self, k: usize, row: &Row, f: Failure) {
        let cause = self.cause_of(f, row, self.teams[k].who);
        if self.teams[k].door_at < 0.0 {
            self.teams[k].blame(cause);
            self.teams[k].cut = true;
        }
        self.teams[k].troubled_by(cause);
        match row.if_fails {
            IfFails::GoOn => return self.next_row(k),
            IfFails::Retry(n) if u32::from(self.teams[k].tries) < n && f != Failure::Ending => {
                let t = &mut self.teams[k];
                t.tries += 1;
                t.t = t.end;
                t.phase = Phase::Begin;
                return;
            }
            _ => {}
        }
        self.teams[k].t = self.teams[k].end;
        let kind = self.arm.layout.lists[self.teams[k].list as usize].kind;
        let abort = matches!(row.if_fails, IfFails::Abort)
            || row.egress && matches!(row.if_fails, IfFails::Retry(_));
        if abort && kind == ListKind::Egress && self.teams[k].then == NONE {
            return self.abort(k);
        }
        if self.teams[k].errand == Errand::Restore {
            return self.restore_failed(k);
        }
        self.stranded_at_row(k, row, f);
    }

    /// The cause of lost hours behind a failure.
    fn cause_of(&self, f: Failure, row: &Row, who: Crew) -> u16 {
        use crate::model::cause;
        let of_part = |pm: u16| self.m.modes[self.arm.part_modes[pm as usize].mode as usize].cause;
        match f {
            Failure::Mode(m) => self.m.modes[m as usize].cause,
            Failure::NotHolding(pm) | Failure::Lost(pm) => of_part(pm),
            Failure::FalseAlarm => cause::FALSE_ALARM,
            Failure::Store => cause::STORE,
            Failure::Casualty => self.hurt_cause(who).unwrap_or(cause::HURT),
            Failure::Ending => self.ending.map_or(cause::LEFT, |e| e.cause),
            Failure::Broken(Broken::NoSuit) => cause::NO_SUIT,
            Failure::Broken(_) => {
                if let On::Opening(o, n) = row.on {
                    for p in each_of(who) {
                        let id = self.places.opening_for(&self.arm.layout, o, n, p) as usize;
                        if self.parts.stuck_by[id] != NO {
                            return of_part(self.parts.stuck_by[id]);
                        }
                    }
                }
                cause::INTERLOCK
            }
        }
    }

    /// Egress goes back: the ingress list from the row where the rest leads to rest.
    fn abort(&mut self, k: usize) {
        let (list, row) = (self.teams[k].list as usize, self.teams[k].row);
        let entry = self.arm.lists[list].abort.get(row).copied().unwrap_or(NONE);
        let ingress = self.arm.layout.ports[self.teams[k].port as usize].ingress;
        self.teams[k].aborted = true;
        if entry == NONE || ingress == NONE {
            let r = &self.arm.layout.lists[list].rows[row];
            return self.stranded_at_row(k, r, Failure::Ending);
        }
        self.now = self.teams[k].end;
        self.enter_list(k, ingress, entry as usize);
    }
}

fn row_needs_inside(row: &Row) -> bool {
    use crate::layout::WhoSel;
    use crate::scenario::Who;
    match row.who {
        WhoSel::Word(w) | WhoSel::Narrowed(w) => matches!(w, Who::Inside | Who::All | Who::Helper),
        WhoSel::InsideOf(_) => true,
    }
}

/// Rows that cannot be done by nobody; others with nobody to do them are passed over.
fn needs_somebody(row: &Row) -> bool {
    use crate::layout::WhoSel;
    use crate::scenario::Who;
    let inside = matches!(row.who, WhoSel::Word(Who::Inside | Who::Helper));
    let acts = matches!(
        row.action,
        Action::Open | Action::Close | Action::Vent | Action::Depress | Action::Repress
    );
    inside && acts
}

fn acted(mode: Option<u16>) -> Result<(), Failure> {
    mode.map_or(Ok(()), |m| Err(Failure::Mode(m)))
}
