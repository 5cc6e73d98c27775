//! Leak checks of suits and pressure checks of seals: what they find, and false alarms.

use super::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::Purpose;
use crate::plan::{On, OpeningId, VolumeId, each_of};

impl World<'_> {
    /// Leak checks find what is hidden, can miss and can alarm falsely.
    pub(in crate::campaign) fn check_leaks(&mut self, t: &Task) -> Result<(), Failure> {
        let (k, play, who) = (t.k, t.line.play, t.who);
        let miss = play.misses.map_or(0.0, |p| p.of(&self.v));
        let alarm = play.false_alarm.map_or(0.0, |p| p.of(&self.v));
        for (rank, p) in each_of(who).enumerate() {
            let draw = play.check as usize + 2 * rank;
            let (u, w) = if miss > 0.0 || alarm > 0.0 {
                self.check_draws(k, t.line.i, draw, rank)
            } else {
                (1.0, 1.0)
            };
            if u >= miss {
                self.look_for_leaks(t, (rank, p))?;
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

    /// What a check of a person's part finds: a hidden fault, or a seal that leaks more than it may.
    fn look_for_leaks(&mut self, t: &Task, (rank, p): (usize, usize)) -> Result<(), Failure> {
        let l = &self.arm.layout;
        let opening = t.at.of(rank);
        match t.row.on {
            On::Suit => {
                let suit = self.places.person[p].suit.some();
                self.finds(suit.and_then(|s| self.faults.suit_bad(s)))
            }
            On::Opening(..) => {
                self.finds(self.faults.not_holding(opening))?;
                self.find_too_much(opening)
            }
            On::Volumes(of, n) => self.look_at_seals(&of[..usize::from(n)]),
            On::BerthVolume(first, n) => {
                self.look_at_seals(&[self.places.volume_for(l, first, n, p)])
            }
            _ => Ok(()),
        }
    }

    /// The seals around some volumes: a hidden fault of any comes before what leaks too much.
    fn look_at_seals(&mut self, volumes: &[VolumeId]) -> Result<(), Failure> {
        let l = &self.arm.layout;
        let all = || volumes.iter().flat_map(|v| &l.volumes[*v].openings);
        let hidden = all().find_map(|o| self.faults.not_holding(*o));
        self.finds(hidden)?;
        all().try_for_each(|o| self.find_too_much(*o))
    }

    /// A fault is found.
    #[inline]
    fn finds(&mut self, fault: Option<u16>) -> Result<(), Failure> {
        let Some(pm) = fault else { return Ok(()) };
        self.find(pm as usize);
        Err(Failure::NotHolding(pm))
    }

    /// A seal that leaks more than it may is found.
    #[inline]
    fn find_too_much(&mut self, o: OpeningId) -> Result<(), Failure> {
        if self.leaks_too_much(o) { Err(self.find_leaking(o)) } else { Ok(()) }
    }
}
