//! One architecture: its numbers, which modes strike which parts, its lists.

use super::compile::{Compiler, inner_volume, team_most};
use super::*;
use crate::check::Checked;
use crate::layout::{Layout, List, ListKind, MAX_CREW, NONE, OUTSIDE, On, Row, WhoSel};
use crate::physics::{gas, prebreathe};
use crate::scenario::*;
use crate::stream::fnv1a64;

/// Compiles architecture `index`.
pub(super) fn arm_compile(
    c: &mut Compiler,
    checked: &Checked,
    index: usize,
    modes: &[Mode],
    groups: &[String],
    causes: &[String],
    suits: &[SuitKind],
) -> Arm {
    let spec = &checked.scenario.architectures[index];
    let layout = checked.arms[index].layout.clone();
    let mut b = ArmBuilder { c, spec: &spec.it, l: &layout };
    let elements = (0..layout.elements.len()).map(|e| b.element(e)).collect();
    let volumes: Vec<VolumePlay> = b.volumes();
    let openings: Vec<OpeningPlay> = (0..layout.openings.len()).map(|o| b.opening(o)).collect();
    let pumps: Vec<PumpPlay> = (0..layout.pumps.len()).map(|p| b.pump(p)).collect();
    let stages = (0..layout.stages.len()).map(|s| b.stage(s)).collect();
    let strikes = Strikes::new(&checked.scenario, &layout, modes, groups);
    let mut times =
        Times { c: b.c, l: &layout, volumes: &volumes, openings: &openings, pumps: &pumps, suits };
    let lists = lists_of(&mut times, checked, index);
    let team = team_most(&checked.scenario);
    let own_loss = (0..layout.ports.len()).map(|p| times.own_loss(p, team)).collect();
    let scenario = &checked.scenario;
    let activity_ports: Vec<Vec<u16>> = scenario
        .activities
        .iter()
        .map(|a| a.it.ports.iter().filter_map(|p| layout.port(&p.it)).collect())
        .collect();
    let activity_from =
        scenario.activities.iter().map(|a| layout.element(&a.it.from.it).unwrap_or(0)).collect();
    let held_back = held_back(&layout, &lists, scenario.stores.len());
    let mut outcomes = vec!["planned".to_string()];
    outcomes.extend(layout.ways_back.iter().map(|w| layout.lists[*w as usize].name.clone()));
    outcomes.extend(["late".to_string(), "missed".to_string()]);
    let (breakdown, blocks) = breakdown(&layout, causes);
    let outside = modes
        .iter()
        .enumerate()
        .filter(|(_, m)| matches!(m.trigger, Trigger::HourOutside | Trigger::Sortie))
        .map(|(i, _)| i as u16)
        .collect();
    Arm {
        name: spec.name.clone(),
        title: spec.it.title.clone(),
        lists,
        elements,
        volumes,
        openings,
        pumps,
        stages,
        part_modes: strikes.part_modes,
        on_opening: strikes.on_opening,
        on_pump: strikes.on_pump,
        on_stage: strikes.on_stage,
        on_suit: strikes.on_suit,
        on_element: strikes.on_element,
        groups: strikes.groups,
        outside,
        activity_ports,
        activity_from,
        held_back,
        own_loss,
        outcomes,
        breakdown,
        blocks,
        layout,
    }
}

/// Rule 26: what is held back in each store for the largest list among the ways back that draw on it.
fn held_back(l: &Layout, lists: &[ListPlay], stores: usize) -> Vec<[f64; 2]> {
    let mut held = vec![[0.0f64; 2]; stores];
    for w in &l.ways_back {
        let port = l.lists[*w as usize].port;
        let store = l.elements[l.ports[port as usize].element as usize].store;
        if let Some(h) = held.get_mut(store as usize) {
            let f = lists[*w as usize].fills;
            *h = [h[0].max(f[0]), h[1].max(f[1])];
        }
    }
    held
}

