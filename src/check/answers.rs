//! What a review asks of an architecture and what follows from the files alone, without playing
//! anything: prebreathe of each pair of pressures, inspired oxygen, which volumes stand vacuum and meet
//! dust, havens, where suits are looked after. Remarks, kept apart from the findings that judge the files.

mod suits;

use super::orbit;
use super::suits::{at_port, kinds_at, narrowest};
use super::{Arm, Checked, CheckedArm, Finding, Rule};
use crate::physics::prebreathe;
use crate::plan::walk::{self, Group};
use crate::plan::{Aim, Kept, NONE, OUTSIDE, On, Places, VolumeId, Where, each_of};
use crate::scenario::rules::rules as declare;
use crate::scenario::*;

declare! {
    /// Every answer.
    ANSWER_RULES, Answer, {
    PREBREATHE_TIME = "prebreathe-time" Info:
        "cabin and suit pressure together decide the prebreathe: it brings nitrogen in the slow \
        tissue, over suit pressure, down to the target ratio";
        "lower the cabin pressure, raise its O2 or the suit pressure, to shorten it"
    INSPIRED_RANGE = "inspired-range" Info:
        "inspired O2 of about 145 to 155 mmHg is nominal, 127 to 145 mmHg after acclimatisation \
         (NASA-STD-3001 Vol 2, from memory; 47 mmHg of water vapour taken off)";
        "change `pressure` or `oxygen` of the element if the programme's standard requires more"
    SUIT_FITS = "suit-fits" Info:
        "a suit passes every hatch that it is worn through, also on elements that never land";
        "widen the hatch, or choose a narrower suit, where little is left"
    PORT_MARGIN = "port-margin" Info:
        "at a port the cabin pressure loads the suit, most at the top of its control band";
        "lower the cabin pressure or its band, where little is left"
    STANDS_VACUUM = "stands-vacuum" Info:
        "volumes that the lists take to outside pressure must tolerate vacuum, with all \
        equipment in them";
        "make sure that every part in these volumes is rated for vacuum"
    IN_ORBIT = "in-orbit" Info:
        "an element that stays in orbit receives the crew, the air, the dust and the suits that \
        come up";
        "make sure that its hatches, materials, filter and ports tolerate them"
    MEETS_DUST = "meets-dust" Info:
        "volumes entered in suits from outside receive dust";
        "make sure that filters, floors and equipment there tolerate it"
    HAVEN_PLAN = "haven-plan" Info:
        "everybody needs a safe haven: a place to get out of the suit and stay";
        "raise `haven_people`, or plan who goes where"
    FREED_OR_LOST = "freed-or-lost" Info:
        "after some single failures the only way in is to free the failed part, which works only \
        with some probability";
        "add a contingency ingress path that does not need the part, or accept the single-point \
         failure"
    SUIT_INDOORS = "suit-indoors" Info:
        "suits are maintained, resized and cleaned where people can stand beside them unsuited";
        "make sure that there is room and that the dust stays there"
    SUIT_RECHARGE = "suit-recharge" Info:
        "where a suit is recharged from decides which umbilicals, panels and hatches are needed";
        "make sure that the lines reach"
    }
}

/// Every answer of every architecture; what holds for all of several stands there once and names none.
pub fn answers(checked: &Checked) -> Vec<Finding> {
    let mut told: Vec<(Finding, Vec<&str>)> = Vec::new();
    for (i, arm) in checked.arms.iter().enumerate() {
        let spec = &checked.scenario.architectures[i];
        let a = Arm { s: &checked.scenario, spec: &spec.it, at: spec.at, l: &arm.layout };
        for f in a.all(arm) {
            match told.iter_mut().find(|(g, _)| *g == f) {
                Some((_, of)) if of.last() == Some(&spec.name.as_str()) => {}
                Some((_, of)) => of.push(&spec.name),
                None => told.push((f, vec![&spec.name])),
            }
        }
    }
    let all = checked.arms.len();
    let mut out: Vec<Finding> = Vec::new();
    for (f, of) in told {
        match of.len() == all && all > 1 {
            true => out.push(f),
            false => out.extend(of.iter().map(|name| f.clone().architecture(*name))),
        }
    }
    out.sort_by_key(|f| f.at);
    out
}

