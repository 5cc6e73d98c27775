//! What is kept of campaigns as they are played, so that none of them has to be played twice: the
//! sums of every campaign, and what some of them left, to be played again with something changed.

use super::books::{self, Books, OUTCOMES};
use super::{Item, Kind, items};
use crate::model::Model;
use crate::outcome::{Lost, Outcome, Record};
use std::collections::BTreeMap;

/// Campaigns of which is kept what they left, per architecture, and again as many of those in which
/// somebody was missed or late: the first ones, so that memory stays flat.
pub const MOST_KEPT: usize = 4096;

/// The campaigns that are watched: 0, `apart`, 2 `apart`, ...
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// How many.
    pub campaigns: u64,
    /// How far apart.
    pub apart: u64,
}

impl Sample {
    /// Without an outer loop the first `wanted` of `played` campaigns; with one they are spread over
    /// all, so that as many parameter sets as can be take part.
    pub fn of(model: &Model, played: u64, wanted: u64) -> Sample {
        let campaigns = played.min(wanted);
        let apart = match model.inner {
            Some(_) => (played / campaigns.max(1)).max(1),
            None => 1,
        };
        Sample { campaigns, apart }
    }

    /// Rank of a campaign in the sample; `None`: it is not in it.
    fn rank(self, campaign: u64) -> Option<u64> {
        let rank = campaign / self.apart;
        (campaign.is_multiple_of(self.apart) && rank < self.campaigns).then_some(rank)
    }
}

/// What one play left: the three outcomes, the record, who was missed or late.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Left {
    pub(super) seen: [i64; OUTCOMES.len()],
    pub(super) record: Record,
    pub(super) lost: Lost,
}

impl Left {
    pub(super) fn of(out: &Outcome) -> Left {
        Left { seen: books::outcomes(&out.facts), record: out.record, lost: out.lost }
    }

    /// Somebody was missed or late.
    pub(super) fn bad(&self) -> bool {
        self.seen[0] + self.seen[1] > 0
    }
}

/// What campaigns of one architecture left, by rank.
pub(super) type Kept = BTreeMap<u64, Left>;

/// What one worker has watched; [`Watch::merge`] joins them, in any order.
#[derive(Debug)]
pub struct Watch {
    pub(super) sample: Sample,
    items: Vec<Vec<Item>>,
    pub(super) books: Books,
    /// By architecture: the first campaigns, whatever came of them.
    pub(super) first: Vec<Kept>,
    /// By architecture: the first in which somebody was missed or late.
    pub(super) bad: Vec<Kept>,
}

impl Watch {
    /// Nothing seen yet.
    pub fn new(model: &Model, sample: Sample) -> Watch {
        let arms = model.arms.len();
        Watch {
            sample,
            items: (0..arms).map(|a| items(model, a)).collect(),
            books: Books::new(model),
            first: vec![Kept::new(); arms],
            bad: vec![Kept::new(); arms],
        }
    }

    /// Takes in what a campaign of an architecture left, if it is in the sample.
    pub fn look(&mut self, arm: usize, campaign: u64, out: &Outcome) {
        let Some(rank) = self.sample.rank(campaign) else { return };
        let left = Left::of(out);
        let books = &mut self.books.arms[arm];
        books.base(left.seen);
        for (item, books) in self.items[arm].iter().zip(&mut books.items) {
            if item.kind == Kind::Redundancy {
                continue;
            }
            let lost = item.lost_at.map_or(0, |row| books::whole(out.breakdown[row]));
            books.take_part(item.came_up(left.record), lost, left.seen);
            if item.may_matter(left.record) {
                books.may_matter(left.seen);
            }
        }
        if rank < MOST_KEPT as u64 {
            self.first[arm].insert(rank, left);
        }
        if left.bad() {
            keep(&mut self.bad[arm], rank, left);
        }
    }

    /// Takes in what another worker has watched of the same sample.
    pub fn merge(&mut self, other: Watch) {
        self.books.merge(other.books);
        for (mine, its) in self.first.iter_mut().zip(other.first) {
            mine.extend(its);
        }
        for (mine, its) in self.bad.iter_mut().zip(other.bad) {
            its.into_iter().for_each(|(rank, left)| keep(mine, rank, left));
        }
    }
}

/// Keeps the first ones.
fn keep(kept: &mut Kept, rank: u64, left: Left) {
    kept.insert(rank, left);
    if kept.len() > MOST_KEPT {
        kept.pop_last();
    }
}
