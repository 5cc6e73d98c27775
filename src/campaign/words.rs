//! Words for stories: nothing here changes the campaign.

use crate::campaign::trace::{RowState, Said};
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::plan::{BerthId, Crew, Entry, OUTSIDE, Row, VolumeId, Where, each_of};

impl World<'_> {
    /// One row with the state it leaves.
    pub(in crate::campaign) fn row_words(
        &self,
        k: usize,
        row: &Row,
        who: Crew,
        failed: Option<Failure>,
    ) -> Said {
        let t = &self.teams[k];
        let state = RowState {
            list: self.arm.layout.lists[t.leg.list as usize].path.clone(),
            label: row.written.label.clone(),
            minutes: (t.leg.end - t.leg.t) / 60.0,
            failed: failed.is_some(),
            places: self.places_of(t.members),
            suits: self.suits_of(t.members),
            pressures: self.pressures_of(t.port),
        };
        let text = format!("{}: {}, {:.1} min", state.list, state.label, state.minutes);
        let who = each_of(who).map(|p| self.m.crew.names[p].clone()).collect();
        Said { text, who, row: Some(state) }
    }

    fn places_of(&self, crew: Crew) -> Vec<(String, String)> {
        let place = |p: usize| match self.places.person[p].at() {
            Where::Volume(OUTSIDE) => "outside".to_string(),
            Where::Volume(v) => self.arm.layout.volumes[v].path.clone(),
            Where::Berth(b) => format!("berth {}", self.number_at_port(b)),
            Where::Gone => "away".to_string(),
        };
        each_of(crew).map(|p| (self.m.crew.names[p].clone(), place(p))).collect()
    }

    /// Number of a berth at its port, from 1.
    fn number_at_port(&self, b: BerthId) -> usize {
        let berths = &self.arm.layout.berths;
        let port = berths[b].port;
        1 + berths.iter().take(b.at()).filter(|x| x.port == port).count()
    }

    fn suits_of(&self, crew: Crew) -> Vec<(String, String)> {
        let worn = |p: usize| {
            let suit = self.arm.layout.suits.get(self.places.person[p].suit)?;
            Some((self.m.crew.names[p].clone(), suit.path.clone()))
        };
        each_of(crew).filter_map(worn).collect()
    }

    fn pressures_of(&self, port: u16) -> Vec<(String, f64)> {
        let l = &self.arm.layout;
        let one = |v: &VolumeId| {
            let name = l.volumes[*v].path.rsplit('/').next().unwrap_or_default();
            (name.to_string(), self.places.pressure(*v) / 1e3)
        };
        l.ports[port as usize].volumes.iter().map(one).collect()
    }

    /// Why a row failed.
    pub(in crate::campaign) fn failure_words(&self, k: usize, row: &Row, f: Failure) -> String {
        let path = &self.arm.layout.lists[self.teams[k].leg.list as usize].path;
        let why = match f {
            Failure::Broken(b) => b.words().to_string(),
            Failure::FalseAlarm => "false alarm of the leak check".to_string(),
            Failure::Store => "the store does not hold the gas".to_string(),
            Failure::NotHolding(pm) | Failure::Lost(pm) | Failure::PumpDied(pm) => {
                let pm = self.arm.part_modes[pm as usize];
                format!("{} on {}", self.arm.modes[pm.mode as usize].name, self.part_path(pm.part))
            }
            Failure::Leaking(o) => {
                format!("{} leaks too much", self.arm.layout.openings[o].path)
            }
            Failure::Casualty => "the casualty could not be brought through".to_string(),
            Failure::Recalled(c) => format!("called back, {}", self.m.causes[c as usize]),
            Failure::Ending => "the campaign is ending".to_string(),
        };
        format!("{path}: `{}` fails: {why}", row.written.label)
    }

    /// A list that started from inside is given up.
    pub(in crate::campaign) fn abort_words(&self, entry: Entry) -> String {
        let list = &self.arm.layout.lists[entry.list as usize];
        match list.rows.get(entry.row as usize) {
            Some(row) => format!("given up: back in by {} from `{}`", list.path, row.written.label),
            None => "given up: nothing has to be undone".into(),
        }
    }

    /// A person is safe by a way back, or late.
    pub(in crate::campaign) fn safe_words(&self, p: usize, outcome: usize, minutes: f64) -> String {
        let name = &self.m.crew.names[p];
        let how = &self.arm.outcomes[outcome];
        if minutes < 0.0 {
            format!("{name} is in {:.0} min after life support ended ({how})", -minutes)
        } else {
            format!("{name} is safe by {how}, {minutes:.0} min of life support left")
        }
    }

    /// A slot in a line.
    pub(in crate::campaign) fn slot_words(
        &self,
        k: usize,
        i: u32,
        went: bool,
        outside: f64,
    ) -> String {
        let slot = &self.m.slots[i as usize];
        let name = &self.m.activities[slot.activity as usize].name;
        let crew = self.names(slot.roster);
        let t = &self.teams[k];
        let named = |holds: bool, what: &str, c: u16| match holds {
            true => format!(", {what}: {}", self.m.causes[c as usize]),
            false => String::new(),
        };
        let why = named(t.out.limited, "stay limited", t.out.limit)
            + &named(t.out.cut && t.back.has_cause, "cut short", t.back.cause);
        if went {
            let suits = self.suits_of_slot(i);
            let hours = outside / 3600.0;
            format!("{name} {}: {crew}{suits}, {hours:.2} h outside{why}", slot.number)
        } else {
            format!("{name} {}: {crew}, did not get out{why}", slot.number)
        }
    }
}
