//! Equivalent system mass of a campaign: hardware, volume and power are there from the first day; gas,
//! water, parts and crew time are what was used.

use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{MASS_PARTS, VOLUME_PARTS};

impl World<'_> {
    /// The parts in the order of [`MASS_PARTS`], and their sum. After all other facts.
    pub(in crate::campaign) fn mass_facts(&mut self) {
        let blocks = (self.arm.blocks.mass, self.arm.blocks.volume);
        let (Some(m), (Some(block), Some(sizes))) = (&self.m.mass, blocks) else {
            self.books.out.facts.absent |= 1 << Fact::SystemMass as u32;
            return;
        };
        let v = &self.v;
        let fact = |f: Fact| self.books.out.facts.value[f as usize];
        let [hardware, volume, power] = self.arm.hardware.sums(v);
        let tanked = |f: Fact, tank: crate::model::P| fact(f) * (1.0 + tank.of(v));
        let seconds = (fact(Fact::Overhead) + fact(Fact::Upkeep)) * 3600.0;
        let parts: [f64; MASS_PARTS.len()] = [
            hardware,
            volume * m.volume.of(v),
            power * m.duty_share.of(v) * m.power.of(v),
            tanked(Fact::OxygenUsed, m.tank_oxygen),
            tanked(Fact::NitrogenUsed, m.tank_nitrogen),
            tanked(Fact::WaterUsed, m.tank_water),
            fact(Fact::SparesMass) + fact(Fact::SparesVolume) * m.volume.of(v),
            seconds * m.crew_time.of(v),
        ];
        let taken = [volume, fact(Fact::SparesVolume)];
        let rows = &mut self.books.out.breakdown[sizes..sizes + VOLUME_PARTS.len()];
        rows.iter_mut().zip(taken).for_each(|(row, part)| *row += part);
        let rows = &mut self.books.out.breakdown[block..block + parts.len()];
        rows.iter_mut().zip(parts).for_each(|(row, part)| *row += part);
        self.books.out.facts.value[Fact::SystemMass as usize] = parts.iter().sum();
    }
}
