//! What can drive: failure modes, common causes, crew hazards, environment events, illness, ways back;
//! and what there is two of, which a campaign can be played without.

use super::spares::redundant;
use crate::campaign::{Certain, Forced, Without};
use crate::model::{Arm, Model, cause};
use crate::outcome::{ILLNESS_BIT, Record, STRANDED_BIT, group_bit, hazard_bit, mode_bit};
use crate::scenario::Trigger;

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A failure mode of parts, all parts of its kind together.
    Failure,
    /// A common-cause group: what its members share.
    CommonCause,
    /// A hazard of people outside.
    Crew,
    /// An environment event.
    Environment,
    /// Illness.
    Illness,
    /// A way back.
    WayBack,
    /// A thing there is another of (a second berth or hatch, a port, a way back): played without it.
    Redundancy,
}

impl Kind {
    /// As it stands in tables.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Failure => "failure mode",
            Kind::CommonCause => "common cause",
            Kind::Crew => "crew hazard",
            Kind::Environment => "environment",
            Kind::Illness => "illness",
            Kind::WayBack => "way back",
            Kind::Redundancy => "redundancy",
        }
    }

    /// Does it strike, and can so be in a chain?
    pub fn strikes(self) -> bool {
        !matches!(self, Kind::WayBack | Kind::Redundancy)
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
    /// What a campaign is played without.
    pub without: Option<Without>,
}

impl Item {
    /// Did it strike, or was it tried?
    pub fn came_up(&self, r: Record) -> bool {
        match self.kind {
            Kind::Failure | Kind::Crew => r.modes & mode_bit(self.index) != 0,
            Kind::CommonCause => r.groups & group_bit(self.index as usize) != 0,
            Kind::Environment => r.hazards & hazard_bit(self.index as usize) != 0,
            Kind::Illness => r.hazards & ILLNESS_BIT != 0,
            Kind::WayBack => r.ways & 1 << self.index != 0,
            Kind::Redundancy => false,
        }
    }

    /// Did it strike something that somebody used or asked? A group did if a mode of it did.
    pub fn acted(&self, arm: &Arm, r: Record) -> bool {
        match self.kind {
            Kind::Failure | Kind::Crew => r.met & mode_bit(self.index) != 0,
            Kind::CommonCause => {
                let met = |pm: &u16| r.met & mode_bit(arm.part_modes[*pm as usize].mode) != 0;
                self.came_up(r) && arm.groups[self.index as usize].members.iter().any(met)
            }
            _ => self.came_up(r),
        }
    }

    /// Can a campaign with this record differ when the item is perfect? A way back acts wherever one
    /// is looked for, also where it was not tried.
    pub fn may_matter(&self, r: Record) -> bool {
        match self.kind {
            Kind::WayBack => r.hazards & STRANDED_BIT != 0,
            Kind::Redundancy => match self.without {
                Some(Without::WayBack(_)) => r.hazards & STRANDED_BIT != 0,
                _ => true,
            },
            _ => self.came_up(r),
        }
    }

    /// Is there a demand that can be made certain in a campaign with this record? A way back is found
    /// not to work only where one is looked for.
    pub fn is_asked(&self, r: Record) -> bool {
        match self.certain {
            None => false,
            Some(Certain::WayFails(_)) => r.hazards & STRANDED_BIT != 0,
            Some(_) => true,
        }
    }

    /// With this item made perfect as well.
    pub fn removed(&self, mut forced: Forced) -> Forced {
        match self.kind {
            Kind::Failure | Kind::Crew => forced.modes |= mode_bit(self.index),
            Kind::CommonCause => forced.groups |= group_bit(self.index as usize),
            Kind::Environment => forced.hazards |= hazard_bit(self.index as usize),
            Kind::Illness => forced.hazards |= ILLNESS_BIT,
            Kind::WayBack => forced.ways |= 1 << self.index,
            Kind::Redundancy => forced.without = self.without,
        }
        forced
    }

