//! Luck that keeps the blocks it drew last.

use super::{BUMPS, Luck, open01};
use std::cell::Cell;

/// Blocks kept; a power of two. A campaign of a hundred sorties asks for some two thousand different ones,
/// and the next architecture asks for most of them again: with few places to spare, each would find that
/// others have taken theirs. A sweep makes a table for each point: a large one, or one with an alignment
/// of its own, leaves holes in the memory of the C library.
const PLACES: usize = 4_096;

/// Luck with the blocks it drew last: a number asked for again, and the three in a block with it, cost a
/// look instead of a block. A block is a function of its address, so nothing depends on what is kept.
#[derive(Clone, Debug)]
pub struct Kept {
    luck: Luck,
    places: Vec<Place>,
}

/// One block and its address.
#[derive(Clone, Debug)]
struct Place {
    /// Campaign, path, occasion, purpose and block.
    address: [Cell<u64>; 4],
    words: [Cell<u64>; 4],
}

impl Kept {
    /// Keeps what is drawn of this luck.
    pub fn new(luck: Luck) -> Kept {
        // Every place holds a true block from the start, so that none has to be marked as empty.
        let first = Place {
            address: [0; 4].map(Cell::new),
            words: luck.block(0, 0, 0, 0, 0).map(Cell::new),
        };
        Kept { luck, places: vec![first; PLACES] }
    }

    /// Keeps nothing yet and cannot be asked: whoever plays next is lent one that can.
    pub fn lent(luck: Luck) -> Kept {
        Kept { luck, places: Vec::new() }
    }

    /// The number that [`Luck::uniform`] gives at this address.
    #[inline]
    pub fn uniform(
        &self,
        campaign: u64,
        path: u64,
        occasion: u64,
        purpose: u32,
        index: u32,
    ) -> f64 {
        let which = u64::from(purpose) << 32 | u64::from(index / 4);
        let address = [campaign, path, occasion, which];
        let place = &self.places[place_of(address)];
        if !place.is(address) {
            self.draw(place, address, purpose, index / 4);
        }
        open01(place.words[index as usize % 4].get())
    }

    /// Puts another block in a place.
    #[inline(never)]
    fn draw(&self, place: &Place, address: [u64; 4], purpose: u32, block: u32) {
        let words = self.luck.block(address[0], address[1], address[2], purpose, block);
        for i in 0..4 {
            place.address[i].set(address[i]);
            place.words[i].set(words[i]);
        }
    }
}

impl Place {
    /// Does it hold the block of this address?
    #[inline]
    fn is(&self, [campaign, path, occasion, which]: [u64; 4]) -> bool {
        let [a, b, c, d] = &self.address;
        b.get() == path && c.get() == occasion && d.get() == which && a.get() == campaign
    }
}

/// Where the block of an address is kept.
#[inline]
fn place_of([_, path, occasion, which]: [u64; 4]) -> usize {
    let mixed = path ^ occasion.wrapping_mul(BUMPS[0]) ^ which.wrapping_mul(BUMPS[1]);
    (mixed >> (u64::BITS - PLACES.trailing_zeros())) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::stream::fnv1a64;

    /// More addresses than places, each asked for several times in changing order.
    #[test]
    fn what_is_kept_is_what_is_drawn() {
        let luck = Luck::new(5);
        let kept = Kept::new(luck);
        let paths = ["", "lock", "survey"].map(fnv1a64);
        for turn in 0..3u64 {
            for i in 0..30_000u64 {
                let n = (i * 7_919 + turn) % 30_000;
                let (campaign, path, occasion) = (n % 3, paths[n as usize % 3], n / 16);
                let (purpose, index) = ((n % 5) as u32, (n % 11) as u32);
                let drawn = luck.uniform(campaign, path, occasion, purpose, index);
                assert_eq!(kept.uniform(campaign, path, occasion, purpose, index), drawn);
            }
        }
        assert_eq!(kept.uniform(0, 0, 0, 0, 1), luck.uniform(0, 0, 0, 0, 1));
    }
}
