//! What can drive: failure modes, crew hazards, environment events, illness, ways back.

use crate::campaign::{Certain, Forced};
use crate::model::{Model, cause};
use crate::outcome::{ILLNESS_BIT, Record, STRANDED_BIT, hazard_bit, mode_bit};
use crate::scenario::Trigger;

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A failure mode of parts, all parts of its kind together.
    Failure,
    /// A hazard of people outside.
    Crew,
    /// An environment event.
    Environment,
    /// Illness.
    Illness,
    /// A way back.
    WayBack,
}

impl Kind {
    /// As it stands in tables.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Failure => "failure mode",
            Kind::Crew => "crew hazard",
            Kind::Environment => "environment",
            Kind::Illness => "illness",
            Kind::WayBack => "way back",
        }
    }
}

/// One item of an architecture.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// What it is.
    pub kind: Kind,
    /// Index of the mode, event or way.
    pub index: u16,
    /// Row of the breakdown with the hours lost by it; `None`: hours are not booked by it.
    pub lost_at: Option<usize>,
    /// Its next demand; `None`: it has none (it acts by calendar time).
    pub certain: Option<Certain>,
}

impl Item {
    /// Did it strike, or was it tried?
    pub fn came_up(&self, r: Record) -> bool {
        match self.kind {
            Kind::Failure | Kind::Crew => r.modes & mode_bit(self.index) != 0,
            Kind::Environment => r.hazards & hazard_bit(self.index as usize) != 0,
            Kind::Illness => r.hazards & ILLNESS_BIT != 0,
            Kind::WayBack => r.ways & 1 << self.index != 0,
        }
    }

    /// Can a campaign with this record differ when the item is perfect? A way back acts wherever one
    /// is looked for, also where it was not tried.
    pub fn may_matter(&self, r: Record) -> bool {
        match self.kind {
            Kind::WayBack => r.hazards & STRANDED_BIT != 0,
            _ => self.came_up(r),
        }
    }

    /// With this item made perfect as well.
    pub fn removed(&self, mut forced: Forced) -> Forced {
        match self.kind {
            Kind::Failure | Kind::Crew => forced.modes |= mode_bit(self.index),
            Kind::Environment => forced.hazards |= hazard_bit(self.index as usize),
            Kind::Illness => forced.hazards |= ILLNESS_BIT,
            Kind::WayBack => forced.ways |= 1 << self.index,
        }
        forced
    }

    /// Its name.
    pub fn name(&self, model: &Model, arm: usize) -> String {
        match self.kind {
            Kind::Failure | Kind::Crew => model.modes[self.index as usize].name.clone(),
            Kind::Environment => model.events[self.index as usize].name.clone(),
            Kind::Illness => "illness".into(),
            Kind::WayBack => {
                let l = &model.arms[arm].layout;
                l.lists[l.ways_back[self.index as usize] as usize].path.clone()
            }
        }
    }
}

/// Items of an architecture: modes in file order, events, illness, ways back in their order.
pub fn items(model: &Model, arm: usize) -> Vec<Item> {
    let a = &model.arms[arm];
    let lost = |cause: u16| Some(a.blocks.lost + cause as usize);
    let mut out = Vec::new();
    for (i, m) in model.modes.iter().enumerate() {
        let index = i as u16;
        let outside = a.outside.contains(&index);
        if !outside && !a.part_modes.iter().any(|p| p.mode == index) {
            continue;
        }
        let kind = if m.crew { Kind::Crew } else { Kind::Failure };
        let by_calendar = !outside && (m.trigger == Trigger::Hour || m.outdoors);
        let certain = (!by_calendar).then_some(Certain::Mode(index));
        out.push(Item { kind, index, lost_at: lost(m.cause), certain });
    }
    for (i, e) in model.events.iter().enumerate() {
        let kind = Kind::Environment;
        out.push(Item { kind, index: i as u16, lost_at: lost(e.cause), certain: None });
    }
    if model.crew.illness.is_some() {
        let lost_at = lost(cause::ILL);
        out.push(Item { kind: Kind::Illness, index: 0, lost_at, certain: None });
    }
    for index in 0..a.layout.ways_back.len() as u16 {
        let certain = Some(Certain::WayFails(index));
        out.push(Item { kind: Kind::WayBack, index, lost_at: None, certain });
    }
    out
}
