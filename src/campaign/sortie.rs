//! Sorties: slots, who may go, how long to stay, the way back to the door, the end of a list.

use super::person::Busy;
use super::play::{Event, Play};
use super::team::{Errand, Hit, Phase, TEAMS};
use super::trace::Level;
use crate::layout::{Crew, Kept, ListKind, NONE, OUTSIDE, Stuck, Where, each_of, walk};
use crate::measure::Fact;
use crate::model::{Hazard, Slot, UpkeepCause, cause, purpose};
use crate::scenario::{By, Effect, EnvironmentEffect, OpeningKind, Trigger};

/// First index of the hazards in a slot's record: hours, distance, power, then dust per person.
const FIRST_HAZARD: u32 = 64;

impl Play<'_> {
    /// A slot's time has come (rule 11).
    pub(super) fn slot(&mut self, i: u32) {
        let next = i + 1;
        if let Some(s) = self.m.slots.get(next as usize) {
            self.plan(s.time, Event::Slot(next));
        }
        match self.slot_obstacle(i) {
            Ok(port) => self.take_port(i, port),
            Err(cause) => self.cancel(i, cause),
        }
    }

    /// What keeps a slot from starting, or the port it uses.
    fn slot_obstacle(&self, i: u32) -> Result<u16, u16> {
        let slot = self.m.slots[i as usize];
        if let Some(e) = self.ending {
            return Err(e.cause);
        }
        if let Some(w) = self.weather_cause() {
            return Err(w);
        }
        if let Some(c) = self.roster_obstacle(&slot) {
            return Err(c);
        }
        let port = self.port_for(&slot)?;
        if let Some(c) = self.store_obstacle(port) {
            return Err(c);
        }
        Ok(port)
    }

    fn weather_cause(&self) -> Option<u16> {
        self.sky.iter().zip(&self.m.events).find(|(s, _)| s.active).map(|(_, e)| e.cause)
    }

    fn roster_obstacle(&self, slot: &Slot) -> Option<u16> {
        let from = self.arm.activity_from[slot.activity as usize];
        if slot.traverse != NONE {
            let c = self.traverse_cause[slot.traverse as usize];
            if c != NONE {
                return Some(c);
            }
            if self.rovers[from as usize].traverse != slot.traverse
                || self.rovers[from as usize].driving > self.now
            {
                return Some(cause::AWAY);
            }
        }
        let home = self.arm.layout.elements[from as usize].cabin;
        for p in each_of(slot.roster) {
            let c = self.person_obstacle(p, slot, home);
            if c.is_some() {
                return c;
            }
        }
        let stay = self.inside_of_element(from) & !slot.roster;
        let least = u32::from(self.arm.layout.elements[from as usize].inside_least);
        (stay.count_ones() < least).then_some(cause::NOBODY_INSIDE)
    }

    fn person_obstacle(&self, p: usize, slot: &Slot, home: u16) -> Option<u16> {
        let c = &self.crew[p];
        if self.gone & 1 << p != 0 {
            return Some(cause::LEFT);
        }
        if self.hurt & 1 << p != 0 || c.off_until > self.now {
            return Some(c.off_cause);
        }
        match c.busy {
            Busy::Free => {}
            Busy::Traverse if slot.traverse != NONE => {}
            Busy::Repair(_) => return Some(cause::REPAIR_WORK),
            Busy::Team(_) => return Some(cause::BUSY),
            Busy::Traverse | Busy::Elsewhere => return Some(cause::AWAY),
            Busy::Gone => return Some(cause::LEFT),
        }
        if self.now - c.last_end < self.m.rules.rest_least.of(&self.v) {
            return Some(cause::REST);
        }
        match self.places.person[p].at {
            Where::Volume(v) if v != OUTSIDE && self.places.joined(&self.arm.layout, home, v) => {
                None
            }
            _ => Some(cause::AWAY),
        }
    }

    /// The first intact port that the activity lists and that has suits for the team.
    fn port_for(&self, slot: &Slot) -> Result<u16, u16> {
        let team = slot.roster.count_ones();
        let mut why = cause::NO_SUIT;
        let mut seen = false;
        for port in &self.arm.activity_ports[slot.activity as usize] {
            let trouble = self
                .port_trouble(*port)
                .or_else(|| self.astray[*port as usize].then(|| self.astray_cause[*port as usize]));
            if let Some(c) = trouble {
                if !seen {
                    why = c;
                }
                seen = true;
                continue;
            }
            if self.egress_list(*port, team) != NONE {
                return Ok(*port);
            }
        }
        Err(why)
    }

    /// The list by which a team of this size can leave by a port: egress, service-out for suits that
    /// are indoors, or [`NONE`].
    pub(super) fn egress_list(&self, port: u16, team: u32) -> u16 {
        let p = &self.arm.layout.ports[port as usize];
        if p.berths.is_empty() {
            let cabin = self.arm.layout.elements[p.element as usize].cabin;
            let near = p.volumes.iter().copied().chain([cabin]);
            let most = near.map(|v| self.places.stowed(&self.arm.layout, v).count()).max();
            return if most.unwrap_or(0) >= team as usize { p.egress } else { NONE };
        }
        if self.berths_ready(port) >= team {
            return p.egress;
        }
        if p.service_out != NONE && self.indoor_suits(port).count() >= team as usize {
            return p.service_out;
        }
        NONE
    }

    /// Suits whose home is a berth of the port and that are stowed indoors, usable.
    pub(super) fn indoor_suits(&self, port: u16) -> impl Iterator<Item = usize> + '_ {
        let l = &self.arm.layout;
        let berths = &l.ports[port as usize].berths;
        let host = l.elements[l.ports[port as usize].element as usize].cabin;
        l.suits.iter().enumerate().filter_map(move |(s, suit)| {
            let home = matches!(suit.home, Kept::Berth(b) if berths.contains(&b));
            let here = match self.places.suit[s].kept {
                Kept::Volume(v) => self.shirt_sleeve(host, v),
                _ => false,
            };
            (home && here && self.places.suit[s].usable).then_some(s)
        })
    }

    /// Can one get from `host` to `v` without a suit: through hatches and doors (opened on the way)
    /// between habitable volumes, none of them known stuck shut? Docking hatches are left out: crossing
    /// them is a transfer of its own.
    pub(super) fn shirt_sleeve(&self, host: u16, v: u16) -> bool {
        let l = &self.arm.layout;
        let mut seen: u64 = 1 << host.min(63);
        let mut front = [host; 64];
        let (mut at, mut n) = (0, 1);
        while at < n {
            let here = front[at];
            at += 1;
            if here == v {
                return self.places.is_habitable(l, v);
            }
            for o in &l.volumes[here as usize].openings {
                let opening = &l.openings[*o as usize];
                let state = &self.places.opening[*o as usize];
                let stuck = state.known && state.stuck == Stuck::Shut && !state.open;
                let door =
                    matches!(opening.kind, OpeningKind::PressureHatch | OpeningKind::DustDoor);
                let walks = door && !opening.docking && !stuck;
                let Some(w) = l.across(*o, here).filter(|w| *w < 64) else { continue };
                if walks && seen & 1 << w == 0 && self.places.is_habitable(l, w) {
                    seen |= 1 << w;
                    front[n] = w;
                    n += 1;
                }
            }
        }
        false
    }

    /// A planned sortie stands down when the store, less what the sortie itself loses, would not
    /// cover the largest way back (rule 26).
    fn store_obstacle(&self, port: u16) -> Option<u16> {
        let e = self.arm.layout.ports[port as usize].element;
        let s = self.arm.layout.elements[e as usize].store;
        let held = *self.arm.held_back.get(s as usize)?;
        if held == [0.0; 2] {
            return None;
        }
        let has = self.gas.store[s as usize];
        let own = self.arm.own_loss[port as usize];
        let short = has.oxygen - own[0] < held[0] || has.nitrogen - own[1] < held[1];
        short.then_some(cause::STORE)
    }

    fn take_port(&mut self, i: u32, port: u16) {
        let slot = self.m.slots[i as usize];
        let Some(k) = self.new_team(Errand::Sortie, slot.roster) else {
            return self.cancel(i, cause::BUSY);
        };
        let activity = &self.m.activities[slot.activity as usize];
        let t = &mut self.teams[k];
        t.slot = i;
        t.books = true;
        t.port = port;
        t.home_port = port;
        t.path = activity.hash;
        t.occasion = u64::from(slot.number);
        t.started = self.now;
        if self.port_user[port as usize] == u8::MAX {
            return self.start_sortie(k);
        }
        self.teams[k].phase = Phase::WaitPort;
        let wait = self.m.rules.wait_at_most.of(&self.v);
        self.plan_team(k, self.now + wait);
    }

    /// A team record for an errand; its members are busy from now on.
    pub(super) fn new_team(&mut self, errand: Errand, members: Crew) -> Option<usize> {
        let k = (0..TEAMS).find(|k| self.teams[*k].phase == Phase::Idle)?;
        self.teams[k].clear();
        self.teams[k].errand = errand;
        self.teams[k].members = members;
        self.teams[k].started = self.now;
        self.teams[k].phase = Phase::Begin;
        for p in each_of(members) {
            self.crew[p].busy = Busy::Team(k as u8);
        }
        Some(k)
    }

    /// The port was not free in time: the slot is cancelled.
    pub(super) fn give_up_waiting(&mut self, k: usize) {
        let slot = self.teams[k].slot;
        let waited = self.now - self.teams[k].started;
        let n = f64::from(self.teams[k].members.count_ones());
        self.overhead(waited * n);
        self.free_members(k);
        self.teams[k].clear();
        self.cancel(slot, cause::PORT_IN_USE);
    }

    fn start_sortie(&mut self, k: usize) {
        let port = self.teams[k].port;
        let members = self.teams[k].members;
        let list = self.egress_list(port, members.count_ones());
        if list == NONE {
            let slot = self.teams[k].slot;
            self.free_members(k);
            self.teams[k].clear();
            return self.cancel(slot, cause::NO_SUIT);
        }
        self.hold_port(k, port);
        for p in each_of(members) {
            self.crew[p].duty_start = self.now;
        }
        self.say(Level::Row, self.slot_of(k), |s| {
            format!(
                "{} start egress at {}",
                s.names(members),
                s.arm.layout.ports[port as usize].path
            )
        });
        self.enter_list(k, list, 0);
        self.resume(k);
    }

    pub(super) fn hold_port(&mut self, k: usize, port: u16) {
        self.port_user[port as usize] = k as u8;
        self.teams[k].port = port;
        self.teams[k].holds = true;
    }

    /// Lets go of the port a team holds and wakes those who wait.
    pub(super) fn release_port(&mut self, k: usize) {
        if !self.teams[k].holds {
            return;
        }
        self.teams[k].holds = false;
        let port = self.teams[k].port;
        if self.port_user[port as usize] == k as u8 {
            self.port_user[port as usize] = u8::MAX;
        }
        self.wake();
    }

    /// Somebody who waits may go on: stranded teams first, casualties before others, then sorties in
    /// order of their slots.
    pub(super) fn wake(&mut self) {
        let now = self.now;
        for hurt_first in [true, false] {
            for k in 0..TEAMS {
                let hurt = self.teams[k].members & self.hurt != 0;
                if self.teams[k].phase == Phase::Stranded && hurt == hurt_first {
                    self.plan_team(k, now);
                }
            }
        }
        for k in 0..TEAMS {
            let t = &self.teams[k];
            if t.phase == Phase::WaitPort && self.port_user[t.port as usize] == u8::MAX {
                let waited = now - t.started;
                let n = f64::from(t.members.count_ones());
                self.overhead(waited * n);
                self.teams[k].started = now;
                let slot = self.teams[k].slot;
                let members = self.teams[k].members;
                self.free_members(k);
                let again = self.slot_obstacle(slot);
                match again {
                    Ok(port) if self.port_user[port as usize] == u8::MAX => {
                        each_of(members).for_each(|p| self.crew[p].busy = Busy::Team(k as u8));
                        self.teams[k].port = port;
                        self.teams[k].home_port = port;
                        self.start_sortie(k);
                    }
                    other => {
                        self.teams[k].clear();
                        self.cancel(slot, other.err().unwrap_or(cause::PORT_IN_USE));
                    }
                }
            }
        }
    }

    pub(super) fn free_members(&mut self, k: usize) {
        let traverse = self.slot_traverse(k);
        for p in each_of(self.teams[k].members | self.teams[k].rescuers) {
            if self.crew[p].busy == Busy::Team(k as u8) {
                self.crew[p].busy = if traverse { Busy::Traverse } else { Busy::Free };
            }
        }
    }

    fn slot_traverse(&self, k: usize) -> bool {
        let s = self.teams[k].slot;
        s != u32::MAX && self.m.slots[s as usize].traverse != NONE
    }

    /// A slot does not take place.
    pub(super) fn cancel(&mut self, i: u32, cause: u16) {
        let slot = self.m.slots[i as usize];
        let activity = &self.m.activities[slot.activity as usize];
        let hours = activity.planned / 3600.0 * f64::from(activity.team);
        self.out.facts.add(Fact::SortiesCancelled, 1.0);
        self.lose_hours(cause, hours);
        self.say(Level::Sortie, Some(i), |s| format!("cancelled: {}", s.m.causes[cause as usize]));
    }

    /// Adds crew time of overhead, s.
    fn overhead(&mut self, seconds: f64) {
        self.out.facts.add(Fact::Overhead, seconds / 3600.0);
        self.out.facts.add(Fact::OverheadMinutes, seconds / 60.0);
    }

    pub(super) fn lose_hours(&mut self, cause: u16, hours: f64) {
        self.out.facts.add(Fact::EvaLost, hours);
        self.out.breakdown[self.arm.blocks.lost + cause as usize] += hours;
    }

    /// A draw of a slot's record.
    fn slot_draw(&self, slot: &Slot, index: u32) -> f64 {
        let a = &self.m.activities[slot.activity as usize];
        self.luck.uniform(self.campaign, a.hash, u64::from(slot.number), purpose::SLOT, index)
    }

    /// The end of egress: how long to stay (rule 13).
    pub(super) fn go_out(&mut self, k: usize) {
        let now = self.teams[k].t;
        self.now = now;
        self.teams[k].out_at = now;
        self.release_port(k);
        let members = self.teams[k].members;
        walk::release_berths(&mut self.places, members);
        for p in each_of(members) {
            let s = self.places.person[p].suit;
            if s != NONE {
                self.suit_out[s as usize] = k as u8;
            }
        }
        if self.teams[k].errand == Errand::Return {
            return self.walk_home(k);
        }
        let slot = self.m.slots[self.teams[k].slot as usize];
        let a = &self.m.activities[slot.activity as usize];
        let wanted = a.hours.value(&self.v, || self.slot_draw(&slot, 0));
        let distance = a.distance.value(&self.v, || self.slot_draw(&slot, 1));
        let power = a.work.value(&self.v, || self.slot_draw(&slot, 2));
        let by = a.by;
        let speed = self.pace(self.teams[k].members & !self.hurt, by);
        let t = &mut self.teams[k];
        (t.distance, t.speed, t.power) = (distance, speed, power);
        let travel = if distance > 0.0 { 2.0 * distance / speed } else { 0.0 };
        let (work, why) = self.stay(k, wanted, travel, power);
        if work < wanted {
            self.teams[k].blame(why);
            self.teams[k].cut = true;
        }
        let stay = if work > 0.0 { work + travel } else { 0.0 };
        self.teams[k].work_end = now + stay - travel / 2.0;
        let ratio = self.tissue_ratio(k);
        let f = &mut self.out.facts.value[Fact::PrebreatheRatioMax as usize];
        *f = f.max(ratio);
        for p in each_of(self.teams[k].members) {
            self.crew[p].clock.set_power(now, power);
        }
        self.draw_hits(k, &slot, stay);
        if stay <= 0.0 {
            return self.at_the_door(k);
        }
        self.teams[k].phase = Phase::Outside;
        self.plan_outside(k);
    }

    /// Highest tissue N2 over suit pressure of a team.
    fn tissue_ratio(&self, k: usize) -> f64 {
        each_of(self.teams[k].members).fold(0.0, |r: f64, p| match self.suit_kind(p) {
            Some((_, kind)) => r.max(crate::physics::prebreathe::ratio(
                self.crew[p].tissue_now(self.now),
                kind.pressure,
            )),
            None => r,
        })
    }

    /// Work in s and what limits it.
    fn stay(&self, k: usize, wanted: f64, travel: f64, power: f64) -> (f64, u16) {
        let now = self.teams[k].t;
        let members = self.teams[k].members;
        let ingress = self.arm.layout.ports[self.teams[k].home_port as usize].ingress;
        let back = self.mean_time(k, ingress, false);
        let safe = self.mean_time(k, ingress, true);
        let reserve = self.m.rules.reserve.of(&self.v);
        let walk = self.m.crew.walk.value(&self.v, || 0.5);
        let mut best = (wanted, cause::SHORTER);
        for p in each_of(members) {
            let duty =
                self.m.rules.duty_day.of(&self.v) - (now - self.crew[p].duty_start) - travel - back;
            if duty < best.0 {
                best = (duty, cause::DUTY);
            }
            let mut clock = self.crew[p].clock;
            clock.advance(now);
            // Primary energy left, less walking both ways, ingress and reserve at the rate of work.
            let energy = clock.support.primary - walk * travel - power * (safe + reserve);
            let supply = (energy / power).min(clock.support.battery - travel - safe - reserve);
            if supply < best.0 {
                best = (supply, cause::SUPPLY);
            }
        }
        (best.0.max(0.0), best.1)
    }

    /// Crossings of the hazards outside (rule 16): per person-hour from the end of egress until safe;
    /// per team sortie at a moment uniform over the planned time outside.
    fn draw_hits(&mut self, k: usize, slot: &Slot, stay: f64) {
        let members = self.teams[k].members;
        let n = members.count_ones();
        let out = self.teams[k].out_at;
        let horizon = stay + 24.0 * 3600.0;
        let mut index = FIRST_HAZARD;
        for i in 0..self.arm.outside.len() {
            let id = self.arm.outside[i];
            let m = &self.m.modes[id as usize];
            match (m.trigger, m.hazard) {
                (Trigger::HourOutside, Hazard::Rate(r)) => {
                    let rate = r.of(&self.v);
                    for (rank, p) in each_of(members).enumerate() {
                        let u = self.slot_draw(slot, index + rank as u32);
                        // Cheap first: no crossing within a day.
                        if u < (-rate * horizon).exp() {
                            continue;
                        }
                        let at = out + -u.ln() / rate;
                        self.teams[k].add_hit(Hit { at, mode: id, person: p as u8 });
                    }
                    index += 8;
                }
                (Trigger::Sortie, Hazard::Demand(p)) => {
                    let u = self.slot_draw(slot, index);
                    if u > 1.0 - p.of(&self.v) {
                        let share = self.slot_draw(slot, index + 1);
                        let whose = (self.slot_draw(slot, index + 2) * f64::from(n)) as usize;
                        let person = each_of(members).nth(whose).unwrap_or(0) as u8;
                        self.teams[k].add_hit(Hit { at: out + share * stay, mode: id, person });
                    }
                    index += 8;
                }
                _ => index += 8,
            }
        }
    }

    /// The next thing that happens to a team outside: a hit, the end of work, the door.
    fn plan_outside(&mut self, k: usize) {
        let t = &self.teams[k];
        let end = match t.phase {
            Phase::Walking => t.end,
            _ => t.work_end,
        };
        let hit = (t.hit_next < t.hit_count).then(|| t.hits[t.hit_next].at);
        let at = hit.map_or(end, |h| h.min(end)).max(self.now);
        self.plan_team(k, at);
    }

    /// An event of a team outside.
    pub(super) fn outside_event(&mut self, k: usize) {
        self.teams[k].t = self.now;
        let asked = self.hits_due(k);
        match self.teams[k].phase {
            Phase::Outside => {
                let done = self.now >= self.teams[k].work_end - 1e-9;
                if asked || done {
                    self.turn_back(k);
                } else {
                    self.plan_outside(k);
                }
            }
            Phase::Walking => {
                if self.now >= self.teams[k].end - 1e-9 {
                    self.at_the_door(k);
                } else {
                    if asked {
                        self.turn_back(k);
                    }
                    self.plan_outside(k);
                }
            }
            _ => {}
        }
    }

    /// Hits that are due strike. True if one asks for return.
    pub(super) fn hits_due(&mut self, k: usize) -> bool {
        let mut asked = false;
        while self.teams[k].hit_next < self.teams[k].hit_count {
            let hit = self.teams[k].hits[self.teams[k].hit_next];
            if hit.at > self.now {
                break;
            }
            self.teams[k].hit_next += 1;
            asked |= self.hit(k, hit);
        }
        asked
    }

    fn hit(&mut self, k: usize, hit: Hit) -> bool {
        let p = hit.person as usize;
        if !self.crew[p].clock.open || self.teams[k].members & 1 << p == 0 {
            return false;
        }
        let (effect, cause) = {
            let m = &self.m.modes[hit.mode as usize];
            (m.effect, m.cause)
        };
        self.out.record.modes |= 1 << hit.mode.min(127);
        self.say(Level::Event, self.slot_of(k), |s| {
            format!("{} strikes {}", s.m.modes[hit.mode as usize].name, s.m.crew.names[p])
        });
        match effect {
            Effect::CrewIncapacitated => self.incapacitate(p, hit),
            Effect::SuitUnusable => self.spoil_suit(p, hit.mode),
            Effect::ReturnNow => {
                if self.m.modes[hit.mode as usize].suit {
                    self.out.facts.add(Fact::SuitFailures, 1.0);
                }
            }
            _ => return false,
        }
        if effect == Effect::CrewIncapacitated {
            self.teams[k].troubled_by(cause);
        }
        if self.teams[k].door_at < 0.0 {
            self.teams[k].blame(cause);
            self.teams[k].cut = true;
        }
        true
    }

    fn incapacitate(&mut self, p: usize, hit: Hit) {
        if self.hurt & 1 << p != 0 {
            return;
        }
        self.hurt |= 1 << p;
        self.out.facts.add(Fact::Incapacitations, 1.0);
        let m = &self.m.modes[hit.mode as usize];
        let (hash, at) = (self.m.crew.hashes[p] ^ m.hash, hit.at);
        let occasion = (at * 1e3) as u64;
        let (luck, campaign) = (self.luck, self.campaign);
        let limit = m.treatment.as_ref().map(|t| {
            t.value(&self.v, || luck.uniform(campaign, hash, occasion, purpose::MEDICAL, 0))
        });
        let c = &mut self.crew[p];
        c.hurt_at = at;
        c.treat_by = limit.map_or(f64::INFINITY, |l| at + l);
        c.severity = m.severity;
        c.hurt_mode = hit.mode;
        c.rescued = false;
        c.off_cause = m.cause;
    }

    /// A suit fault outside: the suit is out until mended.
    fn spoil_suit(&mut self, p: usize, mode: u16) {
        self.out.facts.add(Fact::SuitFailures, 1.0);
        let s = self.places.person[p].suit;
        if s != NONE {
            self.open_suit_job(s, mode);
        }
    }

    /// Work is over: back to the door from where the team is by now.
    pub(super) fn turn_back(&mut self, k: usize) {
        let now = self.now;
        let members = self.teams[k].members;
        let by = self.slot_by(k);
        let t = &self.teams[k];
        let far = match t.phase {
            Phase::Walking => self.metres_left(k),
            _ => ((now - t.out_at) * t.speed).min(t.distance),
        };
        let newly_hurt = members & self.hurt;
        let speed = self.pace(members, by);
        let able = members & !self.hurt;
        let lift = if newly_hurt != 0 && able != 0 && far > 0.0 {
            self.m.crew.lift.value(&self.v, || 0.5)
        } else {
            0.0
        };
        let t = &mut self.teams[k];
        t.far = far;
        t.back_speed = speed;
        t.phase = Phase::Walking;
        t.t = now;
        let walk = if far > 0.0 { far / speed } else { 0.0 };
        t.end = now + lift + walk;
        for p in each_of(members) {
            let with = newly_hurt != 0 && self.hurt & 1 << p == 0;
            let hurt = self.hurt & 1 << p != 0;
            let vary = match (hurt, with) {
                (true, _) => &self.m.crew.rest,
                (_, true) => &self.m.crew.with_casualty,
                _ => &self.m.crew.walk,
            };
            let power = if far > 0.0 { vary.value(&self.v, || 0.5) } else { self.teams[k].power };
            self.crew[p].clock.set_power(now, power);
        }
        if able == 0 {
            // Nobody can walk: they are stranded where they are.
            self.teams[k].door_at = now;
            self.count_done(k);
            return self.strand(k);
        }
        if self.teams[k].end <= now {
            return self.at_the_door(k);
        }
        self.plan_outside(k);
    }

    fn metres_left(&self, k: usize) -> f64 {
        let t = &self.teams[k];
        ((t.end - self.now) * t.back_speed).clamp(0.0, t.far)
    }

    fn slot_by(&self, k: usize) -> By {
        let s = self.teams[k].slot;
        if s == u32::MAX {
            return By::Foot;
        }
        self.m.activities[self.m.slots[s as usize].activity as usize].by
    }

    /// At the door: hours outside end, dust is on the suits, ingress begins.
    pub(super) fn at_the_door(&mut self, k: usize) {
        self.teams[k].t = self.now;
        self.teams[k].door_at = self.now;
        self.count_done(k);
        self.pick_up_dust(k);
        let power = self.teams[k].power;
        for p in each_of(self.teams[k].members) {
            self.crew[p].clock.set_power(self.now, power);
        }
        self.come_in(k);
    }

    fn count_done(&mut self, k: usize) {
        let t = &mut self.teams[k];
        if t.out_at >= 0.0 {
            t.done = (t.door_at - t.out_at).max(0.0);
        }
    }

    /// Begins the planned ingress of the home port, or waits and looks for ways back.
    pub(super) fn come_in(&mut self, k: usize) {
        let port = self.teams[k].home_port;
        if self.lost_element[self.arm.layout.ports[port as usize].element as usize] {
            return self.strand(k);
        }
        let user = self.port_user[port as usize];
        if user != u8::MAX && user != k as u8 {
            self.teams[k].port = port;
            return self.strand(k);
        }
        self.hold_port(k, port);
        let list = self.ingress_list(k, port);
        self.enter_ready(k, list);
        self.resume(k);
    }

    /// Ingress, or service-in when indoor maintenance of a suit is due and there is a way indoors.
    fn ingress_list(&self, k: usize, port: u16) -> u16 {
        let p = &self.arm.layout.ports[port as usize];
        if p.service_in == NONE || self.teams[k].errand != Errand::Sortie {
            return p.ingress;
        }
        let due = each_of(self.teams[k].members).any(|q| match self.suit_kind(q) {
            Some((s, kind)) => {
                kind.maintenance_every.is_some_and(|n| self.suit_sorties[s] + 1 >= n)
            }
            None => false,
        });
        let hurt = self.teams[k].members & self.hurt != 0;
        if due && !hurt { p.service_in } else { p.ingress }
    }

    /// A list is done. True if the team walks on (another list was entered).
    pub(super) fn list_done(&mut self, k: usize) -> bool {
        self.now = self.teams[k].t;
        let list = self.teams[k].list as usize;
        match self.arm.layout.lists[list].kind {
            ListKind::Egress | ListKind::ServiceOut if self.teams[k].then != NONE => {
                self.ready_done(k);
                true
            }
            ListKind::Egress | ListKind::ServiceOut => {
                self.go_out(k);
                false
            }
            ListKind::Ingress | ListKind::ServiceIn | ListKind::WayBack => {
                self.arrive_home(k);
                false
            }
            ListKind::Restore => {
                self.restored(k);
                false
            }
        }
    }

    /// Everybody of the team is in: the sortie's books are closed.
    pub(super) fn arrive_home(&mut self, k: usize) {
        walk::release_berths(&mut self.places, self.teams[k].members | self.teams[k].rescuers);
        self.exposure.mark(&mut self.rooms, self.now);
        self.close_slot(k);
        self.suits_home(k);
        let members = self.teams[k].members | self.teams[k].rescuers;
        for p in each_of(members) {
            self.crew[p].last_end = self.now;
            self.off_duty(p);
        }
        let irregular =
            self.teams[k].way != NONE || self.teams[k].aborted || self.teams[k].tried != 0;
        self.free_members(k);
        each_of(members).for_each(|p| self.look_home(p));
        if irregular {
            self.look_at_ports(self.teams[k].trouble);
        }
        self.release_port(k);
        self.teams[k].clear();
        self.look_around();
    }

    /// Hours, overhead, door to door of the slot the team keeps the books of.
    pub(super) fn close_slot(&mut self, k: usize) {
        let t = &self.teams[k];
        if !t.books || t.slot == u32::MAX {
            return;
        }
        let i = t.slot;
        let slot = self.m.slots[i as usize];
        let n = slot.roster.count_ones();
        let a = &self.m.activities[slot.activity as usize];
        let planned = a.planned;
        let went = t.out_at >= 0.0;
        let done = if went { t.done.min(planned) } else { 0.0 };
        let (elapsed, outside, cut) = (t.elapsed, t.done, t.cut);
        let cause = if t.has_cause { t.cause } else { cause::SHORTER };
        let overhead = (self.now - t.started - done).max(0.0);
        self.teams[k].books = false;
        let people = f64::from(n);
        let f = &mut self.out.facts;
        if went {
            f.add(Fact::SortiesDone, 1.0);
            f.add(Fact::DoorToDoor, elapsed / 60.0);
            if cut {
                f.add(Fact::SortiesCutShort, 1.0);
            }
        } else {
            f.add(Fact::SortiesCancelled, 1.0);
        }
        f.add(Fact::EvaDone, done / 3600.0 * people);
        self.overhead(overhead * people);
        self.lose_hours(cause, (planned - done) / 3600.0 * people);
        self.say(Level::Sortie, Some(i), |s| s.slot_words(i, went, outside, cut.then_some(cause)));
    }

    /// Suits come home: count sorties, maintain what is due and indoors.
    fn suits_home(&mut self, k: usize) {
        if self.teams[k].out_at < 0.0 || self.teams[k].errand != Errand::Sortie {
            return;
        }
        for s in 0..self.arm.layout.suits.len() {
            if self.suit_out[s] == k as u8 {
                self.suit_out[s] = u8::MAX;
                self.suit_sorties[s] += 1;
                self.maintain(s);
            }
        }
    }

    fn maintain(&mut self, s: usize) {
        let kind = &self.m.suits[self.arm.layout.suits[s].kind as usize];
        let Some(every) = kind.maintenance_every else {
            return;
        };
        let Kept::Volume(v) = self.places.suit[s].kept else {
            return;
        };
        if self.suit_sorties[s] < every || v == OUTSIDE {
            return;
        }
        let hash = crate::stream::fnv1a64(&self.arm.layout.suits[s].path);
        let occasion = u64::from(self.suit_services[s]);
        let (luck, campaign) = (self.luck, self.campaign);
        let takes = kind
            .maintenance_takes
            .value(&self.v, || luck.uniform(campaign, hash, occasion, purpose::MAINTENANCE, 0));
        let sheds = kind.maintenance_sheds.of(&self.v);
        self.suit_sorties[s] = 0;
        self.suit_services[s] += 1;
        self.upkeep(UpkeepCause::Suit, takes);
        self.shed(s, v, sheds, crate::model::DustPath::Maintenance);
    }

    /// A hurt person who is in goes off duty.
    fn off_duty(&mut self, p: usize) {
        if self.hurt & 1 << p == 0 {
            return;
        }
        self.hurt &= !(1 << p);
        let mode = self.crew[p].hurt_mode as usize;
        let hash = self.m.crew.hashes[p] ^ self.m.modes[mode].hash;
        let occasion = (self.crew[p].hurt_at * 1e3) as u64;
        let (luck, campaign) = (self.luck, self.campaign);
        let days = self.m.modes[mode]
            .off_duty
            .value(&self.v, || luck.uniform(campaign, hash, occasion, purpose::MEDICAL, 1));
        self.crew[p].off_until = self.now + days;
        if days.is_finite() && self.now + days < self.m.horizon {
            self.plan(self.now + days, Event::Look);
        }
    }

    /// A weather event calls teams outside back.
    pub(super) fn call_back(&mut self, effect: EnvironmentEffect, cause: u16) {
        if effect != EnvironmentEffect::StandDown {
            return;
        }
        for k in 0..TEAMS {
            if self.teams[k].phase == Phase::Outside && self.teams[k].errand == Errand::Sortie {
                self.teams[k].blame(cause);
                self.teams[k].cut = true;
                self.turn_back(k);
            }
        }
    }
}
