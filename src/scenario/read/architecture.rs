//! Architectures, each with its own view of the elements.

use super::activity::activity;
use super::changes::changed_access;
use super::element::element;
use super::failure::failure;
use crate::scenario::context::nearest;
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
    let read = |entry: &Entry| {
        root.ctx.enter(Some(&entry.key));
        let t = Table::open(root.ctx, &ARCHITECTURE, entry.key_at, &entry.node);
        let provenance = t.provenance();
        let (mut it, of) = (architecture(&t, &entry.key, root), entry.key.as_str());
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

fn architecture(t: &Table, name: &str, root: &Table) -> ArchitectureSpec {
    ArchitectureSpec {
        title: t.text_opt("title").map_or(name.to_string(), |s| s.it),
        elements: laid(t, root, "element", &ELEMENT, element),
        ports: t.named("port", &PORT, |t| PortSpec {
            element: t.text("element"),
            access: t.text("access"),
            changed: None,
        }),
        failures: laid(t, root, "failure", &FAILURE, failure),
        activities: laid(t, root, "activity", &ACTIVITY, activity),
        suits: t.tables("suits", &SUIT_PLACE, |t| SuitPlaceSpec {
            suit: t.text("suit"),
            count: t.count("count"),
            place: t.text("at"),
        }),
        ways_back: t.texts("ways_back"),
    }
}

/// The entries of a section of the file with this architecture's keys laid over them.
fn laid<T>(
    t: &Table,
    root: &Table,
    key: &str,
    section: &'static Section,
    read: impl Fn(&Table) -> T,
) -> Vec<Named<T>> {
    // A section that is missing was told once, where it is read.
    let entries = if root.has(key) { root.entries(key) } else { &[] };
    let changes = changes(t, key, entries);
    changes.iter().for_each(|c| refuse(t, key, c));
    let own = t.ctx.entered();
    let read = |entry: &Entry| {
        let change = changes.iter().find(|c| c.key == entry.key);
        // What is not changed here shows in all architectures alike.
        t.ctx.enter(change.and(own.as_deref()));
        let node: Node = match change {
            Some(change) => overlay(&entry.node, &change.node),
            None => entry.node.clone(),
        };
        // A change has a source of its own; the entry keeps that of the file.
        if let Some(change) = change {
            let own = change.node.entries().unwrap_or_default();
            t.ctx.provenance(change.key_at, own);
        }
        let table = Table::open(t.ctx, section, entry.key_at, &node);
        Named {
            name: entry.key.clone(),
            at: entry.key_at,
            provenance: table.provenance(),
            it: read(&table),
        }
    };
    let all = entries.iter().map(read).collect();
    t.ctx.enter(own.as_deref());
    all
}

/// Keys that no architecture changes. When a mode is asked for says what its law counts: another one is
/// another mode. Of an activity only the overhead differs: the plan is the same for all.
fn refuse(t: &Table, key: &str, change: &Entry) {
    let (fixed, remedy): (fn(&str) -> bool, _) = match key {
        "failure" => (
            |key| key == "when",
            "write a failure mode of its own on the parts of this architecture",
        ),
        "activity" => (
            |key| !matches!(key, "overhead" | "source" | "basis"),
            "change `overhead` alone: hours, roster and slots are the same in every architecture",
        ),
        _ => return,
    };
    for e in change.node.entries().unwrap_or_default().iter().filter(|e| fixed(&e.key)) {
        let what = format!("an architecture cannot change `{}` of {key} `{}`", e.key, change.key);
        let finding = Finding::new(&rules::OVERRIDE_UNKNOWN, e.key_at, what);
        t.ctx.report(finding.remedy(remedy.to_string()));
    }
}

/// `element.NAME` (or another section) of the architecture; changes of entries that do not exist are
/// reported.
fn changes<'a>(t: &Table<'a>, key: &str, entries: &[Entry]) -> &'a [Entry] {
    let Some(node) = t.node(key) else {
        return &[];
    };
    let Value::Table(changes) = &node.value else {
        t.ctx.wrong(node, &format!("a table by {key}"));
        return &[];
    };
    for change in changes {
        let known: Vec<_> = entries.iter().map(|e| e.key.as_str()).collect();
        if !known.contains(&change.key.as_str()) {
            let what = format!("there is no {key} `{}` to change", change.key);
            let near = nearest(&change.key, known.iter().copied());
            let near = near.map_or(String::new(), |n| format!("did you mean `{n}`? "));
            let finding = Finding::new(&rules::OVERRIDE_UNKNOWN, change.key_at, what);
            let remedy = match known.is_empty() {
                true => format!("the file has no {key} at all"),
                false => format!("{near}known: {}", known.join(", ")),
            };
            t.ctx.report(finding.remedy(remedy));
        }
    }
    changes
}
