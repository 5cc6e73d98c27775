//! Which failure modes strike which parts of an architecture.

use super::compile::Compiler;
use super::{Demands, Group, Mode, Part, PartMode, TRIGGERS};
use crate::layout::{Layout, NONE};
use crate::scenario::*;
use crate::stream::fnv1a64;

/// Which modes strike which parts.
pub(super) struct Strikes {
    pub(super) part_modes: Vec<PartMode>,
    pub(super) on_opening: Vec<Demands>,
    pub(super) on_pump: Vec<Demands>,
    pub(super) on_stage: Vec<Demands>,
    pub(super) on_suit: Vec<Demands>,
    pub(super) on_element: Vec<Demands>,
    pub(super) groups: Vec<Group>,
}

impl Strikes {
    pub(super) fn new(c: &mut Compiler, l: &Layout, modes: &[Mode], groups: &[String]) -> Strikes {
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
            out.part(c, modes, groups, &mut group_of, part, path, fits)
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
        c: &mut Compiler,
        modes: &[Mode],
        groups: &[String],
        group_of: &mut [Option<u16>],
        part: Part,
        path: &str,
        fits: &dyn Fn(&str) -> bool,
    ) -> Demands {
        let s = c.s;
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
                let shared = s.failures[i].it.shared.it;
                let hazard = match shared {
                    true => m.hazard,
                    false => c.hazard(&s.failures[i].it, Some(path)),
                };
                self.part_modes.push(PartMode {
                    hazard,
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
