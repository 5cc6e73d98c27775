//! What can come due, and who answers.

use crate::campaign::world::World;
use crate::plan::VolumeId;

/// Something on the calendar.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) enum Event {
    /// Slot by index.
    Slot(u32),
    /// Team and ticket.
    Team(u8, u32),
    /// Somebody in a haven elsewhere looks whether to go home.
    GoHome(u8),
    /// A repair job ends: slot in the table and ticket.
    Repair(u16, u32),
    /// A part fails by calendar time: part mode and renewal.
    PartFails(u16, u32),
    /// A common-cause group crosses by calendar time.
    GroupFails(u16),
    /// An environment event is announced.
    Announce(u16),
    /// One that asks for a shelter begins.
    Onset(u16),
    /// It is over.
    Over(u16),
    /// A person falls ill.
    Ill(u8),
    /// Somebody's maintenance of suits is over.
    Served(u8),
    /// Crew may be back on duty: look at repairs and ports.
    Look,
    /// A resupply flight: store and flight.
    Resupply(u16, u16),
    /// A store may have run dry.
    Dry(u16),
    /// Inspection.
    Inspect,
    /// Parts that a mode strikes are replaced by plan.
    Replace(u16),
    /// Floor cleaning of an element.
    Clean(u16),
    /// Floor cleaning of a volume of an access system.
    CleanVolume(VolumeId),
    /// Daily look at filters that load.
    Filters,
    /// A traverse departs.
    Depart(u16),
    /// The rover has come back (or has to wait).
    ComeHome(u16),
    /// Another day of a traverse: the rover drives on.
    Roam(u16),
    /// The planned end.
    End,
}

/// Priority of events at the same time, low first: what ends comes before what begins.
mod rank {
    pub(in crate::campaign) const END: u8 = 0;
    pub(in crate::campaign) const WORLD: u8 = 1;
    pub(in crate::campaign) const TEAM: u8 = 2;
    pub(in crate::campaign) const SLOT: u8 = 3;
}

impl World<'_> {
    /// Something came due: whose it is answers.
    pub(in crate::campaign) fn happen(&mut self, event: Event) {
        match event {
            Event::Slot(i) => {
                self.course.last_slot = Some(i);
                self.slot(i);
            }
            Event::Team(k, ticket) => self.team_event(k as usize, ticket),
            Event::GoHome(p) => self.go_home(p as usize),
            Event::Repair(j, ticket) => self.repair_ends(j as usize, ticket),
            Event::PartFails(pm, renewal) => self.part_fails(pm as usize, renewal),
            Event::GroupFails(g) => self.group_fails(g as usize),
            Event::Announce(e) => self.announce(e as usize),
            Event::Onset(e) => self.onset(e as usize),
            Event::Over(e) => self.weather_over(e as usize),
            Event::Ill(p) => self.falls_ill(p as usize),
            Event::Served(p) => self.served(p as usize),
            Event::Look => self.look_around(),
            Event::Resupply(s, i) => self.resupply(s as usize, i as usize),
            Event::Dry(s) => self.look_at_store(s as usize),
            Event::Inspect => self.inspect(),
            Event::Replace(mode) => self.replacement_due(mode as usize),
            Event::Clean(e) => self.clean_floor(e as usize),
            Event::CleanVolume(v) => self.clean_volume(v),
            Event::Filters => self.look_at_filters(),
            Event::Depart(i) => self.depart(i as usize),
            Event::ComeHome(i) => self.come_home(i as usize),
            Event::Roam(i) => self.roam(i as usize),
            Event::End => self.planned_end(),
        }
    }

    /// Puts an event on the calendar with the priority of its kind.
    pub(in crate::campaign) fn plan(&mut self, time: f64, event: Event) {
        let priority = match event {
            Event::End => rank::END,
            Event::Team(..) => rank::TEAM,
            Event::Slot(_) => rank::SLOT,
            _ => rank::WORLD,
        };
        self.calendar.schedule(time, priority, event);
    }
}
