//! Sets of things of one kind, looked through in order.

use crate::base::ids::Id;
use std::marker::PhantomData;

/// A set of things of one kind, by index.
#[derive(Debug)]
pub struct Set<I> {
    /// A bit for each thing.
    words: Vec<u64>,
    of: PhantomData<fn(I)>,
}

impl<I: Id> Set<I> {
    /// None of so many things.
    pub fn none_of(things: usize) -> Self {
        Set { words: vec![0; things.div_ceil(64)], of: PhantomData }
    }

    /// Takes all out.
    pub fn clear(&mut self) {
        self.words.fill(0);
    }

    /// Puts a thing in, or takes it out.
    #[inline]
    pub fn put(&mut self, thing: I, within: bool) {
        let bit = 1 << (thing.at() % 64);
        let word = &mut self.words[thing.at() / 64];
        *word = if within { *word | bit } else { *word & !bit };
    }

    /// Is a thing in it?
    #[inline]
    pub fn has(&self, thing: I) -> bool {
        self.words.get(thing.at() / 64).is_some_and(|word| word >> (thing.at() % 64) & 1 != 0)
    }

    /// The first of them at a place or beyond it: to go through a set that others read meanwhile.
    #[inline]
    pub fn first_from(&self, place: usize) -> Option<I> {
        let mut at = place / 64;
        let mut word = self.words.get(at)? & u64::MAX << (place % 64);
        while word == 0 {
            at += 1;
            word = *self.words.get(at)?;
        }
        Some(I::within(at * 64 + word.trailing_zeros() as usize))
    }

    /// Takes out the first of them.
    #[inline]
    pub fn pop(&mut self) -> Option<I> {
        let first = self.first_from(0)?;
        self.put(first, false);
        Some(first)
    }

    /// All of them, in order.
    #[inline]
    pub fn each(&self) -> impl Iterator<Item = I> + '_ {
        self.words.iter().enumerate().flat_map(|(i, word)| {
            let mut bits = *word;
            std::iter::from_fn(move || {
                let next = (bits != 0).then(|| I::within(i * 64 + bits.trailing_zeros() as usize));
                bits &= bits.wrapping_sub(1);
                next
            })
        })
    }
}

impl<I> Default for Set<I> {
    fn default() -> Self {
        Set { words: Vec::new(), of: PhantomData }
    }
}

impl<I> Clone for Set<I> {
    fn clone(&self) -> Self {
        Set { words: self.words.clone(), of: PhantomData }
    }

    /// Without asking for memory where there is enough.
    fn clone_from(&mut self, other: &Self) {
        self.words.clone_from(&other.words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Clone, Copy, Debug, PartialEq)]
    struct Door(usize);

    impl Id for Door {
        fn at(self) -> usize {
            self.0
        }

        fn new(at: usize) -> Self {
            Door(at)
        }

        fn within(at: usize) -> Self {
            Door(at)
        }
    }

    #[test]
    fn things_are_found_in_order_until_they_are_taken_out() {
        let mut doors: Set<Door> = Set::none_of(130);
        let [front, side, back] = [63, 64, 129].map(Door);
        assert!(doors.first_from(0).is_none() && !doors.has(front) && !doors.has(Door(999)));
        [back, front, side, front].into_iter().for_each(|d| doors.put(d, true));
        assert_eq!(doors.each().collect::<Vec<_>>(), [front, side, back]);
        assert!(doors.has(side) && !doors.has(Door(128)));
        doors.put(side, false);
        assert_eq!((doors.first_from(63), doors.first_from(64)), (Some(front), Some(back)));
        assert_eq!((doors.first_from(130), doors.first_from(192)), (None, None));
        assert_eq!((doors.pop(), doors.pop(), doors.pop()), (Some(front), Some(back), None));
        doors.put(side, true);
        doors.clear();
        assert_eq!(doors.each().next(), None);
    }
}
