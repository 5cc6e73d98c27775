//! Leaks of seals and shells out of what the stores hold at pressure (rule 25), as lines: a rate from a
//! moment on. A line is booked when its rate changes or when somebody reads the stores.

use crate::base::ids::Table;
use crate::base::set::Set;
use crate::campaign::owner::gas::GasBooks;
use crate::model::Arm;
use crate::physics::gas::leak::Path;
use crate::physics::gas::{GAS_CONSTANT, GasMass};
use crate::physics::{dust, seal};
use crate::plan::{ACROSS, Layout, NONE, OUTSIDE, OpeningId, Side, VolumeId};

/// A seal in the numbers of one parameter set.
#[derive(Clone, Copy, Debug)]
struct Seal {
    /// Leak when clean, kg/s, at a difference, Pa.
    leak: f64,
    at: f64,
    /// What dust can hold open, where the file gives it.
    gap: Option<seal::Slit>,
    /// The volumes on both sides, where something can flow between two.
    sides: Option<[VolumeId; 2]>,
}

/// How a seal is worn and where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Wear {
    /// Leak multiplier of lasting damage.
    pub damage: f64,
    /// Leak multiplier of dust.
    pub dust: f64,
}

/// What flows out through a seal.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Line {
    /// kg/s.
    rate: f64,
    /// Out of this volume.
    from: VolumeId,
    /// Port that it is booked at.
    port: u16,
    /// Booked up to here, s.
    since: f64,
}

impl Line {
    /// Books what has leaked since it was booked last (exact: the flow is constant).
    #[inline]
    fn book(&mut self, gas: &mut GasBooks, now: f64) {
        let dt = now - self.since;
        self.since = now;
        if self.rate > 0.0 && dt > 0.0 {
            gas.leak(self.from, self.port, self.rate * dt);
        }
    }
}

/// What flows out through the shell of a cabin.
#[derive(Clone, Copy, Debug)]
struct Shell {
    cabin: VolumeId,
    rate: f64,
}

/// A way out of volumes that nothing feeds.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Way {
    pub(in crate::campaign) path: Path,
    /// Far side.
    pub(in crate::campaign) to: VolumeId,
    /// Port that it is booked at.
    pub(in crate::campaign) port: u16,
}

/// Ways out of a group of volumes, and their paths alone.
pub(in crate::campaign) type Ways = (Vec<Way>, Vec<Path>);

/// All leaks of one campaign.
#[derive(Clone, Debug, Default)]
pub struct Leaks {
    seals: Table<OpeningId, Seal>,
    /// The openings of each volume at which something can flow, with the volume across.
    of_volume: Table<VolumeId, Vec<(OpeningId, VolumeId)>>,
    shells: Vec<Shell>,
    lines: Table<OpeningId, Line>,
    /// The lines that flow.
    flowing: Set<OpeningId>,
    /// Pressure of each volume when its openings were read last, Pa.
    pressure: Table<VolumeId, f64>,
    shells_since: f64,
    /// The pressure of volumes that nothing feeds is booked up to here, s.
    unfed_since: f64,
    /// Kept from call to call for their memory alone.
    ways: Ways,
    /// Volumes that nothing holds at pressure, as bits.
    unfed: u64,
    /// What all lines take from each store, kg/s.
    drain: Vec<GasMass>,
    /// The most that they can have taken at any time since all lines were booked, kg/s.
    most: Vec<GasMass>,
    /// When that was, s; infinite where `most` does not hold.
    all_booked: f64,
    /// Rates have changed since `drain` was added up.
    changed: bool,
    /// A seal toward less than this loses what leaks, Pa.
    thin: f64,
}

impl Leaks {
    /// Leaks of the openings and shells of an architecture, whose gas comes from so many stores.
    pub fn new(l: &Layout, stores: usize) -> Leaks {
        Leaks {
            seals: Table::default(),
            of_volume: l.volumes.iter().map(|v| Vec::with_capacity(v.openings.len())).collect(),
            shells: Vec::with_capacity(l.elements.len()),
            lines: Table::default(),
            flowing: Set::none_of(l.openings.len()),
            pressure: vec![0.0; l.volumes.len()].into(),
            drain: vec![GasMass::NONE; stores],
            most: vec![GasMass::NONE; stores],
            all_booked: f64::INFINITY,
            thin: ACROSS.max(l.ambient + 1e-9),
            ..Leaks::default()
        }
    }

