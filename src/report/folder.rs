//! Result files appear whole or not at all.
//!
//! They are written into a folder beside the results folder, which takes its place in one step when
//! all are there: whoever looks, or kills the program, at any moment finds the old results or the new
//! ones ([`swap`]). Files of others that lie in the results folder come along. Where a folder cannot
//! change places (the folder that somebody stands in, a mount point, a file system that cannot do it)
//! files are moved one by one: the old manifest goes first and the new one comes last, so that a folder
//! without a manifest is one that was left half-way. A lock keeps a second run out ([`lock`]).

mod lock;
mod swap;

use super::files::by_name;
use super::parquet::{self, COLUMNAR, ColumnarError};
use super::table::Table;
use lock::Lock;
use std::fs;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use thiserror::Error;

/// A file could not be written.
#[derive(Debug, Error)]
pub enum WriteError {
    /// A file or folder of the results.
    #[error(
        "cannot write {path}: {source}; name another folder with --out, or make this one writable"
    )]
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// A table.
    #[error("cannot write {name}: {source}")]
    Table {
        /// Which.
        name: String,
        /// Why.
        #[source]
        source: csv::Error,
    },
    /// A table as Parquet.
    #[error("cannot write {name}: {source}")]
    Columnar {
        /// Which.
        name: String,
        /// Why.
        #[source]
        source: ColumnarError,
    },
    /// Somebody else is at it.
    #[error("another run is writing {path}; wait for it, or name another folder with --out")]
    Busy {
        /// The results folder.
        path: PathBuf,
    },
}

/// The file that says what the others are: last in, first out.
const MANIFEST: &str = "manifest.json";
/// Where results of an earlier run wait, in the temporary folder, until all new ones are in place.
const BEFORE: &str = "before";

/// Result files in the making. Dropped without [`Draft::publish`] it leaves nothing behind.
#[derive(Debug)]
pub struct Draft {
    /// The results folder as it was named.
    target: PathBuf,
    /// The same, links resolved.
    real: PathBuf,
    /// Files are moved one by one.
    one_by_one: bool,
    folder: TempDir,
    names: Vec<String>,
    /// Let go last.
    _lock: Lock,
}

impl Draft {
    /// Begins a set of result files for the folder `target`, which need not be there.
    ///
    /// # Errors
    /// When the folder cannot be made or written to, or another run is at it.
    pub fn begin(target: &Path) -> Result<Draft, WriteError> {
        let at = |source| WriteError::File { path: target.to_path_buf(), source };
        let real = resolved(target).map_err(at)?;
        let there = real.is_dir();
        if there && !swap::may_change_places(&real) {
            return Draft::inside(target, real);
        }
        match Draft::beside(target, &real) {
            Ok(draft) if !there || swap::same_file_system(draft.folder(), &real) => Ok(draft),
            // Its neighbourhood is closed to us or lies elsewhere: everything stays in the folder.
            Ok(_) | Err(WriteError::File { .. }) if there => Draft::inside(target, real),
            other => other,
        }
    }

    fn beside(target: &Path, real: &Path) -> Result<Draft, WriteError> {
        let wrong = || std::io::Error::other("a folder without a name");
        let at = |source| WriteError::File { path: target.to_path_buf(), source };
        let (Some(parent), Some(name)) = (real.parent(), real.file_name()) else {
            return Err(at(wrong()));
        };
        let name = name.to_string_lossy();
        let lock = Lock::take(&parent.join(format!(".{name}.lock")), target)?;
        Draft::new(target, real.into(), false, (parent, &format!(".{name}.draft-")), lock)
    }

    fn inside(target: &Path, real: PathBuf) -> Result<Draft, WriteError> {
        let lock = Lock::take(&real.join(".lock"), target)?;
        let parent = real.clone();
        Draft::new(target, real, true, (&parent, ".draft-"), lock)
    }

