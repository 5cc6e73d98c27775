//! What an architecture changes: numbers of the access file of one of its ports.

use super::access::access;
use crate::scenario::context::{Context, nearest};
use crate::scenario::files::File;
use crate::scenario::finding::Finding;
use crate::scenario::keys::PORT;
use crate::scenario::merge::overlay_access;
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};

/// Kinds of parts of an access file whose numbers a port may change.
const PARTS: &[&str] = &["volume", "opening", "pump", "stage", "law"];
/// Keys that say what a part is and where it stands: another access system, not another number.
const STRUCTURE: &[&str] = &["kind", "between", "on", "to", "in"];

/// The access system `written` with what the port at `entry` changes; `None` if it changes nothing.
/// Its name is that of the file with the port behind it, which no file can have.
pub fn changed_access(
    ctx: &Context,
    entry: &Entry,
    (architecture, written): (&str, &str),
    files: &[File],
) -> Option<Named<AccessSpec>> {
    let port = Table::open(ctx, &PORT, entry.key_at, &entry.node);
    let changes: Vec<&Entry> = PARTS.iter().filter_map(|key| port.entry(key)).collect();
    // An access file that is not there is told where names are resolved.
    let file = files.iter().find(|f| f.stem == written && !changes.is_empty())?;
    let sound = changes.into_iter().filter(|e| tables(ctx, e)).filter_map(|e| known(ctx, e, file));
    let value = Value::Table(sound.collect());
    let root = overlay_access(&file.root, &Node { at: entry.node.at, value });
    let changed = File { root, at: file.at, stem: file.stem.clone() };
    let it = access(ctx, &changed);
    Some(Named { name: format!("{written} ({architecture}.{})", entry.key), ..it })
}

/// Is `volume`, `law`, .. a table, and each part in it?
fn tables(ctx: &Context, kind: &Entry) -> bool {
    match &kind.node.value {
        Value::Table(_) => true,
        _ => {
            ctx.wrong(&kind.node, "a table by part");
            false
        }
    }
}

/// The changes of one kind of parts without those that change nothing that is there, which are
/// reported.
fn known(ctx: &Context, kind: &Entry, file: &File) -> Option<Entry> {
    let there = file.root.get(&kind.key).and_then(|e| e.node.entries()).unwrap_or_default();
    let parts = kind.node.entries()?.iter().filter(|part| {
        let found = there.iter().any(|e| e.key == part.key);
        if !found {
            let what = format!("`{}` has no {} `{}` to change", file.stem, kind.key, part.key);
            let names: Vec<_> = there.iter().map(|e| e.key.as_str()).collect();
            let remedy = match nearest(&part.key, names.iter().copied()) {
                Some(near) => format!("did you mean `{near}`? {}", listed(&kind.key, &names)),
                None => listed(&kind.key, &names),
            };
            let finding = Finding::new(&rules::OVERRIDE_UNKNOWN, part.key_at, what);
            ctx.report(finding.remedy(remedy));
        }
        found && (kind.key == "law" || numbers(ctx, kind, part))
    });
    let value = Value::Table(parts.cloned().collect());
    Some(Entry { node: Node { at: kind.node.at, value }, ..kind.clone() })
}

fn listed(kind: &str, names: &[&str]) -> String {
    match names.is_empty() {
        true => format!("it has no {kind} at all"),
        false => format!("known: {}", names.join(", ")),
    }
}

/// Does a part change numbers only? Its own source is kept beside that of the file.
fn numbers(ctx: &Context, kind: &Entry, part: &Entry) -> bool {
    let Some(keys) = part.node.entries() else {
        ctx.wrong(&part.node, "a table of keys");
        return false;
    };
    ctx.provenance(part.key_at, keys);
    for key in keys.iter().filter(|k| STRUCTURE.contains(&k.key.as_str())) {
        let what = format!("a port cannot change `{}` of {} `{}`", key.key, kind.key, part.key);
        let finding = Finding::new(&rules::OVERRIDE_UNKNOWN, key.key_at, what);
        let remedy = "change numbers only; another arrangement is another access file";
        ctx.report(finding.remedy(remedy.to_string()));
    }
    !keys.iter().any(|k| STRUCTURE.contains(&k.key.as_str()))
}
