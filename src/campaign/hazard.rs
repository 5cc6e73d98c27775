//! Failures: thresholds that hazards use up (rule 29), common cause (rule 30), what a strike does.
//!
//! Hazards advance in [`Play::advance`] and nowhere else: there `multiplier` acts on what is compared
//! with the threshold (1 in plain play), while natural hazard and events are booked (rule 34).

use super::play::{Event, Play};
use crate::layout::{Stuck, each_of};
use crate::model::{Arm, Demands, Hazard, Mode, Model, Part, Purpose, cause};
use crate::outcome::{group_bit, mode_bit};
use crate::scenario::{During, Effect, Trigger};

/// State of every mode on every part.
#[derive(Clone, Debug, Default)]
pub(super) struct Parts {
    /// What is left of the threshold.
    pub(super) left: Vec<f64>,
    /// Hazard of one demand (own share).
    pub(super) each: Vec<f64>,
    /// Age: cycles or demands.
    pub(super) age: Vec<f64>,
    /// Renewals so far.
    pub(super) renewal: Vec<u32>,
    /// Struck and not mended.
    pub(super) struck: Vec<bool>,
    /// The strike is known.
    pub(super) known: Vec<bool>,
    /// Per group: what is left, last occasion, renewals.
    pub(super) group_left: Vec<f64>,
    pub(super) group_seen: Vec<u64>,
    pub(super) group_renewal: Vec<u32>,
    /// Part mode that stuck each opening; `u16::MAX` if none.
    pub(super) stuck_by: Vec<u16>,
    /// Leak multiplier of each opening.
    pub(super) leak: Vec<f64>,
    /// Openings that do not hold their pressure check: part mode; `u16::MAX` if they hold.
    pub(super) not_holding: Vec<u16>,
    /// Pump, stage lost: part mode or `u16::MAX`.
    pub(super) pump_lost: Vec<u16>,
    pub(super) stage_lost: Vec<u16>,
    /// Suit unusable: part mode or `u16::MAX` (known or not).
    pub(super) suit_bad: Vec<u16>,
    /// Rows on the opening take longer.
    pub(super) slow: Vec<f64>,
    /// The same of pumps and stages.
    pub(super) slow_pump: Vec<f64>,
    pub(super) slow_stage: Vec<f64>,
    /// Strikes since it was last mended.
    pub(super) strikes: Vec<u32>,
    /// Factor on the hazard by [`Dust`].
    pub(super) dust: Vec<[f64; 3]>,
    /// What acts on the thresholds beside nature: 1 in plain play, one per part mode.
    pub(super) multiplier: Vec<f64>,
}

/// No part mode.
pub(super) const NO: u16 = u16::MAX;

impl Parts {
    pub(super) fn new(m: &Model, arm: &Arm) -> Parts {
        let n = arm.part_modes.len();
        let l = &arm.layout;
        let _ = m;
        Parts {
            left: vec![0.0; n],
            each: vec![0.0; n],
            age: vec![0.0; n],
            renewal: vec![0; n],
            struck: vec![false; n],
            known: vec![false; n],
            group_left: vec![0.0; arm.groups.len()],
            group_seen: vec![0; arm.groups.len()],
            group_renewal: vec![0; arm.groups.len()],
            stuck_by: vec![NO; l.openings.len()],
            leak: vec![1.0; l.openings.len()],
            not_holding: vec![NO; l.openings.len()],
            pump_lost: vec![NO; l.pumps.len()],
            stage_lost: vec![NO; l.stages.len()],
            suit_bad: vec![NO; l.suits.len()],
            slow: vec![1.0; l.openings.len()],
            slow_pump: vec![1.0; l.pumps.len()],
            slow_stage: vec![1.0; l.stages.len()],
            strikes: vec![0; n],
            dust: vec![[1.0; 3]; n],
            multiplier: vec![1.0; n],
        }
    }
}

/// What a demand meets on the seal of its part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Dust {
    /// No dust that matters.
    None,
    /// Dust gets on it at this closing.
    Added,
    /// It carries dust.
    Carried,
}

/// In which part of a sortie a demand is made.
#[derive(Clone, Copy, Debug)]
pub(super) struct Occasion {
    /// Identifies egress, ingress with ways back, or service cycle of a slot (rule 30); 0: none.
    pub(super) id: u64,
    /// Which part.
    pub(super) during: During,
}