    /// Nothing flows, with the numbers of a parameter set.
    pub fn reset(&mut self, arm: &Arm, pressure: &Table<VolumeId, f64>, v: &[f64]) {
        let l = &arm.layout;
        self.seals.refill(arm.openings.iter().zip(&l.openings).map(|(o, place)| {
            let leak = o.leak.of(v);
            let sides = match place.sides {
                [Side::Volume(a), Side::Volume(b)] if o.seals && leak != 0.0 => Some([a, b]),
                _ => None,
            };
            let gap = o.gap.map(|gap| seal::Slit {
                width: gap.length.of(v),
                gap: gap.height.of(v),
                path: gap.path.of(v),
            });
            Seal { leak, at: o.leak_at.of(v), gap, sides }
        }));
        for ((v, list), volume) in self.of_volume.each_mut().zip(&l.volumes) {
            list.clear();
            let across =
                |o: &OpeningId| self.seals[*o].sides.map(|[a, b]| (*o, if a == v { b } else { a }));
            list.extend(volume.openings.iter().filter_map(across));
        }
        self.shells.clear();
        for (e, play) in arm.elements.iter().enumerate() {
            self.shells.push(Shell { cabin: l.elements[e].cabin, rate: play.leak.of(v) });
        }
        self.shells.retain(|s| s.rate > 0.0);
        let shut = |port| Line { rate: 0.0, from: OUTSIDE, port, since: 0.0 };
        self.lines.refill(l.openings.iter().map(|o| shut(o.port)));
        self.flowing.clear();
        self.pressure.copy_from_slice(pressure);
        self.shells_since = 0.0;
        self.unfed_since = 0.0;
        self.unfed = 0;
        self.changed = true;
        self.all_booked = f64::INFINITY;
    }

    /// Is the volume held at set pressure by a store (or by something that never ends)?
    #[inline]
    pub(in crate::campaign) fn feeds(&self, v: VolumeId) -> bool {
        self.unfed >> v.at() & 1 == 0
    }

    /// The volumes that nothing holds at pressure, as bits.
    #[inline]
    pub(in crate::campaign) fn unfed(&self) -> u64 {
        self.unfed
    }

    /// For how long volumes that nothing feeds have not been booked, s; they are from now on.
    #[inline]
    pub(in crate::campaign) fn unfed_for(&mut self, now: f64) -> f64 {
        let dt = now - self.unfed_since;
        self.unfed_since = now;
        dt
    }

    /// Empty lists of ways out, which are to be given back.
    pub(in crate::campaign) fn take_ways(&mut self) -> Ways {
        let mut ways = std::mem::take(&mut self.ways);
        ways.0.clear();
        ways.1.clear();
        ways
    }

    /// Takes the lists of ways back.
    pub(in crate::campaign) fn keep_ways(&mut self, ways: Ways) {
        self.ways = ways;
    }

    /// Other volumes are fed now; every seal has to be read again.
    pub(in crate::campaign) fn set_unfed(&mut self, unfed: u64) {
        self.unfed = unfed;
        self.changed = true;
        self.all_booked = f64::INFINITY;
    }

    /// A volume has come to a pressure; was it another one when its openings were read last?
    #[inline]
    pub(in crate::campaign) fn pressure_moved(&mut self, v: VolumeId, pressure: f64) -> bool {
        std::mem::replace(&mut self.pressure[v], pressure) != pressure
    }

    /// Leak of a seal as it is, kg/s, at a difference between two pressures, Pa; the gas is that of
    /// volume `v`.
    pub(in crate::campaign) fn passes(
        &self,
        o: OpeningId,
        (v, gas): (VolumeId, &GasBooks),
        (high, low): (f64, f64),
        wear: Wear,
    ) -> f64 {
        let Seal { leak, at, gap, .. } = self.seals[o];
        let wide = seal::leaked_mass(leak, at, high - low, 1.0) * wear.damage * wear.dust;
        match gap {
            None => wide,
            Some(slit) => wide.min(self.gap_passes(slit, (v, gas), (high, low))),
        }
    }

    /// What a gap passes: the lesser of viscous and of choked flow.
    fn gap_passes(&self, slit: seal::Slit, (v, gas): (VolumeId, &GasBooks), p: (f64, f64)) -> f64 {
        let t = gas.temperature(v);
        let constant = GAS_CONSTANT / gas.mix(v).molar_mass();
        let viscous = seal::slit_leak(slit, p, dust::viscosity(t), constant, t);
        viscous.min(seal::choked_leak(slit.width * slit.gap, p.0, constant, t))
    }

    /// A seal is read: what has leaked is booked, and the line goes on as things stand (shut or not, how
    /// worn), which is asked only where something flows or has flowed.
    #[inline]
    pub fn read(
        &mut self,
        o: OpeningId,
        as_it_is: impl FnOnce() -> (bool, Wear),
        pressure: &Table<VolumeId, f64>,
        gas: &mut GasBooks,
        now: f64,
    ) {
        if let Some(sides) = self.seals[o].sides {
            let ends = self.ends(sides, pressure);
            if ends.is_some() || self.lines[o].rate > 0.0 {
                self.go_on(o, ends, as_it_is(), gas, now);
            }
        }
    }

