//! One architecture: its numbers, which modes strike which parts, its lists.

use super::compile::{Compiler, team_most};
use super::strikes::Strikes;
use super::times::{Times, lists_of};
use super::*;
use crate::base::ids::Table;
use crate::base::stream::fnv1a64;
use crate::check::Checked;
use crate::plan::{BerthId, Layout, NONE, OUTSIDE, OpeningId, VolumeId};
use crate::scenario::*;

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
    let strikes = Strikes::new(c, &layout, (modes, &spec.it.failures), groups);
    let mut b = ArmBuilder { c, spec: &spec.it, l: &layout };
    let elements: Vec<_> = (0..layout.elements.len()).map(|e| b.element(e)).collect();
    let volumes = b.volumes();
    let openings = layout.openings.ids().map(|o| b.opening(o)).collect();
    let pumps: Vec<_> = (0..layout.pumps.len()).map(|p| b.pump(p)).collect();
    let stages: Vec<_> = (0..layout.stages.len()).map(|s| b.stage(s)).collect();
    let hardware = b.hardware();
    let complexity = b.complexity(&checked.arms[index].singles, modes, &strikes.part_modes);
    let mut times = Times {
        c: b.c,
        l: &layout,
        elements: &elements,
        volumes: &volumes,
        openings: &openings,
        pumps: &pumps,
        suits,
        stages: &stages,
    };
    let lists = lists_of(&mut times, checked, index);
    let team = team_most(&checked.scenario);
    let own_loss = (0..layout.ports.len()).map(|p| times.own_loss(p, team)).collect();
    let scenario = &checked.scenario;
    let (activity_ports, activity_from) = activities(scenario, &layout);
    let overheads = spec.it.activities.iter().map(|a| c.vary(&a.it.overhead)).collect();
    let held_back = held_back(&layout, &lists, scenario.stores.len());
    let outcomes = outcomes(&layout);
    let events = c.s.environment.events.iter();
    let sheltered: Vec<_> = events.filter(|e| e.it.shelter.it).map(|e| e.name.clone()).collect();
    let (breakdown, blocks) = breakdown(&layout, causes, &sheltered, c.s.mass.is_some());
    Arm {
        name: spec.name.clone(),
        title: spec.it.title.clone(),
        lists,
        elements,
        volumes,
        openings,
        pumps,
        stages,
        modes: modes.to_vec(),
        outside: outside(modes),
        part_modes: strikes.part_modes,
        on_opening: strikes.on_opening,
        on_pump: strikes.on_pump,
        on_stage: strikes.on_stage,
        on_suit: strikes.on_suit,
        on_element: strikes.on_element,
        doors: Doors::new(&layout),
        suit_hashes: layout.suits.iter().map(|s| fnv1a64(&s.path)).collect(),
        groups: strikes.groups,
        overheads,
        activity_ports,
        activity_from,
        held_back,
        own_loss,
        hardware,
        complexity,
        outcomes,
        breakdown,
        blocks,
        layout,
    }
}

/// Ports of each activity in the order it lists them, and the element it starts from.
fn activities(s: &Scenario, l: &Layout) -> (Vec<Vec<u16>>, Vec<u16>) {
    let ports = |a: &Named<ActivitySpec>| a.it.ports.iter().filter_map(|p| l.port(&p.it)).collect();
    let from = |a: &Named<ActivitySpec>| l.element(&a.it.from.it).unwrap_or(0);
    (s.activities.iter().map(ports).collect(), s.activities.iter().map(from).collect())
}

