//! Names in rows, conditions and `use` rows become indices. A name means the own port's part first,
//! then the host element's, then `element.name` (rule 1).

mod order;
mod used;

use used::narrow;

use super::build::names;
use super::rows::Written;
use super::*;
use crate::scenario::*;

/// A volume by name as seen from `port`: first instance and count.
pub(crate) fn volume(l: &Layout, port: u16, name: &str) -> Option<(VolumeId, u8)> {
    let p = &l.ports[port as usize];
    let own: Vec<VolumeId> =
        p.volumes.iter().copied().filter(|v| l.volumes[*v].name == name).collect();
    if let Some(first) = own.first() {
        return Some((*first, own.len() as u8));
    }
    let cabin = |e: u16| (l.elements[e as usize].cabin, 1);
    match name {
        "outside" => Some((OUTSIDE, 1)),
        "cabin" => Some(cabin(p.element)),
        "host" if l.element("host").is_none() => l.host(p.element).map(|v| (v, 1)),
        _ => match name.split_once('.') {
            Some((e, "cabin")) => l.element(e).map(cabin),
            Some((q, n)) => l.port(q).filter(|q| *q != port).and_then(|q| volume(l, q, n)),
            None => l.element(name).map(cabin),
        },
    }
}

/// An opening by name as seen from `port`: first instance and count.
pub(super) fn opening(l: &Layout, port: u16, name: &str) -> Option<(OpeningId, u8)> {
    let p = &l.ports[port as usize];
    let own: Vec<OpeningId> =
        p.openings.iter().copied().filter(|o| l.openings[*o].name == name).collect();
    if let Some(first) = own.first() {
        return Some((*first, own.len() as u8));
    }
    let of_element = |e: u16, n: &str| {
        let found = l.openings.find(|o| o.element == e && o.port == NONE && o.name == n);
        found.map(|o| (o, 1))
    };
    match name.split_once('.') {
        Some((e, n)) => match l.element(e) {
            Some(e) => of_element(e, n),
            None => l.port(e).filter(|q| *q != port).and_then(|q| opening(l, q, n)),
        },
        None => of_element(p.element, name),
    }
}

/// Resolves every list of every port and the order of ways back.
pub(super) fn lists(s: &Scenario, l: &mut Layout, spec: &ArchitectureSpec) -> Vec<Complaint> {
    let mut said = Vec::new();
    for port in 0..l.ports.len() as u16 {
        let access = &s.access[l.ports[port as usize].access as usize];
        let (laws, access_it) = (&s.laws, &access.it);
        let mut r = Resolver { l, port, access: access_it, suits: &s.suits, laws, said: &mut said };
        let plain = [
            (ListKind::Egress, &access.it.egress),
            (ListKind::Ingress, &access.it.ingress),
            (ListKind::ServiceIn, &access.it.service_in),
            (ListKind::ServiceOut, &access.it.service_out),
            (ListKind::Restore, &access.it.restore),
            (ListKind::Dock, &access.it.dock),
            (ListKind::Undock, &access.it.undock),
        ];
        let mut done: Vec<List> = Vec::new();
        for (kind, list) in plain {
            done.extend(list.as_ref().map(|x| r.plain(kind, x)));
        }
        done.extend(access.it.ways_back.iter().map(|w| r.way(w)));
        place(l, port, done);
    }
    order::order_ways(l, spec, &mut said);
    said
}

fn place(l: &mut Layout, port: u16, done: Vec<List>) {
    for list in done {
        let id = l.lists.len() as u16;
        let p = &mut l.ports[port as usize];
        match list.kind {
            ListKind::Egress => p.egress = id,
            ListKind::Ingress => p.ingress = id,
            ListKind::ServiceIn => p.service_in = id,
            ListKind::ServiceOut => p.service_out = id,
            ListKind::Restore => p.restore = id,
            ListKind::Dock => p.dock = id,
            ListKind::Undock => p.undock = id,
            ListKind::WayBack => p.ways.push(id),
        }
        l.lists.push(list);
    }
}

pub(super) struct Resolver<'a, 'b> {
    pub(super) l: &'b Layout,
    pub(super) port: u16,
    access: &'a AccessSpec,
    pub(super) suits: &'a [Named<SuitSpec>],
    laws: &'a [Named<Num>],
    said: &'b mut Vec<Complaint>,
}

