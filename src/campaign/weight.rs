//! Equivalent system mass of a campaign: hardware, volume and power are there from the first day; gas,
//! water, parts and crew time are what was used.

use crate::measure::Fact;
use crate::model::{Arm, MASS_PARTS, Model, VOLUME_PARTS};
use crate::outcome::Outcome;

/// The parts in the order of [`MASS_PARTS`], and their sum. After all other facts.
pub(in crate::campaign) fn mass_facts(m: &Model, arm: &Arm, v: &[f64], out: &mut Outcome) {
    let blocks = (arm.blocks.mass, arm.blocks.volume);
    let (Some(m), (Some(block), Some(sizes))) = (&m.mass, blocks) else {
        out.facts.absent |= 1 << Fact::SystemMass as u32;
        return;
    };
    let fact = |f: Fact| out.facts.value[f as usize];
    let [hardware, volume, power] = arm.hardware.sums(v);
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
    let rows = &mut out.breakdown[sizes..sizes + VOLUME_PARTS.len()];
    rows.iter_mut().zip(taken).for_each(|(row, part)| *row += part);
    let rows = &mut out.breakdown[block..block + parts.len()];
    rows.iter_mut().zip(parts).for_each(|(row, part)| *row += part);
    out.facts.value[Fact::SystemMass as usize] = parts.iter().sum();
}
