//! Result files appear whole or not at all: they are written into a temporary folder beside the
//! results folder and moved into place one by one when all are there.

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
}

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

    /// A text file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn text(&mut self, name: &str, text: &str) -> Result<(), WriteError> {
        let mut out = self.file(name)?;
        let path = self.target.join(name);
        out.write_all(text.as_bytes())
            .and_then(|()| out.flush())
            .map_err(|source| WriteError::File { path, source })
    }

    /// Moves all files into place.
    ///
    /// # Errors
    /// When one cannot be moved.
    pub fn publish(mut self) -> Result<(), WriteError> {
        // A folder in the way of any file is found before the first is moved.
        if let Some(name) = self.names.iter().find(|n| self.target.join(n).is_dir()) {
            let path = self.target.join(name);
            let source = std::io::Error::other("a folder of that name is in the way");
            return Err(WriteError::File { path, source });
        }
        for name in &self.names {
            let path = self.target.join(name);
            fs::rename(self.folder.path().join(name), &path)
                .map_err(|source| WriteError::File { path, source })?;
        }
        self.made_target = false;
        Ok(())
    }
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
