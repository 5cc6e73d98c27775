//! Which failure modes strike which parts of an architecture.

use super::compile::Compiler;
use super::{Demands, Group, Mode, Part, PartMode, TRIGGERS};
use crate::base::ids::Table;
use crate::base::stream::fnv1a64;
use crate::plan::{Element, Layout, NONE, Opening, OpeningId, Pump, Stage, SuitId};
use crate::scenario::*;

/// Modes of an architecture with numbers and as written.
pub(super) type Modes<'a> = (&'a [Mode], &'a [Named<FailureSpec>]);

/// Which modes strike which parts.
pub(super) struct Strikes {
    pub(super) part_modes: Vec<PartMode>,
    pub(super) on_opening: Table<OpeningId, Demands>,
    pub(super) on_pump: Vec<Demands>,
    pub(super) on_stage: Vec<Demands>,
    pub(super) on_suit: Table<SuitId, Demands>,
    pub(super) on_element: Vec<Demands>,
    pub(super) groups: Vec<Group>,
}

impl Strikes {
    pub(super) fn new(c: &mut Compiler, l: &Layout, modes: Modes, groups: &[String]) -> Strikes {
        let mut out = Strikes {
            part_modes: Vec::new(),
            on_opening: Table::default(),
            on_pump: Vec::new(),
            on_stage: Vec::new(),
            on_suit: Table::default(),
            on_element: Vec::new(),
            groups: Vec::new(),
        };
        let mut common = Common::new(c.s, l, groups);
        let mut part = |part: Part, path: &str, fits: &dyn Fn(&str) -> bool| {
            out.part(c, modes, &mut common, part, path, fits)
        };
        let openings = l
            .openings
            .each()
            .map(|(i, o)| part(Part::Opening(i), &o.path, &|on| is_opening(l, on, o)))
            .collect();
        let pumps = l
            .pumps
            .iter()
            .enumerate()
            .map(|(i, p)| part(Part::Pump(i as u16), &p.path, &|on| is_pump(l, on, p)))
            .collect();
        let stages = l
            .stages
            .iter()
            .enumerate()
            .map(|(i, x)| part(Part::Stage(i as u16), &x.path, &|on| is_stage(l, on, x)))
            .collect();
        let suits =
            l.suits.each().map(|(i, x)| part(Part::Suit(i), &x.path, &|on| on == "suit")).collect();
        let elements = l
            .elements
            .iter()
            .enumerate()
            .map(|(i, e)| part(Part::Element(i as u16), &e.name, &|on| is_element(on, e)))
            .collect();
        (out.on_opening, out.on_pump, out.on_stage, out.on_suit, out.on_element) =
            (openings, pumps, stages, suits, elements);
        out
    }