fn breakdown(l: &Layout, causes: &[String]) -> (Vec<(String, String, String)>, Blocks) {
    let mut rows: Vec<(String, String, String)> = Vec::new();
    let mut blocks = Blocks::default();
    let mut push = |quantity: &str, unit: &str, names: Vec<String>| {
        let start = rows.len();
        rows.extend(names.into_iter().map(|n| (quantity.into(), n, unit.into())));
        start
    };
    let words = |w: &[&str]| w.iter().map(|s| s.to_string()).collect::<Vec<_>>();
    blocks.lost = push("eva_lost_h", "h", causes.to_vec());
    let ports = l.ports.iter().map(|p| p.name.clone()).chain(["elsewhere".to_string()]);
    let gas_names =
        ports.flat_map(|p| GAS_CAUSES.iter().map(move |c| format!("{p}: {c}"))).collect();
    blocks.gas = push("gas_lost_kg", "kg", gas_names);
    blocks.oxygen = push("oxygen_lost_kg", "kg", words(GAS_CAUSES));
    blocks.nitrogen = push("nitrogen_lost_kg", "kg", words(GAS_CAUSES));
    blocks.upkeep = push("upkeep_h", "h", words(UPKEEP_CAUSES));
    blocks.dust = push("dust_to_cabin_g", "g", words(DUST_PATHS));
    (rows, blocks)
}

struct ArmBuilder<'a, 'b> {
    c: &'b mut Compiler<'a>,
    spec: &'b ArchitectureSpec,
    l: &'b Layout,
}

impl ArmBuilder<'_, '_> {
    fn element_spec(&self, e: usize) -> ElementSpec {
        self.spec.elements[self.l.elements[e].spec as usize].it.clone()
    }
    fn access(&self, port: u16) -> &AccessSpec {
        &self.c.s.access[self.l.ports[port as usize].access as usize].it
    }

    fn element(&mut self, e: usize) -> ElementPlay {
        let s = self.element_spec(e);
        ElementPlay {
            temperature: self.c.p(&s.temperature),
            haven_days: self.c.p(&s.haven_days),
            leak: self.c.p(&s.leak),
            distance: self.c.p(&s.distance),
            speed: s.speed.as_ref().map(|n| self.c.p(n)),
            cleaning_every: s.cleaning_every.as_ref().map(|n| self.c.p(n)),
            cleaning_removes: self.c.p(&s.cleaning_removes),
            cleaning_takes: self.c.p(&s.cleaning_takes),
            tolerates_dust: s.tolerates_dust.it,
        }
    }

    fn volumes(&mut self) -> Vec<VolumePlay> {
        let mut rooms = 0;
        (0..self.l.volumes.len())
            .map(|v| {
                let mut play = self.volume(v);
                let keeps = v != OUTSIDE as usize && !play.gap;
                if keeps {
                    play.room = rooms;
                    rooms += 1;
                }
                play
            })
            .collect()
    }

    fn volume(&mut self, v: usize) -> VolumePlay {
        let volume = &self.l.volumes[v];
        if v == OUTSIDE as usize {
            return self.outside();
        }
        let e = self.element_spec(volume.element as usize);
        let store = self.l.elements[volume.element as usize].store;
        let temperature = self.c.p(&e.temperature);
        let gap = self.l.berths.iter().any(|b| b.gap as usize == v);
        let pump = self.l.pump_of(v as u16).map_or(NONE, |p| p as u16);
        let valve = volume.openings.iter().copied().find(|o| {
            let opening = &self.l.openings[*o as usize];
            opening.kind == OpeningKind::Valve && self.l.across(*o, v as u16) == Some(OUTSIDE)
        });
        let base = VolumePlay {
            temperature,
            gap,
            pump,
            valve: valve.unwrap_or(NONE),
            store,
            ..self.outside()
        };
        if volume.spec == NONE {
            return VolumePlay {
                gas: self.c.p(&e.volume),
                height: self.c.p(&e.height),
                deposition: self.c.p(&e.deposition),
                resuspension: self.c.p(&e.resuspension),
                filter_flow: self.c.p(&e.filter_flow),
                filter_efficiency: self.c.p(&e.filter_efficiency),
                cabin: true,
                ..base
            };
        }
        let s = self.access(volume.port).volumes[volume.spec as usize].it.clone();
        VolumePlay {
            gas: self.c.p(&s.free),
            gear: self.c.p(&s.gear),
            fed: s.fed.it,
            height: self.c.p(&s.height),
            deposition: self.c.p(&e.deposition),
            resuspension: self.c.p(&e.resuspension),
            filter_flow: self.c.p(&s.filter_flow),
            filter_efficiency: self.c.p(&s.filter_efficiency),
            ..base
        }
    }

