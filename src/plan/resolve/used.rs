//! Rows taken from another list by `use` (rule 6).

use super::*;

impl Resolver<'_, '_> {
    /// Rows of another list: they keep its direction, and count as egress only in a list that goes out.
    pub(super) fn used(&mut self, within: ListKind, u: &UseSpec) -> Vec<Row> {
        let (kind, specs): (ListKind, &[RowSpec]) = match u.list.it.as_str() {
            "egress" => (ListKind::Egress, rows_of(&self.access.egress)),
            "ingress" => (ListKind::Ingress, rows_of(&self.access.ingress)),
            "service-in" => (ListKind::ServiceIn, rows_of(&self.access.service_in)),
            "service-out" => (ListKind::ServiceOut, rows_of(&self.access.service_out)),
            "restore" => (ListKind::Restore, rows_of(&self.access.restore)),
            "dock" => (ListKind::Dock, rows_of(&self.access.dock)),
            "undock" => (ListKind::Undock, rows_of(&self.access.undock)),
            name => match self.access.ways_back.iter().find(|w| w.name == name) {
                Some(w) => (ListKind::WayBack, &w.it.rows),
                None => (ListKind::WayBack, &[]),
            },
        };
        if specs.is_empty() {
            let what = format!("no list `{}` in this file to use", u.list.it);
            self.say(
                "unknown-name",
                u.list.at,
                what,
                "name egress, ingress, service-in, service-out, restore or a contingency ingress \
                path",
            );
            return Vec::new();
        }
        let from = u.after.as_ref().and_then(|n| self.find_row(specs, n)).map_or(0, |i| i + 1);
        let until =
            u.until.as_ref().and_then(|n| self.find_row(specs, n)).map_or(specs.len(), |i| i + 1);
        if from >= until {
            self.say(
                "use-empty",
                u.list.at,
                "this `use` plays no row".into(),
                "let `until` come after `after`",
            );
            return Vec::new();
        }
        let who = match &u.who {
            Some(WhoSpec::Word(w)) => Some(w.it),
            Some(WhoSpec::InsideOf(x)) => {
                self.say(
                    "use-who",
                    x.at,
                    "`inside of` cannot narrow a used list".into(),
                    "write one of the person words",
                );
                None
            }
            None => None,
        };
        let mut rows = self.rows(kind, &specs[from..until], who, 1);
        for row in &mut rows {
            row.egress &= within.goes_out();
        }
        rows
    }

    /// A row by its `name`, or by "action on" where that occurs once.
    pub(super) fn find_row(&mut self, specs: &[RowSpec], name: &Spot<String>) -> Option<usize> {
        let hits: Vec<usize> = specs
            .iter()
            .enumerate()
            .filter(|(_, r)| match &r.it {
                RowBody::Step(s) => {
                    s.name.as_ref().is_some_and(|n| n.it == name.it) || label(s) == name.it
                }
                RowBody::Use(_) => false,
            })
            .map(|(i, _)| i)
            .collect();
        match hits.as_slice() {
            [one] => Some(*one),
            [] => {
                let what = format!("no row `{}` in the list used", name.it);
                self.say(
                    "unknown-name",
                    name.at,
                    what,
                    "write the row's `name`, or its action and what it acts on",
                );
                None
            }
            _ => {
                let what = format!("several rows are `{}`", name.it);
                self.say("ambiguous-name", name.at, what, "give the row a `name`");
                None
            }
        }
    }
}

pub(super) fn narrow(row: &mut Row, who: Option<Who>) {
    if let (Some(w), WhoSel::Word(Who::Team)) = (who, row.who) {
        row.who = match w {
            Who::Rescuers => WhoSel::Word(Who::Rescuers),
            w => WhoSel::Narrowed(w),
        };
    }
}
