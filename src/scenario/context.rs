//! What accumulates while the tree is read: findings and the provenance of entries.

use super::finding::Finding;
use super::rules;
use super::spec::{At, Provenance};
use super::tree::{Entry, Node, Value};
use super::vocabulary::{Basis, Vocabulary};
use std::cell::RefCell;

/// The reader writes here from wherever it is in the tree, so that reading can go on after each
/// finding. Single-threaded by design.
#[derive(Debug, Default)]
pub(super) struct Context {
    findings: RefCell<Vec<Finding>>,
    assumptions: RefCell<Vec<(At, Provenance)>>,
    architecture: RefCell<Option<String>>,
    /// Sections and keys that the reader asked for, so that a test can hold the registry to it.
    #[cfg(test)]
    pub asked: RefCell<std::collections::BTreeSet<(&'static str, &'static str)>>,
}

impl Context {
    /// Keeps a finding, unless the same was found before: elements are read again for every
    /// architecture, and what several of them show is of none in particular.
    pub fn report(&self, mut finding: Finding) {
        let mut findings = self.findings.borrow_mut();
        let same =
            |f: &Finding| f.rule == finding.rule && f.at == finding.at && f.what == finding.what;
        let architecture = self.architecture.borrow();
        if let Some(first) = findings.iter_mut().find(|f| same(f)) {
            if first.architecture != *architecture {
                first.architecture = None;
            }
            return;
        }
        finding.architecture.clone_from(&architecture);
        findings.push(finding);
    }

    /// Findings from now on show in this architecture only.
    pub fn enter(&self, architecture: Option<&str>) {
        *self.architecture.borrow_mut() = architecture.map(str::to_string);
    }

    /// The architecture in which findings show now.
    pub fn entered(&self) -> Option<String> {
        self.architecture.borrow().clone()
    }

    /// Has nothing been found?
    pub fn is_clean(&self) -> bool {
        self.findings.borrow().is_empty()
    }

    /// Takes out everything found and every provenance met.
    pub fn take(&self) -> (Vec<Finding>, Vec<(At, Provenance)>) {
        (self.findings.take(), self.assumptions.take())
    }

    /// Reads `source` and `basis` of an entry that stands at `at` and keeps them.
    pub fn provenance(&self, at: At, entries: &[Entry]) -> Provenance {
        let node = |key: &str| entries.iter().find(|e| e.key == key).map(|e| &e.node);
        let source = node("source").and_then(|n| self.text(n));
        let basis = node("basis").and_then(|n| self.word::<Basis>(n));
        if basis == Some(Basis::Published) && source.is_none() {
            let what = "basis = \"published\" without a `source`";
            self.report(Finding::new(&rules::PUBLISHED_UNSOURCED, at, what));
        }
        let provenance = Provenance { source, basis };
        let mut kept = self.assumptions.borrow_mut();
        if provenance != Provenance::default() && !kept.iter().any(|(there, _)| *there == at) {
            kept.push((at, provenance.clone()));
        }
        provenance
    }

    /// The text of a node.
    pub fn text(&self, node: &Node) -> Option<String> {
        match &node.value {
            Value::Text(text) if text.trim().is_empty() => {
                self.wrong(node, "a text that is not empty");
                None
            }
            Value::Text(text) => Some(text.clone()),
            _ => {
                self.wrong(node, "a text");
                None
            }
        }
    }

    /// The word of a closed vocabulary that a node spells.
    pub fn word<V: Vocabulary>(&self, node: &Node) -> Option<V> {
        let text = self.text(node)?;
        let word = V::parse(&text);
        if word.is_none() {
            let words: Vec<_> = V::WORDS.iter().map(|w| w.1).collect();
            self.unknown_word(node.at, V::WHAT, &text, &words);
        }
        word
    }

    /// Reports a word outside its vocabulary.
    pub fn unknown_word(&self, at: At, vocabulary: &str, text: &str, words: &[&str]) {
        let what = format!("\"{text}\" is not a known {vocabulary}");
        let list = words.join(", ");
        let remedy = match nearest(text, words.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"? known: {list}"),
            None => format!("write one of: {list}"),
        };
        self.report(Finding::new(&rules::UNKNOWN_WORD, at, what).remedy(remedy));
    }

    /// Reports a value of the wrong kind.
    pub fn wrong(&self, node: &Node, wanted: &str) {
        let what = format!("{wanted} is wanted and {} is written", node.kind());
        let remedy = format!("write {wanted}");
        self.report(Finding::new(&rules::WRONG_TYPE, node.at, what).remedy(remedy));
    }
}

/// The known word most like `text`, if any is like it.
pub(super) fn nearest<'a>(text: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    // Below this similarity a suggestion confuses more often than it helps (judged by trial).
    const ALIKE: f64 = 0.75;
    known
        .map(|word| (strsim::jaro_winkler(text, word), word))
        .filter(|(likeness, _)| *likeness > ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
