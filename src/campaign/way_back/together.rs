//! Who goes together (rule 23): splitting teams at a row or by room.

use crate::campaign::owner::team::{Phase, TEAMS, Team};
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::plan::{BerthId, Broken, Condition, Crew, NONE, On, Row, Where, each_of, step, walk};
use crate::scenario::Action;

impl World<'_> {
    /// Without a casualty, those stranded at a row with several instances go together and the others
    /// go in (rule 23): the stranded become a team of their own. So does a casualty whose hatches nobody
    /// can open, while the able go in by their own berths to open them from inside.
    pub(in crate::campaign) fn split_off(
        &mut self,
        k: usize,
        row: &Row,
        f: Failure,
    ) -> Option<usize> {
        let Failure::Broken(_) = f else { return None };
        let members = self.teams[k].members;
        let several = matches!(row.on, On::Opening(_, n) | On::BerthVolume(_, n) if n > 1);
        let helpless = f == Failure::Broken(Broken::NobodyInside);
        if !several || members & self.people.hurt != 0 && !helpless {
            return None;
        }
        let g = self.spread(k, row);
        let (line, who) = (self.line(k)?, self.teams[k].leg.who);
        let mut good: Crew = 0;
        for p in each_of(who) {
            if step::broken(&self.places, &self.task(k, line, 1 << p, &g).cast).is_none() {
                good |= 1 << p;
            }
        }
        if row.action == Action::Mate && !helpless {
            good = self.poorest_mate(who, good);
        }
        let bad = who & !good;
        if good == 0 || bad == 0 || bad & members != bad {
            return None;
        }
        self.act(&self.task(k, line, good, &g));
        each_of(good).for_each(|p| self.breathe_here(p));
        self.close_demands(k, row);
        self.split_team(k, bad)
    }

    /// Some berths take a suit and others do not: who has least life support left takes those that do
    /// (rule 23). Gives who can mate then.
    fn poorest_mate(&mut self, who: Crew, mut good: Crew) -> Crew {
        let left = |s: &Self, p: usize| s.worth(p);
        loop {
            let stands = |p: &usize| matches!(self.places.person[*p].at(), Where::Volume(_));
            let order = |a: &usize, b: &usize| left(self, *a).total_cmp(&left(self, *b));
            let rich = each_of(good).filter(stands).max_by(order);
            let poor = each_of(who & !good).filter(stands).min_by(order);
            let (Some(rich), Some(poor)) = (rich, poor) else { return good };
            let has = self.places.person[poor].berth != BerthId::NONE;
            if !has || left(self, poor) >= left(self, rich) {
                return good;
            }
            let berth = self.places.person[rich].berth;
            self.places.person[rich].berth = self.places.person[poor].berth;
            self.places.person[poor].berth = berth;
            good = good & !(1 << rich) | 1 << poor;
        }
    }

    /// A casualty hangs in a suit at a berth and nobody is inside to open its hatches: each row acts for
    /// whoever can do it (rule 23), so the partner goes in by his own berth, and once inside opens the
    /// casualty's. Likewise who can mate in a way back goes in before the others try again.
    /// True if somebody could go on.
    pub(in crate::campaign) fn some_go_in(&mut self, k: usize, row: &Row, f: Failure) -> bool {
        let helpless = f == Failure::Broken(Broken::NobodyInside);
        let latch = f == Failure::Broken(Broken::StuckOpen) && row.action == Action::Mate;
        let by_a_way = self.teams[k].back.way != NONE;
        if !helpless && (!latch || !by_a_way) {
            return false;
        }
        let why = self.cause_of(f, row, self.teams[k].leg.who);
        let Some(other) = self.split_off(k, row, f) else { return false };
        let cause = self.hurt_cause(self.teams[other].members).or(Some(why));
        for team in [k, other] {
            let t = &mut self.teams[team];
            t.leg.t = t.leg.end;
            t.leg.tries = 0;
            if let Some(cause) = cause {
                t.troubled_by(cause);
            }
        }
        let t = &mut self.teams[other];
        t.back.planned_tried = true;
        t.back.again = false;
        if t.back.way != NONE {
            t.back.tried &= !(1 << t.back.way); // theirs to go on with
        }
        self.say_link(self.slot_of(k), |s| {
            let (in_first, rest) = (s.names(s.teams[k].members), s.names(s.teams[other].members));
            match helpless {
                true => {
                    format!("{in_first} goes in by an own berth to open the hatches for {rest}")
                }
                false => {
                    format!("{in_first} goes in by the berth that takes the suit, {rest} later")
                }
            }
        });
        self.strand(other);
        let t = &mut self.teams[k];
        t.leg.row += 1;
        t.phase = Phase::Begin;
        true
    }

    /// Somebody is inside now who can open the hatches for those who hang hurt at their berths: the list
    /// at which they were parted goes on for them, once.
    pub(in crate::campaign) fn opened_at_last(&mut self, k: usize) -> bool {
        let t = &self.teams[k];
        let (list, row) = (t.leg.list, t.leg.row);
        if t.members & !self.people.hurt != 0 || t.back.again || list == NONE {
            return false;
        }
        let lists = &self.arm.layout.lists;
        let (kind, rows) = (lists[list as usize].kind, lists[list as usize].rows.len());
        let port = lists[list as usize].port;
        let free = !self.ports.used_by_other(port, k);
        let hang = self.opened_from_inside(t.members);
        if !hang
            || !free
            || !kind.comes_in()
            || row >= rows
            || !self.gets_through_from(k, list, row)
        {
            return false;
        }
        self.teams[k].back.again = true;
        self.say_link(self.slot_of(k), |s| {
            let hurt = s.names(s.teams[k].members);
            format!("the hatches are opened from inside for {hurt}")
        });
        self.release_quietly(k);
        self.hold_port(k, port);
        self.teams[k].batch = self.teams[k].members;
        self.set_to_work(k);
        self.enter_list(k, list, row);
        self.resume(k);
        true
    }

    /// The able of a team are out of their suits, and a casualty waits in a suit at another berth of
    /// the port: the rest of the list can wait.
    pub(in crate::campaign) fn wanted_inside(&self, k: usize) -> bool {
        let (l, t) = (&self.arm.layout, &self.teams[k]);
        let port = l.lists[t.leg.list as usize].port;
        let hangs = |p: usize| match self.places.person[p].at() {
            Where::Berth(b) => l.berths[b].port == port,
            _ => false,
        };
        let waits = |o: &Team| {
            let hurt = o.members & !self.people.hurt == 0 && o.members != 0;
            o.phase == Phase::Stranded && hurt && each_of(o.members).all(hangs)
        };
        self.people.hurt != 0
            && t.members & self.people.hurt == 0
            && l.lists[t.leg.list as usize].kind.comes_in()
            && walk::all_in(l, &self.places, t.members)
            && self.teams.iter().any(waits)
    }

    /// Is somebody there to act for a team: able members, or, for those who hang hurt at berths of one
    /// port, somebody able who can get to the cabin behind them?
    pub(in crate::campaign) fn hands(&self, k: usize) -> bool {
        let members = self.teams[k].members;
        members & !self.people.hurt != 0 || self.opened_from_inside(members)
    }

    /// Everybody of these hangs at a berth whose hatches somebody inside can open.
    pub(in crate::campaign) fn opened_from_inside(&self, crew: Crew) -> bool {
        let l = &self.arm.layout;
        let opened = |p: usize| match self.places.person[p].at() {
            Where::Berth(b) => self.places.anybody_able(l, l.berths[b].cabin, self.people.hurt),
            _ => false,
        };
        crew != 0 && each_of(crew).all(opened)
    }

    /// Everybody of the team is hurt and lives on suit supply, and nobody able does the next row: the
    /// list ends here (rule 16).
    pub(in crate::campaign) fn helpless(&self, k: usize) -> bool {
        let t = &self.teams[k];
        let able = (t.batch | t.rescuers) & !self.people.hurt;
        if able != 0
            || self.opened_from_inside(t.batch)
            || !each_of(t.batch).any(|p| self.people.crew[p].clock.open)
        {
            return false;
        }
        let row = &self.arm.layout.lists[t.leg.list as usize].rows[t.leg.row];
        row.who.pick(&self.spread(k, row)) & !self.people.hurt == 0
    }

    pub(in crate::campaign) fn strand_helpless(&mut self, k: usize) {
        self.now = self.teams[k].leg.t;
        if let Some(cause) = self.hurt_cause(self.teams[k].members) {
            self.teams[k].blame(cause);
        }
        if self.teams[k].back.way == NONE {
            self.teams[k].back.planned_tried = true;
        }
        self.strand(k);
    }

    /// A way with too little room takes that many, the rest go on to the next (rule 23): a casualty
    /// with a partner first, else least life support first.
    pub(in crate::campaign) fn limit_to_room(&mut self, k: usize, id: u16) {
        let arm = self.arm;
        let needs = &arm.layout.lists[id as usize].needs;
        let Some(e) = needs.iter().find_map(|c| match (c.condition, c.not) {
            (Condition::RoomAt(e), false) => Some(e),
            _ => None,
        }) else {
            return;
        };
        let room = self.room_at(e).max(0) as u32;
        let members = self.teams[k].members;
        if members.count_ones() <= room || members & self.people.hurt != 0 {
            return;
        }
        let mut first: Crew = 0;
        while first.count_ones() < room {
            let rest = each_of(members & !first);
            let left = |p: &usize| self.worth(*p);
            let Some(p) = rest.min_by(|a, b| left(a).total_cmp(&left(b))) else {
                break;
            };
            first |= 1 << p;
        }
        if let Some(other) = self.split_team(k, members & !first) {
            self.teams[other].phase = Phase::Stranded;
            self.plan_team(other, self.now);
        }
    }

    /// Makes a team of its own of some members; they hold no port and keep no books of the slot.
    pub(in crate::campaign) fn split_team(&mut self, k: usize, part: Crew) -> Option<usize> {
        let other = (0..TEAMS).find(|i| self.teams[*i].phase == Phase::Idle)?;
        let [whole, t] = self.teams.get_disjoint_mut([k, other]).expect("the team and an idle one");
        t.copy(whole);
        t.members = part;
        t.batch = part;
        t.books = false;
        t.holds = false;
        self.teams[k].members &= !part;
        self.teams[k].batch &= !part;
        for p in each_of(part) {
            self.people.crew[p].busy = crate::campaign::owner::person::Busy::Team(other as u8);
            // Who hangs at a berth keeps it.
            self.places.person[p].berth = match self.places.person[p].at() {
                Where::Berth(b) => b,
                Where::Volume(_) | Where::Gone => BerthId::NONE,
            };
            let s = self.places.person[p].suit;
            if s.is_some() {
                self.suits.go_out(s, other);
            }
        }
        Some(other)
    }
}
