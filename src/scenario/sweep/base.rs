//! The base campaign as parsed, and the campaign of one point: the base with some places set.

use super::factor::FactorSpec;
use super::path::{KeyPath, Step};
use super::rules;
use crate::base::stream::fnv1a64;
use crate::scenario::context::Context;
use crate::scenario::files::{File, Files};
use crate::scenario::finding::Finding;
use crate::scenario::merge::merge;
use crate::scenario::read::{Reading, finish, scenario};
use crate::scenario::spec::{At, Named, Place, Sources, Spot};
use crate::scenario::tree::{Entry, Node, Value};

/// The first step of a path into an access file; its name is the second.
const ACCESS: &str = "access";

/// Sections that a sweep makes nothing of: decisions are weighed on the parameter sets of a run, and name
/// architectures that a sweep may leave out.
const UNUSED: &[&str] = &["decision"];

/// A value for a place, or where in the base it is copied from.
#[derive(Clone, Debug)]
pub(super) enum To {
    /// As written.
    Value(Node),
    /// What stands there in the base.
    Copy(KeyPath),
}

/// One place of the campaign and what is set there.
#[derive(Clone, Debug)]
pub struct Setting {
    path: KeyPath,
    to: To,
    at: At,
}

impl Setting {
    /// `to` at `path`, as the sweep file says at `at`.
    pub(super) fn new(path: &KeyPath, to: To, at: At) -> Setting {
        Setting { path: path.clone(), to, at }
    }
}

/// A base campaign, parsed once.
#[derive(Clone, Debug)]
pub struct Base {
    root: Node,
    access: Vec<File>,
    fingerprint: u64,
    keep: Vec<String>,
}

impl Base {
    /// From files that were read.
    pub(super) fn new(ctx: &Context, files: Files, sources: &Sources) -> Base {
        let fingerprint = fnv1a64(&files.text);
        let (root, access) = merge(ctx, files.files, sources);
        Base { root, access, fingerprint, keep: Vec::new() }
    }

    /// What stands at a path.
    pub(super) fn get(&self, path: &KeyPath) -> Option<&Node> {
        let (root, steps) = match access_file(path) {
            Some((stem, rest)) => {
                let file = self.access.iter().find(|f| f.stem == stem)?;
                (&file.root, rest)
            }
            None => (&self.root, &path.steps[..]),
        };
        let mut node = root;
        for step in steps {
            node = match (step, &node.value) {
                (Step::Key(key), _) => &node.get(key)?.node,
                (Step::Item(i), Value::List(items)) => items.get(*i)?,
                _ => return None,
            };
        }
        Some(node)
    }

    /// Keeps only some architectures at every point (all if there are no names).
    pub(super) fn keep_architectures(
        &mut self,
        ctx: &Context,
        names: &[Spot<String>],
        factors: &[Named<FactorSpec>],
    ) {
        let there =
            self.root.get("architecture").and_then(|e| e.node.entries()).unwrap_or_default();
        let made = |name: &str| {
            let of = |p: &KeyPath| {
                matches!(&p.steps[..], [Step::Key(a), Step::Key(n), ..]
                    if a == "architecture" && n == name)
            };
            factors.iter().any(|f| f.it.paths().into_iter().any(of))
        };
        for name in names.iter().filter(|n| !n.it.is_empty()) {
            if !there.iter().any(|e| e.key == name.it) && !made(&name.it) {
                let known: Vec<_> = there.iter().map(|e| e.key.as_str()).collect();
                let what = format!("there is no architecture `{}`", name.it);
                let remedy = format!("known: {}", known.join(", "));
                let finding = Finding::new(&rules::SWEEP_ARCHITECTURES, name.at, what);
                ctx.report(finding.remedy(remedy));
            }
        }
        self.keep = names.iter().map(|n| n.it.clone()).collect();
    }

    /// The campaign with these settings, read. `sources` are those of the sweep file.
    pub fn at(&self, settings: &[Setting], sources: &Sources) -> Reading {
        let ctx = Context::default();
        let mut sources = sources.clone();
        let mut root = self.root.clone();
        let mut access = self.access.clone();
        for s in settings {
            let Some(mut node) = self.value(&ctx, s) else { continue };
            node.at = sources.add(self.place(s, &node, &sources));
            let tree = match access_file(&s.path) {
                None => Some((&mut root, &s.path.steps[..])),
                Some((stem, rest)) => {
                    let file = access.iter_mut().find(|f| f.stem == stem);
                    file.map(|f| (&mut f.root, rest))
                }
            };
            if !tree.is_some_and(|(tree, steps)| set(tree, steps, node)) {
                let what = format!("{} leads nowhere", s.path);
                ctx.report(Finding::new(&rules::SWEEP_KEY, s.at, what));
            }
        }
        self.retain(&mut root);
        let mut scenario = scenario(&ctx, &root, &access);
        scenario.fingerprint = self.fingerprint;
        finish(&ctx, sources, Some(scenario))
    }

