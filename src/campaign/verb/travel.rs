//! `travel` and `wait`: how long the way takes, the rover that is asked for it, who has arrived.

use super::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::plan::{NONE, On, WhoSel, step};
use crate::scenario::{By, Who};

impl World<'_> {
    /// How long the way takes, s: with a casualty the lift before it.
    pub(in crate::campaign) fn travel_time(&self, task: &Task) -> f64 {
        let (k, row, who) = (task.k, task.row, task.who);
        let On::Element(e) = row.on else { return 0.0 };
        if row.by == By::Ascent {
            return 0.0;
        }
        let t = &self.teams[k];
        let metres = self.metres_to(k, e) + t.trip.lies;
        // Rescuers walk out alone; everybody else goes at the pace of the slowest.
        let alone = row.who == WhoSel::Word(Who::Rescuers);
        let crew = if alone { who } else { who | t.members };
        let newly = t.members & self.people.hurt & !t.trip.lifted;
        let lift = if alone || t.trip.lies <= 0.0 { 0.0 } else { self.lift_time(k, newly) };
        lift + metres / self.pace(k, crew, row.by)
    }

    /// Distance from where a team is to an element, m: both are measured from the first habitat.
    pub(in crate::campaign) fn metres_to(&self, k: usize, e: u16) -> f64 {
        let t = &self.teams[k];
        let port = if t.home_port == NONE { t.port } else { t.home_port };
        let host = self.arm.layout.ports.get(port as usize).map_or(0, |p| p.element);
        let here = self.rovers.of(host).distance;
        (self.rovers.of(e).distance - here).abs()
    }

    /// How long a team waits, s: not at all where what it waits for has come.
    pub(in crate::campaign) fn wait_time(&self, t: &Task, takes: f64) -> f64 {
        match t.row.until {
            Some(c) if self.holds(c, t.k) => 0.0,
            _ => takes,
        }
    }

    /// Asks the rover that a way is ridden on.
    pub(in crate::campaign) fn ask_travel(&mut self, t: &Task) -> Result<(), Failure> {
        match t.row.on {
            On::Element(e) if matches!(t.row.by, By::Rover | By::RoverOutside) => {
                let o = self.occasion(t.k);
                self.ask_rover(t.k, e, o)
            }
            _ => Ok(()),
        }
    }

    /// They have arrived.
    pub(in crate::campaign) fn travel(&mut self, t: &Task) {
        step::act(&mut self.places, &t.cast);
        self.travelled(t.k, t.row, t.who);
    }
}
