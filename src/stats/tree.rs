//! The fixed binary tree in which what blocks leave is merged.
//!
//! node(l, i) = merge(node(l-1, 2i), node(l-1, 2i+1)) over the block index; at the end the maximal
//! full nodes are merged from left to right. The shape depends on the number of blocks alone, so
//! that the bits do not depend on which block is ready first, nor on how many programs share the
//! blocks: some of them leave their maximal aligned subtrees ([`Tree::into_nodes`]), and these put
//! into one tree ([`Tree::insert_node`]) meet their siblings there. Merged tallies are used again:
//! memory grows with the logarithm of the number of blocks.

use super::plan::Plan;
use super::tally::Tally;

/// What can stand in a tree.
pub trait Merge: Clone {
    /// Adds what comes right of it.
    fn merge(&mut self, right: &Self);
}

impl Merge for Tally {
    fn merge(&mut self, right: &Tally) {
        Tally::merge(self, right);
    }
}

/// A full node: what 2^level blocks from index 2^level on left, merged.
#[derive(Clone, Debug, PartialEq)]
pub struct Node<T = Tally> {
    /// 0: one block.
    pub level: u32,
    /// Counted within its level.
    pub index: u64,
    /// What the blocks left.
    pub tally: T,
}

impl<T> Node<T> {
    /// The blocks under it; `None` where they are beyond all numbers.
    pub fn blocks(&self) -> Option<std::ops::Range<u64>> {
        let size = 1_u64.checked_shl(self.level)?;
        let first = self.index.checked_mul(size)?;
        Some(first..first.checked_add(size)?)
    }
}

/// Tallies that wait for their sibling.
#[derive(Clone, Debug)]
pub struct Tree<T = Tally> {
    empty: T,
    waiting: Vec<Node<T>>,
    spare: Vec<T>,
}

impl Tree<Tally> {
    /// A tree without blocks.
    pub fn new(plan: &Plan) -> Tree {
        Tree::of(Tally::new(plan))
    }
}

impl<T: Merge> Tree<T> {
    /// A tree without blocks; `empty` is what no block leaves.
    pub fn of(empty: T) -> Tree<T> {
        Tree { empty, waiting: Vec::new(), spare: Vec::new() }
    }

    /// A tally to close a block into: one that is no longer needed, or a new one.
    pub fn take_spare(&mut self) -> T {
        self.spare.pop().unwrap_or_else(|| self.empty.clone())
    }

    /// Gives back a tally from [`Tree::take_spare`] that was not inserted.
    pub fn give_back(&mut self, tally: T) {
        self.spare.push(tally);
    }

    /// Puts the tally of a block in its place and merges as far up as siblings are there.
    pub fn insert(&mut self, block: u64, tally: T) {
        self.insert_node(Node { level: 0, index: block, tally });
    }

    /// Puts a full node in its place and merges as far up as siblings are there.
    pub fn insert_node(&mut self, mut node: Node<T>) {
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

    /// What waits, from left to right: the maximal aligned subtrees of the blocks put in.
    pub fn into_nodes(mut self) -> Vec<Node<T>> {
        self.waiting.sort_by_key(|node| node.index << node.level);
        self.waiting
    }

    /// Merges what waits from left to right; an empty tally if there was no block.
    pub fn finish(self) -> T {
        let empty = self.empty.clone();
        let mut nodes = self.into_nodes().into_iter();
        let Some(first) = nodes.next() else { return empty };
        nodes.fold(first.tally, |mut all, node| {
            all.merge(&node.tally);
            all
        })
    }
}
