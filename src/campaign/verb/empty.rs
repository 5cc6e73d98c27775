//! `depress` and `vent` of volumes: the pump or the valve, how long it takes, where the gas goes.

use super::Task;
use crate::campaign::owner::gas::Fate;
use crate::campaign::owner::parts::Dust;
use crate::campaign::walk::failed::Failure;
use crate::campaign::world::World;
use crate::model::{GasCause, row_time};
use crate::plan::{GasEnd, NONE, On, Row, Stuck, VolumeId, step::pressure};
use crate::scenario::{Action, Trigger};

impl World<'_> {
    /// The pump of a `depress` row.
    pub(in crate::campaign) fn pump_of_row(&self, row: &Row) -> Option<usize> {
        match (row.action, row.on) {
            (Action::Depress, On::Volumes([v, ..], _)) => {
                let pump = self.arm.volumes[v].pump;
                (pump != NONE).then_some(pump as usize)
            }
            _ => None,
        }
    }

    /// Is the pump of a `depress` row known to be lost?
    pub(in crate::campaign) fn pump_known_lost(&self, row: &Row) -> bool {
        let lost = self.pump_of_row(row).and_then(|p| self.faults.pump_lost(p));
        lost.is_some_and(|pm| self.parts.known(pm as usize))
    }

    /// How long the pump runs, s. Who knows that it is lost does not wait for it; who does not lets it run.
    pub(in crate::campaign) fn depress_time(&self, t: &Task) -> f64 {
        let On::Volumes([v, ..], _) = t.row.on else { return 0.0 };
        let (from, to) = (self.places.pressure(v), t.l.level(t.row, v));
        let Some(pump) = self.pump_of_row(t.row).filter(|_| from > to) else { return 0.0 };
        if self.pump_known_lost(t.row) {
            return 0.0;
        }
        let play = &self.numbers.pumps[pump];
        let volume = self.free_volume(v);
        let swing = row_time::pumped(volume, play.speed, play.reservoir, (from, to));
        swing * self.faults.slow_pump(pump)
    }

    /// How long it takes through the valves, the slowest of the volumes, s.
    pub(in crate::campaign) fn vent_time(&self, t: &Task) -> f64 {
        t.volumes().fold(0.0, |longest: f64, v| {
            let to = t.l.level(t.row, v);
            let from = self.places.pressure(v);
            longest.max(self.valve_time(v, from, to).unwrap_or(0.0))
        })
    }

    /// Through the volume's valve to outside, choked then subsonic; `None` without a valve.
    fn valve_time(&self, v: VolumeId, from: f64, to: f64) -> Option<f64> {
        if from <= to {
            return Some(0.0); // also without a valve
        }
        let valve = self.arm.volumes[v].valve;
        let orifice = self.numbers.openings.get(valve)?.orifice?;
        let t = self.air.gas.temperature(v);
        let volume = self.free_volume(v);
        let slow = self.faults.slow(valve);
        let (ambient, mix) = (self.arm.layout.ambient, self.air.gas.mix(v));
        row_time::vented(volume, orifice, (from, to), ambient, mix, t).map(|t| t * slow)
    }

    /// Asks the pump. One that dies in its run has moved nothing; one that was lost is found.
    pub(in crate::campaign) fn ask_depress(&mut self, t: &Task) -> Result<(), Failure> {
        let Some(pump) = self.pump_of_row(t.row) else { return Ok(()) };
        let ran = self.faults.pump_lost(pump).is_none();
        self.ask_pump(t, pump)?;
        let Some(lost) = self.faults.pump_lost(pump) else { return Ok(()) };
        self.find(lost as usize);
        Err(if ran { Failure::PumpDied(lost) } else { Failure::Lost(lost) })
    }

    fn ask_pump(&mut self, t: &Task, pump: usize) -> Result<(), Failure> {
        let d = &self.arm.on_pump[pump];
        let (lost, known) = (self.faults.pump_lost(pump), self.pump_known_lost(t.row));
        if lost.is_some() || self.faults.slow_pump(pump) != 1.0 {
            self.find_by_use(d);
        }
        if let Some(by) = lost {
            // Found by its run, it is as if it had died in it.
            return if known { Ok(()) } else { Err(Failure::PumpDied(by)) };
        }
        let o = self.occasion(t.k);
        let ran = self.teams[t.k].leg.end - self.teams[t.k].leg.t;
        self.demand(d, Trigger::Start, 1.0, o, Dust::None);
        self.demand(d, Trigger::Running, ran, o, Dust::None);
        Ok(())
    }

    /// Asks the valve, and whether it keeps a `vent` from emptying anything.
    pub(in crate::campaign) fn ask_vent(&mut self, t: &Task) -> Result<(), Failure> {
        let arm = self.arm;
        if let On::Volumes([v, ..], _) = t.row.on
            && arm.volumes[v].valve.is_some()
        {
            let d = &arm.on_opening[arm.volumes[v].valve];
            let o = self.occasion(t.k);
            self.demand(d, Trigger::Opening, 1.0, o, Dust::None);
        }
        match self.stuck_valve(t) {
            Some(pm) => {
                self.find(pm as usize);
                Err(Failure::Lost(pm))
            }
            None => Ok(()),
        }
    }

    /// Part mode of a valve that keeps a `vent` to outside from emptying anything, whatever time the row
    /// says: the volumes have valves and none of them moves.
    fn stuck_valve(&self, t: &Task) -> Option<u16> {
        if t.row.gas != GasEnd::Outside {
            return None;
        }
        let mut stuck = None;
        for v in t.volumes() {
            let valve = self.arm.volumes[v].valve;
            if valve.is_none() {
                continue;
            }
            if self.places.opening[valve].stuck != Stuck::Shut {
                return None;
            }
            stuck = stuck.or(self.faults.stuck_by(valve));
        }
        stuck
    }

    /// Empties volumes: airborne dust leaves with the gas, who is in there breathes what is left.
    pub(in crate::campaign) fn empty(&mut self, t: &Task) {
        self.dust_of_vent(t);
        pressure::act(&mut self.places, &t.cast);
        for v in t.volumes() {
            let fate = match t.row.action {
                Action::Depress => self.pump_fate(v),
                _ if t.row.gas == GasEnd::Outside => self.vent_fate(t.k, v),
                _ => Fate::Transfer,
            };
            self.gas_has_moved(t, v, fate);
        }
        t.volumes().for_each(|v| self.breathe_in(v));
        self.refresh_parked();
    }

    /// Evacuating takes airborne dust out with the gas; the rest settles.
    fn dust_of_vent(&mut self, t: &Task) {
        for v in t.volumes() {
            let room = self.arm.volumes[v].room;
            let (from, to) = (self.places.pressure(v), t.l.level(t.row, v));
            if room == NONE || from <= to {
                continue;
            }
            let share = 1.0 - to / from;
            let lost = if to <= self.vacuum() {
                self.dust.rooms.evacuate(room, self.now, share)
            } else {
                self.dust.rooms.thin(room, self.now, share)
            };
            for (b, m) in lost.iter().enumerate() {
                self.dust.dust_books.outside[b] += m;
            }
        }
    }

    /// The pressure of a volume has changed by a row: its gas is booked to its fate, its seals leak
    /// otherwise, gaps of berths without a suit have followed, suits let down.
    pub(in crate::campaign) fn gas_has_moved(&mut self, t: &Task, volume: VolumeId, fate: Fate) {
        let (v, e) = (volume, self.entry(t.k));
        self.settle_volume(v, fate, e);
        self.refresh_if_changed(v);
        for b in t.l.berths.iter().filter(|b| b.outer == volume) {
            if !self.places.opening[b.interface].mated {
                self.settle_volume(b.gap, fate, e);
            }
        }
        if t.row.action == Action::Repress {
            self.dust_of_fill(v);
        }
        for p in crate::plan::each_of(self.places.persons_in(volume)) {
            self.breathe_here(p);
        }
        self.suits_let_down(v, e);
    }

    /// Where the gas of a `vent` goes: what a lost pump should have moved is booked to that.
    fn vent_fate(&self, k: usize, v: VolumeId) -> Fate {
        let (l, t) = (&self.arm.layout, &self.teams[k]);
        let left = t.leg.row > 0 && l.vented_next(&l.lists[t.leg.list as usize], t.leg.row - 1);
        let pump = self.arm.volumes[v].pump as usize;
        let lost = self.faults.pump_lost(pump).is_some();
        if !(left && lost) {
            return Fate::Lost(GasCause::Vent);
        }
        let (before, after) = (self.air.gas.content(v), self.content_now(v));
        let at_stop = after * self.arm.pumps[pump].stop / self.places.pressure(v);
        Fate::Vented(((before - at_stop) / (before - after)).clamp(0.0, 1.0))
    }

    /// Where the gas of a `depress` goes: back as far as the pump recovers it.
    fn pump_fate(&self, v: VolumeId) -> Fate {
        let pump = self.arm.volumes[v].pump;
        if pump == NONE || self.faults.pump_lost(pump as usize).is_some() {
            return Fate::Lost(GasCause::FailedPump);
        }
        let play = self.numbers.pumps[pump as usize];
        let (recovery, reservoir) = (play.recovery, play.reservoir);
        if reservoir <= 0.0 {
            return Fate::Pumped(recovery);
        }
        let (before, after) = (self.air.gas.content(v), self.content_now(v));
        let volume = self.free_volume(v);
        Fate::Pumped(crate::physics::gas::pump::kept_share(
            before, after, volume, reservoir, recovery,
        ))
    }
}