    fn outside(&mut self) -> VolumePlay {
        let zero = self.c.params.fixed(0.0);
        let one = self.c.params.fixed(1.0);
        VolumePlay {
            gas: zero,
            gear: zero,
            fed: true,
            height: one,
            deposition: one,
            resuspension: zero,
            filter_flow: zero,
            filter_efficiency: zero,
            temperature: self.c.params.fixed(294.26),
            cabin: false,
            gap: false,
            room: NONE,
            pump: NONE,
            valve: NONE,
            store: NONE,
        }
    }

    fn opening(&mut self, o: usize) -> OpeningPlay {
        let opening = &self.l.openings[o];
        let s = if opening.port == NONE {
            self.element_spec(opening.element as usize).openings[opening.spec as usize].it.clone()
        } else {
            self.access(opening.port).openings[opening.spec as usize].it.clone()
        };
        let rest = self.element_spec(opening.element as usize).pressure;
        OpeningPlay {
            clear: s.clear.as_ref().map(|n| self.c.p(n)),
            leak: self.c.p(&s.leak),
            leak_at: self.c.p(s.leak_at.as_ref().unwrap_or(&rest)),
            diameter: s.diameter.as_ref().map(|n| self.c.p(n)),
            discharge: self.c.p(&s.discharge),
            air_share: self.c.p(&s.air_share),
            floor_share: self.c.p(&s.floor_share),
            dust_share: self.c.p(&s.dust_share),
            seal_dust: self.c.p(&s.seal_dust),
            suit_hatch_of: self
                .l
                .berths
                .iter()
                .position(|b| b.suit_hatch as usize == o)
                .map_or(NONE, |b| b as u16),
            seals: opening.kind != OpeningKind::DustDoor,
        }
    }

    fn pump(&mut self, p: usize) -> PumpPlay {
        let pump = &self.l.pumps[p];
        let s = self.access(pump.port).pumps[pump.spec as usize].it.clone();
        PumpPlay { speed: self.c.p(&s.speed), stop: pump.stop, recovery: self.c.p(&s.recovery) }
    }

    fn stage(&mut self, i: usize) -> StagePlay {
        let stage = &self.l.stages[i];
        let s = self.access(stage.port).stages[stage.spec as usize].it.clone();
        StagePlay {
            removes: [0, 1, 2, 3].map(|b| self.c.p(&s.removes[b])),
            gas: self.c.p(&s.gas),
            upkeep: self.c.p(&s.upkeep),
        }
    }
}

/// Which modes strike which parts.
struct Strikes {
    part_modes: Vec<PartMode>,
    on_opening: Vec<Demands>,
    on_pump: Vec<Demands>,
    on_stage: Vec<Demands>,
    on_suit: Vec<Demands>,
    on_element: Vec<Demands>,
    groups: Vec<Group>,
}

