//! Records whose fields are all written, one after the other.

use super::{Reader, Wire, WireError};
use crate::stats::moments::{CoMoments, Moments};
use crate::stats::plan::Plan;
use crate::stats::tally::{Pair, Ratio, Single, Tally, Weights};
use crate::stats::tree::Node;

/// Writes and reads a record field by field, in the order given.
macro_rules! wire_fields {
    ($t:ty { $($field:ident),* $(,)? }) => {
        impl $crate::stats::wire::Wire for $t {
            fn put(&self, to: &mut Vec<u8>) {
                $($crate::stats::wire::Wire::put(&self.$field, to);)*
            }
            fn get(
                from: &mut $crate::stats::wire::Reader,
            ) -> Result<Self, $crate::stats::wire::WireError> {
                Ok(Self { $($field: $crate::stats::wire::Wire::get(from)?,)* })
            }
        }
    };
}
pub(crate) use wire_fields;

wire_fields!(Moments { n, mean, m2 });
wire_fields!(Weights { n, sum, squares, largest, weighted });
wire_fields!(Single { moments, total, nonzero, range, largest });
wire_fields!(Ratio { co, used, some, short, totals, largest });
wire_fields!(Pair { difference, both, lower, equal });
wire_fields!(Tally { weights, columns, extras, ratios, extra_ratios, pairs, pair_ratios });

impl<const K: usize> Wire for CoMoments<K> {
    fn put(&self, to: &mut Vec<u8>) {
        self.n.put(to);
        self.mean.put(to);
        self.c.put(to);
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let n = u64::get(from)?;
        Ok(CoMoments { n, mean: <[f64; K]>::get(from)?, c: <[[f64; K]; K]>::get(from)? })
    }
}

impl<T: Wire> Wire for Node<T> {
    fn put(&self, to: &mut Vec<u8>) {
        self.level.put(to);
        self.index.put(to);
        self.tally.put(to);
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let (level, index) = (u32::get(from)?, u64::get(from)?);
        let node = Node { level, index, tally: T::get(from)? };
        match node.blocks() {
            Some(_) => Ok(node),
            None => Err(WireError::Wrong("a node of the tree that cannot be")),
        }
    }
}

impl Tally {
    /// Has it the shape of a plan?
    pub fn suits(&self, plan: &Plan) -> bool {
        let like = Tally::new(plan);
        self.weights.len() == like.weights.len()
            && self.columns.len() == like.columns.len()
            && self.extras.len() == like.extras.len()
            && self.ratios.len() == like.ratios.len()
            && self.extra_ratios.len() == like.extra_ratios.len()
            && self.pairs.len() == like.pairs.len()
            && self.pair_ratios.len() == like.pair_ratios.len()
    }
}
