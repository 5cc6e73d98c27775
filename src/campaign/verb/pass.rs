//! `pass`: air crosses with each person, dust of the outer floor is tracked in, and who moves displaces
//! gas on both sides.

use super::Task;
use crate::campaign::world::World;
use crate::model::DustPath;
use crate::plan::{Direction, On, each_of, ends, step};

impl World<'_> {
    /// Through an opening.
    pub(in crate::campaign) fn pass(&mut self, t: &Task) {
        self.dust_of_pass(t);
        step::pass::act(&mut self.places, &t.cast);
        self.gas_of_moves(t);
        each_of(t.who).for_each(|p| self.breathe_here(p));
        self.breathe_on(t.who, self.now);
    }

    fn dust_of_pass(&mut self, t: &Task) {
        if !matches!(t.row.on, On::Opening(..)) {
            return;
        }
        let inward = t.row.direction == Direction::Inward;
        for (rank, _) in each_of(t.who).enumerate() {
            let o = t.at.of(rank);
            self.cross(o);
            let Some((near, far)) = ends(t.l, o, t.row.direction) else { continue };
            let share = self.numbers.openings[o].floor_share;
            if !inward || share <= 0.0 {
                continue;
            }
            let (Some(x), Some(y)) = (self.room(near), self.room(far)) else {
                continue;
            };
            let tracked = self.dust.rooms.track_in(x, y, self.now, share);
            self.book_arrival(far, tracked.iter().sum(), DustPath::Tracked);
        }
    }
}
