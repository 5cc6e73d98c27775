//! What takes part in a demand that was missed or late (rule 41), found by playing the campaign again
//! with fewer and fewer of the failures and hazards that came up in it, and nothing that did not.
//!
//! A set of them is enough if with it alone that demand is missed or late again, and least if nothing
//! of it can be left out. What is in a least set takes part: the outcome needs it, or it would have
//! come through it where another was enough too. What struck and was neither used nor asked is left
//! out beforehand, unless the outcome does not come without it.

use super::watch::Left;
use super::{Item, Worker};
use crate::campaign::Forced;

/// Most least sets that are looked for in one campaign.
const MOST_SETS: usize = 8;

/// Items of an architecture, by index.
type Set = Vec<usize>;

/// A demand that was missed or late, asked of plays with fewer items.
pub(super) struct Question<'q> {
    pub arm: usize,
    pub campaign: u64,
    pub items: &'q [Item],
    pub base: &'q Left,
    pub person: usize,
    pub late: bool,
}

impl Worker<'_, '_> {
    /// Does the demand end so with these items alone?
    fn enough(&mut self, q: &Question, set: &[usize]) -> bool {
        let none = Forced { modes: !0, hazards: !0, groups: !0, ..Forced::default() };
        let forced = set.iter().fold(none, |forced, i| q.items[*i].allowed(forced));
        let after = self.play(q.arm, q.campaign, forced);
        after.lost.again(q.person, &q.base.lost, q.late)
    }

    /// Leaves out of `set`, which is enough, what can be left out: halves first.
    fn thin(&mut self, q: &Question, set: &mut Set, part: &[usize]) {
        let rest: Set = set.iter().copied().filter(|i| !part.contains(i)).collect();
        if part.is_empty() || self.enough(q, &rest) {
            *set = rest;
        } else if part.len() > 1 {
            let (a, b) = part.split_at(part.len() / 2);
            self.thin(q, set, a);
            self.thin(q, set, b);
        }
    }

    /// What takes part, in the order of items.
    pub(super) fn takes_part(&mut self, q: &Question) -> Set {
        let arm = &self.model.arms[q.arm];
        let struck: Set = (0..q.items.len())
            .filter(|i| q.items[*i].kind.strikes() && q.items[*i].came_up(q.base.record))
            .collect();
        let acted: Set =
            struck.iter().copied().filter(|i| q.items[*i].acted(arm, q.base.record)).collect();
        let all = match acted.len() == struck.len() || self.enough(q, &acted) {
            true => acted,
            false => struck,
        };
        let mut least: Vec<Set> = Vec::new();
        let mut without: Vec<Set> = vec![Vec::new()];
        let mut next = 0;
        while next < without.len() && least.len() < MOST_SETS {
            let gone = without[next].clone();
            next += 1;
            if least.iter().any(|s| !s.iter().any(|i| gone.contains(i))) {
                continue; // one that is known needs none of these
            }
            let mut set: Set = all.iter().copied().filter(|i| !gone.contains(i)).collect();
            // With all of them the campaign is the one that was played.
            if !gone.is_empty() && !self.enough(q, &set) {
                continue;
            }
            let part = set.clone();
            self.thin(q, &mut set, &part);
            for i in &set {
                without.push([gone.as_slice(), &[*i]].concat());
            }
            least.push(set);
        }
        let mut out: Set = least.concat();
        out.sort_unstable();
        out.dedup();
        out
    }
}