impl Arm<'_> {
    fn all(&self, arm: &CheckedArm) -> Vec<Finding> {
        let mut out = Vec::new();
        let mut say = |rule: &Rule, at: At, what: String| out.push(Finding::new(rule, at, what));
        for e in self.l.elements.iter() {
            let spec = &self.spec.elements[e.spec as usize];
            say(&INSPIRED_RANGE, spec.it.pressure.at, inspired(&spec.name, &spec.it));
        }
        for e in self.spec.elements.iter().filter(|e| !e.it.played.it) {
            say(&INSPIRED_RANGE, e.it.pressure.at, inspired(&e.name, &e.it));
            say(&IN_ORBIT, e.at, self.orbit(e));
        }
        for port in 0..self.l.ports.len() as u16 {
            self.prebreathes(port, &mut say);
            self.looked_after(port, &mut say);
        }
        self.suits(&mut say);
        say(&STANDS_VACUUM, self.at, self.vacuum());
        say(&MEETS_DUST, self.at, self.dust(arm));
        say(&HAVEN_PLAN, self.at, self.havens());
        for single in arm.singles.iter().filter(|s| s.freed) {
            say(&FREED_OR_LOST, single.at, single.words(self.l));
        }
        out
    }

    fn prebreathes(&self, port: u16, say: &mut impl FnMut(&Rule, At, String)) {
        let p = &self.l.ports[port as usize];
        if p.egress == NONE {
            return;
        }
        let e = &self.l.elements[p.element as usize];
        let spec = &self.spec.elements[e.spec as usize];
        let (pressure, oxygen) = (spec.it.pressure.law.mean(), spec.it.oxygen.law.mean());
        let tissue = prebreathe::breathed_nitrogen(pressure, oxygen);
        for k in kinds_at(self.l, port) {
            let suit = &self.s.suits[k as usize];
            let wanted = prebreathe::Wanted {
                ratio: self.s.campaign.prebreathe_ratio.law.mean(),
                suit_pressure: suit.it.pressure.law.mean(),
                half_time: prebreathe::SLOW_HALF_TIME,
            };
            let breathed = prebreathe::breathed_nitrogen(pressure, suit.it.purity.law.mean());
            let Some(needed) = prebreathe::required_time(tissue, breathed, wanted) else {
                continue;
            };
            let least = spec.it.prebreathe_least.unwrap_or(self.s.campaign.prebreathe_least);
            let least = least.law.mean();
            let planned = prebreathe::planned_time(needed, least);
            let what = format!(
                "`{}` at {:.1} kPa and {:.1} % O2 to `{}` at {:.1} kPa: {:.0} min of prebreathe \
                 ({:.0} min by tissue nitrogen, at least {:.0} min by the file)",
                e.name,
                pressure / 1000.0,
                oxygen * 100.0,
                suit.name,
                wanted.suit_pressure / 1000.0,
                planned / 60.0,
                needed / 60.0,
                least / 60.0
            );
            say(&PREBREATHE_TIME, spec.it.pressure.at, what);
        }
    }

    /// What an element in orbit meets.
    fn orbit(&self, e: &Named<ElementSpec>) -> String {
        let mut parts: Vec<String> = Vec::new();
        if let Some((below, ratio)) = orbit::worst_ratio(self, &e.it) {
            let most = self.s.campaign.prebreathe_ratio.law.mean();
            parts.push(format!(
                "descending to `{below}` the nitrogen ratio is {ratio:.2} of {most:.2} allowed"
            ));
        }
        if let Some((below, oxygen)) = orbit::richest(self) {
            parts.push(format!(
                "`{below}` brings {:.1} % O2 of {:.1} % allowed",
                oxygen * 100.0,
                orbit::qualified(&e.it) * 100.0
            ));
        }
        if let Some(d) = orbit::dust_brought(self, &e.it) {
            parts.push(d.words(self));
        }
        for (kind, gets, most) in orbit::ports(self, &e.it) {
            let suit = &self.s.suits[kind as usize].name;
            let (gets, most) = (gets / 1000.0, most / 1000.0);
            parts.push(format!("`{suit}` sees {gets:.1} kPa of {most:.1} allowed at its port"));
        }
        format!("`{}`: {}", e.name, parts.join("; "))
    }

    /// Volumes that lists let down to outside pressure: by planned sorties, and only by ways back.
    fn vacuum(&self) -> String {
        let l = self.l;
        let lets_down = |id: &u16| -> Vec<VolumeId> {
            let Some(list) = l.lists.get(*id as usize) else { return Vec::new() };
            let rows = list.rows.iter().filter(|r| {
                let down = matches!(r.action, Action::Depress | Action::Vent);
                down && matches!(r.to, Aim::Ambient | Aim::Pascal(_))
            });
            rows.flat_map(|r| match r.on {
                On::Volumes(v, n) => v[..n as usize].to_vec(),
                On::BerthVolume(v, n) => v.run(n).collect(),
                _ => Vec::new(),
            })
            .collect()
        };
        let planned: Vec<VolumeId> = l
            .ports
            .iter()
            .flat_map(|p| [p.egress, p.ingress, p.service_in, p.service_out])
            .flat_map(|id| lets_down(&id))
            .collect();
        let mut told: Vec<VolumeId> = planned.clone();
        told.sort_unstable();
        told.dedup();
        let names = |of: &[VolumeId]| {
            let path = |v: &VolumeId| format!("`{}`", l.volumes[*v].path);
            of.iter().map(path).collect::<Vec<_>>().join(", ")
        };
        let mut ways: Vec<String> = Vec::new();
        for id in &l.ways_back {
            let mut only: Vec<VolumeId> =
                lets_down(id).into_iter().filter(|v| !planned.contains(v)).collect();
            only.sort_unstable();
            only.dedup();
            if !only.is_empty() {
                ways.push(format!("{} by `{}`", names(&only), l.lists[*id as usize].name));
            }
        }
        let first = match told.is_empty() {
            true => "planned sorties depressurise no volume".to_string(),
            false => format!("depressurised in planned sorties: {}", names(&told)),
        };
        match ways.is_empty() {
            true => format!("{first}; contingency ingress paths depressurise nothing else"),
            false => format!("{first}; only by contingency ingress paths: {}", ways.join(", ")),
        }
    }

    /// Volumes that people come into in suits from outside, with what elements say of dust.
    fn dust(&self, arm: &CheckedArm) -> String {
        let l = self.l;
        let mut met: Vec<(VolumeId, bool)> = Vec::new();
        let planned =
            l.ports.iter().flat_map(|p| [p.ingress, p.service_in]).filter(|id| *id != NONE);
        let all = planned.map(|id| (id, true)).chain(l.ways_back.iter().map(|id| (*id, false)));
        for (id, planned) in all {
            let list = &l.lists[id as usize];
            let last = arm.walks.get(id as usize).map_or(list.rows.len(), |w| w.safe);
            for r in list.rows.iter().take(last + 1) {
                if let (Action::Pass, On::Opening(o, _)) = (r.action, r.on)
                    && let Some((_, v)) = crate::plan::ends(l, o, r.direction)
                    && v != OUTSIDE
                    && !met.iter().any(|(m, _)| *m == v)
                {
                    met.push((v, planned));
                }
            }
        }
        let names = |planned: bool| {
            let those = met.iter().filter(|(_, p)| *p == planned);
            let name = |(v, _): &(VolumeId, bool)| {
                let volume = &l.volumes[*v];
                let e = &l.elements[volume.element as usize];
                let spec = &self.spec.elements[e.spec as usize].it;
                let refused = e.cabin == *v && !spec.tolerates_dust.it;
                let end = if refused { " (which does not tolerate dust)" } else { "" };
                format!("`{}`{end}", volume.path)
            };
            those.map(name).collect::<Vec<_>>().join(", ")
        };
        let none = |text: String| if text.is_empty() { "none".to_string() } else { text };
        format!(
            "entered in suits by planned ingress: {}; only by contingency ingress paths: {}",
            none(names(true)),
            none(names(false))
        )
    }

    fn havens(&self) -> String {
        let crew = self.l.crew;
        let havens: Vec<_> = self.l.elements.iter().filter(|e| e.haven_people > 0).collect();
        let days = |e: &&crate::plan::Element| {
            self.spec.elements[e.spec as usize].it.haven_days.law.mean() / 86_400.0
        };
        let told: Vec<String> = havens
            .iter()
            .map(|e| format!("`{}` {} for {:.0} days", e.name, e.haven_people, days(e)))
            .collect();
        let all: usize = havens.iter().map(|e| usize::from(e.haven_people)).sum();
        let lost = |e: &&crate::plan::Element| all - usize::from(e.haven_people) < crew;
        let short: Vec<String> =
            havens.iter().filter(|e| lost(e)).map(|e| format!("`{}`", e.name)).collect();
        let end = match short.len() {
            0 => "with any one of them lost there are still places for everyone".to_string(),
            _ => format!("without {} there are not places for everyone", short.join(" or ")),
        };
        format!("places for a crew of {crew}: {}; {end}", told.join(", "))
    }
}

