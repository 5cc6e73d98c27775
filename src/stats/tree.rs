//! The fixed binary tree in which the tallies of blocks are merged.
//!
//! node(l, i) = merge(node(l-1, 2i), node(l-1, 2i+1)) over the block index; at the end the maximal
//! full nodes are merged from left to right. The shape depends on the number of blocks alone, so
//! that the bits do not depend on which block is ready first. Merged tallies are used again:
//! memory grows with the logarithm of the number of blocks.

use super::plan::Plan;
use super::tally::Tally;

#[derive(Debug)]
struct Node {
    level: u32,
    index: u64,
    tally: Tally,
}

/// Tallies that wait for their sibling.
#[derive(Debug)]
pub struct Tree {
    empty: Tally,
    waiting: Vec<Node>,
    spare: Vec<Tally>,
}

impl Tree {
    /// A tree without blocks.
    pub fn new(plan: &Plan) -> Tree {
        Tree { empty: Tally::new(plan), waiting: Vec::new(), spare: Vec::new() }
    }

    /// A tally to close a block into: one that is no longer needed, or a new one.
    pub fn take_spare(&mut self) -> Tally {
        self.spare.pop().unwrap_or_else(|| self.empty.clone())
    }

    /// Gives back a tally from [`Tree::take_spare`] that was not inserted.
    pub fn give_back(&mut self, tally: Tally) {
        self.spare.push(tally);
    }

    /// Puts the tally of a block in its place and merges as far up as siblings are there.
    pub fn insert(&mut self, block: u64, tally: Tally) {
        let mut node = Node { level: 0, index: block, tally };
        loop {
            let sibling = (node.level, node.index ^ 1);
            let found = self.waiting.iter().position(|w| (w.level, w.index) == sibling);
            let Some(at) = found else { break };
            let mut other = self.waiting.swap_remove(at);
            if node.index < other.index {
                std::mem::swap(&mut node, &mut other);
            }
            other.tally.merge(&node.tally);
            self.spare.push(node.tally);
            node = Node { level: other.level + 1, index: other.index / 2, tally: other.tally };
        }
        self.waiting.push(node);
    }

    /// Number of tallies held: those that wait and those to be used again.
    pub fn held(&self) -> usize {
        self.waiting.len() + self.spare.len()
    }

    /// Merges what waits from left to right; an empty tally if there was no block.
    pub fn finish(mut self) -> Tally {
        self.waiting.sort_by_key(|node| node.index << node.level);
        let mut nodes = self.waiting.into_iter();
        let Some(first) = nodes.next() else {
            return self.empty;
        };
        nodes.fold(first.tally, |mut all, node| {
            all.merge(&node.tally);
            all
        })
    }
}
