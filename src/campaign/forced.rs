//! What is made perfect, or certain at its next demand, when a campaign is played again on the same
//! luck (rule 34). In plain play nothing is forced, and thresholds are looked at only when drawn.

use crate::campaign::owner::team::Hit;
use crate::campaign::verb::Task;
use crate::campaign::walk::failed::Failure;
use crate::campaign::way_back::openness::Openness;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::Purpose;
use crate::outcome::{ILLNESS_BIT, group_bit, hazard_bit, mode_bit};
use crate::plan::{Asked, BerthId, Condition, NONE, On, OpeningId, Stuck, each_of, step};
use crate::scenario::{Action, Effect, OpeningKind};

/// What a campaign is played with beside its luck.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Forced {
    /// Modes that never strike, as [`crate::outcome::Record::modes`].
    pub modes: u128,
    /// Environment events and illness that never come, as [`crate::outcome::Record::hazards`].
    pub hazards: u64,
    /// Common-cause groups that never cross, as [`crate::outcome::Record::groups`].
    pub groups: u64,
    /// Perfect ways back: rows that cannot fail, conditions that hold but for place; as
    /// [`crate::outcome::Record::ways`].
    pub ways: u64,
    /// What there is none of: known stuck from the first day and not repaired.
    pub without: Option<Without>,
    /// What is certain at its next demand: the first of the campaign.
    pub certain: Option<Certain>,
}

/// A redundant thing that a campaign is played without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Without {
    /// A way back of the architecture's order.
    WayBack(u16),
    /// A port: all its openings.
    Port(u16),
    /// A berth: its interface.
    Berth(BerthId),
    /// An opening.
    Opening(OpeningId),
}

impl Forced {
    /// Is this way back perfect?
    pub(in crate::campaign) fn perfect(&self, way: usize) -> bool {
        self.ways >> way & 1 != 0
    }

    /// Is there no such way back?
    pub(in crate::campaign) fn barred(&self, way: usize) -> bool {
        self.without == Some(Without::WayBack(way as u16))
    }
}

/// Something that is certain at its next demand, and only there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certain {
    /// A mode: it strikes the first of its parts that is asked, or in the first sortie.
    Mode(u16),
    /// A common-cause group: it crosses at the first demand of a member.
    Group(u16),
    /// A way back: it is found not to work when it would be taken for the first time.
    WayFails(u16),
}

