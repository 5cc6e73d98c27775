//! `vestibule new`: a commented starter campaign that passes `check` and runs.

use super::exit::{Exit, say};
use crate::report::quoted;
use std::fs;
use std::path::Path;

/// Files of the starter: where, and what.
pub const STARTER: &[(&str, &str)] = &[
    ("campaign.toml", include_str!("starter/campaign.toml")),
    ("access/single-lock.toml", include_str!("starter/access/single-lock.toml")),
];

/// Writes the starter into a new folder.
pub fn new(folder: &Path) -> Exit {
    if folder.exists() {
        eprintln!("error: {} is there already; name a new folder", folder.display());
        return Exit::Usage;
    }
    if let Err((path, e)) = write(folder) {
        eprintln!("error: cannot write {path}: {e}");
        return Exit::Files;
    }
    let file = folder.join("campaign.toml").display().to_string();
    let shown = quoted(&file);
    say(&format!("wrote {file}\nnext: vestibule check {shown}\nthen: vestibule run {shown}\n"))
}

/// Writes beside the target and renames, so that nothing half-written is left.
fn write(folder: &Path) -> Result<(), (String, std::io::Error)> {
    let parent = folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let at = |p: &Path| {
        let p = p.display().to_string();
        move |e| (p.clone(), e)
    };
    fs::create_dir_all(parent).map_err(at(parent))?;
    let draft =
        tempfile::Builder::new().prefix(".starter-").tempdir_in(parent).map_err(at(parent))?;
    for (name, text) in STARTER {
        let path = draft.path().join(name);
        if let Some(p) = path.parent() {
            fs::create_dir_all(p).map_err(at(&path))?;
        }
        fs::write(&path, text).map_err(at(&path))?;
    }
    fs::rename(draft.path(), folder).map_err(at(folder))
}
