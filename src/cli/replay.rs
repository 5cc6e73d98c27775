//! `vestibule replay`: one history in words.

use super::ReplayArgs;
use super::exit::{Exit, say};
use super::load::load;
use super::voice::Voice;
use crate::campaign;
use crate::report::{self, Manifest, Told};
use std::path::Path;

/// Tells one campaign of one architecture.
pub fn replay(args: &ReplayArgs, voice: Voice) -> Exit {
    let mut loaded = match load(&args.campaign, voice) {
        Ok(l) => l,
        Err(e) => return e,
    };
    let model = &mut loaded.model;
    if let Some(from) = &args.from {
        (model.seed, model.inner) = match luck_of(from, model.fingerprint) {
            Ok(luck) => luck,
            Err(e) => return e,
        };
    }
    model.seed = args.seed.unwrap_or(model.seed);
    let Some(arm) = model.arms.iter().position(|a| a.name == args.architecture) else {
        let known: Vec<&str> = model.arms.iter().map(|a| a.name.as_str()).collect();
        eprintln!(
            "error: no architecture `{}`; there are: {}",
            args.architecture,
            known.join(", ")
        );
        return Exit::Usage;
    };
    let slots = model.slots.len();
    if args.sortie.is_some_and(|s| s == 0 || s as usize > slots) {
        eprintln!("error: sorties are numbered from 1 to {slots}");
        return Exit::Usage;
    }
    let (story, outcome) = campaign::tell(model, arm, args.number);
    let slot = args.sortie.map(|s| s - 1);
    let (story, outcome) = (&story, &outcome);
    let told = Told { model, arm, campaign: args.number, story, outcome, slot };
    match args.json {
        true => say(&report::story_json(told)),
        false => say(&report::story(told, voice.screen())),
    }
}

/// The seed, and the campaigns of a parameter set, that a results folder was made with, if it was made
/// from the same files on the same scheme of luck.
fn luck_of(folder: &Path, fingerprint: u64) -> Result<(u64, Option<u64>), Exit> {
    let m = manifest(folder)?;
    let refuse = |why: String| {
        eprintln!("error: {}: {why}", folder.display());
        Err(Exit::Input)
    };
    let own = format!("{fingerprint:#018x}");
    if m.fingerprint != own {
        return refuse(format!(
            "made from other files (fingerprint {}; these have {own}); name the files it was \
            made from, or leave --from out",
            m.fingerprint
        ));
    }
    if m.luck != report::LUCK {
        return refuse(format!(
            "made with another scheme of random numbers ({}; this program has {}); replay it \
            with version {}",
            m.luck,
            report::LUCK,
            m.version
        ));
    }
    if m.version != env!("CARGO_PKG_VERSION") {
        eprintln!("warning: made by version {}; its numbers may differ from these", m.version);
    }
    match m.seed.parse() {
        Ok(seed) => Ok((seed, m.inner)),
        Err(_) => refuse(format!("the seed `{}` in its manifest is not a whole number", m.seed)),
    }
}

fn manifest(folder: &Path) -> Result<Manifest, Exit> {
    let path = folder.join("manifest.json");
    let text = std::fs::read_to_string(&path).map_err(|e| {
        eprintln!("error: cannot read {}: {e}", path.display());
        Exit::Files
    })?;
    serde_json::from_str(&text).map_err(|e| {
        eprintln!("error: {} is not a manifest of this program: {e}", path.display());
        Exit::Input
    })
}