/// Inspired oxygen, mmHg: 47 mmHg of water vapour are taken off the pressure (Pa).
fn inspired_mmhg(pressure: f64, oxygen: f64) -> f64 {
    const WATER: f64 = 47.0;
    const MMHG: f64 = 133.322;
    (pressure / MMHG - WATER) * oxygen
}

/// Inspired oxygen of an element against the published range.
fn inspired(name: &str, e: &ElementSpec) -> String {
    let (pressure, oxygen) = (e.pressure.law.mean(), e.oxygen.law.mean());
    let mmhg = inspired_mmhg(pressure, oxygen);
    let stands = match mmhg {
        x if x < 127.0 => "below the range, also after acclimatisation",
        x if x < 145.0 => "within the range after acclimatisation",
        x if x <= 155.0 => "within the nominal range",
        _ => "above the nominal range",
    };
    let rich = match oxygen > 0.36 {
        true => "above 36 % O2, few materials are qualified",
        false => "O2 not above 36 %",
    };
    format!(
        "`{name}` at {:.1} kPa and {:.1} % O2: inspired O2 {mmhg:.0} mmHg, {stands}; {rich}",
        pressure / 1000.0,
        oxygen * 100.0
    )
}

#[cfg(test)]
mod tests {
    use super::inspired_mmhg;

    /// 8.2 psia and 34 % O2: 128 mmHg of inspired O2; 10.2 psia and 26.5 %: 127 mmHg (Wessel et al.,
    /// Aerosp. Med. Hum. Perform. 89(9), 2018, as quoted in the references of this project).
    #[test]
    fn inspired_oxygen_as_published() {
        let of = |psi: f64, oxygen: f64| inspired_mmhg(psi * 6894.757, oxygen);
        assert!((of(8.2, 0.34) - 128.0).abs() < 1.0, "{}", of(8.2, 0.34));
        assert!((of(10.2, 0.265) - 127.0).abs() < 1.0, "{}", of(10.2, 0.265));
    }
}
