//! What changed, for a terminal.

use super::moved::{Moved, Sure};
use super::{Changes, Side};
use crate::report::figures::wrapped;
use crate::report::screen::Screen;
use std::fmt::Write;

/// Inputs that are listed at most; the rest is counted.
const INPUTS: usize = 20;
/// What a results folder knows of its files.
const KEPT: &str = "The folders keep entries that have a source or basis, of long ones the first \
     keys; compare the files themselves for the rest.";

impl Changes {
    /// As text of at most 100 columns.
    pub fn text(&self) -> String {
        let mut out = String::new();
        let side = |s: &Side| {
            format!(
                "{}: {} campaigns, seed {}, version {}",
                s.folder, s.campaigns, s.seed, s.version
            )
        };
        let _ = writeln!(out, "before  {}\nafter   {}\n", side(&self.old), side(&self.new));
        self.told_inputs(&mut out);
        self.told_measures(&mut out);
        self.told_verdicts(&mut out);
        self.told_sentences(&mut out);
        out.push_str("How it was compared\n");
        out.push_str(&wrapped(&self.test));
        out.push('\n');
        out.push_str(&Screen::default().wrap(crate::report::CAUTION, "", ""));
        out
    }

    fn told_inputs(&self, out: &mut String) {
        if self.differs.is_empty() {
            out.push_str(
                "Both are results of the same files, seed, number of campaigns and version.\n\n",
            );
            return;
        }
        out.push_str("What differs between the two runs\n");
        for d in &self.differs {
            out.push_str(&wrapped(d));
        }
        for i in self.inputs.iter().take(INPUTS) {
            let value =
                |text: &str| if text.is_empty() { "not there".into() } else { text.to_string() };
            let (old, new) = super::keys::apart(&i.old, &i.new);
            let line = format!("{} {}: {} -> {}", i.file, i.key_path, value(&old), value(&new));
            out.push_str(&wrapped(&line));
        }
        if self.inputs.len() > INPUTS {
            let _ = writeln!(out, "  and {} more entries (--json)", self.inputs.len() - INPUTS);
        }
        if self.old.fingerprint != self.new.fingerprint {
            out.push_str(&wrapped(KEPT));
        }
        for (arms, where_) in [(&self.only_old, "before"), (&self.only_new, "after")] {
            if !arms.is_empty() {
                out.push_str(&wrapped(&format!("only {where_}: {}", arms.join(", "))));
            }
        }
        out.push('\n');
    }

    fn told_measures(&self, out: &mut String) {
        let of = |sure: Sure| self.measures.iter().filter(move |m| m.sure == sure);
        let beyond: Vec<&Moved> = of(Sure::BeyondChance).collect();
        let all = self.measures.len();
        if of(Sure::Same).count() == all {
            let _ = writeln!(out, "All {all} means are the same numbers.\n");
            return;
        }
        let rest = format!(
            "{} moved by no more than chance, {} are the same numbers, {} cannot be compared",
            of(Sure::WithinChance).count(),
            of(Sure::Same).count(),
            of(Sure::Unknown).count()
        );
        match beyond.len() {
            0 => {
                let _ =
                    writeln!(out, "Of {all} means none moved by more than chance:\n  {rest}.\n");
            }
            n => {
                let _ = writeln!(out, "Of {all} means {n} moved by more than chance\n");
                table(out, &beyond);
                let _ = writeln!(out, "\n  Of the others {rest}.\n");
            }
        }
    }

    fn told_verdicts(&self, out: &mut String) {
        if self.verdicts.is_empty() {
            out.push_str("No verdict on a limit or ranking changed.\n\n");
            return;
        }
        out.push_str("Verdicts that changed\n");
        for v in &self.verdicts {
            let word =
                |text: &str| if text.is_empty() { "not asked".into() } else { text.to_string() };
            let sure = if v.beyond_chance { "more than chance" } else { "no more than chance" };
            let line = format!(
                "{}, {}: {} -> {} ({sure}: {})",
                v.architecture,
                v.of,
                word(&v.old),
                word(&v.new),
                v.told_by
            );
            out.push_str(&wrapped(&line));
        }
        out.push('\n');
    }

    fn told_sentences(&self, out: &mut String) {
        if self.sentences.is_empty() {
            out.push_str("No sentence of the answer reads differently.\n\n");
            return;
        }
        out.push_str("Sentences of the answer that read differently\n");
        for s in &self.sentences {
            let about = if s.about.is_empty() { "all" } else { s.about.as_str() };
            let _ = writeln!(out, "  {about}");
            for (sign, text) in [("before:", &s.old), ("after: ", &s.new)] {
                let text = if text.is_empty() { "(nothing)" } else { text };
                out.push_str(&wrapped(&format!("  {sign} {text}")));
            }
        }
        out.push('\n');
    }
}

/// Means that moved, in columns.
fn table(out: &mut String, moved: &[&Moved]) {
    let wide =
        moved.iter().map(|m| m.architecture.chars().count()).max().unwrap_or(0).clamp(12, 22);
    let _ = writeln!(
        out,
        "  {:wide$} {:32} {:>9} {:>9}  difference, 95 % interval",
        "architecture", "measure", "before", "after"
    );
    for m in moved {
        let ([old, new, difference], limits) = m.shown();
        let limits = limits.map_or(String::new(), |[l, h]| format!(" [{l}, {h}]"));
        let _ = writeln!(
            out,
            "  {:wide$} {:32} {old:>9} {new:>9}  {difference}{limits}",
            m.architecture, m.measure,
        );
    }
}
