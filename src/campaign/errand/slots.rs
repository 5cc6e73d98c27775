//! Slots and who may go (rule 11): what keeps a sortie from starting, which port it uses, waiting.

use crate::campaign::agenda::Event;
use crate::campaign::owner::person::Busy;
use crate::campaign::owner::team::{Errand, Phase, TEAMS};
use crate::campaign::trace::Level;
use crate::campaign::world::World;
use crate::model::{Slot, cause};
use crate::plan::{
    Crew, Kept, NONE, OUTSIDE, SuitId, SuitState, VolumeId, Where, each_of, walk, wanted,
};

/// How a team leaves: a port, and the list of it that it walks.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Exit {
    /// The port.
    pub(in crate::campaign) port: u16,
    /// Egress or service-out of it.
    pub(in crate::campaign) list: u16,
}

impl World<'_> {
    /// A slot's time has come (rule 11).
    pub(in crate::campaign) fn slot(&mut self, i: u32) {
        let next = i + 1;
        if let Some(s) = self.m.slots.get(next as usize) {
            self.plan(s.time, Event::Slot(next));
        }
        self.settle_all_leaks();
        self.look_at_recharge();
        self.carry_suits(false);
        match self.slot_obstacle(i) {
            Ok(exit) => self.take_port(i, exit),
            Err(cause) => self.cancel(i, cause),
        }
    }

    /// What keeps a slot from starting, or how its team leaves.
    pub(in crate::campaign) fn slot_obstacle(&self, i: u32) -> Result<Exit, u16> {
        let slot = self.m.slots[i as usize];
        if let Some(e) = self.course.ending {
            return Err(e.cause);
        }
        if let Some(w) = self.weather_cause() {
            return Err(w);
        }
        if let Some(d) = self.dark(self.now) {
            return Err(d);
        }
        if let Some(c) = self.roster_obstacle(&slot) {
            return Err(c);
        }
        let exit = self.exit_for(&slot)?;
        if let Some(c) = self.store_obstacle(&slot, exit.port) {
            return Err(c);
        }
        Ok(exit)
    }

    pub(in crate::campaign) fn weather_cause(&self) -> Option<u16> {
        self.sky.announced().map(|e| self.m.events[e].cause)
    }

    pub(in crate::campaign) fn roster_obstacle(&self, slot: &Slot) -> Option<u16> {
        let from = self.arm.activity_from[slot.activity as usize];
        if slot.traverse != NONE {
            if let Some(c) = self.rovers.stopped(usize::from(slot.traverse)) {
                return Some(c);
            }
            if self.rovers.of(from).traverse != slot.traverse
                || self.rovers.of(from).driving > self.now
            {
                return Some(cause::AWAY);
            }
            if self.rovers.of(from).stuck {
                return Some(self.element_cause(from).unwrap_or(cause::AWAY)); // it is mended first
            }
        }
        let home = self.arm.layout.elements[from as usize].cabin;
        for p in each_of(slot.roster) {
            let c = self.person_obstacle(p, slot, home);
            if c.is_some() {
                return c;
            }
        }
        if let Some(c) = self.week_obstacle(slot) {
            return Some(c);
        }
        let least = u32::from(self.arm.layout.elements[from as usize].inside_least);
        let stay = || self.inside_of_element(from) & !slot.roster;
        let too_few = least > 0 && stay().count_ones() < least;
        too_few.then(|| self.nobody_inside_why(from, slot.roster))
    }

    pub(in crate::campaign) fn person_obstacle(
        &self,
        p: usize,
        slot: &Slot,
        home: VolumeId,
    ) -> Option<u16> {
        let c = &self.people.crew[p];
        if self.people.gone & 1 << p != 0 {
            return Some(cause::LEFT);
        }
        if self.people.hurt & 1 << p != 0 || c.off_until > self.now {
            return Some(c.off_cause);
        }
        match c.busy {
            Busy::Free => {}
            Busy::Traverse if slot.traverse != NONE => {}
            Busy::Elsewhere => return Some(self.away_why(p)),
            busy => return Some(self.busy_why(busy, p)),
        }
        // The day begins with the first half of the overhead.
        let begins = self.now - self.overhead_of(slot, p) / 2.0;
        if begins - c.last_end < self.numbers.rules.rest_least {
            return Some(cause::REST);
        }
        match self.places.person[p].at() {
            Where::Volume(v) if v != OUTSIDE && self.places.joined(&self.arm.layout, home, v) => {
                None
            }
            _ => Some(self.away_why(p)),
        }
    }

    /// The first intact port that the activity lists and that has suits for the team.
    pub(in crate::campaign) fn exit_for(&self, slot: &Slot) -> Result<Exit, u16> {
        let team = slot.roster.count_ones();
        let kind = self.m.activities[slot.activity as usize].suit;
        let mut why = cause::NO_SUIT;
        let mut seen = false;
        for port in &self.arm.activity_ports[slot.activity as usize] {
            let trouble = self.port_trouble(*port).or_else(|| self.ports.down_why(*port));
            if let Some(c) = trouble {
                if !seen {
                    why = c;
                }
                seen = true;
                continue;
            }
            let list = self.egress_list(*port, team, kind);
            if list != NONE {
                if !self.still_recharging(*port, team, kind) {
                    return Ok(Exit { port: *port, list });
                }
                why = if seen { why } else { cause::RECHARGE };
                seen = true;
                continue;
            }
            if !seen {
                why = self.suits_why(*port);
            }
            seen = true;
        }
        Err(why)
    }

    /// The list by which a team of this size can leave by a port in suits of a kind (those of the port
    /// for [`NONE`]): egress, service-out for suits that are indoors, or [`NONE`].
    pub(in crate::campaign) fn egress_list(&self, port: u16, team: u32, kind: u16) -> u16 {
        let p = &self.arm.layout.ports[port as usize];
        if p.berths.is_empty() {
            let cabin = self.arm.layout.elements[p.element as usize].cabin;
            let near = p.volumes.iter().copied().chain([cabin]);
            let enough = near.map(|v| self.suits_within(port, kind, v)).any(|n| n >= team);
            return if enough { p.egress } else { NONE };
        }
        if self.berths_ready(port) >= team {
            return p.egress;
        }
        let indoors = || self.indoor_suits(port).count() >= team as usize;
        let passable = |list| self.service_passable(list) && !self.bares_somebody(list, team);
        if p.service_out != NONE && indoors() && passable(p.service_out) {
            return p.service_out;
        }
        NONE
    }

    /// Usable stowed suits of a kind (those of the port for [`NONE`]) within reach of somebody in `v`.
    fn suits_within(&self, port: u16, kind: u16, v: VolumeId) -> u32 {
        let l = &self.arm.layout;
        let joined = self.places.joined_to(l, v);
        let within = |w: VolumeId| w == v || w != OUTSIDE && joined.has(w);
        let fits = |(s, suit): &(SuitId, &SuitState)| match suit.kept() {
            Kept::Volume(w) => suit.usable && within(w) && wanted(l, port, kind, *s),
            _ => false,
        };
        self.places.suit.each().filter(fits).count() as u32
    }

    /// Suits whose home is a berth of the port and that are stowed indoors, usable.
    pub(in crate::campaign) fn indoor_suits(&self, port: u16) -> impl Iterator<Item = SuitId> + '_ {
        let l = &self.arm.layout;
        let berths = &l.ports[port as usize].berths;
        let host = l.elements[l.ports[port as usize].element as usize].cabin;
        l.suits.each().filter_map(move |(s, suit)| {
            let Kept::Volume(v) = self.places.suit[s].kept() else { return None };
            let home = matches!(suit.home, Kept::Berth(b) if berths.contains(&b));
            (home && self.places.suit[s].usable && self.shirt_sleeve(host, v)).then_some(s)
        })
    }

    /// Can one get from `host` to `v` without a suit, doors opened on the way?
    pub(in crate::campaign) fn shirt_sleeve(&self, host: VolumeId, v: VolumeId) -> bool {
        let leads = self.arm.doors.lead(host, v);
        debug_assert!(leads || !self.places.can_get(&self.arm.layout, host, v));
        leads && self.places.can_get(&self.arm.layout, host, v)
    }

    /// A planned sortie stands down when the store, less what the sortie itself loses, would not
    /// cover the largest way back (rule 26); without ways back, when it does not hold what the sortie
    /// loses. So does one whose mean use of cooling water the store could not make up afterwards.
    pub(in crate::campaign) fn store_obstacle(&self, slot: &Slot, port: u16) -> Option<u16> {
        let e = self.arm.layout.ports[port as usize].element;
        let s = self.arm.layout.elements[e as usize].store;
        let held = *self.arm.held_back.get(s as usize)?;
        let has = self.air.gas.store(s as usize);
        let own = self.arm.own_loss[port as usize];
        let short = has.oxygen - own[0] < held[0] || has.nitrogen - own[1] < held[1];
        let dry = self.air.gas.water(s as usize) < self.mean_water(slot, port);
        (short || dry).then_some(cause::STORE)
    }

    /// Mean cooling water of a sortie from its planned hours and the rows to safety, kg; the suits of
    /// the team are taken as the thirstiest at home anywhere.
    fn mean_water(&self, slot: &Slot, port: u16) -> f64 {
        let a = &self.m.activities[slot.activity as usize];
        let n = slot.roster.count_ones() as usize;
        let ingress = self.arm.layout.ports[port as usize].ingress;
        let way_in = self.arm.lists.get(ingress as usize).map_or(0.0, |l| l.mean_safe[n]);
        let heat = self.numbers.suit_heat + a.work.mean();
        n as f64 * crate::physics::suit::cooling_water_flow(heat * (a.planned + way_in))
    }

    /// The port of a waiting team is free, and its egress list could be walked now: a chamber left at
    /// vacuum by a team that is out keeps the others in.
    pub(in crate::campaign) fn can_leave(&mut self, k: usize) -> bool {
        let (port, team) = (self.teams[k].port, self.teams[k].members);
        if !self.ports.free(port) || self.served_in(port) {
            return false;
        }
        let l = &self.arm.layout;
        if walk::astray(l, &self.places, port).is_none() {
            return true;
        }
        let list = self.egress_list(port, team.count_ones(), self.kind_of(k));
        if list == NONE {
            return true; // starting it will say why it cannot start
        }
        self.scratch.clone_from(&self.places);
        let ingress = l.ports[port as usize].ingress;
        let most = self.list_holds(list).min(self.list_holds(ingress));
        let team = walk::first_batch(team, self.people.hurt, most);
        let group = walk::Group { team, hurt: self.people.hurt, rescuers: 0 };
        walk::walk(l, &mut self.scratch, &l.lists[list as usize], 0, group).is_ok()
    }

    /// Kind of suit that the activity of a team asks for.
    fn kind_of(&self, k: usize) -> u16 {
        let slot = self.m.slots.get(self.teams[k].slot as usize);
        slot.map_or(NONE, |s| self.m.activities[s.activity as usize].suit)
    }

    /// A team record for an errand; its members are busy from now on.
    pub(in crate::campaign) fn new_team(&mut self, errand: Errand, members: Crew) -> Option<usize> {
        let k = (0..TEAMS).find(|k| self.teams[*k].phase == Phase::Idle)?;
        self.teams[k].clear();
        self.teams[k].errand = errand;
        self.teams[k].members = members;
        self.teams[k].batch = members;
        self.teams[k].out.started = self.now;
        self.teams[k].phase = Phase::Begin;
        for p in each_of(members) {
            self.people.crew[p].busy = Busy::Team(k as u8);
            self.places.person[p].kind = NONE;
        }
        Some(k)
    }

    /// A team begins to go out by a list of its port.
    pub(in crate::campaign) fn start_sortie(&mut self, k: usize, list: u16) {
        let port = self.teams[k].port;
        let members = self.teams[k].members;
        let kind = self.kind_of(k);
        debug_assert_eq!(list, self.egress_list(port, members.count_ones(), kind));
        self.hold_port(k, port);
        for p in each_of(members) {
            self.places.person[p].kind = kind;
            self.people.crew[p].duty_start = self.now;
        }
        self.say(Level::Row, self.slot_of(k), |s| {
            format!(
                "{} start egress at {}",
                s.names(members),
                s.arm.layout.ports[port as usize].path
            )
        });
        self.begin_out(k, list);
        self.resume(k);
    }

    /// Is this person in a rover that is away, as one of its crew?
    pub(in crate::campaign) fn on_traverse(&self, p: usize) -> bool {
        let Where::Volume(v) = self.places.person[p].at() else { return false };
        let e = self.arm.layout.volumes[v].element;
        let away = self.rovers.traverse_of(e);
        self.m.traverses.get(away as usize).is_some_and(|t| t.roster & 1 << p != 0)
    }

    pub(in crate::campaign) fn slot_traverse(&self, k: usize) -> bool {
        let s = self.teams[k].slot;
        s != u32::MAX && self.m.slots[s as usize].traverse != NONE
    }
}