impl Resolver<'_, '_> {
    pub(super) fn say(
        &mut self,
        rule: &'static str,
        at: At,
        what: String,
        remedy: impl Into<String>,
    ) {
        self.said.push(Complaint { rule, at, what, remedy: remedy.into() });
    }

    pub(super) fn plain(&mut self, kind: ListKind, spec: &ListSpec) -> List {
        let name = match kind {
            ListKind::Egress => "egress",
            ListKind::Ingress => "ingress",
            ListKind::ServiceIn => "service-in",
            ListKind::ServiceOut => "service-out",
            ListKind::Restore => "restore",
            ListKind::Dock => "dock",
            ListKind::Undock => "undock",
            ListKind::WayBack => "way back",
        };
        let rows = self.rows(kind, &spec.rows, None, 0);
        let mut list = self.list(name, kind, spec.at, rows);
        if kind == ListKind::ServiceIn {
            let needs = &self.access.service_needs;
            list.needs = needs.iter().filter_map(|c| self.condition(c)).collect();
        }
        list
    }

    pub(super) fn list(&self, name: &str, kind: ListKind, at: At, rows: Vec<Row>) -> List {
        let path = format!("{}/{name}", self.l.ports[self.port as usize].path);
        let after = rows.len();
        List {
            name: name.into(),
            path,
            kind,
            port: self.port,
            at,
            from: None,
            needs: Vec::new(),
            written: Vec::new(),
            rows,
            after,
        }
    }

    pub(super) fn way(&mut self, w: &Named<WayBackSpec>) -> List {
        let mut rows = self.rows(ListKind::WayBack, &w.it.rows, None, 0);
        let after = rows.len();
        rows.extend(self.rows(ListKind::WayBack, &w.it.after_rows, None, 0));
        let mut list = self.list(&w.name, ListKind::WayBack, w.at, rows);
        list.after = after;
        list.from = match w.it.from.it.as_str() {
            "berth" => None,
            name => match volume(self.l, self.port, name) {
                Some((v, _)) => Some(v),
                None => {
                    let what = format!("a contingency ingress path cannot start `from` `{name}`");
                    self.say(
                        "unknown-name",
                        w.it.from.at,
                        what,
                        "write `outside`, `berth` or a volume",
                    );
                    None
                }
            },
        };
        for text in &w.it.needs {
            if let Some(asked) = self.condition(text) {
                list.needs.push(asked);
                list.written.push(text.it.clone());
            }
        }
        list
    }

    pub(super) fn rows(
        &mut self,
        kind: ListKind,
        specs: &[RowSpec],
        who: Option<Who>,
        depth: u32,
    ) -> Vec<Row> {
        let mut out = Vec::new();
        for spec in specs {
            match &spec.it {
                RowBody::Step(step) => {
                    if let Some(mut row) = self.row(kind, step, spec.at) {
                        narrow(&mut row, who);
                        out.push(row);
                    }
                }
                RowBody::Use(_) if depth > 0 => {
                    let what = "a list that is used must not use another".to_string();
                    self.say(
                        "use-depth",
                        spec.at,
                        what,
                        "write its rows out (one level deep, rule 6)",
                    );
                }
                RowBody::Use(u) => out.extend(self.used(kind, u)),
            }
        }
        out
    }

