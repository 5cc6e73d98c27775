//! Suits that are not where they belong (rule 15): carried home from a joined element, fetched from
//! outside by the next sortie of their port, named until then.
//!
//! Who crosses carries what was left; else somebody free inside does before the next slot. It costs
//! upkeep and keeps nobody from anything else (assumed).

use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::UpkeepCause;
use crate::plan::{BerthId, Kept, NONE, OUTSIDE, SuitId, VolumeId, each_of};
use crate::scenario::Action;

/// Crew time to carry a suit to the element it belongs to, s (assumed).
const CARRY: f64 = 600.0;
/// Time at the door to see to a suit that was left outside, s (assumed).
pub(in crate::campaign) const FETCH: f64 = 900.0;

impl World<'_> {
    /// The element that a suit belongs to.
    fn belongs_to(&self, s: SuitId) -> u16 {
        let l = &self.arm.layout;
        match l.suits[s].home {
            Kept::Volume(v) => l.volumes[v].element,
            Kept::Berth(b) => l.ports[l.berths[b].port as usize].element,
            Kept::Worn(_) => NONE,
        }
    }

    /// Where an empty suit lies that is not where it belongs: in another element, or outside.
    #[inline(always)]
    fn astray_at(&self, s: SuitId) -> Option<VolumeId> {
        let Kept::Volume(v) = self.places.suit[s].kept() else { return None };
        let home = self.arm.layout.suits[s].home == Kept::Volume(v);
        (!home && !self.may_lie_in(s, v)).then_some(v)
    }

    /// It belongs to the element of a volume, or is put down there.
    #[cold]
    fn may_lie_in(&self, s: SuitId, v: VolumeId) -> bool {
        let own = v != OUTSIDE && self.arm.layout.volumes[v].element == self.belongs_to(s);
        own || self.put_down(s) == v
    }

    /// Where a suit is put in its own element: its place, or where one that belongs at a berth is
    /// taken out to it; the cabin if one does not get there.
    fn put_down(&self, s: SuitId) -> VolumeId {
        let l = &self.arm.layout;
        let cabin = l.elements[self.belongs_to(s) as usize].cabin;
        let there = match l.suits[s].home {
            Kept::Volume(v) => v,
            Kept::Berth(b) => l.ports[l.berths[b].port as usize].out_from,
            Kept::Worn(_) => VolumeId::NONE,
        };
        let gets_there = there.is_some() && self.shirt_sleeve(cabin, there);
        if gets_there { there } else { cabin }
    }

    /// Suits left in a joined element are carried home: by those who cross now, or by somebody free.
    pub(in crate::campaign) fn carry_suits(&mut self, crossing: bool) {
        for s in self.arm.layout.suits.ids() {
            let Some(v) = self.astray_at(s).filter(|v| *v != OUTSIDE) else { continue };
            let l = &self.arm.layout;
            let (home, e) = (self.belongs_to(s), l.volumes[v].element);
            let cabin = l.elements[home as usize].cabin;
            let near = self.shirt_sleeve(cabin, v)
                || self.docked(e, home) && self.docked(home, e) && self.places.is_habitable(l, v);
            let inside = self.inside_of_element(home) | self.inside_of_element(e);
            let free = each_of(inside).any(|p| self.people.crew[p].busy == Busy::Free);
            if !near || !free && !crossing {
                continue;
            }
            let to = self.put_down(s);
            self.places.keep(s, Kept::Volume(to));
            self.places.press_suit(s, self.places.pressure(to));
            self.suits.back(s);
            self.upkeep(UpkeepCause::SuitCarried, CARRY);
            self.say(Level::Event, None, |x| {
                let l = &x.arm.layout;
                format!("{} is carried to {}", l.suits[s].path, l.volumes[to].path)
            });
        }
    }

    /// Who leaves a chamber that they were kept in takes along the suits that belong at its berths.
    pub(in crate::campaign) fn bring_suits_of(&mut self, v: VolumeId, cabin: VolumeId) {
        for s in self.arm.layout.suits.ids() {
            let lies = self.places.suit[s].kept() == Kept::Volume(v);
            if lies && self.hangs(s) && self.put_down(s) != v {
                self.places.keep(s, Kept::Volume(cabin));
                self.places.press_suit(s, self.places.pressure(cabin));
            }
        }
    }

    /// Tells where a suit that a team wore is left, if it does not belong there.
    pub(in crate::campaign) fn tell_left(&mut self, s: SuitId) {
        let Some(v) = self.astray_at(s) else { return };
        self.say(Level::Event, None, |x| {
            let l = &x.arm.layout;
            format!("{} is left in {}", l.suits[s].path, l.volumes[v].path)
        });
    }

    /// A suit of the home port of a team lies outside and can be seen to: one that belongs at a berth
    /// needs a sound and empty one, and must leave one for everybody who is out.
    fn may_fetch(&self, k: usize, s: SuitId) -> bool {
        let t = &self.teams[k];
        self.could_fetch(t.home_port, t.members.count_ones() as usize, s)
    }

    /// The same for so many who are out by a port.
    pub(in crate::campaign) fn could_fetch(&self, port: u16, n: usize, s: SuitId) -> bool {
        if self.places.suit[s].kept() != Kept::Volume(OUTSIDE) {
            return false;
        }
        let l = &self.arm.layout;
        let here = self.is_home_of(port, s) && self.astray_at(s) == Some(OUTSIDE);
        let free = |b: &&BerthId| self.places.berth_free(l, **b);
        let berths = &l.ports[port as usize].berths;
        here && (!self.hangs(s) || berths.iter().filter(free).count() > n)
    }

    /// The first thing that a sortie, or somebody on an errand, does outside: 15 min for each suit that was
    /// left there. True if there is any to see to.
    pub(in crate::campaign) fn fetch_suits(&mut self, k: usize) -> bool {
        let called = self.teams[k].back.recall != NONE || self.course.ending.is_some();
        let t = &self.teams[k];
        let errand = t.errand == Errand::Return && t.trip.distance <= 0.0 && t.home_port == t.port;
        if t.errand != Errand::Sortie && !errand || t.out.fetches || called {
            return false;
        }
        let suits = self.places.suit.each();
        let lie = suits.filter(|(_, suit)| suit.kept() == Kept::Volume(OUTSIDE));
        let n = lie.filter(|(s, _)| self.may_fetch(k, *s)).count();
        if n == 0 {
            return false;
        }
        let t = &mut self.teams[k];
        (t.out.fetches, t.phase) = (true, Phase::Fetch);
        t.leg.end = t.leg.t + FETCH * n as f64;
        let end = t.leg.end;
        self.plan_team(k, end);
        true
    }

    /// The time at the door is over: suits hang at their berths again, and the stay begins.
    pub(in crate::campaign) fn suits_fetched(&mut self, k: usize) {
        self.spend_elapsed(k, Action::Mate);
        self.teams[k].leg.t = self.now;
        let l = &self.arm.layout;
        for s in l.suits.ids() {
            let Kept::Berth(own) = l.suits[s].home else { continue };
            let all = &l.ports[l.berths[own].port as usize].berths;
            let free = |b: &&BerthId| self.places.berth_free(l, **b);
            let berth = all.iter().filter(free).min_by_key(|b| **b != own);
            let Some(b) = berth.copied().filter(|_| self.may_fetch(k, s)) else { continue };
            self.places.hang_outside(l, s, b);
            self.suits.back(s);
            self.tell_fetched(s);
        }
        self.refresh_parked();
        self.go_out(k);
    }

    /// It belongs at a berth.
    fn hangs(&self, s: SuitId) -> bool {
        matches!(self.arm.layout.suits[s].home, Kept::Berth(_))
    }

    /// A team comes in as planned: suits without a berth that it has seen to come in with it.
    pub(in crate::campaign) fn bring_suits_in(&mut self, k: usize) {
        let t = &self.teams[k];
        if !t.out.fetches || t.back.way != NONE || t.back.aborted || t.back.tried != 0 {
            return;
        }
        for s in self.arm.layout.suits.ids() {
            if self.hangs(s) || !self.may_fetch(k, s) {
                continue;
            }
            let to = self.put_down(s);
            self.places.keep(s, Kept::Volume(to));
            self.places.press_suit(s, self.places.pressure(to));
            self.suits.back(s);
            self.tell_fetched(s);
        }
    }

    fn tell_fetched(&mut self, s: SuitId) {
        self.say(Level::Event, None, |x| format!("{} is fetched", x.arm.layout.suits[s].path));
    }
}
