//! Typed indices: an index of one kind of thing is no index of another.

use std::marker::PhantomData;
use std::ops::{Deref, DerefMut, Index, IndexMut};

/// Declares an index of one kind of thing: what [`Id`] says, under a name of its own.
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u16);

        impl $name {
            /// No such thing.
            pub const NONE: Self = Self(u16::MAX);

            /// The thing at a place in its table.
            ///
            /// # Panics
            /// If a table of so many things is larger than an index can say.
            #[inline]
            pub const fn new(at: usize) -> Self {
                assert!(at < u16::MAX as usize, "more things than an index can say");
                Self(at as u16)
            }

            /// Its place in its table; beyond every table for [`Self::NONE`].
            #[inline]
            pub const fn at(self) -> usize {
                self.0 as usize
            }

            /// The thing so many places further on: equal ones stand one after the other.
            #[inline]
            pub fn nth(self, further: u16) -> Self {
                Self(self.0 + further)
            }

            /// So many things, this one the first.
            pub fn run(self, n: u8) -> impl Iterator<Item = Self> {
                (0..u16::from(n)).map(move |i| self.nth(i))
            }

            /// Is there such a thing?
            #[inline]
            pub fn is_some(self) -> bool {
                self != Self::NONE
            }

            /// The thing, if there is one.
            #[inline]
            pub fn some(self) -> Option<Self> {
                self.is_some().then_some(self)
            }

            /// Is there no such thing?
            #[inline]
            pub fn is_none(self) -> bool {
                self == Self::NONE
            }
        }

        impl crate::base::ids::Id for $name {
            #[inline]
            fn at(self) -> usize {
                self.0 as usize
            }

            #[inline]
            fn new(at: usize) -> Self {
                Self::new(at)
            }

            #[inline]
            fn within(at: usize) -> Self {
                Self(at as u16)
            }
        }
    };
}

pub(crate) use id;

/// An index of one kind of thing.
pub trait Id: Copy + PartialEq {
    /// Its place in its table.
    fn at(self) -> usize;

    /// The thing at a place; panics where an index cannot say it.
    fn new(at: usize) -> Self;

    /// The thing at a place within a table, which is never longer than an index can say.
    fn within(at: usize) -> Self;
}

/// All things of one kind, looked up by their own index; never more than it can say.
#[derive(Debug, PartialEq, Eq)]
pub struct Table<I, T> {
    all: Vec<T>,
    of: PhantomData<fn(I)>,
}

impl<I: Id, T> Table<I, T> {
    /// Puts one more thing into the table; its index.
    pub fn push(&mut self, thing: T) -> I {
        self.all.push(thing);
        I::new(self.all.len() - 1)
    }

    /// Puts other things in the place of all, in the memory that there is.
    pub fn refill(&mut self, things: impl Iterator<Item = T>) {
        self.all.clear();
        self.all.extend(things);
        self.fits();
    }

    /// Panics if there are more things than an index can say.
    fn fits(&self) {
        self.all.len().checked_sub(1).map(I::new);
    }

    /// The indices of all things, in order.
    pub fn ids(&self) -> impl ExactSizeIterator<Item = I> + use<I, T> {
        (0..self.all.len()).map(I::within)
    }

    /// All things with their indices, in order.
    pub fn each(&self) -> impl Iterator<Item = (I, &T)> {
        self.all.iter().enumerate().map(|(at, thing)| (I::within(at), thing))
    }

    /// As [`Table::each`], to be changed.
    pub fn each_mut(&mut self) -> impl Iterator<Item = (I, &mut T)> {
        self.all.iter_mut().enumerate().map(|(at, thing)| (I::within(at), thing))
    }

    /// The first thing of which something is true.
    pub fn find(&self, is: impl FnMut(&T) -> bool) -> Option<I> {
        self.all.iter().position(is).map(I::within)
    }

    /// The thing of an index; `None` beyond the table, so for `NONE`.
    #[inline]
    pub fn get(&self, id: I) -> Option<&T> {
        self.all.get(id.at())
    }

    /// As [`Table::get`], to be changed.
    #[inline]
    pub fn get_mut(&mut self, id: I) -> Option<&mut T> {
        self.all.get_mut(id.at())
    }
}

impl<I, T> Default for Table<I, T> {
    fn default() -> Self {
        Table { all: Vec::new(), of: PhantomData }
    }
}

impl<I: Id, T> From<Vec<T>> for Table<I, T> {
    fn from(all: Vec<T>) -> Self {
        let table = Table { all, of: PhantomData };
        table.fits();
        table
    }
}

impl<I: Id, T> FromIterator<T> for Table<I, T> {
    fn from_iter<A: IntoIterator<Item = T>>(things: A) -> Self {
        Vec::from_iter(things).into()
    }
}

impl<I, T: Clone> Clone for Table<I, T> {
    fn clone(&self) -> Self {
        Table { all: self.all.clone(), of: PhantomData }
    }

    /// Without asking for memory where there is enough.
    fn clone_from(&mut self, other: &Self) {
        self.all.clone_from(&other.all);
    }
}

impl<I: Id, T> Index<I> for Table<I, T> {
    type Output = T;

    #[inline]
    fn index(&self, id: I) -> &T {
        &self.all[id.at()]
    }
}

impl<I: Id, T> IndexMut<I> for Table<I, T> {
    #[inline]
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.all[id.at()]
    }
}

/// In order, where the index does not matter.
impl<I, T> Deref for Table<I, T> {
    type Target = [T];

    #[inline]
    fn deref(&self) -> &[T] {
        &self.all
    }
}

impl<I, T> DerefMut for Table<I, T> {
    #[inline]
    fn deref_mut(&mut self) -> &mut [T] {
        &mut self.all
    }
}

impl<'a, I, T> IntoIterator for &'a Table<I, T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    id! {
        /// A door.
        Door
    }

    #[test]
    fn things_are_looked_up_by_their_own_index() {
        let mut doors: Table<Door, &str> = Table::default();
        let front = doors.push("front");
        let back = doors.push("back");
        assert_eq!((doors[front], doors[back], doors.len()), ("front", "back", 2));
        doors[back] = "side";
        assert_eq!(doors.each().collect::<Vec<_>>(), [(front, &"front"), (back, &"side")]);
        assert_eq!(doors.find(|d| *d == "side"), Some(back));
        assert_eq!((doors.get(back), doors.get(Door::NONE)), (Some(&"side"), None));
        assert!(back.is_some() && Door::NONE.is_none() && back.at() == 1);
        assert_eq!((back.some(), Door::NONE.some()), (Some(back), None));
        assert_eq!((front.nth(1), front.run(2).collect::<Vec<_>>()), (back, vec![front, back]));
        assert_eq!(std::mem::size_of::<Door>(), 2);
        doors.each_mut().for_each(|(door, name)| *name = if door == front { "wide" } else { name });
        assert_eq!(doors.to_vec(), ["wide", "side"]);
        doors.refill(["lone"].into_iter());
        assert_eq!((doors[front], doors.get(back)), ("lone", None));
    }

    #[test]
    #[should_panic(expected = "more things than an index can say")]
    fn there_are_not_more_things_than_indices() {
        let _ = Door::new(usize::from(u16::MAX));
    }
}
