//! What is made perfect, or certain at its next demand, when a campaign is played again on the same
//! luck (rule 34). In plain play nothing is forced, and thresholds are looked at only when drawn.

use super::play::Play;
use super::team::Hit;
use super::trouble::Openness;
use crate::layout::{Where, each_of};
use crate::model::Purpose;
use crate::outcome::{ILLNESS_BIT, hazard_bit, mode_bit};

/// What a campaign is played with beside its luck.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Forced {
    /// Modes that never strike, as [`crate::outcome::Record::modes`].
    pub modes: u128,
    /// Environment events and illness that never come, as [`crate::outcome::Record::hazards`].
    pub hazards: u64,
    /// Ways back that bring everybody in at once when their turn comes and they are open, as
    /// [`crate::outcome::Record::ways`].
    pub ways: u64,
    /// What is certain at its next demand: the first of the campaign.
    pub certain: Option<Certain>,
}

/// Something that is certain at its next demand, and only there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certain {
    /// A mode: it strikes the first of its parts that is asked, or in the first sortie.
    Mode(u16),
    /// A way back: it is found not to work when it would be taken for the first time.
    WayFails(u16),
}

impl Play<'_> {
    /// A threshold of a mode as forced; `natural` in plain play.
    pub(super) fn threshold(&self, mode: u16, natural: f64) -> f64 {
        if self.forced.modes & mode_bit(mode) != 0 {
            return f64::INFINITY;
        }
        if self.forced.certain == Some(Certain::Mode(mode)) { 0.0 } else { natural }
    }

    /// The mode that was certain has struck: its other parts have their own thresholds again.
    pub(super) fn forced_strike(&mut self, pm: usize, mode: u16) {
        if self.forced.certain != Some(Certain::Mode(mode)) {
            return;
        }
        self.forced.certain = None;
        for i in 0..self.arm.part_modes.len() {
            if i != pm && self.arm.part_modes[i].mode == mode {
                self.draw_threshold(i);
            }
        }
    }

    /// Does this mode outside never come?
    pub(super) fn never_outside(&self, mode: u16) -> bool {
        self.forced.modes & mode_bit(mode) != 0
    }

    /// A hazard outside that is certain strikes somebody in this sortie, at a moment uniform over the
    /// planned time outside.
    pub(super) fn forced_hit(
        &mut self,
        k: usize,
        (path, occasion): (u64, u64),
        mode: u16,
        stay: f64,
    ) {
        if self.forced.certain != Some(Certain::Mode(mode)) {
            return;
        }
        self.forced.certain = None;
        let members = self.teams[k].members;
        let draw = |what| self.draw_at(path, occasion, what);
        let share = draw(Purpose::SortieMoment);
        let whose = draw(Purpose::SortieWhom) * f64::from(members.count_ones());
        let person = each_of(members).nth(whose as usize).unwrap_or(0) as u8;
        let at = self.teams[k].out_at + share * stay.max(0.0);
        self.teams[k].add_hit(Hit { at, mode, person });
    }

    /// Does this environment event never come?
    pub(super) fn never_event(&self, e: usize) -> bool {
        self.forced.hazards & hazard_bit(e) != 0
    }

    /// Does nobody fall ill?
    pub(super) fn never_ill(&self) -> bool {
        self.forced.hazards & ILLNESS_BIT != 0
    }

    /// A way that is certain to fail is found not to work when it would be taken.
    pub(super) fn forced_fail(&mut self, k: usize, i: usize) -> bool {
        let open = || matches!(self.openness(k, i), Openness::Open | Openness::TooSlow);
        if self.forced.certain != Some(Certain::WayFails(i as u16)) || !open() {
            return false;
        }
        self.forced.certain = None;
        self.teams[k].tried |= 1 << i;
        true
    }

    /// A perfect way brings everybody into the cabin of its element at once, if it is open: its start and
    /// its conditions hold, whatever time is left.
    pub(super) fn perfect_way(&mut self, k: usize, i: usize) -> bool {
        if self.forced.ways & 1 << i == 0 || self.openness(k, i) == Openness::Shut {
            return false;
        }
        let list = self.arm.layout.ways_back[i];
        let port = self.arm.layout.lists[list as usize].port;
        let element = self.arm.layout.ports[port as usize].element;
        let cabin = self.arm.layout.elements[element as usize].cabin;
        self.out.record.ways |= 1 << i;
        self.teams[k].tried |= 1 << i;
        self.teams[k].way = i as u16;
        self.teams[k].contingency = true;
        self.release_quietly(k);
        let members = self.teams[k].members;
        crate::layout::walk::release_berths(&mut self.places, members);
        for p in each_of(members) {
            self.places.person[p].at = Where::Volume(cabin);
            if self.crew[p].clock.open {
                self.close_demand(k, p);
            }
        }
        self.stay_inside(k);
        true
    }
}
