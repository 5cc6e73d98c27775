//! Tallies as bytes, and back to the last bit.
//!
//! Little-endian, every number in its full width, `f64` as its bits, a length before what has one;
//! no names, no tags, nothing that depends on the machine. The format is our own because the bytes are
//! a promise: two shards of the same blocks must be equal, and a tally read back must merge as the one
//! that was written. A general serialiser would bring its own choices of width and its own versions.
//! What is read is checked: a length that cannot be, a shape that does not suit the plan or a number
//! outside its range is an error, never a panic.

mod stored;

pub(crate) use stored::wire_fields;

use std::collections::BTreeMap;
use thiserror::Error;

/// Why bytes are not what they should be.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum WireError {
    /// They end early.
    #[error("it ends early")]
    Short,
    /// Something in them cannot be.
    #[error("{0}")]
    Wrong(&'static str),
}

/// What can be written as bytes.
pub trait Wire: Sized {
    /// Appends it.
    fn put(&self, to: &mut Vec<u8>);

    /// Reads it.
    ///
    /// # Errors
    /// [`WireError`].
    fn get(from: &mut Reader) -> Result<Self, WireError>;
}

/// Bytes that are read from the front.
#[derive(Clone, Copy, Debug)]
pub struct Reader<'a> {
    rest: &'a [u8],
}

impl<'a> Reader<'a> {
    /// Begins at the front.
    pub fn new(bytes: &'a [u8]) -> Reader<'a> {
        Reader { rest: bytes }
    }

    /// The next `n` bytes.
    ///
    /// # Errors
    /// [`WireError::Short`].
    pub fn take(&mut self, n: usize) -> Result<&'a [u8], WireError> {
        let (taken, rest) = self.rest.split_at_checked(n).ok_or(WireError::Short)?;
        self.rest = rest;
        Ok(taken)
    }

    /// A length; what follows has at least that many bytes.
    ///
    /// # Errors
    /// [`WireError::Short`].
    pub fn length(&mut self) -> Result<usize, WireError> {
        let n = usize::try_from(u64::get(self)?).map_err(|_| WireError::Short)?;
        if n > self.rest.len() { Err(WireError::Short) } else { Ok(n) }
    }

    /// All is read.
    ///
    /// # Errors
    /// [`WireError::Wrong`] if something is left.
    pub fn end(&self) -> Result<(), WireError> {
        match self.rest.is_empty() {
            true => Ok(()),
            false => Err(WireError::Wrong("something follows behind its end")),
        }
    }
}

macro_rules! numbers {
    ($($t:ty)*) => {$(
        impl Wire for $t {
            fn put(&self, to: &mut Vec<u8>) {
                to.extend_from_slice(&self.to_le_bytes());
            }
            fn get(from: &mut Reader) -> Result<Self, WireError> {
                let bytes = from.take(size_of::<$t>())?;
                Ok(<$t>::from_le_bytes(bytes.try_into().map_err(|_| WireError::Short)?))
            }
        }
    )*};
}

numbers!(u8 u16 u32 u64 u128 i64 i128);

impl Wire for f64 {
    fn put(&self, to: &mut Vec<u8>) {
        self.to_bits().put(to);
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        u64::get(from).map(f64::from_bits)
    }
}

impl Wire for bool {
    fn put(&self, to: &mut Vec<u8>) {
        u8::from(*self).put(to);
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        match u8::get(from)? {
            0 => Ok(false),
            1 => Ok(true),
            _ => Err(WireError::Wrong("neither yes nor no")),
        }
    }
}

impl Wire for String {
    fn put(&self, to: &mut Vec<u8>) {
        (self.len() as u64).put(to);
        to.extend_from_slice(self.as_bytes());
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let n = from.length()?;
        let text = std::str::from_utf8(from.take(n)?);
        text.map(str::to_string).map_err(|_| WireError::Wrong("a text that is none"))
    }
}

impl<T: Wire> Wire for Option<T> {
    fn put(&self, to: &mut Vec<u8>) {
        self.is_some().put(to);
        self.iter().for_each(|x| x.put(to));
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        bool::get(from)?.then(|| T::get(from)).transpose()
    }
}

impl<T: Wire> Wire for Vec<T> {
    fn put(&self, to: &mut Vec<u8>) {
        (self.len() as u64).put(to);
        self.iter().for_each(|x| x.put(to));
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let n = from.length()?;
        (0..n).map(|_| T::get(from)).collect()
    }
}

impl<K: Wire + Ord, V: Wire> Wire for BTreeMap<K, V> {
    fn put(&self, to: &mut Vec<u8>) {
        (self.len() as u64).put(to);
        self.iter().for_each(|(k, v)| {
            k.put(to);
            v.put(to);
        });
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let n = from.length()?;
        (0..n).map(|_| Ok((K::get(from)?, V::get(from)?))).collect()
    }
}

impl<T: Wire, const N: usize> Wire for [T; N] {
    fn put(&self, to: &mut Vec<u8>) {
        self.iter().for_each(|x| x.put(to));
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        let all: Result<Vec<T>, WireError> = (0..N).map(|_| T::get(from)).collect();
        all?.try_into().map_err(|_| WireError::Short)
    }
}

impl<A: Wire, B: Wire> Wire for (A, B) {
    fn put(&self, to: &mut Vec<u8>) {
        self.0.put(to);
        self.1.put(to);
    }
    fn get(from: &mut Reader) -> Result<Self, WireError> {
        Ok((A::get(from)?, B::get(from)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn back<T: Wire + std::fmt::Debug>(x: &T) -> T {
        let mut bytes = Vec::new();
        x.put(&mut bytes);
        for end in 0..bytes.len() {
            let short = T::get(&mut Reader::new(&bytes[..end]));
            assert_eq!(short.unwrap_err(), WireError::Short, "{end} of {}", bytes.len());
        }
        let mut reader = Reader::new(&bytes);
        let found = T::get(&mut reader).unwrap();
        reader.end().unwrap();
        found
    }

    #[test]
    fn values_come_back_to_the_bit_and_short_ones_are_refused() {
        let odd = [0.1, -0.0, f64::INFINITY, f64::from_bits(0x7ff8_0000_0000_1234)];
        assert_eq!(back(&odd).map(f64::to_bits), odd.map(f64::to_bits));
        assert_eq!(back(&u128::MAX), u128::MAX);
        assert_eq!(back(&vec![(1_u16, true), (2, false)]), [(1, true), (2, false)]);
        assert_eq!(back(&"Grüße".to_string()), "Grüße");
        assert_eq!(back(&[None, Some(-3_i64)]), [None, Some(-3)]);
        let map = BTreeMap::from([(3_u64, "c".to_string()), (1, String::new())]);
        assert_eq!(back(&map), map);
    }

    #[test]
    fn bytes_are_the_same_on_every_machine() {
        let mut bytes = Vec::new();
        (1_u32, vec![1.0]).put(&mut bytes);
        let expected =
            [&[1, 0, 0, 0][..], &[1, 0, 0, 0, 0, 0, 0, 0], &[0, 0, 0, 0, 0, 0, 0xf0, 0x3f]];
        assert_eq!(bytes, expected.concat());
    }

    #[test]
    fn a_length_beyond_the_end_asks_for_no_memory() {
        let mut bytes = Vec::new();
        u64::MAX.put(&mut bytes);
        assert_eq!(Vec::<u8>::get(&mut Reader::new(&bytes)), Err(WireError::Short));
        assert_eq!(bool::get(&mut Reader::new(&[2])), Err(WireError::Wrong("neither yes nor no")));
        assert!(Reader::new(&[0]).end().is_err());
    }
}
