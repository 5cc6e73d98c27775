//! Architectures, each with its own view of the elements.

use super::changes::changed_access;
use super::element::element;
use crate::scenario::files::File;
use crate::scenario::finding::Finding;
use crate::scenario::keys::*;
use crate::scenario::merge::overlay;
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};

/// The architectures, and the access systems of ports that change numbers of theirs.
pub fn architectures(
    root: &Table,
    files: &[File],
) -> (Vec<Named<ArchitectureSpec>>, Vec<Named<AccessSpec>>) {
    let mut changed = Vec::new();
    // Entries carry no name of their own, so each is read with the one of its key.
    let entries = root.entries("architecture");
    let elements = match root.has("element") {
        true => root.entries("element"),
        false => &[],
    };
    let read = |entry: &Entry| {
        root.ctx.enter(Some(&entry.key));
        let t = Table::open(root.ctx, &ARCHITECTURE, entry.key_at, &entry.node);
        let provenance = t.provenance();
        let (mut it, of) = (architecture(&t, &entry.key, elements), entry.key.as_str());
        for (port, entry) in it.ports.iter_mut().zip(t.entries("port")) {
            let names = (of, port.it.access.it.as_str());
            let copy = changed_access(root.ctx, entry, names, files);
            port.it.changed = copy.as_ref().map(|c| c.name.clone());
            changed.extend(copy);
        }
        root.ctx.enter(None);
        Named { name: entry.key.clone(), at: entry.key_at, provenance, it }
    };
    let all = entries.iter().map(read).collect();
    (all, changed)
}

fn architecture(t: &Table, name: &str, elements: &[Entry]) -> ArchitectureSpec {
    ArchitectureSpec {
        title: t.text_opt("title").map_or(name.to_string(), |s| s.it),
        elements: changed_elements(t, elements),
        ports: t.named("port", &PORT, |t| PortSpec {
            element: t.text("element"),
            access: t.text("access"),
            changed: None,
        }),
        suits: t.tables("suits", &SUIT_PLACE, |t| SuitPlaceSpec {
            suit: t.text("suit"),
            count: t.count("count"),
            place: t.text("at"),
        }),
        ways_back: t.texts("ways_back"),
    }
}

/// The elements of the file with this architecture's keys laid over them.
fn changed_elements(t: &Table, elements: &[Entry]) -> Vec<Named<ElementSpec>> {
    let changes = changes(t, elements);
    let read = |entry: &Entry| {
        let change = changes.iter().find(|c| c.key == entry.key);
        let node: Node = match change {
            Some(change) => overlay(&entry.node, &change.node),
            None => entry.node.clone(),
        };
        // A change has a source of its own; the element keeps that of its entry.
        if let Some(change) = change {
            let own = change.node.entries().unwrap_or_default();
            t.ctx.provenance(change.key_at, own);
        }
        let table = Table::open(t.ctx, &ELEMENT, entry.key_at, &node);
        Named {
            name: entry.key.clone(),
            at: entry.key_at,
            provenance: table.provenance(),
            it: element(&table),
        }
    };
    elements.iter().map(read).collect()
}

/// `element.NAME` of the architecture; changes of elements that do not exist are reported.
fn changes<'a>(t: &Table<'a>, elements: &[Entry]) -> &'a [Entry] {
    let Some(node) = t.node("element") else {
        return &[];
    };
    let Value::Table(changes) = &node.value else {
        t.ctx.wrong(node, "a table by element");
        return &[];
    };
    for change in changes {
        if !elements.iter().any(|e| e.key == change.key) {
            let what = format!("there is no element `{}` to change", change.key);
            let known: Vec<_> = elements.iter().map(|e| e.key.as_str()).collect();
            let finding = Finding::new(&rules::OVERRIDE_UNKNOWN, change.key_at, what);
            let remedy = format!("elements of the file: {}", known.join(", "));
            t.ctx.report(finding.remedy(remedy));
        }
    }
    changes
}
