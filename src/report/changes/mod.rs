//! What changed between two results folders: inputs, measures, verdicts, sentences; and which of it
//! is more than chance. Reads the files of both folders and nothing else.

mod keys;
mod moved;
mod pairs;
mod section;
mod text;
mod verdicts;

use super::book::{Book, PageError};
use super::manifest::Manifest;
use moved::Moved;
use pairs::Pairs;
use serde::Serialize;
use std::path::Path;
use thiserror::Error;
use verdicts::{Said, Turned};

pub(super) use section::section;

/// With no change at all, so often even one of all comparisons is called beyond chance.
const FALSE_ALARM: f64 = 0.05;

/// Two folders cannot be compared.
#[derive(Debug, Error)]
pub enum ChangesError {
    /// A folder cannot be read.
    #[error(transparent)]
    Page(#[from] PageError),
    /// They have nothing in common.
    #[error(
        "{old} and {new} have no architecture in common; name two results of the same campaign"
    )]
    Apart {
        /// The folder before.
        old: String,
        /// The folder after.
        new: String,
    },
    /// A folder holds a sweep.
    #[error("{folder} holds a sweep; only results of single campaign files can be compared")]
    Sweep {
        /// Which.
        folder: String,
    },
}

/// One of the two folders.
#[derive(Clone, Debug, Serialize)]
pub struct Side {
    /// Folder as named.
    pub folder: String,
    /// Version of the program.
    pub version: String,
    /// Scheme of random numbers.
    pub luck: String,
    /// Seed.
    pub seed: String,
    /// Campaigns.
    pub campaigns: u64,
    /// Campaigns of each parameter set, with an outer loop.
    pub inner: Option<u64>,
    /// Fingerprint of all input files.
    pub fingerprint: String,
}

/// A number of the files with its standing that is not as it was.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// file
    pub file: String,
    /// path of the entry
    pub key_path: String,
    /// as it was; empty: not there
    pub old: String,
    /// as it is; empty: not there
    pub new: String,
}

/// Everything that changed.
#[derive(Clone, Debug, Serialize)]
pub struct Changes {
    /// before
    pub old: Side,
    /// after
    pub new: Side,
    /// what of both manifests differs, in words; empty: nothing
    pub differs: Vec<String>,
    /// entries of assumptions.csv that differ
    pub inputs: Vec<Input>,
    /// architectures that only the folder before has
    pub only_old: Vec<String>,
    /// architectures that only the folder after has
    pub only_new: Vec<String>,
    /// were campaigns compared one by one, on common random numbers?
    pub paired: bool,
    /// how it was compared, in a sentence, and why so
    pub test: String,
    /// chance of even one false alarm over all comparisons
    pub false_alarm_rate: f64,
    /// every measure of every architecture that both have
    pub measures: Vec<Moved>,
    /// verdicts on limits, and who is not beaten, that turned
    pub verdicts: Vec<Turned>,
    /// sentences that read differently
    pub sentences: Vec<Said>,
}

/// Compares two folders.
///
/// # Errors
/// When one cannot be read, holds a sweep, or they have no architecture in common.
pub fn changes(old: &Path, new: &Path) -> Result<Changes, ChangesError> {
    let books = [Book::read(old)?, Book::read(new)?];
    let folders = [old, new].map(|p| p.display().to_string());
    for (book, folder) in books.iter().zip(&folders) {
        if book.manifest.sweep.is_some() {
            return Err(ChangesError::Sweep { folder: folder.clone() });
        }
    }
    let [before, after] = &books;
    let common = |a: &&String| after.arms().contains(a);
    if before.arms().iter().find(common).is_none() {
        let [old, new] = folders;
        return Err(ChangesError::Apart { old, new });
    }
    let (pairs, why) = pairs::read([old, new], &books)?;
    let measures = moved::moved(&books, pairs.as_ref());
    let verdicts = verdicts::turned(&books, &measures);
    let only = |from: &Book, other: &Book| {
        from.arms().iter().filter(|a| !other.arms().contains(a)).cloned().collect()
    };
    Ok(Changes {
        differs: differs(&before.manifest, &after.manifest),
        inputs: inputs(before, after),
        only_old: only(before, after),
        only_new: only(after, before),
        paired: pairs.is_some(),
        test: test(pairs.as_ref(), &why, measures.len()),
        false_alarm_rate: FALSE_ALARM,
        measures,
        verdicts,
        sentences: verdicts::said(&books),
        old: side(&folders[0], &before.manifest),
        new: side(&folders[1], &after.manifest),
    })
}

fn side(folder: &str, m: &Manifest) -> Side {
    Side {
        folder: folder.into(),
        version: m.version.clone(),
        luck: m.luck.clone(),
        seed: m.seed.clone(),
        campaigns: m.campaigns,
        inner: m.inner,
        fingerprint: m.fingerprint.clone(),
    }
}

/// What differs between two manifests, in words.
fn differs(old: &Manifest, new: &Manifest) -> Vec<String> {
    let mut out = Vec::new();
    let mut told = |what: &str, a: &str, b: &str| {
        if a != b {
            out.push(format!("{what}: {a} -> {b}"));
        }
    };
    told("input files (fingerprint)", &old.fingerprint, &new.fingerprint);
    told("seed", &old.seed, &new.seed);
    told("campaigns", &old.campaigns.to_string(), &new.campaigns.to_string());
    let inner = |m: &Manifest| m.inner.map_or("none".into(), |i| i.to_string());
    told("campaigns of a parameter set", &inner(old), &inner(new));
    told("version", &old.version, &new.version);
    told("scheme of random numbers", &old.luck, &new.luck);
    out
}

/// Entries with a standing that differ, in the order of the folder after.
fn inputs(old: &Book, new: &Book) -> Vec<Input> {
    let of = |book: &Book| -> Vec<(String, String, String)> {
        let rows = book.rows("assumptions.csv");
        let entry = |r: super::book::Row| {
            (r.text("file").into(), r.text("key_path").into(), r.text("value").into())
        };
        rows.map(entry).collect()
    };
    let (before, after) = (of(old), of(new));
    let input = |(file, key_path): (&String, &String), old: &str, new: &str| Input {
        file: file.clone(),
        key_path: key_path.clone(),
        old: old.into(),
        new: new.into(),
    };
    let mut out = Vec::new();
    for (file, path, value) in &after {
        let was = before.iter().find(|(f, p, _)| (f, p) == (file, path));
        match was {
            Some((.., old)) if old == value => {}
            was => out.push(input((file, path), was.map_or("", |w| &w.2), value)),
        }
    }
    for (file, path, value) in &before {
        if !after.iter().any(|(f, p, _)| (f, p) == (file, path)) {
            out.push(input((file, path), value, ""));
        }
    }
    out
}

/// How it was compared, why so, and how often that cries wolf.
fn test(pairs: Option<&Pairs>, why: &str, comparisons: usize) -> String {
    let how = match pairs {
        Some(p) if p.sets() => {
            "Parameter sets were compared one by one on common random numbers (paired Student t)"
        }
        Some(_) => {
            "Campaigns were compared one by one on common random numbers (paired Student t; of \
             flags the exact test of those that differ)"
        }
        None => {
            "Both runs were taken as independent (Welch's t from their intervals; of flags \
             Fisher's exact test)"
        }
    };
    format!(
        "{how}{why}. {comparisons} comparisons were made together (Holm): if nothing had \
        changed, any of them would be called more than chance in at most {} % of such \
        comparisons. A change called no more than chance may still be real, but smaller than its \
        interval.",
        100.0 * FALSE_ALARM
    )
}
