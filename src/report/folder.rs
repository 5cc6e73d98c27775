//! Result files appear whole or not at all: they are written into a temporary folder beside the
//! results folder and moved into place one by one when all are there.

use super::files::by_name;
use super::parquet::{self, COLUMNAR, ColumnarError};
use super::table::Table;
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
}

/// Where results of an earlier run wait, in the temporary folder, until all new ones are in place.
const BEFORE: &str = "before";

/// Result files in the making. Dropped without [`Draft::publish`] it leaves nothing behind.
#[derive(Debug)]
pub struct Draft {
    target: PathBuf,
    made_target: bool,
    folder: TempDir,
    names: Vec<String>,
}

impl Draft {
    /// Begins a set of result files for the folder `target`, which is made if it is not there.
    ///
    /// # Errors
    /// When the folder cannot be made or written to.
    pub fn begin(target: &Path) -> Result<Draft, WriteError> {
        let at = |source| WriteError::File { path: target.to_path_buf(), source };
        let made_target = !target.exists();
        fs::create_dir_all(target).map_err(at)?;
        let folder = tempfile::Builder::new().prefix(".draft-").tempdir_in(target).map_err(at)?;
        Ok(Draft { target: target.to_path_buf(), made_target, folder, names: Vec::new() })
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

    /// Moves all files into place, and takes away those of `optional` that this set does not have: left
    /// from an earlier run they would be taken for results of this one.
    ///
    /// # Errors
    /// When one cannot be moved or taken away; the folder is then as it was.
    pub fn publish(mut self, optional: &[&str]) -> Result<(), WriteError> {
        // A folder in the way of any file is found before the first is moved.
        if let Some(name) = self.names.iter().find(|n| self.target.join(n).is_dir()) {
            let path = self.target.join(name);
            let source = std::io::Error::other("a folder of that name is in the way");
            return Err(WriteError::File { path, source });
        }
        let before = self.folder.path().join(BEFORE);
        fs::create_dir(&before)
            .map_err(|source| WriteError::File { path: before.clone(), source })?;
        let mut moves = Vec::new();
        let stale = optional.iter().filter(|name| !self.names.iter().any(|n| n == *name));
        let old = self.names.iter().map(String::as_str).chain(stale.copied());
        for name in old.filter(|name| self.target.join(name).is_file()) {
            moves.push((self.target.join(name), before.join(name)));
        }
        for name in &self.names {
            moves.push((self.folder.path().join(name), self.target.join(name)));
        }
        move_all(&moves)?;
        self.made_target = false;
        Ok(())
    }
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

impl Drop for Draft {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(self.folder.path());
        if self.made_target {
            // Only if nothing else has been put there.
            let _ = fs::remove_dir(&self.target);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<_> =
            entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_draft_that_is_dropped_leaves_nothing() {
        let home = tempfile::tempdir().unwrap();
        let target = home.path().join("results");
        let mut draft = Draft::begin(&target).unwrap();
        draft.text("a.csv", "a\n").unwrap();
        assert!(!target.join("a.csv").exists());
        drop(draft);
        assert!(names(home.path()).is_empty());
    }

    #[test]
    fn a_draft_that_is_dropped_leaves_what_was_there() {
        let home = tempfile::tempdir().unwrap();
        fs::write(home.path().join("a.csv"), "old\n").unwrap();
        let mut draft = Draft::begin(home.path()).unwrap();
        draft.text("a.csv", "new\n").unwrap();
        drop(draft);
        assert_eq!(names(home.path()), ["a.csv"]);
        assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
    }

    #[test]
    fn a_folder_in_the_way_is_found_before_anything_is_moved() {
        let home = tempfile::tempdir().unwrap();
        fs::write(home.path().join("a.csv"), "old\n").unwrap();
        fs::create_dir(home.path().join("b.csv")).unwrap();
        let mut draft = Draft::begin(home.path()).unwrap();
        draft.text("a.csv", "new\n").unwrap();
        draft.text("b.csv", "new\n").unwrap();
        assert!(draft.publish(&[]).unwrap_err().to_string().contains("in the way"));
        assert_eq!(names(home.path()), ["a.csv", "b.csv"]);
        assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
    }

    #[test]
    fn a_move_that_fails_half_way_leaves_what_was_there() {
        let home = tempfile::tempdir().unwrap();
        for name in ["a.csv", "stale.csv"] {
            fs::write(home.path().join(name), "old\n").unwrap();
        }
        let mut draft = Draft::begin(home.path()).unwrap();
        draft.text("a.csv", "new\n").unwrap();
        draft.text("b.csv", "new\n").unwrap();
        fs::remove_file(draft.folder.path().join("b.csv")).unwrap();
        draft.publish(&["stale.csv"]).unwrap_err();
        assert_eq!(names(home.path()), ["a.csv", "stale.csv"]);
        assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "old\n");
    }

    #[test]
    fn publishing_replaces_and_takes_stale_results_away() {
        let home = tempfile::tempdir().unwrap();
        for name in ["a.csv", "b.csv", "notes.txt"] {
            fs::write(home.path().join(name), "old\n").unwrap();
        }
        let mut draft = Draft::begin(home.path()).unwrap();
        draft.text("a.csv", "new\n").unwrap();
        draft.publish(&["a.csv", "b.csv"]).unwrap();
        assert_eq!(names(home.path()), ["a.csv", "notes.txt"]);
        assert_eq!(fs::read_to_string(home.path().join("a.csv")).unwrap(), "new\n");
    }
}