impl World<'_> {
    /// A threshold of a mode as forced; `natural` in plain play.
    pub(in crate::campaign) fn threshold(&self, mode: u16, natural: f64) -> f64 {
        if self.forced.modes & mode_bit(mode) != 0 {
            return f64::INFINITY;
        }
        if self.forced.certain == Some(Certain::Mode(mode)) { 0.0 } else { natural }
    }

    /// The mode that was certain has struck: its other parts have their own thresholds again.
    pub(in crate::campaign) fn forced_strike(&mut self, pm: usize, mode: u16) {
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

    /// The threshold of a group as forced.
    pub(in crate::campaign) fn group_threshold(&self, g: usize, natural: f64) -> f64 {
        if self.forced.groups & group_bit(g) != 0 || self.first_of_group(g).is_none() {
            return f64::INFINITY;
        }
        if self.forced.certain == Some(Certain::Group(g as u16)) { 0.0 } else { natural }
    }

    /// The first mode of a group that can strike: it gives the group's calendar rate.
    pub(in crate::campaign) fn first_of_group(&self, g: usize) -> Option<u16> {
        let members = self.arm.groups[g].members.iter();
        let mut modes = members.map(|pm| self.arm.part_modes[*pm as usize].mode);
        modes.find(|mode| !self.never(*mode))
    }

    /// A group that was certain has crossed.
    pub(in crate::campaign) fn forced_group(&mut self, g: usize) {
        if self.forced.certain == Some(Certain::Group(g as u16)) {
            self.forced.certain = None;
        }
    }

    /// Does this mode never strike?
    pub(in crate::campaign) fn never(&self, mode: u16) -> bool {
        self.forced.modes & mode_bit(mode) != 0
    }

    /// A hazard outside that is certain strikes somebody in this sortie, at a moment uniform over the
    /// planned time outside.
    pub(in crate::campaign) fn forced_hit(
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
        let at = self.teams[k].out.out_at + share * stay.max(0.0);
        self.teams[k].add_hit(Hit { at, mode, person });
    }

    /// Does this environment event never come?
    pub(in crate::campaign) fn never_event(&self, e: usize) -> bool {
        self.forced.hazards & hazard_bit(e) != 0
    }

    /// Does nobody fall ill?
    pub(in crate::campaign) fn never_ill(&self) -> bool {
        self.forced.hazards & ILLNESS_BIT != 0
    }

    /// A way that is certain to fail is found not to work when it would be taken.
    pub(in crate::campaign) fn forced_fail(&mut self, k: usize, i: usize) -> bool {
        let open = || matches!(self.openness(k, i), Openness::Open | Openness::TooSlow);
        if self.forced.certain != Some(Certain::WayFails(i as u16)) || !open() {
            return false;
        }
        self.forced.certain = None;
        self.teams[k].back.tried |= 1 << i;
        true
    }

    /// Is a list of a perfect way played (or its port made ready for it)?
    pub(in crate::campaign) fn on_perfect_way(&self, k: usize) -> bool {
        let t = &self.teams[k];
        if self.forced.ways == 0 || t.back.way == NONE || !self.forced.perfect(t.back.way as usize)
        {
            return false;
        }
        let list = if t.leg.then == NONE { t.leg.list } else { t.leg.then };
        self.arm.layout.ways_back[t.back.way as usize] == list
    }

    /// A row of a perfect way: it asks no failure mode, what is stuck or does not hold where it acts is
    /// freed, and what the store lacks is there. Its time counts as ever, and an interlock that is
    /// broken for another reason still breaks it.
    pub(in crate::campaign) fn perfect_row(&mut self, t: &Task) -> Result<(), Failure> {
        self.free_all(t);
        if let Some(b) = step::broken(&self.places, &t.cast) {
            return Err(Failure::Broken(b));
        }
        self.give_store(t);
        self.act(t);
        Ok(())
    }

    fn free_all(&mut self, t: &Task) {
        let arm = self.arm;
        for o in t.openings() {
            self.free_for_good(self.faults.stuck_by(o));
            self.free_for_good(self.faults.not_holding(o));
        }
        for v in t.volumes() {
            let valve = arm.volumes[v].valve;
            if valve.is_some() {
                self.free_for_good(self.faults.stuck_by(valve));
            }
            for o in arm.layout.volumes[v].openings.iter().copied() {
                self.wipe_seal(o);
                self.free_for_good(self.faults.not_holding(o));
            }
        }
        if let On::Stage(s) = t.row.on {
            self.free_for_good(self.faults.stage_lost(s as usize));
        }
    }

    fn free_for_good(&mut self, by: Option<u16>) {
        if let Some(pm) = by {
            self.cancel_job(pm);
            self.mend(pm as usize, false);
        }
    }

    /// The condition that the store covers a perfect way holds: what is lacking comes from nowhere, and
    /// is booked as resupplied.
    fn give_store(&mut self, t: &Task) {
        self.settle_all_leaks();
        if t.row.action == Action::Repress && t.row.on != On::Suit {
            for v in t.volumes() {
                let need = self.fill_of(v, t.l.level(t.row, v));
                self.air.gas.make_up(self.air.gas.store_of(v), need);
            }
        } else {
            let need = self.row_takes_gas(t);
            self.air.gas.make_up(self.air.gas.store_of(self.host_cabin(t.k)), need);
        }
    }

    /// What the campaign is played without: known stuck from the first day, as it is at rest, and nobody
    /// repairs it.
    pub(in crate::campaign) fn begin_without(&mut self) {
        let l = &self.arm.layout;
        match self.forced.without {
            None | Some(Without::WayBack(_)) => {}
            Some(Without::Opening(o)) => self.jam(o),
            Some(Without::Berth(b)) => self.jam(l.berths[b].interface),
            Some(Without::Port(p)) => {
                // Openings of its berths too: a port of berths alone has no others.
                l.ports[p as usize].openings.iter().for_each(|o| self.jam(*o));
            }
        }
    }

    /// A second hatch that is not there: its port is used as if it had never had one.
    pub(in crate::campaign) fn is_without(&self, o: OpeningId) -> bool {
        self.forced.without == Some(Without::Opening(o))
    }

    fn jam(&mut self, o: OpeningId) {
        let state = &mut self.places.opening[o];
        let open = match self.arm.layout.openings[o].kind {
            OpeningKind::SuitInterface => !state.mated,
            _ => state.open,
        };
        state.stuck = if open { Stuck::Open } else { Stuck::Shut };
        state.known = true;
    }

    /// Somebody was missed or late: whose demand it was, and what had been tried for it.
    pub(in crate::campaign) fn remember_lost(&mut self, k: usize, p: usize) {
        let lates = self.books.out.facts.value[Fact::HavenLate as usize] as u32;
        let late = lates > self.books.out.lost.late.count_ones();
        let t = &self.teams[k];
        let way = if t.back.way == NONE { 0 } else { 1 << t.back.way };
        self.books.out.lost.add(p, t.slot, late, t.back.tried | way);
    }

    /// What is not stuck acts on somebody without being asked: a leak, a slow hatch, a lost pump.
    pub(in crate::campaign) fn acts_unasked(&mut self, mode: u16, effect: Effect) {
        let waits = match effect {
            Effect::StuckShut | Effect::StuckOpen | Effect::SuitUnusable | Effect::CannotTravel => {
                true
            }
            Effect::Slower
            | Effect::Leak
            | Effect::PumpLost
            | Effect::StageLost
            | Effect::ReturnNow
            | Effect::CrewIncapacitated
            | Effect::ElementLost => false,
        };
        if !waits {
            self.books.out.record.met |= mode_bit(mode);
        }
    }
}

