//! `vestibule new`: a commented starter campaign that passes `check` and runs, or a shipped campaign
//! with its files; and what an editor needs to complete them.

use super::catalogue::{CAMPAIGNS, CATALOGUE};
use super::exit::{Exit, say};
use crate::report::quoted;
use crate::scenario::schema;
use std::fs;
use std::path::Path;

/// Files of the starter: where, and what.
pub const STARTER: &[(&str, &str)] = &[
    ("campaign.toml", include_str!("starter/campaign.toml")),
    ("access/single-lock.toml", include_str!("starter/access/single-lock.toml")),
];

/// What tells a TOML language server which schema goes with which file.
const EDITOR: &str = include_str!("starter/taplo.toml");
/// Schemas that [`EDITOR`] names.
const SCHEMAS: &[&str] = &["campaign", "part", "access"];

/// Writes the starter, or the shipped campaign `from`, into a new folder.
pub fn new(folder: &Path, from: Option<&str>) -> Exit {
    let shipped = match from.map(|from| CAMPAIGNS.iter().find(|c| c.0 == from).ok_or(from)) {
        None => None,
        Some(Ok(campaign)) => Some(campaign.2),
        Some(Err(from)) => {
            eprintln!("error: no shipped campaign `{from}`; there are:");
            for (name, what, _) in CAMPAIGNS {
                eprintln!("  {name:10} {what}");
            }
            return Exit::Usage;
        }
    };
    if folder.exists() {
        eprintln!("error: {} exists already; name a new folder", folder.display());
        return Exit::Usage;
    }
    let files = match shipped {
        Some(text) => [("campaign.toml", text)].iter().chain(CATALOGUE).copied().collect(),
        None => STARTER.to_vec(),
    };
    if let Err((path, e)) = write(folder, &files) {
        eprintln!("error: cannot write {path}: {e}");
        return Exit::Files;
    }
    let file = folder.join("campaign.toml").display().to_string();
    let shown = quoted(&file);
    say(&format!("wrote {file}\nnext: vestibule check {shown}\nthen: vestibule run {shown}\n"))
}

/// Writes beside the target and renames, so that nothing half-written is left.
fn write(folder: &Path, files: &[(&str, &str)]) -> Result<(), (String, std::io::Error)> {
    let parent = folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let at = |p: &Path| {
        let p = p.display().to_string();
        move |e| (p.clone(), e)
    };
    fs::create_dir_all(parent).map_err(at(parent))?;
    let draft =
        tempfile::Builder::new().prefix(".starter-").tempdir_in(parent).map_err(at(parent))?;
    let put = |name: &str, text: &str| {
        let path = draft.path().join(name);
        if let Some(p) = path.parent() {
            fs::create_dir_all(p).map_err(at(&path))?;
        }
        fs::write(&path, text).map_err(at(&path))
    };
    files.iter().try_for_each(|(name, text)| put(name, text))?;
    put(".taplo.toml", EDITOR)?;
    for name in SCHEMAS {
        let text = schema(name).map_or(String::new(), |s| format!("{s:#}\n"));
        put(&format!("schema/{name}.json"), &text)?;
    }
    fs::rename(draft.path(), folder).map_err(at(folder))
}