    fn new(
        target: &Path,
        real: PathBuf,
        one_by_one: bool,
        (parent, prefix): (&Path, &str),
        lock: Lock,
    ) -> Result<Draft, WriteError> {
        let at = |source| WriteError::File { path: target.to_path_buf(), source };
        if lock.holds() {
            swap::clear_left(parent, prefix);
        }
        let mut builder = tempfile::Builder::new();
        builder.prefix(prefix);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // It becomes the results folder: the mask of the user decides.
            builder.permissions(fs::Permissions::from_mode(0o777));
        }
        let folder = builder.tempdir_in(parent).map_err(at)?;
        let target = target.to_path_buf();
        Ok(Draft { target, real, one_by_one, folder, names: Vec::new(), _lock: lock })
    }

    /// A new file, buffered.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn file(&mut self, name: &str) -> Result<BufWriter<fs::File>, WriteError> {
        let path = self.folder.path().join(name);
        let file = fs::File::create(&path).map_err(|source| WriteError::File { path, source })?;
        self.names.push(name.into());
        Ok(BufWriter::with_capacity(1 << 18, file))
    }

    /// A table as CSV.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn table(&mut self, name: &str, table: &Table) -> Result<(), WriteError> {
        let out = self.file(name)?;
        table.write(out).map_err(|source| WriteError::Table { name: name.into(), source })
    }

    /// The long tables of this set as Parquet too, made from their finished CSV files.
    ///
    /// # Errors
    /// When one cannot be read or written.
    pub fn columnar(&mut self) -> Result<(), WriteError> {
        for (csv, name) in COLUMNAR.iter().filter(|(csv, _)| self.has(csv)).collect::<Vec<_>>() {
            let Some(table) = by_name(csv) else { continue };
            let path = self.folder().join(csv);
            let file = fs::File::open(&path).map_err(|source| WriteError::File { path, source })?;
            let out = self.file(name)?;
            let made = parquet::columnar(table, std::io::BufReader::new(file), out);
            made.map_err(|source| WriteError::Columnar { name: (*name).into(), source })?;
        }
        Ok(())
    }

    /// A text file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn text(&mut self, name: &str, text: &str) -> Result<(), WriteError> {
        self.bytes(name, text.as_bytes())
    }

    /// A file of bytes.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn bytes(&mut self, name: &str, bytes: &[u8]) -> Result<(), WriteError> {
        let mut out = self.file(name)?;
        let path = self.target.join(name);
        out.write_all(bytes)
            .and_then(|()| out.flush())
            .map_err(|source| WriteError::File { path, source })
    }

    /// Is there such a file?
    pub fn has(&self, name: &str) -> bool {
        self.names.iter().any(|n| n == name)
    }

    /// Where the files stand until they are published.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Puts all files into place, and takes away those of `optional` that this set does not have: left
    /// from an earlier run they would be taken for results of this one.
    ///
    /// # Errors
    /// When that cannot be done; the folder is then as it was.
    pub fn publish(self, optional: &[&str]) -> Result<(), WriteError> {
        let file = |path: PathBuf, source| WriteError::File { path, source };
        for name in &self.names {
            // A folder in the way of any file, or a file that is lost, is found before the first is moved.
            let (from, to) = (self.folder.path().join(name), self.real.join(name));
            fs::metadata(&from).map_err(|e| file(from, e))?;
            if to.is_dir() {
                let source = std::io::Error::other("a folder of that name is in the way");
                return Err(file(self.target.join(name), source));
            }
        }
        if !self.real.exists() {
            return match fs::rename(self.folder.path(), &self.real) {
                Ok(()) => Ok(()),
                Err(e) => Err(file(self.target.clone(), e)),
            };
        }
        let ours = |name: &str| self.names.iter().any(|n| n == name) || optional.contains(&name);
        if !self.one_by_one && swap::change_places(self.folder.path(), &self.real, ours) {
            return Ok(());
        }
        self.move_in(optional)
    }

    /// Moves files one by one.
    fn move_in(&self, optional: &[&str]) -> Result<(), WriteError> {
        let before = self.folder.path().join(BEFORE);
        fs::create_dir(&before)
            .map_err(|source| WriteError::File { path: before.clone(), source })?;
        let mut new: Vec<&str> = self.names.iter().map(String::as_str).collect();
        new.sort_by_key(|name| *name == MANIFEST);
        let stale = optional.iter().copied().filter(|name| !new.contains(name));
        let mut old: Vec<&str> = new.iter().copied().chain(stale).collect();
        old.sort_by_key(|name| *name != MANIFEST);
        old.retain(|name| self.real.join(name).is_file());
        // Without a manifest of its own a set leaves the folder with the one it had.
        let mut moves: Vec<(PathBuf, PathBuf)> =
            old.iter().map(|name| (self.real.join(name), before.join(name))).collect();
        moves.extend(new.iter().map(|name| (self.folder.path().join(name), self.real.join(name))));
        move_all(&moves)
    }
}

/// The folder with links resolved; its parent is made if it is not there.
fn resolved(target: &Path) -> std::io::Result<PathBuf> {
    if target.exists() {
        let real = target.canonicalize()?;
        return match real.is_dir() {
            true => Ok(real),
            false => Err(std::io::Error::other("it is a file")),
        };
    }
    let parent = target.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(parent)?;
    let name = target.file_name().ok_or_else(|| std::io::Error::other("it has no name"))?;
    Ok(parent.canonicalize()?.join(name))
}

/// Moves files one by one; if one cannot be moved, those before it go back to where they were.
fn move_all(moves: &[(PathBuf, PathBuf)]) -> Result<(), WriteError> {
    for (i, (from, to)) in moves.iter().enumerate() {
        if let Err(source) = fs::rename(from, to) {
            for (from, to) in moves[..i].iter().rev() {
                let _ = fs::rename(to, from);
            }
            return Err(WriteError::File { path: to.clone(), source });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
