//! Lists that start from inside and are given up (rule 3).

use crate::campaign::trace::Level;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::plan::Entry;

impl World<'_> {
    /// Where the list that a team walks is left when its row has failed.
    pub(in crate::campaign) fn abort_entry(&self, k: usize) -> Option<Entry> {
        let t = &self.teams[k];
        self.arm.lists[t.leg.list as usize].abort.get(t.leg.row).copied().flatten()
    }

    /// A list that started from inside is given up: back in by the list, and from the row, from which
    /// the rest leads to rest.
    pub(in crate::campaign) fn abort(&mut self, k: usize) {
        self.teams[k].back.aborted = true;
        let Some(entry) = self.abort_entry(k) else {
            let (list, row) = (self.teams[k].leg.list as usize, self.teams[k].leg.row);
            let r = &self.arm.layout.lists[list].rows[row];
            return self.stranded_at_row(k, r, Failure::Ending);
        };
        self.now = self.teams[k].leg.end;
        self.say(Level::Event, self.slot_of(k), |s| s.abort_words(entry));
        self.enter_list(k, entry.list, entry.row as usize);
    }
}