impl Strikes {
    fn new(s: &Scenario, l: &Layout, modes: &[Mode], groups: &[String]) -> Strikes {
        let mut out = Strikes {
            part_modes: Vec::new(),
            on_opening: Vec::new(),
            on_pump: Vec::new(),
            on_stage: Vec::new(),
            on_suit: Vec::new(),
            on_element: Vec::new(),
            groups: Vec::new(),
        };
        let mut group_of: Vec<Option<u16>> = vec![None; groups.len()];
        let mut part = |part: Part, path: &str, fits: &dyn Fn(&str) -> bool| {
            out.part(s, modes, groups, &mut group_of, part, path, fits)
        };
        let openings: Vec<Demands> = l
            .openings
            .iter()
            .enumerate()
            .map(|(i, o)| {
                let seal = o.kind != OpeningKind::DustDoor;
                let fits = |on: &str| {
                    on == o.kind.word()
                        || on == "seal" && seal
                        || named(l, on, o.port, o.element, &o.name)
                };
                part(Part::Opening(i as u16), &o.path, &fits)
            })
            .collect();
        let pumps = l
            .pumps
            .iter()
            .enumerate()
            .map(|(i, p)| {
                let name = p.path.rsplit('/').next().unwrap_or("");
                let e = l.ports[p.port as usize].element;
                part(Part::Pump(i as u16), &p.path, &|on| {
                    on == "pump" || named(l, on, p.port, e, name)
                })
            })
            .collect();
        let stages = l
            .stages
            .iter()
            .enumerate()
            .map(|(i, x)| {
                let e = l.ports[x.port as usize].element;
                let fits = |on: &str| {
                    let kind = match x.kind {
                        StageKind::Cleaning => on == "stage",
                        StageKind::Panel => on == "panel",
                        StageKind::Umbilical => on == "umbilical",
                    };
                    kind || named(l, on, x.port, e, &x.name)
                };
                part(Part::Stage(i as u16), &x.path, &fits)
            })
            .collect();
        let suits = l
            .suits
            .iter()
            .enumerate()
            .map(|(i, x)| part(Part::Suit(i as u16), &x.path, &|on| on == "suit"))
            .collect();
        let elements = l
            .elements
            .iter()
            .enumerate()
            .map(|(i, e)| {
                let rover = e.kind == ElementKind::Rover;
                let fits = |on: &str| on == "element" || on == "rover" && rover || on == e.name;
                part(Part::Element(i as u16), &e.name, &fits)
            })
            .collect();
        (out.on_opening, out.on_pump, out.on_stage, out.on_suit, out.on_element) =
            (openings, pumps, stages, suits, elements);
        out
    }

    #[allow(clippy::too_many_arguments)] // one call site; a record would only rename them
    fn part(
        &mut self,
        s: &Scenario,
        modes: &[Mode],
        groups: &[String],
        group_of: &mut [Option<u16>],
        part: Part,
        path: &str,
        fits: &dyn Fn(&str) -> bool,
    ) -> Demands {
        let mut d = Demands::default();
        for t in 0..TRIGGERS {
            let first = self.part_modes.len() as u16;
            for (i, m) in modes.iter().enumerate() {
                let outside = matches!(m.trigger, Trigger::HourOutside | Trigger::Sortie);
                if m.trigger as usize != t || outside && m.suit || !fits(&s.failures[i].it.on.it) {
                    continue;
                }
                let id = self.part_modes.len() as u16;
                let group = m.group.map(|(g, _)| {
                    let slot = &mut group_of[g as usize];
                    let at = *slot.get_or_insert_with(|| {
                        self.groups.push(Group {
                            name: groups[g as usize].clone(),
                            hash: fnv1a64(&format!("group/{}", groups[g as usize])),
                            mode: i as u16,
                            members: Vec::new(),
                        });
                        (self.groups.len() - 1) as u16
                    });
                    self.groups[at as usize].members.push(id);
                    at
                });
                self.part_modes.push(PartMode {
                    part,
                    mode: i as u16,
                    hash: fnv1a64(&format!("{path}/{}", m.name)),
                    group: group.unwrap_or(u16::MAX),
                });
            }
            d.of[t] = (first, self.part_modes.len() as u16);
        }
        d
    }
}

