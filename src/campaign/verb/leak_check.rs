//! Leak checks of suits and pressure checks of seals: what they find, and false alarms.

use super::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::Purpose;
use crate::plan::{On, OpeningId, Row, each_of};

impl World<'_> {
    /// Leak checks find what is hidden, can miss and can alarm falsely.
    pub(in crate::campaign) fn check_leaks(&mut self, t: &Task) -> Result<(), Failure> {
        let (k, row, play, who) = (t.k, t.row, t.line.play, t.who);
        let miss = play.misses.map_or(0.0, |p| p.of(&self.v));
        let alarm = play.false_alarm.map_or(0.0, |p| p.of(&self.v));
        for (rank, p) in each_of(who).enumerate() {
            let draw = play.check as usize + 2 * rank;
            let (u, w) = if miss > 0.0 || alarm > 0.0 {
                self.check_draws(k, t.line.i, draw, rank)
            } else {
                (1.0, 1.0)
            };
            if let Some(pm) = self.hidden_leak(row, p)
                && u >= miss
            {
                self.find(pm as usize);
                return Err(Failure::NotHolding(pm));
            }
            if let Some(o) = self.leaking_seal(row, p)
                && u >= miss
            {
                return Err(self.find_leaking(o));
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
        if t.leg.tries == 0 && draw + 1 < t.leg.draws.len() {
            return (t.leg.draws[draw], t.leg.draws[draw + 1]);
        }
        let (path, occasion) = self.row_address(k);
        let (row, tries, rank) = (i as u16, t.leg.tries, rank as u8);
        let misses = self.draw_at(path, occasion, Purpose::CheckMisses { row, tries, rank });
        (misses, self.draw_at(path, occasion, Purpose::CheckAlarms { row, tries, rank }))
    }

    /// The first seal in what a check looks at that leaks more than it may.
    fn leaking_seal(&self, row: &Row, p: usize) -> Option<OpeningId> {
        let l = &self.arm.layout;
        match row.on {
            On::Opening(o, n) => {
                let id = self.places.opening_for(l, o, n, p);
                self.leaks_too_much(id).then_some(id)
            }
            On::Volumes(..) | On::BerthVolume(..) => {
                let (v, n) = self.places.row_volumes(l, row, 1 << p);
                let mut all = v[..n].iter().flat_map(|v| &l.volumes[*v].openings).copied();
                all.find(|o| self.leaks_too_much(*o))
            }
            _ => None,
        }
    }

    fn hidden_leak(&self, row: &Row, p: usize) -> Option<u16> {
        let l = &self.arm.layout;
        match row.on {
            On::Suit => self.places.person[p].suit.some().and_then(|s| self.faults.suit_bad(s)),
            On::Opening(o, n) => {
                let id = self.places.opening_for(l, o, n, p);
                self.faults.not_holding(id)
            }
            On::Volumes(..) | On::BerthVolume(..) => {
                let (v, n) = self.places.row_volumes(l, row, 1 << p);
                v[..n]
                    .iter()
                    .flat_map(|v| &l.volumes[*v].openings)
                    .find_map(|o| self.faults.not_holding(*o))
            }
            _ => None,
        }
    }
}
