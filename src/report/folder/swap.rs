//! Two folders change places in one step.

use std::fs;
use std::path::Path;

/// Can a folder be replaced by another one without anybody falling into the hole? Whoever stands in it
/// would stay in the old one.
pub(super) fn may_change_places(real: &Path) -> bool {
    let here = std::env::current_dir().and_then(|d| d.canonicalize());
    here.is_ok_and(|here| !here.starts_with(real))
}

/// Can files be moved from one folder to the other?
pub(super) fn same_file_system(draft: &Path, real: &Path) -> bool {
    let (from, to) = (draft.join(".probe"), real.join(".probe"));
    let moved = fs::write(&from, "").and_then(|()| fs::rename(&from, &to)).is_ok();
    let _ = fs::remove_file(if moved { &to } else { &from });
    moved
}

/// Takes away drafts that a killed run has left.
pub(super) fn clear_left(parent: &Path, prefix: &str) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        if entry.file_name().to_string_lossy().starts_with(prefix) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Puts a draft in the place of the folder that is there; what is not `ours` comes along. False if
/// that cannot be done; then everything is as it was. Afterwards the draft holds the old folder.
pub(super) fn change_places(draft: &Path, real: &Path, ours: impl Fn(&str) -> bool) -> bool {
    let Ok(kept) = take_along(real, draft, &ours) else { return false };
    let rights = fs::metadata(real).and_then(|m| fs::set_permissions(draft, m.permissions()));
    if rights.is_err() || exchange(draft, real).is_err() {
        return false;
    }
    // Whatever somebody has put into the old folder in the meantime.
    for entry in fs::read_dir(draft).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let text = name.to_string_lossy();
        let to = real.join(&name);
        if !ours(&text) && !kept.contains(&name) && !to.exists() {
            let _ = fs::rename(entry.path(), to);
        }
    }
    true
}

/// Links what is not `ours` from one folder into another; gives its names.
fn take_along(
    from: &Path,
    to: &Path,
    ours: &impl Fn(&str) -> bool,
) -> std::io::Result<Vec<std::ffi::OsString>> {
    let mut kept = Vec::new();
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let name = entry.file_name();
        if !ours(&name.to_string_lossy()) {
            link(&entry.path(), &to.join(&name))?;
            kept.push(name);
        }
    }
    Ok(kept)
}

/// The same file, link or folder under a second path.
fn link(from: &Path, to: &Path) -> std::io::Result<()> {
    let meta = fs::symlink_metadata(from)?;
    if !meta.is_dir() {
        return fs::hard_link(from, to);
    }
    fs::create_dir(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        link(&entry.path(), &to.join(entry.file_name()))?;
    }
    fs::set_permissions(to, meta.permissions())
}

#[cfg(target_os = "linux")]
fn exchange(a: &Path, b: &Path) -> std::io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE)?)
}

#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> std::io::Result<()> {
    Err(std::io::ErrorKind::Unsupported.into())
}
