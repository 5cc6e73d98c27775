//! One run at a time writes a folder.
//!
//! The lock is the system's, on a file beside the folder: it goes with the process that holds it, so
//! that a run that was killed blocks nobody. Its file is taken away when the folder is let go.

use super::WriteError;
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};

/// A lock that is held while it lives.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    /// `None` where the file system knows no locks.
    file: Option<File>,
}

impl Lock {
    /// Takes the lock file at `path` for the results folder `target`.
    pub(super) fn take(path: &Path, target: &Path) -> Result<Lock, WriteError> {
        let at = |source| WriteError::File { path: target.into(), source };
        loop {
            let mut options = File::options();
            let file = options.create(true).truncate(false).write(true).open(path).map_err(at)?;
            match file.try_lock() {
                Ok(()) if is_at(&file, path) => {
                    return Ok(Lock { path: path.into(), file: Some(file) });
                }
                // Whoever held it has taken the file away in between.
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    return Err(WriteError::Busy { path: target.into() });
                }
                // A file system without locks: two runs are then kept apart by their drafts alone.
                Err(TryLockError::Error(_)) => return Ok(Lock { path: path.into(), file: None }),
            }
        }
    }

    /// Is it a lock that others see?
    pub(super) fn holds(&self) -> bool {
        self.file.is_some()
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // While it is locked: nobody can have taken it in between.
        let _ = std::fs::remove_file(&self.path);
    }
}

/// Is the open file the one that stands at a path?
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let key = |m: std::fs::Metadata| (m.dev(), m.ino());
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(a), Ok(b)) => key(a) == key(b),
        _ => false,
    }
}

/// A file that is open cannot be taken away here.
#[cfg(not(unix))]
fn is_at(_: &File, _: &Path) -> bool {
    true
}
