//! Filters load with the dust they hold: a full one passes less air or holds less of the dust in it,
//! as the file says, and is changed by the crew.
//!
//! The air and surface solution needs rates that stay, so the load acts in steps: once a day each
//! filter is looked at, and its volume goes on with the rates of the last of [`STEPS`] equal steps of
//! load that it has passed. A filter that has reached its capacity is changed on that day if there is a
//! spare; without one it stays as a full one.

use crate::campaign::agenda::Event;
use crate::campaign::owner::room_law::RoomLaw;
use crate::campaign::world::World;
use crate::model::{Arm, Purpose, UpkeepCause};
use crate::plan::{NONE, VolumeId};

/// Steps of load between a clean filter and a full one.
const STEPS: usize = 8;
/// Time between two looks, s.
const LOOK_EVERY: f64 = 86_400.0;

/// One filter that loads.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Filter {
    /// Volume.
    volume: VolumeId,
    /// Room of it.
    room: u16,
    /// First law of a loaded filter among the laws of the rooms.
    first_law: u16,
    /// Steps passed.
    step: u16,
    /// What the filters before this one had taken, kg.
    before: f64,
    /// Changes so far.
    changes: u32,
}

/// The filters of an architecture that load, in order of their volumes.
pub(in crate::campaign) fn filters_of(arm: &Arm) -> Vec<Filter> {
    let loads = |v: &VolumeId| arm.volumes[*v].filter_life.is_some();
    let filter = |v: VolumeId| Filter {
        volume: v,
        room: arm.volumes[v].room,
        first_law: NONE,
        step: 0,
        before: 0.0,
        changes: 0,
    };
    arm.volumes.ids().skip(1).filter(loads).map(filter).filter(|f| f.room != NONE).collect()
}

impl World<'_> {
    /// Lays out the laws of loaded filters behind those of the rooms.
    pub(in crate::campaign) fn begin_filters(&mut self) {
        for i in 0..self.dust.filters.len() {
            let v = self.dust.filters[i].volume;
            let first = self.dust.room_table.laws.len() as u16;
            self.dust.filters[i] = Filter {
                first_law: first,
                step: 0,
                before: 0.0,
                changes: 0,
                ..self.dust.filters[i]
            };
            for step in 1..=STEPS {
                let law = self.loaded_law(v, step as f64 / STEPS as f64);
                self.dust.room_table.laws.push(law);
            }
        }
    }

    /// Law of a volume whose filter is loaded to a share of its capacity.
    fn loaded_law(&self, v: VolumeId, load: f64) -> RoomLaw {
        let Some(life) = &self.arm.volumes[v].filter_life else {
            return self.room_law(v, 1.0);
        };
        let left = |share: f64| 1.0 - (1.0 - share) * load;
        let flow = left(life.flow_left.of(&self.v));
        self.room_law(v, flow * left(life.efficiency_left.of(&self.v)))
    }

    /// First look at the filters.
    pub(in crate::campaign) fn plan_filters(&mut self) {
        if !self.dust.filters.is_empty() {
            self.plan(LOOK_EVERY, Event::Filters);
        }
    }

    /// Law by which the dust of a room moves now.
    pub(in crate::campaign) fn law_of_room(&self, room: u16) -> u16 {
        match self.dust.filters.iter().find(|f| f.room == room) {
            Some(f) if f.step > 0 => f.first_law + f.step - 1,
            _ => room,
        }
    }

    /// The daily look.
    pub(in crate::campaign) fn look_at_filters(&mut self) {
        for i in 0..self.dust.filters.len() {
            self.look_at_filter(i);
        }
        self.next(LOOK_EVERY, Event::Filters);
    }

    fn look_at_filter(&mut self, i: usize) {
        let f = self.dust.filters[i];
        let arm = self.arm;
        let Some(life) = &arm.volumes[f.volume].filter_life else {
            return;
        };
        self.dust.rooms.advance(f.room, self.now);
        let taken = self.dust.rooms.books(f.room).filter.iter().sum::<f64>();
        let share = (taken - f.before) / life.capacity.of(&self.v);
        let mut step = ((share * STEPS as f64) as u16).min(STEPS as u16);
        if share >= 1.0 && self.change_filter(i, taken) {
            step = 0;
        }
        if step != f.step {
            self.dust.filters[i].step = step;
            if self.places.pressure(f.volume) > self.vacuum() {
                let law = self.law_of_room(f.room);
                self.dust.rooms.pressurise(f.room, self.now, law);
            }
        }
    }

    /// A full filter is changed, if there is a spare and somebody able inside.
    fn change_filter(&mut self, i: usize, taken: f64) -> bool {
        let f = self.dust.filters[i];
        let arm = self.arm;
        let Some(life) = &arm.volumes[f.volume].filter_life else {
            return false;
        };
        let host = arm.layout.volumes[f.volume].element;
        let short = life.spare.is_some_and(|s| !self.jobs.in_stock(s));
        if short || self.inside_of_element(host) == 0 {
            return false;
        }
        if let Some(s) = life.spare {
            self.use_spare(s);
        }
        let takes = life.change.value(&self.v, || {
            self.draw_at(life.hash, u64::from(f.changes), Purpose::FilterChange)
        });
        self.upkeep(UpkeepCause::Filter, takes);
        self.dust.filters[i].before = taken;
        self.dust.filters[i].changes += 1;
        self.say(crate::campaign::trace::Level::Event, None, |s| {
            format!("the filter of {} is changed", s.arm.layout.volumes[f.volume].path)
        });
        true
    }

    /// Floor cleaning of a volume of an access system, while it is habitable.
    pub(in crate::campaign) fn clean_volume(&mut self, v: VolumeId) {
        let arm = self.arm;
        let Some((every, removes, takes)) = &arm.volumes[v].cleaning else {
            return;
        };
        let room = arm.volumes[v].room;
        if room != NONE && self.places.is_habitable(&arm.layout, v) {
            self.dust.rooms.clean_floor(room, self.now, removes.of(&self.v));
            let hash = crate::base::stream::fnv1a64(&arm.layout.volumes[v].path);
            let draw = || self.draw_at(hash, self.now as u64, Purpose::Cleaning);
            let takes = takes.value(&self.v, draw);
            self.upkeep(UpkeepCause::Cleaning, takes);
        }
        self.next(every.of(&self.v), Event::CleanVolume(v));
    }
}
