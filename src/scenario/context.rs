//! What accumulates while the tree is read: findings and the provenance of entries.

use super::finding::Finding;
use super::rules;
use super::spec::{At, Provenance};
use super::tree::{Entry, Node, Value};
use super::vocabulary::{Basis, Vocabulary};
use crate::base::text::unseen;
use std::cell::RefCell;
use std::collections::HashMap;

/// The reader writes here from wherever it is in the tree, so that reading can go on after each
/// finding. Single-threaded by design.
#[derive(Debug, Default)]
pub(super) struct Context {
    findings: RefCell<Vec<Finding>>,
    /// Where each of them stands in the list.
    found: RefCell<HashMap<(&'static str, At, String), usize>>,
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
        let mut found = self.found.borrow_mut();
        let same = (finding.rule, finding.at, finding.what.clone());
        let architecture = self.architecture.borrow();
        if let Some(first) = found.get(&same) {
            let first = &mut findings[*first];
            if first.architecture != *architecture {
                first.architecture = None;
            }
            return;
        }
        found.insert(same, findings.len());
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
        self.found.take();
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
                self.wrong(node, "a non-empty text");
                None
            }
            Value::Text(text) => {
                if let Some(c) = text.chars().find(|c| unseen(*c)) {
                    let code = u32::from(c);
                    let what = format!("the text contains U+{code:04X}, which is invisible");
                    self.report(Finding::new(&rules::UNSEEN_TEXT, node.at, what));
                }
                Some(text.clone())
            }
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
        let what = format!("{wanted} is expected, but {} is written", node.kind());
        let remedy = format!("write {wanted}");
        self.report(Finding::new(&rules::WRONG_TYPE, node.at, what).remedy(remedy));
    }
}

/// What the trade also says, and the word of the files for it. Asked before likeness of letters, which
/// would take `closed` for `close` or worse.
const ALSO_SAID: &[(&str, &[&str])] = &[
    ("closed", &["shut", "close"]),
    ("sealed", &["shut", "close"]),
    ("opened", &["open"]),
    ("unsealed", &["open"]),
    ("depressurize", &["depress"]),
    ("depressurise", &["depress"]),
    ("evacuate", &["depress", "vent"]),
    ("pump down", &["depress"]),
    ("bleed", &["vent"]),
    ("pressurize", &["repress"]),
    ("pressurise", &["repress"]),
    ("repressurize", &["repress"]),
    ("repressurise", &["repress"]),
    ("fill", &["repress"]),
    ("enter", &["pass"]),
    ("exit", &["pass"]),
    ("egress", &["pass"]),
    ("ingress", &["pass"]),
    ("dock", &["mate"]),
    ("attach", &["mate"]),
    ("undock", &["unmate"]),
    ("detach", &["unmate"]),
    ("put on", &["don"]),
    ("dress", &["don"]),
    ("take off", &["doff"]),
    ("undress", &["doff"]),
    ("brush", &["clean"]),
    ("vacuum", &["clean"]),
    ("walk", &["travel", "foot"]),
    ("drive", &["travel", "rover"]),
    ("denitrogenate", &["prebreathe"]),
    ("airlock hatch", &["pressure hatch"]),
    ("hatch", &["pressure hatch"]),
    ("suitport", &["suit interface"]),
    ("suit port", &["suit interface"]),
    ("jammed", &["stuck shut"]),
    ("does not close", &["stuck open"]),
    ("diameter", &["clear"]),
    ("leakage", &["leak"]),
    ("duration", &["takes", "length"]),
    ("time", &["takes"]),
    ("probability", &["law"]),
    ("rate", &["law"]),
    ("persons", &["holds"]),
    ("capacity", &["holds", "haven_people"]),
    ("o2", &["oxygen"]),
    ("oxygen_fraction", &["oxygen"]),
];

/// The known word that means the same as `text`, else the one most like it, if any is.
pub(super) fn nearest<'a>(text: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let known: Vec<&str> = known.collect();
    let lower = text.to_lowercase();
    let lower = lower.trim();
    if let Some((_, words)) = ALSO_SAID.iter().find(|(said, _)| *said == lower) {
        let same = words.iter().find_map(|w| known.iter().find(|k| *k == w));
        if let Some(word) = same {
            return Some(word);
        }
    }
    // A word of several: "stuck closed" is `stuck shut`.
    for (said, words) in ALSO_SAID.iter().filter(|(said, _)| lower.contains(said)) {
        let same = |w: &&&str| known.contains(&lower.replace(said, w).as_str());
        if let Some(word) = words.iter().find(same) {
            let meant = lower.replace(said, word);
            return known.into_iter().find(|k| *k == meant);
        }
    }
    let known = known.into_iter();
    // Below this similarity a suggestion confuses more often than it helps (judged by trial).
    const ALIKE: f64 = 0.75;
    known
        .map(|word| (strsim::jaro_winkler(text, word), word))
        .filter(|(likeness, _)| *likeness > ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
