//! Findings on the terminal: errors whole, many warnings and remarks by kind unless everything is
//! asked for.

use super::load::{ERROR, WARNING};
use crate::report::{self, Screen, Tone};
use crate::scenario::{Finding, Level, Sources};

/// So many warnings are told whole; of more, one line for every kind.
const WHOLE: usize = 2;

/// Every finding to standard error, errors first; what is said of several architectures is said once.
pub(super) fn print(findings: &[Finding], sources: &Sources, arms: &[&str], screen: Screen) {
    eprint!("{}", text(findings, sources, arms, screen));
}

fn text(findings: &[Finding], sources: &Sources, arms: &[&str], screen: Screen) -> String {
    let mut sorted: Vec<Finding> = findings.to_vec();
    sorted.sort_by_key(|f| f.severity);
    let folded = report::fold_findings(&sorted);
    let warnings = folded.iter().filter(|(f, _)| f.severity == WARNING).count();
    let whole = |f: &Finding| {
        f.severity == ERROR || screen.verbose || f.severity == WARNING && warnings <= WHOLE
    };
    let mut out = String::new();
    let mut kinds: Vec<&str> = Vec::new();
    for (f, own) in &folded {
        if whole(f) {
            let mut told = (*f).clone();
            if own.len() > 1 {
                told.architecture = Some(report::architectures(own, arms));
            }
            out.push_str(&shown(&told, sources, screen));
        } else if !kinds.contains(&f.rule) {
            kinds.push(f.rule);
            let more = folded.iter().filter(|(g, _)| g.rule == f.rule).count() - 1;
            out.push_str(&kind(f, more, sources, screen));
        }
    }
    out
}

/// A finding with its place, rule and remedy.
fn shown(f: &Finding, sources: &Sources, screen: Screen) -> String {
    let mut out = String::new();
    for (i, line) in f.show(sources).to_string().lines().enumerate() {
        let before: String = line.chars().take_while(|c| *c == ' ').collect();
        let body = screen.wrap(line.trim_start(), &before, "     ");
        let tone = if i == 0 { tone(f.severity) } else { Tone::Plain };
        out.push_str(&screen.tint(tone, body.trim_end()));
        out.push('\n');
    }
    out
}

/// The first finding of a kind in one sentence, and how many more there are.
fn kind(f: &Finding, more: usize, sources: &Sources, screen: Screen) -> String {
    let place = sources.place(f.at);
    let line = if place.line > 0 { format!(":{}", place.line) } else { String::new() };
    let others = if more > 0 { format!("; and {more} more") } else { String::new() };
    let text = format!(
        "{}[{}]: {} ({}{line}){others}",
        f.severity.word(),
        f.rule,
        crate::base::text::visible(&f.what),
        crate::base::text::visible(sources.file(f.at)),
    );
    let body = screen.wrap(&text, "", "  ");
    screen.tint(tone(f.severity), body.trim_end()) + "\n"
}

fn tone(severity: Level) -> Tone {
    match severity {
        Level::Error => Tone::Bad,
        Level::Warning => Tone::Doubt,
        Level::Info => Tone::Aside,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{AppliedBy, At, Place, Rule};

    const RULE: Rule = Rule {
        id: "unused",
        severity: Level::Warning,
        by: AppliedBy::Check,
        meaning: "everything is used",
        remedy: "remove it",
    };

    /// Three of a kind are one line; asked for everything, each is told whole; an error always is.
    #[test]
    fn many_of_a_kind_are_one_line() {
        let sources = Sources { files: vec!["a.toml".into()], places: vec![Place::default()] };
        let f = |what: &str| Finding::new(&RULE, At(0), what);
        let found = [f("one"), f("two"), f("three")];
        let screen = Screen::default();
        let few = text(&found, &sources, &[], screen);
        assert_eq!(few, "warning[unused]: one (a.toml); and 2 more\n");
        let all = text(&found, &sources, &[], Screen { verbose: true, ..screen });
        assert_eq!(all.matches("= remedy: remove it").count(), 3, "{all}");
        let two = text(&found[..2], &sources, &[], screen);
        assert_eq!(two.matches("= remedy: remove it").count(), 2, "{two}");
    }
}
