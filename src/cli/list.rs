//! `vestibule list`: registries as text.

use super::catalogue;
use super::exit::{Exit, say};
use super::voice::Voice;
use crate::base::law::LAWS;
use crate::check::rules;
use crate::measure::{MEASURES, glossary};
use crate::physics;
use crate::plan::CONDITIONS;
use crate::report::Screen;
use crate::scenario::{self, Action, Effect, SCHEMAS, Vocabulary};
use clap::ValueEnum;
use std::fmt::Write;
use std::io::IsTerminal;

/// What can be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum What {
    /// Measures with unit and meaning
    Measures,
    /// Words of the reports and what they mean
    Words,
    /// Probability laws and physical relations, with formula, units, source and limits
    Laws,
    /// Actions of step rows
    Actions,
    /// Conditions of contingency ingress paths
    Conditions,
    /// Effects of failures
    Effects,
    /// Rules that files are checked against
    Rules,
    /// Access systems of the catalogue; one of them whole with --show
    Systems,
    /// JSON Schema of a campaign file; of an access, suit, failure or sweep file with --show
    Schema,
    /// Keys of the files
    Keys,
    /// The rules of play, which code and messages cite by number
    Model,
}

/// Says what can be listed.
pub fn all() -> Exit {
    let mut out = String::from("vestibule list WHAT, where WHAT is one of\n\n");
    for what in What::value_variants() {
        let Some(word) = what.to_possible_value() else { continue };
        let meaning = word.get_help().map_or(String::new(), ToString::to_string);
        let _ = writeln!(out, "  {:12} {meaning}", word.get_name());
    }
    say(&out)
}

/// Prints one list.
pub fn list(what: What, show: Option<&str>, json: bool, voice: Voice) -> Exit {
    if let Some(name) = show.or((what == What::Schema).then_some("campaign")) {
        return match shown(what, name) {
            Ok(text) => say(&text),
            Err(why) => {
                eprintln!("error: {why}");
                Exit::Usage
            }
        };
    }
    if json {
        return say(&format!("{:#}\n", super::list_json::list(what)));
    }
    let text = match what {
        What::Measures => measures(),
        What::Words => glossary(),
        What::Laws => laws(),
        What::Actions => words::<Action>(),
        What::Conditions => pairs(CONDITIONS.iter().map(|c| (c.0, c.1.to_string()))),
        What::Effects => words::<Effect>(),
        What::Rules => {
            pairs(rules::rules().map(|r| (r.id, format!("{} ({})", r.meaning, r.severity.word()))))
        }
        What::Systems => systems(),
        What::Schema => String::new(),
        What::Keys => keys(),
        What::Model => crate::RULES.to_string(),
    };
    // Other programs get a line for every entry, a reader lines that fit.
    match std::io::stdout().is_terminal() {
        true => say(&fitted(&text, what == What::Model, voice.screen())),
        false => say(&text),
    }
}

/// The text in lines that fit a screen: a long one goes on below, further in. The `running` text of a
/// page is set anew between blank lines.
fn fitted(text: &str, running: bool, screen: Screen) -> String {
    let paragraphs: Vec<String>;
    let lines: Vec<&str> = if running {
        paragraphs = text.split("\n\n").map(|p| p.replace('\n', " ") + "\n").collect();
        paragraphs.iter().flat_map(|p| p.split('\n')).collect()
    } else {
        text.lines().collect()
    };
    let mut out = String::new();
    for line in lines {
        if line.chars().count() <= screen.width {
            out.push_str(line);
            out.push('\n');
            continue;
        }
        let indent = line.len() - line.trim_start().len();
        // The name of an entry keeps its column.
        let name = line[indent..].find("  ").map_or(indent, |at| indent + at);
        let body = line[name..].trim_start();
        let (first, body) =
            if running { ("", line) } else { (&line[..line.len() - body.len()], body) };
        out.push_str(&screen.wrap(body, first, if running { "" } else { "      " }));
    }
    out
}

fn pairs<'a>(rows: impl Iterator<Item = (&'a str, String)>) -> String {
    let mut out = String::new();
    for (name, meaning) in rows {
        let _ = writeln!(out, "{name:28} {meaning}");
    }
    out
}

fn words<V: Vocabulary>() -> String {
    pairs(V::WORDS.iter().map(|(_, word, meaning)| (*word, meaning.to_string())))
}

fn measures() -> String {
    let mut out = String::new();
    for m in MEASURES {
        let _ = writeln!(out, "{:34} {:6} {}: {}", m.name, m.unit, m.title, m.doc);
    }
    out
}

fn glossary() -> String {
    let mut out = String::new();
    for t in glossary::all() {
        let _ = writeln!(out, "{}\n    {}", t.title, t.meaning);
    }
    out
}

fn laws() -> String {
    let mut out = String::from(HEAD);
    title(&mut out, "Laws of numbers that are not certain");
    for l in LAWS {
        let _ = writeln!(out, "{}", l.name);
        for (label, text) in [
            ("written", l.written),
            ("meaning", l.meaning),
            ("value", l.formula),
            ("mean", l.mean),
            ("units", l.units),
            ("source", l.source),
            ("limits", l.limits),
        ] {
            field(&mut out, label, text);
        }
        out.push('\n');
    }
    let mut module = "";
    for r in physics::RELATIONS {
        let here = r.functions.first().and_then(|f| f.split("::").next()).unwrap_or("");
        if here != module {
            title(&mut out, &format!("Physical relations: {here}"));
            module = here;
        }
        let _ = writeln!(out, "{}", r.name);
        for (label, text) in [
            ("formula", r.formula),
            ("units", r.symbols),
            ("source", r.source),
            ("limits", r.limits),
            ("code", &r.functions.join(", ")),
        ] {
            field(&mut out, label, text);
        }
        out.push('\n');
    }
    out
}

