//! From what was written to a layout: instances, neighbours, berths, suits. Row resolution is in
//! [`super::resolve`].

mod suits;

use super::*;
use super::{belongs, resolve};
use crate::scenario::*;

/// Resolves architecture `index` of the scenario. The layout is only to be used when no complaint
/// came with it.
pub fn build(scenario: &Scenario, index: usize) -> (Layout, Vec<Complaint>) {
    let spec = &scenario.architectures[index];
    let mut b =
        Builder { scenario, spec: &spec.it, out: empty(scenario, &spec.name), said: Vec::new() };
    b.elements();
    b.element_openings();
    b.ports();
    b.berths();
    b.suits();
    b.neighbours();
    let said = resolve::lists(scenario, &mut b.out, &spec.it);
    b.said.extend(said);
    b.said.extend(belongs::settle(scenario, &mut b.out));
    (b.out, b.said)
}

fn empty(scenario: &Scenario, name: &str) -> Layout {
    let outside = Volume {
        path: "outside".into(),
        name: "outside".into(),
        element: NONE,
        port: NONE,
        rest: scenario.body.ambient.law.mean(),
        oxygen: 0.0,
        holds: u16::MAX,
        spec: NONE,
        openings: Vec::new(),
        berths: Vec::new(),
    };
    Layout {
        name: name.into(),
        ambient: scenario.body.ambient.law.mean(),
        crew: scenario.crew.names.len(),
        homes: Vec::new(),
        elements: Vec::new(),
        volumes: vec![outside].into(),
        openings: Table::default(),
        berths: Table::default(),
        pumps: Vec::new(),
        stages: Vec::new(),
        ports: Vec::new(),
        suits: Table::default(),
        lists: Vec::new(),
        ways_back: Vec::new(),
    }
}

struct Builder<'a> {
    scenario: &'a Scenario,
    spec: &'a ArchitectureSpec,
    out: Layout,
    said: Vec<Complaint>,
}

