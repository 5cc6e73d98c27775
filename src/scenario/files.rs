//! Reads the campaign file and everything it includes. The only place that opens files.
//!
//! A campaign may come from somebody else, so an include never leaves two folders: that of the
//! campaign file and the catalogue. The catalogue is the nearest folder named `catalogue` in the
//! campaign's folder or any folder above it.

use super::context::Context;
use super::finding::{Finding, Rule};
use super::rules;
use super::spec::{At, Place, Sources, Spot};
use super::tree::{self, Entry, Node, Value};
use std::path::{Component, Path, PathBuf};

/// How an include of the catalogue begins.
const CATALOGUE: &str = "catalogue";

/// What was read from one file.
#[derive(Clone, Debug)]
pub(super) struct File {
    /// Stem of its name: the name of the access system, if it is one.
    pub stem: String,
    /// The file as a whole.
    pub at: At,
    /// Its tree.
    pub root: Node,
}

/// All files of a campaign, in reading order, with the text they were read from.
pub(super) struct Files {
    /// The campaign file first.
    pub files: Vec<File>,
    /// Text of all files in reading order, for the fingerprint.
    pub text: String,
}

/// Reads `path` and everything it includes, each file once.
pub(super) fn load(ctx: &Context, path: &Path, sources: &mut Sources) -> Files {
    let mut loader = Loader::new(ctx, sources);
    // The first place is the campaign file itself, whatever becomes of it.
    loader.sources.add_file(&path.display().to_string());
    let at = loader.sources.add(Place::default());
    loader.first(path, at);
    loader.read
}

/// Reads the base campaign of a sweep file, which names it from its folder, and the files that the
/// sweep file adds, as if the base included them.
pub(super) fn load_base(
    ctx: &Context,
    (folder, base): (&Path, &Spot<String>),
    more: &[Spot<String>],
    sources: &mut Sources,
) -> Files {
    let mut loader = Loader::new(ctx, sources);
    // Known as the sweep file names it: from where that was opened is no part of the input.
    loader.sources.add_file(&base.it);
    loader.first(&folder.join(&base.it), base.at);
    more.iter().for_each(|file| loader.include_text(&file.it, file.at));
    loader.read
}

/// The text of a file, or why it cannot be read.
pub(super) fn text(path: &Path) -> Result<String, String> {
    whole(path, path)
}

/// Largest file that is read, bytes: the largest campaign shipped has a hundredth of it.
const LARGEST: u64 = 8 << 20;

/// The text of the file at `path`, known to the user as `name`, or why it cannot be read. Only a plain
/// file is opened: a device or a pipe may never end.
fn whole(path: &Path, name: &Path) -> Result<String, String> {
    let refused = |error: &dyn std::fmt::Display| unreadable(name, error);
    let found = std::fs::metadata(path).map_err(|error| refused(&error))?;
    if !found.is_file() {
        return Err(refused(&"it is not a plain file"));
    }
    if found.len() > LARGEST {
        let [size, most] = [found.len(), LARGEST].map(|bytes| bytes >> 20);
        return Err(refused(&format!("it has {size} MB, and at most {most} MB are read")));
    }
    let bytes = std::fs::read(path).map_err(|error| refused(&error))?;
    String::from_utf8(bytes).map_err(|error| refused(&error.utf8_error()))
}

/// The catalogue folder for a campaign in `folder`, links resolved.
fn catalogue_of(folder: &Path) -> Option<PathBuf> {
    folder
        .ancestors()
        .map(|f| f.join(CATALOGUE))
        .find(|f| f.is_dir())
        .and_then(|f| f.canonicalize().ok())
}

fn unreadable(path: &Path, error: &dyn std::fmt::Display) -> String {
    format!("{} cannot be read: {error}", path.display())
}

struct Loader<'a> {
    ctx: &'a Context,
    sources: &'a mut Sources,
    folder: Option<PathBuf>,
    catalogue: Option<PathBuf>,
    /// Files read, links resolved.
    done: Vec<PathBuf>,
    /// Files whose includes are being read, outermost first.
    open: Vec<PathBuf>,
    read: Files,
}

impl<'a> Loader<'a> {
    fn new(ctx: &'a Context, sources: &'a mut Sources) -> Self {
        Loader {
            ctx,
            sources,
            folder: None,
            catalogue: None,
            done: Vec::new(),
            open: Vec::new(),
            read: Files { files: Vec::new(), text: String::new() },
        }
    }

    /// Reads the campaign file, whose folder bounds what it may include.
    fn first(&mut self, path: &Path, at: At) {
        match path.canonicalize() {
            Ok(real) => {
                let folder = real.parent().map(Path::to_path_buf);
                self.catalogue = folder.as_deref().and_then(catalogue_of);
                self.folder = folder;
                self.file(&real, at);
            }
            Err(error) => self.refuse(&rules::FILE_UNREADABLE, at, &unreadable(path, &error)),
        }
    }

