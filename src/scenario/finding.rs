//! One finding about the files: what, where, which rule, why it matters and what to write instead.
//!
//! Findings are collected, never thrown: reading and checking go on after each one, so that a
//! person sees all of them at once. The record lives here, above [`crate::check`], because the
//! reader makes findings too.

use super::spec::{At, Sources};
use crate::base::text::visible;
use std::fmt;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Nothing can be simulated until it is mended.
    Error,
    /// It can be simulated, but the result may not mean what was intended.
    Warning,
    /// Worth knowing.
    Info,
}

impl Level {
    /// The word used in `findings.csv` and in messages.
    pub fn word(self) -> &'static str {
        match self {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Info => "info",
        }
    }
}

/// Which stage applies a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AppliedBy {
    /// While the files are read (form of one value, names, units, includes).
    Reader,
    /// When what was read is checked as a whole.
    Check,
    /// It judges nothing: an answer that follows from the files.
    Answer,
}

/// An entry of the registry of rules. Every rule that can be broken has a
/// fixture `tests/rejects/<id>.toml`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Name in messages and in `findings.csv`: lower case words joined by hyphens.
    pub id: &'static str,
    /// Level of its findings.
    pub severity: Level,
    /// Who applies it.
    pub by: AppliedBy,
    /// The rule in one sentence: the default `why` of its findings.
    pub meaning: &'static str,
    /// What to do about it in general: the default `remedy` of its findings.
    pub remedy: &'static str,
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// How bad it is.
    pub severity: Level,
    /// Identifier of the rule.
    pub rule: &'static str,
    /// Where the trouble was written.
    pub at: At,
    /// The architecture in which it shows, when it does not hold for all.
    pub architecture: Option<String>,
    /// What was found.
    pub what: String,
    /// The rule that it breaks.
    pub why: String,
    /// What to write or do instead.
    pub remedy: String,
}

impl Finding {
    /// A finding of `rule` at `at`; `why` and `remedy` are the general ones of the rule until
    /// [`Finding::why`] or [`Finding::remedy`] replaces them.
    pub fn new(rule: &Rule, at: At, what: impl Into<String>) -> Self {
        Finding {
            severity: rule.severity,
            rule: rule.id,
            at,
            architecture: None,
            what: what.into(),
            why: rule.meaning.to_string(),
            remedy: rule.remedy.to_string(),
        }
    }

    /// Replaces the general reason.
    #[must_use]
    pub fn why(mut self, why: impl Into<String>) -> Self {
        self.why = why.into();
        self
    }

    /// Replaces the general remedy.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }

    /// Says that it holds in one architecture only.
    #[must_use]
    pub fn architecture(mut self, name: impl Into<String>) -> Self {
        self.architecture = Some(name.into());
        self
    }

    /// Is it an error?
    pub fn is_error(&self) -> bool {
        self.severity == Level::Error
    }

    /// The finding as text for a person, in the manner of a compiler message. `sources` must be
    /// those of the reading that the finding belongs to.
    pub fn show<'a>(&'a self, sources: &'a Sources) -> impl fmt::Display + 'a {
        Shown { finding: self, sources }
    }
}

/// A finding together with what its [`At`] points to.
struct Shown<'a> {
    finding: &'a Finding,
    sources: &'a Sources,
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let finding = self.finding;
        let place = self.sources.place(finding.at);
        let severity = finding.severity.word();
        writeln!(f, "{severity}[{}]: {}", finding.rule, visible(&finding.what))?;
        write!(f, "  --> {}", visible(self.sources.file(finding.at)))?;
        // Line 0 stands for a value that was not written in a file but given as a flag.
        if place.line > 0 {
            write!(f, ":{}:{}", place.line, place.column)?;
        }
        writeln!(f)?;
        match (place.path.is_empty(), place.value.is_empty()) {
            (true, _) => {}
            (false, true) => writeln!(f, "   |  {}", visible(&place.path))?,
            (false, false) => {
                writeln!(f, "   |  {} = {}", visible(&place.path), visible(&place.value))?;
            }
        }
        if let Some(name) = &finding.architecture {
            writeln!(f, "   = in architecture: {name}")?;
        }
        writeln!(f, "   = rule: {}", finding.why)?;
        write!(f, "   = remedy: {}", visible(&finding.remedy))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Place;

    const RULE: Rule = Rule {
        id: "too-cold",
        severity: Level::Warning,
        by: AppliedBy::Check,
        meaning: "people freeze below 0 degC",
        remedy: "heat it",
    };

    fn sources(line: u32) -> Sources {
        let place = Place {
            file: 0,
            line,
            column: 7,
            path: "element.hut.temperature".into(),
            value: "\"250 K\"".into(),
        };
        Sources { files: vec!["hut.toml".into()], places: vec![Place::default(), place] }
    }

    #[test]
    fn a_finding_says_where_what_why_and_what_to_do() {
        let finding = Finding::new(&RULE, At(1), "the hut is at 250 K").architecture("A");
        let text = finding.show(&sources(3)).to_string();
        assert_eq!(
            text,
            "warning[too-cold]: the hut is at 250 K\n  --> hut.toml:3:7\n   |  \
             element.hut.temperature = \"250 K\"\n   = in architecture: A\n   = rule: people \
             freeze below 0 degC\n   = remedy: heat it"
        );
    }

    #[test]
    fn a_value_given_as_a_flag_has_no_line() {
        let finding = Finding::new(&RULE, At(1), "cold").why("w").remedy("write \"290 K\"");
        let text = finding.show(&sources(0)).to_string();
        assert!(text.contains("--> hut.toml\n"), "{text}");
        assert!(text.ends_with("= rule: w\n   = remedy: write \"290 K\""));
    }

    #[test]
    fn an_unknown_place_is_shown_as_the_first_file() {
        let finding = Finding::new(&RULE, At(99), "cold");
        assert!(finding.show(&sources(3)).to_string().contains("--> hut.toml\n"));
    }
}