    /// The value of a setting; reports a copy of nothing.
    fn value(&self, ctx: &Context, s: &Setting) -> Option<Node> {
        match &s.to {
            To::Value(node) => Some(node.clone()),
            To::Copy(from) => {
                let node = self.get(from).cloned();
                if node.is_none() {
                    let what = format!("there is no {from} to copy");
                    ctx.report(Finding::new(&rules::SWEEP_KEY, s.at, what));
                }
                node
            }
        }
    }

    /// Where findings about a value that was set point to: the sweep file, with the path in the campaign
    /// and the value at this point.
    fn place(&self, s: &Setting, node: &Node, sources: &Sources) -> Place {
        let value = match (&s.to, &node.value) {
            (To::Copy(from), _) => format!("copy of {from}"),
            (_, Value::Text(text)) => format!("{text:?}"),
            (_, Value::Whole(n)) => n.to_string(),
            (_, Value::Real(x)) => x.to_string(),
            (_, Value::Flag(flag)) => flag.to_string(),
            _ => String::new(),
        };
        Place { path: s.path.to_string(), value, ..sources.place(s.at).clone() }
    }

    fn retain(&self, root: &mut Node) {
        let Value::Table(sections) = &mut root.value else { return };
        sections.retain(|e| !UNUSED.contains(&e.key.as_str()));
        let of = sections.iter_mut().find(|e| e.key == "architecture");
        if let (Some(Value::Table(all)), false) =
            (of.map(|e| &mut e.node.value), self.keep.is_empty())
        {
            all.retain(|e| self.keep.contains(&e.key));
        }
    }
}

/// Name of the access file that a path leads into, and the rest of the path.
fn access_file(path: &KeyPath) -> Option<(&str, &[Step])> {
    match &path.steps[..] {
        [Step::Key(first), Step::Key(stem), rest @ ..] if first == ACCESS => Some((stem, rest)),
        _ => None,
    }
}

/// Sets `new` where the steps lead; tables on the way are made. False where they lead nowhere.
fn set(node: &mut Node, steps: &[Step], new: Node) -> bool {
    let Some((step, rest)) = steps.split_first() else {
        *node = new;
        return true;
    };
    match (step, &mut node.value) {
        (Step::Item(i), Value::List(items)) => {
            items.get_mut(*i).is_some_and(|item| set(item, rest, new))
        }
        (Step::Key(key), Value::Table(entries)) => {
            if let Some(entry) = entries.iter_mut().find(|e| e.key == *key) {
                return set(&mut entry.node, rest, new);
            }
            let at = new.at;
            let mut made = Node { at, value: Value::Table(Vec::new()) };
            let done = set(&mut made, rest, new);
            entries.push(Entry { key: key.clone(), key_at: at, node: made });
            done
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::tree::parse;

    fn real(x: f64) -> Node {
        Node { at: At(0), value: Value::Real(x) }
    }

    #[test]
    fn places_are_set_and_tables_on_the_way_are_made() {
        let text = "[a]\nb = 1\nl = [ { c = 2 }, { c = 3 } ]\n";
        let mut root = parse(text, 0, &mut Sources::default()).unwrap();
        let mut put =
            |path: &str, x: f64| set(&mut root, &KeyPath::parse(path).unwrap().steps, real(x));
        assert!(put("a.b", 5.0) && put("a.l[1].c", 6.0) && put("a.new.deep", 7.0));
        // Through a number, beyond the end of a list, into a table by a number.
        assert!(!put("a.b.c", 8.0) && !put("a.l[2].c", 8.0) && !put("a[0]", 8.0));
        let base = Base { root, access: Vec::new(), fingerprint: 0, keep: Vec::new() };
        for (path, x) in [("a.b", 5.0), ("a.l[1].c", 6.0), ("a.new.deep", 7.0)] {
            let node = base.get(&KeyPath::parse(path).unwrap()).unwrap();
            assert!(matches!(node.value, Value::Real(y) if y == x), "{path}");
        }
        let untouched = base.get(&KeyPath::parse("a.l[0].c").unwrap()).unwrap();
        assert!(matches!(untouched.value, Value::Whole(2)));
    }
}
