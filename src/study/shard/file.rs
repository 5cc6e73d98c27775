//! The shard file: written under a temporary name, renamed when whole; read only when whole.
//!
//! ```text
//! "vestibule shard\n"  schema u32
//! header  number of points u64, each: point u64, length u64, what it left as a zlib stream
//! length of the file u64  SHA-256 of everything before it
//! ```
//!
//! Little-endian; see [`crate::stats::wire`] for how values are written and why the format is our own.
//! SHA-256 (crate `sha2`) and no short sum: a file that was copied by hand or cut by a full disc must
//! never pass for a whole one, and equal sums stand for equal files. What a point left is mostly zeros and
//! like numbers, so it is packed (crate `flate2`) to some tenth; how well may differ between processors, so
//! two shards are compared by what they hold.

use super::SCHEMA;
use super::header::Header;
use super::share::Share;
use crate::stats::{Reader, Wire, WireError};
use flate2::Compression;
use flate2::read::{ZlibDecoder, ZlibEncoder};
use sha2::{Digest, Sha256};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use thiserror::Error;

const MAGIC: &[u8; 16] = b"vestibule shard\n";
/// Length and checksum.
const TRAILER: usize = 8 + 32;

/// Why a shard cannot be used.
#[derive(Debug, Error)]
pub enum ShardError {
    /// It cannot be read.
    #[error("cannot read {path}: {source}")]
    Read {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// It cannot be written.
    #[error("cannot write {path}: {source}; name another folder with --out")]
    Write {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// Some other file.
    #[error("{path} is no shard")]
    Other {
        /// Which.
        path: PathBuf,
    },
    /// Of another version.
    #[error("{path} is a shard of schema {found}, and this program reads {SCHEMA}")]
    Schema {
        /// Which.
        path: PathBuf,
        /// Its schema.
        found: u32,
    },
    /// Cut short or altered.
    #[error("{path} is not whole ({why}); play that shard again")]
    Damaged {
        /// Which.
        path: PathBuf,
        /// What gives it away.
        why: String,
    },
}

/// What a point left, packed.
#[derive(Clone, Debug)]
pub struct Packed(Vec<u8>);

impl Packed {
    /// Packs it.
    pub fn new(bytes: &[u8]) -> Packed {
        let mut out = Vec::new();
        // Reading from memory into memory cannot fail.
        let packed = ZlibEncoder::new(bytes, Compression::fast()).read_to_end(&mut out);
        packed.unwrap_or_else(|e| unreachable!("{e}"));
        Packed(out)
    }

    /// As it was.
    ///
    /// # Errors
    /// [`WireError`] if it cannot be unpacked.
    pub fn open(&self) -> Result<Vec<u8>, WireError> {
        let mut out = Vec::new();
        match ZlibDecoder::new(self.0.as_slice()).read_to_end(&mut out) {
            Ok(_) => Ok(out),
            Err(_) => Err(WireError::Wrong("what a point left cannot be unpacked")),
        }
    }
}

/// A shard file that was read and is whole.
#[derive(Clone, Debug)]
pub struct Content {
    /// What it says of itself.
    pub header: Header,
    /// By point: what it left ([`super::PointPart`] of a run, [`crate::stats::Part`] of a sweep).
    pub points: Vec<(u64, Packed)>,
    /// Checksum of all but where the input file lay: equal for shards that are the same.
    pub sum: [u8; 32],
}

/// Name of the file of a shard.
pub fn name(share: Share) -> String {
    let width = share.n.to_string().len();
    format!("{:0width$}-of-{}.shard", share.k, share.n)
}

/// Checksum of what a shard says and holds.
fn sum(header: &Header, points: &[(u64, Packed)]) -> Result<[u8; 32], WireError> {
    let mut bytes = Vec::new();
    Header { origin: String::new(), ..header.clone() }.put(&mut bytes);
    let mut hash = Sha256::new();
    hash.update(&bytes);
    for (point, packed) in points {
        let of = packed.open()?;
        hash.update(point.to_le_bytes());
        hash.update((of.len() as u64).to_le_bytes());
        hash.update(of);
    }
    Ok(hash.finalize().into())
}

fn bytes(header: &Header, points: &[(u64, Packed)]) -> Vec<u8> {
    let mut out = MAGIC.to_vec();
    SCHEMA.put(&mut out);
    header.put(&mut out);
    (points.len() as u64).put(&mut out);
    for (point, Packed(of)) in points {
        point.put(&mut out);
        (of.len() as u64).put(&mut out);
        out.extend_from_slice(of);
    }
    ((out.len() + TRAILER) as u64).put(&mut out);
    let sum = Sha256::digest(&out);
    out.extend_from_slice(&sum);
    out
}

/// Writes a shard as a whole: whoever looks sees all of it or nothing.
///
/// # Errors
/// [`ShardError::Write`].
pub fn write(path: &Path, header: &Header, points: &[(u64, Packed)]) -> Result<(), ShardError> {
    let at = |source| ShardError::Write { path: path.into(), source };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(at)?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(".shard-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other file: the mask of the user decides.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder).map_err(at)?;
    file.write_all(&bytes(header, points)).map_err(at)?;
    // On the disc before it has its name: a machine that goes down must not leave a name without a file.
    file.as_file().sync_all().map_err(at)?;
    file.persist(path).map_err(|e| at(e.error))?;
    Ok(())
}

/// Reads a shard and sees that it is whole.
///
/// # Errors
/// [`ShardError`].
pub fn read(path: &Path) -> Result<Content, ShardError> {
    let file =
        std::fs::read(path).map_err(|source| ShardError::Read { path: path.into(), source })?;
    let Some(rest) = file.strip_prefix(MAGIC) else {
        // A file that is cut within its first line is a damaged one.
        return Err(match MAGIC.starts_with(&file) {
            true => damaged(path, "it ends early"),
            false => ShardError::Other { path: path.into() },
        });
    };
    let found = u32::get(&mut Reader::new(rest)).map_err(|e| damaged(path, &e.to_string()))?;
    if found != SCHEMA {
        return Err(ShardError::Schema { path: path.into(), found });
    }
    let Some((inside, trailer)) = file.len().checked_sub(TRAILER).map(|at| file.split_at(at))
    else {
        return Err(damaged(path, "it ends early"));
    };
    let (length, sum) = trailer.split_at(8);
    if length != (file.len() as u64).to_le_bytes() {
        return Err(damaged(path, "its length is not the one it was written with"));
    }
    if Sha256::digest(&file[..inside.len() + 8])[..] != *sum {
        return Err(damaged(path, "its checksum is not the one it was written with"));
    }
    content(&inside[MAGIC.len() + 4..]).map_err(|e| damaged(path, &e.to_string()))
}

fn damaged(path: &Path, why: &str) -> ShardError {
    ShardError::Damaged { path: path.into(), why: why.into() }
}

fn content(inside: &[u8]) -> Result<Content, WireError> {
    let mut from = Reader::new(inside);
    let header = Header::get(&mut from)?;
    let mut points = Vec::new();
    for _ in 0..from.length()? {
        let point = u64::get(&mut from)?;
        let n = from.length()?;
        points.push((point, Packed(from.take(n)?.to_vec())));
    }
    from.end()?;
    let sum = sum(&header, &points)?;
    Ok(Content { header, points, sum })
}

/// Is this shard there already, whole?
///
/// # Errors
/// What lies at its place and is not it: another shard, one of another study, or none of ours.
pub fn is_done(path: &Path, own: &Header) -> Result<bool, String> {
    if !path.exists() {
        return Ok(false);
    }
    let found = match read(path) {
        Ok(found) => found.header,
        Err(ShardError::Damaged { .. }) => return Ok(false),
        Err(e) => return Err(format!("{e}; take it away or name another folder with --out")),
    };
    let what = match found.study.differs(&own.study).first() {
        Some((name, its, own)) => {
            format!("the shard of another study ({name} {its}, and this is {own})")
        }
        None if found.k == own.k => return Ok(true),
        None => format!("shard {} of this study", found.k),
    };
    let path = path.display();
    Err(format!("{path} is {what}; take it away or name another folder with --out"))
}
