//! Leaks of seals and shells out of what the stores hold at pressure (rule 25), as lines: a rate from a
//! moment on. A line is booked when its rate changes or when somebody reads the stores.

use crate::base::ids::{Id, Table};
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

/// The bits that are set, from the lowest.
fn flowing(words: &[u64]) -> impl Iterator<Item = OpeningId> + '_ {
    words.iter().enumerate().flat_map(|(i, word)| {
        let mut bits = *word;
        std::iter::from_fn(move || {
            let next =
                (bits != 0).then(|| OpeningId::within(i * 64 + bits.trailing_zeros() as usize));
            bits &= bits.wrapping_sub(1);
            next
        })
    })
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
    /// The openings of each volume at which something can flow.
    of_volume: Table<VolumeId, Vec<OpeningId>>,
    shells: Vec<Shell>,
    lines: Table<OpeningId, Line>,
    /// The lines that flow, as bits.
    flowing: Vec<u64>,
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
            flowing: vec![0; l.openings.len().div_ceil(64)],
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
        for (list, volume) in self.of_volume.iter_mut().zip(&l.volumes) {
            list.clear();
            let all = volume.openings.iter().copied();
            list.extend(all.filter(|o| self.seals[*o].sides.is_some()));
        }
        self.shells.clear();
        for (e, play) in arm.elements.iter().enumerate() {
            self.shells.push(Shell { cabin: l.elements[e].cabin, rate: play.leak.of(v) });
        }
        self.shells.retain(|s| s.rate > 0.0);
        let shut = |port| Line { rate: 0.0, from: OUTSIDE, port, since: 0.0 };
        self.lines.refill(l.openings.iter().map(|o| shut(o.port)));
        self.flowing.fill(0);
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
    pub fn pressure_moved(&mut self, v: VolumeId, pressure: f64) -> bool {
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

    /// The openings of a volume at which anything can ever flow, by number.
    #[inline]
    pub(in crate::campaign) fn of_volume(&self, v: VolumeId, i: usize) -> Option<OpeningId> {
        self.of_volume[v].get(i).copied()
    }

    /// Can anything ever flow there: is it a seal between two volumes?
    #[inline]
    pub(in crate::campaign) fn may_leak(&self, o: OpeningId) -> bool {
        self.seals[o].sides.is_some()
    }

    /// A seal is read: what has leaked is booked, and the line goes on as things stand.
    pub fn read(
        &mut self,
        o: OpeningId,
        (shut, wear): (bool, Wear),
        pressure: &Table<VolumeId, f64>,
        gas: &mut GasBooks,
        now: f64,
    ) {
        let Some(sides) = self.seals[o].sides else { return };
        let (rate, from) = match shut {
            true => self.flow(o, sides, wear, pressure, gas),
            false => (0.0, OUTSIDE),
        };
        let line = &mut self.lines[o];
        if (line.rate, line.from) == (rate, from) {
            return;
        }
        line.book(gas, now);
        (line.rate, line.from) = (rate, from);
        let bit = 1 << (o.at() % 64);
        let flowing = &mut self.flowing[o.at() / 64];
        *flowing = if rate > 0.0 { *flowing | bit } else { *flowing & !bit };
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

    /// What a shut seal lets out, and of which volume. Nothing flows to or from what is not fed, and what
    /// flows between two volumes with gas is lost by nobody.
    fn flow(
        &self,
        o: OpeningId,
        [a, b]: [VolumeId; 2],
        wear: Wear,
        pressure: &Table<VolumeId, f64>,
        gas: &GasBooks,
    ) -> (f64, VolumeId) {
        let (pa, pb) = (pressure[a], pressure[b]);
        let (from, high, low) = if pa >= pb { (a, pa, pb) } else { (b, pb, pa) };
        let fed = self.feeds(a) && self.feeds(b);
        if from == OUTSIDE || high == low || !fed || low >= self.thin {
            return (0.0, OUTSIDE);
        }
        (self.passes(o, (from, gas), (high, low), wear), from)
    }

    /// Books all lines up to now.
    pub fn book_all(&mut self, gas: &mut GasBooks, now: f64) {
        for o in flowing(&self.flowing) {
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
        for o in flowing(&self.flowing) {
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
