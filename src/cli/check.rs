//! `vestibule check`: the verdict first, then every finding, then what follows from the files alone.

use super::exit::{Exit, say};
use super::load::{self, Loaded};
use super::voice::Voice;
use crate::report::{Answer, Screen, Tone, architectures, findings, fold_answers, quoted};
use serde_json::json;
use std::path::Path;

/// Reads and checks a campaign; nothing is played.
pub fn check(path: &Path, json: bool, voice: Voice) -> Exit {
    if json {
        return as_json(path);
    }
    match load::load(path, voice) {
        Ok(loaded) => {
            let screen = voice.screen();
            let first = match voice.quiet {
                true => Exit::Done,
                false => say(&verdict(path, &loaded, screen)),
            };
            loaded.print_findings(voice);
            match voice.quiet {
                true => first,
                false => say(&answers(path, &loaded, screen)),
            }
        }
        Err(exit) => exit,
    }
}

/// What the check says first.
fn verdict(path: &Path, loaded: &Loaded, screen: Screen) -> String {
    let arms = loaded.model.arms.len();
    let (architectures, sorties) = match (arms, loaded.model.planned.0) {
        (1, n) => ("1 architecture".to_string(), n),
        (a, n) => (format!("{a} architectures"), n),
    };
    let text = format!(
        "{} can be played: {architectures}, {sorties} planned sorties; {}.",
        load::named(path),
        load::count(&loaded.findings)
    );
    screen.tint(Tone::Title, screen.wrap(&text, "", "  ").trim_end()) + "\n"
}

/// Lines for each subject where not everything is asked for.
const LINES: usize = 2;

/// What follows from the files alone, by subject; what holds for several architectures is said once. Of
/// each subject what comes first, unless everything is asked for.
fn answers(path: &Path, loaded: &Loaded, screen: Screen) -> String {
    let names: Vec<&str> = loaded.model.arms.iter().map(|a| a.name.as_str()).collect();
    let mut out = String::from("\nWhat follows from the files alone\n");
    let mut left = 0;
    for (rule, all) in fold_answers(&loaded.answers) {
        let told: Vec<String> = all
            .iter()
            .map(|a| format!("{}: {}", said_of(a, &names), a.what))
            .map(|text| screen.wrap(&text, "    ", "      "))
            .collect();
        let lines = |text: &str| text.lines().count();
        let fit = |n: &usize| told[..*n].iter().map(|t| lines(t)).sum::<usize>() <= LINES;
        let shown = match screen.verbose {
            true => told.len(),
            false => (1..=told.len()).take_while(fit).last().unwrap_or(0),
        };
        let more = told.len() - shown;
        let count = match (more, shown) {
            (0, _) => String::new(),
            (n, 0) => format!(" ({n} statements)"),
            (n, _) => format!(" (and {n} more)"),
        };
        out.push_str(&format!("  {}{count}\n", screen.tint(Tone::Title, rule)));
        told[..shown].iter().for_each(|t| out.push_str(t));
        if shown == 0 {
            out.push_str(&begun(&told[0]));
        }
        left += more;
    }
    if left > 0 {
        let file = quoted(&path.display().to_string());
        let text = format!("{left} more statements: vestibule check {file} -v");
        out.push_str(&screen.wrap(&text, "", "  "));
    }
    out
}

/// The beginning of a statement that is too long to be told whole, up to the end of a part of it.
fn begun(text: &str) -> String {
    let lines: Vec<&str> = text.lines().take(LINES).collect();
    let lines = lines.join("\n");
    let ends = ["; ", ";\n", ", ", ",\n", " (", "\n      ("];
    let end = ends.iter().filter_map(|e| lines.rfind(e)).max().unwrap_or(lines.len());
    format!("{} ...\n", lines[..end].trim_end())
}

/// The architectures that an answer holds for, in words.
fn said_of(a: &Answer, names: &[&str]) -> String {
    match (a.arms.is_empty(), names) {
        (true, [one]) => (*one).into(),
        (true, _) => "all architectures".into(),
        _ => architectures(&a.arms, names),
    }
}

/// The same for programs.
fn as_json(path: &Path) -> Exit {
    let read = match load::read(path) {
        Ok(read) => read,
        Err(exit) => return exit,
    };
    let of = |loaded: Option<&Loaded>| {
        let found = loaded.map_or(&read.findings, |l| &l.findings);
        let sources = loaded.map_or(&read.sources, |l| &l.sources);
        json!({
            "file": path.display().to_string(),
            "verdict": if loaded.is_some() { "can be played" } else { "has errors" },
            "errors": load::number(found, load::ERROR),
            "warnings": load::number(found, load::WARNING),
            "remarks": load::number(found, load::REMARK),
            "architectures": loaded.map(|l| l.model.arms.len()),
            "planned_sorties": loaded.map(|l| l.model.planned.0),
            "findings": findings(found, sources).json(),
            "answers": loaded.map(|l| findings(&l.answers, sources).json()),
        })
    };
    let text = format!("{:#}\n", of(read.loaded.as_ref()));
    let said = say(&text);
    if read.loaded.is_some() || said != Exit::Done { said } else { Exit::Input }
}
