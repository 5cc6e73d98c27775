//! Who goes together (rule 23): splitting teams at a row or by room.

use super::play::Play;
use super::team::{Phase, TEAMS};
use super::walk::Failure;
use crate::layout::{Condition, Crew, NONE, On, Row, each_of};

impl Play<'_> {
    /// Without a casualty, those stranded at a row with several instances go together and the others
    /// go in (rule 23): the stranded become a team of their own.
    pub(super) fn split_off(&mut self, k: usize, row: &Row, f: Failure) -> Option<usize> {
        let Failure::Broken(_) = f else { return None };
        let members = self.teams[k].members;
        let several = matches!(row.on, On::Opening(_, n) | On::BerthVolume(_, n) if n > 1);
        if !several || members & self.hurt != 0 {
            return None;
        }
        let g = self.spread(k, row);
        let who = self.teams[k].who;
        let mut good: Crew = 0;
        for p in each_of(who) {
            if self.places.broken(&self.arm.layout, row, 1 << p, &g).is_none() {
                good |= 1 << p;
            }
        }
        let bad = who & !good;
        if good == 0 || bad == 0 || bad & members != bad {
            return None;
        }
        self.act(k, row, good, &g);
        each_of(good).for_each(|p| self.breathe_here(p));
        self.close_demands(k, row);
        self.split_team(k, bad)
    }

    /// Everybody of the team is hurt and lives on suit supply, and nobody able does the next row: the
    /// list ends here (rule 16).
    pub(super) fn helpless(&self, k: usize) -> bool {
        let t = &self.teams[k];
        let able = (t.batch | t.rescuers) & !self.hurt;
        if able != 0 || !each_of(t.batch).any(|p| self.crew[p].clock.open) {
            return false;
        }
        let row = &self.arm.layout.lists[t.list as usize].rows[t.row];
        row.who.pick(&self.spread(k, row)) & !self.hurt == 0
    }

    pub(super) fn strand_helpless(&mut self, k: usize) {
        self.now = self.teams[k].t;
        if let Some(cause) = self.hurt_cause(self.teams[k].members) {
            self.teams[k].blame(cause);
        }
        if self.teams[k].way == NONE {
            self.teams[k].planned_tried = true;
        }
        self.strand(k);
    }

    /// A way with too little room takes that many, the rest go on to the next (rule 23): a casualty
    /// with a partner first, else least life support first.
    pub(super) fn limit_to_room(&mut self, k: usize, id: u16) {
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
        if members.count_ones() <= room || members & self.hurt != 0 {
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
    pub(super) fn split_team(&mut self, k: usize, part: Crew) -> Option<usize> {
        let other = (0..TEAMS).find(|i| self.teams[*i].phase == Phase::Idle)?;
        let copy = self.teams[k].clone();
        let ticket = self.teams[other].ticket + 1;
        self.teams[other] = copy;
        let t = &mut self.teams[other];
        t.ticket = ticket;
        t.members = part;
        t.batch = part;
        t.books = false;
        t.holds = false;
        self.teams[k].members &= !part;
        self.teams[k].batch &= !part;
        for p in each_of(part) {
            self.crew[p].busy = super::person::Busy::Team(other as u8);
            self.places.person[p].berth = NONE;
            let s = self.places.person[p].suit;
            if s != NONE {
                self.suit_out[s as usize] = other as u8;
            }
        }
        Some(other)
    }
}