/// What has to be known to read the list.
const HEAD: &str = "\
Everything is computed in SI. `value` is what a law gives at a uniform number u, 0 < u < 1; it
grows with u, and u is the probability that the value stays below it. z is the standard normal
quantile. A source is what the formula rests on: a work that was read, `from memory` where it
was not, `common practice` where it is common knowledge, `assumed` where nobody has measured it.
`code` names the functions in src/physics. What of this was compared with what others publish,
and with what result, stands in runs/evidence/README.md.
";

fn title(out: &mut String, text: &str) {
    let _ = writeln!(out, "\n{text}\n{}\n", "-".repeat(text.len()));
}

/// One labelled field, broken into lines of at most 100 columns.
fn field(out: &mut String, label: &str, text: &str) {
    let mut line = format!("  {label:8}");
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > 100 {
            let _ = writeln!(out, "{}", line.trim_end());
            line = " ".repeat(10);
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(out, "{}", line.trim_end());
}

fn keys() -> String {
    let mut out = String::new();
    for (section, key) in scenario::keys::keys() {
        let _ = writeln!(
            out,
            "{:40} {}{}: {}",
            format!("{}.{}", section.name, key.name),
            key.takes(),
            key.left_out(),
            key.doc
        );
    }
    out.push_str("\nKeys of a sweep file\n");
    for (section, key) in scenario::keys::sweep_keys() {
        let dot = if section.name.is_empty() { "" } else { "." };
        let name = format!("{}{dot}{}", section.name, key.name);
        let _ = writeln!(out, "{name:40} {}{}: {}", key.takes(), key.left_out(), key.doc);
    }
    out
}

/// Access systems of the catalogue, with the first sentence of their header.
fn systems() -> String {
    let mut out = String::new();
    for (name, text) in catalogue::systems() {
        let (first, other) = (format!("{name:20}"), " ".repeat(21));
        out.push_str(&Screen::default().wrap(&first_sentence(text), &(first + " "), &other));
    }
    out.push_str(
        "\n`--show NAME` prints one; `vestibule new NAME --from larkspur` writes them all.\n",
    );
    out
}

/// The first sentence of a file's comment.
fn first_sentence(text: &str) -> String {
    let comment = text.lines().map_while(|l| l.strip_prefix('#'));
    let words = comment.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ");
    let end = words.find(". ").map_or(words.len(), |i| i + 1);
    words[..end].to_string()
}

/// One of what can be listed, whole.
fn shown(what: What, name: &str) -> Result<String, String> {
    let (found, known): (Option<String>, Vec<&str>) = match what {
        What::Systems => (
            catalogue::systems().find(|s| s.0 == name).map(|s| s.1.to_string()),
            catalogue::systems().map(|s| s.0).collect(),
        ),
        What::Schema => (
            scenario::schema(name).map(|s| format!("{s:#}\n")),
            SCHEMAS.iter().map(|s| s.0).collect(),
        ),
        _ => return Err("--show goes with `systems` and `schema`".into()),
    };
    found.ok_or_else(|| format!("there is no `{name}`; there are: {}", known.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::keys::Need;

    #[test]
    fn long_lines_fit_a_screen_and_lose_no_word() {
        let screen = Screen { width: 80, ..Screen::default() };
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        for (text, running) in [(keys(), false), (measures(), false), (crate::RULES.into(), true)] {
            let shown = fitted(&text, running, screen);
            let long: Vec<_> = shown.lines().filter(|l| l.chars().count() > 80).collect();
            assert!(long.is_empty(), "{long:?}");
            assert_eq!(words(&shown), words(&text));
        }
    }

    /// A key is listed with what counts where it is left out.
    #[test]
    fn keys_are_listed_with_their_defaults() {
        let text = keys();
        let mut defaults = 0;
        for (section, key) in scenario::keys::keys() {
            let begins = format!("{}.{} ", section.name, key.name);
            let line = text.lines().find(|l| l.starts_with(&begins)).expect(&begins);
            if let Need::Default(value) = key.need {
                defaults += 1;
                assert!(line.contains(&format!(", default {value}: ")), "{line}");
            }
        }
        assert!(defaults > 50, "{defaults}");
    }

    /// Every law and relation is printed with all its fields, in lines that fit a page.
    #[test]
    fn laws_are_printed_whole() {
        let text = laws();
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let all = words(&text);
        for l in LAWS {
            for field in [l.name, l.written, l.formula, l.mean, l.units, l.source, l.limits] {
                assert!(all.contains(&words(field)), "{}: {field}", l.name);
            }
        }
        for r in physics::RELATIONS {
            for field in [r.name, r.formula, r.symbols, r.source, r.limits] {
                assert!(all.contains(&words(field)), "{}: {field}", r.name);
            }
        }
        let long: Vec<_> = text.lines().filter(|l| l.chars().count() > 100).collect();
        assert!(long.is_empty(), "{long:?}");
    }
}
