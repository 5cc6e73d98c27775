//! `vestibule check`: the verdict first, then every finding, then what follows from the files alone.

use super::exit::{Exit, say};
use super::load::{self, Loaded};
use super::voice::Voice;
use crate::report::{Screen, Tone, architectures, findings, fold_answers};
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
                false => say(&answers(&loaded, screen)),
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

/// What follows from the files alone, by subject; what holds for several architectures is said once.
fn answers(loaded: &Loaded, screen: Screen) -> String {
    let names: Vec<&str> = loaded.model.arms.iter().map(|a| a.name.as_str()).collect();
    let mut out = String::from("\nWhat follows from the files alone\n");
    let mut subject = "";
    for (rule, what, own) in fold_answers(&loaded.answers) {
        if rule != subject {
            out.push_str(&format!("  {}\n", screen.tint(Tone::Title, rule)));
            subject = rule;
        }
        let text = format!("{}: {what}", architectures(&own, &names));
        out.push_str(&screen.wrap(&text, "    ", "      "));
    }
    out
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
