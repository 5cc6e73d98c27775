//! Shards that are offered for a merge: which belong together, which are damaged or of another study,
//! which are missing.

use super::file::{Content, ShardError};
use super::header::{Header, Study};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One file that was read.
#[derive(Debug)]
struct Shard {
    path: PathBuf,
    header: Header,
    sum: [u8; 32],
}

/// Every file that was named.
#[derive(Debug, Default)]
pub struct Offered {
    shards: Vec<Shard>,
    faults: Vec<String>,
}

/// What the files come to.
#[derive(Debug)]
pub struct Accepted {
    /// The study that most of them belong to.
    pub study: Study,
    /// Where the input file of the first lay.
    pub origin: String,
    /// Files by number of the shard, one each.
    pub paths: BTreeMap<u64, PathBuf>,
    /// Shards that no file holds.
    pub missing: Vec<u64>,
    /// Everything that is wrong, one line each.
    pub faults: Vec<String>,
}

impl Offered {
    /// Takes in a file that was read.
    pub fn add(&mut self, path: &Path, read: Result<Content, ShardError>) {
        match read {
            Ok(Content { header, sum, .. }) if header.share().is_some() => {
                self.shards.push(Shard { path: path.into(), header, sum });
            }
            Ok(_) => self.faults.push(format!("{} has other units than its share", path.display())),
            Err(e) => self.faults.push(e.to_string()),
        }
    }

    /// The study that most files belong to (of two with as many, the one named first), whose shards they
    /// are, and what is wrong with the rest.
    ///
    /// # Errors
    /// What is wrong with the files, if none is a whole shard.
    pub fn accept(mut self) -> Result<Accepted, Vec<String>> {
        let mut first: Option<(usize, &Shard)> = None;
        for shard in &self.shards {
            let same = |other: &&Shard| other.header.study == shard.header.study;
            let n = self.shards.iter().filter(same).count();
            if first.is_none_or(|(most, _)| n > most) {
                first = Some((n, shard));
            }
        }
        let Some((_, chosen)) = first else { return Err(self.faults) };
        let (study, origin) = (chosen.header.study.clone(), chosen.header.origin.clone());
        let named = chosen.path.display().to_string();
        let mut kept: BTreeMap<u64, &Shard> = BTreeMap::new();
        for shard in &self.shards {
            let path = shard.path.display();
            let differs = shard.header.study.differs(&study);
            if !differs.is_empty() {
                let word = |(name, its, own): (&str, String, String)| {
                    format!("{name} {its}, and {named} has {own}")
                };
                let words: Vec<String> = differs.into_iter().map(word).collect();
                self.faults.push(format!("{path} is of another study: {}", words.join("; ")));
            } else if let Some(other) = kept.get(&shard.header.k) {
                if other.sum != shard.sum {
                    let other = other.path.display();
                    self.faults.push(format!(
                        "{path} and {other} are both shard {}, and differ",
                        shard.header.k
                    ));
                }
            } else {
                kept.insert(shard.header.k, shard);
            }
        }
        let missing = (0..study.shards).filter(|k| !kept.contains_key(k)).collect();
        let paths = kept.into_iter().map(|(k, s)| (k, s.path.clone())).collect();
        Ok(Accepted { study, origin, paths, missing, faults: self.faults })
    }
}

/// Numbers as job schedulers take them for an array: `0-3,7`.
pub fn array(numbers: &[u64]) -> String {
    let mut runs: Vec<(u64, u64)> = Vec::new();
    for n in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *n => *last = *n,
            _ => runs.push((*n, *n)),
        }
    }
    let run = |(a, b): &(u64, u64)| if a == b { a.to_string() } else { format!("{a}-{b}") };
    runs.iter().map(run).collect::<Vec<_>>().join(",")
}

#[cfg(test)]
mod tests {
    use super::super::{Kind, Share};
    use super::*;

    fn shard(k: u64, seed: u64, sum: u8) -> Content {
        let study = Study {
            kind: Kind::Run,
            build: "b".into(),
            luck: "l".into(),
            fingerprint: 1,
            options: String::new(),
            proposal: String::new(),
            seed,
            campaigns: 640,
            inner: None,
            points: 1,
            units: 10,
            shards: 1,
        };
        let header = Header::new(&study, Share { k, n: 3 }, "");
        Content { header, points: Vec::new(), sum: [sum; 32] }
    }

    /// Two files that say other things of the same units are both named; one that is the same is not; a
    /// shard of another seed is, and what is missing too.
    #[test]
    fn two_that_differ_are_named() {
        let mut offered = Offered::default();
        for (path, content) in [
            ("a", shard(0, 7, 1)),
            ("copy", shard(0, 7, 1)),
            ("liar", shard(0, 7, 2)),
            ("c", shard(2, 7, 3)),
            ("foreign", shard(1, 8, 1)),
        ] {
            offered.add(Path::new(path), Ok(content));
        }
        let accepted = offered.accept().expect("some are whole");
        let wanted =
            ["liar and a are both shard 0, and differ", "foreign is of another study: seed 8"];
        assert_eq!(accepted.faults.len(), wanted.len(), "{:?}", accepted.faults);
        for (fault, words) in accepted.faults.iter().zip(wanted) {
            assert!(fault.starts_with(words), "{fault}");
        }
        assert_eq!((accepted.missing, accepted.paths.len()), (vec![1], 2));
    }

    /// A header that claims other units than those of its share is none.
    #[test]
    fn a_share_has_its_own_units() {
        let mut content = shard(1, 7, 1);
        content.header.units = (0, 10);
        let mut offered = Offered::default();
        offered.add(Path::new("odd"), Ok(content));
        let faults = offered.accept().expect_err("nothing is whole");
        assert_eq!(faults, ["odd has other units than its share"]);
    }
}