    fn part(
        &mut self,
        c: &mut Compiler,
        modes: Modes,
        common: &mut Common,
        part: Part,
        path: &str,
        fits: &dyn Fn(&str) -> bool,
    ) -> Demands {
        let (modes, written) = modes;
        let mut d = Demands::default();
        for t in 0..TRIGGERS {
            let first = self.part_modes.len() as u16;
            for (i, m) in modes.iter().enumerate() {
                let outside = matches!(m.trigger, Trigger::HourOutside | Trigger::Sortie);
                let it = &written[i].it;
                let strikes = it.on.iter().any(|on| fits(&on.it));
                if m.trigger as usize != t || outside && m.suit || !strikes {
                    continue;
                }
                let id = self.part_modes.len() as u16;
                let group = m.group.map(|(g, _)| {
                    let at = common.of(g, part, i as u16, &mut self.groups);
                    self.groups[at as usize].members.push(id);
                    at
                });
                let hazard = match it.shared.it {
                    true => m.hazard,
                    false => c.hazard(it, Some(path)),
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

/// Does `on` of a failure row mean this opening: its kind, which hatch it is, its seal, its name?
fn is_opening(l: &Layout, on: &str, o: &Opening) -> bool {
    let hatch = l.hatch_word(o);
    on == o.kind.word()
        || !hatch.is_empty() && on == hatch
        || on == "seal" && o.kind != OpeningKind::DustDoor
        || named(l, on, o.port, o.element, &o.name)
}

fn is_pump(l: &Layout, on: &str, p: &Pump) -> bool {
    let name = p.path.rsplit('/').next().unwrap_or("");
    on == "pump" || named(l, on, p.port, l.ports[p.port as usize].element, name)
}

fn is_stage(l: &Layout, on: &str, x: &Stage) -> bool {
    let kind = match x.kind {
        StageKind::Cleaning => on == "stage",
        StageKind::Panel => on == "panel",
        StageKind::Umbilical => on == "umbilical",
    };
    kind || named(l, on, x.port, l.ports[x.port as usize].element, &x.name)
}

fn is_element(on: &str, e: &Element) -> bool {
    on == "element" || on == "rover" && e.kind == ElementKind::Rover || on == e.name
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

/// Which common-cause group of the architecture a part is in (rule 42): one that several rows name joins
/// all their parts; one of a single row joins what it strikes at one port, or on one element beside its
/// ports, of openings those of one make. Suits and elements go from port to port: they are together.
struct Common<'a> {
    layout: &'a Layout,
    /// By number of the name: the name, and is it in several rows?
    names: Vec<(&'a str, bool)>,
    /// Groups made so far: name, place, index.
    made: Vec<(u16, Place<'a>, u16)>,
}

/// Where the members of a group are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place<'a> {
    Anywhere,
    /// With the make of its openings.
    Port(u16, &'a str),
    Element(u16, &'a str),
}

impl<'a> Common<'a> {
    fn new(s: &Scenario, layout: &'a Layout, groups: &'a [String]) -> Common<'a> {
        let rows = |name: &str| {
            let of = |f: &&Named<FailureSpec>| {
                f.it.common.as_ref().is_some_and(|(group, _)| group.it == name)
            };
            s.failures.iter().filter(of).count()
        };
        let names = groups.iter().map(|name| (name.as_str(), rows(name) > 1)).collect();
        Common { layout, names, made: Vec::new() }
    }

    fn place(&self, group: u16, part: Part) -> Place<'a> {
        let l = self.layout;
        let make = match part {
            Part::Opening(o) => l.openings[o].make.as_str(),
            _ => "",
        };
        let port = match part {
            _ if self.names[group as usize].1 => return Place::Anywhere,
            Part::Suit(_) | Part::Element(_) => return Place::Anywhere,
            Part::Opening(o) if l.openings[o].port == NONE => {
                return Place::Element(l.openings[o].element, make);
            }
            Part::Opening(o) => l.openings[o].port,
            Part::Pump(p) => l.pumps[p as usize].port,
            Part::Stage(s) => l.stages[s as usize].port,
        };
        Place::Port(port, make)
    }

    /// Index of the group of a part; it is made when its first member comes.
    fn of(&mut self, name: u16, part: Part, mode: u16, groups: &mut Vec<Group>) -> u16 {
        let place = self.place(name, part);
        if let Some(known) = self.made.iter().find(|x| (x.0, x.1) == (name, place)) {
            return known.2;
        }
        let written = self.names[name as usize].0;
        let name_here = match place {
            Place::Anywhere => written.to_string(),
            Place::Port(p, _) => format!("{written}/{}", self.layout.ports[p as usize].path),
            Place::Element(e, _) => format!("{written}/{}", self.layout.elements[e as usize].name),
        };
        let name_here = match place {
            Place::Port(_, make) | Place::Element(_, make) if !make.is_empty() => {
                format!("{name_here}/{make}")
            }
            _ => name_here,
        };
        let hash = fnv1a64(&format!("group/{name_here}"));
        groups.push(Group { name: name_here, hash, mode, members: Vec::new() });
        let at = (groups.len() - 1) as u16;
        self.made.push((name, place, at));
        at
    }
}
