//! Which campaigns are played again with which item, so that all of it costs no more plays than are
//! given. It goes by what the campaigns left and by their numbers, never by threads.

use super::watch::{Left, Watch};
use super::{Item, Kind};

/// Campaigns with somebody missed or late that are looked at whatever it costs, per architecture.
const LEAST_TOLD: usize = 16;

/// Of the plays that campaigns with nobody missed or late get: for removal, for certain, the rest
/// without redundant things.
const REMOVAL: f64 = 0.4;
const CERTAIN: f64 = 0.35;

/// One campaign of one architecture that is looked at again.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job {
    pub(super) arm: usize,
    pub(super) rank: u64,
    pub(super) base: Left,
    /// Somebody was missed or late and it is asked why.
    pub(super) told: bool,
    /// Items are played in it in turn.
    pub(super) in_turn: bool,
}

/// Every how many campaigns an item is played, of one architecture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rota {
    pub(super) removal: u64,
    pub(super) certain: u64,
    pub(super) without: u64,
}

impl Rota {
    /// Is it the turn of item `i` in the campaign of this rank? Items follow each other.
    pub(super) fn turn(every: u64, rank: u64, i: usize) -> bool {
        (rank + i as u64).is_multiple_of(every)
    }
}

/// What is played again.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) jobs: Vec<Job>,
    pub(super) rotas: Vec<Rota>,
}

impl Plan {
    /// `plays`: how many there may be in all. Campaigns with somebody missed or late come first, with
    /// up to half of them.
    pub(super) fn new(watch: &Watch, items: &[Vec<Item>], plays: u64) -> Plan {
        let each = plays as f64 / items.len().max(1) as f64;
        let (mut jobs, mut rotas) = (Vec::new(), Vec::new());
        for (arm, items) in items.iter().enumerate() {
            let (mut told, mut cost) = (Vec::new(), 0.0);
            for (rank, base) in &watch.bad[arm] {
                let next = cost + looking(base, items);
                if told.len() >= LEAST_TOLD && next > each / 2.0 {
                    break;
                }
                told.push(*rank);
                cost = next;
            }
            let rest = (each - cost).max(each / 4.0);
            let first = &watch.first[arm];
            rotas.push(rota(first.values(), items, rest));
            jobs.extend(first.iter().map(|(rank, base)| Job {
                arm,
                rank: *rank,
                base: *base,
                told: told.binary_search(rank).is_ok(),
                in_turn: true,
            }));
            jobs.extend(told.iter().filter(|r| !first.contains_key(r)).map(|rank| Job {
                arm,
                rank: *rank,
                base: watch.bad[arm][rank],
                told: true,
                in_turn: false,
            }));
        }
        jobs.sort_by_key(|j| (j.rank, j.arm));
        Plan { jobs, rotas }
    }
}

/// About how many plays it takes to look at a campaign with somebody missed or late: each item that may
/// matter is removed, and each set of what struck is tried about three times for each outcome.
fn looking(base: &Left, items: &[Item]) -> f64 {
    let matter = items.iter().filter(|i| i.kind != Kind::Redundancy && i.may_matter(base.record));
    let struck = items.iter().filter(|i| i.kind.strikes() && i.came_up(base.record)).count();
    let outcomes = base.seen[..2].iter().filter(|seen| **seen > 0).count();
    (matter.count() + 3 * outcomes * (struck + 1)) as f64
}

/// So often that plays stay below `plays`.
fn rota<'k>(kept: impl Iterator<Item = &'k Left>, items: &[Item], plays: f64) -> Rota {
    let mut sums = [0_u64; 3];
    for base in kept {
        for item in items {
            let matters = u64::from(item.may_matter(base.record));
            match item.kind {
                Kind::Redundancy => sums[2] += matters,
                _ => {
                    sums[0] += matters;
                    sums[1] += u64::from(item.is_asked(base.record));
                }
            }
        }
    }
    let every =
        |sum: u64, share: f64| (sum as f64 / (share * plays).max(1.0)).ceil().max(1.0) as u64;
    Rota {
        removal: every(sums[0], REMOVAL),
        certain: every(sums[1], CERTAIN),
        without: every(sums[2], 1.0 - REMOVAL - CERTAIN),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_item_has_its_turn_as_often() {
        for every in [1, 3, 7] {
            for i in 0..20 {
                let turns = (0..every * 5).filter(|rank| Rota::turn(every, *rank, i)).count();
                assert_eq!(turns, 5, "{every} {i}");
            }
        }
    }
}
