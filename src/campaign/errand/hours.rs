//! Hours in the books: lost, limited, overhead, upkeep.

use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::measure::Fact;

impl World<'_> {
    /// A slot does not take place.
    pub(in crate::campaign) fn cancel(&mut self, i: u32, cause: u16) {
        let slot = self.m.slots[i as usize];
        let activity = &self.m.activities[slot.activity as usize];
        let hours = activity.planned / 3600.0 * f64::from(activity.team);
        self.books.out.facts.add(Fact::SortiesCancelled, 1.0);
        self.lose_hours(cause, hours);
        self.say(Level::Sortie, Some(i), |s| format!("cancelled: {}", s.m.causes[cause as usize]));
    }

    /// Adds crew time of overhead, s.
    pub(in crate::campaign) fn overhead(&mut self, seconds: f64) {
        self.books.out.facts.add(Fact::Overhead, seconds / 3600.0);
        self.books.out.facts.add(Fact::OverheadMinutes, seconds / 60.0);
    }

    /// Adds crew time to upkeep.
    pub(in crate::campaign) fn upkeep(&mut self, cause: crate::model::UpkeepCause, seconds: f64) {
        self.books.out.facts.add(Fact::Upkeep, seconds / 3600.0);
        self.books.out.breakdown[self.arm.blocks.upkeep + cause as usize] += seconds / 3600.0;
    }

    /// Hours lost to an event, a failure or a slot that did not take place.
    pub(in crate::campaign) fn lose_hours(&mut self, cause: u16, hours: f64) {
        self.books.out.facts.add(Fact::EvaFailed, hours);
        self.books.out.breakdown[self.arm.blocks.lost + cause as usize] += hours;
    }

    /// Hours that the plan asks beyond what the stay could be.
    pub(in crate::campaign) fn limit_hours(&mut self, cause: u16, hours: f64) {
        self.books.out.facts.add(Fact::EvaLimited, hours);
        self.books.out.breakdown[self.arm.blocks.lost + cause as usize] += hours;
    }
}