    /// With this item let strike again, where nothing does.
    pub fn allowed(&self, mut forced: Forced) -> Forced {
        match self.kind {
            Kind::Failure | Kind::Crew => forced.modes &= !mode_bit(self.index),
            Kind::CommonCause => forced.groups &= !group_bit(self.index as usize),
            Kind::Environment => forced.hazards &= !hazard_bit(self.index as usize),
            Kind::Illness => forced.hazards &= !ILLNESS_BIT,
            Kind::WayBack | Kind::Redundancy => {}
        }
        forced
    }

    /// Adds it to what came up.
    pub fn add_to(&self, r: &mut Record) {
        match self.kind {
            Kind::Failure | Kind::Crew => r.modes |= mode_bit(self.index),
            Kind::CommonCause => r.groups |= group_bit(self.index as usize),
            Kind::Environment => r.hazards |= hazard_bit(self.index as usize),
            Kind::Illness => r.hazards |= ILLNESS_BIT,
            Kind::WayBack => r.ways |= 1 << self.index,
            Kind::Redundancy => {}
        }
    }

    /// Its name.
    pub fn name(&self, model: &Model, arm: usize) -> String {
        match self.kind {
            Kind::Failure | Kind::Crew => model.arms[arm].modes[self.index as usize].name.clone(),
            Kind::Environment => model.events[self.index as usize].name.clone(),
            Kind::Illness => "illness".into(),
            Kind::CommonCause => model.arms[arm].groups[self.index as usize].name.clone(),
            Kind::WayBack => {
                let l = &model.arms[arm].layout;
                l.lists[l.ways_back[self.index as usize] as usize].path.clone()
            }
            Kind::Redundancy => self
                .without
                .map_or(String::new(), |w| super::spares::name(&model.arms[arm].layout, w)),
        }
    }
}

/// Items of an architecture: modes in file order, common causes, events, illness, ways back in their
/// order, what is redundant.
pub fn items(model: &Model, arm: usize) -> Vec<Item> {
    let a = &model.arms[arm];
    let lost = |cause: u16| Some(a.blocks.lost + cause as usize);
    let mut out = Vec::new();
    for (i, m) in a.modes.iter().enumerate() {
        let index = i as u16;
        let outside = a.outside.contains(&index);
        if !outside && !a.part_modes.iter().any(|p| p.mode == index) {
            continue;
        }
        let kind = if m.crew { Kind::Crew } else { Kind::Failure };
        let by_calendar = !outside && (m.trigger == Trigger::Hour || m.outdoors);
        let certain = (!by_calendar).then_some(Certain::Mode(index));
        out.push(Item { kind, index, lost_at: lost(m.cause), certain, without: None });
    }
    for (i, g) in a.groups.iter().enumerate() {
        let hourly = |pm: &u16| {
            let m = &a.modes[a.part_modes[*pm as usize].mode as usize];
            m.trigger == Trigger::Hour
        };
        let certain = (!g.members.iter().any(hourly)).then_some(Certain::Group(i as u16));
        let kind = Kind::CommonCause;
        out.push(Item { kind, index: i as u16, lost_at: None, certain, without: None });
    }
    for (i, e) in model.events.iter().enumerate() {
        let kind = Kind::Environment;
        let lost_at = lost(e.cause);
        out.push(Item { kind, index: i as u16, lost_at, certain: None, without: None });
    }
    if model.crew.illness.is_some() {
        let lost_at = lost(cause::ILL);
        let kind = Kind::Illness;
        out.push(Item { kind, index: 0, lost_at, certain: None, without: None });
    }
    for index in 0..a.layout.ways_back.len() as u16 {
        let certain = Some(Certain::WayFails(index));
        out.push(Item { kind: Kind::WayBack, index, lost_at: None, certain, without: None });
    }
    for (i, without) in redundant(&a.layout).into_iter().enumerate() {
        let (kind, without) = (Kind::Redundancy, Some(without));
        out.push(Item { kind, index: i as u16, lost_at: None, certain: None, without });
    }
    out
}
