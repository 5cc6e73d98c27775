//! Oxygen that suits are purged with goes somewhere (rule 25): into a volume it makes the air rich.

use super::{Arm, Sayer, rules};
use crate::physics::gas::{GAS_CONSTANT, OXYGEN_MOLAR_MASS};
use crate::plan::{Layout, NONE, OUTSIDE, VolumeId, volume_named};
use crate::scenario::*;

/// More than this share of O2 is told where the file does not say what an element is qualified for.
pub(super) const RICH: f64 = 0.30;
/// A cabin that is rich by itself has a finding of its own: only what a purge adds counts, from here on.
const ADDED: f64 = 0.005;

/// Purge rows of every port.
pub(super) fn arm(a: &Arm, team: u32, say: &mut Sayer) {
    for (i, port) in a.l.ports.iter().enumerate() {
        let access = &a.s.access[port.access as usize].it;
        for row in super::rows::all(access) {
            let RowBody::Step(step) = &row.it else { continue };
            let into = step.gas.as_ref().filter(|_| step.action.it == Action::Purge);
            if let Some(into) = into
                && let Some((v, _)) = volume_named(a.l, i as u16, &into.it)
                && v != OUTSIDE
            {
                purge(a, (i as u16, v), (step, into), team, say);
            }
        }
    }
}

fn purge(
    a: &Arm,
    (port, v): (u16, VolumeId),
    (step, into): (&StepSpec, &Spot<String>),
    team: u32,
    say: &mut Sayer,
) {
    let Some(takes) = takes(a, port, step) else { return };
    let kinds = super::suits::kinds_at(a.l, port);
    let flow = |k: &u16| a.s.suits[*k as usize].it.purge_flow.law.mean();
    let flow = kinds.iter().map(flow).fold(0.0, f64::max);
    let volume = &a.l.volumes[v];
    let people = f64::from(team.min(u32::from(volume.holds)));
    let added = people * flow * takes / OXYGEN_MOLAR_MASS;
    let (free, temperature) = room(a, a.l, v, people);
    if added <= 0.0 || free <= 0.0 {
        return;
    }
    // Held at set pressure, each mole that comes in pushes a mole of the mixture out.
    let there = volume.rest * free / (GAS_CONSTANT * temperature);
    let after = 1.0 - (1.0 - volume.oxygen) * (-added / there).exp();
    let element = &a.l.elements[volume.element as usize];
    let most = a.spec.elements[element.spec as usize].it.oxygen_most;
    let most = most.map_or(RICH, |n| n.law.mean());
    if after > most && after > volume.oxygen + ADDED {
        let what = format!(
            "`purge` of {people:.0} suits brings `{}` from {:.1} % O2 to {:.1} %, above {:.0} %",
            volume.path,
            volume.oxygen * 100.0,
            after * 100.0,
            most * 100.0
        );
        say.rule(&rules::PURGE_OXYGEN, into.at, what);
    }
}

/// Mean time of a row, s; a law is named in the access file or in the campaign.
fn takes(a: &Arm, port: u16, step: &StepSpec) -> Option<f64> {
    match step.takes.as_ref()? {
        TakesSpec::Law(n) => Some(n.law.mean()),
        TakesSpec::Name(name) => {
            let access = &a.s.access[a.l.ports[port as usize].access as usize].it;
            let mut laws = access.laws.iter().chain(&a.s.laws);
            laws.find(|l| l.name == name.it).map(|l| l.it.law.mean())
        }
    }
}

/// Gas volume around so many people, m3, and its temperature, K.
fn room(a: &Arm, l: &Layout, v: VolumeId, people: f64) -> (f64, f64) {
    let volume = &l.volumes[v];
    let spec = l.elements[volume.element as usize].spec as usize;
    let element = &a.spec.elements[spec].it;
    let temperature = element.temperature.law.mean();
    if volume.port == NONE {
        return (element.volume.law.mean(), temperature);
    }
    let access = &a.s.access[l.ports[volume.port as usize].access as usize].it;
    let it = &access.volumes[volume.spec as usize].it;
    let taken = it.gear.law.mean() + people * a.s.crew.displaces.law.mean();
    (it.free.law.mean() - taken, temperature)
}
