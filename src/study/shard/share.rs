//! Which units a shard takes.

use crate::stats::{BLOCK, Plan};
use std::ops::Range;
use std::str::FromStr;

/// Shard K of N, K from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    /// which one
    pub k: u64,
    /// of how many
    pub n: u64,
}

impl FromStr for Share {
    type Err = String;

    fn from_str(text: &str) -> Result<Share, String> {
        let wrong = || "write it as K/N, for example 0/8 for the first of eight".to_string();
        let (k, n) = text.split_once('/').ok_or_else(wrong)?;
        let (k, n) = (k.parse().map_err(|_| wrong())?, n.parse().map_err(|_| wrong())?);
        match k < n {
            true => Ok(Share { k, n }),
            false => Err(format!("shards of {n} are numbered from 0 to N - 1; {}", wrong())),
        }
    }
}

impl Share {
    /// Its units of `all`: floor(K U/N) to floor((K+1) U/N) - 1.
    pub fn units(self, all: u64) -> Range<u64> {
        let cut = |k: u64| (u128::from(k) * u128::from(all) / u128::from(self.n)) as u64;
        cut(self.k)..cut(self.k + 1)
    }
}

/// The units of a study, point by point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// points of the design; 1 for a run
    pub points: u64,
    /// units of each point
    pub per_point: u64,
    /// blocks of a unit: 1, or those of a parameter set
    pub blocks: u64,
}

impl Layout {
    /// Of `points` points with so many campaigns each.
    pub fn new(plan: &Plan, points: u64, campaigns: u64) -> Layout {
        let blocks = plan.inner().map_or(1, |inner| inner.div_ceil(BLOCK));
        Layout { points, per_point: plan.blocks(campaigns) / blocks, blocks }
    }

    /// Units in all.
    pub fn units(&self) -> u64 {
        self.points * self.per_point
    }

    /// The blocks of every point that some units are made of.
    pub fn blocks(&self, units: Range<u64>) -> impl Iterator<Item = (u64, Range<u64>)> + use<> {
        let Layout { per_point: per, blocks, .. } = *self;
        let points = match units.is_empty() {
            true => 0..0,
            false => units.start / per..units.end.div_ceil(per),
        };
        points.map(move |point| {
            let inside = |unit: u64| unit.saturating_sub(point * per).min(per) * blocks;
            (point, inside(units.start)..inside(units.end))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_read_and_refused() {
        assert_eq!("3/8".parse(), Ok(Share { k: 3, n: 8 }));
        for wrong in ["", "3", "8/8", "9/8", "-1/8", "0/0", "a/b", "1/2/3", " 1/2"] {
            assert!(wrong.parse::<Share>().is_err(), "{wrong}");
        }
    }

    /// Whatever the numbers, shares follow each other, leave nothing out and differ by one unit at most.
    #[test]
    fn shares_cover_every_unit_once() {
        for n in [1, 2, 3, 7, 64, 1000] {
            for all in [0, 1, 5, 63, 64, 65, 1_000_003, u64::MAX] {
                let mut next = 0;
                for k in 0..n {
                    let units = Share { k, n }.units(all);
                    assert_eq!(units.start, next);
                    let size = units.end - units.start;
                    assert!(size == all / n || size == all / n + 1, "{k} of {n}: {size} of {all}");
                    next = units.end;
                }
                assert_eq!(next, all);
            }
        }
    }

    #[test]
    fn units_of_points_become_blocks() {
        let layout = Layout { points: 3, per_point: 4, blocks: 2 };
        assert_eq!(layout.units(), 12);
        let of = |units| layout.blocks(units).collect::<Vec<_>>();
        assert_eq!(of(0..12), [(0, 0..8), (1, 0..8), (2, 0..8)]);
        assert_eq!(of(3..9), [(0, 6..8), (1, 0..8), (2, 0..2)]);
        assert_eq!(of(5..6), [(1, 2..4)]);
        assert_eq!(of(8..8), []);
        let none = Layout { points: 3, per_point: 0, blocks: 1 };
        assert_eq!(none.blocks(0..0).count(), 0);
    }
}