/// Modes that strike people outside, by the hour or by the sortie.
fn outside(modes: &[Mode]) -> Vec<u16> {
    let strikes = |m: &Mode| matches!(m.trigger, Trigger::HourOutside | Trigger::Sortie);
    let all = modes.iter().enumerate().filter(|(_, m)| strikes(m));
    all.map(|(i, _)| i as u16).collect()
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

/// Names of the outcomes of a demand; ways of one name at several ports carry the port's (`port.name`).
fn outcomes(l: &Layout) -> Vec<String> {
    let name = |w: &u16| l.lists[*w as usize].name.as_str();
    let way = |w: &u16| {
        let port = &l.ports[l.lists[*w as usize].port as usize].name;
        let twice = l.ways_back.iter().filter(|x| name(x) == name(w)).count() > 1;
        if twice { format!("{port}.{}", name(w)) } else { name(w).to_string() }
    };
    let mut all = vec!["planned".to_string()];
    all.extend(l.ways_back.iter().map(way));
    all.extend(["late".to_string(), "missed".to_string()]);
    all
}

fn breakdown(
    l: &Layout,
    causes: &[String],
    sheltered: &[String],
    weighs: bool,
) -> (Vec<(String, String, String)>, Blocks) {
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
    let gas: Vec<String> =
        ports.flat_map(|p| GAS_CAUSES.iter().map(move |c| format!("{p}: {c}"))).collect();
    blocks.gas = push("gas_lost_kg", "kg", gas.clone());
    blocks.oxygen = push("oxygen_lost_kg", "kg", gas.clone());
    blocks.nitrogen = push("nitrogen_lost_kg", "kg", gas);
    blocks.upkeep = push("upkeep_h", "h", words(UPKEEP_CAUSES));
    blocks.dust = push("dust_to_cabin_g", "g", words(DUST_PATHS));
    blocks.dust_book = push("dust_picked_up_g", "g", words(&["all"]));
    push("dust_at_end_g", "g", words(DUST_ENDS));
    blocks.unsheltered = push("unsheltered_h", "h", sheltered.to_vec());
    if weighs {
        blocks.mass = Some(push("system_mass_kg", "kg", words(MASS_PARTS)));
        blocks.volume = Some(push(SYSTEM_VOLUME, "m3", words(VOLUME_PARTS)));
    }
    for (i, (action, word, _)) in Action::WORDS.iter().enumerate() {
        if l.lists.iter().any(|list| list.rows.iter().any(|row| row.action == *action)) {
            blocks.door[i] = Some(push(DOOR_TO_DOOR, "min", vec![word.to_string()]) as u16);
        }
    }
    (rows, blocks)
}

/// Turns the specs of one architecture into numbers.
pub(super) struct ArmBuilder<'a, 'b> {
    pub(super) c: &'b mut Compiler<'a>,
    pub(super) spec: &'b ArchitectureSpec,
    pub(super) l: &'b Layout,
}

impl ArmBuilder<'_, '_> {
    pub(super) fn element_spec(&self, e: usize) -> ElementSpec {
        self.spec.elements[self.l.elements[e].spec as usize].it.clone()
    }
    pub(super) fn access(&self, port: u16) -> &AccessSpec {
        &self.c.s.access[self.l.ports[port as usize].access as usize].it
    }

    fn element(&mut self, e: usize) -> ElementPlay {
        let s = self.element_spec(e);
        ElementPlay {
            temperature: self.c.p(&s.temperature),
            prebreathe_least: {
                let least = s.prebreathe_least.unwrap_or(self.c.s.campaign.prebreathe_least);
                self.c.p(&least)
            },
            haven_days: self.c.p(&s.haven_days),
            shelter: s.shelter.it,
            leak: self.c.p(&s.leak),
            distance: self.c.p(&s.distance),
            speed: s.speed.as_ref().map(|n| self.c.p(n)),
            range: s.range.as_ref().map(|n| self.c.p(n)),
            picks_up: s.picks_up.it,
            cleaning_every: s.cleaning_every.as_ref().map(|n| self.c.p(n)),
            cleaning_removes: self.c.p(&s.cleaning_removes),
            cleaning_takes: self.c.vary(&s.cleaning_takes),
            tolerates_dust: s.tolerates_dust.it,
        }
    }

    fn volumes(&mut self) -> Table<VolumeId, VolumePlay> {
        let mut rooms = 0;
        self.l
            .volumes
            .ids()
            .map(|v| {
                let mut play = self.volume(v);
                let keeps = v != OUTSIDE && !play.gap;
                if keeps {
                    play.room = rooms;
                    rooms += 1;
                }
                play
            })
            .collect()
    }

    fn volume(&mut self, v: VolumeId) -> VolumePlay {
        let volume = &self.l.volumes[v];
        if v == OUTSIDE {
            return self.outside();
        }
        let e = self.element_spec(volume.element as usize);
        let store = self.l.elements[volume.element as usize].store;
        let temperature = self.c.p(&e.temperature);
        let gap = self.l.berths.iter().any(|b| b.gap == v);
        let pump = self.l.pump_of(v).map_or(NONE, |p| p as u16);
        let valve = volume.openings.iter().copied().find(|o| {
            let opening = &self.l.openings[*o];
            opening.kind == OpeningKind::Valve && self.l.across(*o, v) == Some(OUTSIDE)
        });
        let base = VolumePlay {
            temperature,
            gap,
            pump,
            valve: valve.unwrap_or(OpeningId::NONE),
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
                filter_life: self.filter_life(e.filter_life.as_ref(), v),
                cabin: true,
                ..base
            };
        }
        let s = self.access(volume.port).volumes[volume.spec as usize].it.clone();
        VolumePlay {
            gas: self.c.p(&s.free),
            gear: self.c.p(&s.gear),
            fed: s.fed.it,
            mask: s.mask.it,
            height: self.c.p(&s.height),
            deposition: self.c.p(&e.deposition),
            resuspension: self.c.p(&e.resuspension),
            filter_flow: self.c.p(&s.filter_flow),
            filter_efficiency: self.c.p(&s.filter_efficiency),
            filter_life: self.filter_life(s.filter_life.as_ref(), v),
            cleaning: s.cleaning_every.as_ref().map(|every| {
                let removes = self.c.p(&s.cleaning_removes);
                (self.c.p(every), removes, self.c.vary(&s.cleaning_takes))
            }),
            ..base
        }
    }

    fn filter_life(&mut self, f: Option<&FilterLifeSpec>, v: VolumeId) -> Option<FilterLife> {
        let f = f?;
        let spares = &self.c.s.spares;
        let spare = f.spare.as_ref().and_then(|n| spares.iter().position(|x| x.name == n.it));
        Some(FilterLife {
            capacity: self.c.p(&f.capacity),
            flow_left: self.c.p(&f.flow_left),
            efficiency_left: self.c.p(&f.efficiency_left),
            change: self.c.vary(&f.change),
            spare: spare.map(|i| i as u16),
            hash: fnv1a64(&format!("{}/filter", self.l.volumes[v].path)),
        })
    }

    fn outside(&mut self) -> VolumePlay {
        let zero = self.c.params.fixed(0.0);
        let one = self.c.params.fixed(1.0);
        VolumePlay {
            gas: zero,
            gear: zero,
            fed: true,
            mask: false,
            height: one,
            deposition: one,
            resuspension: zero,
            filter_flow: zero,
            filter_efficiency: zero,
            filter_life: None,
            cleaning: None,
            temperature: self.c.params.fixed(294.26),
            cabin: false,
            gap: false,
            room: NONE,
            pump: NONE,
            valve: OpeningId::NONE,
            store: NONE,
        }
    }

    fn opening(&mut self, o: OpeningId) -> OpeningPlay {
        let opening = &self.l.openings[o];
        let s = if opening.port == NONE {
            self.element_spec(opening.element as usize).openings[opening.spec as usize].it.clone()
        } else {
            self.access(opening.port).openings[opening.spec as usize].it.clone()
        };
        let rest = self.element_spec(opening.element as usize).pressure;
        let (cover_dust, cover_sun) = match &s.cover {
            Some(x) => (self.c.p(&x.dust), self.c.p(&x.sun)),
            None => (self.c.params.fixed(1.0), self.c.params.fixed(1.0)),
        };
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
            leak_allowed: s.leak_allowed.as_ref().map(|n| self.c.p(n)),
            gap: s.gap.as_ref().map(|g| Gap {
                length: self.c.p(&g.length),
                height: self.c.p(&g.height),
                path: self.c.p(&g.path),
            }),
            cover_dust,
            cover_sun,
            suit_hatch_of: self
                .l
                .berths
                .iter()
                .position(|b| b.suit_hatch == o)
                .map_or(BerthId::NONE, BerthId::new),
            seals: opening.kind != OpeningKind::DustDoor,
            inspection: match (&s.inspection_takes, opening.kind) {
                (Some(n), _) => self.c.vary(n),
                (None, OpeningKind::DustDoor) => Vary::Fixed(0.0),
                (None, _) => self.c.vary(&self.c.s.campaign.inspection_takes.clone()),
            },
            hash: fnv1a64(&opening.path),
        }
    }

    fn pump(&mut self, p: usize) -> PumpPlay {
        let pump = &self.l.pumps[p];
        let s = self.access(pump.port).pumps[pump.spec as usize].it.clone();
        PumpPlay {
            speed: self.c.p(&s.speed),
            stop: pump.stop,
            recovery: self.c.p(&s.recovery),
            reservoir: self.c.p(&s.reservoir),
        }
    }

    fn stage(&mut self, i: usize) -> StagePlay {
        let stage = &self.l.stages[i];
        let s = self.access(stage.port).stages[stage.spec as usize].it.clone();
        StagePlay {
            removes: [0, 1, 2, 3].map(|b| self.c.p(&s.removes[b])),
            captures: [0, 1, 2, 3].map(|b| self.c.p(&s.captures[b])),
            gas: self.c.vary(&s.gas),
            upkeep: self.c.vary(&s.upkeep),
        }
    }
}
