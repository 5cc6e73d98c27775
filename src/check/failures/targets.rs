//! What a failure row strikes: parts by kind and by name.

use super::*;

/// Is `on` the written name `port.part` or `element.part` of such a part?
pub(super) fn named(l: &Layout, on: &str, port: u16, element: u16, name: &str) -> bool {
    let owner = match port {
        NONE => &l.elements[element as usize].name,
        port => &l.ports[port as usize].name,
    };
    let parts = on.split_once('.');
    parts.is_some_and(|(o, n)| n == name && o == owner)
}

/// Does `on` stand for this opening?
pub(in crate::check) fn strikes(l: &Layout, on: &str, o: &Opening) -> bool {
    let seal = on == "seal" && o.kind != OpeningKind::DustDoor;
    let hatch = !on.is_empty() && on == l.hatch_word(o);
    on == o.kind.word() || hatch || seal || named(l, on, o.port, o.element, &o.name)
}

/// Does `on` stand for this pump?
pub(in crate::check) fn strikes_pump(l: &Layout, on: &str, p: &Pump) -> bool {
    let name = p.path.rsplit('/').next().unwrap_or_default();
    on == "pump" || named(l, on, p.port, 0, name)
}

/// Does `on` stand for this element?
pub(in crate::check) fn strikes_element(on: &str, e: &Element) -> bool {
    on == "element" || on == "rover" && e.kind == ElementKind::Rover || on == e.name
}

/// Parts of one architecture that `on` stands for.
pub(super) fn targets(l: &Layout, on: &str) -> Vec<Target> {
    let named = |port: u16, element: u16, name: &str| named(l, on, port, element, name);
    let mut out = Vec::new();
    for o in &l.openings {
        let t = match o.docking {
            true => Target::Docking(o.kind),
            false => Target::Opening(o.kind),
        };
        if strikes(l, on, o) {
            out.push(t);
        }
    }
    for p in &l.pumps {
        if strikes_pump(l, on, p) {
            out.push(Target::Pump);
        }
    }
    for x in &l.stages {
        if kind(on) == Some(Target::Stage(x.kind)) || named(x.port, 0, &x.name) {
            out.push(Target::Stage(x.kind));
        }
    }
    for e in &l.elements {
        let rover = e.kind == ElementKind::Rover;
        match on {
            "element" => out.push(Target::Element),
            "rover" if rover => out.push(Target::Rover),
            name if name == e.name => out.push(if rover { Target::Rover } else { Target::Element }),
            _ => {}
        }
    }
    match on {
        "suit" => out.extend(l.suits.iter().map(|_| Target::Suit)),
        "crew" => out.push(Target::Crew),
        _ => {}
    }
    out
}