/// Is `on` the written name `port.part` or `element.part` of this part?
fn named(l: &Layout, on: &str, port: u16, element: u16, name: &str) -> bool {
    let Some((owner, part)) = on.split_once('.') else {
        return false;
    };
    part == name
        && if port != NONE {
            l.ports[port as usize].name == owner
        } else {
            l.elements[element as usize].name == owner
        }
}

/// Mean times and gas fills of lists, from means and pressures at rest.
struct Times<'a, 'b> {
    c: &'b mut Compiler<'a>,
    l: &'b Layout,
    volumes: &'b [VolumePlay],
    openings: &'b [OpeningPlay],
    pumps: &'b [PumpPlay],
    suits: &'b [SuitKind],
}

fn lists_of(t: &mut Times, checked: &Checked, index: usize) -> Vec<ListPlay> {
    let team = team_most(&checked.scenario);
    let arm = &checked.arms[index];
    arm.layout
        .lists
        .iter()
        .zip(&arm.walks)
        .map(|(list, walk)| t.list(list, walk.safe, &walk.abort, team))
        .collect()
}

impl Times<'_, '_> {
    fn list(&mut self, list: &List, safe: usize, abort: &[u16], team: usize) -> ListPlay {
        let mut draws = 0;
        let crew = self.l.crew;
        let rows: Vec<RowPlay> = list
            .rows
            .iter()
            .map(|r| {
                let own = matches!(
                    r.who,
                    WhoSel::Word(Who::Team | Who::First | Who::Last | Who::Partner)
                );
                let persons = if list.kind != ListKind::WayBack && own { team } else { crew };
                self.row(r, persons, &mut draws)
            })
            .collect();
        let mut mean_total = [0.0; MAX_CREW + 1];
        let mut mean_safe = [0.0; MAX_CREW + 1];
        for n in 0..=MAX_CREW {
            for (i, (row, play)) in list.rows.iter().zip(&rows).enumerate().take(list.after) {
                let mean = self.mean(row, play, n);
                mean_total[n] += mean;
                if i <= safe {
                    mean_safe[n] += mean;
                }
            }
        }
        let travels = list.rows.iter().find_map(|r| match (r.action, r.on) {
            (Action::Travel, On::Element(e)) => Some(e),
            _ => None,
        });
        ListPlay {
            hash: fnv1a64(&list.path),
            rows,
            draws,
            mean_total,
            mean_safe,
            abort: abort.to_vec(),
            ready: self.ready(list),
            travels_to: travels.unwrap_or(NONE),
            fills: self.fills(list),
        }
    }

    fn row(&mut self, r: &Row, persons: usize, draws: &mut usize) -> RowPlay {
        let takes = r.takes.as_ref().map(|n| self.c.vary(n));
        let per_person = r.each != Each::Team;
        let draw = *draws as u16;
        if takes.as_ref().is_some_and(Vary::draws) {
            *draws += if per_person { persons } else { 1 };
        }
        let check = *draws as u16;
        if r.misses.is_some() || r.false_alarm.is_some() {
            *draws += 2 * persons;
        }
        let chance = |c: &mut Compiler, n: &Option<Num>| n.as_ref().map(|n| c.p(n));
        let incapacitated = r.incapacitated.map(|i| match i {
            Incapacitated::Skip => IncapacitatedPlay::Skip,
            Incapacitated::Takes(n, p) => {
                IncapacitatedPlay::Takes(self.c.vary(&n), chance(self.c, &p))
            }
            Incapacitated::Adds(n, p) => {
                IncapacitatedPlay::Adds(self.c.vary(&n), chance(self.c, &p))
            }
            Incapacitated::Times(x, p) => IncapacitatedPlay::Times(x, chance(self.c, &p)),
        });
        RowPlay {
            takes,
            draw,
            check,
            frees: chance(self.c, &r.frees),
            misses: chance(self.c, &r.misses),
            false_alarm: chance(self.c, &r.false_alarm),
            incapacitated,
        }
    }