impl Play<'_> {
    pub(super) fn begin_parts(&mut self) {
        let p = &mut self.parts;
        p.age.fill(0.0);
        p.strikes.fill(0);
        p.renewal.fill(0);
        p.struck.fill(false);
        p.known.fill(false);
        p.group_seen.fill(0);
        p.group_renewal.fill(0);
        p.stuck_by.fill(NO);
        p.leak.fill(1.0);
        p.not_holding.fill(NO);
        p.pump_lost.fill(NO);
        p.stage_lost.fill(NO);
        p.suit_bad.fill(NO);
        p.slow.fill(1.0);
        p.slow_pump.fill(1.0);
        p.slow_stage.fill(1.0);
        for i in 0..self.arm.part_modes.len() {
            self.parts.each[i] = self.own_hazard(i);
            self.parts.dust[i] = self.dust_factors(i);
            self.draw_threshold(i);
        }
        for g in 0..self.arm.groups.len() {
            self.draw_group(g);
        }
    }

    pub(super) fn mode_of(&self, pm: usize) -> &Mode {
        &self.arm.modes[self.arm.part_modes[pm].mode as usize]
    }

    /// Own share of the hazard of one demand (or the rate): a member of a group keeps 1 - beta.
    pub(super) fn own_hazard(&self, pm: usize) -> f64 {
        let m = self.mode_of(pm);
        let keeps = m.group.map_or(1.0, |(_, beta)| 1.0 - beta.of(&self.v));
        match self.arm.part_modes[pm].hazard {
            Hazard::Demand(p) => -(-(p.of(&self.v).min(1.0) * keeps)).ln_1p(),
            Hazard::Rate(r) => r.of(&self.v) * keeps,
            Hazard::Weibull { .. } => 0.0,
        }
    }

    /// Factors of a mode on a clean seal, at a dirty closing and on a dirty seal. What dust adds is
    /// scaled by the body's `abrasion`; a factor below 1 adds nothing and stays.
    fn dust_factors(&self, pm: usize) -> [f64; 3] {
        let m = self.mode_of(pm);
        let (dusty, abrasion) = (m.dusty.of(&self.v), self.m.body.abrasion.of(&self.v));
        if m.only_dusty {
            return [0.0, dusty * abrasion, dusty * abrasion];
        }
        let carried = if dusty > 1.0 { 1.0 + (dusty - 1.0) * abrasion } else { dusty };
        [1.0, 1.0, carried]
    }

    pub(super) fn draw_threshold(&mut self, pm: usize) {
        let hash = self.arm.part_modes[pm].hash;
        let occasion = u64::from(self.parts.renewal[pm]);
        let u = self.draw_at(hash, occasion, Purpose::Life);
        self.parts.left[pm] = self.threshold(self.arm.part_modes[pm].mode, -u.ln());
        let m = self.mode_of(pm);
        if m.outdoors {
            self.renewed_outdoors(pm);
        } else if m.trigger == Trigger::Hour {
            self.plan_calendar_failure(pm);
        }
    }

    /// Calendar-time modes: the crossing is known when the threshold is drawn.
    pub(super) fn plan_calendar_failure(&mut self, pm: usize) {
        let left = self.parts.left[pm];
        let wait = match self.aged_at(pm, left) {
            Some(age) => age - self.parts.age[pm],
            None => left / self.parts.each[pm],
        };
        if wait.is_finite() && self.now + wait < self.m.horizon {
            let event = Event::PartFails(pm as u16, self.parts.renewal[pm]);
            self.plan(self.now + wait, event);
        }
    }

    /// Age at which a part that ages has used up `left`; `None` if it does not age.
    fn aged_at(&self, pm: usize, left: f64) -> Option<f64> {
        let age = self.parts.age[pm];
        if let Hazard::Weibull { life, shape } = self.arm.part_modes[pm].hazard {
            let (life, shape) = (life.of(&self.v), shape.of(&self.v));
            return Some(life * ((age / life).powf(shape) + left).powf(1.0 / shape));
        }
        let (from, factor) = self.mode_of(pm).worn?;
        let (from, factor, each) = (from.of(&self.v), factor.of(&self.v), self.parts.each[pm]);
        let before = (from - age).max(0.0) * each;
        Some(match left <= before {
            true => age + left / each,
            false => age.max(from) + (left - before) / (each * factor),
        })
    }

    /// Exposure of a probability or rate, where what comes after the age at which the part is worn
    /// counts as often as its factor says.
    fn worn_exposure(&mut self, pm: usize, exposure: f64) -> f64 {
        let Some((from, factor)) = self.mode_of(pm).worn else {
            return exposure;
        };
        let age = self.parts.age[pm];
        self.parts.age[pm] = age + exposure;
        let worn = (age + exposure - from.of(&self.v).max(age)).max(0.0);
        exposure + worn * (factor.of(&self.v) - 1.0)
    }

    pub(super) fn draw_group(&mut self, g: usize) {
        let occasion = u64::from(self.parts.group_renewal[g]);
        let hash = self.arm.groups[g].hash;
        let u = self.draw_at(hash, occasion, Purpose::Group);
        self.parts.group_left[g] = self.group_threshold(g, -u.ln());
        let Some(mode) = self.first_of_group(g) else { return };
        let m = &self.arm.modes[mode as usize];
        if let (Trigger::Hour, Hazard::Rate(r), Some((_, beta))) = (m.trigger, m.hazard, m.group) {
            let wait = self.parts.group_left[g] / (r.of(&self.v) * beta.of(&self.v));
            if wait.is_finite() && self.now + wait < self.m.horizon {
                self.plan(self.now + wait, Event::GroupFails(g as u16));
            }
        }
    }

    pub(super) fn part_fails(&mut self, pm: usize, renewal: u32) {
        let again = self.mode_of(pm).adds_up;
        if self.parts.renewal[pm] != renewal || self.parts.struck[pm] && !again {
            return;
        }
        if self.mode_of(pm).outdoors && !self.outdoor_failure_due(pm) {
            return;
        }
        if let Some(age) = self.aged_at(pm, self.parts.left[pm]) {
            // The age at the crossing: a repair as bad as old goes on from it (rule 29).
            self.parts.age[pm] = age;
        }
        self.strike(pm);
    }

    /// A group crosses by calendar time: nobody uses a member, so each is noticed as its mode says.
    pub(super) fn group_fails(&mut self, g: usize) {
        self.cross_group(g, None);
    }

    /// Asks every mode of a part that listens to `trigger`; returns the first in file order that
    /// acts (one without lasting effect, such as a call to return).
    #[inline]
    pub(super) fn demand(
        &mut self,
        demands: Demands,
        trigger: Trigger,
        exposure: f64,
        o: Occasion,
        dust: Dust,
    ) -> Option<u16> {
        let (first, end) = demands.of[trigger as usize];
        self.counts.demands += u64::from(end - first);
        let mut acts = None;
        for pm in first..end {
            if self.advance(pm as usize, exposure, o, dust) {
                self.out.record.met |= mode_bit(self.arm.part_modes[pm as usize].mode);
                let passing = self.strike(pm as usize);
                if passing && acts.is_none() {
                    acts = Some(self.arm.part_modes[pm as usize].mode);
                }
            }
        }
        acts
    }

    /// Advances one threshold; true when it is crossed. The one place where hazards grow.
    pub(super) fn advance(&mut self, pm: usize, exposure: f64, o: Occasion, dust: Dust) -> bool {
        let part = self.arm.part_modes[pm];
        let m = &self.arm.modes[part.mode as usize];
        if self.parts.struck[pm] && !m.adds_up {
            return false;
        }
        if m.during.is_some_and(|d| d != o.during) {
            return false;
        }
        // A member that never strikes has no part in its group.
        if part.group != NO && m.trigger != Trigger::Hour && !self.never(part.mode) {
            self.advance_group(pm, m, exposure, o);
            if self.parts.struck[pm] && !m.adds_up {
                return false;
            }
        }
        let natural = match part.hazard {
            Hazard::Weibull { life, shape } => {
                let (life, shape) = (life.of(&self.v), shape.of(&self.v));
                let age = self.parts.age[pm];
                self.parts.age[pm] = age + exposure;
                ((age + exposure) / life).powf(shape) - (age / life).powf(shape)
            }
            _ => self.parts.each[pm] * self.worn_exposure(pm, exposure),
        };
        let factor = self.parts.dust[pm][dust as usize];
        if factor == 0.0 {
            // A certain demand is an infinite hazard: nothing of it counts here.
            return false;
        }
        let left = self.parts.left[pm] - natural * factor * self.parts.multiplier[pm];
        self.parts.left[pm] = left;
        left <= 0.0
    }

    /// Advances the common-cause group of a member that is used, once per occasion (rule 30).
    fn advance_group(&mut self, pm: usize, m: &Mode, exposure: f64, o: Occasion) {
        let g = self.arm.part_modes[pm].group as usize;
        if o.id != 0 && self.parts.group_seen[g] == o.id && matches!(m.hazard, Hazard::Demand(_)) {
            return;
        }
        self.parts.group_seen[g] = o.id;
        let Some((_, beta)) = m.group else { return };
        let hazard = match m.hazard {
            Hazard::Demand(p) => -(-(p.of(&self.v).min(1.0) * beta.of(&self.v))).ln_1p(),
            Hazard::Rate(r) => r.of(&self.v) * beta.of(&self.v) * exposure,
            Hazard::Weibull { .. } => 0.0,
        };
        self.parts.group_left[g] -= hazard;
        if self.parts.group_left[g] <= 0.0 {
            self.cross_group(g, Some(self.arm.part_modes[pm].part));
        }
    }

    /// A common cause fails all members. Those that are not the part in use are found when they are
    /// used: until then nobody knows, ways by them are open and no repair begins.
    fn cross_group(&mut self, g: usize, used: Option<Part>) {
        self.out.record.groups |= group_bit(g);
        self.forced_group(g);
        self.say_link(None, |s| format!("common cause: {}", s.arm.groups[g].name));
        for i in 0..self.arm.groups[g].members.len() {
            let pm = self.arm.groups[g].members[i] as usize;
            if self.never(self.arm.part_modes[pm].mode) {
                continue;
            }
            if !self.parts.struck[pm] || self.mode_of(pm).adds_up {
                self.strike_seen(pm, used.is_none_or(|x| x == self.arm.part_modes[pm].part));
            }
        }
        self.parts.group_renewal[g] += 1;
        self.draw_group(g);
    }

    /// Every yes/no of play goes through here (rule 34). Nothing is drawn for 0 and 1.
    pub(super) fn chance(&mut self, address: (u64, u64), what: Purpose, p: f64) -> bool {
        if p <= 0.0 {
            return false;
        }
        if p >= 1.0 {
            return true;
        }
        self.draw_at(address.0, address.1, what) < p
    }

    /// The uniform number at an address (rule 33).
    #[inline]
    pub(super) fn draw_at(&self, path: u64, occasion: u64, what: Purpose) -> f64 {
        what.draw(self.luck, self.campaign, path, occasion)
    }

    /// The cause of lost hours behind a known stuck opening of a port or a lost element.
    pub(super) fn port_trouble(&self, port: u16) -> Option<u16> {
        let p = &self.arm.layout.ports[port as usize];
        if self.lost_element[p.element as usize] {
            let lost = (0..self.parts.struck.len())
                .find(|i| self.parts.struck[*i] && self.mode_of(*i).effect == Effect::ElementLost);
            return Some(lost.map_or(0, |i| self.mode_of(i).cause));
        }
        let berths = &p.berths;
        for o in &p.openings {
            let state = &self.places.opening[*o as usize];
            if !state.known || state.stuck == Stuck::Free || self.is_without(*o) {
                continue;
            }
            let of_berth = berths.iter().any(|b| {
                let b = &self.arm.layout.berths[*b as usize];
                [b.interface, b.port_hatch, b.suit_hatch].contains(o)
            });
            if !of_berth {
                let pm = self.parts.stuck_by[*o as usize];
                return Some(if pm == NO {
                    cause::INTERLOCK
                } else {
                    self.mode_of(pm as usize).cause
                });
            }
        }
        None
    }

    /// Berths of a port with a usable suit and nothing known stuck.
    pub(super) fn berths_ready(&self, port: u16) -> u32 {
        let l = &self.arm.layout;
        let ready = |b: &&u16| {
            let berth = &l.berths[**b as usize];
            let free = |o: u16| {
                let s = &self.places.opening[o as usize];
                !(s.known && s.stuck != Stuck::Free)
            };
            let suit = self.places.suit_at(**b).is_some_and(|s| self.places.suit[s].usable);
            suit && free(berth.interface) && free(berth.port_hatch) && free(berth.suit_hatch)
        };
        l.ports[port as usize].berths.iter().filter(ready).count() as u32
    }

    /// Mode of a hurt person's cause, or the first known trouble among persons.
    pub(super) fn hurt_cause(&self, crew: u16) -> Option<u16> {
        each_of(crew & self.hurt).next().map(|p| {
            let mode = self.crew[p].hurt_mode;
            self.arm.modes[mode as usize].cause
        })
    }
}