impl Builder<'_> {
    fn say(&mut self, rule: &'static str, at: At, what: String, remedy: impl Into<String>) {
        self.said.push(Complaint { rule, at, what, remedy: remedy.into() });
    }

    fn elements(&mut self) {
        for (i, e) in self.spec.elements.iter().enumerate().filter(|(_, e)| e.it.played.it) {
            let store = match &e.it.store {
                Some(s) => self.scenario.stores.iter().position(|x| x.name == s.it),
                None if self.scenario.stores.len() == 1 => Some(0),
                None => None,
            };
            if let (Some(s), None) = (&e.it.store, store) {
                let known = names(self.scenario.stores.iter().map(|s| &s.name));
                self.say("unknown-name", s.at, format!("no store `{}`", s.it), known);
            }
            let cabin = self.out.volumes.push(Volume {
                path: format!("{}/cabin", e.name),
                name: "cabin".into(),
                element: self.out.elements.len() as u16,
                port: NONE,
                rest: e.it.pressure.law.mean(),
                oxygen: e.it.oxygen.law.mean(),
                holds: u16::MAX,
                spec: NONE,
                openings: Vec::new(),
                berths: Vec::new(),
            });
            self.out.elements.push(Element {
                name: e.name.clone(),
                spec: i as u16,
                kind: e.it.kind.it,
                cabin,
                joined: NONE,
                haven_people: e.it.haven_people.it as u16,
                tolerates_vacuum: e.it.tolerates_vacuum.it,
                ascent: e.it.ascent.it,
                inside_least: e.it.inside_least.it as u16,
                store: store.map_or(NONE, |s| s as u16),
            });
        }
        for k in 0..self.out.elements.len() {
            let e = &self.spec.elements[self.out.elements[k].spec as usize];
            let Some(j) = &e.it.joined else { continue };
            match self.out.element(&j.it) {
                Some(other) if other as usize != k => self.out.elements[k].joined = other,
                _ => {
                    let known = names(self.out.elements.iter().map(|e| &e.name));
                    self.say("unknown-name", j.at, format!("no other element `{}`", j.it), known);
                }
            }
        }
    }

    fn element_openings(&mut self) {
        for k in 0..self.out.elements.len() {
            let e = &self.spec.elements[self.out.elements[k].spec as usize];
            let (name, spec) = (e.name.clone(), &e.it);
            for (i, o) in spec.openings.iter().enumerate() {
                let sides = [0, 1].map(|s| self.element_side(k, &o.it.between[s]));
                let [Some(a), Some(b)] = sides else { continue };
                let path = format!("{name}/{}", o.name);
                self.opening(o, path, [Side::Volume(a), Side::Volume(b)], k as u16, NONE, i as u16);
            }
        }
    }

    fn element_side(&mut self, element: usize, name: &Spot<String>) -> Option<VolumeId> {
        let found = match name.it.as_str() {
            "outside" => Some(OUTSIDE),
            "cabin" => Some(self.out.elements[element].cabin),
            other => self.cabin_named(other),
        };
        if found.is_none() {
            let what = format!("no volume `{}` here", name.it);
            self.say("unknown-name", name.at, what, "write `cabin`, `outside` or `ELEMENT.cabin`");
        }
        found
    }

    fn cabin_named(&self, text: &str) -> Option<VolumeId> {
        let element = text.strip_suffix(".cabin").unwrap_or(text);
        self.out.element(element).map(|e| self.out.elements[e as usize].cabin)
    }

    fn opening(
        &mut self,
        o: &Named<OpeningSpec>,
        path: String,
        sides: [Side; 2],
        element: u16,
        port: u16,
        spec: u16,
    ) -> OpeningId {
        self.out.openings.push(Opening {
            path,
            name: o.name.clone(),
            kind: o.it.kind.it,
            sides,
            rest: o.it.rest.it,
            element,
            port,
            spec,
            docking: o.it.docking.it,
            make: o.it.make.as_ref().map_or(String::new(), |m| m.it.clone()),
            at: o.at,
        })
    }

    fn ports(&mut self) {
        for p in &self.spec.ports {
            let element = self.out.element(&p.it.element.it);
            let access = self.scenario.access.iter().position(|a| a.name == p.it.system());
            if element.is_none() {
                let what =
                    format!("port `{}` stands on no played element `{}`", p.name, p.it.element.it);
                let known = names(self.out.elements.iter().map(|e| &e.name));
                self.say("unknown-name", p.it.element.at, what, known);
            }
            if access.is_none() {
                let what = format!("no access file named `{}` is included", p.it.access.it);
                let known = names(self.scenario.access.iter().map(|a| &a.name));
                self.say("unknown-name", p.it.access.at, what, known);
            }
            if let (Some(element), Some(access)) = (element, access) {
                self.port(p, element, access);
            }
        }
    }

    fn port(&mut self, p: &Named<PortSpec>, element: u16, access: usize) {
        let id = self.out.ports.len() as u16;
        let path = format!("{}/{}", p.it.element.it, p.name);
        self.out.ports.push(Port {
            name: p.name.clone(),
            path: path.clone(),
            element,
            access: access as u16,
            volumes: Vec::new(),
            openings: Vec::new(),
            berths: Vec::new(),
            egress: NONE,
            ingress: NONE,
            service_in: NONE,
            service_out: NONE,
            restore: NONE,
            dock: NONE,
            undock: NONE,
            ways: Vec::new(),
            kinds: Vec::new(),
            empties: Vec::new(),
            out_from: VolumeId::NONE,
            at: p.at,
        });
        let a = &self.scenario.access[access].it;
        for (i, v) in a.volumes.iter().enumerate() {
            for k in 0..v.it.count.it {
                self.port_volume(id, element, v, i, &instance(&path, &v.name, k));
            }
        }
        for (i, o) in a.openings.iter().enumerate() {
            for k in 0..o.it.count.it {
                let sides = [0, 1].map(|s| self.port_side(id, &o.it.between[s], k, o.it.count.it));
                if let [Some(x), Some(y)] = sides {
                    let new =
                        self.opening(o, instance(&path, &o.name, k), [x, y], element, id, i as u16);
                    self.out.ports[id as usize].openings.push(new);
                }
            }
        }
        self.machines(id, access);
    }

    fn port_volume(
        &mut self,
        port: u16,
        element: u16,
        v: &Named<VolumeSpec>,
        i: usize,
        path: &str,
    ) {
        let cabin = &self.out.volumes[self.out.elements[element as usize].cabin];
        let rest = match v.it.rest.it {
            Target::Cabin | Target::Working => cabin.rest,
            Target::Outside => self.out.ambient,
            Target::Pascal(p) => p,
        };
        let oxygen = cabin.oxygen;
        let volume = self.out.volumes.push(Volume {
            path: path.into(),
            name: v.name.clone(),
            element,
            port,
            rest,
            oxygen,
            holds: v.it.holds.map_or(u16::MAX, |h| h.it as u16),
            spec: i as u16,
            openings: Vec::new(),
            berths: Vec::new(),
        });
        self.out.ports[port as usize].volumes.push(volume);
    }

    /// A side of a port's opening. `suit` is the suit at the berth of the same instance.
    fn port_side(&mut self, port: u16, name: &Spot<String>, k: u32, count: u32) -> Option<Side> {
        if name.it == "suit" {
            return Some(Side::Suit(BerthId::new(k as usize))); // provisional: numbered within the port, see `berths`
        }
        let p = &self.out.ports[port as usize];
        let own: Vec<VolumeId> =
            p.volumes.iter().copied().filter(|v| self.out.volumes[*v].name == name.it).collect();
        let found = match (own.len(), name.it.as_str()) {
            (0, "outside") => Some(OUTSIDE),
            (0, "cabin") => Some(self.out.elements[p.element as usize].cabin),
            (0, "host") if self.out.element("host").is_none() => self.out.host(p.element),
            (0, other) => self.cabin_named(other),
            (1, _) => Some(own[0]),
            (n, _) if n == count as usize => Some(own[k as usize]),
            _ => None,
        };
        if found.is_none() {
            let what = format!("no volume `{}` with matching `count`", name.it);
            self.say(
                "unknown-name",
                name.at,
                what,
                "write a volume of this file, `cabin`, `outside`, `suit` or `ELEMENT.cabin`",
            );
        }
        found.map(Side::Volume)
    }

    fn machines(&mut self, port: u16, access: usize) {
        let a = &self.scenario.access[access].it;
        let path = self.out.ports[port as usize].path.clone();
        for (i, pump) in a.pumps.iter().enumerate() {
            let on = resolve::volume(&self.out, port, &pump.it.on.it);
            match on {
                Some((v, 1)) if v != OUTSIDE => self.out.pumps.push(Pump {
                    path: format!("{path}/{}", pump.name),
                    on: v,
                    port,
                    spec: i as u16,
                    stop: pump.it.stop.law.mean(),
                }),
                _ => self.say(
                    "unknown-name",
                    pump.it.on.at,
                    format!("pump `{}` stands on no single volume `{}`", pump.name, pump.it.on.it),
                    "name one volume of this file",
                ),
            }
        }
        for (i, s) in a.stages.iter().enumerate() {
            match resolve::volume(&self.out, port, &s.it.within.it) {
                Some((v, _)) => self.out.stages.push(Stage {
                    path: format!("{path}/{}", s.name),
                    name: s.name.clone(),
                    kind: s.it.kind.it,
                    serves: s.it.serves.map_or(u32::MAX, |n| n.it),
                    within: v,
                    port,
                    spec: i as u16,
                }),
                None => self.say(
                    "unknown-name",
                    s.it.within.at,
                    format!("stage `{}` stands in no volume `{}`", s.name, s.it.within.it),
                    "name a volume of this file, `cabin` or `outside`",
                ),
            }
        }
    }

    fn neighbours(&mut self) {
        for o in self.out.openings.ids() {
            for side in self.out.openings[o].sides {
                if let Side::Volume(v) = side {
                    self.out.volumes[v].openings.push(o);
                }
            }
        }
    }
}

/// Path of instance `k`: the first carries the plain name, so that adding a second changes no luck.
fn instance(base: &str, name: &str, k: u32) -> String {
    if k == 0 { format!("{base}/{name}") } else { format!("{base}/{name}#{}", k + 1) }
}

/// "known: a, b, c" for a remedy.
pub(super) fn names<'a>(known: impl Iterator<Item = &'a String>) -> String {
    let list: Vec<&str> = known.map(String::as_str).collect();
    if list.is_empty() { "there is none".into() } else { format!("known: {}", list.join(", ")) }
}