    fn at(&self, p: P) -> f64 {
        self.c.params.mean(p)
    }

    fn mean(&self, r: &Row, play: &RowPlay, n: usize) -> f64 {
        let one = play.takes.as_ref().map_or(0.0, Vary::mean);
        let people = match r.who {
            WhoSel::Word(Who::Team | Who::All | Who::Inside) => n as f64,
            _ => 1.0,
        };
        let takes = if r.each == Each::InTurn { one * people } else { one };
        takes.max(self.physics(r, n))
    }

    fn physics(&self, r: &Row, n: usize) -> f64 {
        let v = match r.on {
            On::Volumes([v, ..], _) => v,
            On::BerthVolume(v, _) => v,
            On::Suit if r.action == Action::Prebreathe => return self.prebreathe(),
            _ => return 0.0,
        };
        let rest = self.l.volumes[v as usize].rest;
        match r.action {
            Action::Depress => self.depress_time(v, r, n),
            Action::Vent => self.vent_time(v, n).unwrap_or(0.0),
            Action::Repress => {
                let rate = self.c.s.campaign.pressure_rate.law.mean();
                gas::repress_time(self.l.ambient.min(rest), rest, rate)
            }
            _ => 0.0,
        }
    }

    fn free(&self, v: u16, n: usize) -> f64 {
        let p = &self.volumes[v as usize];
        let inside = if p.cabin || p.gap { 0 } else { n as u32 };
        let displaces = self.c.s.crew.displaces.law.mean();
        gas::free_volume(self.at(p.gas), inside, displaces, self.at(p.gear))
    }

    fn depress_time(&self, v: u16, r: &Row, n: usize) -> f64 {
        let Some(pump) = self.pumps.get(self.volumes[v as usize].pump as usize) else {
            return 0.0;
        };
        let to = match r.to {
            crate::layout::Aim::Pascal(p) => p.max(pump.stop),
            _ => pump.stop,
        };
        let from = self.l.volumes[v as usize].rest;
        if from <= to {
            0.0
        } else {
            gas::pump::time(self.free(v, n), self.at(pump.speed), from, to)
        }
    }

    fn vent_time(&self, v: u16, n: usize) -> Option<f64> {
        let valve = self.openings.get(self.volumes[v as usize].valve as usize)?;
        let orifice = gas::vent::Orifice::round(self.at(valve.diameter?), self.at(valve.discharge));
        let volume = &self.l.volumes[v as usize];
        let from = match self.pumps.get(self.volumes[v as usize].pump as usize) {
            Some(p) => p.stop,
            None => volume.rest,
        };
        let to = self.l.ambient + crate::layout::ACROSS;
        if from <= to {
            return Some(0.0);
        }
        let mix = gas::Mix { oxygen: volume.oxygen };
        let t = self.at(self.volumes[v as usize].temperature);
        gas::vent::time(self.free(v, n), orifice, (from, to), self.l.ambient, mix, t)
    }

    fn prebreathe(&self) -> f64 {
        let c = &self.c.s.campaign;
        let cabin = &self.l.volumes[self.l.elements[0].cabin as usize];
        let suit = &self.suits[0];
        let tissue = prebreathe::breathed_nitrogen(cabin.rest, cabin.oxygen);
        let breathed = prebreathe::breathed_nitrogen(cabin.rest, self.at(suit.purity));
        let wanted = prebreathe::Wanted {
            ratio: c.prebreathe_ratio.law.mean(),
            suit_pressure: suit.pressure,
            half_time: prebreathe::SLOW_HALF_TIME,
        };
        let required = prebreathe::required_time(tissue, breathed, wanted).unwrap_or(0.0);
        prebreathe::planned_time(required, c.prebreathe_least.law.mean())
    }

