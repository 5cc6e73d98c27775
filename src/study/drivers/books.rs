//! Sums of drivers: whole numbers, which add up to the same in any order.

use super::{Paths, items};
use crate::measure::{Fact, Facts};
use crate::model::Model;

/// What is driven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// A campaign in which somebody was missed: 0 or 1.
    Missed,
    /// A campaign in which somebody was late: 0 or 1.
    Late,
    /// Hours lost, in millionths.
    Hours,
}

/// The outcomes and the measures they belong to.
pub const OUTCOMES: [(Outcome, &str); 3] = [
    (Outcome::Missed, "campaign_haven_missed"),
    (Outcome::Late, "haven_late"),
    (Outcome::Hours, "eva_lost_h"),
];

/// Hours as a whole number of millionths.
pub(super) fn whole(hours: f64) -> i64 {
    (hours * 1e6).round() as i64
}

pub(super) fn outcomes(f: &Facts) -> [i64; 3] {
    let flag = |fact: Fact| i64::from(f.value[fact as usize] > 0.0);
    [flag(Fact::CampaignHavenMissed), flag(Fact::HavenLate), whole(f.value[Fact::EvaLost as usize])]
}

/// Sums of pairs (x, y) over campaigns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    /// Pairs.
    pub n: u64,
    /// Sum of x.
    pub x: i128,
    /// Sum of x squared.
    pub xx: i128,
    /// Sum of x y.
    pub xy: i128,
    /// Pairs with x above 0.
    pub up: u64,
    /// Pairs with x below 0.
    pub down: u64,
}

impl Sums {
    fn add(&mut self, x: i64, y: i64) {
        let (x, y) = (i128::from(x), i128::from(y));
        self.n += 1;
        self.x += x;
        self.xx += x * x;
        self.xy += x * y;
        self.up += u64::from(x > 0);
        self.down += u64::from(x < 0);
    }

    fn merge(&mut self, o: &Sums) {
        self.n += o.n;
        self.x += o.x;
        self.xx += o.xx;
        self.xy += o.xy;
        self.up += o.up;
        self.down += o.down;
    }
}

/// Books of one item, by outcome where it says three.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ItemBooks {
    /// Campaigns in which it came up.
    pub crossed: u64,
    /// Over campaigns with the outcome, x: 1 if the item takes part in it; for hours,
    /// over all, the hours by its cause.
    pub part: [Sums; 3],
    /// x: outcome less outcome without it, over the campaigns looked at that had the outcome (0 or 1
    /// outcomes); over those of its turn that it may matter in (hours).
    pub drop: [Sums; 3],
    /// The same over campaigns of its turn without the outcome that it may matter in.
    pub induced: [Sums; 3],
    /// Campaigns without the outcome in which it may matter, played again or not.
    pub without: [u64; 3],
    /// x: outcome with it certain less outcome.
    pub rise: [Sums; 3],
    /// x = y = the outcome, over the campaigns of its turn, in which it is removed if it may matter.
    pub turn: [Sums; 3],
    /// Of a redundant thing, x: outcome less outcome without it, over the campaigns of its turn.
    pub without_it: [Sums; 3],
    /// A redundant thing: known from the outset.
    pub redundant: bool,
    /// It has a next demand that can be made certain: known from the outset.
    pub has_demand: bool,
}

impl ItemBooks {
    pub(super) fn take_part(&mut self, crossed: bool, lost: i64, seen: [i64; 3]) {
        self.crossed += u64::from(crossed);
        self.part[2].add(lost, seen[2]);
    }

    /// A campaign with outcome `o` of 0 or 1: is the item in its chain?
    pub(super) fn in_chain(&mut self, o: usize, there: bool) {
        self.part[o].add(i64::from(there), 1);
    }

    /// A campaign that may differ without the item.
    pub(super) fn may_matter(&mut self, seen: [i64; 3]) {
        for (without, seen) in self.without.iter_mut().zip(seen).take(2) {
            *without += u64::from(seen == 0);
        }
    }

    /// A campaign of its turn.
    pub(super) fn chosen(&mut self, seen: [i64; 3]) {
        self.turn.iter_mut().zip(seen).for_each(|(sums, y)| sums.add(y, y));
    }

    /// A campaign without the item: looked at because somebody was missed or late, or of its turn.
    pub(super) fn removed(
        &mut self,
        (told, turn): (bool, bool),
        before: [i64; 3],
        after: [i64; 3],
    ) {
        for o in 0..2 {
            let change = before[o] - after[o];
            match before[o] {
                // Those that are looked at for another outcome are not there by chance.
                0 if turn => self.induced[o].add(change, before[o]),
                0 => {}
                _ if told => self.drop[o].add(change, before[o]),
                _ => {}
            }
        }
        if turn {
            self.drop[2].add(before[2] - after[2], before[2]);
        }
    }

    pub(super) fn certain(&mut self, before: [i64; 3], after: [i64; 3]) {
        for (o, sums) in self.rise.iter_mut().enumerate() {
            sums.add(after[o] - before[o], before[o]);
        }
    }

    pub(super) fn without(&mut self, before: [i64; 3], after: [i64; 3]) {
        for (o, sums) in self.without_it.iter_mut().enumerate() {
            sums.add(before[o] - after[o], before[o]);
        }
    }

    fn merge(&mut self, other: &ItemBooks) {
        self.crossed += other.crossed;
        for o in 0..3 {
            self.part[o].merge(&other.part[o]);
            self.drop[o].merge(&other.drop[o]);
            self.induced[o].merge(&other.induced[o]);
            self.without[o] += other.without[o];
            self.rise[o].merge(&other.rise[o]);
            self.turn[o].merge(&other.turn[o]);
            self.without_it[o].merge(&other.without_it[o]);
        }
    }
}

/// Books of one architecture.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ArmBooks {
    /// x = y = the outcome, over all campaigns.
    pub all: [Sums; 3],
    /// Parallel to [`items()`].
    pub items: Vec<ItemBooks>,
    /// Chains to somebody missed and to somebody late.
    pub paths: [Paths; 2],
}

impl ArmBooks {
    pub(super) fn base(&mut self, seen: [i64; 3]) {
        self.all.iter_mut().zip(seen).for_each(|(sums, y)| sums.add(y, y));
    }
}

/// Books of all architectures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Books {
    /// In file order.
    pub arms: Vec<ArmBooks>,
    /// Plays that the drivers cost.
    pub plays: u64,
}

impl Books {
    pub(super) fn new(model: &Model) -> Books {
        let arm = |a| {
            let books = |item: &super::Item| ItemBooks {
                redundant: item.kind == super::Kind::Redundancy,
                has_demand: item.certain.is_some(),
                ..ItemBooks::default()
            };
            let items = items(model, a).iter().map(books).collect();
            ArmBooks { items, ..ArmBooks::default() }
        };
        Books { arms: (0..model.arms.len()).map(arm).collect(), plays: 0 }
    }

    pub(super) fn merge(&mut self, other: Books) {
        self.plays += other.plays;
        for (mine, its) in self.arms.iter_mut().zip(other.arms) {
            for o in 0..3 {
                mine.all[o].merge(&its.all[o]);
            }
            mine.items.iter_mut().zip(&its.items).for_each(|(a, b)| a.merge(b));
            mine.paths.iter_mut().zip(its.paths).for_each(|(a, b)| a.merge(b));
        }
    }
}