    pub(super) fn row(&mut self, kind: ListKind, s: &StepSpec, at: At) -> Option<Row> {
        let on = self.on(s, at)?;
        let egress = matches!(kind, ListKind::Egress | ListKind::ServiceOut);
        let outward = egress || kind == ListKind::Dock;
        let default = if egress { IfFails::Abort } else { IfFails::NextWayBack };
        let to = match s.to.map(|t| t.it) {
            Some(Target::Outside) => Aim::Ambient,
            Some(Target::Working) => Aim::Working,
            Some(Target::Pascal(p)) => Aim::Pascal(p),
            Some(Target::Cabin) => self.cabin_level(),
            None if s.action.it == Action::Vent => Aim::Ambient,
            None if s.action.it == Action::Depress => self.pump_level(on),
            None if on == On::Suit && s.action.it == Action::Repress => self.cabin_level(),
            None => Aim::Rest,
        };
        let takes = self.takes(s);
        Some(Row {
            written: Box::new(Written {
                at,
                label: label(s),
                takes,
                frees: s.frees,
                misses: s.misses,
                false_alarm: s.false_alarm,
                incapacitated: s.incapacitated.map(|i| i.it),
            }),
            action: s.action.it,
            on,
            each: s.each.it,
            who: self.who(s),
            direction: if outward { Direction::Outward } else { Direction::Inward },
            egress,
            to,
            gas: self.gas(s),
            if_fails: s.if_fails.map_or(default, |f| f.it),
            frees: s.frees.is_some(),
            when: s.when.iter().filter_map(|c| self.row_condition(c)).collect(),
            until: s.until.as_ref().and_then(|c| self.row_condition(c)),
            by: s.by.map_or(By::Foot, |b| b.it),
            suit: s.suit.map(|w| w.it),
            port: self.port,
            kind: self.kind(s),
            berths: self.l.at_berths(self.port, on),
        })
    }

    /// A `depress` that says no level goes as far as the pump does.
    fn pump_level(&self, on: On) -> Aim {
        let On::Volumes([v, ..], _) = on else { return Aim::Rest };
        self.l.pump_of(v).map_or(Aim::Rest, |p| Aim::Pascal(self.l.pumps[p].stop))
    }

    pub(super) fn cabin_level(&self) -> Aim {
        let e = self.l.ports[self.port as usize].element;
        let cabin = self.l.elements[e as usize].cabin;
        Aim::Pascal(self.l.volumes[cabin].rest)
    }

    pub(super) fn takes(&mut self, s: &StepSpec) -> Option<Num> {
        match &s.takes {
            None => None,
            Some(TakesSpec::Law(n)) => Some(*n),
            Some(TakesSpec::Name(name)) => {
                // A law of the access file first, then one of the campaign.
                let mut laws = self.access.laws.iter().chain(self.laws);
                let found = laws.find(|l| l.name == name.it).map(|l| l.it);
                if found.is_none() {
                    let known = names(self.access.laws.iter().chain(self.laws).map(|l| &l.name));
                    self.say(
                        "unknown-name",
                        name.at,
                        format!("no law `{}` in this file", name.it),
                        known,
                    );
                }
                found
            }
        }
    }

    pub(super) fn who(&mut self, s: &StepSpec) -> WhoSel {
        match &s.who {
            None => WhoSel::Word(Who::Team),
            Some(WhoSpec::Word(w)) => WhoSel::Word(w.it),
            Some(WhoSpec::InsideOf(x)) => match volume(self.l, self.port, &x.it) {
                Some((v, _)) => WhoSel::InsideOf(v),
                None => {
                    self.say(
                        "unknown-name",
                        x.at,
                        format!("no volume or element `{}`", x.it),
                        "name a volume or an element",
                    );
                    WhoSel::Word(Who::Inside)
                }
            },
        }
    }

    pub(super) fn gas(&mut self, s: &StepSpec) -> GasEnd {
        match &s.gas {
            None if matches!(s.action.it, Action::Depress | Action::Repress) => GasEnd::Store,
            None => GasEnd::Outside,
            Some(g) if g.it == "outside" => GasEnd::Outside,
            Some(g) => {
                if g.it != "store" && volume(self.l, self.port, &g.it).is_none() {
                    self.say(
                        "unknown-name",
                        g.at,
                        format!("gas cannot go to or come from `{}`", g.it),
                        "write `store`, `outside` or a volume",
                    );
                }
                GasEnd::Store
            }
        }
    }
}

fn rows_of(list: &Option<ListSpec>) -> &[RowSpec] {
    list.as_ref().map_or(&[], |l| &l.rows)
}

/// "action on", the way rows are named.
fn label(s: &StepSpec) -> String {
    let on: Vec<&str> = s.on.iter().map(|n| n.it.as_str()).collect();
    if on.is_empty() {
        s.action.it.word().into()
    } else {
        format!("{} {}", s.action.it.word(), on.join("+"))
    }
}
