//! Equivalent system mass: what is there, and the factors that turn the rest into mass
//! (M + V Veq + P Peq + CT CTeq of NASA/TM-2003-212278, from memory, without cooling; gas and water
//! with their tanks, and parts used, are added).

use super::P;
use super::arm_compile::ArmBuilder;
use super::compile::Compiler;
use crate::layout::NONE;
use crate::scenario::{Named, Num, SpareSpec, Vocabulary};

/// What an equivalent system mass is made of, in the order of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum MassPart {
    /// Access systems and suits.
    Hardware,
    /// Volume of access systems times its factor.
    Volume,
    /// Power of pumps times its factor.
    Power,
    /// Oxygen used with its tanks.
    Oxygen,
    /// Nitrogen used with its tanks.
    Nitrogen,
    /// Water used with its tanks.
    Water,
    /// Spares used.
    Spares,
    /// Overhead and upkeep hours times their factor.
    CrewTime,
}

/// Words for the parts in the order of the enum.
pub const MASS_PARTS: &[&str] =
    &["hardware", "volume", "power", "oxygen", "nitrogen", "water", "spares", "crew time"];

/// Parts that are there from the first day; the others grow with the campaign.
pub const FIXED_PARTS: usize = 3;

/// Factors, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `MassSpec`
pub struct MassFactors {
    pub volume: P,
    pub power: P,
    pub crew_time: P,
    pub tank_oxygen: P,
    pub tank_nitrogen: P,
    pub tank_water: P,
    /// Mass of each kind of spare, kg; `None` where none is given.
    pub spares: Vec<Option<P>>,
    /// Standing of the factors: `assumed`, ...
    pub basis: &'static str,
}

/// What is there of one architecture.
#[derive(Clone, Debug, Default)]
pub struct Hardware {
    /// Mass of each part that gives one, kg.
    pub masses: Vec<P>,
    /// Free volume of each volume of the access systems, m3.
    pub volumes: Vec<P>,
    /// Power of each pump that gives one, W.
    pub powers: Vec<P>,
    /// Parts that give no mass, by kind: `volumes`, `openings`, `pumps`, `stages`, `suits`.
    pub unweighed: [u32; 5],
}

impl Hardware {
    /// Mass, volume and power in this campaign.
    pub fn sums(&self, values: &[f64]) -> [f64; 3] {
        [&self.masses, &self.volumes, &self.powers]
            .map(|list| list.iter().map(|p| p.of(values)).sum())
    }
}

impl Compiler<'_> {
    pub(super) fn mass(&mut self) -> Option<MassFactors> {
        let s = self.s;
        let m = s.mass.as_ref()?;
        let mut p = |n: &Num| self.p(n);
        Some(MassFactors {
            volume: p(&m.volume),
            power: p(&m.power),
            crew_time: p(&m.crew_time),
            tank_oxygen: p(&m.tank_oxygen),
            tank_nitrogen: p(&m.tank_nitrogen),
            tank_water: p(&m.tank_water),
            spares: {
                let mass = |x: &Named<SpareSpec>| x.it.mass.as_ref().map(&mut p);
                s.spares.iter().map(mass).collect()
            },
            basis: m.provenance.basis.map_or("not stated", |b| b.word()),
        })
    }
}

impl ArmBuilder<'_, '_> {
    pub(super) fn hardware(&mut self) -> Hardware {
        let mut out = Hardware::default();
        for v in self.l.volumes.iter().filter(|v| v.spec != NONE) {
            let spec = self.access(v.port).volumes[v.spec as usize].it.clone();
            self.weigh(&mut out, 0, spec.mass.as_ref());
            let free = self.c.p(&spec.free);
            out.volumes.push(free);
        }
        for o in self.l.openings.iter().filter(|o| o.port != NONE) {
            let mass = self.access(o.port).openings[o.spec as usize].it.mass;
            self.weigh(&mut out, 1, mass.as_ref());
        }
        for x in &self.l.pumps {
            let spec = self.access(x.port).pumps[x.spec as usize].it.clone();
            self.weigh(&mut out, 2, spec.mass.as_ref());
            let power = spec.power.as_ref().map(|n| self.c.p(n));
            out.powers.extend(power);
        }
        for x in &self.l.stages {
            let mass = self.access(x.port).stages[x.spec as usize].it.mass;
            self.weigh(&mut out, 3, mass.as_ref());
        }
        for x in &self.l.suits {
            let mass = self.c.s.suits[x.kind as usize].it.mass;
            self.weigh(&mut out, 4, mass.as_ref());
        }
        out
    }

    fn weigh(&mut self, out: &mut Hardware, kind: usize, mass: Option<&Num>) {
        match mass {
            Some(n) => {
                let p = self.c.p(n);
                out.masses.push(p);
            }
            None => out.unweighed[kind] += 1,
        }
    }
}
