//! Metabolic rates and speeds: by what a person does, drawn per person and sortie, by address.

use crate::campaign::world::World;
use crate::model::{Purpose, Vary};
use crate::plan::{Crew, each_of};
use crate::scenario::{By, Severity};

/// What a suited person does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::campaign) enum Doing {
    /// The task of the sortie; egress and ingress count as it.
    Work,
    /// Going on foot.
    Walk,
    /// Riding on a rover, outside.
    Ride,
    /// Waiting, or incapacitated.
    Rest,
    /// Bringing a casualty on foot.
    Carry,
}

impl World<'_> {
    /// Metabolic rate of a person of team `k`, W: one value for the sortie from the law of the task.
    /// The address is the person, the errand and its number, so it is the same in every architecture.
    pub(in crate::campaign) fn metabolic(&self, k: usize, p: usize, doing: Doing) -> f64 {
        let crew = &self.m.crew;
        let slot = self.m.slots.get(self.teams[k].slot as usize);
        let law = match doing {
            Doing::Work => match slot {
                Some(s) => &self.m.activities[s.activity as usize].work,
                None => &crew.walk,
            },
            Doing::Walk => &crew.walk,
            Doing::Ride => &crew.ride,
            Doing::Rest => &crew.rest,
            Doing::Carry => &crew.with_casualty,
        };
        let path = self.teams[k].leg.path ^ crew.hashes[p].rotate_left(13);
        let occasion = self.teams[k].leg.occasion;
        self.draws.value(law, &self.v, (path, occasion), Purpose::Rate { doing: doing as u8 })
    }

    /// Power of everybody of a team who is on the clock, by what each does.
    pub(in crate::campaign) fn set_doing(&mut self, k: usize, members: Crew, doing: Doing) {
        let now = self.now;
        for p in each_of(members) {
            if self.people.crew[p].clock.open {
                let power = self.metabolic(k, p, doing);
                self.people.crew[p].clock.set_power(now, power);
            }
        }
    }

    /// What those do who are on the way without a casualty.
    pub(in crate::campaign) fn going(by: By) -> Doing {
        match by {
            By::Rover | By::RoverOutside => Doing::Ride,
            _ => Doing::Walk,
        }
    }

    /// Speed of a group of team `k` on its way, m/s: as drawn for the errand.
    pub(in crate::campaign) fn pace(&self, k: usize, crew: Crew, by: By) -> f64 {
        self.speed_law(Some(k), crew, by, |index, law| {
            let t = &self.teams[k];
            law.value(&self.v, || {
                let path = t.leg.path.rotate_left(29);
                self.draw_at(path, t.leg.occasion, Purpose::Speed { kind: index })
            })
        })
    }

    /// Mean speed of a group of a team, m/s: what plans count on.
    pub(in crate::campaign) fn mean_pace(&self, k: usize, crew: Crew, by: By) -> f64 {
        self.speed_law(Some(k), crew, by, |_, law| law.mean())
    }

    /// Mean speed of a group on foot, m/s.
    pub(in crate::campaign) fn mean_walk(&self, crew: Crew) -> f64 {
        self.speed_law(None, crew, By::Foot, |_, law| law.mean())
    }

    /// Who rides goes at the speed of the rover that the team can use; without one they walk.
    fn speed_law(
        &self,
        k: Option<usize>,
        crew: Crew,
        by: By,
        value: impl Fn(u8, &Vary) -> f64,
    ) -> f64 {
        if matches!(by, By::Rover | By::RoverOutside) {
            let rover = k.and_then(|k| self.rover_at_hand(k));
            if let Some(speed) = rover.and_then(|e| self.numbers.elements[usize::from(e)].speed) {
                return speed;
            }
        }
        let people = &self.m.crew;
        let hurt = crew & self.people.hurt;
        if hurt == 0 {
            value(0, &people.walk_speed)
        } else if self.must_be_carried(hurt) {
            value(2, &people.stretcher_speed)
        } else {
            value(1, &people.helped_speed)
        }
    }

    /// Somebody among them cannot walk, not even with help.
    pub(in crate::campaign) fn must_be_carried(&self, hurt: Crew) -> bool {
        each_of(hurt).any(|p| self.people.crew[p].severity != Severity::Helped)
    }

    /// Time to get those newly hurt who must be carried onto a stretcher or rover, one after the
    /// other, s.
    pub(in crate::campaign) fn lift_time(&self, k: usize, newly: Crew) -> f64 {
        let t = &self.teams[k];
        each_of(newly).filter(|p| self.must_be_carried(1 << p)).fold(0.0, |sum, p| {
            sum + self.m.crew.lift.value(&self.v, || {
                let path = t.leg.path ^ self.m.crew.hashes[p].rotate_left(13);
                self.draw_at(path, t.leg.occasion, Purpose::Lift)
            })
        })
    }
}