    fn refuse(&self, rule: &Rule, at: At, what: &str) {
        self.ctx.report(Finding::new(rule, at, what));
    }

    /// Reads the file at `real`, known to the user as the last name of `sources.files`, then what
    /// it includes. `at` is where a failure is reported.
    fn file(&mut self, real: &Path, at: At) {
        let name = PathBuf::from(self.sources.files.last().map_or("", String::as_str));
        let text = match whole(real, &name) {
            Ok(text) => text,
            Err(why) => return self.refuse(&rules::FILE_UNREADABLE, at, &why),
        };
        let Ok(number) = u16::try_from(self.sources.files.len() - 1) else {
            return self.refuse(&rules::FILE_UNREADABLE, at, "there are too many files");
        };
        self.done.push(real.to_path_buf());
        self.read.text.push_str(&text);
        let mut root = match tree::parse(&text, number, self.sources) {
            Ok(root) => root,
            Err(findings) => return findings.into_iter().for_each(|f| self.ctx.report(f)),
        };
        // The campaign file is one even where it wrongly holds parts of an access system.
        let includes = match !self.read.files.is_empty() && is_access(&root) {
            true => Vec::new(),
            false => take_includes(&mut root),
        };
        let stem =
            real.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        self.read.files.push(File { stem, at: root.at, root });
        self.open.push(real.to_path_buf());
        for include in includes {
            self.include(&include.node);
        }
        self.open.pop();
    }

    /// Reads the files that an `include` names.
    fn include(&mut self, node: &Node) {
        match &node.value {
            Value::List(items) => items.iter().for_each(|item| self.include_one(item)),
            _ => self.include_one(node),
        }
    }

    fn include_one(&mut self, node: &Node) {
        if let Some(written) = self.ctx.text(node) {
            self.include_text(&written, node.at);
        }
    }

    fn include_text(&mut self, written: &str, at: At) {
        let Some((root, path)) = self.resolve(written, at) else {
            return;
        };
        let real = match path.canonicalize() {
            Ok(real) => real,
            Err(error) => {
                let what = unreadable(Path::new(written), &error);
                return self.refuse(&rules::FILE_UNREADABLE, at, &what);
            }
        };
        // A link inside the folder may point out of it: judge where it leads.
        if !real.starts_with(&root) {
            let what = format!("\"{written}\" leads out of its folder through a link");
            return self.refuse(&rules::INCLUDE_OUTSIDE, at, &what);
        }
        if !real.is_file() {
            let what = unreadable(Path::new(written), &"it is not a file");
            return self.refuse(&rules::FILE_UNREADABLE, at, &what);
        }
        if self.open.contains(&real) {
            let what = format!("\"{written}\" includes itself");
            return self.refuse(&rules::INCLUDE_CYCLE, at, &what);
        }
        // Two files may ask for the same third one; it is read once.
        if self.done.contains(&real) {
            return;
        }
        if self.sources.add_file(written).is_none() {
            return self.refuse(&rules::FILE_UNREADABLE, at, "there are too many files");
        }
        self.file(&real, at);
    }

    /// Folder that must hold the file, and the file; reports a path that cannot stay inside.
    fn resolve(&self, written: &str, at: At) -> Option<(PathBuf, PathBuf)> {
        let path = Path::new(written);
        let plain = |c: Component| matches!(c, Component::Normal(_) | Component::CurDir);
        // A backslash is a separator on some systems and part of a name on others.
        if written.contains('\\') || !path.components().all(plain) {
            let what = format!("\"{written}\" is not a relative path that stays in its folder");
            self.refuse(&rules::INCLUDE_OUTSIDE, at, &what);
            return None;
        }
        let folder = self.folder.clone()?;
        if let Ok(rest) = path.strip_prefix(CATALOGUE) {
            let Some(catalogue) = &self.catalogue else {
                let what = "there is no folder `catalogue` beside the campaign or above it";
                self.refuse(&rules::FILE_UNREADABLE, at, what);
                return None;
            };
            return Some((catalogue.clone(), catalogue.join(rest)));
        }
        let path = folder.join(path);
        Some((folder, path))
    }
}

/// Takes `include` out of a file, so that no section sees it. (An access file keeps it: there it is
/// an unknown key.)
fn take_includes(root: &mut Node) -> Vec<Entry> {
    let Value::Table(entries) = &mut root.value else {
        return Vec::new();
    };
    entries.extract_if(.., |e| e.key == "include").collect()
}

/// Sections of an access file that no other file has. (`law` can stand in either.)
const ACCESS_SECTIONS: &[&str] = &["volume", "opening", "pump", "stage", "list"];

/// Is it an access file?
pub(super) fn is_access(root: &Node) -> bool {
    ACCESS_SECTIONS.iter().any(|key| root.get(key).is_some())
}
