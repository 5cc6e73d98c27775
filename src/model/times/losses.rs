//! What a list loses on the mean, and what filling takes (rule 26).

use super::*;
use crate::plan::VolumeId;

impl Times<'_, '_> {
    /// Mean loss of a sortie by its own rows: what the pump does not recover and what is left at its
    /// stop, or the whole chamber without a pump; purges that go outside; the gas that suits let out
    /// down to working pressure (rule 26).
    pub(in crate::model) fn own_loss(&self, port: usize, team: usize) -> [f64; 2] {
        let p = &self.l.ports[port];
        let Some(list) = self.l.lists.get(p.egress as usize) else {
            return [0.0; 2];
        };
        let mut sum = [0.0; 2];
        let mut emptied: Vec<VolumeId> = Vec::new();
        for r in &list.rows {
            if let (Action::Depress | Action::Vent, On::Volumes([v, ..], 1) | On::BerthVolume(v, _)) =
                (r.action, r.on)
                && !emptied.contains(&v)
            {
                emptied.push(v);
                let lost = self.cycle_loss(v, team);
                sum = [sum[0] + lost[0], sum[1] + lost[1]];
            }
            if r.action == Action::Purge && r.gas == crate::plan::GasEnd::Outside {
                let takes = r.written.takes.as_ref().map_or(0.0, |n| n.law.mean());
                let flows = self.suits_of(port as u16).into_iter().map(|s| self.at(s.purge_flow));
                sum[0] += flows.fold(0.0, f64::max) * takes * team as f64;
            }
        }
        let used = self.stage_gas(port, team);
        sum = [sum[0] + used[0], sum[1] + used[1]];
        if !emptied.is_empty() {
            let let_down = self.suits_let_down(port as u16, team);
            sum = [sum[0] + let_down[0], sum[1] + let_down[1]];
        }
        sum
    }

    /// Mean gas of the stages that a team uses going out and coming in by a port.
    pub(super) fn stage_gas(&self, port: usize, team: usize) -> [f64; 2] {
        let p = &self.l.ports[port];
        let cabin = self.l.elements[p.element as usize].cabin;
        let mix = gas::Mix { oxygen: self.l.volumes[cabin].oxygen };
        let lists = [p.egress, p.ingress].into_iter().filter_map(|i| self.l.lists.get(i as usize));
        let of = |r: &Row| match (r.action, r.on) {
            (Action::Clean, On::Stage(s)) => self.stages[s as usize].gas.mean(),
            _ => 0.0,
        };
        let used: f64 = lists.flat_map(|l| &l.rows).map(of).sum();
        let used = mix.split(used * team as f64);
        [used.oxygen, used.nitrogen]
    }

    /// What the suits of a team let out from the pressure of the cabin behind a port to their own, the
    /// largest of those that leave by it; after a purge it is oxygen.
    pub(super) fn suits_let_down(&self, port: u16, team: usize) -> [f64; 2] {
        let p = &self.l.ports[port as usize];
        let cabin = self.l.elements[p.element as usize].cabin;
        let volume = &self.l.volumes[cabin];
        let out = &self.l.lists[p.egress as usize];
        let purged = out.rows.iter().any(|r| r.action == Action::Purge);
        let mix = gas::Mix { oxygen: if purged { 1.0 } else { volume.oxygen } };
        let t = self.at(self.volumes[cabin].temperature);
        let one = |s: &SuitKind| {
            let drop = (volume.rest - s.pressure).max(0.0);
            gas::content(drop, self.at(s.gas_volume), mix, t)
        };
        let each = self.suits_of(port).into_iter().map(one);
        let most = each.fold(gas::GasMass::NONE, |a, b| if b.total() > a.total() { b } else { a });
        [most.oxygen * team as f64, most.nitrogen * team as f64]
    }

    pub(super) fn cycle_loss(&self, v: VolumeId, team: usize) -> [f64; 2] {
        let volume = &self.l.volumes[v];
        let mix = gas::Mix { oxygen: volume.oxygen };
        let t = self.at(self.volumes[v].temperature);
        let free = self.free(v, team);
        let at = |p: f64| gas::content(p.max(0.0), free, mix, t);
        let count = self.l.berths.iter().filter(|b| b.gap == v).count().max(1) as f64;
        let lost = match self.pumps.get(self.volumes[v].pump as usize) {
            Some(pump) => {
                let (full, rest) = (at(volume.rest), at(pump.stop));
                let (tank, recovery) = (self.at(pump.reservoir), self.at(pump.recovery));
                let kept = gas::pump::kept_share(full.total(), rest.total(), free, tank, recovery);
                (full - rest) * (1.0 - kept) + rest
            }
            None => at(volume.rest),
        };
        [lost.oxygen * count, lost.nitrogen * count]
    }

    /// O2 and N2 that fill every volume of the `repress` rows from ambient, kg (rule 26).
    pub(super) fn fills(&self, list: &List) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for r in list.rows.iter().filter(|r| r.action == Action::Repress) {
            let ids: Vec<VolumeId> = match r.on {
                On::Volumes(v, n) => v[..n as usize].to_vec(),
                On::BerthVolume(v, _) => vec![v],
                _ => Vec::new(),
            };
            for v in ids {
                let volume = &self.l.volumes[v];
                let to = match r.to {
                    crate::plan::Aim::Pascal(p) => p,
                    _ => volume.rest,
                };
                let mix = gas::Mix { oxygen: volume.oxygen };
                let t = self.at(self.volumes[v].temperature);
                let rise = (to - self.l.ambient).max(0.0);
                let m = gas::content(rise, self.free(v, 0), mix, t);
                sum[0] += m.oxygen;
                sum[1] += m.nitrogen;
            }
        }
        sum
    }
}