/// Conditions that hold for a perfect way: those on what is intact, fits or is lit. Where people, suits,
/// rovers and room are stays as it is, and what a way is for.
pub(in crate::campaign) fn holds_if_perfect(c: Asked) -> bool {
    let of_the_way = match c.condition {
        Condition::ToleratesVacuum(_)
        | Condition::OpeningIntact(..)
        | Condition::VolumeIntact(_)
        | Condition::Opens(..)
        | Condition::BerthIntact
        | Condition::UmbilicalForEveryone
        | Condition::GasCovers(..)
        | Condition::PortFree
        | Condition::PortFitsSuit
        | Condition::ClearsSuit(_)
        | Condition::RoverRemote
        | Condition::Daylight => true,
        Condition::ElementIntact(_)
        | Condition::OpeningStuck(..)
        | Condition::VolumeStuck(_)
        | Condition::Leaks(..)
        | Condition::Dirty(..)
        | Condition::NobodyIn(_)
        | Condition::AnyoneInside
        | Condition::HelperInside
        | Condition::RescuersInside
        | Condition::SuitForEveryoneInside
        | Condition::BerthFree
        | Condition::BerthEmpty
        | Condition::TwoBerthsFree
        | Condition::InReach(_)
        | Condition::RoomAt(_)
        | Condition::RoverDrives
        | Condition::RoverManned
        | Condition::Casualty
        | Condition::NoCasualty
        | Condition::AscentVehicle
        | Condition::InTime => false,
    };
    of_the_way && !c.not
}