    /// All seals of a volume are read: its pressure is another than when that was done last.
    pub(in crate::campaign) fn read_around(
        &mut self,
        v: VolumeId,
        as_it_is: impl Fn(OpeningId) -> (bool, Wear),
        pressure: &Table<VolumeId, f64>,
        gas: &mut GasBooks,
        now: f64,
    ) {
        let seals = std::mem::take(&mut self.of_volume[v]);
        for (o, across) in &seals {
            let ends = self.ends([v, *across], pressure);
            if ends.is_some() || self.lines[*o].rate > 0.0 {
                self.go_on(*o, ends, as_it_is(*o), gas, now);
            }
        }
        self.of_volume[v] = seals;
    }

    /// A line goes on with what flows between `ends`, if the seal is shut.
    fn go_on(
        &mut self,
        o: OpeningId,
        ends: Option<(VolumeId, f64, f64)>,
        (shut, wear): (bool, Wear),
        gas: &mut GasBooks,
        now: f64,
    ) {
        let (rate, from) = match ends {
            Some((from, high, low)) if shut => {
                (self.passes(o, (from, gas), (high, low), wear), from)
            }
            _ => (0.0, OUTSIDE),
        };
        let line = &mut self.lines[o];
        if (line.rate, line.from) == (rate, from) {
            return;
        }
        line.book(gas, now);
        (line.rate, line.from) = (rate, from);
        self.flowing.put(o, rate > 0.0);
        self.changed = true;
        if let Some(most) = self.most.get_mut(usize::from(gas.store_of(from))) {
            *most += gas.split(from, rate);
        }
    }

    /// Holds a store some need for sure, and lasts until `end` whatever has leaked since all lines were
    /// booked? Then they need not be booked to know.
    pub(in crate::campaign) fn surely_holds(
        &self,
        s: usize,
        need: GasMass,
        gas: &GasBooks,
        end: f64,
    ) -> bool {
        let (has, most, dt) = (gas.store(s), self.most[s], end - self.all_booked);
        let holds = |has: f64, need: f64, most: f64| has - need >= most * dt;
        self.unfed == 0
            && dt >= 0.0
            && holds(has.oxygen, need.oxygen, most.oxygen)
            && holds(has.nitrogen, need.nitrogen, most.nitrogen)
    }

    /// All lines are booked and the stores looked at.
    pub(in crate::campaign) fn note_booked(&mut self, gas: &GasBooks, now: f64) {
        if self.changed {
            self.changed = false;
            self.add_up(gas);
        }
        self.most.copy_from_slice(&self.drain);
        self.all_booked = now;
    }

    /// The volume that a shut seal lets something out of, and the pressures on both sides. Nothing flows
    /// to or from what is not fed, and what flows between two volumes with gas is lost by nobody.
    #[inline]
    fn ends(
        &self,
        [a, b]: [VolumeId; 2],
        pressure: &Table<VolumeId, f64>,
    ) -> Option<(VolumeId, f64, f64)> {
        let (pa, pb) = (pressure[a], pressure[b]);
        if pa.min(pb) >= self.thin || pa == pb {
            return None;
        }
        let (from, high, low) = if pa > pb { (a, pa, pb) } else { (b, pb, pa) };
        (from != OUTSIDE && self.feeds(a) && self.feeds(b)).then_some((from, high, low))
    }

    /// Books all lines up to now.
    pub fn book_all(&mut self, gas: &mut GasBooks, now: f64) {
        for o in self.flowing.each() {
            self.lines[o].book(gas, now);
        }
        let dt = now - self.shells_since;
        self.shells_since = now;
        if dt <= 0.0 {
            return;
        }
        for shell in &self.shells {
            if self.unfed >> shell.cabin.at() & 1 == 0 {
                gas.leak(shell.cabin, NONE, shell.rate * dt);
            }
        }
    }

    /// How long a store lasts at the present leaks, s.
    pub fn lasts(&mut self, s: usize, gas: &GasBooks) -> f64 {
        if self.changed {
            self.changed = false;
            self.add_up(gas);
        }
        let (has, rate) = (gas.store(s), self.drain[s]);
        let lasts = |has: f64, rate: f64| if rate > 0.0 { has / rate } else { f64::INFINITY };
        lasts(has.oxygen, rate.oxygen).min(lasts(has.nitrogen, rate.nitrogen))
    }

    fn add_up(&mut self, gas: &GasBooks) {
        self.drain.fill(GasMass::NONE);
        let mut add = |v: VolumeId, rate: f64| {
            if let Some(drain) = self.drain.get_mut(usize::from(gas.store_of(v))) {
                *drain += gas.split(v, rate);
            }
        };
        for o in self.flowing.each() {
            add(self.lines[o].from, self.lines[o].rate);
        }
        for shell in &self.shells {
            if self.unfed >> shell.cabin.at() & 1 == 0 {
                add(shell.cabin, shell.rate);
            }
        }
    }
}

#[cfg(test)]
mod tests;