    /// The volume behind the first pressure hatch the list opens.
    fn ready(&self, list: &List) -> u16 {
        if list.kind != ListKind::Ingress && list.from != Some(OUTSIDE) {
            return NONE;
        }
        let first = list.rows.iter().find_map(|r| match (r.action, r.on) {
            (Action::Open | Action::Pass, On::Opening(o, 1)) => {
                let opening = &self.l.openings[o as usize];
                let own = opening.port == list.port && opening.kind == OpeningKind::PressureHatch;
                own.then_some(opening.sides[0])
            }
            _ => None,
        });
        first.and_then(inner_volume).filter(|v| !self.volumes[*v as usize].cabin).unwrap_or(NONE)
    }

    /// Mean loss of a sortie by its own rows: what the pump does not recover and what is left at its
    /// stop, or the whole chamber without a pump; purges that go outside (rule 26).
    fn own_loss(&self, port: usize, team: usize) -> [f64; 2] {
        let p = &self.l.ports[port];
        let Some(list) = self.l.lists.get(p.egress as usize) else {
            return [0.0; 2];
        };
        let mut sum = [0.0; 2];
        let mut emptied: Vec<u16> = Vec::new();
        for r in &list.rows {
            if let (
                Action::Depress | Action::Vent,
                On::Volumes([v, ..], 1) | On::BerthVolume(v, _),
            ) = (r.action, r.on)
            {
                if !emptied.contains(&v) {
                    emptied.push(v);
                    let lost = self.cycle_loss(v, team);
                    sum = [sum[0] + lost[0], sum[1] + lost[1]];
                }
            }
            if r.action == Action::Purge && r.gas == crate::layout::GasEnd::Outside {
                let takes = r.takes.as_ref().map_or(0.0, |n| n.law.mean());
                sum[0] += self.at(self.suits[0].purge_flow) * takes * team as f64;
            }
        }
        sum
    }

    fn cycle_loss(&self, v: u16, team: usize) -> [f64; 2] {
        let volume = &self.l.volumes[v as usize];
        let mix = gas::Mix { oxygen: volume.oxygen };
        let t = self.at(self.volumes[v as usize].temperature);
        let free = self.free(v, team);
        let at = |p: f64| gas::content(p.max(0.0), free, mix, t);
        let count = self.l.berths.iter().filter(|b| b.gap == v).count().max(1) as f64;
        let lost = match self.pumps.get(self.volumes[v as usize].pump as usize) {
            Some(pump) => {
                let moved = at(volume.rest) - at(pump.stop);
                moved * (1.0 - self.at(pump.recovery)) + at(pump.stop)
            }
            None => at(volume.rest),
        };
        [lost.oxygen * count, lost.nitrogen * count]
    }

    /// O2 and N2 that fill every volume of the `repress` rows from ambient, kg (rule 26).
    fn fills(&self, list: &List) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for r in list.rows.iter().filter(|r| r.action == Action::Repress) {
            let ids: Vec<u16> = match r.on {
                On::Volumes(v, n) => v[..n as usize].to_vec(),
                On::BerthVolume(v, _) => vec![v],
                _ => Vec::new(),
            };
            for v in ids {
                let volume = &self.l.volumes[v as usize];
                let to = match r.to {
                    crate::layout::Aim::Pascal(p) => p,
                    _ => volume.rest,
                };
                let mix = gas::Mix { oxygen: volume.oxygen };
                let t = self.at(self.volumes[v as usize].temperature);
                let rise = (to - self.l.ambient).max(0.0);
                let m = gas::content(rise, self.free(v, 0), mix, t);
                sum[0] += m.oxygen;
                sum[1] += m.nitrogen;
            }
        }
        sum
    }
}
