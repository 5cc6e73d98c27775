//! Distinct chains that led to an outcome, in a map of bounded size.

use crate::base::stream::fnv1a64;
use crate::outcome::Record;
use crate::stats::interval::{OUTSIDE, none_seen_upper};
use std::collections::BTreeMap;

/// Most distinct chains kept per architecture and outcome: those with the smallest hashes, so that
/// which are kept does not depend on the order in which they came.
pub const MOST_PATHS: usize = 4096;

/// What was necessary, and the ways back that were then tried.
type Key = (u64, (u128, u64, u64, u64));

/// One distinct chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Path {
    /// What is in it.
    pub record: Record,
    /// Campaigns that ended so.
    pub count: u64,
    /// The first of them.
    pub example: u64,
}

/// Chains and how often each came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Paths {
    kept: BTreeMap<Key, (u64, u64)>,
    /// Campaigns, also those whose chain was dropped.
    pub total: u64,
}

/// The share that chains not seen so far may hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unseen {
    /// Estimate: chains seen once over campaigns.
    pub share: f64,
    /// Upper limit, one-sided 95 %.
    pub high: f64,
}

fn key(r: Record) -> Key {
    let hash = fnv1a64(&format!("{:x} {:x} {:x} {:x}", r.modes, r.hazards, r.groups, r.ways));
    (hash, (r.modes, r.hazards, r.groups, r.ways))
}

impl Paths {
    /// Counts the chain of a campaign.
    pub fn add(&mut self, record: Record, campaign: u64) {
        self.total += 1;
        self.put(key(record), 1, campaign);
    }

    fn put(&mut self, key: Key, count: u64, example: u64) {
        let entry = self.kept.entry(key).or_insert((0, example));
        *entry = (entry.0 + count, entry.1.min(example));
        if self.kept.len() > MOST_PATHS {
            self.kept.pop_last();
        }
    }

    /// Takes in other books.
    pub fn merge(&mut self, other: Paths) {
        self.total += other.total;
        other.kept.into_iter().for_each(|(key, (n, example))| self.put(key, n, example));
    }

    /// Most frequent first, then by the first campaign.
    pub fn sorted(&self) -> Vec<Path> {
        let path = |(key, value): (&Key, &(u64, u64))| {
            let (modes, hazards, groups, ways) = key.1;
            let record = Record { modes, hazards, groups, ways, ..Record::default() };
            Path { record, count: value.0, example: value.1 }
        };
        let mut all: Vec<Path> = self.kept.iter().map(path).collect();
        all.sort_by_key(|p| (std::cmp::Reverse(p.count), p.example));
        all
    }

    /// Campaigns whose chain is not among those kept. Which are kept goes by their hash alone, so that a
    /// chain that is kept has all its campaigns.
    pub fn others(&self) -> u64 {
        self.total - self.kept.values().map(|v| v.0).sum::<u64>()
    }

    /// Share of the outcome that unseen chains may hold; `None` without any.
    ///
    /// Method: Good-Turing, chains seen once over campaigns (I. Good, Biometrika 40, 1953); its upper
    /// limit by the normal law of the coverage (W. Esty, Annals of Statistics 11, 1983), at least
    /// that of nothing seen in n. Both from memory. Chains that are not kept count as seen once each: an
    /// upper estimate of how often that was so.
    pub fn unseen(&self) -> Option<Unseen> {
        if self.total == 0 {
            return None;
        }
        let seen = |k: u64| self.kept.values().filter(|v| v.0 == k).count() as f64;
        let n = self.total as f64;
        let (once, twice) = (seen(1) + self.others() as f64, seen(2));
        let error = (once * (1.0 - once / n) + 2.0 * twice).sqrt() / n;
        let z = crate::stats::beta::normal_z(2.0 * OUTSIDE);
        let high = (once / n + z * error).max(none_seen_upper(n, OUTSIDE)).min(1.0);
        Some(Unseen { share: once / n, high })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(i: u64) -> Record {
        Record { modes: 1 << (i % 100), ways: i / 100, ..Record::default() }
    }

    #[test]
    fn the_same_map_in_any_order_and_split() {
        let n = 3 * MOST_PATHS as u64;
        let (mut forth, mut back, mut parts) =
            (Paths::default(), Paths::default(), [(); 3].map(|()| Paths::default()));
        for i in 0..n {
            forth.add(chain(i % 9000), i);
            back.add(chain((n - 1 - i) % 9000), n - 1 - i);
            parts[(i * 7 % 3) as usize].add(chain(i % 9000), i);
        }
        let mut merged = Paths::default();
        parts.into_iter().rev().for_each(|p| merged.merge(p));
        assert_eq!(forth, back);
        assert_eq!(forth, merged);
        assert_eq!((forth.kept.len(), forth.total), (MOST_PATHS, n));
        let kept: u64 = forth.sorted().iter().map(|p| p.count).sum();
        assert!(kept < n && kept + forth.others() == n, "{kept} of {n}");
    }

    /// 64 000 possible chains, all as likely, in 20 000 campaigns: (1 - 1/64 000)^20 000 = 73 % of the
    /// outcome is in chains that were not seen, and the limit lies above it although few chains are
    /// kept. By the law of coverage the estimate from all chains would be within 0.02 of it.
    #[test]
    fn chains_that_are_not_kept_count_in_the_limit_on_the_unseen() {
        let mut p = Paths::default();
        let mut x = 1_u64;
        for i in 0..20_000 {
            x = x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let which = (x >> 33) % 64_000;
            p.add(Record { modes: u128::from(which), ..Record::default() }, i);
        }
        let unseen = (1.0 - 1.0 / 64_000.0_f64).powi(20_000);
        assert!(p.others() > 10_000 && p.kept.len() == MOST_PATHS);
        let u = p.unseen().unwrap();
        assert!(u.high > unseen && u.share > unseen && u.high <= 1.0, "{u:?} {unseen}");
    }

    /// Ten of one chain, two of another, three seen once: 3 of 15; sqrt(3 (1 - 1/5) + 2) = 2.0976.
    #[test]
    fn unseen_by_hand() {
        let mut p = Paths::default();
        let chains = [[0; 10].as_slice(), &[1, 1, 2, 3, 4]].concat();
        chains.iter().enumerate().for_each(|(i, c)| p.add(chain(*c), i as u64));
        let u = p.unseen().unwrap();
        assert!((u.share - 0.2).abs() < 1e-15);
        assert!((u.high - (0.2 + 1.6448536 * 2.0976177 / 15.0)).abs() < 1e-6, "{u:?}");
        assert_eq!(p.sorted()[0].count, 10);
        assert_eq!(p.sorted()[1].example, 10);
        assert_eq!(Paths::default().unseen(), None);
    }
}
