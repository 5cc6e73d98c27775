//! Lays several files into one tree of sections, and an architecture's changes over an element.

use super::context::Context;
use super::files::{File, is_access};
use super::finding::Finding;
use super::keys::ACCESS;
use super::rules;
use super::spec::Sources;
use super::tree::{Entry, Node, Value};

/// The sections of all files that are no access files, merged; and the access files.
pub(super) fn merge(ctx: &Context, files: Vec<File>, sources: &Sources) -> (Node, Vec<File>) {
    let mut files = files.into_iter();
    let mut whole = Vec::new();
    let mut access = Vec::new();
    let campaign = files.next();
    let at = campaign.as_ref().map(|f| f.at).unwrap_or_default();
    if let Some(campaign) = campaign {
        let (mixed, own) = split(campaign.root, |key| key != "law" && ACCESS.key(key).is_some());
        refuse_mixed(ctx, &mixed, "the campaign file");
        whole = own;
    }
    for file in files {
        if is_access(&file.root) {
            access.push(without_sections(ctx, file));
        } else {
            let Value::Table(entries) = file.root.value else {
                continue;
            };
            add_sections(ctx, &mut whole, entries, sources);
        }
    }
    refuse_same_stems(ctx, &access, sources);
    let value = Value::Table(whole);
    (Node { at, value }, access)
}

/// Entries that `is` picks, and the others.
fn split(root: Node, is: impl Fn(&str) -> bool) -> (Vec<Entry>, Vec<Entry>) {
    match root.value {
        Value::Table(entries) => entries.into_iter().partition(|e| is(&e.key)),
        _ => (Vec::new(), Vec::new()),
    }
}

fn refuse_mixed(ctx: &Context, mixed: &[Entry], place: &str) {
    for entry in mixed {
        let what = format!("section [{}] does not belong in {place}", entry.key);
        ctx.report(Finding::new(&rules::MIXED_FILE, entry.key_at, what));
    }
}

/// An access file without the sections of a campaign, which are refused.
fn without_sections(ctx: &Context, file: File) -> File {
    let section = |key: &str| ACCESS.key(key).is_none() && super::keys::ROOT.key(key).is_some();
    let at = file.root.at;
    let (mixed, own) = split(file.root, |key| key != "include" && section(key));
    refuse_mixed(ctx, &mixed, "an access file");
    let value = Value::Table(own);
    File { root: Node { at, value }, ..file }
}

/// Adds the sections of one more file. Sections grow; an entry of a section is written once.
fn add_sections(ctx: &Context, whole: &mut Vec<Entry>, more: Vec<Entry>, sources: &Sources) {
    for section in more {
        let Some(known) = whole.iter_mut().find(|e| e.key == section.key) else {
            whole.push(section);
            continue;
        };
        match (&mut known.node.value, section.node.value) {
            (Value::Table(entries), Value::Table(more)) => {
                add_entries(ctx, entries, more, sources);
            }
            _ => duplicate(ctx, &section.key, known.key_at, section.key_at, sources),
        }
    }
}

fn add_entries(ctx: &Context, entries: &mut Vec<Entry>, more: Vec<Entry>, sources: &Sources) {
    for entry in more {
        match entries.iter().find(|e| e.key == entry.key) {
            Some(first) => duplicate(ctx, &entry.key, first.key_at, entry.key_at, sources),
            None => entries.push(entry),
        }
    }
}

fn duplicate(
    ctx: &Context,
    name: &str,
    first: super::spec::At,
    second: super::spec::At,
    sources: &Sources,
) {
    let (file, line) = (sources.file(first), sources.place(first).line);
    let what = format!("`{name}` is already written in {file}, line {line}");
    ctx.report(Finding::new(&rules::DUPLICATE_NAME, second, what));
}

/// Access systems are named by their files, so two files of one name in two folders are refused.
fn refuse_same_stems(ctx: &Context, access: &[File], sources: &Sources) {
    for (i, file) in access.iter().enumerate() {
        if let Some(first) = access[..i].iter().find(|f| f.stem == file.stem) {
            duplicate(ctx, &file.stem, first.at, file.at, sources);
        }
    }
}

/// The element or failure mode with `changes` laid over it: keys are replaced whole, except that
/// openings are merged by name and the keys of each are replaced, as are those of `repair`.
pub(super) fn overlay(entry: &Node, changes: &Node) -> Node {
    lay(entry, changes, (0, ""), &["opening", "repair", "common", "worn"])
}

/// The access file with `changes` laid over it: parts are merged by name, and the keys of each part
/// are replaced; a law is replaced whole.
pub(super) fn overlay_access(access: &Node, changes: &Node) -> Node {
    lay(access, changes, (0, ""), &["volume", "opening", "pump", "stage", "law"])
}

/// Depth 0 holds the keys of the whole, 1 the names of its `parts`, 2 their keys.
fn lay(below: &Node, above: &Node, (depth, part): (u8, &str), parts: &[&str]) -> Node {
    let (Some(under), Some(over)) = (below.entries(), above.entries()) else {
        return above.clone();
    };
    let mut entries = under.to_vec();
    for entry in over {
        let Some(old) = entries.iter_mut().find(|e| e.key == entry.key) else {
            entries.push(entry.clone());
            continue;
        };
        let within = match depth {
            0 => parts.contains(&entry.key.as_str()),
            // The parts of an access file and the openings of an element have names, a law and a
            // table of a failure mode have none.
            _ => depth == 1 && !matches!(part, "law" | "repair" | "common" | "worn"),
        };
        old.node = match within {
            true => lay(&old.node, &entry.node, (depth + 1, &entry.key), parts),
            false => entry.node.clone(),
        };
        old.key_at = if within { old.key_at } else { entry.key_at };
    }
    Node { at: below.at, value: Value::Table(entries) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::tree::parse;

    fn plain(node: &Node) -> String {
        match &node.value {
            Value::Table(entries) => {
                let inner = entries.iter().map(|e| format!("{}={}", e.key, plain(&e.node)));
                format!("{{{}}}", inner.collect::<Vec<_>>().join(" "))
            }
            Value::Whole(n) => n.to_string(),
            other => format!("{other:?}"),
        }
    }

    #[test]
    fn changes_replace_keys_whole_but_go_into_openings() {
        let text = "[e]\na = { low = 1, high = 2 }\nb = 3\n[e.opening.x]\nc = 4\nd = 5\n\
                    [f]\na = { mean = 6 }\n[f.opening.x]\nd = 7\n[f.opening.y]\nc = 8\n";
        let root = parse(text, 0, &mut Sources::default()).unwrap();
        let [e, f] = ["e", "f"].map(|k| &root.get(k).unwrap().node);
        assert_eq!(plain(&overlay(e, f)), "{a={mean=6} b=3 opening={x={c=4 d=7} y={c=8}}}");
    }
}
