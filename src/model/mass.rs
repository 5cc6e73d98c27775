//! Equivalent system mass: what is there, and the factors that turn the rest into mass
//! (M + V Veq + P Peq + CT CTeq of NASA/TM-2003-212278, from memory, without cooling; gas and water
//! with their tanks, and parts used, are added).

use super::P;
use super::arm_compile::ArmBuilder;
use super::compile::Compiler;
use crate::plan::NONE;
use crate::scenario::{Named, Num, SpareSpec, Vocabulary};

/// What an equivalent system mass is made of, in the order of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum MassPart {
    /// Access systems and suits.
    Hardware,
    /// Outfitting volume of access systems and suits times its factor.
    Volume,
    /// Share of the peak power of pumps that counts, times its factor.
    Power,
    /// Oxygen used with its tanks.
    Oxygen,
    /// Nitrogen used with its tanks.
    Nitrogen,
    /// Water used with its tanks.
    Water,
    /// Spares used, their volume times its factor included.
    Spares,
    /// Overhead and upkeep hours times their factor.
    CrewTime,
}

/// Words for the parts in the order of the enum.
pub const MASS_PARTS: &[&str] =
    &["hardware", "volume", "power", "oxygen", "nitrogen", "water", "spares", "crew time"];

/// Parts that are there from the first day; the others grow with the campaign.
pub const FIXED_PARTS: usize = 3;

/// What takes up volume, in the order of the tables.
pub const VOLUME_PARTS: &[&str] = &["access systems and suits", "spares"];

/// Factors, SI.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // named as the keys of `MassSpec`
pub struct MassFactors {
    pub volume: P,
    pub power: P,
    pub duty_share: P,
    pub crew_time: P,
    pub tank_oxygen: P,
    pub tank_nitrogen: P,
    pub tank_water: P,
    /// Mass of each kind of spare, kg; `None` where none is given.
    pub spares: Vec<Option<P>>,
    /// Volume of each kind of spare, m3; `None` where none is given.
    pub envelopes: Vec<Option<P>>,
    /// Standing of the factors: `assumed`, ...
    pub basis: &'static str,
}

/// What is there of one architecture.
#[derive(Clone, Debug, Default)]
pub struct Hardware {
    /// Mass of each part that gives one, kg.
    pub masses: Vec<P>,
    /// Outfitting volume of each part that gives one, m3; of a volume without one what is free in it.
    pub volumes: Vec<P>,
    /// Peak power of each pump that gives one, W.
    pub powers: Vec<P>,
    /// Parts that give no mass, by kind: `volumes`, `openings`, `pumps`, `stages`, `suits`.
    pub unweighed: [u32; 5],
    /// Parts that give no outfitting volume, by the same kinds.
    pub unsized_parts: [u32; 5],
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
            duty_share: p(&m.duty_share),
            crew_time: p(&m.crew_time),
            tank_oxygen: p(&m.tank_oxygen),
            tank_nitrogen: p(&m.tank_nitrogen),
            tank_water: p(&m.tank_water),
            spares: {
                let mass = |x: &Named<SpareSpec>| x.it.mass.as_ref().map(&mut p);
                s.spares.iter().map(mass).collect()
            },
            envelopes: {
                let envelope = |x: &Named<SpareSpec>| x.it.envelope.as_ref().map(&mut p);
                s.spares.iter().map(envelope).collect()
            },
            basis: m.provenance.basis.map_or("not stated", |b| b.word()),
        })
    }
}

impl ArmBuilder<'_, '_> {
    pub(super) fn hardware(&mut self) -> Hardware {
        let mut out = Hardware::default();
        for v in self.l.volumes.iter().filter(|v| v.spec != NONE) {
            let it = self.access(v.port).volumes[v.spec as usize].it.clone();
            self.weigh(&mut out, 0, it.mass, it.envelope.or(Some(it.free)));
        }
        for o in &self.l.openings {
            let it = match o.port {
                NONE => self.element_spec(o.element as usize).openings[o.spec as usize].it.clone(),
                port => self.access(port).openings[o.spec as usize].it.clone(),
            };
            self.weigh(&mut out, 1, it.mass, it.envelope);
        }
        for x in &self.l.pumps {
            let it = self.access(x.port).pumps[x.spec as usize].it.clone();
            self.weigh(&mut out, 2, it.mass, it.envelope);
            let power = it.power.as_ref().map(|n| self.c.p(n));
            out.powers.extend(power);
        }
        for x in &self.l.stages {
            let it = self.access(x.port).stages[x.spec as usize].it.clone();
            self.weigh(&mut out, 3, it.mass, it.envelope);
        }
        for x in &self.l.suits {
            let it = &self.c.s.suits[x.kind as usize].it;
            self.weigh(&mut out, 4, it.mass, it.envelope);
        }
        out
    }

    fn weigh(&mut self, out: &mut Hardware, kind: usize, mass: Option<Num>, size: Option<Num>) {
        let mut add = |n: Option<Num>, list: &mut Vec<P>, without: &mut u32| match n {
            Some(n) => list.push(self.c.p(&n)),
            None => *without += 1,
        };
        add(mass, &mut out.masses, &mut out.unweighed[kind]);
        add(size, &mut out.volumes, &mut out.unsized_parts[kind]);
    }
}
