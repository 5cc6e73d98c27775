//! Values that several questions of one sortie ask for (overheads, metabolic rates), worked out once.
//!
//! A value belongs to its address and its law, so it never matters whether it is still kept: who asks
//! gets the same number.

use crate::base::law::Prepared;
use crate::campaign::world::Draws;
use crate::model::{Purpose, Vary};
use std::cell::Cell;

/// Places for values, a power of two; a sortie asks for some eight.
const PLACES: usize = 256;

/// What a value belongs to: path, occasion, purpose, and the law by where it stands in memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Key {
    path: u64,
    occasion: u64,
    what: u64,
    law: usize,
}

impl Key {
    /// No law stands at 0.
    const NONE: Key = Key { path: 0, occasion: 0, what: 0, law: 0 };

    #[inline]
    fn place(self) -> usize {
        let mixed = (self.path ^ self.what.rotate_left(32)).wrapping_add(self.occasion);
        let mixed = mixed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        (mixed >> (u64::BITS - PLACES.trailing_zeros())) as usize
    }
}

/// Values kept for a campaign, the latest in each place.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Drawn {
    kept: Box<[Cell<(Key, f64)>; PLACES]>,
}

impl Drawn {
    /// Nothing kept.
    pub(in crate::campaign) fn new() -> Drawn {
        Drawn { kept: Box::new([const { Cell::new((Key::NONE, 0.0)) }; PLACES]) }
    }

    /// Another campaign begins, with other luck and perhaps other parameters.
    pub(in crate::campaign) fn clear(&mut self) {
        self.kept.fill(Cell::new((Key::NONE, 0.0)));
    }

    #[inline]
    fn get(&self, key: Key, value: impl FnOnce() -> f64) -> f64 {
        let place = &self.kept[key.place()];
        let (whose, kept) = place.get();
        if whose == key {
            return kept;
        }
        let value = value();
        place.set((key, value));
        value
    }
}

impl Draws {
    /// The value of a law at an address, kept where it takes a draw; `values` are those of the parameter set.
    /// Always inline, as the address of a purpose is.
    #[inline(always)]
    pub(in crate::campaign) fn value(
        &self,
        law: &Vary,
        values: &[f64],
        at: (u64, u64),
        what: Purpose,
    ) -> f64 {
        match law {
            Vary::Fixed(x) => *x,
            Vary::Once(p, _) => p.of(values),
            Vary::Law(law, _) => self.of_law(law, at, what.address()),
        }
    }

    /// The same of a law that takes a draw.
    #[inline(never)]
    fn of_law(
        &self,
        law: &Prepared,
        (path, occasion): (u64, u64),
        (family, index): (u32, u32),
    ) -> f64 {
        let what = u64::from(family) << 32 | u64::from(index);
        let key = Key { path, occasion, what, law: std::ptr::from_ref(law) as usize };
        let draw = || self.kept.uniform(self.campaign, path, occasion, family, index);
        self.drawn.get(key, || law.quantile(draw()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_worked_out_once_for_its_address_and_law() {
        let mut d = Drawn::new();
        let key = Key { path: 7, occasion: 3, what: 13, law: 64 };
        assert_eq!(d.get(key, || 1.5), 1.5);
        assert_eq!(d.get(key, || unreachable!("it is kept")), 1.5);
        for other in [
            Key { path: 8, ..key },
            Key { occasion: 4, ..key },
            Key { what: 14, ..key },
            Key { law: 96, ..key },
        ] {
            assert_eq!(d.get(other, || 2.5), 2.5);
        }
        d.clear();
        assert_eq!(d.get(key, || 3.5), 3.5);
    }
}
